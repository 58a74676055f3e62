//! Curves whose answer is known, and answers held against plain geometry.

mod common;

use common::{Dice, by, chain, die, sampled};
use curve::{Answer, Die, Line, LineError, Run, Try, measure, solve};
use geometry::{Chain, DVec3, Segment};

fn line(points: &[DVec3]) -> Line {
    Line::new(points, Run::Smooth).unwrap()
}

/// Holds a try against the die and the curve by `geometry`'s chain, sampled here.
fn holds(line: &Line, die: &Die, t: &Try) {
    let (first, last) = (line.places[0], line.places[line.places.len() - 1]);
    assert_eq!(t.corners.len(), t.bends + 2);
    assert_eq!((t.corners[0], t.corners[t.bends + 1]), (first, last));
    let c = Chain::new(&t.corners, &vec![die.radius; t.bends]).unwrap();
    assert!((c.length() - t.length).abs() < 1e-6, "{} and {}", c.length(), t.length);
    let mut legs = Vec::new();
    for s in &c.segments {
        match *s {
            Segment::Leg { length, .. } => legs.push(length),
            Segment::Arc { sweep, .. } => assert!(sweep <= die.most + 1e-8, "{}", sweep.to_degrees()),
        }
    }
    if legs.len() == t.bends + 1 && t.bends > 0 {
        assert!(legs[0] >= die.ends[0] - 1e-8 && legs[t.bends] >= die.ends[1] - 1e-8, "{legs:?}");
        assert!(legs[1..t.bends].iter().all(|l| *l >= die.between - 1e-8), "{legs:?}");
    }
    let there = line.places.iter().map(|p| c.nearest(*p).1).fold(0.0, f64::max);
    let back = (0..=1500).map(|i| c.point(c.length() * f64::from(i) / 1500.0)).map(|p| {
        line.places
            .windows(2)
            .map(|w| {
                (p - w[0].lerp(w[1], ((p - w[0]).dot(w[1] - w[0]) / (w[1] - w[0]).length_squared()).clamp(0.0, 1.0)))
                    .length()
            })
            .fold(f64::INFINITY, f64::min)
    });
    let far = back.fold(there, f64::max);
    assert!(far <= t.deviation + 1e-9, "{far} and {}", t.deviation);
    assert!(far >= t.at_least - 1e-5 && t.at_least <= t.deviation, "{far} and {}", t.at_least);
}

fn at(a: &Answer, bends: usize) -> &Try {
    a.tries.iter().find(|t| t.bends == bends).unwrap()
}

/// Of random chains sampled every 5 mm as many bends come back, their corners at the old places; one bend fewer leaves
/// far more.
#[test]
fn chains_come_back() {
    let mut d = Dice(7);
    let mut proved = 0;
    for k in 0..60 {
        let bends = 1 + k % 6;
        let was = chain(&mut d, bends, 0.1);
        let line = line(&sampled(&was, 0.005));
        let die = die(0.1, 0.05);
        let a = solve(&line, &die, 1e-4);
        let t = &a.tries
            [a.fewest.unwrap_or_else(|| panic!("{k}: {:?}", a.tries.iter().map(|t| t.deviation).collect::<Vec<_>>()))];
        assert_eq!(t.bends, bends, "{k}");
        holds(&line, &die, t);
        let off = t.corners.iter().zip(&was.corners).map(|(p, q)| p.distance(*q)).fold(0.0, f64::max);
        assert!(off < 1e-3, "{k}: {off}");
        assert!(t.deviation < 5e-5, "{k}: {}", t.deviation);
        assert!(a.proved <= bends, "{k}: a chain of {bends} exists, {} said to be needed", a.proved);
        proved += usize::from(a.is_proved());
    }
    assert!(proved >= 50, "{proved} of 60 proved");
}

/// A circle's arc of radius ρ and angle Φ by n bends of radius R. With all legs at the distance ρ − τ from the centre and
/// all bends' middles at ρ + τ each bend turns by 2ψ with τ = (ρ − R) tan²(ψ/2), and the ends, which are on the curve, add
/// α = acos(1 − τ/ρ) each: Φ = 2 α + 2 n ψ.
fn arc_by(n: usize, rho: f64, angle: f64, radius: f64) -> f64 {
    let (mut lo, mut hi) = (0.0_f64, rho);
    for _ in 0..200 {
        let tau = 0.5 * (lo + hi);
        let psi = 2.0 * (tau / (rho - radius)).sqrt().atan();
        if 2.0 * (1.0 - tau / rho).acos() + 2.0 * n as f64 * psi < angle { lo = tau } else { hi = tau }
    }
    lo
}

