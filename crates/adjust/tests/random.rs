//! What must hold for any network, on many made at random.

mod common;

use adjust::{Answer, Blunders, CRITICAL, Hold, Kind, Network, Observation, Tilt, Verdict, adjust};
use common::{Dice, beside, name, network};
use glam::{DMat3, DQuat, DVec3};

fn places(a: &Answer) -> Vec<DVec3> {
    a.points.iter().map(|p| p.as_ref().unwrap().at).collect()
}

/// Without noise the places come back, the tilt too.
#[test]
fn true_places_come_back() {
    let mut d = Dice(1);
    for i in 0..40 {
        let mut made = network(&mut d, 6 + i % 9, true, 0.0);
        if i % 2 == 1 {
            beside(&mut d, &mut made);
        }
        let a = adjust(&made.network, Blunders::LeaveOut);
        assert!(a.problems.is_empty(), "{:?}", a.problems);
        assert!(a.convergence.converged && a.loose.is_empty() && a.blunders.is_empty());
        for (got, want) in places(&a).iter().zip(&made.places) {
            assert!(got.distance(*want) < 1e-11, "{i}: {}", got.distance(*want));
        }
        for k in 0..2 {
            assert!((a.tilt.tilt[k] - made.tilt[k]).abs() < 1e-11);
        }
    }
}

/// Σr² follows χ²: its mean is the degrees of freedom, and one in twenty is outside the limits. True places lie within the
/// 95 % ellipsoid with 95 %.
#[test]
fn sums_and_ellipsoids_are_as_their_chances_say() {
    let mut d = Dice(2);
    let (mut sum, mut freedom, mut outside, mut inside, mut points, runs) = (0.0, 0.0, 0, 0, 0, 400);
    for i in 0..runs {
        let made = network(&mut d, 7 + i % 5, true, 1.0);
        let a = adjust(&made.network, Blunders::Keep);
        assert!(a.convergence.converged, "{i} {:?}", a.convergence);
        let all: f64 = a.observations.iter().flatten().map(|o| o.redundancy).sum();
        assert!((all - a.freedom as f64).abs() < 1e-8, "{all} {}", a.freedom);
        (sum, freedom) = (sum + a.sum, freedom + a.freedom as f64);
        outside += usize::from(a.global.unwrap().verdict != Verdict::Within);
        for (p, place) in a.points.iter().flatten().zip(&made.places).skip(3) {
            let e = &p.ellipsoid;
            let off = *place - p.at;
            let far: f64 = (0..3).map(|k| (off.dot(e.axes[k]) / e.semi[k]).powi(2)).sum();
            inside += usize::from(far <= 1.0);
            points += 1;
        }
    }
    // Σ of χ² has the standard deviation √(2f); four of them.
    assert!((sum - freedom).abs() < 4.0 * (2.0 * freedom).sqrt(), "{sum} {freedom}");
    // 5 % of 400 are 20, with a standard deviation of 4.4.
    assert!((3..=37).contains(&outside), "{outside}");
    // Points of one network hang together: an allowance of 2 % is four deviations were only every fourth independent.
    let share = inside as f64 / points as f64;
    assert!((share - 0.95).abs() < 0.02, "{share}");
}

/// w is standard normal: over its limit by chance one time in a thousand; with an error of the least size that is to be
/// found, four times in five.
#[test]
fn an_error_of_the_least_size_is_found_as_often_as_is_said() {
    let mut d = Dice(3);
    let (mut over, mut all, mut found, mut left_out, runs) = (0, 0, 0, 0, 600);
    for _ in 0..runs {
        let mut made = network(&mut d, 9, true, 1.0);
        let a = adjust(&made.network, Blunders::Keep);
        let seen: Vec<_> = a.observations.iter().flatten().filter(|o| o.w.is_some()).collect();
        over += seen.iter().filter(|o| o.w.unwrap().abs() > CRITICAL).count();
        all += seen.len();
        let o = seen[d.below(seen.len())];
        let adjust::Row::Observation(i) = o.row else { panic!() };
        made.network.observations[i].value += o.least_found.unwrap() * if d.roll() < 0.5 { 1.0 } else { -1.0 };
        let b = adjust(&made.network, Blunders::Keep);
        found += usize::from(b.observations[i].unwrap().w.unwrap().abs() > CRITICAL);
        let c = adjust(&made.network, Blunders::LeaveOut);
        left_out += usize::from(c.blunders.iter().any(|x| x.row == o.row));
    }
    // A thousandth of about 38,000: 38, with a standard deviation of about 6.2; four of them.
    let want = all as f64 / 1000.0;
    assert!((over as f64 - want).abs() < 4.0 * want.sqrt(), "{over} of {all}");
    // 80 % of 600: 480, standard deviation 9.8; four of them.
    assert!((441..=519).contains(&found), "{found} of {runs}");
    // Leaving out the worst first can pick a neighbour instead, so at most as many; rarely fewer.
    assert!(left_out > 400, "{left_out} of {runs}");
}

