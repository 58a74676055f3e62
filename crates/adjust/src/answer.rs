//! What comes out.

use faer::Mat;
use glam::{DMat3, DVec3};
use serde::{Deserialize, Serialize};

use crate::datum::{Datum, Loose, Open};
use crate::model::{Level, State, read};
use crate::network::Problem;
use crate::ready::{Ready, Source};
use crate::solve::Convergence;

/// What a row of the adjustment is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Row {
    /// A measurement, by its number in the network.
    Observation(usize),
    /// A coordinate held near its place: the point's number, and 0, 1 or 2 for x, y or z.
    Held(usize, usize),
    /// A part of the tilt held near its value: 0 or 1.
    Tilt(usize),
}

/// The ellipsoid that holds a point with 95 %.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Ellipsoid {
    /// Lengths of its half axes, longest first, m.
    pub semi: [f64; 3],
    /// Their directions (unit).
    pub axes: [DVec3; 3],
}

/// An adjusted point.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Placed {
    /// Where it is, m.
    pub at: DVec3,
    /// From the designed place, m.
    pub shift: DVec3,
    /// Covariance of its coordinates, m²; without what is loose, and relative to the best fit where the whole is open.
    pub covariance: DMat3,
    /// Standard deviations of its coordinates, m.
    pub sigma: DVec3,
    /// Where it is with 95 %.
    pub ellipsoid: Ellipsoid,
    /// Directions in which nothing was measured: there it is as near to the design as the rest lets it.
    pub loose: Vec<DVec3>,
    /// Whether a standard deviation is over a fiftieth of the frame's size: linear theory is then doubtful.
    pub weak: bool,
}

/// A measurement, or a held coordinate, beside the answer.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Seen {
    /// What it is.
    pub row: Row,
    /// Whether it took part. One that did not was found wrong.
    pub used: bool,
    /// What was measured, with its constant added, m or rad.
    pub measured: f64,
    /// What it should have been, m or rad.
    pub adjusted: f64,
    /// Measured less adjusted, m or rad.
    pub residual: f64,
    /// Standard deviation as given, m or rad.
    pub sigma: f64,
    /// How far others check it: 0 not at all, 1 wholly. 0 for one that was left out.
    pub redundancy: f64,
    /// Residual over its own standard deviation: Baarda's w. `None` where nothing checks it. Of one that was left out:
    /// its distance from what the others foretell, over the standard deviation of that.
    pub w: Option<f64>,
    /// Least error that would be found (power 80 %), m or rad. `None` where nothing checks it.
    pub least_found: Option<f64>,
    /// The point that such an error, unfound, would move most, and how far, m.
    pub would_move: Option<(usize, f64)>,
}

/// A measurement that was left out as wrong.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Blunder {
    /// Which.
    pub row: Row,
    /// Its w when it was found.
    pub w: f64,
    /// Estimate of its error, in the final answer: measured less what the others say, m or rad.
    pub error: f64,
}

/// What the χ² test of all residuals says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Verdict {
    /// Measurements agree better than their standard deviations lead one to expect.
    Under,
    /// As expected.
    Within,
    /// They disagree more.
    Over,
}

/// The test of all residuals together.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Global {
    /// Σr²/f: 1 is expected.
    pub factor: f64,
    /// Lower limit of the factor, 95 % two-sided.
    pub low: f64,
    /// Upper limit.
    pub high: f64,
    /// What follows.
    pub verdict: Verdict,
}

/// The height of a set-up.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LevelFound {
    /// Its name.
    pub setup: String,
    /// Height of its plane over the design's origin, along "up", m.
    pub height: f64,
    /// Standard deviation, m; 0 if it was known.
    pub sigma: f64,
}

/// How gravity stands.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct TiltFound {
    /// a and b, rad.
    pub tilt: [f64; 2],
    /// Their standard deviations, rad; 0 if not unknown.
    pub sigma: [f64; 2],
    /// "Up" in design axes.
    pub up: DVec3,
}

/// Everything that follows from the measurements.
#[derive(Clone, Debug)]
pub struct Answer {
    /// For each point of the network: where it is. `None` if it was left out.
    pub points: Vec<Option<Placed>>,
    /// For each measurement: how it fits. `None` if it could not be used.
    pub observations: Vec<Option<Seen>>,
    /// The same of coordinates and tilts held near a value.
    pub held: Vec<Seen>,
    /// Set-ups of the level.
    pub levels: Vec<LevelFound>,
    /// How gravity stands.
    pub tilt: TiltFound,
    /// Motions of the whole that nothing fixes.
    pub open: Open,
    /// Points that the measurements leave loose.
    pub loose: Vec<Loose>,
    /// Degrees of freedom.
    pub freedom: usize,
    /// Σr².
    pub sum: f64,
    /// The test of it; `None` without a degree of freedom.
    pub global: Option<Global>,
    /// What was left out as wrong, in the order in which it was found.
    pub blunders: Vec<Blunder>,
    /// Groups that contradict one another without any telling which is wrong; all are still used.
    pub contradictions: Vec<Vec<Row>>,
    /// Points put on the other side of their neighbours than the search first found.
    pub turned: Vec<usize>,
    /// Points that measurements would let stand on either side of their neighbours, both near the design.
    pub ambiguous: Vec<usize>,
    /// How the search for the least sum went.
    pub convergence: Convergence,
    /// What could not be used.
    pub problems: Vec<Problem>,
    pub(crate) inner: Inner,
}

/// What later questions need.
#[derive(Clone, Debug)]
pub(crate) struct Inner {
    pub ready: Ready,
    pub state: State,
    pub cofactors: Mat<f64>,
    pub datum: Datum,
}

impl Answer {
    /// What a measurement, by its number in the network, would read with every point in its designed place, m or rad: with
    /// gravity and the planes of set-ups as they were found. `None` if it could not be used.
    pub fn designed(&self, observation: usize) -> Option<f64> {
        let inner = &self.inner;
        let r = inner.ready.rows.iter().find(|r| r.source == Source::Observed(observation))?;
        let s = State { points: inner.ready.start.points.clone(), ..inner.state.clone() };
        Some(read(&r.sight, &r.marks, &s, &Level::new(s.tilt)).value)
    }

    /// Covariance of two points' coordinates, m². `None` if one was left out.
    pub fn covariance(&self, one: usize, other: usize) -> Option<DMat3> {
        let r = &self.inner.ready;
        let find = |p| r.outer.iter().position(|o| *o == p);
        Some(block(r, &self.inner.cofactors, find(one)?, find(other)?))
    }
}

/// The part of the cofactors between two points.
pub(crate) fn block(ready: &Ready, q: &Mat<f64>, a: usize, b: usize) -> DMat3 {
    let [a, b] = [a, b].map(|p| ready.coordinate[p]);
    let entry = |i: usize, j: usize| match (a[i], b[j]) {
        (Some(u), Some(v)) => q[(u, v)],
        _ => 0.0,
    };
    DMat3::from_cols_array(&std::array::from_fn(|k| entry(k % 3, k / 3)))
}
