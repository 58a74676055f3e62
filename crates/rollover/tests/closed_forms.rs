//! Against closed forms and published values; each names its source.

use geometry::{Chain, DVec3, Frame};
use rollover::{GRAVITY, HardBody, HardShape, Kind, Rollover, RolloverError, Settings, Side, rollover};
use std::f64::consts::PI;

fn body(name: &str, shape: HardShape) -> HardBody {
    HardBody { name: name.into(), shape }
}

fn block(a: f64, b: f64, c: f64) -> HardBody {
    let f = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Y).unwrap();
    body("block", HardShape::Block { centre: f, half: DVec3::new(a, b, c) / 2.0 })
}

fn bar(name: &str, a: DVec3, b: DVec3, radius: f64) -> HardBody {
    body(name, HardShape::Bar { chain: Chain::new(&[a, b], &[]).unwrap(), radius })
}

fn ask(bodies: &[HardBody], centre: DVec3) -> Rollover {
    rollover(bodies, &Settings::new(centre, 1.0)).unwrap()
}

fn near(a: f64, b: f64, by: f64) {
    assert!((a - b).abs() <= by, "{a} is not {b} within {by}");
}

/// Ω = 4 asin(ab / √((a² + 4d²)(b² + 4d²))), the solid angle of a rectangle a × b from d over its middle.
fn rectangle(a: f64, b: f64, d: f64) -> f64 {
    4.0 * (a * b / ((a * a + 4.0 * d * d) * (b * b + 4.0 * d * d)).sqrt()).asin() / (4.0 * PI)
}

#[test]
fn shares_of_a_box() {
    let r = ask(&[block(1.0, 2.0, 3.0)], DVec3::ZERO);
    assert_eq!(r.attitudes.len(), 6);
    for (i, (want, formula)) in
        [(0.32251, rectangle(2., 3., 0.5)), (0.12136, rectangle(1., 3., 1.0)), (0.05613, rectangle(1., 2., 1.5))]
            .into_iter()
            .enumerate()
    {
        for a in &r.attitudes[2 * i..2 * i + 2] {
            near(a.share, want, 5e-6);
            near(a.share, formula, 1e-12);
            assert_eq!((a.kind, a.edges.len()), (Kind::Flat, 4));
        }
    }
    near(r.attitudes[0].margin.unwrap(), 1.0, 1e-15);
}

/// The same box with its centre of gravity 1.0 below the middle: values of trimesh 5.2.0 with a shifted centre.
#[test]
fn shares_of_a_box_with_a_low_centre() {
    let r = ask(&[block(1.0, 2.0, 3.0)], DVec3::new(0., 0., -1.0));
    let share = |n: DVec3| r.attitudes.iter().find(|a| a.normal.dot(n) > 0.999).unwrap().share;
    near(share(DVec3::NEG_Z), 0.2180, 5e-5);
    near(share(DVec3::Z), 0.0232, 5e-5);
    near(share(DVec3::X), 0.2792, 5e-5);
    near(share(DVec3::Y), 0.1002, 5e-5);
}

/// m g (√((T/2)² + h²) − h) with T 1500, h 500 mm, 700 kg: 2756 J. The car is a box of that track with four wheels'
/// width of nothing; the formula is statics.
#[test]
fn energy_to_tip_over_an_edge() {
    let mut s = Settings::new(DVec3::new(0., 0., 0.5), 700.0);
    s.gap = 1e-4;
    let f = Frame::new(DVec3::new(0., 0., 0.6), DVec3::X, DVec3::Y).unwrap();
    let b = body("car", HardShape::Block { centre: f, half: DVec3::new(1.5, 0.75, 0.6) });
    let r = rollover(&[b], &s).unwrap();
    assert_eq!(r.paths.iter().map(|p| p.side).collect::<Vec<_>>(), [Side::Left, Side::Right, Side::Nose, Side::Tail]);
    let first = &r.paths[0].steps[0];
    near(first.needed * 9.81 / GRAVITY, 2756.0, 0.5); // worked with 9.81 m/s²
    near(first.needed, 700.0 * GRAVITY * (0.75f64.hypot(0.5) - 0.5), 1e-9);
    near(first.released - first.needed, 700.0 * GRAVITY * (0.5 - 0.75), 1e-9);
    near(first.normal.y, 1.0, 1e-12);
}

