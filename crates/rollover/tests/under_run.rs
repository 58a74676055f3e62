//! An edge over the nose, against closed forms; and what must hold for any bodies.

use geometry::{Chain, DVec3, Frame};
use proptest::prelude::*;
use rollover::under_run::{Room, UnderRun, UnderRunEnd, UnderRunSettings, under_run};
use rollover::{HardBody, HardShape, RolloverError};
use std::f64::consts::FRAC_PI_2;

fn body(name: &str, shape: HardShape) -> HardBody {
    HardBody { name: name.into(), shape }
}

fn near(a: f64, b: f64, by: f64) {
    assert!((a - b).abs() <= by, "{a} is not {b} within {by}");
}

fn block(name: &str, x: [f64; 2], z: [f64; 2]) -> HardBody {
    let origin = DVec3::new((x[0] + x[1]) / 2.0, 0.0, (z[0] + z[1]) / 2.0);
    let centre = Frame { origin, t: DVec3::X, u: DVec3::Y, v: DVec3::Z };
    body(name, HardShape::Block { centre, half: DVec3::new((x[1] - x[0]) / 2.0, 0.5, (z[1] - z[0]) / 2.0) })
}

fn bar(name: &str, a: DVec3, b: DVec3, radius: f64) -> HardBody {
    body(name, HardShape::Bar { chain: Chain::new(&[a, b], &[]).unwrap(), radius })
}

/// A tube from side to side at a place of the side view.
fn cross_tube(name: &str, x: f64, z: f64, radius: f64) -> HardBody {
    bar(name, DVec3::new(x, -0.5, z), DVec3::new(x, 0.5, z), radius)
}

/// At the middle and across; both must say the same of bodies as wide as the car.
fn ask(bodies: &[HardBody], height: f64, friction: f64) -> UnderRun {
    let s = UnderRunSettings { lateral: vec![0.1], friction, ..UnderRunSettings::new(height) };
    let r = under_run(bodies, &[], &s).unwrap();
    assert_eq!((r.len(), r[0].lateral, r[1].lateral), (2, Some(0.1), None));
    assert_eq!(r[0].met.len(), r[1].met.len());
    near(r[0].led_up, r[1].led_up, 1e-12);
    r[1].clone()
}

fn caught(r: &UnderRun) -> (&str, f64) {
    match &r.end {
        UnderRunEnd::Catches(m) => (&m.body, m.slope),
        UnderRunEnd::Passes => panic!("it passes: {r:?}"),
    }
}

const NOSE: f64 = 0.005;

/// A wedge of 35 degrees: slid up while tan 35° ≤ 1/μ, that is the slope is under 90° less the friction angle.
#[test]
fn a_ramp() {
    let slope = 35f64.to_radians();
    let top = slope.tan();
    let corners = [(0.0, 0.0), (-1.0, 0.0), (-1.0, top)];
    let points = corners.iter().flat_map(|c| [-0.5, 0.5].map(|y| DVec3::new(c.0, y, c.1))).collect();
    let ramp = [body("ramp", HardShape::Points(points))];
    let r = ask(&ramp, 0.2, 0.3);
    assert_eq!(r.end, UnderRunEnd::Passes);
    near(r.steepest.as_ref().unwrap().slope, slope, 1e-12);
    near(r.led_up, top + NOSE - 0.2, 1e-12);
    // The nose's centre first lies NOSE off the ramp: z = −x tan φ + r / cos φ.
    let x = (NOSE / slope.cos() - 0.2) / slope.tan();
    near(r.outline[1].x, x, 1e-12);
    let met = &r.met[0];
    near(met.at.z, -met.at.x * slope.tan(), 1e-12);
    let limit = 1.0 / slope.tan();
    assert_eq!(ask(&ramp, 0.2, limit * 0.9999).end, UnderRunEnd::Passes);
    near(caught(&ask(&ramp, 0.2, limit * 1.0001)).1, slope, 1e-12);
}