/// Large errors are left out, by name, with their size; the places are then as good as without them.
#[test]
fn two_large_errors_are_named_with_their_size() {
    let mut d = Dice(4);
    for _ in 0..60 {
        let mut made = network(&mut d, 12, true, 1.0);
        let a = adjust(&made.network, Blunders::Keep);
        let good: Vec<usize> =
            (0..a.observations.len()).filter(|&i| a.observations[i].unwrap().redundancy > 0.4).collect();
        let (i, k) = (good[d.below(good.len() / 2)], good[good.len() / 2 + d.below(good.len() / 2)]);
        for (o, sign) in [(i, 1.0), (k, -1.0)] {
            let sigma = made.network.observations[o].sigma;
            made.network.observations[o].value += sign * 20.0 * sigma;
        }
        let b = adjust(&made.network, Blunders::LeaveOut);
        for (o, sign) in [(i, 1.0), (k, -1.0)] {
            let x = b.blunders.iter().find(|x| x.row == adjust::Row::Observation(o)).expect("it is found");
            let sigma = made.network.observations[o].sigma;
            let seen = b.observations[o].unwrap();
            // What the others foretell is good to σ √(1/z − 1) or so; with the reading's own noise under 2 σ: five of them.
            assert!((x.error - sign * 20.0 * sigma).abs() < 10.0 * sigma, "{} {}", x.error / sigma, sign);
            assert!(!seen.used && seen.residual == x.error);
        }
    }
}

/// Three errors at once of twice the least that would be found alone, in well-checked measurements: all three are left
/// out nearly always, and hardly anything else.
#[test]
fn three_errors_at_once() {
    let mut d = Dice(12);
    let (mut all_three, mut besides, runs) = (0, 0, 200);
    for _ in 0..runs {
        let mut made = network(&mut d, 12, true, 1.0);
        let a = adjust(&made.network, Blunders::Keep);
        let mut good: Vec<usize> =
            (0..a.observations.len()).filter(|&i| a.observations[i].unwrap().redundancy > 0.4).collect();
        let wrong: Vec<usize> = (0..3).map(|_| good.swap_remove(d.below(good.len()))).collect();
        for &i in &wrong {
            let least = a.observations[i].unwrap().least_found.unwrap();
            made.network.observations[i].value += 2.0 * least * if d.roll() < 0.5 { 1.0 } else { -1.0 };
        }
        let b = adjust(&made.network, Blunders::LeaveOut);
        let named = |i: usize| b.blunders.iter().any(|x| x.row == adjust::Row::Observation(i));
        let found = wrong.iter().filter(|i| named(**i)).count();
        all_three += usize::from(found == 3);
        besides += b.blunders.len() - found;
    }
    assert!(all_three >= 190 && besides <= 40, "{all_three} {besides}");
}

/// A design a millimetre out of flat, with tapes alone: what is so nearly loose is told as loose, and kept near the design.
#[test]
fn nearly_flat_is_as_good_as_flat() {
    let mut d = Dice(13);
    for _ in 0..20 {
        let flat: Vec<DVec3> = (0..8).map(|_| d.vector() * DVec3::new(1.0, 0.7, 0.001)).collect();
        let points = (0..8).map(|i| adjust::Point::free(&name(i), flat[i])).collect();
        let mut observations = Vec::new();
        for b in 1..8 {
            for a in 0..b {
                let l = flat[a].distance(flat[b]) + 0.001 * d.normal();
                observations.push(Observation::distance("t", &name(a), &name(b), l, 0.001));
            }
        }
        let a = adjust(&Network { points, observations, ..Network::default() }, Blunders::Keep);
        assert!(a.convergence.converged && !a.loose.is_empty(), "{:?}", a.convergence);
        for (_, ways) in a.loose.iter().flat_map(|l| &l.points) {
            // Out of the plane, but for the millimetre that the design is.
            assert!(ways.iter().all(|w| w.z > 0.99), "{ways:?}");
        }
    }
}

