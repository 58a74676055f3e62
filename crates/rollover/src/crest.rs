//! The crest over one edge of a rest.

use geometry::{DVec3, Round, touch};

use crate::facet::Faces;
use crate::level::Levels;

/// How high the centre of gravity stands on the crest over an edge of a flat face, and the face that lies beyond: the
/// body is rolled on with what the edge joins kept on the ground, until it would go on by itself or something else
/// comes down.
pub(crate) fn crest(faces: &Faces, all: &[Round], levels: &Levels, start: u32, edge: usize) -> (f64, u32) {
    let f = &faces.faces[start as usize];
    let (p, q) = faces.edge(start, edge);
    let of = [p, q].map(|c| faces.round.piece[c as usize]);
    let chord = |face: u32, k: usize| faces.crest(face, k).max(f.height);
    let [Some(a), Some(b)] = of.map(|i| all.get(i as usize)) else {
        return (chord(start, edge), f.across[edge]);
    };
    if of[0] == of[1] {
        return (chord(start, edge), f.across[edge]);
    }
    // The foot's side of the line of contact: it changes at the crest.
    let side = |u: DVec3| {
        let [a, b] = [a, b].map(|x| x.place(u) - faces.centre);
        a.dot((b - a).cross(u))
    };
    let home = side(f.normal);
    let joins = |c: u32, d: u32| {
        let [c, d] = [c, d].map(|c| faces.round.piece[c as usize]);
        [c, d] == of || [d, c] == of
    };
    let height = |u: DVec3| (a.reach(u) - u.dot(faces.centre)).max(f.height);
    let (mut at, mut over, mut last) = (start, edge, f.normal);
    for _ in 0..faces.faces.len() {
        let next = faces.faces[at as usize].across[over];
        let g = &faces.faces[next as usize];
        let Some(u) = touch::both([a, b], g.normal) else { break };
        if side(u) * home <= 0.0 {
            // One that is no pass, since the body falls off it sideways, has not been looked for yet.
            let known = levels.pass(of, [last, u]).map(|h| h.max(f.height));
            return (known.unwrap_or_else(|| height(turning([a, b], &side, home, last, u))), next);
        }
        let entry = (0..g.corners.len()).find(|&k| g.across[k] == at);
        let onward = (0..g.corners.len()).find(|&k| {
            let (c, d) = faces.edge(next, k);
            Some(k) != entry && joins(c, d)
        });
        match onward {
            Some(k) if !g.flat => (at, over, last) = (next, k, u),
            _ => return (height(u), next),
        }
    }
    (chord(start, edge), f.across[edge])
}

/// Halvings of the way between two chords' attitudes, down to rounding.
const HALVINGS: usize = 50;

/// Between two attitudes on two pieces, where the foot changes sides.
fn turning(pieces: [&Round; 2], side: &dyn Fn(DVec3) -> f64, home: f64, mut lo: DVec3, mut hi: DVec3) -> DVec3 {
    for _ in 0..HALVINGS {
        let Some(u) = (lo + hi).try_normalize().and_then(|u| touch::both(pieces, u)) else { break };
        if side(u) * home > 0.0 { lo = u } else { hi = u }
    }
    lo
}
