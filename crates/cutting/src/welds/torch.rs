//! Whether a torch reaches a place of a weld.

use geometry::{Convex, DVec3};

use super::line::Spot;
use crate::assembly::direction::round;

/// A torch, as two capsules on its axis; all lengths m. Common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Torch {
    /// From the root to the nozzle: the longest wire that still runs quietly.
    pub stick_out: f64,
    /// Radius of the nozzle.
    pub nozzle: f64,
    /// From the root to where the nozzle ends.
    pub nozzle_to: f64,
    /// Radius of what follows.
    pub body: f64,
    /// From the root to where that ends.
    pub body_to: f64,
    /// How far it may lean from the half of the corner, rad.
    pub lean: f64,
}

impl Default for Torch {
    fn default() -> Torch {
        let lean = 25f64.to_radians();
        Torch { stick_out: 0.02, nozzle: 0.0065, nozzle_to: 0.05, body: 0.011, body_to: 0.15, lean }
    }
}

/// What stands, with its boxes.
pub struct Standing<'a> {
    /// Parts that may be near.
    pub parts: Vec<&'a (Convex, DVec3, DVec3)>,
}

impl Torch {
    /// Whether one direction leaves it room among what stands.
    pub fn reaches(&self, spot: &Spot, standing: &Standing) -> bool {
        let Some(half) = (spot.chord + spot.brace).try_normalize() else { return false };
        std::iter::once(half).chain(round(half, self.lean)).any(|d| {
            // Not from within the tubes themselves.
            d.dot(spot.chord) > 0.0 && d.dot(spot.brace) > 0.0 && self.room(spot.at, d, standing)
        })
    }

    fn room(&self, at: DVec3, d: DVec3, standing: &Standing) -> bool {
        let parts = [
            Convex::capsule(at + d * self.stick_out, at + d * self.nozzle_to, self.nozzle),
            Convex::capsule(at + d * self.nozzle_to, at + d * self.body_to, self.body),
        ];
        parts.iter().all(|p| {
            let (lo, hi) = p.bounds();
            standing
                .parts
                .iter()
                .all(|(c, clo, chi)| !(lo.cmple(*chi).all() && clo.cmple(hi).all()) || c.distance(p) >= 0.0)
        })
    }
}
