//! A model cut finer, for what a beam's own motion between its joints matters to: vibration, buckling.

use geometry::Segment;

use crate::model::{Beam, Model, Piece};

/// A model cut finer, and where its parts come from.
#[derive(Clone, Debug)]
pub struct Refined {
    /// The finer model: its first nodes are those of the model it was made from.
    pub model: Model,
    /// For each of its beams, the beam it is a part of.
    pub of: Vec<usize>,
}

impl Model {
    /// Cuts every piece of every beam into `parts(beam, piece)` equal parts, at least one: no beam has more than one piece
    /// after this.
    pub fn refined(&self, parts: impl Fn(usize, &Piece) -> usize) -> Refined {
        self.cut(|beam, piece| {
            let n = parts(beam, piece).max(1);
            (1..n).map(|k| k as f64 / n as f64).collect()
        })
    }

    /// Cuts every piece of every beam at these places, shares of its length in order, between 0 and 1: no beam has more than
    /// one piece after this.
    pub fn cut(&self, places: impl Fn(usize, &Piece) -> Vec<f64>) -> Refined {
        let mut model = Model {
            nodes: self.nodes.clone(),
            sections: self.sections.clone(),
            beams: Vec::new(),
            lumps: self.lumps.clone(),
        };
        let mut of = Vec::new();
        for (i, b) in self.beams.iter().enumerate() {
            let mut cuts: Vec<Piece> = Vec::new();
            for p in &b.pieces {
                let length = p.segment.length();
                // A leg of no length lies between two bends that touch.
                if length == 0.0 && b.pieces.len() > 1 {
                    continue;
                }
                let mut from = 0.0;
                for to in places(i, p).into_iter().chain([1.0]) {
                    cuts.push(p.part(length * from, length * (to - from)));
                    from = to;
                }
            }
            let mut from = b.nodes[0];
            let last = cuts.len() - 1;
            for (k, piece) in cuts.into_iter().enumerate() {
                let to = if k == last {
                    b.nodes[1]
                } else {
                    model.nodes.push(piece.segment.point(piece.segment.length()));
                    model.nodes.len() - 1
                };
                model.beams.push(Beam { nodes: [from, to], pieces: vec![piece], section: b.section });
                of.push(i);
                from = to;
            }
        }
        Refined { model, of }
    }
}

impl Piece {
    /// The part that begins at `s` and is `length` long, m.
    pub fn part(&self, s: f64, length: f64) -> Piece {
        let frame = self.at(s);
        let segment = match self.segment {
            Segment::Leg { along, .. } => Segment::Leg { from: frame.origin, along, length },
            Segment::Arc { centre, axis, radius, .. } => Segment::Arc {
                centre,
                axis,
                start: ((frame.origin - centre) / radius).normalize(),
                radius,
                sweep: length / radius,
            },
        };
        Piece { segment, frame }
    }
}
