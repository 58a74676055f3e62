//! Saddles: closed surfaces that hold the axis where it belongs, at random joints; what is refused.

mod common;

use common::{near, shape};
use design::Jig;
use geometry::DVec3;
use jigs::saddle::{Host, Saddle, SaddleAsk, Where, make};
use proptest::prelude::*;
use shape::End;

fn euler(s: &Saddle) -> i64 {
    s.mesh.points.len() as i64 - s.mesh.triangles.len() as i64 / 2
}

/// How far faces of the hollow stand from the designed axis, of those square to it within a hair: the least in each of
/// two directions that carry a round tube.
fn carried(s: &Saddle) -> [f64; 2] {
    let [p, t] = s.axis;
    let q = t.cross(s.support);
    let mut least = [f64::INFINITY; 2];
    for tri in &s.mesh.triangles {
        let [a, b, c] = tri.map(|i| s.mesh.points[i as usize]);
        let n = (b - a).cross(c - a).normalize();
        // Outward of the plastic, so towards the axis.
        let away = -(n.dot(a - p));
        if n.dot(t).abs() < 1e-6 && away > 0.0 {
            for (k, sign) in [-1.0, 1.0].into_iter().enumerate() {
                let d = (s.support + q * sign).normalize();
                if (-n).dot(d) > 1.0 - 1e-9 {
                    least[k] = least[k].min(away);
                }
            }
        }
    }
    least
}

const FLAT: Host = Host::Flat { point: DVec3::ZERO, normal: DVec3::Z };

fn over_bench(z: f64) -> shape::Shape {
    shape(&format!("[point]\na = [0, 0, {z}]\nb = [600, 0, {z}]\n[tube.k]\nsection = \"b\"\npath = [\"a\", \"b\"]\n"))
}

#[test]
fn a_box_on_a_bench_has_its_volume_by_hand() {
    let print = Jig { ties: 0, ..Jig::default() };
    let ask = SaddleAsk { held: "k".into(), host: FLAT, at: Where::Station(0.3) };
    let s = make(&over_bench(60.0), &ask, &print).unwrap();
    // 30 long; 50 + 2 (0.2 + 4) wide, 60 high to the axis; the hollow 50.4 wide from 20 up.
    let solid = 0.03 * 0.0584 * 0.06 - 0.03 * 0.0504 * 0.04;
    // A figure one, 8 high: two strokes of 0.15 by 0.475 of its height, 0.6 deep.
    let one = 2.0 * (0.15 * 0.008) * (0.475 * 0.008) * 0.0006;
    near(s.volume, solid - one, 1e-15);
    assert!(s.notes.is_empty());
    near(s.radius, 0.04, 1e-12);
    assert_eq!((s.number, s.host.as_str()), (1, "flat"));
    assert_eq!(s.mesh.check(), Ok(()));
    assert_eq!(euler(&s), 2);
    // Two slots go through: two handles.
    let s = make(&over_bench(60.0), &ask, &Jig { ties: 2, ..Jig::default() }).unwrap();
    assert_eq!((euler(&s), s.notes.len()), (-2, 0));
}

#[test]
fn what_can_not_be_is_refused_in_words() {
    let why = |z: f64, at: f64, print: Jig| {
        make(&over_bench(z), &SaddleAsk { held: "k".into(), host: FLAT, at: Where::Station(at) }, &print).unwrap_err()
    };
    assert!(why(40.5, 0.3, Jig::default()).contains("no room between"));
    assert!(why(60.0, 0.01, Jig::default()).contains("ends"));
    assert!(why(60.0, 9.0, Jig::default()).contains("not as long"));
    assert!(why(60.0, 0.3, Jig { bed: [0.05, 0.05, 0.1], ..Jig::default() }).contains("printer's bed"));
    for bad in [f64::NAN, 0.0, -1.0, f64::INFINITY] {
        assert!(why(60.0, 0.3, Jig { wall: bad, ..Jig::default() }).contains("more than nothing"));
    }
    assert!(why(60.0, 0.3, Jig { wrap: 3.2, ..Jig::default() }).contains("180 degrees"));
    let ask = SaddleAsk { held: "nobody".into(), host: FLAT, at: Where::Station(0.3) };
    assert!(make(&over_bench(60.0), &ask, &Jig::default()).is_err());
    let self_ = SaddleAsk { held: "k".into(), host: Host::Tube("k".into()), at: Where::Joint(End::End) };
    assert!(make(&over_bench(60.0), &self_, &Jig::default()).is_err());
}