#[test]
fn arcs_of_a_larger_radius_by_the_closed_form() {
    for (rho, angle, radius) in [(1.0, 1.6, 0.1), (0.6, 2.4, 0.15), (2.5, 0.7, 0.09)] {
        let line = line(&by(300, |t| [rho * (angle * t).cos(), 0.2, rho * (angle * t).sin()]));
        let die = die(radius, 0.0);
        let a = solve(&line, &die, arc_by(6, rho, angle, radius) + 2e-5);
        for n in 1..=6 {
            let (t, want) = (at(&a, n), arc_by(n, rho, angle, radius));
            assert!((t.deviation - want).abs() < 2e-3 * want + 1e-5, "{rho} {n}: {} and {want}", t.deviation);
            assert!(t.deviation >= want - 1e-6, "nothing is nearer than the best");
            holds(&line, &die, t);
        }
        assert_eq!(a.tries[a.fewest.unwrap()].bends, 6);
        // Without bends: the sagitta.
        let sagitta = rho * (1.0 - (angle / 2.0).cos());
        assert!((at(&a, 0).deviation - sagitta).abs() < 1e-5);
    }
}

/// An arc of the die's own radius between tangents is one bend.
#[test]
fn the_dies_own_arc_is_one_bend() {
    let c = Chain::new(&[DVec3::ZERO, DVec3::X, DVec3::new(1.0, 1.0, 0.0)], &[0.3]).unwrap();
    let line = line(&sampled(&c, 0.01));
    let a = solve(&line, &die(0.3, 0.05), 1e-4);
    assert_eq!(a.fewest.map(|k| a.tries[k].bends), Some(1));
    assert!(a.is_proved());
}

fn helix(n: usize) -> Vec<DVec3> {
    by(n, |t| [0.5 * (5.0 * t).cos(), 0.5 * (5.0 * t).sin(), 0.9 * t])
}

fn s_curve(n: usize) -> Vec<DVec3> {
    by(n, |t| [2.0 * t, 0.2 * (6.0 * t).sin(), 0.1 * t * t])
}

#[test]
fn what_is_told_holds() {
    let clamped = Die { ends: [0.15, 0.12], most: 1.2, ..die(0.11, 0.08) };
    for points in [helix(200), s_curve(200), helix(9), s_curve(7)] {
        let line = line(&points);
        let a = solve(&line, &clamped, 0.008);
        let k = a.fewest.expect("it can be followed");
        assert!(a.tries[k].deviation <= 0.008 && a.tries[..k].iter().all(|t| t.deviation > 0.008));
        assert!(a.tries.len() > k + 1, "what one more would buy is told");
        assert!(a.proved >= 2 && a.proved <= a.tries[k].bends);
        for t in &a.tries {
            holds(&line, &clamped, t);
            // What sampling leaves open: at most a thousandth, or what places on the curve may stray.
            assert!(
                t.deviation - t.at_least < 1e-3 * t.deviation + 2e-5,
                "{} bends: from {} to {}",
                t.bends,
                t.at_least,
                t.deviation
            );
        }
        // One more is never farther off by more than the search leaves.
        for w in a.tries[1..].windows(2) {
            assert!(
                w[1].deviation <= 1.02 * w[0].deviation,
                "{:?}",
                a.tries.iter().map(|t| t.deviation).collect::<Vec<_>>()
            );
        }
    }
}

#[test]
fn from_the_other_end_it_is_the_same_chain() {
    let clamped = Die { ends: [0.15, 0.05], most: 1.2, ..die(0.11, 0.08) };
    let turned = Die { ends: [0.05, 0.15], ..clamped };
    for points in [helix(80), s_curve(60)] {
        let back: Vec<DVec3> = points.iter().rev().copied().collect();
        let (a, b) = (solve(&line(&points), &clamped, 0.008), solve(&line(&back), &turned, 0.008));
        let (t, u) = (a.best().unwrap(), b.best().unwrap());
        assert_eq!(t.bends, u.bends);
        for (p, q) in t.corners.iter().zip(u.corners.iter().rev()) {
            assert!(p.distance(*q) < 1e-6, "{p} {q}");
        }
        assert!((t.worst.along + u.worst.along - a.length).abs() < 1e-3 || (t.deviation - u.deviation).abs() < 1e-8);
    }
}

#[test]
fn mirrored_and_larger_it_is_the_same_chain() {
    let clamped = die(0.11, 0.08);
    let points = helix(80);
    let a = solve(&line(&points), &clamped, 0.008);
    let flip = |p: &DVec3| DVec3::new(p.x, -p.y, p.z);
    let m = solve(&line(&points.iter().map(flip).collect::<Vec<_>>()), &clamped, 0.008);
    let (t, u) = (a.best().unwrap(), m.best().unwrap());
    assert_eq!(t.bends, u.bends);
    assert!((t.deviation - u.deviation).abs() < 2e-3 * t.deviation);
    for (p, q) in t.corners.iter().zip(&u.corners) {
        assert!(flip(p).distance(*q) < 1e-3, "{p} {q}");
    }
}

#[test]
fn a_straight_line_has_no_bends() {
    let line = line(&by(200, |t| [t, 2.0 * t, -t]));
    let a = solve(&line, &die(0.1, 0.05), 0.001);
    let t = a.best().unwrap();
    assert_eq!((t.bends, a.proved), (0, 0));
    assert!(a.is_proved() && t.deviation < 1e-9);
}

