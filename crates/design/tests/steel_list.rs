//! Lists of steel taken into the rack: what is read, what is written, what is refused.

use design::{Document, Fate, Taken, csv, steel_list};

const SHOP: &str = r#"# the car
[design]
name = "Rack"
[section.hoop]
size = "CHS 48.3 x 3.0"
material = "E355"
[section.stay]
shape = "round"
od = 38
wall = 2.5
material = "E355"
[section.stay_soft]
shape = "round"
od = 38
wall = 2.5
material = "S355"
[section.rail]
shape = "box"
width = 50
height = 80
wall = 3
material = "S355"
[section.post]
shape = "box"
width = 40
height = 40
wall = 2
material = "S355"
[point]
a = [0, 0, 0]
b = [900, 0, 0]
[tube.one]
section = "hoop"
path = ["a", "b"]

[rack]   # what we have
kerf = 2
trim = 5

[[rack.stick]]
section = "hoop" # the good one
length = 6000
count = 4        # counted in May

[[rack.stick]]
length = 6000
price = 74.5     # asked in June
section = "hoop"
supplier = "yard"

# who sells
[supplier.yard]
delivery = 35
"#;

fn opened(text: &str) -> Document {
    Document::open(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "design.toml", text)))
}

/// Takes a list in; what was told, or the complaint as it is printed.
fn take(document: &mut Document, list: &str) -> Result<Vec<Taken>, String> {
    let told = |p: &[design::Problem]| design::render(p, "steel.csv", list);
    let table = csv::read(list).map_err(|p| told(&p))?;
    let steel = steel_list::read(&table, document.design()).map_err(|p| told(&p))?;
    document.take_in(&steel).map_err(|e| design::render(&e.problems, "design.toml", &e.text))
}

fn fates(taken: &[Taken]) -> Vec<String> {
    taken
        .iter()
        .map(|t| match &t.fate {
            Fate::Added => "added".to_owned(),
            Fate::There => "there".to_owned(),
            Fate::Changed(all) => {
                all.iter().map(|c| format!("{} {} {}", c.key, c.was, c.is)).collect::<Vec<_>>().join(", ")
            }
        })
        .collect()
}

#[test]
fn what_stands_there_is_changed_and_the_rest_is_added() {
    let mut d = opened(SHOP);
    let list = "section,length,count,price,supplier,place,ordered\n\
                hoop,6000,6,,,,\n\
                hoop,6 m,,80,yard,,\n\
                rail,20 ft,2,,,left bay,no\n\
                hoop,6000,3,,,,yes\n";
    let taken = take(&mut d, list).unwrap();
    assert_eq!(fates(&taken), ["count 4 6", "price 74.5 80", "added", "added"]);
    assert_eq!(taken.iter().map(|t| t.line).collect::<Vec<_>>(), [2, 3, 4, 5]);
    // Comments and order stay, and what is new stands after what was there.
    let want = SHOP
        .replace("count = 4        # counted", "count = 6        # counted")
        .replace("price = 74.5     #", "price = 80     #");
    let new = "\n[[rack.stick]]\nsection = \"rail\"\nlength = \"20 ft\"\ncount = 2\nplace = \"left bay\"\n\
               \n[[rack.stick]]\nsection = \"hoop\"\nlength = 6000\ncount = 3\nordered = true\n";
    let want = want.replace("\n# who sells", &format!("{new}\n# who sells"));
    assert_eq!(d.text(), want);
    let rack = &d.design().rack;
    assert_eq!(rack.sticks.len(), 4);
    assert!((rack.sticks[2].length - 6.096).abs() < 1e-12);
    // The same list again changes nothing.
    let taken = take(&mut d, list).unwrap();
    assert_eq!(fates(&taken), ["there"; 4]);
    assert_eq!(d.text(), want);
}