/// A wall catches, whatever the friction; over its upper edge the nose is led where cos φ = (h − top) / r.
#[test]
fn a_step() {
    let step = [block("step", [-1.0, 0.0], [0.1, 0.4])];
    let r = ask(&step, 0.3, 0.0);
    assert_eq!(caught(&r).0, "step");
    near(caught(&r).1, FRAC_PI_2, 1e-12);
    near(r.outline.last().unwrap().x, NOSE, 1e-12);
    let r = ask(&step, 0.4 + 0.6 * NOSE, 0.3);
    assert_eq!(r.end, UnderRunEnd::Passes);
    near(r.met[0].slope, 0.6f64.acos(), 1e-9);
    near(r.led_up, 0.4 * NOSE, 1e-12);
    // Above it nothing is met; below it neither, but from under it the lower edge leans out: an overhang.
    assert!(ask(&step, 0.4 + NOSE, 0.3).met.is_empty());
    assert!(ask(&step, 0.1 - NOSE, 0.3).met.is_empty());
    near(caught(&ask(&step, 0.1 - 0.6 * NOSE, 0.0)).1, std::f64::consts::PI - 0.6f64.acos(), 1e-9);
}

/// A tube across: cos φ = (h − z) / (R + r), and its top is R + r over its centre.
#[test]
fn a_circle() {
    let tube = [cross_tube("bumper", 1.5, 0.5, 0.025)];
    for part in [-0.9, -0.1, 0.05, 0.5, 0.95] {
        let r = ask(&tube, 0.5 + part * (0.025 + NOSE), 0.3);
        let slope = f64::acos(part);
        near(r.met[0].slope, slope, 1e-9);
        near(r.outline[1].x, 1.5 + (0.025 + NOSE) * slope.sin(), 1e-12);
        let passes = slope <= FRAC_PI_2 - 0.3f64.atan();
        assert_eq!(r.end == UnderRunEnd::Passes, passes, "{part}");
        near(r.led_up, if passes { (1.0 - part) * (0.025 + NOSE) } else { 0.0 }, 1e-12);
        assert!(r.outline.windows(2).all(|w| w[1].x <= w[0].x && w[1].z >= w[0].z - 1e-15));
    }
}

/// Two tubes one over the other: a nose thinner than the gap goes through, a thicker one catches under the upper one.
#[test]
fn between_two_tubes() {
    let r = 0.02;
    let tubes = |gap: f64| [cross_tube("lower", 1.0, 0.4, r), cross_tube("upper", 1.0, 0.4 + 2.0 * r + gap, r)];
    let wide = ask(&tubes(0.02), 0.4 + r + 0.01, 0.3);
    assert!(wide.met.is_empty() && wide.end == UnderRunEnd::Passes);
    // Led up by the lower one first, and through: its crest leaves room for the nose.
    let led = ask(&tubes(0.02), 0.4 + r, 0.3);
    assert_eq!((led.met.len(), led.end), (1, UnderRunEnd::Passes));
    let narrow = ask(&tubes(0.008), 0.4 + r, 0.3);
    assert_eq!(narrow.met.iter().map(|m| m.body.as_str()).collect::<Vec<_>>(), ["lower", "upper"]);
    // It touches both: the nose's centre lies between them, where the two circles of R + r cross.
    let at = narrow.outline.last().unwrap();
    near(at.z, 0.4 + r + 0.004, 1e-9);
    near(at.x, 1.0 + ((r + NOSE).powi(2) - (r + 0.004).powi(2)).sqrt(), 1e-8);
    assert!(caught(&narrow).1 > FRAC_PI_2);
}

/// A ramp in front of a wall: up the ramp into the notch, and caught by the wall.
#[test]
fn a_notch() {
    let points: Vec<_> = [(0.0, 0.0), (-1.0, 0.0), (-1.0, 0.5)]
        .iter()
        .flat_map(|c| [-0.5, 0.5].map(|y| DVec3::new(c.0, y, c.1)))
        .collect();
    let all = [body("ramp", HardShape::Points(points)), block("wall", [-1.0, -0.6], [0.0, 1.0])];
    let r = ask(&all, 0.1, 0.3);
    assert_eq!(caught(&r).0, "wall");
    let at = r.outline.last().unwrap();
    near(at.x, -0.6 + NOSE, 1e-9);
    near(at.z, 0.3 - 0.5 * NOSE + NOSE * 1.25f64.sqrt(), 1e-9);
}

