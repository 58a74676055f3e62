//! The least energy that takes a body out of a rest.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use crate::facet::Faces;
use crate::level::Levels;

/// The highest that the centre of gravity must stand on the lowest way out of a flat rest, and the attitude that the body
/// then falls into. None if there is no other.
///
/// Faces are taken in the order of the lowest pass to each (the widest-path form of Dijkstra's algorithm). The pass that
/// decides is then taken from the exact ones, if one lies there: the height does not depend on how round places are cut
/// into chords.
pub(crate) fn escape(faces: &Faces, levels: &Levels, of: &[Option<usize>], start: u32) -> Option<(f64, usize)> {
    let home = of[start as usize];
    let mut seen = vec![false; faces.faces.len()];
    seen[start as usize] = true;
    let beside = faces.faces[start as usize].across.iter().enumerate();
    let push = |(k, &face): (usize, &u32)| Pass { crest: faces.crest(start, k), face, over: (start, k) };
    let mut open: BinaryHeap<Pass> = beside.map(push).collect();
    while let Some(Pass { crest, face, over }) = open.pop() {
        if std::mem::replace(&mut seen[face as usize], true) {
            continue;
        }
        let hollow = levels.hollow_at(face).or(of[face as usize]);
        if let Some(to) = hollow.filter(|a| Some(*a) != home) {
            return Some((levels.exact(faces, over, crest), to));
        }
        let f = &faces.faces[face as usize];
        for (k, &next) in f.across.iter().enumerate() {
            if !seen[next as usize] {
                let own = faces.crest(face, k);
                let over = if own > crest { (face, k) } else { over };
                open.push(Pass { crest: crest.max(own), face: next, over });
            }
        }
    }
    None
}

/// A face, and the lowest pass to it so far.
struct Pass {
    crest: f64,
    face: u32,
    /// The face and its edge that was highest.
    over: (u32, usize),
}

impl Ord for Pass {
    /// The lowest comes first out of the heap; of equal ones the lowest number.
    fn cmp(&self, other: &Pass) -> Ordering {
        other.crest.total_cmp(&self.crest).then(other.face.cmp(&self.face))
    }
}

impl PartialOrd for Pass {
    fn partial_cmp(&self, other: &Pass) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Pass {
    fn eq(&self, other: &Pass) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Pass {}