#[test]
fn what_a_row_leaves_empty_stays() {
    let mut d = opened(&SHOP.replace("supplier = \"yard\"\n\n#", "supplier = \"yard\"\ncut_fee = 2\nper = \"m\"\n\n#"));
    let before = d.text().to_owned();
    assert_eq!(fates(&take(&mut d, "section,length,supplier\nhoop,6000,yard\n").unwrap()), ["there"]);
    assert_eq!(d.text(), before);
    // A price without a word is that of a stick: it must not be taken for one of a metre.
    let taken = take(&mut d, "section,length,supplier,price\nhoop,6000,yard,74.5\n").unwrap();
    assert_eq!(fates(&taken), ["per m stick"]);
    assert_eq!(d.design().rack.sticks[1].cost(), 74.5);
    let taken = take(&mut d, "section;length;supplier;price;per;cut fee\nhoop;6000;yard;12,4;M;0\n").unwrap();
    assert_eq!(fates(&taken), ["price 74.5 12.4, per stick m, cut_fee 2 0"]);
    assert!((d.design().rack.sticks[1].cost() - 74.4).abs() < 1e-12);
    assert_eq!(d.design().rack.sticks[0].count, Some(4));
}

#[test]
fn sections_by_size() {
    let sections = |text: &str| {
        let mut d = opened(SHOP);
        take(&mut d, &format!("section;length\n{text};6000\n")).map(|t| t[0].section.clone())
    };
    for (text, want) in [
        ("CHS 48.3 x 3.0", "hoop"),
        ("48,3x3", "hoop"),
        ("Ø48.3 × 3 mm", "hoop"),
        ("chs 4.83 cm x 0,3 cm", "hoop"),
        ("RHS 80 x 50 x 3", "rail"),
        ("50*80*3", "rail"),
        ("SHS 40 x 2", "post"),
        ("40 x 40 x 2", "post"),
        ("stay_soft", "stay_soft"),
    ] {
        assert_eq!(sections(text).as_deref(), Ok(want), "{text}");
    }
    let two = sections("38 x 2.5").unwrap_err();
    assert!(two.contains("steel.csv:2:1") && two.contains("`stay`, `stay_soft`"), "{two}");
    for (text, word) in [
        ("CHS 40 x 2", "no section"),
        ("RHS 48.3 x 3", "no section"),
        ("hop", "did you mean `hoop`"),
        ("pipe 48.3 x 3", "there is no section"),
        ("48.3", "there is no section"),
        ("1/0 x 3", "there is no section"),
    ] {
        let told = sections(text).unwrap_err();
        assert!(told.contains("steel.csv:2:1") && told.contains(word), "{text}: {told}");
    }
}

#[test]
fn in_inches() {
    let shop = SHOP
        .replace("name = \"Rack\"", "name = \"Rack\"\nunits = \"in\"")
        .replace("od = 38\nwall = 2.5", "od = \"1 3/4\"\nwall = 0.12")
        .replacen("od = \"1 3/4\"", "od = 1.5", 1)
        .replace("width = 50\nheight = 80\nwall = 3", "width = 2\nheight = 3\nwall = \"1/8\"")
        .replace("width = 40\nheight = 40\nwall = 2", "width = 1\nheight = 1\nwall = 0.083")
        .replace("b = [900", "b = [36")
        .replace("kerf = 2\ntrim = 5", "kerf = \"1/16\"\ntrim = 0.25")
        .replace("length = 6000", "length = 240");
    let mut d = opened(&shop);
    let list = "section,length,count,place\n\
                \"1 3/4\"\" x .120\"\"\",20 ft,2,\n\
                1-1/2 x 0.12,240,1,\n\
                38.1 x 3.05 mm,240,1,bay\n\
                hoop,20',9,\n\
                2 x 3 x 1/8,\"19 ft 11 1/2 in\",1,\n";
    let taken = take(&mut d, list).unwrap();
    assert_eq!(
        taken.iter().map(|t| t.section.as_str()).collect::<Vec<_>>(),
        ["stay_soft", "stay", "stay", "hoop", "rail"]
    );
    assert_eq!(fates(&taken), ["added", "added", "added", "count 4 9", "added"]);
    assert!(d.text().contains("length = \"19 ft 11 1/2 in\"\ncount = 1\n"), "{}", d.text());
    assert!(d.text().contains("section = \"stay\"\nlength = 240\ncount = 1\nplace = \"bay\"\n"), "{}", d.text());
    let before = d.text().to_owned();
    assert_eq!(fates(&take(&mut d, list).unwrap()), ["there"; 5]);
    assert_eq!(d.text(), before);
}

