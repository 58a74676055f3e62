//! What is loose, what can't be used, what stands on the wrong side.

mod common;

use adjust::fit::{FitError, Pair, best_fit};
use adjust::{Axis, Blunders, Hold, Kind, Network, Observation, Open, Point, Setup, Tilt, Why, adjust};
use common::{Dice, name, network};
use glam::{DMat3, DQuat, DVec3};

fn tape(a: &str, b: &str, l: f64) -> Observation {
    Observation::distance(&format!("{a}-{b}"), a, b, l, 0.001)
}

/// A rigid free network, one point of which has only two distances, and one none.
#[test]
fn loose_points_are_named_with_their_directions() {
    let mut d = Dice(20);
    let mut made = network(&mut d, 10, false, 1.0);
    let at = |i: usize| made.places[i];
    let l = (at(9) - at(0)).length();
    let m = (at(9) - at(1)).length();
    made.network.observations.retain(|o| !matches!(&o.kind, Kind::Distance { to, .. } if to == "p9"));
    made.network.observations.extend([tape("p0", "p9", l), tape("p1", "p9", m)]);
    made.network.points.push(Point::free("alone", DVec3::new(3.0, 0.0, 0.0)));
    let a = adjust(&made.network, Blunders::LeaveOut);
    assert_eq!(a.open, Open { slides: 3, turns: 3 });
    assert_eq!(a.loose.len(), 2, "{:?}", a.loose);
    assert_eq!((a.loose[0].points[0].0, a.loose[0].points.len(), a.loose[0].ways), (9, 1, 1));
    assert_eq!((a.loose[1].points[0].0, a.loose[1].points[0].1.len(), a.loose[1].ways), (10, 3, 3));
    // It swings square to both distances, in the design.
    let p = |i: usize| made.network.points[i].at;
    let way = a.loose[0].points[0].1[0];
    assert!(way.dot((p(9) - p(0)).normalize()).abs() < 1e-6 && way.dot((p(9) - p(1)).normalize()).abs() < 1e-6);
    // Nothing was measured of it: the designed place.
    assert!(a.points[10].as_ref().unwrap().shift.length() < 1e-12);
    assert_eq!(a.points[9].as_ref().unwrap().loose.len(), 1);
    assert!(a.convergence.converged);
    // A third distance ties it down, and is the best to take; one to the point with none as well.
    let gains = a.next_distances(None, 0.001, None);
    let ties = gains.iter().take_while(|g| g.after.is_none()).count();
    assert!(gains[..ties].iter().all(|g| g.ties > 0.0 && [g.from, g.to].iter().any(|p| *p >= 9)), "{ties}");
    assert!(gains[ties..].iter().all(|g| g.from < 9 && (g.to < 9 || g.from < 2)));
}

/// Two boxes hinged at two common points: the smaller is named, with the one way that it has.
#[test]
fn a_hinged_part_is_named_together() {
    let mut d = Dice(21);
    let corner: Vec<DVec3> = (0..13).map(|_| d.vector()).collect();
    let points: Vec<Point> = (0..13).map(|i| Point::free(&name(i), corner[i])).collect();
    let mut observations = Vec::new();
    let groups: [&[usize]; 2] = [&[0, 1, 2, 3, 4, 5, 6, 7], &[0, 1, 8, 9, 10, 11, 12]];
    for g in groups {
        for (k, &a) in g.iter().enumerate() {
            for &b in &g[k + 1..] {
                observations.push(tape(&name(a), &name(b), corner[a].distance(corner[b])));
            }
        }
    }
    let a = adjust(&Network { points, observations, ..Network::default() }, Blunders::Keep);
    assert_eq!(a.loose.len(), 1, "{:?}", a.loose);
    let named: Vec<usize> = a.loose[0].points.iter().map(|p| p.0).collect();
    assert_eq!((named, a.loose[0].ways), (vec![8, 9, 10, 11, 12], 1));
    assert_eq!(a.open, Open { slides: 3, turns: 3 });
}

