//! The form of a bent tube that stands: its corners, so that it runs through the places that were measured on it.

use faer::linalg::solvers::Solve;
use faer::{Mat, Side};
use geometry::{Chain, DVec3};

/// What was measured on the tube is passed this well, m: a piece ends at the measured place, and on a tube of its own size a
/// hundredth of a millimetre beside its axis would already make an ear of two thirds of one.
const PASSED: f64 = 1e-5;

/// A corner strays from where the designed form has it by about this much, m: what a bend's mark and angle are off by in a
/// small shop (common practice, no source). Only where measured places ask for it, and no more than they do.
const STRAYS: f64 = 5e-3;

/// A corner that would have to stray farther than this is not believed, m: three times as much as it does. Two places near one
/// another on a leg, read coarsely, could swing a corner far from them by any amount.
const FARTHEST: f64 = 3.0 * STRAYS;

/// Step of differences, m: a thousandth of what matters, far above rounding.
const STEP: f64 = 1e-7;

/// Rounds; each halves what is left or better where it works at all.
const ROUNDS: usize = 12;

/// A correction smaller than this is none, m.
const SETTLED: f64 = 1e-9;

/// Corners moved as little as it takes for the chain to pass the places. Those that are not `free` stay: they were measured, or
/// ride on another tube. As given where there is nothing to move, no such chain, or a corner would stray too far to be believed.
pub(crate) fn corners(given: &[DVec3], free: &[bool], radii: &[f64], seen: &[DVec3]) -> Vec<DVec3> {
    let moved: Vec<usize> = (0..given.len()).filter(|&k| free[k]).collect();
    let n = 3 * moved.len();
    if n == 0 || seen.is_empty() {
        return given.to_vec();
    }
    let at = |x: &[f64]| {
        let mut out = given.to_vec();
        for (j, &k) in moved.iter().enumerate() {
            out[k] += DVec3::new(x[3 * j], x[3 * j + 1], x[3 * j + 2]);
        }
        out
    };
    // From each place to the nearest of the axis: along it nothing is asked. Then what the corners stray.
    let left = |x: &[f64]| -> Option<Vec<f64>> {
        let chain = Chain::new(&at(x), radii).ok()?;
        let beside = seen.iter().flat_map(|p| ((chain.point(chain.nearest(*p).0) - *p) / PASSED).to_array());
        Some(beside.chain(x.iter().map(|v| v / STRAYS)).collect())
    };
    let size = |r: &[f64]| r.iter().map(|v| v * v).sum::<f64>();
    let mut x = vec![0.0; n];
    let Some(mut r) = left(&x) else { return given.to_vec() };
    for _ in 0..ROUNDS {
        let mut columns = Vec::with_capacity(n);
        for j in 0..n {
            let mut y = x.clone();
            y[j] += STEP;
            let Some(s) = left(&y) else { return given.to_vec() };
            columns.push(s.iter().zip(&r).map(|(a, b)| (a - b) / STEP).collect::<Vec<f64>>());
        }
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(u, v)| u * v).sum::<f64>();
        let normal = Mat::from_fn(n, n, |i, j| dot(&columns[i], &columns[j]));
        let Ok(factor) = normal.llt(Side::Lower) else { return given.to_vec() };
        let by = factor.solve(&Mat::from_fn(n, 1, |i, _| -dot(&columns[i], &r)));
        // Half the way, and half of that, until it is better.
        let mut part = 1.0;
        let better = loop {
            let y: Vec<f64> = (0..n).map(|i| x[i] + part * by[(i, 0)]).collect();
            match left(&y).filter(|s| size(s) < size(&r)) {
                Some(s) => break Some((y, s)),
                None if part > 0.01 => part *= 0.5,
                None => break None,
            }
        };
        let Some((y, s)) = better else { break };
        let step = y.iter().zip(&x).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        (x, r) = (y, s);
        if step < SETTLED {
            break;
        }
    }
    let strays = x.chunks(3).map(|d| DVec3::from_slice(d).length()).fold(0.0, f64::max);
    if strays > FARTHEST { given.to_vec() } else { at(&x) }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A hoop of four corners between feet.
    fn hoop() -> Vec<DVec3> {
        [(0.3, 0.0), (0.34, 0.72), (0.2, 1.1), (-0.2, 1.1), (-0.34, 0.72), (-0.3, 0.0)]
            .map(|(y, z)| DVec3::new(-0.34, y, z))
            .to_vec()
    }

    const RADII: [f64; 4] = [0.1; 4];
    const FREE: [bool; 6] = [false, true, true, true, true, false];

    #[test]
    fn a_hoop_bent_a_little_otherwise_is_found_from_places_on_it() {
        let given = hoop();
        let mut truth = given.clone();
        truth[1] += DVec3::new(0.006, 0.004, 0.0);
        let chain = Chain::new(&truth, &RADII).expect("a chain");
        let seen: Vec<DVec3> = (0..=20).map(|k| chain.point(chain.length() * f64::from(k) / 20.0)).collect();
        let got = corners(&given, &FREE, &RADII, &seen);
        let found = Chain::new(&got, &RADII).expect("a chain");
        for p in &seen {
            assert!(found.nearest(*p).1 < 2e-5, "{:?}", found.nearest(*p));
        }
        assert!(got[1].distance(truth[1]) < 5e-4, "{:?} {:?}", got[1], truth[1]);
        assert_eq!((got[0], got[5]), (given[0], given[5]));
    }

    #[test]
    fn with_one_place_it_passes_that_and_strays_little_elsewhere() {
        let given = hoop();
        let chain = Chain::new(&given, &RADII).expect("a chain");
        let s = 0.4;
        let seen = [chain.point(s) + DVec3::new(0.005, 0.0, 0.0)];
        let got = corners(&given, &FREE, &RADII, &seen);
        assert!(Chain::new(&got, &RADII).expect("a chain").nearest(seen[0]).1 < 2e-4);
        assert!(got[4].distance(given[4]) < 1e-3 && got[1].distance(given[1]) < 0.012);
    }

    #[test]
    fn what_agrees_moves_nothing_and_what_can_not_be_is_left() {
        let given = hoop();
        let chain = Chain::new(&given, &RADII).expect("a chain");
        let seen: Vec<DVec3> = (1..9).map(|k| chain.point(0.3 * f64::from(k))).collect();
        for (a, b) in corners(&given, &FREE, &RADII, &seen).iter().zip(&given) {
            assert!(a.distance(*b) < 1e-9);
        }
        // Along the tube a place may lie where it likes.
        let slid: Vec<DVec3> = (1..9).map(|k| chain.point(0.3 * f64::from(k) - 0.02)).collect();
        assert!(corners(&given, &FREE, &RADII, &slid).iter().zip(&given).all(|(a, b)| a.distance(*b) < 1e-9));
        // Two places 40 mm apart between two bends, 4 mm off one another: they would swing both corners by 20. Not believed.
        let middle = chain.nearest((given[1] + given[2]) / 2.0).0;
        let near = [-0.02, 0.02].map(|s| chain.point(middle + s) + DVec3::X * (s * 0.1));
        assert_eq!(corners(&given, &FREE, &RADII, &near), given);
        // A quarter of that is.
        let near = [-0.02, 0.02].map(|s| chain.point(middle + s) + DVec3::X * (s * 0.025));
        let got = Chain::new(&corners(&given, &FREE, &RADII, &near), &RADII).expect("a chain");
        assert!(near.iter().all(|p| got.nearest(*p).1 < 1e-4));
        let wrong = [5.0; 4];
        assert_eq!(corners(&given, &FREE, &wrong, &seen), given);
        assert_eq!(corners(&given, &[false; 6], &RADII, &seen), given);
        assert_eq!(corners(&given, &FREE, &RADII, &[]), given);
    }
}
