//! Stands against the trade's check value and closed forms.

mod common;

use common::{near, shape};
use geometry::{DMat3, DVec3};
use jigs::stands::{From, Scrap, Wanted, stands, suggest};
use jigs::{Stands, StandsAsk, Support, World};
use proptest::prelude::*;

const IN: f64 = 0.0254;

const RAILS: &str = r#"
[point]
a = [1000, 300, 0]
b = [-1000, 300, 0]
[tube.rail]
section = "deep"
path = ["a", "b"]
mirror = true
"#;

fn support(under: &str, x: f64, wanted: Wanted, from: From) -> Support {
    Support { under: under.into(), x, wanted, from, shim: 0.0, foot: 0.0, floor: 0.0 }
}

fn ask(supports: Vec<Support>) -> StandsAsk {
    StandsAsk { supports, datum_over_floor: 0.0, world: World::SQUARE, scrap: vec![], kerf: 0.0, centre: None }
}

fn four(h: [f64; 4]) -> StandsAsk {
    let places = [("rail", 0.8), ("rail", -0.8), ("rail~", 0.8), ("rail~", -0.8)];
    ask(places.iter().zip(h).map(|(p, h)| support(p.0, p.1, Wanted::Underside(h), From::Floor)).collect())
}

fn words(s: &Stands) -> String {
    s.findings.iter().map(|f| f.what.as_str()).collect::<Vec<_>>().join("; ")
}

#[test]
fn a_rail_four_inches_deep_with_its_top_at_22_wants_18() {
    let s = stands(&shape(RAILS), &ask(vec![support("rail", 0.5, Wanted::Top(22.0 * IN), From::Floor)]));
    near(s.stands[0].length, 18.0 * IN, 1e-12);
    near(s.stands[0].depth, 4.0 * IN, 1e-12);
}

#[test]
fn foot_shim_and_floor_come_off_and_the_datum_does_not_see_them() {
    let mut a = support("rail", 0.5, Wanted::Top(0.1016), From::Datum);
    (a.shim, a.foot, a.floor) = (0.002, 0.006, -0.011);
    let mut all = ask(vec![a]);
    all.datum_over_floor = 0.5;
    // With the rail's underside for datum, its top is 101.6 above that.
    let shape = shape_with_datum();
    let s = stands(&shape, &all);
    near(s.stands[0].length, 0.5 - 0.002 - 0.006 + 0.011, 1e-12);
    near(s.stands[0].over_datum, 0.0, 1e-12);
}

#[test]
fn two_stands_or_three_on_a_line_do_not_hold_it() {
    let s = shape(RAILS);
    let up = |t: &str, x: f64| support(t, x, Wanted::Underside(0.5), From::Floor);
    assert!(words(&stands(&s, &ask(vec![up("rail", 0.5), up("rail~", 0.5)]))).contains("two stands do not hold it"));
    let line = stands(&s, &ask(vec![up("rail", 0.5), up("rail", 0.0), up("rail", -0.5)]));
    assert!(words(&line).contains("on one line") && line.margin.is_none());
    let tips = stands(&s, &ask(vec![up("rail", 0.9), up("rail~", 0.9), up("rail", 0.2)]));
    assert!(words(&tips).contains("outside its stands"));
    // The edge from (0.2, 0.3) to (0.9, -0.3) passes the middle at this distance.
    near(tips.margin.unwrap(), -0.33 / 0.85f64.sqrt(), 1e-9);
    assert!(words(&stands(&s, &ask(vec![up("none", 0.0)]))).contains("there is no tube none"));
    assert!(words(&stands(&s, &ask(vec![up("rail", 3.0)]))).contains("does not reach"));
}

#[test]
fn four_that_disagree_rock_and_by_how_much() {
    let s = shape(RAILS);
    let good = stands(&s, &four([0.5; 4]));
    assert!(good.findings.is_empty(), "{}", words(&good));
    near(good.margin.unwrap(), 0.3, 1e-9);
    // One of four in a rectangle out by d: a plane leaves d/4 at each, with signs.
    let bad = stands(&s, &four([0.504, 0.5, 0.5, 0.5]));
    near(bad.rock, 0.002, 1e-12);
    assert!(words(&bad).contains("rocks"));
    let tilted = stands(&s, &four([0.516, 0.5, 0.516, 0.5]));
    near(tilted.tilt, (0.016f64 / 1.6).atan(), 1e-12);
    near(tilted.rock, 0.0, 1e-12);
    assert!(words(&tilted).contains("out of level"));
}

