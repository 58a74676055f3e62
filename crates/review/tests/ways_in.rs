//! Ways in through the design file: lines, tables, findings; in inches, mirrored, temporary, overlapping.

use std::sync::Arc;

use cutting::Detail;
use cutting::assembly::{Insertion, Last};
use review::{Review, Text, review, ways_in};
use shape::{Finding, Level};

/// A beam along x and one over it along y, and what more is said; lengths in the file's unit, `s` of it to 100 mm.
fn crossed(units: &str, s: f64, rise: f64, od: f64, more: &str) -> Review {
    let n = |mm: f64| mm / 100.0 * s;
    let text = format!(
        r#"
[design]
name = "Crossed"
units = "{units}"
[limits]
gap = 0
fit = {fit}
[section.h]
shape = "round"
od = {host}
wall = {wall}
material = "E355+N"
[section.b]
shape = "round"
od = {od}
wall = {wall}
material = "E355+N"
[point]
a = [{m600}, {y300}, {z100}]
b = [{p600}, {y300}, {z100}]
c = [{x50}, {y900}, {top}]
d = [{x50}, {m100}, {top}]
l = {{ on = "lower", x = {x50} }}
u = {{ on = "upper", y = {y300} }}
k = [{p300}, {y300}, {top}]
f = [{m200}, {y300}, {z200}]
v = {{ on = "lower", x = {p300} }}
[tube.lower]
section = "h"
path = ["a", "b"]
mirror = true
[tube.upper]
section = "h"
path = ["c", "d"]
mirror = true
{more}
"#,
        fit = n(1.0),
        host = n(40.0),
        wall = n(2.0),
        od = n(od),
        m600 = n(-600.0),
        p600 = n(600.0),
        p300 = n(300.0),
        m200 = n(-200.0),
        z200 = n(200.0),
        y300 = n(300.0),
        y900 = n(900.0),
        m100 = n(100.0),
        z100 = n(100.0),
        x50 = n(50.0),
        top = n(100.0 + rise),
    );
    let reading = design::read(&text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test.toml", &text)));
    review(Arc::new(reading.design), Detail::SHEET)
        .unwrap_or_else(|p| panic!("{}", design::render(&p, "test.toml", &text)))
}

const POST: &str = "[tube.post]\nsection = \"b\"\npath = [\"l\", \"u\"]\nmirror = true\n";

fn of<'a>(list: &'a [Insertion], piece: &str) -> &'a Insertion {
    list.iter().find(|i| i.piece == piece).expect("listed")
}

fn line(r: &Review, piece: &str) -> String {
    let list = r.ways_in.as_ref().expect("worked out");
    ways_in::line(r, of(list, piece), &Text::new(&r.shape.design))
}

fn findings(r: &Review) -> Vec<&Finding> {
    r.findings.iter().filter(|f| f.what.contains(ways_in::NOT_FOUND) || f.what.contains("goes in")).collect()
}

#[test]
fn a_swing_is_told_end_by_end() {
    let r = crossed("mm", 100.0, 800.0, 20.0, POST);
    let list = r.ways_in.as_ref().expect("worked out");
    let Some(Last::Swing { on, .. }) = of(list, "post").way.as_ref().and_then(|w| w.last.clone()) else {
        panic!("{:?}", of(list, "post"))
    };
    let words = line(&r, "post");
    assert!(words.contains(&format!("laid on {on}; then swing the ")), "{words}");
    assert!(findings(&r).is_empty(), "{:?}", findings(&r));
    assert!(ways_in::without(&r, list, &Text::new(&r.shape.design)).is_none());
    // A row for each piece, in fitting order, with the piece to show.
    let sheet = ways_in::ways(&r, list, &[], &Text::new(&r.shape.design));
    let names: Vec<&str> = sheet.rows.iter().map(|row| row.0[1].as_str()).collect();
    assert_eq!(names, ["lower", "lower~", "upper", "upper~", "post", "post~"]);
    assert!(sheet.rows.iter().all(|row| row.0.len() == sheet.head.len() && row.1 == [row.0[1].clone()]));
}

/// The mirrored half swings the mirrored way: left and right change places, no more.
#[test]
fn twins_are_told_mirrored_ways() {
    let r = crossed("mm", 100.0, 800.0, 20.0, POST);
    let swapped = line(&r, "post~").replace("left", "\0").replace("right", "left").replace('\0', "right");
    assert_eq!(line(&r, "post"), swapped.replace('~', ""));
}

/// The same in inches: the same ways, and lengths in inches.
#[test]
fn inches_change_nothing_but_the_words() {
    let (mm, inch) = (crossed("mm", 100.0, 300.0, 40.0, POST), crossed("in", 100.0 / 25.4, 300.0, 40.0, POST));
    let (a, b) = (line(&mm, "post"), line(&inch, "post"));
    assert!(a.starts_with("both ends ") && a.contains(" mm shorter: "), "{a}");
    assert!(b.starts_with("both ends ") && b.contains(" in shorter: "), "{b}");
    let after = |s: &str| s.split("shorter: ").nth(1).map(str::to_owned);
    assert_eq!(after(&a), after(&b));
}

