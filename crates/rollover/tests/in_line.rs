//! Wheels and tubes in one line: what they tip over is one edge, by statics.

use geometry::{Chain, DVec3};
use glam::DQuat;
use rollover::{GRAVITY, HardBody, HardShape, Rollover, Settings, Side, rollover};

const KG: f64 = 260.0;
/// Wheels' radius; where the axles lie from the centre of gravity: forward, back, below.
const R: f64 = 0.3;
const FORWARD: f64 = 0.96;
const BACK: f64 = 0.64;
const BELOW: f64 = 0.27;

/// Wheels of one track, front and rear.
const ONE_TRACK: &str = "two and two of one track";

/// A car round its centre of gravity at the origin: wheels of one radius at these places to the side (with widths), and
/// two bars in line across the roof.
fn car(front: &[(f64, f64)], rear: &[(f64, f64)], place: &dyn Fn(DVec3) -> DVec3) -> Vec<HardBody> {
    let wheel = |name: String, x: f64, (y, width): (f64, f64)| HardBody {
        name,
        shape: HardShape::Wheel {
            centre: place(DVec3::new(x, y, -BELOW)),
            axle: place(DVec3::Y) - place(DVec3::ZERO),
            radius: R,
            width,
            shoulder: 0.0,
        },
    };
    let bar = |name: &str, from: f64, to: f64| HardBody {
        name: name.into(),
        shape: HardShape::Bar {
            chain: Chain::new(&[from, to].map(|y| place(DVec3::new(-0.15, y, 0.85))), &[]).expect("two places"),
            radius: 0.02,
        },
    };
    let mut out: Vec<HardBody> = Vec::new();
    out.extend(front.iter().enumerate().map(|(i, w)| wheel(format!("front {i}"), FORWARD, *w)));
    out.extend(rear.iter().enumerate().map(|(i, w)| wheel(format!("rear {i}"), -BACK, *w)));
    out.extend([bar("left half", 0.0, 0.25), bar("right half", 0.0, -0.25)]);
    out
}

fn near(a: f64, b: f64, by: f64, what: &str) {
    assert!((a - b).abs() <= by, "{what}: {a} is not {b} within {by}");
}

/// Over two wheels of one axle it rolls on their tread: the centre of gravity is highest straight over the axle. From wheels
/// that stand on their treads, with h over the axle and d behind it, m g (√(h² + d²) − h).
fn over_an_axle(d: f64) -> f64 {
    KG * GRAVITY * (BELOW.hypot(d) - BELOW)
}

fn held(r: &Rollover, what: &str) {
    let paths = |side: Side| r.paths.iter().filter(|p| p.side == side).collect::<Vec<_>>();
    for (side, d, bodies) in [(Side::Nose, FORWARD, "front"), (Side::Tail, BACK, "rear")] {
        let [path] = paths(side)[..] else { panic!("{what}: {side:?} {:#?}", paths(side)) };
        assert!(path.over.len() == 2 && path.over.iter().all(|o| o.starts_with(bodies)), "{what}: {:?}", path.over);
        near(path.steps[0].needed, over_an_axle(d), 1e-6 * over_an_axle(d), what);
        assert_ne!(path.rests, path.from, "{what}: it does not come back");
    }
    assert_eq!((paths(Side::Left).len(), paths(Side::Right).len()), (1, 1), "{what}");
    // Each edge of the rest is told once, and leads where the path over it does.
    let rest = &r.attitudes[r.paths[0].from];
    assert_eq!(rest.edges.len(), 4, "{what}: {:#?}", rest.edges);
    for e in &rest.edges {
        let path = r.paths.iter().find(|p| p.over.iter().all(|o| e.over.contains(o))).expect("a path over each edge");
        near(e.energy, path.steps[0].needed, 1e-6 * e.energy, what);
        assert_eq!(e.leads_to, Some(path.rests), "{what}: {e:?}");
    }
    // What stands between the outermost wheels touches the ground as well.
    assert!(rest.contacts.len() >= 4, "{what}: {:?}", rest.contacts);
}

/// The wheels of an axle: how far to the left, how wide, m.
type Axle<'a> = &'a [(f64, f64)];

#[test]
fn wheels_in_line_are_one_edge_however_it_is_drawn() {
    let (narrow, wide) = ([(0.56, 0.14), (-0.56, 0.14)], [(0.56, 0.16), (-0.56, 0.16)]);
    let twins = [(0.6, 0.1), (0.45, 0.1), (-0.45, 0.1), (-0.6, 0.1)];
    let cars: [(&str, Axle<'_>, Axle<'_>); 4] = [
        ("two and two", &narrow, &wide),
        (ONE_TRACK, &narrow, &narrow),
        ("the right one first", &[(-0.56, 0.14), (0.56, 0.14)], &wide),
        ("twins", &narrow, &twins),
    ];
    for (name, front, rear) in cars {
        // Wheels whose sides lie in one plane as drawn do so no longer, to the last digit, once they are turned.
        let turns = if name == ONE_TRACK { 2 } else { 24 };
        for k in 0..turns {
            let turn = DQuat::from_axis_angle(DVec3::new(0.3, -0.5, 0.81).normalize(), f64::from(k / 2) * 0.37);
            // Every other one is mirrored, and moved.
            let side = if k % 2 == 0 { 1.0 } else { -1.0 };
            let place = |p: DVec3| turn * DVec3::new(p.x, side * p.y, p.z) + DVec3::new(0.4, -1.1, 0.3) * f64::from(k);
            let s = Settings {
                down: turn * DVec3::NEG_Z,
                forward: turn * DVec3::X,
                ..Settings::new(place(DVec3::ZERO), KG)
            };
            let r = rollover(&car(front, rear, &place), &s).expect("an answer");
            held(&r, &format!("{name}, {k}"));
        }
    }
}
