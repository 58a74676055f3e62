//! The sheets: true to scale, complete, and nothing off the paper or over another thing.

mod common;

use common::{BOXES, SAME, assert_clean, cuts, gorse, identity, odd_ends, review_of, sheets, texts};
use glam::DVec2;
use packet::sheet::page::Item;
use packet::sheet::{pdf, templates};
use shape::End;

#[test]
fn calibration_is_100_mm() {
    let sheets = sheets(&gorse());
    let first = sheets.iter().find(|p| texts(p).any(|t| t.text == "Measure this first")).expect("there are templates");
    let square = first.items.iter().any(|i| match i {
        Item::Path { points, closed: true, .. } if points.len() == 4 => {
            (points[2] - points[0] - 100.0).abs().max_element() < SAME
        }
        _ => false,
    });
    assert!(square, "no square of 100 mm");
    for p in sheets.iter().filter(|p| p.title == first.title || p.title == "plates") {
        let length = |want: DVec2| {
            p.items.iter().any(|i| match i {
                Item::Path { points, closed: false, .. } if points.len() == 2 => {
                    (points[1] - points[0] - want).length() < SAME
                }
                _ => false,
            })
        };
        assert!(length(DVec2::new(101.6, 0.0)), "no rule of 4 in on a page of {}", p.title);
        assert!(std::ptr::eq(p, first) || (length(DVec2::X * 100.0) && length(DVec2::Y * 100.0)), "no 100 mm rules");
    }
}

#[test]
fn each_piece_has_a_card_and_each_odd_end_a_template() {
    let r = gorse();
    let sheets = sheets(&r);
    let on = |title: &str| -> Vec<&str> {
        sheets.iter().filter(|p| p.title == title).flat_map(texts).map(|t| t.text.as_str()).collect()
    };
    let (cards, wraps) = (on("cards"), on("templates, 1:1"));
    for p in &r.cutting.pieces {
        assert!(cards.contains(&format!("{}  {}", p.number, p.name).as_str()), "no card for {}", p.name);
        for end in End::BOTH {
            let title = format!("{} {} · {}", p.number, p.name, end.word());
            let found = wraps.iter().any(|t| *t == title || t.starts_with(&format!("{title} · part")));
            assert_eq!(found, templates::needed(p.end(end)), "template of the {} of {}", end.word(), p.name);
        }
    }
    assert!(r.cutting.pieces.iter().any(|p| templates::needed(p.end(End::Start))), "the demo has notches");
}

#[test]
fn the_demos_stay_on_the_paper() {
    assert_clean(&sheets(&gorse()));
    assert_clean(&sheets(&review_of(include_str!("../../../examples/wren.toml"))));
}

/// Overall dimensions are those of the cut pieces: the demo's longest is from outside to outside of its two loops, whose
/// middle legs run straight across nose and tail.
#[test]
fn overall_length_is_that_of_the_loops() {
    let r = gorse();
    let reach = |d| packet::sheet::extent::frame(&r, d);
    let outside = |name: &str| {
        let t = r.shape.tubes.iter().find(|t| t.name == name).expect("the demo has two loops");
        t.chain.point(t.chain.length() / 2.0).x.abs() + t.outline.reach()
    };
    let long = reach(geometry::DVec3::X) + reach(geometry::DVec3::NEG_X);
    assert!((long - outside("nose_loop") - outside("bay_loop")).abs() < 1e-9, "{long}");
    // It is the same on both sides.
    assert!((reach(geometry::DVec3::Y) - reach(geometry::DVec3::NEG_Y)).abs() < 1e-9);
}

const ONE: &str = r#"
[design]
name = "One"
[section.t]
shape = "round"
od = 38
wall = 2.5
material = "S355"
[point]
a = [0, 0, 0]
b = [0, 0, 500]
[tube.post]
section = "t"
path = ["a", "b"]
"#;