/// A flat frame with tapes alone: nothing tells of the way out of the plane; in it all is found.
#[test]
fn a_flat_frame_is_loose_out_of_its_plane() {
    let mut d = Dice(22);
    let flat: Vec<DVec3> = (0..8).map(|_| d.vector() * DVec3::new(1.0, 0.7, 0.0)).collect();
    let points: Vec<Point> = (0..8).map(|i| Point::free(&name(i), flat[i])).collect();
    let mut observations = Vec::new();
    for b in 1..8 {
        for a in 0..b {
            observations.push(tape(&name(a), &name(b), flat[a].distance(flat[b]) + 0.001 * d.normal()));
        }
    }
    let a = adjust(&Network { points, observations, ..Network::default() }, Blunders::Keep);
    // 28 distances, 16 coordinates less three motions in the plane.
    assert_eq!(a.freedom, 28 - 13);
    // Eight ways out of the plane, three of them motions of the whole.
    assert_eq!(a.open, Open { slides: 3, turns: 3 });
    assert_eq!(a.loose.iter().map(|l| l.ways).sum::<usize>(), 5, "{:?}", a.loose);
    for (_, ways) in a.loose.iter().flat_map(|l| &l.points) {
        assert!(ways.len() == 1 && ways[0].distance(DVec3::Z) < 1e-6);
    }
    assert!(a.convergence.converged && a.points.iter().flatten().all(|p| p.at.z.abs() < 1e-12 && p.sigma.x < 0.002));
}

/// With heights and an unknown tilt, the level's turns are open as well; with a known one, only the turn about it.
#[test]
fn what_is_open_follows_from_what_was_measured() {
    let mut d = Dice(23);
    let made = network(&mut d, 8, false, 1.0);
    let with = |tilt, setups: Vec<Setup>, offset: bool| {
        let mut n = made.network.clone();
        (n.tilt, n.setups) = (tilt, setups);
        for i in 0..8 {
            let kind = Kind::Height { point: name(i), setup: "laser".into() };
            n.observations.push(Observation::new("h", kind, made.places[i].z - 0.3, 0.001));
        }
        if offset {
            let kind = Kind::Offset { from: name(0), to: name(1), along: Axis::Y };
            n.observations.push(Observation::new("y", kind, (made.places[1] - made.places[0]).y, 0.001));
        }
        let a = adjust(&n, Blunders::Keep);
        assert!(a.loose.is_empty() && a.convergence.converged, "{:?}", a.loose);
        (a.open.slides, a.open.turns)
    };
    let known = vec![Setup { name: "laser".into(), level: Some(0.3) }];
    assert_eq!(with(Tilt::Level, vec![], false), (3, 1));
    assert_eq!(with(Tilt::Level, known.clone(), false), (2, 1));
    assert_eq!(with(Tilt::Level, known, true), (2, 0));
    assert_eq!(with(Tilt::Unknown, vec![], false), (3, 3));
    assert_eq!(with(Tilt::Near([0.0; 2], 0.001), vec![], false), (3, 1));
}

/// Everything wrong is told; the rest is computed as if it had not been there.
#[test]
fn what_cannot_be_used_is_told_and_left_out() {
    let mut d = Dice(24);
    let made = network(&mut d, 8, true, 1.0);
    let mut n = made.network.clone();
    let clean = adjust(&n, Blunders::Keep);
    n.points.push(Point::free("p0", DVec3::ONE));
    n.points.push(Point::free("nowhere", DVec3::new(f64::NAN, 0.0, 0.0)));
    n.points.push(Point {
        name: "twin".into(),
        at: n.points[4].at,
        hold: [Hold::Near(-1.0), Hold::Fixed, Hold::Fixed],
    });
    n.points.push(Point::fixed("over", n.points[4].at + DVec3::Z));
    let bevel = |at: &str, one: &str, other: &str| Kind::Bevel { at: at.into(), one: one.into(), other: other.into() };
    let slope = |from: &str, to: &str| Kind::Slope { from: from.into(), to: to.into() };
    let bad: Vec<(Observation, Why)> = vec![
        (tape("p1", "p99", 1.0), Why::NoPoint("p99".into())),
        (tape("p1", "nowhere", 1.0), Why::NoPoint("nowhere".into())),
        (tape("p1", "p1", 1.0), Why::SamePoint),
        (tape("p1", "p2", 0.0), Why::NoLength),
        (tape("p1", "p2", f64::NAN), Why::NotANumber),
        (tape("p1", "p2", f64::INFINITY), Why::NotANumber),
        (Observation::distance("s", "p1", "p2", 1.0, 0.0), Why::BadSigma),
        (Observation::distance("s", "p1", "p2", 1.0, -0.001), Why::BadSigma),
        (Observation::distance("s", "p1", "p2", 1.0, f64::NAN), Why::BadSigma),
        (tape("p4", "twin", 0.01), Why::OnePlace),
        (Observation::new("b", bevel("p4", "twin", "p1"), 1.0, 0.01), Why::OnePlace),
        (Observation::new("b", bevel("p4", "p1", "p1"), 1.0, 0.01), Why::SamePoint),
        (Observation::new("b", bevel("p4", "p1", "p2"), 4.0, 0.01), Why::NoSuchAngle),
        (Observation::new("v", slope("p4", "over"), 1.57, 0.01), Why::Folds),
        (Observation::new("v", slope("p4", "p1"), 1.6, 0.01), Why::NoSuchAngle),
        (
            Observation::new(
                "pl",
                Kind::FromPlane { point: "p4".into(), through: DVec3::ZERO, normal: DVec3::ZERO },
                0.0,
                0.01,
            ),
            Why::NoPlane,
        ),
    ];
    n.observations.extend(bad.iter().map(|b| b.0.clone()));
    let a = adjust(&n, Blunders::Keep);
    let mut want = vec![Why::PointTwice, Why::NoPlace, Why::BadHold];
    want.extend(bad.into_iter().map(|b| b.1));
    assert_eq!(a.problems.iter().map(|p| p.why.clone()).collect::<Vec<_>>(), want);
    assert!(a.problems.iter().all(|p| p.to_string().starts_with(&p.about)));
    // The twin is free along x, and nothing was measured of it that can be used.
    assert_eq!(a.loose.len(), 1);
    assert_eq!(a.loose[0].points, vec![(10, vec![DVec3::X])]);
    for (p, q) in clean.points.iter().flatten().zip(a.points.iter().flatten()) {
        assert!(p.at.distance(q.at) < 1e-11 && p.sigma.distance(q.sigma) < 1e-9);
    }
}

