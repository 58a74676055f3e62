//! Where and in which order ends are tacked. Common practice, no source: see `docs/methods/welds.md`.

use geometry::DVec3;
use shape::Shape;

use super::Weld;
use super::line::{Line, Spot};
use crate::Cutting;

/// Tacks at one end: turns round the tube from the scribe line, in order. Four, a quarter of the line apart; the first
/// where the surfaces stand widest, then the one opposite, then the two between.
pub fn round(line: &Line, spots: &[Spot]) -> Vec<f64> {
    let n = spots.len();
    if n == 0 {
        return Vec::new();
    }
    // Of spots that stand as wide to a hair, the first from the scribe line.
    let widest = spots.iter().map(|s| s.dihedral).fold(0.0, f64::max);
    let first = spots.iter().position(|s| s.dihedral > widest - 1e-6).unwrap_or(0);
    let whole: f64 = spots.iter().map(|s| s.stretch).sum();
    [0.0, 0.5, 0.25, 0.75]
        .into_iter()
        .map(|part| {
            let mut left = part * whole;
            let mut k = first;
            while left > spots[k].stretch {
                left -= spots[k].stretch;
                k = (k + 1) % n;
            }
            line.turn(&spots[k])
        })
        .collect()
}

/// Places along the frame closer than this count as one, m: a centimetre.
const ONE_PLACE: f64 = 0.01;

/// Order in which the welds of a list are tacked: indices. From the middle of the frame (along x) outward; at one
/// distance the left side before the right, so that twins follow one another and sides alternate.
pub fn order(shape: &Shape, cutting: &Cutting, welds: &[Weld]) -> Vec<usize> {
    let at = |w: &Weld| cutting.pieces.iter().find(|p| p.name == w.piece).map_or(DVec3::ZERO, |p| p.end(w.end).at);
    let places: Vec<DVec3> = welds.iter().map(at).collect();
    let (lo, hi) = shape
        .tubes
        .iter()
        .flat_map(|t| &t.chain.corners)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |b, c| (b.0.min(c.x), b.1.max(c.x)));
    let middle = 0.5 * (lo + hi);
    let step = |x: f64| (x / ONE_PLACE).round() as i64;
    let mut order: Vec<usize> = (0..welds.len()).collect();
    order.sort_by_key(|&k| {
        let p = places[k];
        (step((p.x - middle).abs()), step(p.z), step(p.x), step(p.y.abs()), step(-p.y), k)
    });
    order
}