/// A cylinder about its axis: it stands on either end, or lies and rolls. The share of an end is the solid angle of a
/// disc, (1 − d/√(d² + r²))/2, if it falls nowhere else.
#[test]
fn a_cylinder() {
    let (r, l) = (0.3, 0.4);
    let c = bar("drum", DVec3::new(0., 0., -l / 2.), DVec3::new(0., 0., l / 2.), r);
    let a = ask(&[c], DVec3::ZERO).attitudes;
    assert_eq!(
        a.len(),
        3,
        "{:?}",
        a.iter()
            .map(|a| (
                a.kind,
                a.normal,
                a.height,
                a.margin,
                a.share,
                a.contacts.iter().map(|c| c.at.len()).sum::<usize>()
            ))
            .collect::<Vec<_>>()
    );
    let end = (1.0 - (l / 2.0) / (l / 2.0f64).hypot(r)) / 2.0;
    let lying = a.iter().find(|a| a.kind == Kind::Rolls).unwrap();
    near(lying.height, r, 1e-12);
    near(lying.margin.unwrap(), l / 2.0, 1e-9);
    assert!(lying.marginal && lying.contacts.len() == 1 && lying.contacts[0].at.len() == 2);
    near(lying.share, 1.0 - 2.0 * end, 1e-3);
    for standing in a.iter().filter(|a| a.kind == Kind::Flat) {
        near(standing.height, l / 2.0, 1e-12);
        near(standing.margin.unwrap(), r, 1e-12);
        assert_eq!(standing.edges.len(), 1, "one curved edge");
        near(standing.edges[0].energy, GRAVITY * (r.hypot(l / 2.0) - l / 2.0), 1e-9);
        near(standing.share, end, 1e-3);
    }
}

/// The same with its centre of gravity off the axis: it rocks with that side down.
#[test]
fn a_loaded_cylinder_rolls_to_its_heavy_side() {
    let c = bar("drum", DVec3::new(0., 0., -0.5), DVec3::new(0., 0., 0.5), 0.3);
    let e = DVec3::new(0.002, 0.001, 0.1);
    let a = ask(&[c], e).attitudes;
    let lying: Vec<_> = a.iter().filter(|a| a.kind != Kind::Flat).collect();
    assert_eq!(lying.len(), 1, "{lying:#?}");
    assert_eq!(lying[0].kind, Kind::Rocks);
    let flat = DVec3::new(e.x, e.y, 0.0);
    assert!((lying[0].normal - flat.normalize()).length() < 1e-9);
    near(lying[0].height, 0.3 - flat.length(), 1e-12);
    near(lying[0].margin.unwrap(), 0.4, 1e-9);
}

/// A capsule (two balls and what lies between) standing on a weighted end, and lying.
#[test]
fn a_capsule() {
    let ball = |name: &str, x: f64| body(name, HardShape::Ball { centre: DVec3::X * x, radius: 0.2 });
    let a = ask(&[ball("a", -0.3), ball("b", 0.3)], DVec3::new(0.4, 0., 0.)).attitudes;
    // Beyond the ball's centre it stands on that end; lying, its foot is beyond the line of contact.
    assert_eq!(a.len(), 1, "{a:#?}");
    near(a[0].height, 0.1, 1e-9);
    assert_eq!(a[0].kind, Kind::Rocks);
    near(a[0].share, 1.0, 1e-9);
    let a = ask(&[ball("a", -0.3), ball("b", 0.3)], DVec3::new(0.1, 0., -0.05)).attitudes;
    assert_eq!(a.len(), 1, "{a:#?}");
    near(a[0].height, 0.15, 1e-9);
    near(a[0].margin.unwrap(), 0.2, 1e-9);
    assert_eq!(a[0].kind, Kind::Rocks);
    let a = ask(&[ball("a", 0.0)], DVec3::ZERO).attitudes;
    assert_eq!((a.len(), a[0].kind), (1, Kind::Rolls), "a ball lies as it is put");
}

