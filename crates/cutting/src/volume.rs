//! Volume of a cut piece.

use geometry::Outline;
use shape::Tube;

use crate::Detail;
use crate::profile::{EndRays, Profile};

/// How exactly volumes are wanted, as a part of the volume of the tube between its end points. Live answers take one
/// pass of Gauss's rule per fibre: at ends that miss part of their tube that errs by up to a few parts in ten thousand.
fn tolerance(detail: Detail) -> Option<f64> {
    (detail.fibres >= Detail::SHEET.fibres).then_some(1e-7)
}

/// Halvings of an interval at most: where a fibre begins to miss, the reach has a vertical tangent, and each halving
/// takes two thirds of what is left there.
const DEPTH: u32 = 9;

/// ∫ s dA over the wall's cross-section, m³: the volume beyond the end point (negative where the cut goes behind it).
///
/// By Gauss's two points through the wall and, round it, between neighbouring fibres, whose spacing the profile has
/// already fitted to its corners; on sheets by Simpson's rule on intervals that are halved until it no longer matters.
pub fn beyond(rays: &EndRays, tube: &Tube, profile: &Profile, detail: Detail) -> f64 {
    let total = tube.outline.perimeter();
    let whole = (tube.outline.area() - tube.bore.area()) * tube.chain.length();
    let per_round = tolerance(detail).map(|t| t * whole / total);
    let n = profile.fibres.len();
    (0..n)
        .map(|k| {
            let a = profile.fibres[k].round;
            let b = if k + 1 < n { profile.fibres[k + 1].round } else { total };
            let slice = |x: f64| across_wall(rays, tube, x, per_round);
            // A hair inside, so that each side of a piece of the perimeter is taken as that piece.
            let hair = 1e-9 * (b - a);
            match per_round {
                None => gauss(&slice, a, b),
                Some(t) => halved(&slice, a + hair, b - hair, t * (b - a), DEPTH),
            }
        })
        .sum()
}

/// ∫ s J dx through the wall at a place round the outside, J dx du being the area of the cross-section.
fn across_wall(rays: &EndRays, tube: &Tube, round: f64, tolerance: Option<f64>) -> f64 {
    let station = tube.outline.station(round);
    let (po, pi) = rays.wall(station);
    // P(u, x) = outside(u) (1 - x) + inside(u) x, with u the distance round the outside. Along u the strip runs with the
    // outside's tangent at x = 0 and with the inside's, slower by the ratio of their lengths, at x = 1.
    let thick = tube.outline.normal(station).dot(pi - po).abs();
    let ratio = match (tube.outline, tube.bore) {
        (Outline::Circle { r }, Outline::Circle { r: bore }) => bore / r,
        _ => tube.bore.piece_length(station.piece) / tube.outline.piece_length(station.piece).max(f64::MIN_POSITIVE),
    };
    let reach = |x: f64| {
        let s = rays.follow(po.lerp(pi, x)).map_or(0.0, |h| h.s);
        thick * s * (1.0 - x * (1.0 - ratio))
    };
    match tolerance {
        None => gauss(&reach, 0.0, 1.0),
        // Finer than what it is summed into, so that its noise is not halved after.
        Some(t) => halved(&reach, 0.0, 1.0, t / 8.0, DEPTH),
    }
}

/// Gauss's rule of two points.
fn gauss(f: &impl Fn(f64) -> f64, a: f64, b: f64) -> f64 {
    // 1/2 - 1/(2√3).
    const NEAR: f64 = 0.211_324_865_405_187_1;
    let d = b - a;
    0.5 * d * (f(a + NEAR * d) + f(b - NEAR * d))
}

/// Simpson's rule on halves of halves, until two halves agree with their whole.
fn halved(f: &impl Fn(f64) -> f64, a: f64, b: f64, tolerance: f64, depth: u32) -> f64 {
    let m = 0.5 * (a + b);
    let ends = [f(a), f(m), f(b)];
    simpson(f, (a, b), ends, tolerance, depth)
}

fn simpson(f: &impl Fn(f64) -> f64, (a, b): (f64, f64), [fa, fm, fb]: [f64; 3], tolerance: f64, depth: u32) -> f64 {
    let m = 0.5 * (a + b);
    let (fl, fr) = (f(0.5 * (a + m)), f(0.5 * (m + b)));
    let whole = (b - a) / 6.0 * (fa + 4.0 * fm + fb);
    let halves = (b - a) / 12.0 * (fa + 4.0 * fl + 2.0 * fm + 4.0 * fr + fb);
    // Halving divides the error of a smooth function by sixteen, of one with a corner by four.
    if depth == 0 || (halves - whole).abs() <= 3.0 * tolerance {
        return halves;
    }
    simpson(f, (a, m), [fa, fl, fm], tolerance / 2.0, depth - 1)
        + simpson(f, (m, b), [fm, fr, fb], tolerance / 2.0, depth - 1)
}