/// Nothing at all, or nothing measured.
#[test]
fn nothing_measured_is_no_error() {
    let a = adjust(&Network::default(), Blunders::LeaveOut);
    assert!(a.points.is_empty() && a.convergence.converged && a.next_distances(None, 0.001, None).is_empty());
    let points = vec![Point::free("a", DVec3::ZERO), Point::free("b", DVec3::X)];
    let a = adjust(&Network { points, ..Network::default() }, Blunders::LeaveOut);
    assert!(a.convergence.converged && a.freedom == 0);
    assert_eq!(a.open.slides + a.open.turns + a.loose.iter().map(|l| l.ways).sum::<usize>(), 6);
    assert_eq!(a.points[1].as_ref().unwrap().at, DVec3::X);
}

/// An apex a little under its base in the design, over it in truth: distances cannot tell, a rough height can.
#[test]
fn a_point_is_turned_to_the_side_where_it_fits() {
    let base = [DVec3::new(0.0, 0.0, 0.0), DVec3::new(1.0, 0.0, 0.0), DVec3::new(0.4, 0.9, 0.0)];
    let design = DVec3::new(0.45, 0.3, -0.02);
    let truth = DVec3::new(0.45, 0.3, 0.03);
    let mut points: Vec<Point> = (0..3).map(|i| Point::fixed(&name(i), base[i])).collect();
    points.push(Point::free("top", design));
    let mut observations: Vec<Observation> =
        (0..3).map(|i| Observation::distance("t", &name(i), "top", base[i].distance(truth), 0.0002)).collect();
    let mut n = Network { points, observations: observations.clone(), ..Network::default() };
    let a = adjust(&n, Blunders::Keep);
    // The side of the design, and both sides are as near.
    assert!((a.points[3].as_ref().unwrap().at.z + 0.03).abs() < 1e-9 && a.turned.is_empty());
    assert_eq!(a.ambiguous, Vec::<usize>::new());
    let kind = Kind::Height { point: "top".into(), setup: "water".into() };
    observations.push(Observation::new("h", kind, 0.03, 0.004));
    n.observations = observations;
    n.setups = vec![Setup { name: "water".into(), level: Some(0.0) }];
    let a = adjust(&n, Blunders::Keep);
    let top = a.points[3].as_ref().unwrap();
    assert!(top.at.distance(truth) < 1e-9 && a.convergence.converged, "{:?} {:?}", top.at, a.turned);
    // Far under its base in the design: the distances hold it there, against the height, until it is mirrored.
    n.points[3].at.z = -0.3;
    let far = DVec3::new(0.45, 0.3, 0.3);
    for (o, b) in n.observations.iter_mut().zip(base) {
        o.value = b.distance(far);
    }
    (n.observations[3].value, n.observations[3].sigma) = (0.3, 0.05);
    let a = adjust(&n, Blunders::LeaveOut);
    assert_eq!((a.turned.clone(), a.blunders.len()), (vec![3], 0));
    assert!(a.points[3].as_ref().unwrap().at.distance(far) < 1e-9);
    for (o, b) in n.observations.iter_mut().zip(base) {
        o.value = b.distance(truth);
    }
    // A design just under the plane, a point just over or just under: told.
    n.points[3].at.z = -0.005;
    n.observations.pop();
    let a = adjust(&n, Blunders::Keep);
    assert_eq!(a.ambiguous, vec![3]);
}

