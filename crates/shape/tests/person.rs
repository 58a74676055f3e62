//! The seated figure against the survey, the rules' template, and closed forms.

mod common;

use common::shape;
use geometry::convex::Core;
use geometry::{Convex, DMat3, DVec3};
use shape::Body;

fn occupant(keys: &str) -> Body {
    let s = shape(&format!(
        "[occupant.one]\nhip = [0, 0, 0]\n{keys}\n[point]\na = [-3000, 0, 0]\nb = [-3000, 0, 500]\n[tube.x]\nsection = \"t\"\npath = [\"a\", \"b\"]\n"
    ));
    s.bodies.into_iter().find(|b| b.name == "one").unwrap()
}

/// Farthest extent of a body's part in a direction.
fn extent(b: &Body, name: &str, d: DVec3) -> f64 {
    let far = |c: &Convex| match &c.core {
        Core::Segment(p, q) => p.dot(d).max(q.dot(d)) + c.margin,
        other => panic!("{other:?}"),
    };
    let list: Vec<f64> = b.parts.iter().filter(|p| p.0 == name).map(|p| far(&p.1)).collect();
    assert!(!list.is_empty(), "no {name}");
    list.into_iter().fold(f64::NEG_INFINITY, f64::max)
}

fn near(what: &str, a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{what}: {a} is not {b}");
}

/// ANSUR II at 5, 50, 95 %: sitting height, buttock–knee length, knee height sitting, bideltoid breadth, hip breadth
/// sitting, chest depth, thigh clearance, head length, mm (from the survey's public data files).
const SURVEY: [(&str, [[f64; 8]; 3]); 2] = [
    (
        "male",
        [
            [860.0, 569.0, 509.0, 459.0, 333.0, 211.0, 157.0, 188.0],
            [918.0, 617.0, 553.0, 509.0, 378.0, 253.0, 180.0, 200.0],
            [977.0, 669.0, 602.0, 567.0, 431.0, 298.0, 207.0, 211.0],
        ],
    ),
    (
        "female",
        [
            [803.0, 541.0, 469.0, 406.0, 348.0, 205.0, 145.0, 178.0],
            [857.0, 589.0, 510.0, 450.0, 397.0, 245.0, 167.0, 190.0],
            [912.0, 646.0, 557.0, 499.0, 456.0, 296.0, 191.0, 202.0],
        ],
    ),
];

/// The survey's figures are whole millimetres, and percentiles are read through a formula good to a few hundredths.
const ROUNDED: f64 = 0.0006;

#[test]
fn seated_upright_the_figure_has_the_surveys_measures() {
    let helmet = 0.28;
    for (sex, rows) in SURVEY {
        for (percentile, row) in [5, 50, 95].into_iter().zip(rows) {
            let b = occupant(&format!(
                "sex = \"{sex}\"\npercentile = {percentile}\nback = 0\nthigh = 0\nknee = 90\nhelmet = 280\n"
            ));
            let what = |m: &str| format!("{m} of a {sex} at {percentile} %");
            let [sitting, buttock_knee, knee, shoulders, hips, chest, thigh, head] = row.map(|v| v / 1e3);
            let seat = -extent(&b, "hips", DVec3::NEG_Z);
            let crown = extent(&b, "helmet", DVec3::Z) - (helmet - head) / 2.0;
            near(&what("sitting height"), crown - seat, sitting, 2.0 * ROUNDED);
            let lowest = ["hips", "thigh", "trunk"].map(|n| -extent(&b, n, DVec3::NEG_Z));
            assert!(lowest.iter().all(|z| *z >= seat - 1e-9), "nothing is under the seat: {lowest:?}");
            let knee_front = extent(&b, "shin", DVec3::X);
            let back = -extent(&b, "hips", DVec3::NEG_X);
            near(&what("buttock-knee length"), knee_front - back, buttock_knee, ROUNDED);
            assert!(extent(&b, "thigh", DVec3::X) <= knee_front + 1e-9);
            let sole = -extent(&b, "foot", DVec3::NEG_Z);
            near(&what("knee height"), extent(&b, "shin", DVec3::Z) - sole, knee, ROUNDED);
            near(&what("shoulders"), extent(&b, "shoulders", DVec3::Y) * 2.0, shoulders, ROUNDED);
            near(&what("hips"), extent(&b, "hips", DVec3::Y) * 2.0, hips, ROUNDED);
            assert!(extent(&b, "thigh", DVec3::Y) * 2.0 <= hips + 0.002, "{}", what("thighs within the hips"));
            near(&what("thigh"), extent(&b, "thigh", DVec3::Z) - seat, thigh, ROUNDED);
            // The trunk is at least as deep as the chest; the abdomen may be deeper.
            let deep = extent(&b, "trunk", DVec3::X) + extent(&b, "trunk", DVec3::NEG_X);
            assert!(deep >= chest - ROUNDED && deep < chest + 0.03, "{} {deep}", what("chest"));
            near(&what("foot is flat"), extent(&b, "foot", DVec3::X), knee_front, 0.2);
        }
    }
}

