//! Where pieces sit, against plane geometry: what a fitter would measure.

mod common;

use common::review_of;
use packet::fitting::{Seat, seats};
use packet::sheet::settings;
use review::{Review, Text};
use shape::End;

/// Fibres are a degree apart: the footprint's two extremes lie between them, m.
const NEAR: f64 = 1e-5;

const DESIGN: &str = r#"
[design]
name = "Seats"
[section.rail]
shape = "box"
width = 50
height = 80
wall = 3
material = "S355"
[section.t]
shape = "round"
od = 40
wall = 2
material = "E355"
[section.s]
shape = "round"
od = 20
wall = 2
material = "E355"
[point]
a = [-200, 300, 0]
b = [1800, 300, 0]
c = { on = "rail", x = 300 }
d = { on = "rail", x = 1000 }
e = [700, 300, 400]
f = { on = "cross", part = 0.5 }
g = [300, 0, 600]
h = { on = "rail", at = 700, by = [0, 0, -10] }
i = [600, 900, -10]
j = [0, 900, -10]
[tube.rail]
section = "rail"
path = ["a", "b"]
mirror = true
start = { cut = "square" }
end = { cut = "square", long = 150 }
[tube.cross]
section = "t"
path = ["c", "c~"]
[tube.brace]
section = "t"
path = ["d", "e"]
mirror = true
[tube.low]
section = "t"
path = ["h", "i"]
[tube.knee]
section = "t"
path = ["i", "j"]
[tube.post]
section = "s"
path = ["f", "g"]
"#;

fn of(r: &Review, name: &str, end: End) -> Seat {
    let p = r.cutting.pieces.iter().find(|p| p.name == name).expect("it is there");
    let all = seats(r, p, end);
    assert_eq!(all.len(), 1, "{name}: {all:?}");
    all[0].clone()
}

fn assert_at(s: &Seat, on: &str, from: f64, to: f64, degrees: f64) {
    assert_eq!((s.on.as_str(), s.measured_from), (on, End::Start));
    assert!((s.from - from).abs() < NEAR && (s.to - to).abs() < NEAR, "{s:?} for {from} to {to}");
    let off = (s.turn().expect("no bend") - degrees.to_radians()).cos();
    assert!(off > 1.0 - NEAR, "{s:?} for {degrees}");
}

#[test]
fn seats_are_where_plane_geometry_puts_them() {
    let r = review_of(DESIGN);
    // Square to the rails, 500 mm from their ends: as wide as the tube itself. From start to end of a rail its left is
    // +y, so the cross tube stands on the right of the one and on the left of the other.
    assert_at(&of(&r, "cross", End::Start), "rail", 0.48, 0.52, 90.0);
    assert_at(&of(&r, "cross", End::End), "rail~", 0.48, 0.52, 270.0);
    // A brace that leans back over the rail's top from x = 1000 on its axis to (700, 400): its axis passes the top, 40
    // over the rail's axis, at 970, and it covers its diameter over the sine of its angle.
    let sine = 0.4f64.hypot(0.3).recip() * 0.4;
    let (middle, half) = (0.2 + 0.97, 0.02 / sine);
    for (name, on) in [("brace", "rail"), ("brace~", "rail~")] {
        assert_at(&of(&r, name, End::Start), on, middle - half, middle + half, 0.0);
    }
    // Round on round: along the other tube as wide as itself, on top. The cross tube's long point is its start.
    let long = r.cutting.pieces.iter().find(|p| p.name == "cross").expect("it is there").ends[0].profile.long;
    assert_at(&of(&r, "post", End::Start), "cross", 0.29 + long, 0.31 + long, 0.0);
    // From (500, 300) to (600, 900) it passes the side, 25 off the axis, at 504.2, with a sine of 0.9864.
    let words = |name: &str| settings::seat(&r, &of(&r, name, End::Start), &Text::new(&r.shape.design));
    assert_eq!(words("low"), "sits on rail from 684 to 724.5 mm off its start, left, 10 mm below its middle");
    assert_eq!(words("brace~"), "sits on rail~ from 1145 to 1195 mm off its start, top");
    // A free end sits on nothing, nor do the halves of a mitre sit on each other.
    let piece = |name: &str| r.cutting.pieces.iter().find(|p| p.name == name).expect("it is there");
    assert!(seats(&r, piece("post"), End::End).is_empty());
    assert_eq!(piece("knee").ends[0].kind, "mitre");
    assert!(seats(&r, piece("knee"), End::Start).is_empty());
}

#[test]
fn a_seat_is_measured_from_an_end_that_is_not_trimmed_later() {
    let text = DESIGN.replace("start = { cut = \"square\" }", "start = { cut = \"square\", long = 100 }");
    let both = of(&review_of(&text), "cross", End::Start);
    assert_eq!(both.measured_from, End::Start);
    let text = text.replace("end = { cut = \"square\", long = 150 }", "end = { cut = \"square\" }");
    let r = review_of(&text);
    let s = of(&r, "cross", End::Start);
    assert_eq!(s.measured_from, End::End);
    assert!((s.from - 1.48).abs() < NEAR && (s.to - 1.52).abs() < NEAR, "{s:?}");
    let words = settings::seat(&r, &s, &Text::new(&r.shape.design));
    assert_eq!(words, "sits on rail from 1480 to 1520 mm off its end, right");
}