/// What the update foretells is what an adjustment with the distance gives.
#[test]
fn one_more_distance_brings_what_was_foretold() {
    let mut d = Dice(5);
    for mixed in [true, false] {
        for _ in 0..6 {
            let made = network(&mut d, 8, mixed, 1.0);
            let a = adjust(&made.network, Blunders::Keep);
            let about = [4, 6];
            for about in [None, Some(&about[..])] {
                let gains = a.next_distances(None, 0.0008, about);
                assert_eq!(gains.len(), 28);
                assert!(gains.windows(2).all(|w| w[0].after <= w[1].after));
                for g in &gains {
                    let mut more = made.network.clone();
                    // Its expected reading changes no place.
                    more.observations.push(Observation::distance("more", &name(g.from), &name(g.to), g.length, 0.0008));
                    let b = adjust(&more, Blunders::Keep);
                    let trace = |a: &Answer| -> f64 {
                        (0..8)
                            .filter(|p| about.is_none_or(|l| l.contains(p)))
                            .map(|p| a.points[p].as_ref().unwrap().sigma.length_squared())
                            .sum()
                    };
                    assert!((trace(&a) - g.before).abs() < 1e-9 * g.before);
                    let (got, want) = (g.after.unwrap(), trace(&b));
                    assert!((got - want).abs() < 1e-8 * g.before, "{got} {want}");
                    let redundancy = b.observations.last().unwrap().unwrap().redundancy;
                    let known = (g.known / 0.0008).powi(2);
                    assert!((redundancy - 1.0 / (1.0 + known)).abs() < 1e-7, "{redundancy}");
                }
            }
        }
    }
}

fn moved(n: &Network, f: &dyn Fn(DVec3) -> DVec3) -> Network {
    let mut n = n.clone();
    n.points.iter_mut().for_each(|p| p.at = f(p.at));
    n
}

/// A free network moves with its design, however far it is turned.
#[test]
fn a_free_network_goes_with_its_design() {
    let mut d = Dice(6);
    for _ in 0..20 {
        let made = network(&mut d, 9, false, 1.0);
        let turn = DMat3::from_quat(DQuat::from_scaled_axis(d.vector() * 2.0));
        let slide = d.vector() * 3.0;
        let a = adjust(&made.network, Blunders::Keep);
        let b = adjust(&moved(&made.network, &|p| turn * p + slide), Blunders::Keep);
        assert_eq!((a.open.slides, a.open.turns), (3, 3));
        assert!((a.sum - b.sum).abs() < 1e-8 * a.sum.max(1.0));
        for (p, q) in a.points.iter().flatten().zip(b.points.iter().flatten()) {
            let gap = (turn * p.at + slide).distance(q.at);
            assert!(gap < 1e-11, "{gap} {:?} {:?}", a.convergence, b.convergence);
            let c = turn * p.covariance * turn.transpose() - q.covariance;
            assert!(c.to_cols_array().iter().all(|x| x.abs() < 1e-7 * 1e-6), "{c:?}");
        }
    }
}

/// The free answer is already the best fit: laying it on the design once more changes nothing.
#[test]
fn a_free_network_lies_best_on_its_design() {
    let mut d = Dice(7);
    for _ in 0..20 {
        let made = network(&mut d, 9, false, 1.0);
        let a = adjust(&made.network, Blunders::Keep);
        let pairs: Vec<adjust::fit::Pair> = a
            .points
            .iter()
            .flatten()
            .map(|p| adjust::fit::Pair { measured: p.at, design: p.at - p.shift, weight: 1.0 })
            .collect();
        let f = adjust::fit::best_fit(&pairs).unwrap();
        for (x, p) in f.deviations.iter().zip(a.points.iter().flatten()) {
            assert!(x.distance(p.shift) < 1e-12, "{}", x.distance(p.shift));
        }
    }
}

