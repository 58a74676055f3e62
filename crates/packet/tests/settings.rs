//! The words of the cards against the cuts themselves: on which side a tube is short, and which way round that lies.

use std::sync::Arc;

use cutting::{Piece, SetUp};
use geometry::{DVec3, Outline};
use packet::sheet::settings;
use review::{Review, Text};
use shape::End;

/// Lengths on a card are rounded to half a millimetre; half of that and a little, m.
const HALF: f64 = 0.00026;
/// Slopes are measured between fibres that stand up to a degree of the round from the places wanted, rad.
const SLOPE: f64 = 0.05;

/// Box tubes mitred and cut to planes, every which way; round tubes cut to box tubes and to round ones.
const DESIGN: &str = r#"
[design]
name = "Ends"
[section.box]
shape = "box"
width = 40
height = 60
wall = 3
material = "S355"
[section.flat]
shape = "box"
width = 60
height = 25
wall = 2
material = "S355"
[section.t]
shape = "round"
od = 40
wall = 2
material = "E355"
[section.small]
shape = "round"
od = 25
wall = 2
material = "E355"
[point]
a = [0, 0, 0]
b = [600, 100, 150]
c = [900, 700, 0]
d = [400, 1300, 500]
e = [-500, 400, 300]
f = [-700, 900, 900]
g = { on = "round", part = 0.4 }
h = [200, 500, 900]
[tube.one]
section = "box"
path = ["a", "b"]
[tube.two]
section = "box"
path = ["c", "b"]
roll = 30
[tube.three]
section = "flat"
path = ["c", "d"]
roll = -50
mirror = true
end = { cut = "plane", plane = { point = "d", normal = [0.3, 1, 0.5] } }
start = { cut = "plane", plane = { point = "c", normal = [-0.2, 1, 0.6] } }
[tube.round]
section = "t"
path = ["e", "f"]
mirror = true
start = { cut = "plane", plane = { point = "e", normal = [0.4, 1, 0.5] } }
end = { cut = "plane", plane = { point = "f", normal = [-0.9, 0.3, 1] } }
[tube.brace]
section = "small"
path = ["g", "h"]
mirror = true
end = { cut = "plane", plane = { point = "h", normal = [1, -0.4, 0.2] } }
"#;

fn read() -> Review {
    let reading = design::read(DESIGN).unwrap_or_else(|p| panic!("{}", design::render(&p, "design", DESIGN)));
    review::review(Arc::new(reading.design), cutting::Detail::SHEET).expect("it can be worked out")
}

/// The lines of an end's only set-up.
fn lines(r: &Review, p: &Piece, end: End) -> Vec<String> {
    let t = Text::new(&r.shape.design);
    settings::words(&p.end(end).setups[0], 1, p, end, &t).into_iter().map(|l| l.1).collect()
}

/// The first number of a text.
fn number(text: &str) -> f64 {
    let digits: String = text.chars().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
    digits.parse().unwrap_or_else(|_| panic!("no number in {text:?}"))
}

/// How far the cut reaches on the outside at a place round a tube, given as up and right of its axis.
fn reach(r: &Review, p: &Piece, end: End, up: f64, right: f64) -> f64 {
    let t = &r.shape.tubes[p.tube];
    let fibre = p.end(end).profile.fibres.iter().min_by(|a, b| {
        let off =
            |f: &cutting::Fibre| t.outline.point(t.outline.station(f.round)).distance(glam::DVec2::new(up, right));
        off(a).total_cmp(&off(b))
    });
    fibre.expect("it has fibres").outer
}

#[test]
fn a_box_tube_is_short_on_the_side_that_its_card_names() {
    let r = read();
    let mut seen = 0;
    for p in &r.cutting.pieces {
        let Outline::RoundRect { .. } = r.shape.tubes[p.tube].outline else { continue };
        let design::SectionShape::Box { width, height, corner, .. } = p.size else { continue };
        for end in End::BOTH {
            if !matches!(p.end(end).setups[..], [SetUp::Saw { angle, .. }] if angle > 0.01) {
                continue;
            }
            let lines = lines(&r, p, end);
            // Along the flats only: fibres at their ends, one degree of the round apart from them at most.
            let (w, h) = (width / 2.0 - corner, height / 2.0 - corner);
            let top = (reach(&r, p, end, height / 2.0, -w) - reach(&r, p, end, height / 2.0, w), 2.0 * w);
            let side = (reach(&r, p, end, -h, width / 2.0) - reach(&r, p, end, h, width / 2.0), 2.0 * h);
            for (head, (drop, run), [short, other]) in [
                ("top, bottom: ", top, ["on the right", "on the left"]),
                ("sides: ", side, ["at the top", "at the bottom"]),
            ] {
                let line = lines.iter().find_map(|l| l.strip_prefix(head)).expect("both lines stand on the card");
                let slope = (drop / run).atan();
                if line == "square across" {
                    assert!(slope.abs() < SLOPE, "{}: {line} for {slope}", p.name);
                    continue;
                }
                assert!((number(line).to_radians() - slope.abs()).abs() < SLOPE, "{}: {line} for {slope}", p.name);
                assert!(line.ends_with(if slope > 0.0 { short } else { other }), "{}: {line} for {slope}", p.name);
                seen += 1;
            }
        }
    }
    assert!(seen >= 10, "{seen} slanting lines");
}

#[test]
fn a_round_tube_is_short_where_its_card_says() {
    let r = read();
    let mut seen = [[0; 2]; 2];
    for p in &r.cutting.pieces {
        let t = &r.shape.tubes[p.tube];
        let Outline::Circle { r: radius } = t.outline else { continue };
        for end in End::BOTH {
            let short = match p.end(end).setups[..] {
                [SetUp::Saw { angle, .. }] if angle > 0.01 => {
                    // A plane: where it comes first.
                    let fibres = &p.end(end).profile.fibres;
                    let least = fibres.iter().min_by(|a, b| a.outer.total_cmp(&b.outer)).expect("it has fibres");
                    let q = t.outline.point(t.outline.station(least.round));
                    let f = if end == End::Start { t.frames[0] } else { t.frames[t.frames.len() - 1] };
                    f.u * q.x + f.v * q.y
                }
                [SetUp::HoleSaw { ref against, .. }] => {
                    // The way along the other tube that leans back over this one.
                    let host = r.shape.tubes.iter().find(|t| t.name == *against).expect("it is there");
                    let out = t.outward(end).t;
                    let along = host.frames[0].t;
                    let back = if along.dot(out) > 0.0 { -along } else { along };
                    (back - out * back.dot(out)).normalize() * radius
                }
                _ => continue,
            };
            let lines = lines(&r, p, end);
            let line = lines.iter().find(|l| l.ends_with("facing it")).expect("the card says where");
            // Someone who faces the end looks against its way out; clockwise to them is left-handed about that.
            let out = t.outward(end).t;
            let scribe: DVec3 = t.outward(end).u;
            let turn = out.dot(scribe.cross(short)).atan2(scribe.dot(short));
            let anticlockwise = line.contains(" anticlockwise");
            assert_eq!(anticlockwise, turn > 0.0, "{} of {}: {line} for {turn}", end.word(), p.name);
            // Fibres are a degree apart.
            let off = (number(line) * 1e-3 - turn.abs() * radius).abs();
            assert!(off < HALF + 0.01 * radius, "{} of {}: {line} for {turn}", end.word(), p.name);
            seen[end as usize][usize::from(anticlockwise)] += 1;
        }
    }
    assert!(seen.iter().flatten().all(|n| *n > 0), "both ways at both ends: {seen:?}");
}
