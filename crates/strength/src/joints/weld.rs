//! Throats of fillet welds all round a brace: EN 1993-1-8, 4.5.3 and 7.3.1, from memory.

use serde::Serialize;

use super::{Brace, Hollow, Rules, Steel};

/// Throats of the fillet weld round a brace, m.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Throat {
    /// What the brace's force and moments want by the simple method.
    pub wanted: f64,
    /// What makes the weld as strong as the brace.
    pub full: f64,
    /// The same as CIDECT prints it for the steel's grade, if the yield strength is that of a grade.
    pub published: Option<f64>,
}

/// β_w for a yield strength (table 4.1: by grades; a strength between two counts as the higher).
pub fn correlation(yield_strength: f64) -> f64 {
    match yield_strength {
        f if f <= 235e6 => 0.8,
        f if f <= 275e6 => 0.85,
        f if f <= 355e6 => 0.9,
        _ => 1.0,
    }
}

/// f_vw,d: the shear strength of a fillet's throat by the simple method (4.5.3.3), Pa.
pub fn fillet_strength(weaker: &Steel, gamma: f64) -> f64 {
    weaker.tensile_strength / (3.0_f64.sqrt() * correlation(weaker.yield_strength) * gamma)
}

/// Throat ÷ wall of a weld as strong as the tube, by the directional method (4.5.3.2) with γ_M0 = 1.
pub fn full_strength(tube: &Steel, weaker: &Steel, gamma: f64) -> f64 {
    2.0_f64.sqrt() * correlation(weaker.yield_strength) * gamma * tube.yield_strength / weaker.tensile_strength
}

/// CIDECT's throat ÷ wall by grade.
const PUBLISHED: [(f64, f64); 5] = [(235e6, 0.92), (275e6, 0.96), (355e6, 1.10), (420e6, 1.42), (460e6, 1.48)];

/// Throats for a brace.
pub fn throat(b: &Brace, chord: &Hollow, rules: &Rules) -> Throat {
    wanted(&b.section, &chord.steel, rules, b.tension, [b.in_plane, b.out_of_plane], b.torque, b.shear)
}

/// Throats for a tube's end, welded on what is of another steel; moments as its moduli lie.
pub(crate) fn wanted(
    s: &Hollow,
    on: &Steel,
    rules: &Rules,
    tension: f64,
    moments: [f64; 2],
    torque: f64,
    shear: f64,
) -> Throat {
    let weaker = if on.tensile_strength < s.steel.tensile_strength { on } else { &s.steel };
    let sigma = tension.abs() / s.area + s.bending(moments);
    let tau = torque.abs() / s.twist + s.sheared(shear);
    let grade = PUBLISHED.iter().find(|g| (g.0 - s.steel.yield_strength).abs() < 1e5);
    Throat {
        wanted: s.wall * sigma.hypot(tau) / fillet_strength(weaker, rules.gamma_weld),
        full: s.wall * full_strength(&s.steel, weaker, rules.gamma_weld),
        published: grade.map(|g| g.1 * s.wall),
    }
}
