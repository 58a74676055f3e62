//! What the saw, the buyer and the welder read: joined pieces, sums, pieces that are cut otherwise, whole tables.

mod common;

use std::sync::Arc;

use common::{assert_clean, identity, review_of, sheets, texts};
use packet::sheet::layout::{Sheets, number, word};
use packet::sheet::page::Page;
use review::{Made, built};

/// Two rails of 2 m that no stick holds whole, a tube between them, sticks from one that delivers and saws for money.
const SPLICED: &str = r#"
[design]
name = "Spliced"
[section.rail]
shape = "box"
width = 40
height = 60
wall = 3
material = "S355"
[point]
a = [1000, 300, 0]
b = [-1000, 300, 0]
m = { on = "rail", x = 200 }
[tube.rail]
section = "rail"
path = ["a", "b"]
mirror = true
splice = 600
[tube.cross]
section = "rail"
path = ["m", "m~"]
[rack]
currency = "EUR"
kerf = 2
[[rack.stick]]
section = "rail"
length = 1500
price = 10
cut_fee = 1.5
supplier = "yard"
[supplier.yard]
delivery = 20
[stage.rails]
until = "rail"
"#;

fn of<'a>(pages: &'a [Page], title: &'a str) -> impl Iterator<Item = &'a str> {
    pages.iter().filter(move |p| p.title == title).flat_map(texts).map(|t| t.text.as_str())
}

#[test]
fn a_joined_piece_says_so_wherever_it_is_named() {
    let r = review_of(SPLICED);
    let pages = sheets(&r);
    assert_clean(&pages);
    // By hand: 2000 long, 1500 would leave 500, so the first part is 1400.
    let joined = review::steel::joined(&r.stock, "rail", |m| format!("{:.0}", m * 1e3)).expect("it is joined");
    assert!(joined.contains("joined: part 1 1400, part 2 600; square cuts, a sleeve"), "{joined}");
    let cards: Vec<&str> = of(&pages, "cards").collect();
    assert!(cards.iter().any(|t| t.contains("joined: part 1 1400, part 2 600")), "{cards:#?}");
    for part in ["1  rail  part 1 of 2", "1  rail  part 2 of 2"] {
        assert!(cards.contains(&part), "{part}: {cards:#?}");
    }
    assert!(of(&pages, "piece list").any(|t| t.starts_with("joined: ") && t.contains(" 1400 + ")));
    let plan: Vec<&str> = of(&pages, "cutting plan").collect();
    for part in ["1 rail, part 1 of 2", "1 rail, part 2 of 2"] {
        assert!(plan.iter().any(|t| t.contains(part)), "{part}: {plan:#?}");
    }
    let csv = packet::exchange::csv::pieces(&r);
    assert!(csv.lines().any(|l| l.contains(",rail,") && l.contains(" + ")), "{csv}");
}

#[test]
fn what_is_to_buy_adds_up() {
    let r = review_of(SPLICED);
    let pages = sheets(&r);
    let plan: Vec<&str> = of(&pages, "cutting plan").collect();
    let from = plan.iter().position(|t| t.starts_with("To buy")).expect("something is bought");
    let money: Vec<f64> = plan[from..]
        .iter()
        .take_while(|t| !t.starts_with("How far"))
        .filter(|t| t.contains('.'))
        .filter_map(|t| t.parse().ok())
        .collect();
    // Price of one and of all, cuts, delivery, total.
    let [each, sticks, cuts, delivery, total] = money[..] else { panic!("{money:?}") };
    assert_eq!((each, cuts, delivery), (10.0, 5.0 * 1.5, 20.0));
    assert_eq!(sticks + cuts + delivery, total);
    assert_eq!(total, r.stock.cost);
    assert!(plan.iter().filter(|t| **t == "yard").count() == 3, "{plan:#?}");
    assert!(plan.iter().any(|t| t.starts_with("Today's steel goes as far as")), "{plan:#?}");
    assert!(plan.contains(&"rails") && plan.contains(&"the rest"), "{plan:#?}");
}

#[test]
fn a_piece_that_is_cut_otherwise_is_marked_on_its_card_and_in_the_list() {
    let mut r = review_of(SPLICED);
    let sheet = "[sheet]\nunits = \"mm\"\nset_level = true\nstanding = \"rail~\"\n[held.o]\nof = \"a\"\n[level.l]\nover_datum = 0\n";
    let mut sheet = sheet.to_owned();
    for (k, name, [x, y, z]) in
        [(0, "b", [-2000.0, 0.0, 0.0]), (1, "a~", [0.0, -594.0, 0.0]), (2, "b~", [-2000.0, -594.0, 0.0])]
    {
        sheet += &format!("[plumb.x{k}]\nfrom = \"a\"\nto = \"{name}\"\nalong = \"x\"\nreads = {x}\n");
        sheet += &format!("[plumb.y{k}]\nfrom = \"a\"\nto = \"{name}\"\nalong = \"y\"\nreads = {y}\n");
        sheet += &format!("[rise.z{k}]\nfrom = \"a\"\nto = \"{name}\"\nreads = {z}\n");
    }
    let b = built::built(&r, &sheet, &Made::default()).expect("a sheet");
    let change = b.changes.iter().find(|c| c.piece == "cross").cloned();
    let change = change.unwrap_or_else(|| panic!("{:?} {:?} {:?}", b.problems, b.fit.troubles, b.refused));
    assert!((change.longer() + 0.006).abs() < 1e-3, "{change:?}");
    r.lay(Some(Arc::new(b)));
    let pages = sheets(&r);
    assert_clean(&pages);
    let at = pages.iter().position(|p| p.title == "as built").expect("a chapter") + 1;
    let t = review::Text::new(&r.shape.design);
    let (was, now) = (t.length(change.was), t.length(change.now));
    let want = format!("as built: cut {now} instead of {was} over long points");
    assert!(of(&pages, "cards").any(|t| t.starts_with(&want)), "the card says so");
    // Over more than one line: what it rests on, and where all of it is told.
    let card = of(&pages, "cards").collect::<Vec<_>>().join(" ");
    assert!(card.contains("which nothing checks; see sheet") && card.contains(&format!("see sheet {at} on")), "{card}");
    let list: Vec<&str> = of(&pages, "piece list").collect();
    assert!(list.contains(&"as built") && list.contains(&now.as_str()), "{list:#?}");
    // Without a measured sheet nothing of it.
    assert!(!of(&sheets(&review_of(SPLICED)), "piece list").any(|t| t == "as built"));
}

/// A table's last row goes to another page only in company.
#[test]
fn no_page_holds_the_last_row_alone() {
    for n in 40..120 {
        let mut s = Sheets::new(design::Paper::Letter).expect("the faces are built in");
        s.start("list");
        let rows: Vec<Vec<String>> = (0..n).map(|k| vec![format!("row {k}"), k.to_string()]).collect();
        s.table(&[word("name"), number("no.")], &rows, 3.2);
        s.finish("x", &identity());
        for p in &s.pages {
            assert_ne!(texts(p).filter(|t| t.text.starts_with("row ")).count(), 1, "{n} rows");
        }
    }
}