#[test]
fn any_wrong_row_is_told_with_its_place_and_nothing_is_written() {
    let wrong = |list: &str, words: &[&str]| {
        let mut d = opened(SHOP);
        let told = take(&mut d, list).expect_err(list);
        assert!(words.iter().all(|w| told.contains(w)), "{list}: {told}");
        assert_eq!(d.text(), SHOP);
    };
    wrong("section,count\nhoop,3\n", &["steel.csv:1:1", "no column `length`"]);
    wrong("section,length,Section\nhoop,3,rail\n", &["steel.csv:1:16", "two columns"]);
    wrong("section,length\n", &["names no stick"]);
    wrong("section,length\nhoop,6000\nhoop,6 km\n", &["steel.csv:3:6", "`6 km` is no length", "km"]);
    wrong("section,length\nhoop,-6000\n", &["steel.csv:2:6", "more than 0"]);
    wrong("section,length\nhoop,5\n", &["no longer than the trim", "more than 5 mm"]);
    wrong("section,length\nhoop,\n,6000\n", &["line 2 has no length", "line 3 has no section"]);
    wrong("section,length,count\nhoop,6000,2.5\n", &["steel.csv:2:11", "`2.5` is no count"]);
    wrong("section,length,count\nhoop,6000,100001\n", &["up to 100000"]);
    wrong("section,length,count\nhoop,6000,-1\n", &["is no count"]);
    wrong("section,length,price\nhoop,6000,12 EUR\n", &["steel.csv:2:11", "`12 EUR` is no price"]);
    wrong("section,length,price\nhoop,6000,-1\n", &["at least 0"]);
    wrong("section,length,per\nhoop,6000,kg\n", &["`kg` is not what a price is for"]);
    wrong("section,length,supplier\nhoop,6000,yrad\n", &["no supplier `yrad`", "did you mean `yard`"]);
    wrong("section,length,ordered\nhoop,6000,maybe\n", &["neither true nor false"]);
    wrong("section,length,ordered\nhoop,6000,yes\n", &["ordered, but not how many"]);
    wrong("section,length,count,supplier\nhoop,6000,2,yard\n", &["steel.csv:2:13", "on hand and to be bought"]);
    wrong("section,length,count,per\nhoop,6000,2,m\n", &["on hand and to be bought"]);
    // Six or six thousand?
    wrong("section;length\nhoop;6,000\n", &["steel.csv:2:6", "in two ways"]);
    wrong("section;length\nhoop;6.000\n", &["in two ways"]);
    wrong("section\tlength\tprice\nhoop\t6000\t1,250\n", &["in two ways"]);
    wrong("section,length\nhoop,\"6,000\"\n", &["steel.csv:2:6", "is no length"]);
    // All of it at once.
    wrong("section,length,count\nhop,6000,1\nhoop,x,1\nhoop,6000,y\n", &["2:1", "3:6", "4:11"]);
}

#[test]
fn columns_of_a_spreadsheet_that_say_nothing() {
    let mut d = opened(SHOP);
    let list = "Section,Length,Count,Per,Cut Fee,Ordered,Colour,suplier\nhoop,6000,4,stick,0,false,red,x\n";
    let table = csv::read(list).unwrap();
    let steel = steel_list::read(&table, d.design()).unwrap();
    let notes = design::render(&steel.notes, "steel.csv", list);
    assert!(notes.contains("`Colour` is not read") && notes.contains("is `supplier` meant?"), "{notes}");
    assert_eq!(fates(&d.take_in(&steel).unwrap()), ["there"]);
    assert_eq!(d.text(), SHOP);
}

#[test]
fn alike_sticks_meet_one_by_one() {
    let mut d = opened(SHOP);
    let list = "section,length,count,place\nhoop,6000,4,\nhoop,6000,1,\nhoop,6000,1,loft\n";
    assert_eq!(fates(&take(&mut d, list).unwrap()), ["there", "added", "added"]);
    assert_eq!(fates(&take(&mut d, list).unwrap()), ["there"; 3]);
    // Put together on the list, they would be counted twice: told, not done.
    let taken = take(&mut d, "section,length,count\nhoop,6000,5\n").unwrap();
    assert_eq!(fates(&taken), ["count 4 5"]);
    assert!(taken[0].look.as_deref().is_some_and(|l| l.contains("1 more of the same")), "{taken:?}");
    assert_eq!(d.design().rack.sticks.len(), 4);
}

