//! The least sum of squares.

use faer::Mat;
use serde::{Deserialize, Serialize};

use crate::model::State;
use crate::normal::{Bound, cost, curve, normal, right, rows};
use crate::ready::Ready;

/// A step under this part of the frame's size ends the search: a few hundredths of a nanometre.
const STEP: f64 = 1e-11;

/// When a step promises to lower the sum by no more than this part of it, the sum cannot judge the step: rounding is near.
const LOST: f64 = 1e-10;

/// A step that the sum cannot judge, no shorter than half the one before and under this part of the frame's size, is
/// rounding: a few nanometres.
const DREGS: f64 = 1e-9;

/// Steps after which it gives up. Sound networks take three to six.
const MOST: usize = 100;

/// After so many plain steps the next ones take the curvature of distances in: next to a loose direction plain steps close
/// in too slowly.
const PLAIN: usize = 8;

/// First damping, as a part of the normal matrix's diagonal, when a plain step does not lower the sum.
const DAMPING: f64 = 1e-4;

/// How the search went.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Convergence {
    /// Whether it ended at a least sum.
    pub converged: bool,
    /// Steps taken.
    pub steps: usize,
    /// Length of the largest change of an unknown in the last one, m.
    pub last: f64,
}

/// Least squares from a state, under Cᵀ(u − u₀) = 0 with u₀ the design.
pub(crate) fn least(ready: &Ready, used: &[bool], c: &Mat<f64>, from: &State) -> (State, Convergence) {
    let n = ready.unknowns;
    let short = |s: &State| {
        let off = ready.between(&ready.start, s);
        c.transpose() * Mat::from_fn(n, 1, |i, _| -off[i])
    };
    // The start is put on the conditions first.
    let onto = c * short(from);
    let mut s = ready.moved(from, &(0..n).map(|i| onto[(i, 0)]).collect::<Vec<f64>>());
    let mut sum = cost(ready, used, &s);
    let mut search = Convergence { converged: n == 0, steps: 0, last: 0.0 };
    let mut damping = 0.0;
    while !search.converged && search.steps < MOST {
        let (j, left) = rows(ready, used, &s);
        let mut m = normal(&j, n);
        if search.steps >= PLAIN {
            let plain = m.clone();
            curve(ready, used, &s, &left, &mut m);
            // Far from the least sum it may not be positive.
            if Bound::new(m.clone(), c).is_none() {
                m = plain;
            }
        }
        let g = right(&j, &left, n);
        let mean = (0..n).map(|i| m[(i, i)]).sum::<f64>() / n as f64;
        let mut moved = false;
        // Damping grows tenfold; after 1e12 of the diagonal no step is left to take.
        while damping <= 1e8 {
            let mut damped = m.clone();
            if damping > 0.0 {
                for i in 0..n {
                    damped[(i, i)] += damping * mean;
                }
            }
            let Some(bound) = Bound::new(damped, c) else {
                damping = (damping * 10.0).max(DAMPING);
                continue;
            };
            let d = bound.solve(&g, &short(&s));
            let d: Vec<f64> = (0..n).map(|i| d[(i, 0)]).collect();
            let length = d.iter().fold(0.0f64, |a, x| a.max(x.abs()));
            let promised: f64 = (0..n).map(|i| d[i] * g[(i, 0)]).sum();
            let next = ready.moved(&s, &d);
            let new = cost(ready, used, &next);
            let unjudged = promised <= LOST * sum;
            let stuck = unjudged && length >= 0.5 * search.last && length <= DREGS * ready.size && search.steps > 0;
            let done = damping == 0.0 && (length <= STEP * ready.size || stuck);
            if length.is_finite() && (done || unjudged || new <= sum) {
                (s, sum) = (next, new);
                search = Convergence { converged: done, steps: search.steps + 1, last: length };
                damping = if damping > DAMPING { damping / 10.0 } else { 0.0 };
                moved = true;
                break;
            }
            damping = (damping * 10.0).max(DAMPING);
        }
        if !moved {
            break;
        }
    }
    (s, search)
}
