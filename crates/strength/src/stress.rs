//! Stress in a section, and how near it is to yielding.

use frame::Passed;
use serde::Serialize;

use crate::sections::Profile;

/// What a section carries and the stresses that follow; N, N m, Pa.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Stress {
    /// Tension; negative: pressed.
    pub force: f64,
    /// Shear, whole.
    pub shear: f64,
    /// Bending moment, whole.
    pub bending: f64,
    /// Torque.
    pub torque: f64,
    /// From tension alone.
    pub axial: f64,
    /// From bending alone, at its largest.
    pub flexure: f64,
    /// From shear and torque together, at their largest.
    pub tau: f64,
    /// √(σ² + 3τ²) as a part of the yield strength.
    pub utilisation: f64,
}

impl Stress {
    /// In a section.
    pub fn of(passed: &Passed, p: &Profile) -> Stress {
        let force = passed.tension();
        let [mu, mv] = passed.bending();
        let [su, sv] = passed.shear();
        let torque = passed.torque();
        let axial = force / p.section.area;
        // Not `hypot`, which guards against numbers that no frame has and takes longer than all the rest.
        let whole = |x: f64, y: f64| (x * x + y * y).sqrt();
        let (shear, bending) = (whole(su, sv), whole(mu, mv));
        let (flexure, cut) = if p.round {
            (bending / p.elastic[0], shear / p.webs[0])
        } else {
            // Bending about both axes meets in a corner; shear along each has its own walls.
            (mu.abs() / p.elastic[0] + mv.abs() / p.elastic[1], (su / p.webs[0]).abs().max((sv / p.webs[1]).abs()))
        };
        let tau = cut + torque.abs() / p.twist;
        let sigma = axial.abs() + flexure;
        Stress {
            force,
            shear,
            bending,
            torque,
            axial,
            flexure,
            tau,
            utilisation: whole(sigma, 3.0_f64.sqrt() * tau) / p.yield_strength,
        }
    }
}