#[test]
fn what_was_ordered_and_came_is_pointed_out() {
    let mut d = opened(SHOP);
    take(&mut d, "section,length,count,ordered\nrail,6000,3,yes\n").unwrap();
    let taken = take(&mut d, "section,length,count\nrail,6000,3\n").unwrap();
    assert_eq!(fates(&taken), ["added"]);
    assert!(taken[0].look.as_deref().is_some_and(|l| l.contains("3 of it on order")), "{taken:?}");
}

#[test]
fn a_design_without_a_rack_is_told_what_it_needs() {
    for (units, kerf) in [("mm", "kerf = 2"), ("in", "kerf = \"1/16\"")] {
        let text = format!(
            "[design]\nname = \"N\"\nunits = \"{units}\"\n[section.t]\nshape = \"round\"\nod = 1\nwall = 0.1\nmaterial = \"S355\"\n\
             [point]\na = [0, 0, 0]\nb = [90, 0, 0]\n[tube.one]\nsection = \"t\"\npath = [\"a\", \"b\"]\n"
        );
        let mut d = opened(&text);
        let told = take(&mut d, "section,length,count\nt,600,1\n").unwrap_err();
        assert!(told.contains("no [rack]") && told.contains(kerf), "{told}");
        assert_eq!(d.text(), text);
    }
}

#[test]
fn however_the_rack_is_written() {
    let head = &SHOP[..SHOP.find("[rack]").unwrap()];
    let tail = &SHOP[SHOP.find("\n# who sells").unwrap()..];
    let list = "section,length,count\nhoop,6000,7\npost,6000,1\n";
    for (rack, want) in [
        (
            "[rack]\nkerf = 2\n",
            "[rack]\nkerf = 2\n[[rack.stick]]\nsection = \"hoop\"\nlength = 6000\ncount = 7\n[[rack.stick]]\nsection = \"post\"\nlength = 6000\ncount = 1\n",
        ),
        (
            "[rack]\nkerf = 2\nstick = [\n  { section = \"hoop\", length = 6000, count = 4 }, # old\n]\n",
            "[rack]\nkerf = 2\nstick = [\n  { section = \"hoop\", length = 6000, count = 7 },\n  { section = \"post\", length = 6000, count = 1 }, # old\n]\n",
        ),
        (
            "[rack]\nkerf = 2\nstick = [{ section = \"hoop\", length = 6000, count = 4 }]\n",
            "[rack]\nkerf = 2\nstick = [{ section = \"hoop\", length = 6000, count = 7 }, { section = \"post\", length = 6000, count = 1 }]\n",
        ),
        (
            "[rack]\nkerf = 2\nstick = []\n",
            "[rack]\nkerf = 2\nstick = [{ section = \"hoop\", length = 6000, count = 7 }, { section = \"post\", length = 6000, count = 1 }]\n",
        ),
    ] {
        let mut d = opened(&format!("{head}{rack}{tail}"));
        take(&mut d, list).unwrap();
        assert_eq!(d.text(), format!("{head}{want}{tail}"));
        assert_eq!(fates(&take(&mut d, list).unwrap()), ["there"; 2], "{}", d.text());
    }
    // With carriage returns, and with the rack as the last thing of the file.
    let crlf = SHOP.replace('\n', "\r\n");
    let mut d = opened(&crlf);
    take(&mut d, list).unwrap();
    assert!(!d.text().replace("\r\n", "").contains('\n'));
    let mut d =
        opened(&format!("{head}[rack]\nkerf = 2\n[[rack.stick]]\nsection = \"hoop\"\nlength = 6000\ncount = 4 # here"));
    take(&mut d, list).unwrap();
    assert!(
        d.text().ends_with("count = 7 # here\n[[rack.stick]]\nsection = \"post\"\nlength = 6000\ncount = 1\n"),
        "{}",
        d.text()
    );
}

#[test]
fn odd_figures_are_there_the_second_time() {
    let mut d = opened(SHOP);
    let list = "section;length;price;cut_fee;supplier\nhoop;1234,5678901;0,123456789;,5;yard\nrail;1e3;12345678,25;;\nstay;0.3 ft;1e-7;;\n";
    assert_eq!(fates(&take(&mut d, list).unwrap()), ["added"; 3]);
    let before = d.text().to_owned();
    assert_eq!(fates(&take(&mut d, list).unwrap()), ["there"; 3], "{before}");
    assert_eq!(d.text(), before);
}
