//! Designs worked out, and what stands on their sheets.

// Each test program uses its own part of these.
#![allow(dead_code)]

use std::sync::{Arc, OnceLock};

use glam::DVec2;
use packet::sheet::page::{Anchor, Item, Page, Text};
use packet::sheet::{Identity, face::Face, layout, pages, templates};
use review::Review;
use shape::End;

/// Numbers on a page pass through a few sums of millimetres only.
pub const SAME: f64 = 1e-6;

pub fn review_of(text: &str) -> Review {
    let reading = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "design", text)));
    review::review(Arc::new(reading.design), cutting::Detail::SHEET)
        .unwrap_or_else(|p| panic!("{}", design::render(&p, "design", text)))
}

/// Worked out once for all tests of a file.
pub fn gorse() -> Review {
    static GORSE: OnceLock<Review> = OnceLock::new();
    GORSE.get_or_init(|| review_of(include_str!("../../../../examples/gorse.toml"))).clone()
}

pub fn identity() -> Identity {
    Identity {
        file: "gorse.toml".into(),
        hash: "0123456789abcdef".repeat(4),
        skins: vec![("body/nose.stl".into(), None)],
        date: "2026-11-25".into(),
        version: "0.1.0".into(),
        link: None,
    }
}

pub fn sheets(r: &Review) -> Vec<Page> {
    pages(r, &identity()).expect("the pages are laid out")
}

pub fn texts(p: &Page) -> impl Iterator<Item = &Text> {
    p.items.iter().filter_map(|i| match i {
        Item::Text(t) => Some(t),
        Item::Path { .. } => None,
    })
}

/// Least and greatest corner of a text, from under its base line to the top of its capitals.
pub fn extent(faces: &[Face; 2], t: &Text) -> [DVec2; 2] {
    let w = faces[usize::from(t.bold)].width(&t.text, t.size);
    let x = match t.anchor {
        Anchor::Left => 0.0,
        Anchor::Middle => -w / 2.0,
        Anchor::Right => -w,
    };
    let turn = DVec2::from_angle(t.turn);
    let corners = [(x, 0.0), (x + w, 0.0), (x, -0.7 * t.size), (x + w, -0.7 * t.size)]
        .map(|(x, y)| t.at + turn.rotate(DVec2::new(x, y)));
    corners.iter().fold([DVec2::INFINITY, DVec2::NEG_INFINITY], |[a, b], c| [a.min(*c), b.max(*c)])
}

pub fn faces() -> [Face; 2] {
    [false, true].map(|b| Face::new(b).expect("the face is built in"))
}

/// Paths' points that lie off the paper, and texts that do or that stand over one another.
pub fn faults(pages: &[Page]) -> Vec<String> {
    let faces = faces();
    let mut out = Vec::new();
    for (n, p) in pages.iter().enumerate() {
        let size = DVec2::new(p.width, p.height);
        let off = |q: DVec2| !(q.cmpge(DVec2::ZERO).all() && q.cmple(size).all());
        for item in &p.items {
            if let Item::Path { points, .. } = item
                && let Some(q) = points.iter().find(|q| off(**q))
            {
                out.push(format!("sheet {} ({}): a line runs to {q}", n + 1, p.title));
            }
        }
        let boxes: Vec<([DVec2; 2], &Text)> = texts(p).map(|t| (extent(&faces, t), t)).collect();
        for (i, ([a, b], t)) in boxes.iter().enumerate() {
            if off(*a - layout::MARGIN / 2.0) || off(*b + layout::MARGIN / 2.0) {
                out.push(format!("sheet {} ({}): {:?} is off the paper", n + 1, p.title, t.text));
            }
            for ([c, d], u) in &boxes[..i] {
                if a.cmplt(*d).all() && c.cmplt(*b).all() {
                    out.push(format!("sheet {} ({}): {:?} stands over {:?}", n + 1, p.title, t.text, u.text));
                }
            }
        }
    }
    out
}

pub fn assert_clean(pages: &[Page]) {
    let faults = faults(pages);
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// The bold lines of the templates, with those that lie on their side set upright: paper as one holds it.
pub fn cuts(sheets: &[Page]) -> Vec<Vec<DVec2>> {
    let bold = |i: &'_ Item| match i {
        Item::Path { closed: false, pen: Some(pen), .. } => *pen == templates::CUT,
        _ => false,
    };
    // The cut runs on and on across the template; of one on its side that is down the page.
    let upright = |l: &[DVec2]| l.windows(2).all(|w| w[1].x >= w[0].x - SAME);
    sheets
        .iter()
        .filter(|p| p.title == "templates, 1:1")
        .flat_map(|p| &p.items)
        .filter(|i| bold(i))
        .filter_map(|i| match i {
            Item::Path { points, .. } if upright(points) => Some(points.clone()),
            // The page turned anticlockwise by a right angle.
            Item::Path { points, .. } => Some(points.iter().map(|q| DVec2::new(q.y, -q.x)).collect()),
            Item::Text(_) => None,
        })
        .collect()
}

/// Ends that have a template, in the order of the sheets.
pub fn odd_ends(r: &Review) -> Vec<(&cutting::Piece, End)> {
    let all = r.cutting.pieces.iter().flat_map(|p| End::BOTH.map(|e| (p, e)));
    all.filter(|(p, e)| templates::needed(p.end(*e))).collect()
}

/// Box tubes that are wider than high, turned about their axes, cut to round and box tubes askew, and too wide round for
/// the page.
pub const BOXES: &str = r#"
[design]
name = "Boxes"
[section.t]
shape = "round"
od = 48.3
wall = 3
material = "S355"
[section.flat]
shape = "box"
width = 60
height = 30
wall = 2
material = "S355"
[section.large]
shape = "box"
width = 120
height = 180
wall = 5
corner = 12
material = "S355"
[point]
a = [0, -300, 0]
b = [40, 300, 30]
c = { on = "across", part = 0.3 }
d = [500, -250, 200]
e = { on = "flat", part = 0.6 }
f = [400, -500, 700]
g = { on = "across", part = 0.7 }
h = [-900, 200, 100]
i = [-1500, -300, 420]
[tube.across]
section = "t"
path = ["a", "b"]
[tube.flat]
section = "flat"
path = ["c", "d"]
roll = 25
mirror = true
[tube.stub]
section = "flat"
path = ["f", "e"]
roll = -70
mirror = true
[tube.large]
section = "large"
path = ["g", "h"]
[tube.larger]
section = "large"
path = ["h", "i"]
roll = 10
"#;
