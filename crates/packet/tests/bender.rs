//! A bender worked by its sheet: whoever sets the marks, turns and angles that the card prints gets the tube that the
//! design draws, and not its mirror image.

use std::sync::Arc;

use geometry::DVec3;
use glam::DQuat;
use packet::sheet::page::Item;
use packet::sheet::{Identity, pages};
use review::Review;

/// The figures are rounded to a thousandth of a millimetre and of a degree; over a metre or two that moves the far end
/// by less than this, mm.
const SAME: f64 = 0.2;

/// Two tubes with bends in several planes, one of them worked from its end because there the clamp has room.
const DESIGN: &str = r#"
[design]
name = "Crooked"
[limits]
round = 0.001
round_angle = 0.001
[section.t]
shape = "round"
od = 30
wall = 2
material = "E355"
[die.d]
od = 30
radius = 90
grip = 150
[point]
a = [0, 0, 0]
b = [420, 20, 30]
c = [600, 380, 100]
d = [560, 500, 480]
e = [900, 700, 600]
f = [960, 600, 640]
g = [0, -800, 0]
h = [160, -820, 60]
i = [420, -600, 160]
j = [500, -900, 500]
k = [900, -1000, 500]
[tube.first]
section = "t"
path = ["a", "b", "c", "d", "e"]
die = "d"
[tube.last]
section = "t"
path = ["g", "h", "i", "j", "k"]
die = "d"
mirror = true
"#;

/// The rows of a piece's bend table: mark, turn, angle and where the scribe line is, as printed.
fn rows(r: &Review, name: &str) -> Vec<[String; 4]> {
    let id = Identity {
        file: "d".into(),
        hash: "0".repeat(64),
        skins: Vec::new(),
        date: "2026-11-25".into(),
        version: "0".into(),
        link: None,
    };
    let sheets = pages(r, &id).expect("the pages are laid out");
    let texts: Vec<(f64, String)> = sheets
        .iter()
        .filter(|p| p.title == "cards")
        .flat_map(|p| &p.items)
        .filter_map(|i| match i {
            Item::Text(t) => Some((t.at.y, t.text.clone())),
            Item::Path { .. } => None,
        })
        .collect();
    let card = texts.iter().position(|t| t.1.ends_with(&format!("  {name}"))).expect("it has a card");
    let head = card + texts[card..].iter().position(|t| t.1 == "wall out / in").expect("it has bends") + 1;
    let bends = r.cutting.pieces.iter().find(|p| p.name == name).and_then(|p| p.bends.as_ref()).expect("it has bends");
    let cell = |k: usize, column: usize| texts[head + 8 * k + column].1.clone();
    (0..bends.bends.len()).map(|k| [cell(k, 1), cell(k, 3), cell(k, 4), cell(k, 6)]).collect()
}

/// `12.5° cw` as a turn clockwise, rad.
fn turn(text: &str) -> f64 {
    let (degrees, way) = text.split_once('°').expect("an angle");
    let turn = degrees.parse::<f64>().expect("a number").to_radians();
    if way.trim().starts_with("ccw") { -turn } else { turn }
}

#[test]
fn the_sheet_makes_the_tube_of_the_design() {
    let reading = design::read(DESIGN).unwrap_or_else(|p| panic!("{}", design::render(&p, "design", DESIGN)));
    let r = review::review(Arc::new(reading.design), cutting::Detail::SHEET).expect("it can be worked out");
    let mut from_end = 0;
    for p in &r.cutting.pieces {
        let plan = p.bends.as_ref().expect("all are bent");
        let corners: Vec<DVec3> = plan.corners.iter().map(|c| *c * 1e3).collect();
        from_end += usize::from(plan.from == cutting::WorkFrom::End);
        // Only the first straight is taken from the plan: where the point of the end in the clamp lies on the blank.
        let rows = rows(&r, &p.name);
        let number = |text: &str| text.parse::<f64>().expect("a length");
        let radius = 1e3 * plan.bends[0].radius;
        let zero = number(&rows[0][0]) - 1e3 * plan.bends[0].straight;
        // The bender: the tube comes out along x, seen from the clamped end, and is bent towards y. What is out already
        // lies behind; each bend carries it round.
        let mut out: Vec<DVec3> = vec![DVec3::ZERO];
        let mut at = zero;
        let mut marks = Vec::new();
        for [mark, turned, angle, scribe] in &rows {
            let straight = number(mark) - at;
            let angle = turn(angle);
            let setback = radius * (angle / 2.0).tan();
            let twist = if turned == "-" { 0.0 } else { turn(turned) };
            // The tube is turned about x; clockwise to one who looks along it.
            let twist = DQuat::from_axis_angle(DVec3::X, twist);
            for q in &mut out {
                *q = twist * *q - DVec3::X * (straight + setback);
            }
            out.push(DVec3::ZERO);
            // Where the scribe line is now, seen along the tube: the outside of the bend is away from y.
            let off = match scribe.as_str() {
                "outside" => 0.0,
                "inside" => std::f64::consts::PI,
                text => turn(text),
            };
            marks.push(DQuat::from_axis_angle(DVec3::X, off) * DVec3::NEG_Y);
            // The rest of the tube leaves towards y: turn all back so that it runs along x again.
            let back = DQuat::from_axis_angle(DVec3::Z, -angle);
            for q in &mut out {
                *q = back * *q;
            }
            for q in &mut out {
                *q -= DVec3::X * setback;
            }
            at = number(mark) + radius * angle;
        }
        let last = 1e3 * plan.last_straight;
        for q in &mut out {
            *q -= DVec3::X * last;
        }
        out.push(DVec3::ZERO);
        // The same distances between all corners, and the same hand.
        assert_eq!(out.len(), corners.len());
        for i in 0..out.len() {
            for j in 0..i {
                let (made, drawn) = (out[i].distance(out[j]), corners[i].distance(corners[j]));
                assert!((made - drawn).abs() < SAME, "{}: {made} for {drawn} between corners {j} and {i}", p.name);
            }
        }
        let hand = |c: &[DVec3]| (c[1] - c[0]).dot((c[2] - c[0]).cross(c[3] - c[0]));
        assert!((hand(&out) / hand(&corners) - 1.0).abs() < 1e-3, "{} comes out as its mirror image", p.name);
        // From one bend to the next the scribe line goes the way that the tube is turned.
        for k in 1..rows.len() {
            let carried = DQuat::from_axis_angle(DVec3::X, turn(&rows[k][1])) * marks[k - 1];
            assert!(carried.distance(marks[k]) < 1e-3, "{}: the scribe line at bend {}", p.name, k + 1);
        }
    }
    assert!(from_end >= 2, "one tube and its twin are worked from the end");
}
