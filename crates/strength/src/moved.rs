//! The place that moves most: a joint, or somewhere along a tube.

use frame::{Frame, Response, six};
use geometry::DVec3;
use shape::Shape;

use crate::answer::Moved;
use crate::build::Built;
use crate::cases::Goes;

/// Places along a piece, between its ends: where a tube bows most lies within a sixteenth of it, over which the bow of a
/// beam that is loaded evenly differs by under 2 %.
const PARTS: usize = 8;

/// The most that a cubic with slopes at its ends, and nothing there, reaches: 4/27 of the length for each slope.
const BOW: f64 = 4.0 / 27.0;

/// How much more than its bound a beam may bow before it is left out: bends, and shear.
const ROOM: f64 = 2.0;

/// The place that moves most.
pub(crate) fn most(shape: &Shape, built: &Built, frame: &Frame, r: &Response, goes: Option<&Goes>) -> Moved {
    let m = &built.model;
    let also = |p: DVec3| goes.map_or(DVec3::ZERO, |g| six::first(&g.at(p)));
    let node = |n: usize| six::first(&r.motions[n]) + also(m.nodes[n]);
    let n = (0..m.nodes.len()).max_by(|&a, &b| node(a).length().total_cmp(&node(b).length())).unwrap_or(0);
    let mut most = Moved { name: built.names[n].clone(), at: m.nodes[n], by: node(n) };
    let mut place: Option<(usize, f64)> = None;
    for (i, b) in m.beams.iter().enumerate() {
        let ends = [0, 1].map(|k| {
            let (u, at) = (&r.motions[b.nodes[k]], [b.start(), b.end()][k]);
            (six::first(u) + six::last(u).cross(at - m.nodes[b.nodes[k]]) + also(at), six::last(u), at)
        });
        let chord = (ends[1].2 - ends[0].2).normalize_or_zero();
        let length = b.length();
        let slope = (ends[1].0 - ends[0].0) / length;
        let turned = |k: usize| {
            let s: DVec3 = ends[k].1.cross(chord) + goes.map_or(DVec3::ZERO, |g| g.turn.cross(chord)) - slope;
            s.reject_from(chord).length()
        };
        let bow = BOW * length * (turned(0) + turned(1)) + frame.droops(r, i);
        if ends[0].0.length().max(ends[1].0.length()) + ROOM * bow <= most.by.length() {
            continue;
        }
        let mut start = built.beams[i].1;
        for (k, p) in b.pieces.iter().enumerate() {
            let l = p.segment.length();
            for j in 1..PARTS {
                let s = l * j as f64 / PARTS as f64;
                let at = p.segment.point(s);
                let by = frame.moved(r, i, k, s) + also(at);
                // Rounding does not make a place along a tube of a joint.
                if by.length() > most.by.length() * (1.0 + 1e-9) {
                    (most.at, most.by, place) = (at, by, Some((built.beams[i].0, start + s)));
                }
            }
            start += l;
        }
    }
    if let Some((tube, station)) = place {
        let from = crate::findings::length(station, shape.design.units);
        most.name = format!("{} {from} from its start", shape.tubes[tube].name);
    }
    most
}
