//! Pushed over an edge, and on from face to face until it rests.

use geometry::DVec3;

use crate::facet::Faces;

/// One face that a rolling body comes down on.
pub(crate) struct Landing {
    /// The face that it left, and over which of its edges.
    pub from: u32,
    pub edge: usize,
    /// The face that it came down on.
    pub face: u32,
    /// The highest that the centre of gravity stood in between.
    pub crest: f64,
}

/// All landings from a face over one of its edges: pushed on while it would fall straight back, then
/// falling by itself.
pub(crate) fn trip(faces: &Faces, start: u32, edge: usize) -> Vec<Landing> {
    let mut out = Vec::new();
    let (mut at, mut over) = (start, edge);
    let (a, b) = faces.edge(start, edge);
    // The axis of the push: rolling about it carries the body over the first edge.
    let axis = (faces.at(b) - faces.at(a)).normalize_or_zero();
    while out.len() <= faces.faces.len() {
        let to = faces.faces[at as usize].across[over];
        out.push(Landing { from: at, edge: over, face: to, crest: faces.crest(at, over) });
        let face = &faces.faces[to as usize];
        match face.falls {
            None => break,
            // It would fall straight back: push it on, out of the edge that lies the way it was pushed.
            Some(k) if face.across[k] == at => match onward(faces, at, to, axis) {
                Some(k) => over = k,
                None => break,
            },
            Some(k) => over = k,
        }
        at = to;
    }
    out
}

fn onward(faces: &Faces, from: u32, to: u32, axis: DVec3) -> Option<usize> {
    let f = &faces.faces[to as usize];
    let n = f.corners.len();
    let entry = (0..n).find(|&k| f.across[k] == from)?;
    let (a, b) = faces.edge(to, entry);
    let middle = (faces.at(a) + faces.at(b)) / 2.0;
    let way = axis.cross(f.normal);
    let mut best: Option<(f64, usize)> = None;
    for k in (0..n).filter(|&k| k != entry) {
        let (a, b) = faces.edge(to, k);
        let inward = f.normal.cross(faces.at(b) - faces.at(a)).normalize_or_zero();
        let (room, speed) = ((middle - faces.at(a)).dot(inward), -way.dot(inward));
        if speed > 0.0 && best.is_none_or(|(t, _)| room / speed < t) {
            best = Some((room / speed, k));
        }
    }
    best.map(|b| b.1)
}
