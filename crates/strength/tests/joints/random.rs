//! Nodes at random: what must not matter, and what makes no sense.

use std::f64::consts::PI;

use strength::joints::{Form, Hollow, Node, Report, Rules, check};

use crate::common::{Numbers, apart, boxed, brace, chord, near, round};

/// Nodes of one to six braces on up to four sides; a good part of them within the ranges.
fn random_node(r: &mut Numbers) -> Node {
    let boxes = r.next() < 0.4;
    let mut c = chord(if boxes { boxed(0.06, 0.08, 0.004) } else { round(0.0761, 0.004) });
    for k in 0..3 {
        c.before[k] = r.between(-3e4, 3e4);
        c.after[k] = r.between(-3e4, 3e4);
    }
    for m in c.bending.iter_mut().flatten() {
        *m = r.between(-500.0, 500.0);
    }
    let sides: &[f64] = [&[0.0][..], &[0.0, PI], &[0.0, PI / 2.0]][(r.next() * 3.0) as usize];
    let mut braces = Vec::new();
    for (s, azimuth) in sides.iter().enumerate() {
        let make = |r: &mut Numbers, name: &str, angle: f64| {
            let wall = if r.next() < 0.5 { 0.003 } else { 0.0035 };
            let section = if boxes && r.next() < 0.7 { boxed(0.04, 0.035, wall) } else { round(0.0381, wall) };
            let mut b = brace(&format!("{name}{s}"), section, angle, r.between(-2e4, 2e4));
            b.azimuth = *azimuth;
            (b.in_plane, b.out_of_plane, b.torque) =
                (r.between(-100.0, 100.0), r.between(-100.0, 100.0), r.between(-50.0, 50.0));
            b.shear = r.between(0.0, 500.0);
            b
        };
        if r.next() < 0.4 {
            let angle = r.between(28.0, 152.0);
            braces.push(make(r, "single", angle));
        } else {
            let (back, forth) = (r.between(95.0, 140.0), r.between(40.0, 85.0));
            let (a, b) = (make(r, "back", back), make(r, "forth", forth));
            let gap = r.between(-0.03, 0.03);
            braces.extend(apart(a, b, gap, if azimuth.sin() > 0.5 && boxes { 0.06 } else { 0.08 }));
        }
    }
    Node { chord: c, braces }
}

/// The chord drawn from its other end: t turns, u stays, v turns.
fn reversed(n: &Node) -> Node {
    let mut out = n.clone();
    let turn = |f: [f64; 3]| [-f[0], f[1], -f[2]];
    (out.chord.before, out.chord.after) = (turn(n.chord.after), turn(n.chord.before));
    out.chord.bending.reverse();
    for b in &mut out.braces {
        (b.angle, b.azimuth, b.station) = (PI - b.angle, -b.azimuth, -b.station);
    }
    out
}

/// The mirror image in the plane of t and u.
fn mirrored(n: &Node) -> Node {
    let mut out = n.clone();
    let turn = |f: [f64; 3]| [f[0], f[1], -f[2]];
    (out.chord.before, out.chord.after) = (turn(n.chord.before), turn(n.chord.after));
    for b in &mut out.braces {
        b.azimuth = -b.azimuth;
        (b.out_of_plane, b.torque) = (-b.out_of_plane, -b.torque);
    }
    out
}

/// The order of a side's parts does not matter here; all numbers must agree to rounding.
fn alike(a: &Report, b: &Report, scale: f64) {
    assert_eq!(a.brace, b.brace);
    match (&a.outcome, &b.outcome) {
        (Ok(x), Ok(y)) => {
            assert_eq!(x.parts.len(), y.parts.len(), "{x:?} {y:?}");
            for (p, q) in x.parts.iter().zip(&y.parts) {
                assert_eq!((p.kind, p.governing.mode), (q.kind, q.governing.mode));
                assert!((p.force * scale - q.force).abs() <= 1e-9 * q.force.abs().max(1.0));
                near(p.governing.value * scale, q.governing.value, 1e-9);
            }
            assert_eq!(x.utilisation.is_some(), y.utilisation.is_some());
            if let (Some(u), Some(v)) = (x.utilisation, y.utilisation) {
                near(u, v, 1e-9);
            }
            assert_eq!(x.chord.is_some(), y.chord.is_some());
        }
        (Err(x), Err(y)) => assert_eq!(x.clause, y.clause, "{x:?} {y:?}"),
        _ => panic!("{:?}\n{:?}", a.outcome, b.outcome),
    }
}