#[test]
fn every_stature_and_mass_gives_a_figure() {
    for stature in [500, 900, 1400, 1755, 2100, 2500] {
        for kg in [10, 40, 85, 150, 400] {
            for sex in ["male", "female"] {
                let b = occupant(&format!("sex = \"{sex}\"\nstature = {stature}\nkg = {kg}\n"));
                for (name, c) in &b.parts {
                    let (lo, hi) = c.bounds();
                    assert!(c.margin > 0.0 && lo.is_finite() && hi.is_finite(), "{name} at {stature}, {kg}");
                }
                assert!((b.mass - f64::from(kg)).abs() < 1e-9 * b.mass);
            }
        }
    }
}

#[test]
fn the_template_is_the_rules() {
    // Formula SAE Rules 2026, F.5.6.5: circles 200, 200, 300; 490 and 280 between their centres.
    let b = occupant("figure = \"template\"\npercentile = 95\nback = 0\nhelmet = 250\n");
    near("head's top", extent(&b, "helmet", DVec3::Z), 0.49 + 0.28 + 0.15, 1e-12);
    near("head", extent(&b, "helmet", DVec3::X) * 2.0, 0.3, 1e-12);
    near("hips", -extent(&b, "trunk", DVec3::NEG_Z), -0.1, 1e-12);
    near("shoulders", extent(&b, "trunk", DVec3::Z), 0.59, 1e-12);
    let leaning = occupant("figure = \"template\"\npercentile = 95\nback = 30\n");
    let head = leaning.parts.iter().find(|p| p.0 == "helmet").map(|p| p.1.bounds()).unwrap();
    assert!(((head.0 + head.1) / 2.0 - DVec3::new(-0.77 * 0.5, 0.0, 0.77 * 0.75f64.sqrt())).length() < 1e-12);
}

#[test]
fn hands_hold_on_where_they_are_told_or_fall_short() {
    let grips = |b: &Body| -> Vec<DVec3> {
        let balls = b.parts.iter().filter(|p| p.0 == "hand").map(|p| p.1.bounds());
        balls.map(|(lo, hi)| (lo + hi) / 2.0).collect()
    };
    let b = occupant("percentile = 50\nhands = [380, 160, 330]\n");
    assert!(grips(&b)[0].distance(DVec3::new(0.38, 0.16, 0.33)) < 1e-12);
    assert!(grips(&b)[1].distance(DVec3::new(0.38, -0.16, 0.33)) < 1e-12);
    assert!(b.reach.unwrap().missing < 1e-12);
    let far = occupant("percentile = 50\nhands = [1380, 160, 330]\n");
    let r = far.reach.unwrap();
    assert!(r.missing > 0.5 && (grips(&far)[0].distance(r.wanted) - r.missing).abs() < 1e-12);
    // Thumb-tip reach of the survey's median man from a wall behind the shoulders: 811 mm. A grip is a thumb's width
    // short of it, the shoulder joint half a chest's depth ahead of the wall.
    near("reach", r.arm + 0.253 / 2.0, 0.811, 0.02);
    let rest = occupant("percentile = 50\nback = 0\nthigh = 0\nknee = 90\n");
    assert!(rest.reach.is_none());
    for g in grips(&rest) {
        assert!(g.z > 0.09 && g.x > 0.2 && g.x < 0.4, "hands lie on the thighs: {g}");
    }
}

#[test]
fn mass_is_spread_like_a_persons_and_mirrored_with_it() {
    let b = occupant("percentile = 50\nback = 0\nthigh = 0\nknee = 90\n");
    near("mass", b.mass, 85.0, 1e-9);
    // A seated person's centre lies 0.2 to 0.3 m over the seat and about that far ahead of the back (NASA-STD-3000,
    // volume I, 3.3.7, from memory).
    let seat = -extent(&b, "hips", DVec3::NEG_Z);
    let back = -extent(&b, "hips", DVec3::NEG_X);
    assert!((0.2..0.3).contains(&(b.centre.z - seat)), "{}", b.centre.z - seat);
    assert!((0.18..0.3).contains(&(b.centre.x - back)), "{}", b.centre.x - back);
    near("sideways", b.centre.y, 0.0, 1e-12);
    // Seated, about 6 kg m² in roll, 7 in pitch, 4 in yaw (same, from memory): of that order here.
    let d = b.inertia;
    for (what, value, low, high) in
        [("roll", d.x_axis.x, 4.0, 9.0), ("pitch", d.y_axis.y, 4.5, 10.0), ("yaw", d.z_axis.z, 2.5, 6.5)]
    {
        assert!(value > low && value < high, "{what} {value}");
    }
    assert!((d.x_axis.z - d.z_axis.x).abs() < 1e-12 && d.x_axis.z.abs() > 0.1, "{d}");

    // The twin is its mirror image.
    let s = shape(
        "[occupant.one]\nhip = [0, 300, 0]\npercentile = 50\nmirror = true\nhands = [300, 700, 200]\n[point]\na = [-3000, 0, 0]\nb = [-3000, 0, 500]\n[tube.x]\nsection = \"t\"\npath = [\"a\", \"b\"]\n",
    );
    let (one, twin) = (&s.bodies[0], &s.bodies[1]);
    assert_eq!(twin.centre, one.centre * DVec3::new(1.0, -1.0, 1.0));
    let flip = DMat3::from_diagonal(DVec3::new(1.0, -1.0, 1.0));
    assert!((flip * one.inertia * flip).abs_diff_eq(twin.inertia, 1e-12));
}