/// A wheel: its full radius under the tread, R − s + √(s² − d²) at a distance d into the shoulder, nothing beside it.
#[test]
fn a_wheel_at_its_shoulder() {
    let (radius, width, shoulder) = (0.3, 0.2, 0.03);
    for (axle, by) in [(DVec3::Y, 1e-12), (DVec3::new(1e-6, 1.0, 0.0), 2e-5)] {
        let shape = HardShape::Wheel { centre: DVec3::new(1.0, 0.6, 0.3), axle, radius, width, shoulder };
        let lateral = vec![0.6, 0.55, 0.69, 0.6 + 0.07 + 0.018, 0.71];
        let s = UnderRunSettings { lateral, gap: 1e-6, friction: 0.2, ..UnderRunSettings::new(0.5) };
        let r = under_run(&[body("fl", shape)], &[], &s).unwrap();
        let inset = |d: f64| radius - shoulder + (shoulder * shoulder - d * d).sqrt();
        let tops = [0.3 + radius, 0.3 + radius, 0.3 + inset(0.02), 0.3 + inset(0.018)];
        for (r, top) in r.iter().zip(tops) {
            near(r.led_up, top + NOSE - 0.5, by);
        }
        assert!(r[4].met.is_empty() && r[4].led_up == 0.0);
        near(r[5].led_up, 0.3 + radius + NOSE - 0.5, by);
    }
}

/// A level tube at 45 degrees to the way: its section is an ellipse, √2 times as long as high.
#[test]
fn a_slanted_tube() {
    let (r, nose) = (0.03, 1e-6);
    let tube = [bar("rail", DVec3::new(-1., -1., 0.5), DVec3::new(1., 1., 0.5), r)];
    let s = UnderRunSettings { nose, gap: 1e-7, across: false, lateral: vec![0.2], ..UnderRunSettings::new(0.515) };
    let a = under_run(&tube, &[], &s).unwrap();
    let (long, z) = (r * 2f64.sqrt(), 0.015);
    let x = long * (1.0 - (z / r).powi(2)).sqrt();
    near(a[0].outline[1].x, 0.2 + x, 5e-6);
    near(a[0].met[0].slope, f64::atan2(x / long.powi(2), z / r.powi(2)), 0.02);
    near(a[0].led_up, r - z + nose, 1e-6);
}

/// A helmet over a rail: the gap, and the place where a room is met.
#[test]
fn rooms_on_the_way() {
    let rail = [cross_tube("rail", 1.0, 0.6, 0.02)];
    let p = DVec3::new;
    let helmet = Room { name: "helmet".into(), ends: [p(-0.5, 0.1, 0.9); 2], radius: 0.15, helmet: true };
    let torso =
        Room { name: "torso".into(), ends: [p(-0.5, 0.0, 0.3), p(-0.5, 0.0, 0.6)], radius: 0.15, helmet: false };
    let s = UnderRunSettings { lateral: vec![0.0], ..UnderRunSettings::new(0.61) };
    let r = under_run(&rail, &[helmet, torso], &s).unwrap();
    let height = 0.6 + 0.02 + NOSE;
    for (r, aside) in r.iter().zip([0.1, 0.0]) {
        let h = r.helmet.as_ref().unwrap();
        near(h.gap, f64::hypot(0.9 - height, aside) - 0.15 - NOSE, 1e-9);
        near(h.at.x, -0.5, 1e-4);
        let m = r.meets.as_ref().unwrap();
        assert_eq!(m.room, "torso");
        near(m.at.x, -0.5 + ((0.15 + NOSE).powi(2) - (height - 0.6f64).powi(2)).sqrt(), 1e-9);
        near(m.gap, 0.0, 1e-12);
    }
}