/// Four wheels and a hoop: it stands on the wheels; margins by track and wheelbase; upside down on the hoop and the
/// front wheels.
#[test]
fn wheels_and_a_hoop() {
    let p = DVec3::new;
    let wheel = |n: &str, x: f64, y: f64| {
        let shape = HardShape::Wheel { centre: p(x, y, 0.3), axle: DVec3::Y, radius: 0.3, width: 0.2, shoulder: 0.03 };
        body(n, shape)
    };
    let corners = [p(0.3, 0.5, 0.2), p(0.3, 0.4, 1.2), p(0.3, -0.4, 1.2), p(0.3, -0.5, 0.2)];
    let hoop = HardShape::Bar { chain: Chain::new(&corners, &[0.15, 0.15]).unwrap(), radius: 0.0225 };
    let bodies = [
        wheel("fl", 1.0, 0.7),
        wheel("fr", 1.0, -0.7),
        wheel("rl", -1.0, 0.7),
        wheel("rr", -1.0, -0.7),
        body("hoop", hoop),
    ];
    let r = rollover(&bodies, &Settings::new(p(-0.1, 0.0, 0.45), 500.0)).unwrap();
    let up = r.attitudes.iter().find(|a| a.normal.dot(DVec3::NEG_Z) > 0.999_999).unwrap();
    near(up.height, 0.45, 1e-12);
    near(up.margin.unwrap(), 0.77, 1e-9);
    assert_eq!(up.contacts.len(), 4);
    let total: f64 = r.attitudes.iter().map(|a| a.share).sum();
    near(total, 1.0, 1e-9);
    // On the roof: the hoop's top at z 1.2225 and x 0.3, and the rear wheels: the plane tangent to both circles.
    let roof: Vec<_> = r.attitudes.iter().filter(|a| a.normal.z > 0.5 && a.normal.y.abs() < 1e-9).collect();
    for a in &roof {
        let rear = a.contacts.iter().any(|c| c.body.starts_with('r'));
        let (dx, dz) = (if rear { 1.3 } else { 0.7 }, 0.9);
        // Two circles, radii 0.0225 and 0.3, centres (0, 0) and (dx, -dz): angle of the common outer tangent.
        let tilt = f64::atan2(dz, dx) - ((0.3f64 - 0.0225) / dx.hypot(dz)).asin();
        near(a.normal.z.acos(), tilt, 1e-9);
    }
    assert!(!roof.is_empty());
    // Each way over a side: first the crest over the wheels' outer shoulders, T/2 = 0.77.
    let left = r.paths.iter().find(|p| p.side == Side::Left).unwrap();
    assert_eq!(left.over.len(), 2);
    assert!(left.over.iter().all(|n| n == "fl" || n == "rl"));
    let rounded = 0.77f64.hypot(0.42) + 0.03 - 0.45;
    near(left.steps[0].needed, 500.0 * GRAVITY * rounded, 1e-6);
    near(up.edges.iter().map(|e| e.energy).fold(f64::INFINITY, f64::min), left.steps[0].needed, 1e-6);
}

#[test]
fn a_flat_hoop_lies_on_its_whole_length() {
    let p = DVec3::new;
    let corners = [p(0., 0., 0.), p(0., 0., 1.), p(0., 1., 1.), p(0., 1., 0.)];
    let shape = HardShape::Bar { chain: Chain::new(&corners, &[0.3, 0.3]).unwrap(), radius: 0.02 };
    let a = ask(&[body("hoop", shape)], p(0., 0.5, 0.6)).attitudes;
    let flat: Vec<_> = a.iter().filter(|a| a.normal.x.abs() > 0.999_999).collect();
    assert_eq!(flat.len(), 2);
    for f in flat {
        near(f.height, 0.02, 1e-12);
        near(f.margin.unwrap(), 0.4, 1e-9);
    }
    near(a.iter().map(|a| a.share).sum::<f64>(), 1.0, 1e-9);
}

/// A box tube with rounded corners: on a side it stands on the flat between the roundings, and over those it rolls with
/// its centre √((a − r)² + (b − r)²) + r high; on an end it stands up to the edges.
#[test]
fn a_box_tube_with_rounded_corners() {
    let (half, corner, length) = ([0.05, 0.03], 0.012, 0.4);
    let start = Frame::new(DVec3::new(0.0, 0.0, -length / 2.0), DVec3::Z, DVec3::X).unwrap();
    let a = ask(&[body("tube", HardShape::BoxBar { start, length, half, corner })], DVec3::ZERO).attitudes;
    let flat: Vec<_> = a.iter().filter(|a| a.kind == Kind::Flat).collect();
    assert_eq!((a.len(), flat.len()), (6, 6));
    for f in flat {
        let n = f.normal.abs();
        let (height, margin) = match n.max_element() {
            m if m == n.x => (half[0], half[1] - corner),
            m if m == n.y => (half[1], half[0] - corner),
            _ => (length / 2.0, half[1]),
        };
        near(f.height, height, 1e-12);
        near(f.margin.unwrap(), margin, 1e-12);
        let rolled = (half[0] - corner).hypot(half[1] - corner) + corner;
        let crest = if n.z > 0.5 { (length / 2.0).hypot(half[1]) } else { rolled };
        let least = f.edges.iter().map(|e| e.energy).fold(f64::INFINITY, f64::min);
        near(least, GRAVITY * (crest - height), 1e-9);
    }
}