#[test]
fn scrap_is_taken_shortest_first_and_used_again() {
    let s = shape(RAILS);
    let mut a = four([0.5, 0.5, 0.3, 0.3]);
    a.kerf = 0.002;
    a.scrap =
        [("long", 0.9), ("short", 0.52), ("stub", 0.31)].map(|(n, l)| Scrap { name: n.into(), length: l }).to_vec();
    let got: Vec<_> = stands(&s, &a).stands.into_iter().map(|s| s.scrap.unwrap()).collect();
    assert_eq!(got, ["short", "long", "stub", "long"]);
    a.scrap.truncate(1);
    assert!(words(&stands(&s, &a)).contains("no scrap is long enough"));
}

/// The lowest place of the section's outline, straight under the axis, by looking all round.
fn under(outline: &geometry::Outline, u: DVec3, v: DVec3, up: DVec3) -> f64 {
    let n = 40_000;
    let step = outline.perimeter() / n as f64;
    let t = u.cross(v);
    // A line of the surface is parallel to t: where it passes the plumb plane through the axis across t.
    (0..n)
        .map(|i| {
            let q = outline.point(outline.station(i as f64 * step));
            let d = u * q.x + v * q.y;
            // Along t until straight over or under as seen from the side: its part along the level of t is nought.
            let level = t - up * t.dot(up);
            (d - t * (d.dot(level) / t.dot(level))).dot(up)
        })
        .fold(0.0, |a: f64, b| a.max(-b))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn inclined_and_rolled_members_are_as_deep_as_they_are(rise in -0.9f64..0.9, roll in -60.0f64..60.0, section in 0usize..3) {
        let name = ["t", "b", "deep"][section];
        let turned = if section > 0 { format!("roll = {roll}") } else { String::new() };
        let body = format!(
            "[point]\na = [0, 0, 0]\nb = [1000, 200, {}]\n[tube.k]\nsection = \"{name}\"\npath = [\"a\", \"b\"]\n{turned}\n", rise * 1000.0
        );
        let s = shape(&body);
        let f = s.tubes[0].frames[0];
        let got = stands(&s, &ask(vec![support("k", 0.5, Wanted::Axis(2.0), From::Floor)]));
        let want = under(&s.tubes[0].outline, f.u, f.v, DVec3::Z);
        prop_assert!((got.stands[0].depth / 2.0 - want).abs() < 1e-8, "{} is not {want}", got.stands[0].depth / 2.0);
        prop_assert!((got.stands[0].length - (2.0 - want)).abs() < 1e-8);
        prop_assert!((got.stands[0].top - f.t.z.asin().abs()).abs() < 1e-12);
    }

    #[test]
    fn suggested_stands_hold_a_tilted_frame_without_rock(nose in -0.2f64..0.2, side in -0.2f64..0.2) {
        let s = shape_with_datum();
        let mut a = suggest(&s, 0.6);
        a.world = World::tilted(DMat3::from_rotation_x(side) * DMat3::from_rotation_y(nose), None);
        let got = stands(&s, &a);
        prop_assert_eq!(got.stands.len(), 4);
        prop_assert!(got.rock < 1e-12 && got.tilt < 1e-9, "{} {}", got.rock, got.tilt);
    }
}

fn shape_with_datum() -> shape::Shape {
    common::make("mm\"\ndatum = { under = \"rail\" }\nnote = \"x", RAILS, 1.0)
}

#[test]
fn a_temporary_tube_goes_after_the_piece_that_the_file_names() {
    let list = |word: &str| {
        jigs::temporary::list(&shape(&format!(
            "[point]\na = [-500, 0, 0]\nb = [500, 0, 0]\nc = [-500, 0, 400]\nd = [500, 0, 400]\n\
             [tube.rail]\nsection = \"b\"\npath = [\"a\", \"b\"]\n\
             [tube.prop]\nsection = \"t\"\npath = [\"a\", \"c\"]\ntemporary = true\n{word}\n\
             [tube.bar]\nsection = \"t\"\npath = [\"c\", \"d\"]\n[tube.post]\nsection = \"t\"\npath = [\"b\", \"d\"]\n"
        )))
    };
    let prop = &list("out_after = \"bar\"")[0];
    assert_eq!((prop.after.as_str(), prop.way), ("bar", "height"));
    near(prop.holds, 0.4, 1e-12);
    assert_eq!(list("")[0].after, "post");
}