#[test]
fn best_fit_takes_back_any_motion() {
    let mut d = Dice(25);
    for _ in 0..50 {
        let turn = DMat3::from_quat(DQuat::from_scaled_axis(d.vector() * 3.0));
        let slide = d.vector() * 5.0;
        let pairs: Vec<Pair> = (0..7)
            .map(|_| {
                let measured = d.vector();
                Pair { measured, design: turn * measured + slide, weight: 0.1 + d.roll() }
            })
            .collect();
        let f = best_fit(&pairs).unwrap();
        assert!((f.turn - turn).to_cols_array().iter().all(|x| x.abs() < 1e-13) && f.slide.distance(slide) < 1e-13);
        assert!(f.rms < 1e-13 && !f.open_turn);
    }
}

/// Never a mirror image, and no better turn nearby.
#[test]
fn best_fit_is_a_turn_and_the_least() {
    let mut d = Dice(26);
    for i in 0..50 {
        let pairs: Vec<Pair> = (0..6)
            .map(|_| {
                let p = d.vector();
                // Every other case is mirrored, which a turn cannot take back.
                let q = if i % 2 == 0 { p } else { DVec3::new(p.x, -p.y, p.z) };
                Pair { measured: p, design: q + d.normals() * 0.05, weight: 0.2 + d.roll() }
            })
            .collect();
        let f = best_fit(&pairs).unwrap();
        assert!((f.turn.determinant() - 1.0).abs() < 1e-12);
        let total: f64 = pairs.iter().map(|p| p.weight).sum();
        let cost = |turn: DMat3, slide: DVec3| -> f64 {
            pairs.iter().map(|p| p.weight / total * (turn * p.measured + slide - p.design).length_squared()).sum()
        };
        assert!((cost(f.turn, f.slide).sqrt() - f.rms).abs() < 1e-12);
        for _ in 0..40 {
            let by = DMat3::from_quat(DQuat::from_scaled_axis(d.vector() * 10f64.powf(-3.0 * d.roll())));
            let slide = f.slide + d.vector() * 0.01;
            assert!(cost(by * f.turn, slide) >= f.rms * f.rms);
        }
        let w = f.worst.unwrap();
        assert!(f.deviations.iter().all(|x| x.length() <= f.deviations[w].length()));
    }
}

#[test]
fn best_fit_tells_what_is_open_or_wrong() {
    let on_line: Vec<Pair> = (0..4)
        .map(|i| Pair { measured: DVec3::X * f64::from(i), design: DVec3::Y * f64::from(i), weight: 1.0 })
        .collect();
    let f = best_fit(&on_line).unwrap();
    assert!(f.open_turn && f.rms < 1e-12);
    let mut bad = on_line.clone();
    bad[2].measured.x = f64::NAN;
    assert_eq!(best_fit(&bad), Err(FitError::NotANumber(2)));
    bad[2] = Pair { weight: -1.0, ..on_line[2] };
    assert_eq!(best_fit(&bad), Err(FitError::NotANumber(2)));
    assert_eq!(best_fit(&[]), Err(FitError::NoWeight));
}