/// Box tube too wide round for the page, long names and notes, inches, Letter.
const WIDE: &str = r#"
[design]
name = "A design with a name that is a good deal longer than the names that people give to things"
units = "in"
note = "A note that goes on for so long that it can't possibly stand on one line of a sheet of paper, however small the letters that it is set in, and that says nothing at all."
by = "Someone with a long name, of somewhere with a longer one, in a place that has the longest name of all"
[section.beam_with_a_long_name_as_names_may_be]
shape = "box"
width = 4
height = 6
wall = "1/4"
material = "S355"
[section.t]
shape = "round"
od = "1 3/4"
wall = 0.095
material = "S355"
[point]
a = [0, -20, 0]
b = [0, 20, 0]
c = [0, 0, 0]
d = [40, 0, 20]
e = [80, 0, 30]
f = [40, 5, 0]
[tube.cross_with_a_name_of_the_full_length_that_is_ok]
section = "t"
path = ["a", "b"]
[tube.spine_with_a_name_of_the_full_length_that_is_ok]
section = "beam_with_a_long_name_as_names_may_be"
path = ["c", "d"]
note = "This note too goes on for longer than a line of the card has room for, so that it has to be broken into two or even three lines, all of which must stand above the picture."
[tube.bent]
section = "t"
path = ["e", "d", "f"]
bend_radius = 6
"#;

/// More bends than a card has room for, and notes as long as essays.
#[test]
fn long_notes_and_many_bends_stay_on_the_paper() {
    let essay = "This goes on. ".repeat(600);
    let mut text = format!(
        "[design]\nname = \"Snake\"\nnote = \"{essay}\"\n[section.t]\nshape = \"round\"\nod = 30\nwall = 2\nmaterial = \"S355\"\n[point]\n"
    );
    let names: Vec<String> = (0..90).map(|k| format!("p{k}")).collect();
    for (k, name) in names.iter().enumerate() {
        text += &format!("{name} = [{}, {}, 0]\n", 300 * k, if k % 2 == 0 { 0 } else { 200 });
    }
    text += &format!("[tube.snake]\nsection = \"t\"\nbend_radius = 60\nnote = \"{essay}\"\npath = {names:?}\n");
    let r = review_of(&text);
    assert_eq!(r.cutting.pieces[0].bends.as_ref().map(|b| b.bends.len()), Some(88));
    assert_clean(&sheets(&r));
}

#[test]
fn odd_designs_have_sheets() {
    for text in [ONE, WIDE, BOXES] {
        let r = review_of(text);
        let sheets = sheets(&r);
        assert_clean(&sheets);
        let bytes = pdf(&r, &identity()).expect("the PDF is written");
        assert!(bytes.starts_with(b"%PDF"), "not a PDF");
    }
    let r = review_of(WIDE);
    let p = &r.cutting.pieces[1];
    assert!(templates::needed(p.end(End::Start)), "the spine's start is cut to the cross tube");
    let sheets = sheets(&r);
    assert!(sheets.iter().all(|p| p.width == 215.9 || p.height == 215.9), "inches go on Letter");
    // The parts of tiled templates overlap: as many as their titles say, with no stretch of the line left out.
    let mut parts: std::collections::BTreeMap<&str, Vec<&str>> = Default::default();
    for t in sheets.iter().filter(|p| p.title == "templates, 1:1").flat_map(texts) {
        if let Some((end, part)) = t.text.split_once(" · part ") {
            parts.entry(end).or_default().push(part);
        }
    }
    assert!(!parts.is_empty(), "the spine is too wide round for one page");
    for (end, parts) in parts {
        for (k, part) in parts.iter().enumerate() {
            let want = format!("{} of {}", k + 1, parts.len());
            assert!(part.starts_with(&want), "{end}: {part} for {want}");
        }
    }
    let long = |l: &[DVec2]| l.windows(2).map(|w| w[0].distance(w[1])).sum::<f64>();
    let drawn: f64 = cuts(&sheets).iter().map(|l| long(l)).sum();
    let whole: f64 = odd_ends(&r).into_iter().map(|(p, e)| long(&templates::printed(p, e, |f| f.radial))).sum();
    assert!(drawn > whole, "{drawn} of {whole}");
}
