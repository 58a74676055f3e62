//! What one more tape distance would tell.

use std::collections::BTreeSet;

use faer::Mat;
use glam::DMat3;
use serde::{Deserialize, Serialize};

use crate::answer::{Answer, block};
use crate::model::{AT_POINTS, Level, Sight};
use crate::normal::{Sparse, row};
use crate::ready::{Row, Source};

/// A part of a distance's row along loose directions under which it does not tie them down: a loose direction is known to
/// about 1e-6, and a distance so nearly square to it would leave it weak.
const TIES: f64 = 1e-3;

/// What a distance between two points would bring.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Gain {
    /// One point's number in the network.
    pub from: usize,
    /// The other's.
    pub to: usize,
    /// What the tape should read, m.
    pub length: f64,
    /// How well that is known already: its standard deviation, m. Where the distance ties something down: without that.
    pub known: f64,
    /// The trace of the covariance of the points in question as it is, m².
    pub before: f64,
    /// The trace with the distance, m². `None` if the distance ties down a loose direction, which had no covariance before.
    pub after: Option<f64>,
    /// Whether it was taken already.
    pub taken: bool,
    /// How squarely it measures loose directions, 0 to √2: 0 for one that ties down nothing.
    pub ties: f64,
}

impl Answer {
    /// Distances in the order of what they would tell, the best first. `pairs`: numbers of points, all if `None`. `sigma`: standard
    /// deviation of the tape, m. `about`: the points whose covariance is to fall, all if `None`. Pairs that name a point
    /// that is not there, the same point twice, or points at one place are passed over. Empty if `sigma` is not positive.
    pub fn next_distances(&self, pairs: Option<&[(usize, usize)]>, sigma: f64, about: Option<&[usize]>) -> Vec<Gain> {
        if !(sigma.is_finite() && sigma > 0.0) {
            return Vec::new();
        }
        let inner = &self.inner;
        let (ready, q) = (&inner.ready, &inner.cofactors);
        let n = ready.unknowns;
        let count = ready.outer.len();
        let mut number = vec![None; self.points.len()];
        ready.outer.iter().enumerate().for_each(|(p, o)| number[*o] = Some(p));
        let chosen: Vec<usize> = match about {
            None => (0..count).collect(),
            Some(list) => {
                let mut list: Vec<usize> = list.iter().filter_map(|o| number.get(*o).copied().flatten()).collect();
                list.sort_unstable();
                list.dedup();
                list
            }
        };
        let before: f64 = chosen.iter().map(|&p| trace(block(ready, q, p, p))).sum();
        // Q S Q with S the chosen coordinates: jQSQjᵀ is what the trace's change needs, for any j.
        let columns: Vec<usize> = chosen.iter().flat_map(|&p| ready.coordinate[p]).flatten().collect();
        let part = Mat::from_fn(n, columns.len(), |i, j| q[(i, columns[j])]);
        let squared = &part * part.transpose();
        let (level, home) = (Level::new(inner.state.tilt), Level::new(ready.start.tilt));
        let taken: BTreeSet<(usize, usize)> = ready
            .rows
            .iter()
            .filter_map(|r| match r.sight {
                Sight::Distance(a, b) => Some((a.min(b), a.max(b))),
                _ => None,
            })
            .collect();
        let gain = |a: usize, b: usize| {
            let sight = Sight::Distance(a, b);
            let r = Row { sight, marks: AT_POINTS, value: 0.0, sigma, source: Source::Observed(0) };
            let (j, length) = row(ready, &r, &inner.state, &level);
            if length <= 0.0 {
                return None;
            }
            let known = crate::normal::between(q, &j, &j);
            let fall = crate::normal::between(&squared, &j, &j) / (1.0 + known);
            // What is loose is so in the design.
            let designed = row(ready, &r, &ready.start, &home).0;
            let ties = along(&inner.datum.apart, &designed) * sigma;
            let ties = if ties > TIES { ties } else { 0.0 };
            Some(Gain {
                from: ready.outer[a],
                to: ready.outer[b],
                length,
                known: known.max(0.0).sqrt() * sigma,
                before,
                after: (ties == 0.0).then_some(before - fall),
                taken: taken.contains(&(a.min(b), a.max(b))),
                ties,
            })
        };
        let mut out: Vec<Gain> = match pairs {
            None => {
                (0..count).flat_map(|a| (a + 1..count).map(move |b| (a, b))).filter_map(|(a, b)| gain(a, b)).collect()
            }
            Some(list) => list
                .iter()
                .filter_map(|&(a, b)| {
                    let find = |o: usize| number.get(o).copied().flatten();
                    let (a, b) = (find(a)?, find(b)?);
                    if a == b { None } else { gain(a, b) }
                })
                .collect(),
        };
        out.sort_by(|a, b| {
            let after = |g: &Gain| g.after.unwrap_or(f64::NEG_INFINITY);
            after(a).total_cmp(&after(b)).then(b.ties.total_cmp(&a.ties)).then((a.from, a.to).cmp(&(b.from, b.to)))
        });
        out
    }
}

fn trace(m: DMat3) -> f64 {
    m.x_axis.x + m.y_axis.y + m.z_axis.z
}

/// Length of a row's part within the span of orthonormal columns.
fn along(columns: &Mat<f64>, j: &Sparse) -> f64 {
    (0..columns.ncols()).map(|c| j.iter().map(|&(u, a)| a * columns[(u, c)]).sum::<f64>().powi(2)).sum::<f64>().sqrt()
}