/// Everything mirrored in y = 0 gives the mirrored answer.
#[test]
fn mirrored_in_mirrored_out() {
    let mut d = Dice(8);
    let flip = |v: DVec3| DVec3::new(v.x, -v.y, v.z);
    for _ in 0..20 {
        let made = network(&mut d, 9, true, 1.0);
        let mut n = moved(&made.network, &flip);
        for o in &mut n.observations {
            match &mut o.kind {
                Kind::Offset { along: adjust::Axis::Y, .. } | Kind::FromString { .. } => o.value = -o.value,
                Kind::FromPlane { through, normal, .. } => (*through, *normal) = (flip(*through), flip(*normal)),
                _ => {}
            }
        }
        let (a, b) = (adjust(&made.network, Blunders::LeaveOut), adjust(&n, Blunders::LeaveOut));
        for (p, q) in places(&a).iter().zip(places(&b)) {
            assert!(flip(*p).distance(q) < 1e-11);
        }
        // "Up" is (b, −a, 1): its y turns over, so a does.
        assert!((a.tilt.tilt[0] + b.tilt.tilt[0]).abs() < 1e-11 && (a.tilt.tilt[1] - b.tilt.tilt[1]).abs() < 1e-11);
        let rows = |a: &Answer| a.blunders.iter().map(|x| x.row).collect::<Vec<_>>();
        assert_eq!(rows(&a), rows(&b));
    }
}

/// The same in millimetres, and in miles.
#[test]
fn units_do_not_matter() {
    let mut d = Dice(9);
    for k in [1000.0, 1.0 / 1609.344] {
        for mixed in [true, false] {
            let made = network(&mut d, 9, mixed, 1.0);
            let mut n = moved(&made.network, &|p| p * k);
            for o in &mut n.observations {
                if let Kind::FromPlane { through, .. } = &mut o.kind {
                    *through *= k;
                }
                if !matches!(o.kind, Kind::Slope { .. } | Kind::Bevel { .. }) {
                    (o.value, o.sigma) = (o.value * k, o.sigma * k);
                }
            }
            let (a, b) = (adjust(&made.network, Blunders::LeaveOut), adjust(&n, Blunders::LeaveOut));
            assert_eq!((a.freedom, a.open, a.loose.len()), (b.freedom, b.open, b.loose.len()));
            assert!((a.sum - b.sum).abs() < 1e-8 * a.sum);
            for (p, q) in a.points.iter().flatten().zip(b.points.iter().flatten()) {
                assert!((p.at * k).distance(q.at) < 1e-11 * k);
                let gap = (p.sigma * k).distance(q.sigma) / q.sigma.length();
                assert!(gap < 1e-8 || q.sigma == DVec3::ZERO, "{gap}");
            }
        }
    }
}

/// A coordinate held near its place is a measurement like others; very tightly held is fixed; hardly held is free.
#[test]
fn holding_goes_from_free_to_fixed() {
    let mut d = Dice(10);
    let made = network(&mut d, 8, true, 1.0);
    let with = |h: Hold| {
        let mut n = made.network.clone();
        n.points[5].hold = [h; 3];
        adjust(&n, Blunders::Keep)
    };
    let gap = |a: &Answer, b: &Answer| places(a).iter().zip(places(b)).map(|(p, q)| p.distance(q)).fold(0.0, f64::max);
    // The pull of a hold falls with its variance: (σ of the point / σ of the hold)² of the shift.
    assert!(gap(&with(Hold::Fixed), &with(Hold::Near(1e-8))) < 1e-9);
    assert!(gap(&with(Hold::Free), &with(Hold::Near(1.0))) < 1e-7);
    assert_eq!(with(Hold::Near(0.001)).held.len(), 3);
}

/// A tilt that is known, near, or unknown.
#[test]
fn tilt_known_near_and_unknown_agree() {
    let mut d = Dice(11);
    let made = network(&mut d, 9, true, 1.0);
    let with = |tilt| adjust(&Network { tilt, ..made.network.clone() }, Blunders::Keep);
    let free = with(Tilt::Unknown);
    let known = with(Tilt::Known(free.tilt.tilt));
    assert!((known.sum - free.sum).abs() < 1e-8 * free.sum);
    assert_eq!(known.freedom, free.freedom + 2);
    let near = with(Tilt::Near(free.tilt.tilt, 0.001));
    assert!((near.sum - free.sum).abs() < 1e-8 * free.sum);
    for k in 0..2 {
        let s = free.tilt.sigma[k];
        assert!(near.tilt.sigma[k] < s && s < 0.01, "{s}");
        assert!((free.tilt.tilt[k] - made.tilt[k]).abs() < 5.0 * s);
    }
}