#[test]
fn drawing_order_and_handedness_do_not_matter() {
    let mut r = Numbers(7);
    let (mut held, mut out) = (0, 0);
    for _ in 0..3000 {
        let n = random_node(&mut r);
        let rules = Rules::default();
        let plain = check(&n, &rules);
        let good = plain.iter().filter(|r| r.outcome.is_ok()).count();
        held += good;
        out += plain.len() - good;
        for (a, b) in plain.iter().zip(check(&reversed(&n), &rules)) {
            alike(a, &b, 1.0);
        }
        for (a, b) in plain.iter().zip(check(&mirrored(&n), &rules)) {
            alike(a, &b, 1.0);
        }
        let mut other = n.clone();
        other.braces.reverse();
        for (a, b) in plain.iter().zip(check(&other, &rules).iter().rev()) {
            if a.outcome.is_ok() || b.outcome.is_ok() {
                alike(a, b, 1.0);
            }
        }
    }
    // Both kinds of answers were among them.
    assert!(held > 1000 && out > 1000, "{held} {out}");
}

/// Twice as large under four times the force is the same joint.
#[test]
fn only_proportions_and_stresses_count() {
    let mut r = Numbers(11);
    let mut held = 0;
    for _ in 0..1000 {
        let n = random_node(&mut r);
        let mut big = n.clone();
        let grow = |s: &mut Hollow| {
            s.form = match s.form {
                Form::Round { od } => Form::Round { od: 2.0 * od },
                Form::Box { across, depth } => Form::Box { across: 2.0 * across, depth: 2.0 * depth },
            };
            s.wall *= 2.0;
            s.area *= 4.0;
            for m in s.elastic.iter_mut().chain(&mut s.plastic) {
                *m *= 8.0;
            }
            s.twist *= 8.0;
        };
        grow(&mut big.chord.section);
        big.chord.before.iter_mut().chain(&mut big.chord.after).for_each(|f| *f *= 4.0);
        big.chord.bending.iter_mut().flatten().for_each(|m| *m *= 8.0);
        for b in &mut big.braces {
            grow(&mut b.section);
            b.station *= 2.0;
            b.tension *= 4.0;
            b.shear *= 4.0;
            (b.in_plane, b.out_of_plane, b.torque) = (b.in_plane * 8.0, b.out_of_plane * 8.0, b.torque * 8.0);
        }
        for (a, b) in check(&n, &Rules::default()).iter().zip(check(&big, &Rules::default())) {
            alike(a, &b, 4.0);
            near(2.0 * a.weld.wanted, b.weld.wanted, 1e-12);
            near(2.0 * a.weld.full, b.weld.full, 1e-12);
            held += usize::from(a.outcome.is_ok());
        }
    }
    assert!(held > 300, "{held}");
}

/// Numbers that make no sense are told as such, or bear what they bear: nothing panics, nothing that is checked is not a number.
#[test]
fn nonsense_is_out_of_range() {
    let mut r = Numbers(3);
    let odd = [0.0, -1.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, -1e300, 1e-300];
    for _ in 0..20_000 {
        let mut n = random_node(&mut r);
        let bad = odd[(r.next() * odd.len() as f64) as usize];
        let k = (r.next() * n.braces.len() as f64) as usize;
        let at = (r.next() * 16.0) as usize;
        let b = &mut n.braces[k];
        let target = match at {
            0 => &mut b.angle,
            1 => &mut b.azimuth,
            2 => &mut b.station,
            3 => &mut b.tension,
            4 => &mut b.in_plane,
            5 => &mut b.section.wall,
            6 => &mut b.section.area,
            7 => &mut b.section.elastic[0],
            8 => &mut b.section.steel.yield_strength,
            9 => &mut b.section.steel.tensile_strength,
            10 => &mut n.chord.section.wall,
            11 => &mut n.chord.section.area,
            12 => &mut n.chord.section.steel.yield_strength,
            13 => &mut n.chord.before[0],
            14 => &mut n.chord.bending[1][1],
            _ => match &mut n.chord.section.form {
                Form::Round { od } => od,
                Form::Box { depth, .. } => depth,
            },
        };
        *target = bad;
        for r in check(&n, &Rules::default()) {
            if let Ok(c) = r.outcome {
                assert!(!c.axial.is_nan() && c.utilisation.is_none_or(|u| !u.is_nan()), "{at} {bad}: {c:?}");
                assert!(c.parts.iter().all(|p| p.governing.value > 0.0), "{at} {bad}: {c:?}");
            }
        }
    }
    assert!(check(&Node { chord: chord(round(0.05, 0.003)), braces: Vec::new() }, &Rules::default()).is_empty());
}