/// Numbers that go wrong in programs.
const NASTY: [f64; 12] =
    [0.0, -0.0, 1.0, 0.001, -1.0, 1e-300, 1e300, -1e300, f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e16];

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(3000))]

    /// Whatever is put in, an answer comes out, and what it gives for points that were usable is finite or the search says
    /// that it did not converge.
    #[test]
    fn no_input_breaks_it(seed in 0u64..u64::MAX) {
        let mut d = Dice(seed);
        let tame = d.roll();
        let number = |d: &mut Dice| if d.roll() < tame { d.roll() * 2.0 - 1.0 } else { NASTY[d.below(12)] };
        let who = |d: &mut Dice| name(d.below(6));
        let points = (0..d.below(6) + 1)
            .map(|i| {
                let at = DVec3::new(number(&mut d), number(&mut d), number(&mut d));
                let hold = std::array::from_fn(|_| match d.below(3) {
                    0 => Hold::Free,
                    1 => Hold::Fixed,
                    _ => Hold::Near(number(&mut d)),
                });
                Point { name: name(i - usize::from(i > 3)), at, hold }
            })
            .collect();
        let observations = (0..d.below(14))
            .map(|_| {
                let (a, b, c) = (who(&mut d), who(&mut d), who(&mut d));
                let kind = match d.below(9) {
                    0 | 1 => Kind::Distance { from: a, to: b },
                    2 => Kind::LevelDistance { from: a, to: b },
                    3 => Kind::Height { point: a, setup: "s".into() },
                    4 => Kind::Rise { from: a, to: b },
                    5 => Kind::Offset { from: a, to: b, along: Axis::X },
                    6 => {
                        let through = DVec3::new(number(&mut d), 0.0, number(&mut d));
                        Kind::FromPlane { point: a, through, normal: DVec3::new(number(&mut d), number(&mut d), 1.0) }
                    }
                    7 => Kind::FromString { point: a, from: b, to: c },
                    _ => match d.below(2) {
                        0 => Kind::Slope { from: a, to: b },
                        _ => Kind::Bevel { at: a, one: b, other: c },
                    },
                };
                let mut o = Observation::new("o", kind, number(&mut d), number(&mut d).abs());
                o.add = if d.roll() < 0.9 { 0.0 } else { number(&mut d) };
                o
            })
            .collect();
        let tilt = match d.below(4) {
            0 => Tilt::Level,
            1 => Tilt::Known([number(&mut d), number(&mut d)]),
            2 => Tilt::Unknown,
            _ => Tilt::Near([number(&mut d), number(&mut d)], number(&mut d)),
        };
        let setups = vec![Setup { name: "s".into(), level: (d.roll() < 0.5).then(|| number(&mut d)) }];
        let n = Network { points, observations, setups, tilt };
        let a = adjust(&n, Blunders::LeaveOut);
        proptest::prop_assert_eq!(a.points.len(), n.points.len());
        for p in a.points.iter().flatten() {
            proptest::prop_assert!(!a.convergence.converged || p.at.is_finite());
        }
        let unused = a.observations.iter().filter(|o| o.is_none()).count();
        proptest::prop_assert!(a.problems.len() >= unused);
        a.next_distances(None, 0.001, None);
        let pairs: Vec<Pair> = (0..d.below(5))
            .map(|_| Pair { measured: DVec3::splat(number(&mut d)), design: DVec3::new(number(&mut d), 0.0, 1.0), weight: 1.0 })
            .collect();
        let _ = best_fit(&pairs);
    }
}

/// A tape laid on the outside of tubes has arms of some 20 mm. A frame that nothing holds is still open in six ways: arms
/// must not turn it.
#[test]
fn marks_beside_the_points_do_not_turn_the_whole() {
    let places = [DVec3::ZERO, DVec3::X, DVec3::Y, DVec3::Z, DVec3::new(1.0, 1.0, 1.0)];
    let name = |i: usize| format!("p{i}");
    let points = places.iter().enumerate().map(|(i, p)| Point::free(&name(i), *p)).collect();
    let mut observations = Vec::new();
    for b in 1..places.len() {
        for a in 0..b {
            let marks = vec![DVec3::new(0.02, 0.0, 0.01 * a as f64), DVec3::new(0.0, -0.02, 0.01 * b as f64)];
            let way = places[b] + marks[1] - places[a] - marks[0];
            // A millimetre more on one: what arms could take up by turning.
            let read = way.length() + if (a, b) == (0, 4) { 0.001 } else { 0.0 };
            observations.push(Observation { marks, ..tape(&name(a), &name(b), read) });
        }
    }
    let a = adjust(&Network { points, observations, ..Network::default() }, Blunders::Keep);
    assert_eq!(a.open, Open { slides: 3, turns: 3 });
    let shifts: Vec<DVec3> = a.points.iter().flatten().map(|p| p.shift).collect();
    let middle = places.iter().sum::<DVec3>() / 5.0;
    let turn: DVec3 = places.iter().zip(&shifts).map(|(p, s)| (*p - middle).cross(*s)).sum();
    assert!(turn.length() < 1e-12 && shifts.iter().all(|s| s.length() < 0.001), "{turn} {shifts:?}");
}
