//! The views: what hides what, and a number for every piece.

use std::sync::Arc;

use geometry::DVec3;
use packet::sheet::hidden::Scene;
use packet::sheet::page::{Ink, Item};
use packet::sheet::{Identity, numbers, pages};
use review::Review;

fn review_of(text: &str) -> Review {
    let reading = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "design", text)));
    review::review(Arc::new(reading.design), cutting::Detail::SHEET)
        .unwrap_or_else(|p| panic!("{}", design::render(&p, "design", text)))
}

/// A box rail along x with a post that is coped onto its top, a bent tube to the left of both, and a plate with a hole
/// farther left.
const FRAME: &str = r#"
[design]
name = "Views"
[limits]
gap = 2
[section.rail]
shape = "box"
width = 40
height = 60
wall = 3
material = "S355"
[section.t]
shape = "round"
od = 30
wall = 2
material = "S355"
[point]
a = [-500, 0, 0]
b = [500, 0, 0]
m = [0, 0, 0]
top = [0, 0, 400]
c = [300, 100, -300]
d = [300, 100, 300]
e = [-300, 100, 300]
p1 = [-400, 200, -100]
p2 = [-200, 200, -100]
p3 = [-200, 200, 100]
p4 = [-400, 200, 100]
h = [-300, 200, 0]
[tube.rail]
section = "rail"
path = ["a", "b"]
[tube.post]
section = "t"
path = ["m", "top"]
[tube.bent]
section = "t"
path = ["c", "d", "e"]
bend_radius = 100
[plate.shield]
thickness = 4
material = "S355"
outline = ["p1", "p2", "p3", "p4"]
holes = [{ at = "h", d = 40 }]
"#;

#[test]
fn near_things_hide_far_ones() {
    let r = review_of(FRAME);
    // Seen from the left: the eye is at y = +infinity.
    let scene = Scene::new(&r, DVec3::NEG_X, DVec3::Z, 100.0);
    let sees = |x: f64, y: f64, z: f64| scene.sees(DVec3::new(x, y, z), None);
    assert!(sees(0.0, 0.02, 0.0), "the rail's own left face");
    assert!(!sees(0.0, -0.02, 0.0), "the rail's far face");
    assert!(sees(0.1, -0.02, 0.031), "just over the rail, beside the post");
    assert!(!sees(0.0, -0.02, 0.2), "behind the post");
    assert!(sees(0.015, 0.0, 0.2), "the post's own side, where it turns away");
    assert!(!sees(0.3, 0.02, 0.0), "the rail behind the bent tube's leg");
    assert!(sees(0.32, 0.02, 0.0), "the rail beside it");
    assert!(sees(0.3, 0.02, 0.3), "the corner that the bend cuts off");
    let mid = 0.3 - 0.1 + 0.1 * std::f64::consts::FRAC_1_SQRT_2;
    assert!(!sees(mid, 0.02, mid), "behind the bend itself");
    assert!(!sees(-0.25, 0.02, 0.0), "behind the plate");
    assert!(sees(-0.3, 0.02, 0.0), "through its hole");
    assert!(sees(-0.25, 0.203, 0.0), "the plate's near face");
}

#[test]
fn ends_reach_as_far_as_they_are_cut() {
    let r = review_of(FRAME);
    // From ahead: the post stands on the rail's top, 30 over its axis and a gap of 2; below that it is not there to hide.
    let scene = Scene::new(&r, DVec3::Y, DVec3::Z, 100.0);
    assert!(!scene.sees(DVec3::new(-0.1, 0.0, 0.035), None), "behind the post's foot");
    assert!(scene.sees(DVec3::new(-0.1, 0.0, 0.031), None), "through the root gap of 2 mm");
}

#[test]
fn each_piece_has_its_number_in_the_fitting_order() {
    for text in [FRAME, include_str!("../../../examples/gorse.toml"), include_str!("../../../examples/wren.toml")] {
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
        let numbers: Vec<&str> = sheets
            .iter()
            .filter(|p| p.title == numbers::TITLE)
            .flat_map(|p| &p.items)
            .filter_map(|i| match i {
                Item::Text(t) if t.bold => Some(t.text.as_str()),
                _ => None,
            })
            .collect();
        for p in &r.cutting.pieces {
            assert!(numbers.contains(&p.number.to_string().as_str()), "no number for {}", p.name);
        }
    }
}

/// A coped post shows its foot's rim on the rail and no line below it.
#[test]
fn nothing_of_a_post_is_drawn_within_its_rail() {
    let r = review_of(FRAME);
    let mut page = packet::sheet::page::Page { width: 300.0, height: 200.0, title: String::new(), items: Vec::new() };
    let view = packet::sheet::views::View::FRONT;
    let place = packet::sheet::views::place(
        &r,
        view,
        glam::DVec2::new(10.0, 10.0),
        glam::DVec2::new(280.0, 180.0),
        true,
        false,
    );
    packet::sheet::views::draw(&mut page, &r, &place);
    // Within the rail's end as seen from ahead, a little in from its edges, there is nothing.
    let (low, high) = (place.put(DVec3::new(0.0, -0.018, 0.028)), place.put(DVec3::new(0.0, 0.018, -0.028)));
    for i in &page.items {
        if let Item::Path { points, pen: Some(pen), .. } = i
            && pen.ink == Ink::Black
        {
            let inside = points.iter().find(|p| p.cmpgt(low).all() && p.cmplt(high).all());
            assert!(inside.is_none(), "a line at {inside:?} between {low} and {high}");
        }
    }
}