#[test]
fn what_has_no_answer_says_why() {
    let tube = [cross_tube("bumper", 1.0, 0.5, 0.02)];
    assert_eq!(under_run(&[], &[], &UnderRunSettings::new(0.5)), Err(RolloverError::Nothing));
    let good = UnderRunSettings::new(0.5);
    for bad in [
        UnderRunSettings { nose: 0.0, ..good.clone() },
        UnderRunSettings { friction: f64::NAN, ..good.clone() },
        UnderRunSettings { edge: [0.6, 0.5], ..good.clone() },
        UnderRunSettings { heights: 0, ..good.clone() },
        UnderRunSettings { lateral: vec![f64::NAN], ..good.clone() },
        UnderRunSettings { up: DVec3::X, ..good.clone() },
        UnderRunSettings { gap: -1.0, ..good.clone() },
    ] {
        assert!(matches!(under_run(&tube, &[], &bad), Err(RolloverError::Setting(_))), "{bad:?}");
    }
    let room = Room { name: "helmet".into(), ends: [DVec3::NAN; 2], radius: 0.1, helmet: true };
    assert!(matches!(under_run(&tube, &[room], &good), Err(RolloverError::Body { body, .. }) if body == "helmet"));
}

fn vector() -> impl Strategy<Value = DVec3> {
    (-1.0..1.0, -1.0..1.0, 0.1..1.0).prop_map(|(x, y, z)| DVec3::new(x, y, z))
}