/// Play within the limit is a note, with the limit beside it.
#[test]
fn play_within_the_limit_is_a_note() {
    let r = crossed("mm", 100.0, 300.0, 40.0, POST);
    let list = findings(&r);
    assert_eq!(list.len(), 1, "{list:?}");
    assert_eq!((list[0].level, list[0].tubes.len()), (Level::Note, 2));
    assert_eq!(list[0].source.as_deref(), Some("limits.fit"));
    assert!(list[0].limit.is_some() && list[0].measured.is_some());
}

/// Too thick and short for the limit: one finding for both sides, which names what is in the way and what would help.
#[test]
fn what_finds_no_way_is_said_once() {
    let r = crossed("mm", 100.0, 120.0, 40.0, POST);
    let list = findings(&r);
    assert_eq!(list.len(), 1, "{list:?}");
    let f = list[0];
    assert_eq!(f.level, Level::NotChecked);
    assert!(f.what.starts_with(ways_in::NOT_FOUND) && f.what.contains("post (and its mirror image)"), "{}", f.what);
    assert!(f.what.contains("in the way: ") && f.help.is_some(), "{f:?}");
    assert!(!f.what.contains("can't be built"));
    // How many is said with a word, not as a bare measure.
    assert!(f.what.contains("for 2 pieces: ") && f.measured.is_none(), "{f:?}");
    let list = r.ways_in.as_ref().expect("worked out");
    let sheet = ways_in::without(&r, list, &Text::new(&r.shape.design)).expect("a table");
    assert_eq!(sheet.rows.len(), 2);
    assert!(sheet.rows.iter().all(|row| row.0.iter().all(|c| !c.is_empty())), "{:?}", sheet.rows);
}

/// What is temporary comes last, and is in nobody's way before.
#[test]
fn temporary_pieces_come_last() {
    let brace = "[tube.brace]\nsection = \"b\"\npath = [\"v\", \"k\"]\ntemporary = true\n";
    let r = crossed("mm", 100.0, 800.0, 20.0, &format!("{brace}{POST}"));
    let list = r.ways_in.as_ref().expect("worked out");
    assert_eq!(list.last().map(|i| i.piece.as_str()), Some("brace"));
    assert!(list.windows(2).all(|w| w[0].turn + 1 == w[1].turn));
    // A piece bears the number of its card, and the table says what order it has.
    let sheet = ways_in::ways(&r, list, &[], &Text::new(&r.shape.design));
    assert!(sheet.title.ends_with("temporary ones last"), "{}", sheet.title);
    for (cells, _) in &sheet.rows {
        let p = r.cutting.pieces.iter().find(|p| p.name == cells[1]).expect("a piece");
        assert_eq!(cells[0], p.number.to_string(), "{}", p.name);
    }
    assert_ne!(sheet.rows.last().map(|row| row.0[0].clone()), Some(list.len().to_string()));
    assert_eq!(line(&r, "post"), line(&crossed("mm", 100.0, 800.0, 20.0, POST), "post"));
}

/// Two tubes through the same place are not judged against each other, and the line says so.
#[test]
fn what_overlaps_is_named() {
    let clash =
        "[tube.clash]\nsection = \"b\"\npath = [\"k\", \"f\"]\n[tube.post]\nsection = \"b\"\npath = [\"l\", \"u\"]\n";
    let r = crossed("mm", 100.0, 800.0, 20.0, clash);
    let list = r.ways_in.as_ref().expect("worked out");
    assert_eq!(of(list, "post").overlaps, ["clash"]);
    assert!(line(&r, "post").ends_with("not judged against clash, which it overlaps"), "{}", line(&r, "post"));
}

/// Which end a tube is drawn from changes which end is named.
#[test]
fn a_reversed_tube_has_its_ends_changed() {
    let back = "[tube.post]\nsection = \"b\"\npath = [\"u\", \"l\"]\nmirror = true\n";
    let (a, b) = (crossed("mm", 100.0, 800.0, 20.0, POST), crossed("mm", 100.0, 800.0, 20.0, back));
    let swapped = line(&b, "post").replace("the start", "\0").replace("the end", "the start").replace('\0', "the end");
    assert_eq!(line(&a, "post"), swapped);
}

/// Nothing of it while a point is dragged.
#[test]
fn a_live_review_leaves_it_out() {
    let design = crossed("mm", 100.0, 800.0, 20.0, POST).shape.design.clone();
    let r = review(design, Detail::LIVE).unwrap_or_else(|p| panic!("{}", p[0].message));
    assert!(r.ways_in.is_none());
    // Asked for, it says what the deep answer says.
    assert_eq!(ways_in::of(&r).len(), 6);
}

/// What is in the way of one piece is not told of another.
#[test]
fn each_piece_is_told_with_what_is_in_its_own_way() {
    let r = crossed("mm", 100.0, 120.0, 40.0, POST);
    let mut list = r.ways_in.as_ref().expect("worked out").to_vec();
    for i in &mut list {
        match i.piece.as_str() {
            "post" => i.blocked_by = Vec::new(),
            "post~" => i.blocked_by = vec!["upper~".into()],
            _ => {}
        }
    }
    let found = ways_in::findings(&r, &list);
    let told = found.iter().find(|f| f.what.starts_with(ways_in::NOT_FOUND)).expect("it is told");
    assert!(told.what.ends_with("for 2 pieces: post; post~, in the way: upper~"), "{}", told.what);
}
