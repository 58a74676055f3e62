//! Networks whose answer is known from a book or in closed form.

use adjust::{Blunders, Hold, Kind, Network, Observation, Point, Row, Verdict, adjust};
use glam::DVec3;

fn on_z(name: &str, z: f64, hold: Hold) -> Point {
    Point { name: name.into(), at: DVec3::new(0.0, 0.0, z), hold: [Hold::Fixed, Hold::Fixed, hold] }
}

fn rise(name: &str, from: &str, to: &str, value: f64, sigma: f64) -> Observation {
    Observation::new(name, Kind::Rise { from: from.into(), to: to.into() }, value, sigma)
}

/// The levelling network that Ghilani and Wolf, Adjustment Computations, adjust throughout (two bench marks, three
/// stations, seven lines; feet) [memory; that the numbers fit together to their last digit was recomputed]: without
/// weights 105.141, 104.483, 106.188; with weights by 1 / length 105.150, 104.489, 106.197, reference deviation 0.107.
#[test]
fn levelling_by_ghilani_and_wolf() {
    let lines = [
        ("x", "a", 5.10, 4.0f64),
        ("a", "y", 2.34, 3.0),
        ("y", "c", -1.25, 2.0),
        ("c", "x", -6.13, 3.0),
        ("a", "b", -0.68, 2.0),
        ("y", "b", -3.00, 2.0),
        ("b", "c", 1.70, 2.0),
    ];
    for (weighted, want) in [(false, [105.141, 104.483, 106.188]), (true, [105.150, 104.489, 106.197])] {
        let points = vec![
            on_z("x", 100.0, Hold::Fixed),
            on_z("y", 107.5, Hold::Fixed),
            on_z("a", 105.0, Hold::Free),
            on_z("b", 104.0, Hold::Free),
            on_z("c", 106.0, Hold::Free),
        ];
        let observations = lines
            .iter()
            .map(|(p, q, v, l)| rise(&format!("{p}{q}"), p, q, *v, 0.01 * if weighted { l.sqrt() } else { 1.0 }))
            .collect();
        let answer = adjust(&Network { points, observations, ..Network::default() }, Blunders::Keep);
        for (i, want) in want.iter().enumerate() {
            let got = answer.points[2 + i].as_ref().unwrap().at.z;
            // Printed to a thousandth of a foot.
            assert!((got - want).abs() < 5.1e-4, "{weighted} {i}: {got}");
        }
        assert_eq!(answer.freedom, 4);
        let deviation = (answer.sum / 4.0).sqrt();
        if weighted {
            // 12 / length are the weights there; the reference deviation has that scale.
            let there = 12f64.sqrt() * 0.01 * deviation;
            assert!((there - 0.107).abs() < 5.1e-4, "{there}");
        }
        assert!(answer.convergence.converged && answer.convergence.steps <= 2);
    }
}

/// A loop of four rises with equal deviations: the misclosure is shared equally, each is checked by a quarter.
#[test]
fn a_loop_shares_its_misclosure() {
    let points = vec![
        on_z("a", 0.0, Hold::Fixed),
        on_z("b", 1.0, Hold::Free),
        on_z("c", 2.0, Hold::Free),
        on_z("d", 1.0, Hold::Free),
    ];
    let s = 0.01;
    let observations = vec![
        rise("1", "a", "b", 1.003, s),
        rise("2", "b", "c", 1.001, s),
        rise("3", "c", "d", -0.999, s),
        rise("4", "d", "a", -1.001, s),
    ];
    let answer = adjust(&Network { points, observations, ..Network::default() }, Blunders::Keep);
    let z: Vec<f64> = (1..4).map(|p| answer.points[p].as_ref().unwrap().at.z).collect();
    for (got, want) in z.iter().zip([1.002, 2.002, 1.002]) {
        assert!((got - want).abs() < 1e-13, "{got} {want}");
    }
    for o in answer.observations.iter().flatten() {
        assert!((o.residual - 0.001).abs() < 1e-13 && (o.redundancy - 0.25).abs() < 1e-12);
        assert!((o.w.unwrap() - 0.2).abs() < 1e-10);
        assert!((o.least_found.unwrap() - adjust::FOUND * s * 2.0).abs() < 1e-12);
    }
    // Heights after one, two, three of four equal links: k (4 − k) / 4.
    for (p, want) in [(1, 0.75), (2, 1.0), (3, 0.75)] {
        let got = answer.points[p].as_ref().unwrap().covariance.z_axis.z / (s * s);
        assert!((got - want).abs() < 1e-12, "{got}");
    }
    assert_eq!(answer.global.unwrap().verdict, Verdict::Within);
}

