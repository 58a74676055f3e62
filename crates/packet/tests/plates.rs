//! Plates of one shape are drawn once, and none is left out.

use std::sync::Arc;

use packet::sheet::page::Item;
use packet::sheet::{Identity, pages, plates};
use review::Review;

fn review_of(text: &str) -> Review {
    let reading = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "design", text)));
    review::review(Arc::new(reading.design), cutting::Detail::SHEET)
        .unwrap_or_else(|p| panic!("{}", design::render(&p, "design", text)))
}

/// Three-cornered plates: a first one, its mirror image, the first with its hole elsewhere, thicker, and with other
/// corners.
const PLATES: &str = r#"
[design]
name = "Plates"
[section.t]
shape = "round"
od = 30
wall = 2
material = "S355"
[point]
a = [0, 0, 0]
b = [500, 0, 0]
o = [0, 100, 0]
[tube.bar]
section = "t"
path = ["a", "b"]
[plate.first]
thickness = 4
material = "S355"
outline = { origin = "o", x = [1, 0, 0], y = [0, 0, 1], corners = [[0, 0], [80, 0], [10, 60]] }
holes = [{ at = [20, 20], d = 12 }]
mirror = true
[plate.turned]
thickness = 4
material = "S355"
outline = { origin = "o", x = [0, 0, -1], y = [1, 0, 0], corners = [[10, 60], [0, 0], [80, 0]] }
holes = [{ at = [20, 20], d = 12 }]
[plate.other_hole]
thickness = 4
material = "S355"
outline = { origin = "o", x = [1, 0, 0], y = [0, 0, 1], corners = [[0, 0], [80, 0], [10, 60]] }
holes = [{ at = [21, 20], d = 12 }]
[plate.thick]
thickness = 5
material = "S355"
outline = { origin = "o", x = [1, 0, 0], y = [0, 0, 1], corners = [[0, 0], [80, 0], [10, 60]] }
holes = [{ at = [20, 20], d = 12 }]
[plate.other_corner]
thickness = 4
material = "S355"
outline = { origin = "o", x = [1, 0, 0], y = [0, 0, 1], corners = [[0, 0], [80, 0], [11, 60]] }
holes = [{ at = [20, 20], d = 12 }]
"#;

#[test]
fn plates_of_one_shape_stand_together() {
    let r = review_of(PLATES);
    let names: Vec<Vec<&str>> =
        plates::shapes(&r).iter().map(|g| g.iter().map(|p| p.name.as_str()).collect()).collect();
    let want: [&[&str]; 4] = [&["first", "first~", "turned"], &["other_hole"], &["thick"], &["other_corner"]];
    assert_eq!(names, want);
}

#[test]
fn every_plate_is_named_on_its_sheet() {
    for text in [PLATES, include_str!("../../../examples/gorse.toml")] {
        let r = review_of(text);
        let id = Identity {
            file: "x".into(),
            hash: "0".repeat(64),
            skins: Vec::new(),
            date: "2026-11-25".into(),
            version: "0".into(),
            link: None,
        };
        let sheets = pages(&r, &id).expect("the pages are laid out");
        let words: Vec<&str> = sheets
            .iter()
            .filter(|p| p.title == plates::TITLE)
            .flat_map(|p| &p.items)
            .filter_map(|i| match i {
                Item::Text(t) if t.bold => Some(t.text.as_str()),
                _ => None,
            })
            .flat_map(|t| t.split(", "))
            .map(|t| t.trim_end_matches(','))
            .collect();
        assert!(!r.shape.plates.is_empty());
        for p in &r.shape.plates {
            assert_eq!(words.iter().filter(|w| **w == p.name).count(), 1, "{}", p.name);
        }
    }
}
