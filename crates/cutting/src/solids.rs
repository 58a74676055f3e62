//! Tubes as solids that others are cut to.

use geometry::{HalfSpace, Prism, Segment, Solid, TorusArc};
use shape::{End, Shape, Tube};

use crate::plan::{EndKind, EndPlan, mid_plane};

/// The outside of every tube as a union of simple solids, each tube cut off where its own ends are. A coped end is cut
/// off at its host's mid-plane: what lies between there and the host's surface is inside the host.
pub fn all(shape: &Shape, plans: &[[EndPlan; 2]]) -> Vec<Vec<Solid>> {
    (0..shape.tubes.len()).map(|i| tube(shape, &plans[i], i)).collect()
}

fn limit(shape: &Shape, t: &Tube, end: End, plan: &EndPlan) -> HalfSpace {
    let f = t.outward(end);
    let beyond = match &plan.kind {
        EndKind::Square(past) => HalfSpace { origin: f.origin + f.t * *past, outward: -f.t },
        EndKind::Plane(h, _) => *h,
        EndKind::Cope(hosts) => mid_plane(t, end, &shape.tubes[hosts[0]]),
    };
    HalfSpace { origin: beyond.origin, outward: -beyond.outward }
}

fn tube(shape: &Shape, plans: &[EndPlan; 2], i: usize) -> Vec<Solid> {
    let t = &shape.tubes[i];
    let last = t.chain.segments.len() - 1;
    let limits = [limit(shape, t, End::Start, &plans[0]), limit(shape, t, End::End, &plans[1])];
    t.chain
        .segments
        .iter()
        .enumerate()
        .map(|(k, seg)| match *seg {
            Segment::Leg { from, along, length } => {
                let start = if k == 0 { limits[0] } else { HalfSpace { origin: from, outward: -along } };
                let end =
                    if k == last { limits[1] } else { HalfSpace { origin: from + along * length, outward: along } };
                Solid::Prism(Prism { frame: t.frames[k], outline: t.outline, clips: vec![start, end] })
            }
            Segment::Arc { centre, axis, start, radius, sweep } => Solid::Torus(TorusArc {
                centre,
                axis,
                start,
                ring: radius,
                tube: t.outline.reach(),
                sweep,
                clips: Vec::new(),
            }),
        })
        .collect()
}