#[test]
fn a_closed_curve() {
    let points = by(120, |t| {
        let a = std::f64::consts::TAU * t;
        [0.4 * a.cos(), 0.3 * a.sin(), 0.0]
    });
    let line = line(&points);
    let die = die(0.1, 0.02);
    let a = solve(&line, &die, 0.01);
    let t = &a.tries[a.fewest.unwrap()];
    holds(&line, &die, t);
    assert!(t.bends >= a.proved && a.tries.iter().all(|t| t.bends > 0));
}

#[test]
fn doubled_points_count_once() {
    let points = s_curve(30);
    let doubled: Vec<DVec3> = points.iter().flat_map(|p| [*p, *p]).collect();
    assert_eq!(line(&points), line(&doubled));
}

#[test]
fn what_is_no_curve_is_said() {
    let p = DVec3::new(1.0, 2.0, 3.0);
    assert_eq!(Line::new(&[], Run::Smooth), Err(LineError::TooFew));
    assert_eq!(Line::new(&[p, p, p], Run::Smooth), Err(LineError::TooFew));
    assert_eq!(Line::new(&[p, DVec3::new(0.0, f64::NAN, 0.0)], Run::Smooth), Err(LineError::NoNumber(1)));
    assert_eq!(Line::new(&[p, DVec3::new(f64::INFINITY, 0.0, 0.0)], Run::Straight), Err(LineError::NoNumber(1)));
    assert_eq!(Line::new(&vec![p; 10_001], Run::Smooth), Err(LineError::TooMany(10_001)));
    for bad in [die(0.0, 0.0), die(f64::NAN, 0.0), die(0.1, -1.0), die(0.1, f64::INFINITY)] {
        let a = solve(&line(&s_curve(20)), &bad, 0.005);
        assert!(a.tries.is_empty() && a.best().is_none() && a.proved == 0);
    }
}

#[test]
fn two_points_are_one_leg() {
    let a = solve(&line(&[DVec3::ZERO, DVec3::new(0.3, 0.4, 0.0)]), &die(0.1, 0.05), 0.0001);
    assert_eq!(a.best().map(|t| (t.bends, (t.length * 1e9).round())), Some((0, 5e8)));
}

/// Where the curve turns far more sharply than the die, no number of bends helps, and that is found out soon. A corner of
/// 90 degrees between straight lines: an arc that is tangent to both lies R (√2 − 1) from the corner; the best one moves
/// out by half of that along the middle, as its legs then leave the lines.
#[test]
fn a_corner_sharper_than_the_die() {
    let points = [DVec3::ZERO, DVec3::X, DVec3::new(1.0, 1.0, 0.0)];
    let line = Line::new(&points, Run::Straight).unwrap();
    let a = solve(&line, &die(0.2, 0.05), 0.005);
    assert_eq!(a.fewest, None);
    let t = at(&a, 1);
    assert!(t.deviation < 0.2 * (2.0_f64.sqrt() - 1.0) && t.deviation > 0.02, "{}", t.deviation);
    assert!(a.tries.len() <= 8 && a.best().is_some());
    a.tries.iter().for_each(|t| holds(&line, &die(0.2, 0.05), t));
}

#[test]
fn a_die_too_large_finds_nothing_within() {
    let points = by(100, |t| [0.3 * (3.0 * t).cos(), 0.3 * (3.0 * t).sin(), 0.0]);
    let big = Die { ends: [0.2, 0.2], ..die(1.5, 0.2) };
    let line = line(&points);
    let a = solve(&line, &big, 0.005);
    assert_eq!(a.fewest, None);
    assert!(a.best().is_some_and(|t| t.deviation > 0.05));
}

#[test]
fn a_given_chain_is_measured() {
    let mut d = Dice(3);
    let c = chain(&mut d, 3, 0.1);
    let line = line(&sampled(&c, 0.004));
    let t = measure(&line, &c.corners, 0.1).unwrap();
    assert!(t.deviation < 5e-5, "{}", t.deviation);
    let mut off = c.corners.clone();
    off[0].z += 0.004;
    let t = measure(&line, &off, 0.1).unwrap();
    assert!(t.deviation >= 0.0039 && t.deviation < 0.0042, "{}", t.deviation);
    assert!(measure(&line, &[c.corners[0], c.corners[0]], 0.1).is_none());
    assert!(measure(&line, &c.corners[..1], 0.1).is_none());
}

#[test]
fn a_smooth_line_goes_through_its_points_and_strays_little() {
    let points = s_curve(8);
    let l = line(&points);
    for p in &points {
        assert!(l.places.iter().any(|q| q.distance(*p) < 1e-12), "{p}");
    }
    assert!(l.stray <= 2.1e-6, "{}", l.stray);
    // Of points on a circle the line is the circle to the fourth order or so: far better than the points' chords.
    let round = line(&by(25, |t| [(1.5 * t).cos(), (1.5 * t).sin(), 0.0]));
    let off = round.places.iter().map(|p| (p.length() - 1.0).abs()).fold(0.0, f64::max);
    assert!(off < 2e-6, "{off}");
}
