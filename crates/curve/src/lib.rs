//! A drawn curve turned into straight legs and arcs of one radius: the fewest arcs that follow it within a tolerance.
//!
//! The result is a chain by its corners, where the legs would meet: leg, arc, leg, … leg, each tangent to the next, its
//! ends exactly at the curve's. Corners may lie off the curve. See `docs/methods/curves.md`.
//!
//! Points and numbers only, in m and rad.

mod bent;
mod bound;
mod cone;
mod line;
mod refine;
mod solve;
mod start;
pub mod table;
mod walk;

use glam::DVec3;
use serde::Serialize;

pub use bent::Bent;
pub use line::{Line, LineError, MOST_POINTS, Run};
pub use solve::{Answer, Try, measure, solve};

/// Two places nearer than this are one place, m: as `geometry::SAME_PLACE`.
const SAME_PLACE: f64 = 1e-7;
/// No bend is turned farther than this (175 degrees), rad: its corner would lie twenty radii off and more.
pub const MOST_TURN: f64 = 175.0 * std::f64::consts::PI / 180.0;
/// Bends that are tried at most.
pub const MOST_BENDS: usize = 30;

/// What can be made.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Die {
    /// Radius of every arc, m.
    pub radius: f64,
    /// Least straight between two arcs, m.
    pub between: f64,
    /// Least straight at the start and at the end, m.
    pub ends: [f64; 2],
    /// Largest turn of an arc, rad; at most [`MOST_TURN`] counts.
    pub most: f64,
}

impl Die {
    /// Whether its numbers can be those of a die.
    pub fn is_sound(&self) -> bool {
        let lengths = [self.radius, self.between, self.ends[0], self.ends[1], self.most];
        lengths.iter().all(|l| l.is_finite() && *l >= 0.0) && self.radius > 0.0 && self.most > 0.0
    }
}

/// A place where curve and chain are far apart.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Apart {
    /// On the curve, m.
    pub curve: DVec3,
    /// On the chain, m.
    pub chain: DVec3,
    /// Distance along the curve, m.
    pub along: f64,
}
