//! The way down of the true height, over round places and along the troughs between them.

use geometry::{DVec3, Round, touch};

use crate::facet::Faces;

/// The longest step, rad.
const STEP: f64 = 0.03;

/// Steps shorter than this, rad, are no longer a way down.
const SHORTEST: f64 = 1e-9;

/// Steps at most: some turns of the body.
const MOST: usize = 1000;

/// A step must go down by this part of its length times the size: a slope far under any that a body rolls on by itself,
/// far over rounding.
const SLOPE: f64 = 1e-9;

/// Where the height of the centre of gravity is least on the way down from an attitude. Each step goes straight down
/// with the piece that is touched, or keeps two touched that are: whichever leads lowest.
pub(crate) fn descend(faces: &Faces, start: DVec3) -> DVec3 {
    let (c, size) = (faces.centre, faces.round.size);
    let active = &faces.round.active;
    let height = |u: DVec3| faces.round.reach(u) - u.dot(c);
    let (mut u, mut now, mut step) = (start, height(start), STEP);
    let mut near: Vec<(f64, &Round)> = Vec::new();
    for _ in 0..MOST {
        if step < SHORTEST {
            break;
        }
        // What may be touched within the step.
        near.clear();
        let low = now + u.dot(c) - step * size;
        near.extend(active.iter().map(|(_, p)| (p.reach(u), p)).filter(|p| p.0 >= low));
        near.sort_by(|a, b| b.0.total_cmp(&a.0));
        near.truncate(FEW);
        let mut best = (now - SLOPE * step * size, u);
        let mut offer = |v: DVec3| {
            let h = height(v);
            if h < best.0 {
                best = (h, v);
            }
        };
        for (i, (_, p)) in near.iter().enumerate() {
            let a = p.place(u) - c;
            if let Some(way) = (u * a.dot(u) - a).try_normalize() {
                offer((u + way * step).normalize());
            }
            for (_, q) in &near[i + 1..] {
                let d = (q.place(u) - p.place(u)).cross(u).normalize_or_zero();
                for way in [d, -d] {
                    if let Some(v) =
                        touch::both([p, q], (u + way * step).normalize()).filter(|v| v.distance(u) < 2.0 * step)
                    {
                        offer(v);
                    }
                }
            }
        }
        if best.0 < now && best.1 != u {
            (now, u) = best;
            step = (2.0 * step).min(STEP);
        } else {
            step /= 4.0;
        }
    }
    u
}

/// So many pieces that may be touched within a step are looked at, the farthest first.
const FEW: usize = 4;