#[test]
fn a_tube_that_passes_over_a_rail_stands_on_it() {
    for (across, skew) in [(0.0, 0.0), (300.0, 0.0), (300.0, 120.0)] {
        let s = shape(&format!(
            "[point]\na = [-500, 0, 0]\nb = [500, 0, 0]\nc = [{}, {across}, 100]\nd = [{}, {}, 100]\n[tube.rail]\nsection = \"b\"\npath = \
             [\"a\", \"b\"]\n[tube.k]\nsection = \"t\"\npath = [\"c\", \"d\"]\n",
            if across == 0.0 { -300.0 } else { -skew },
            if across == 0.0 { 300.0 } else { skew },
            -across
        ));
        let half = s.tubes[1].chain.length() / 2.0;
        let ask = SaddleAsk { held: "k".into(), host: Host::Tube("rail".into()), at: Where::Station(half) };
        let got = make(&s, &ask, &Jig::default()).unwrap();
        for d in carried(&got) {
            near(d, 0.02, 1e-9);
        }
        near(got.axis[0].y, 0.06, 1e-12);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn at_a_joint_the_axis_is_where_it_was_drawn(
        along in -1.4f64..1.4, side in -0.4f64..0.4, on in 0usize..2, turn in -0.6f64..0.6, dx in -30.0f64..30.0,
        clearance in 0.0f64..0.5e-3, wrap in 100.0f64..175.0,
    ) {
        let section = ["t", "b"][on];
        let (c, s) = (turn.cos() * 800.0, turn.sin() * 800.0);
        // The host lies along a direction in plan; the held tube leaves its middle.
        let d = [dx + along * turn.cos() * 400.0 - side * turn.sin() * 400.0, along * turn.sin() * 400.0 + side * turn.cos() * 400.0, 400.0];
        let body = format!(
            "[point]\na = [{}, {}, 0]\nb = [{}, {}, 0]\nm = {{ on = \"host\", part = 0.5 }}\nd = [{}, {}, {}]\n[tube.host]\nsection = \
             \"{section}\"\npath = [\"a\", \"b\"]\n[tube.k]\nsection = \"t\"\npath = [\"m\", \"d\"]\n",
            dx - c, -s, dx + c, s, d[0], d[1], d[2]
        );
        let shape = shape(&body);
        let ask = SaddleAsk { held: "k".into(), host: Host::Tube("host".into()), at: Where::Joint(End::Start) };
        let print = Jig { clearance, wrap: wrap.to_radians(), ..Jig::default() };
        match make(&shape, &ask, &print) {
            Ok(got) => {
                prop_assert_eq!(got.mesh.check(), Ok(()));
                // Its axis in the frame is the tube's.
                let out = shape.tubes[1].outward(End::Start);
                let [p, t] = got.axis.map(|v| got.axes[0] * v.x + got.axes[1] * v.y + got.axes[2] * v.z);
                prop_assert!(t.distance(-out.t) < 1e-12);
                prop_assert!((got.origin + p - out.origin).cross(out.t).length() < 1e-12);
                if wrap > 150.0 {
                    for d in carried(&got) {
                        prop_assert!((d - 0.02).abs() < 1e-9, "{d}");
                    }
                }
                // Nothing of it is in the host or nearer the weld than asked.
                for q in &got.mesh.points {
                    let at = got.origin + got.axes[0] * q.x + got.axes[1] * q.y + got.axes[2] * q.z;
                    let (st, _) = shape.tubes[0].chain.nearest(at);
                    let f = shape.tubes[0].frames[0].at(shape.tubes[0].chain.point(st));
                    prop_assert!(shape.tubes[0].outline.depth(f.across(at - f.origin)) < 1e-9);
                    let (along, off) = shape.tubes[1].chain.nearest(at);
                    prop_assert!(off > 0.02 - 1e-9, "in the tube at {along}");
                }
                prop_assert!(euler(&got) <= 2);
            }
            Err(why) => {
                prop_assert!(
                    ["too flat", "leans too far", "no room", "lands beside", "printer's bed"].iter().any(|w| why.contains(w)), "{why}"
                );
            }
        }
    }
}

#[test]
fn the_file_says_which_saddles_and_how_large() {
    let body = |jig: &str| {
        format!(
            "[point]\na = [-500, 0, 0]\nb = [500, 0, 0]\nc = {{ on = \"rail\", x = 0 }}\nd = [250, 0, 400]\n\
             p = [-300, -200, 150]\nq = [300, -200, 150]\n\
             [tube.rail]\nsection = \"b\"\npath = [\"a\", \"b\"]\n[tube.stay]\nsection = \"t\"\npath = [\"c\", \"d\"]\n\
             [tube.over]\nsection = \"t\"\npath = [\"p\", \"q\"]\n\
             [plate.table]\nthickness = 10\nmaterial = \"S355\"\noutline = {{ origin = \"p\", x = [1, 0, 0], y = [0, 1, 0], \
             corners = [[0, -50], [600, -50], [600, 50], [0, 50]] }}\n{jig}"
        )
    };
    let made = |jig: &str| jigs::saddle::all(&shape(&body(jig)));
    let (own, notes) = made("");
    assert_eq!((own.len(), notes.len()), (1, 0));
    assert_eq!((own[0].held.as_str(), own[0].host.as_str()), ("stay", "rail"));
    let wanted = "[jig]\nlength = 24\nwall = 5\nsaddles = [{ tube = \"stay\", end = \"start\" }, \
                  { tube = \"over\", at = 100, flat = { z = 0 } }, { tube = \"over\", at = -100, flat = { z = 300 } }]";
    let (got, notes) = made(wanted);
    assert!(notes.is_empty(), "{notes:?}");
    near(got[0].seat[1] - got[0].seat[0], 0.024, 1e-12);
    // Under the tube, and over it: the plane is looked at from the tube's side, the axis is as far from either.
    for (s, along) in got[1..].iter().zip([0.1, 0.5]) {
        near((s.seat[0] + s.seat[1]) / 2.0, along, 1e-12);
        near(s.axis[0].y, 0.15, 1e-12);
        near(s.size.x.min(s.size.y), 0.024, 1e-12);
    }
    near(got[1].axes[1].z, 1.0, 1e-12);
    near(got[2].axes[1].z, -1.0, 1e-12);
    // The plate's middle is at the tube's height: its faces pass through the tube, and that is said.
    let (none, notes) = made("[jig]\nsaddles = [{ tube = \"over\", at = 300, flat = { plate = \"table\" } }]");
    assert!(none.is_empty() && notes[0].level == shape::Level::Look, "{notes:?}");
    let (none, notes) =
        made("[jig]\nsaddles = [{ tube = \"over\", end = \"end\" }, { tube = \"over\", at = -700, on = \"rail\" }]");
    assert!(none.is_empty());
    assert!(
        notes[0].what.contains("no tube passes at that end") && notes[1].what.contains("not that long"),
        "{notes:?}"
    );
    assert!(made("[jig]\nsaddles = []").0.is_empty());
    let (none, notes) = made("[jig]\nbed = [25, 25, 25]");
    assert!(none.is_empty() && notes[0].level == shape::Level::Note && notes[0].what.contains("printer's bed"));
}
