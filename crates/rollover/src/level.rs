//! Hollows and passes of the height over round places, to the last digits.

use geometry::{DVec3, Round};

use crate::facet::Faces;
use crate::settle::{self, Kind, Settled, least_curved, trough};

/// A pass whose normal lies within this of a chord's (rad) may be the one that the chord stands for.
const NEAR: f64 = 0.2;

/// Exact attitudes in which the height is level.
pub(crate) struct Levels {
    /// Rests on one or two round places.
    pub hollows: Vec<Settled>,
    /// Normals and heights of passes from one rest to another, and the pieces touched there.
    passes: Vec<(DVec3, f64, [u32; 2])>,
    /// The attitude whose hollow lies over an edge of a face.
    at: Vec<Option<usize>>,
    gap: f64,
}

impl Levels {
    pub fn new(faces: &Faces, all: &[Round], gap: f64) -> Levels {
        let reach = |u: DVec3| faces.round.reach(u) - u.dot(faces.centre);
        let (mut hollows, mut passes) = (Vec::new(), Vec::new());
        for l in &faces.round.levels {
            let (u, [p, q]) = (l.normal, l.pieces.map(|i| &all[i as usize]));
            let height = reach(u);
            let level = settle::LEVEL * height;
            let (least, pieces) = if l.pieces[0] == l.pieces[1] {
                // Of this piece alone: what reaches beyond it close by makes no hollow of a pass.
                let own = |u: DVec3| (p.place(u) - faces.centre).dot(u);
                // Further away than the rounding it goes down by turning about the nearest place of the circle.
                let away = height - p.rounding();
                let least = if away > level { -away } else { least_curved(u, &own).0 };
                (least, vec![l.pieces[0]])
            } else {
                let mut of = l.pieces.to_vec();
                of.sort_unstable();
                (trough([p, q], u, (q.place(u) - p.place(u)).normalize_or_zero(), faces.centre), of)
            };
            if least > level {
                hollows.push(Settled { normal: u, height, pieces, kind: Kind::Rocks });
            } else if least < -level {
                passes.push((u, height, l.pieces));
            }
        }
        Levels { hollows, passes, at: Vec::new(), gap }
    }

    /// Marks the faces beside a hollow as leading into its attitude, whatever way their chords fall.
    pub fn mark(&mut self, faces: &Faces, hollow: usize, attitude: usize) {
        self.at.resize(faces.faces.len(), None);
        let h = &self.hollows[hollow];
        let [p, q] = h.pieces[..] else { return };
        let ground = h.normal.dot(faces.centre) + h.height;
        let touches = |c: u32, piece: u32| {
            faces.round.piece[c as usize] == piece
                && (faces.at(c).dot(h.normal) - ground).abs() <= geometry::round_hull::SAME_PART * faces.round.size
        };
        for (i, f) in faces.faces.iter().enumerate().filter(|f| !f.1.flat) {
            let n = f.corners.len();
            let beside = (0..n).any(|k| {
                let (a, b) = (f.corners[k], f.corners[(k + 1) % n]);
                (touches(a, p) && touches(b, q)) || (touches(a, q) && touches(b, p))
            });
            if beside {
                self.at[i] = Some(attitude);
            }
        }
    }

    /// Attitudes have got other numbers.
    pub fn renumber(&mut self, place: &[usize]) {
        self.at.iter_mut().for_each(|a| *a = a.map(|a| place[a]));
    }

    /// The attitude into whose hollow a face leads.
    pub fn hollow_at(&self, face: u32) -> Option<usize> {
        self.at.get(face as usize).copied().flatten()
    }

    /// The height of the pass on two pieces between two attitudes.
    pub fn pass(&self, pieces: [u32; 2], between: [DVec3; 2]) -> Option<f64> {
        let [p, q] = pieces;
        let (middle, half) = ((between[0] + between[1]) / 2.0, between[0].distance(between[1]) / 2.0);
        let there =
            |x: &&(DVec3, f64, [u32; 2])| (x.2 == [p, q] || x.2 == [q, p]) && x.0.distance(middle) <= 1.1 * half;
        self.passes.iter().find(there).map(|x| x.1)
    }

    /// The height of the pass that the crest over an edge of a face stands for, or the crest itself.
    pub fn exact(&self, faces: &Faces, (face, k): (u32, usize), crest: f64) -> f64 {
        let f = &faces.faces[face as usize];
        let g = &faces.faces[f.across[k] as usize];
        if f.flat && g.flat {
            return crest;
        }
        let (a, b) = faces.edge(face, k);
        let (a, e) = (faces.at(a) - faces.centre, faces.at(b) - faces.at(a));
        let foot = (a - e * (a.dot(e) / e.length_squared())).normalize_or_zero();
        let apart = |u: DVec3| (u - f.normal).length().min((u - g.normal).length()).min((u - foot).length());
        self.passes
            .iter()
            .filter(|(u, h, _)| (h - crest).abs() < 2.0 * self.gap && apart(*u) < NEAR)
            .min_by(|x, y| apart(x.0).total_cmp(&apart(y.0)))
            .map_or(crest, |p| p.1)
    }
}
