//! How near the way of an edge comes to persons' rooms.

use geometry::{DVec2, DVec3};

use super::section::Cut;
use super::{Axes, Room, ToRoom};

/// Halvings of a chord of the way: what is left of a metre is rounding.
const HALVINGS: usize = 50;

/// The room that is met first, and the least gap to a helmet.
pub(super) fn along(
    rooms: &[Room],
    axes: &Axes,
    cut: Cut,
    nose: f64,
    way: &[DVec2],
) -> (Option<ToRoom>, Option<ToRoom>) {
    let y = if let Cut::At(y) = cut { y } else { 0.0 };
    // Across the whole width only the side view counts.
    let flat = |p: DVec3| if let Cut::At(_) = cut { p } else { DVec3::new(p.x, 0.0, p.z) };
    let mut meets: Option<(usize, f64, ToRoom)> = None;
    let mut helmet: Option<ToRoom> = None;
    for r in rooms {
        let [a, b] = r.ends.map(|p| flat(axes.local(p)));
        let gap = |p: DVec2| from_line(DVec3::new(p.x, y, p.y), a, b) - r.radius - nose;
        let note = |p: DVec2| ToRoom { room: r.name.clone(), gap: gap(p), at: axes.place(p, y) };
        let mut first = None;
        for (k, w) in way.windows(2).enumerate() {
            let (p, q) = (w[0], w[1]);
            let (start, length) = (gap(p), p.distance(q));
            let least = helmet.as_ref().map_or(f64::INFINITY, |h| h.gap);
            let wanted = if r.helmet { least.max(0.0) } else { 0.0 };
            if start - length > wanted || (first.is_some() && !r.helmet) {
                continue;
            }
            // The distance from a convex room is convex along a chord.
            let near = lowest(&|t| gap(p.lerp(q, t)));
            let at = p.lerp(q, near);
            if r.helmet && gap(at) < least {
                helmet = Some(note(at));
            }
            if first.is_none() && gap(at) <= 0.0 {
                let (mut lo, mut hi) = (0.0, if start <= 0.0 { 0.0 } else { near });
                for _ in 0..HALVINGS {
                    let t = 0.5 * (lo + hi);
                    if gap(p.lerp(q, t)) > 0.0 { lo = t } else { hi = t }
                }
                first = Some((k, hi * length, note(p.lerp(q, hi))));
            }
        }
        if let Some(f) = first
            && meets.as_ref().is_none_or(|m| (f.0, f.1) < (m.0, m.1))
        {
            meets = Some(f);
        }
    }
    (meets.map(|m| m.2), helmet)
}

/// Distance of a place from a straight line between two ends.
fn from_line(p: DVec3, a: DVec3, b: DVec3) -> f64 {
    let e = b - a;
    let ee = e.length_squared();
    let t = if ee > 0.0 { ((p - a).dot(e) / ee).clamp(0.0, 1.0) } else { 0.0 };
    p.distance(a + e * t)
}

/// Where between 0 and 1 a convex function, which changes by no more than `length` in all, first seen falls below a limit; its values at
/// the two ends are known.
pub(super) fn dips(f: &dyn Fn(f64) -> f64, ends: [f64; 2], length: f64, below: f64) -> Option<f64> {
    let ([mut at_lo, mut at_hi], mut lo, mut hi) = (ends, 0.0, 1.0);
    for _ in 0..2 * HALVINGS {
        if at_lo < below {
            return Some(lo);
        }
        if at_hi < below {
            return Some(hi);
        }
        if at_lo + at_hi - length * (hi - lo) >= 2.0 * below {
            return None;
        }
        let (s, t) = (lo + (hi - lo) / 3.0, hi - (hi - lo) / 3.0);
        let (at_s, at_t) = (f(s), f(t));
        if at_s <= at_t {
            (hi, at_hi) = (t, at_t);
            if at_s < below {
                return Some(s);
            }
        } else {
            (lo, at_lo) = (s, at_s);
            if at_t < below {
                return Some(t);
            }
        }
    }
    None
}

/// Where a convex function is least between 0 and 1, by thirds.
fn lowest(f: &dyn Fn(f64) -> f64) -> f64 {
    let (mut lo, mut hi) = (0.0, 1.0);
    for _ in 0..2 * HALVINGS {
        let (s, t) = (lo + (hi - lo) / 3.0, hi - (hi - lo) / 3.0);
        if f(s) <= f(t) { hi = t } else { lo = s }
    }
    let middle = 0.5 * (lo + hi);
    [0.0, 1.0].into_iter().fold(middle, |best, t| if f(t) < f(best) { t } else { best })
}