/// A wheel on its side stands on the circle where its rounding begins, and leaves over the rounding.
#[test]
fn a_wheel_on_its_rounded_side() {
    let (radius, width, shoulder) = (0.3, 0.2, 0.04);
    let wheel = HardShape::Wheel { centre: DVec3::ZERO, axle: DVec3::Z, radius, width, shoulder };
    let a = ask(&[body("wheel", wheel)], DVec3::ZERO).attitudes;
    assert_eq!(a.len(), 3);
    for side in a.iter().filter(|a| a.kind == Kind::Flat) {
        near(side.height, width / 2.0, 1e-12);
        near(side.margin.unwrap(), radius - shoulder, 1e-12);
        assert_eq!(side.edges.len(), 1);
        let crest = (radius - shoulder).hypot(width / 2.0 - shoulder) + shoulder;
        near(side.edges[0].energy, GRAVITY * (crest - width / 2.0), 1e-9);
    }
    let rolls = a.iter().find(|a| a.kind == Kind::Rolls).unwrap();
    near(rolls.height, radius, 1e-12);
    near(rolls.margin.unwrap(), width / 2.0 - shoulder, 1e-9);
}

#[test]
fn a_hollow_of_less_than_a_tenth_of_a_millimetre_is_shallow() {
    // A drum rolled over by half a turn lifts a centre of gravity that lies e off its axis by 2 e.
    for (e, shallow) in [(1e-5, true), (4.5e-5, true), (5.5e-5, false), (0.01, false)] {
        let r = ask(&[bar("drum", DVec3::new(0., 0., -0.5), DVec3::new(0., 0., 0.5), 0.3)], DVec3::new(e, 0., 0.));
        let a = r.attitudes.iter().find(|a| a.kind == Kind::Rocks).expect("it rocks");
        assert!((a.height - (0.3 - e)).abs() < 1e-9, "{}", a.height);
        assert_eq!((a.shallow, a.marginal), (shallow, shallow), "{e}");
    }
}

/// Outside of a drum or a ball: by how much, within the gap of the chords.
#[test]
fn a_centre_outside_of_a_round_body() {
    let drum = bar("drum", DVec3::new(0., 0., -0.5), DVec3::new(0., 0., 0.5), 0.3);
    let ball = body("ball", HardShape::Ball { centre: DVec3::ZERO, radius: 0.3 });
    for b in [drum, ball] {
        let name = b.name.clone();
        for way in [DVec3::X, DVec3::new(0.6, -0.8, 0.0)] {
            match rollover(std::slice::from_ref(&b), &Settings::new(way * 0.35, 1.0)) {
                Err(RolloverError::CentreOutside { by, beyond }) => {
                    assert!((0.049..=0.051).contains(&by), "{by}");
                    assert_eq!(beyond, std::slice::from_ref(&name));
                }
                other => panic!("{other:?}"),
            }
            let inside = rollover(std::slice::from_ref(&b), &Settings::new(way * 0.29, 1.0)).unwrap();
            near(inside.attitudes[0].height, 0.01, 1e-9);
            assert!((inside.attitudes[0].normal - way).length() < 1e-7);
        }
    }
}

/// Nearest to its wheels it lies on two balls: no paths, and why.
#[test]
fn no_paths_where_it_does_not_stand_flat() {
    let ball = |name: &str, x: f64| body(name, HardShape::Ball { centre: DVec3::X * x, radius: 0.2 });
    let r = ask(&[ball("left", -0.3), ball("right", 0.3)], DVec3::new(0.1, 0., -0.05));
    assert!(r.paths.is_empty());
    let why = r.no_paths.unwrap();
    assert!(why.contains("rocks") && why.contains("`left`") && why.contains("`right`"), "{why}");
    let r = ask(&[block(1.0, 2.0, 3.0)], DVec3::ZERO);
    assert!(r.no_paths.is_none() && r.paths.len() == 4);
}

#[test]
fn what_has_no_answer_says_why() {
    let s = Settings::new(DVec3::ZERO, 1.0);
    assert_eq!(rollover(&[], &s).unwrap_err(), RolloverError::Nothing);
    assert!(matches!(
        rollover(&[block(1., 2., 3.)], &Settings::new(DVec3::new(0., 0., 1.7), 1.0)),
        Err(RolloverError::CentreOutside { by, .. }) if (by - 0.2).abs() < 1e-12
    ));
    assert!(matches!(rollover(&[block(1., 2., 0.)], &s), Err(RolloverError::Hull(_))));
    assert!(matches!(rollover(&[block(1., f64::NAN, 1.)], &s), Err(RolloverError::Body { .. })));
    let nan = HardShape::Points(vec![DVec3::NAN; 5]);
    assert!(matches!(rollover(&[body("skin", nan)], &s), Err(RolloverError::Body { .. })));
    for few in 0..4 {
        let points = HardShape::Points(vec![DVec3::X; few]);
        assert!(rollover(&[body("skin", points)], &s).is_err());
    }
    for (centre, mass) in [(DVec3::NAN, 1.0), (DVec3::ZERO, 0.0), (DVec3::ZERO, f64::NAN)] {
        assert!(matches!(rollover(&[block(1., 1., 1.)], &Settings::new(centre, mass)), Err(RolloverError::Setting(_))));
    }
}
