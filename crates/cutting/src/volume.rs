//! Volume of a cut piece.

use geometry::Outline;
use shape::Tube;

use crate::profile::{EndRays, Profile};

/// The nearer of Gauss's two points on [0, 1]: 1/2 - 1/(2√3).
const NEAR: f64 = 0.211_324_865_405_187_1;

/// ∫ s dA over the wall's cross-section, m³: the volume beyond the end point (negative where the cut goes behind it).
///
/// By Gauss's two points through the wall and, round it, between neighbouring fibres, whose
/// spacing the profile has already fitted to its corners.
pub fn beyond(rays: &EndRays, tube: &Tube, profile: &Profile) -> f64 {
    let total = tube.outline.perimeter();
    let n = profile.fibres.len();
    let mut sum = 0.0;
    for k in 0..n {
        let a = profile.fibres[k].round;
        let b = if k + 1 < n { profile.fibres[k + 1].round } else { total };
        let at = |x: f64| across_wall(rays, tube, a + (b - a) * x);
        sum += (b - a) / 2.0 * (at(NEAR) + at(1.0 - NEAR));
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
    [NEAR, 1.0 - NEAR]
        .iter()
        .map(|&x| {
            let s = rays.follow(po.lerp(pi, x)).map_or(0.0, |h| h.s);
            depth / 2.0 * s * (1.0 - narrowing * x * depth)
        })
        .sum()
}
