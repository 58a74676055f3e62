//! Volume of a cut piece.

use geometry::{DVec2, Outline};
use shape::Tube;

use crate::Detail;
use crate::profile::{EndRays, Profile};
use crate::quadrature::{Sample, gauss, integral};

/// How exactly volumes are wanted, as a part of the volume of the tube between its end points. Live answers take one
/// pass of Gauss's rule per fibre: at ends that miss part of their tube that errs by up to a few parts in ten thousand.
fn tolerance(detail: Detail) -> Option<f64> {
    (detail.fibres >= Detail::SHEET.fibres).then_some(1e-7)
}

/// ∫ s dA over the wall's cross-section, m³: the volume beyond the end point (negative where the cut goes behind it).
///
/// By Gauss's two points through the wall and, round it, between neighbouring fibres, whose spacing the profile has
/// already fitted to its corners; on sheets by Simpson's rule on intervals that are halved until it no longer matters,
/// and parted where fibres leave one face for another.
pub fn beyond(rays: &EndRays, tube: &Tube, profile: &Profile, detail: Detail) -> f64 {
    let total = tube.outline.perimeter();
    let whole = (tube.outline.area() - tube.bore.area()) * tube.chain.length();
    let per_round = tolerance(detail).map(|t| t * whole / total);
    let n = profile.fibres.len();
    (0..n)
        .map(|k| {
            let a = profile.fibres[k].round;
            let b = if k + 1 < n { profile.fibres[k + 1].round } else { total };
            // A hair inside, so that each side of a piece of the perimeter is taken as that piece.
            let hair = 1e-9 * (b - a);
            match per_round {
                None => gauss(
                    |x| {
                        let strip = Strip::new(rays, tube, x);
                        gauss(|w| strip.at(w).value, 0.0, 1.0)
                    },
                    a,
                    b,
                ),
                Some(t) => {
                    // Through the wall finer than what it is summed into, so that its noise is not halved after.
                    let across = |x: f64| {
                        let strip = Strip::new(rays, tube, x);
                        let (value, face) = integral(&|w| strip.at(w), 0.0, 1.0, t / 8.0);
                        Sample { value, face }
                    };
                    integral(&across, a + hair, b - hair, t * (b - a)).0
                }
            }
        })
        .sum()
}

/// The wall at one place round the outside.
struct Strip<'a> {
    rays: &'a EndRays<'a>,
    outside: DVec2,
    inside: DVec2,
    thick: f64,
    /// Length along the inside over length along the outside.
    ratio: f64,
}

impl<'a> Strip<'a> {
    fn new(rays: &'a EndRays, tube: &Tube, round: f64) -> Strip<'a> {
        let station = tube.outline.station(round);
        let (outside, inside) = rays.wall(station);
        let thick = tube.outline.normal(station).dot(inside - outside).abs();
        let ratio = match (tube.outline, tube.bore) {
            (Outline::Circle { r }, Outline::Circle { r: bore }) => bore / r,
            _ => {
                tube.bore.piece_length(station.piece) / tube.outline.piece_length(station.piece).max(f64::MIN_POSITIVE)
            }
        };
        Strip { rays, outside, inside, thick, ratio }
    }

    /// s J at a depth `w` (0 outside, 1 inside), and the face that the fibre meets there; J dx dw is the area of the
    /// cross-section. P(x, w) = outside(x) (1 - w) + inside(x) w, with x the distance round the outside. Along x the
    /// strip runs with the outside's tangent at w = 0 and with the inside's, slower by their ratio, at w = 1.
    fn at(&self, w: f64) -> Sample<usize> {
        let p = self.outside.lerp(self.inside, w);
        match self.rays.follow(p) {
            Some(hit) => {
                Sample { value: self.thick * hit.s * (1.0 - w * (1.0 - self.ratio)), face: self.rays.face(p, hit) }
            }
            None => Sample { value: 0.0, face: usize::MAX },
        }
    }
}
