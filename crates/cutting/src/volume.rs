//! Volume of a cut piece.

use geometry::Outline;
use shape::Tube;

use crate::profile::{EndRays, Profile};

/// ∫ s dA over the wall's cross-section, m³: the volume beyond the end point (negative where the cut goes behind it).
///
/// Across the wall by Gauss's three points; round the wall by Simpson's rule between neighbouring fibres, whose
/// spacing the profile has already fitted to its corners.
pub fn beyond(rays: &EndRays, tube: &Tube, profile: &Profile) -> f64 {
    let total = tube.outline.perimeter();
    let slice = |round: f64| across_wall(rays, tube, round);
    let n = profile.fibres.len();
    let mut sum = 0.0;
    // The step between the two fibres on either side of a corner is a micrometre: nothing.
    for k in 0..n {
        let a = profile.fibres[k].round;
        let b = if k + 1 < n { profile.fibres[k + 1].round } else { total };
        // A hair inside the interval, so that each side of a piece of the perimeter is taken as that piece.
        let hair = 1e-9 * (b - a);
        sum += (b - a) / 6.0 * (slice(a + hair) + 4.0 * slice(0.5 * (a + b)) + slice(b - hair));
    }
    sum
}

/// ∫ s J dw through the wall at a place round the outside, where J is the width there of a strip a metre wide outside.
fn across_wall(rays: &EndRays, tube: &Tube, round: f64) -> f64 {
    let station = tube.outline.station(round);
    let (po, pi) = rays.wall(station);
    let depth = po.distance(pi);
    let narrowing = match tube.outline {
        Outline::Circle { r } => 1.0 / r,
        Outline::RoundRect { r, .. } if station.piece % 2 == 1 && r > 0.0 => 1.0 / r,
        Outline::RoundRect { .. } => 0.0,
    };
    const GAUSS: [(f64, f64); 3] =
        [(0.112_701_665_379_258_3, 5.0 / 18.0), (0.5, 8.0 / 18.0), (0.887_298_334_620_741_7, 5.0 / 18.0)];
    GAUSS
        .iter()
        .map(|&(x, w)| {
            let s = rays.follow(po.lerp(pi, x)).map_or(0.0, |h| h.s);
            w * depth * s * (1.0 - narrowing * x * depth)
        })
        .sum()
}