/// Bent bars, wheels, box tubes, balls, and their mirror images.
fn bodies() -> impl Strategy<Value = (Vec<HardBody>, Vec<HardBody>)> {
    let m = |p: DVec3| DVec3::new(p.x, -p.y, p.z);
    let bar =
        (prop::collection::vec(vector(), 2..5), 0.01..0.04f64).prop_filter_map("bent too sharply", move |(c, r)| {
            let make =
                |c: &[DVec3]| Some(HardShape::Bar { chain: Chain::new(c, &vec![0.08; c.len() - 2]).ok()?, radius: r });
            Some((make(&c)?, make(&c.iter().map(|p| m(*p)).collect::<Vec<_>>())?))
        });
    let wheel = (vector(), vector(), 0.1..0.3f64, 0.0..0.04f64).prop_map(move |(c, axle, radius, shoulder)| {
        let make = |centre, axle| HardShape::Wheel { centre, axle, radius, width: 0.15, shoulder };
        (make(c, axle), make(m(c), m(axle)))
    });
    let ball = (vector(), 0.05..0.2f64).prop_map(move |(c, r)| {
        (HardShape::Ball { centre: c, radius: r }, HardShape::Ball { centre: m(c), radius: r })
    });
    let tube = (vector(), vector(), vector(), 0.0..0.01f64).prop_filter_map("no frame", move |(o, t, u, corner)| {
        let f = Frame::new(o, t, u)?;
        let make = |start| HardShape::BoxBar { start, length: 0.7, half: [0.03, 0.02], corner };
        Some((make(f), make(f.mirrored())))
    });
    let points = prop::collection::vec(vector(), 1..7)
        .prop_map(move |p| (HardShape::Points(p.clone()), HardShape::Points(p.into_iter().map(m).collect())));
    prop::collection::vec(prop_oneof![bar, wheel, ball, tube, points], 1..8).prop_map(|list| {
        let name = |(i, s)| HardBody { name: format!("body {i}"), shape: s };
        let (a, b): (Vec<_>, Vec<_>) = list.into_iter().unzip();
        (a.into_iter().enumerate().map(name).collect(), b.into_iter().enumerate().map(name).collect())
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn mirrored((a, b) in bodies(), y in -0.8..0.8f64, height in 0.1..1.0f64) {
        let s = |y| UnderRunSettings { lateral: vec![y], ..UnderRunSettings::new(height) };
        let (a, b) = (under_run(&a, &[], &s(y)).unwrap(), under_run(&b, &[], &s(-y)).unwrap());
        for (a, b) in a.iter().zip(&b) {
            let slopes = a.met.iter().chain(&b.met).map(|m| m.slope);
            // At the limit, and where two things are met at once, rounding decides; polygons of mirrored circles
            // begin elsewhere.
            let sure = slopes.into_iter().all(|x| (x - s(y).limit()).abs() > 0.1);
            if sure {
                let names = |r: &UnderRun| r.met.iter().map(|m| m.body.clone()).collect::<Vec<_>>();
                prop_assert_eq!(names(a), names(b));
                prop_assert!((a.led_up - b.led_up).abs() < 2e-3, "{} {}", a.led_up, b.led_up);
                prop_assert_eq!(a.end == UnderRunEnd::Passes, b.end == UnderRunEnd::Passes);
            }
        }
    }

    /// The nose never enters anything, never goes back or down, and is told apart from what it passes.
    #[test]
    fn the_nose_stays_outside((list, _) in bodies(), height in 0.1..1.0f64) {
        let r = &under_run(&list, &[], &UnderRunSettings::new(height)).unwrap()[0];
        prop_assert!(r.outline.windows(2).all(|w| w[1].x <= w[0].x + 1e-9 && w[1].z >= w[0].z - 1e-9));
        let on = |s: &HardShape| -> Vec<DVec3> {
            match s {
                HardShape::Points(p) => p.clone(),
                HardShape::Ball { centre, radius } =>
                    (0..60).map(|k| *centre + DVec3::new((k as f64).cos(), 0.0, (k as f64).sin()) * *radius).collect(),
                HardShape::Bar { chain, radius } => (0..400).map(|k| {
                    let s = chain.length() * k as f64 / 399.0;
                    let (e, f) = chain.tangent(s).any_orthonormal_pair();
                    chain.point(s) + (e * (k as f64).cos() + f * (k as f64).sin()) * *radius
                }).collect(),
                HardShape::Wheel { centre, axle, radius, shoulder, .. } => {
                    let (e, f) = axle.normalize().any_orthonormal_pair();
                    let side = axle.normalize() * (0.075 - shoulder);
                    (0..100).map(|k| *centre + side + (e * (k as f64).cos() + f * (k as f64).sin()) * *radius).collect()
                }
                _ => Vec::new(),
            }
        };
        for w in r.outline.windows(2) {
            let (a, b) = (w[0], w[1]);
            for p in list.iter().flat_map(|b| on(&b.shape)) {
                let p = DVec3::new(p.x, 0.0, p.z);
                let e = b - a;
                let t = if e.length() > 0.0 { ((p - a).dot(e) / e.length_squared()).clamp(0.0, 1.0) } else { 0.0 };
                let off = p.distance(a + e * t);
                prop_assert!(off > NOSE - 2.5e-4, "{off} from {p}");
            }
        }
    }

    #[test]
    fn no_panic_on_any_numbers(x in prop::collection::vec(prop_oneof![
        Just(0.0), Just(1.0), Just(-1.0), Just(1e-300), Just(1e300), Just(f64::NAN), Just(f64::INFINITY), Just(1e-9),
        -2.0..2.0f64], 30), kind in 0usize..6) {
        let (a, b) = (DVec3::from_slice(&x), DVec3::from_slice(&x[3..]));
        let frame = Frame::new(a, b, DVec3::from_slice(&x[6..]))
            .unwrap_or(Frame { origin: a, t: DVec3::X, u: DVec3::Y, v: DVec3::Z });
        let shape = match kind {
            0 => HardShape::Points(x.chunks_exact(3).map(DVec3::from_slice).collect()),
            1 => HardShape::Ball { centre: a, radius: x[9] },
            2 => HardShape::Wheel { centre: a, axle: b, radius: x[9], width: x[10], shoulder: x[11] },
            3 => HardShape::Block { centre: frame, half: DVec3::from_slice(&x[9..]) },
            4 => HardShape::BoxBar { start: frame, length: x[9], half: [x[10], x[11]], corner: x[12] },
            _ => match Chain::new(&[a, b], &[]) {
                Ok(chain) => HardShape::Bar { chain, radius: x[9] },
                Err(_) => HardShape::Points(vec![a, b]),
            },
        };
        let settings = UnderRunSettings {
            ground: DVec3::ZERO,
            edge: [x[13].abs(), x[13].abs() + x[14].abs()],
            heights: 2,
            lateral: vec![x[15], 0.0],
            nose: x[16].abs(),
            friction: x[17].abs(),
            gap: x[18].abs(),
            ..UnderRunSettings::new(0.5)
        };
        let room = Room { name: "room".into(), ends: [b, a], radius: x[19], helmet: true };
        let _ = under_run(&[body("any", shape.clone())], &[room], &settings);
        let _ = under_run(&[body("any", shape)], &[], &UnderRunSettings { lateral: vec![0.0], ..UnderRunSettings::new(0.5) });
    }
}