fn flat(name: &str, x: f64, y: f64, hold: Hold) -> Point {
    Point { name: name.into(), at: DVec3::new(x, y, 0.0), hold: [hold, hold, Hold::Fixed] }
}

/// A square with both diagonals, taken with one tape, nothing held: one measurement too many. The one self-stress of a braced
/// square is 1 on the sides and −√2 on the diagonals, so redundancies are 1/8 and 1/4 by symmetry (their sum is 1) and
/// residuals follow the stress.
#[test]
fn a_braced_square_spreads_by_its_self_stress() {
    let points = vec![
        flat("a", 0.0, 0.0, Hold::Free),
        flat("b", 1.0, 0.0, Hold::Free),
        flat("c", 1.0, 1.0, Hold::Free),
        flat("d", 0.0, 1.0, Hold::Free),
    ];
    let tape = |a: &str, b: &str, l: f64| Observation::distance(&format!("{a}{b}"), a, b, l, 0.001);
    let r2 = 2f64.sqrt();
    let e = 1e-5;
    let observations = vec![
        tape("a", "b", 1.0 + e),
        tape("b", "c", 1.0),
        tape("c", "d", 1.0),
        tape("d", "a", 1.0),
        tape("a", "c", r2),
        tape("b", "d", r2),
    ];
    let answer = adjust(&Network { points, observations, ..Network::default() }, Blunders::Keep);
    assert_eq!((answer.freedom, answer.open.slides, answer.open.turns), (1, 2, 1));
    assert!(answer.loose.is_empty() && answer.convergence.converged);
    for (i, o) in answer.observations.iter().flatten().enumerate() {
        let (z, stress) = if i < 4 { (0.125, 1.0) } else { (0.25, -r2) };
        // The figures are those of the adjusted square, which is out by 1e-5.
        assert!((o.redundancy - z).abs() < 1e-5, "{i} {}", o.redundancy);
        assert!((o.residual - e * stress / 8.0).abs() < 1e-4 * e, "{i} {}", o.residual);
    }
    // Nothing held: the best fit to the design.
    let shifts: Vec<DVec3> = answer.points.iter().flatten().map(|p| p.shift).collect();
    let turn: DVec3 = answer.points.iter().flatten().map(|p| (p.at - p.shift).cross(p.shift)).sum();
    assert!(shifts.iter().sum::<DVec3>().length() < 1e-15 && turn.length() < 1e-15);
}

/// With one check, all that it checks could be wrong: named together, none left out.
#[test]
fn one_check_cannot_tell_which() {
    let points = vec![
        flat("a", 0.0, 0.0, Hold::Fixed),
        flat("b", 1.0, 0.0, Hold::Fixed),
        flat("c", 1.0, 1.0, Hold::Free),
        flat("d", 0.0, 1.0, Hold::Free),
    ];
    let tape = |a: &str, b: &str, l: f64| Observation::distance(&format!("{a}{b}"), a, b, l, 0.001);
    let r2 = 2f64.sqrt();
    let observations =
        vec![tape("b", "c", 1.0), tape("c", "d", 1.04), tape("d", "a", 1.0), tape("a", "c", r2), tape("b", "d", r2)];
    let answer = adjust(&Network { points, observations, ..Network::default() }, Blunders::LeaveOut);
    assert_eq!(answer.freedom, 1);
    assert!(answer.blunders.is_empty());
    let all: Vec<Row> = (0..5).map(Row::Observation).collect();
    assert_eq!(answer.contradictions, vec![all]);
    assert_eq!(answer.global.unwrap().verdict, Verdict::Over);
}

/// A tape hooked on the outside of a tube: its constant is added.
#[test]
fn the_constant_is_added() {
    let points = vec![
        flat("a", 0.0, 0.0, Hold::Fixed),
        Point { name: "b".into(), at: DVec3::X, hold: [Hold::Free, Hold::Fixed, Hold::Fixed] },
    ];
    let mut o = Observation::distance("ab", "a", "b", 1.05, 0.001);
    o.add = -0.045;
    let answer = adjust(&Network { points, observations: vec![o], ..Network::default() }, Blunders::LeaveOut);
    assert!((answer.points[1].as_ref().unwrap().at.x - 1.005).abs() < 1e-12);
    assert_eq!(answer.freedom, 0);
    assert!(answer.global.is_none() && answer.observations[0].unwrap().w.is_none());
}
