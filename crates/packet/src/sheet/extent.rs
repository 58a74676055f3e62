//! How far the frame reaches, as cut: overall dimensions hold for the real ends.

use cutting::{EndCut, Piece};
use geometry::{DVec3, Frame, Segment};
use review::Review;
use shape::Tube;

/// The largest dot product of the frame's surface with a direction (unit), m. Pieces count with their end cuts,
/// tubes that are not cut with square ends.
pub fn frame(r: &Review, d: DVec3) -> f64 {
    let cut = |i: usize| r.cutting.pieces.iter().find(|p| p.tube == i);
    let reach = |(i, t): (usize, &Tube)| cut(i).map_or_else(|| t.extent(d), |p| piece(p, t, d));
    r.shape.tubes.iter().enumerate().map(reach).fold(f64::NEG_INFINITY, f64::max)
}

fn piece(p: &Piece, t: &Tube, d: DVec3) -> f64 {
    let ends = [(t.frames.first(), &p.ends[0], -1.0), (t.frames.last(), &p.ends[1], 1.0)];
    let mut best = f64::NEG_INFINITY;
    for (frame, cut, sign) in ends {
        best = frame.map_or(best, |f| best.max(end(t, f, cut, sign, d)));
    }
    let ring = |f: &Frame| f.origin.dot(d) + t.outline.support(f.across(d));
    for (seg, f) in t.chain.segments.iter().zip(&t.frames) {
        if let Segment::Arc { centre, axis, start, radius, sweep } = *seg {
            // Within the arc the farthest place is where its tangent lies square to the direction.
            let there = d.dot(axis.cross(start)).atan2(d.dot(start));
            for a in [0.0, there.clamp(0.0, sweep), sweep] {
                let at = centre + (start * a.cos() + axis.cross(start) * a.sin()) * radius;
                best = best.max(ring(&f.turned(axis, a).at(at)));
            }
        }
    }
    best
}

/// Reach of an end's fibres; `sign` is -1 at the start, where they run against the frame's `t`.
fn end(t: &Tube, f: &Frame, cut: &EndCut, sign: f64, d: DVec3) -> f64 {
    let reach = |fibre: &cutting::Fibre| {
        let q = t.outline.point(t.outline.station(fibre.round));
        (f.place(q) + f.t * (sign * fibre.outer)).dot(d)
    };
    cut.profile.fibres.iter().map(reach).filter(|x| x.is_finite()).fold(f64::NEG_INFINITY, f64::max)
}
