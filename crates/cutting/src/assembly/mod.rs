//! Whether each piece can still be put in when its turn comes, and what would help.
//!
//! Not for live answers. Method and limits: `docs/methods/assembly.md`.

pub mod body;
pub mod direction;
pub mod pose;
mod remedies;
mod straight;
pub mod sweep;
mod swing;
pub mod turn;
mod yard;

use geometry::DVec3;
use rayon::prelude::*;
use shape::{End, Shape};

use crate::Cutting;
pub use turn::Turn;
use yard::{Found, Yard};

/// A way in. Told as a piece leaves: the last move in is the first out.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Way {
    /// Unit: where it comes from in a straight move; it leaves this way.
    pub from: DVec3,
    /// Half-angle of the cone of directions round it that were all found free, rad; 0 for a slide.
    pub margin: f64,
    /// What is left to do when the straight move has brought it beside its place; `None` if that brings it home.
    pub last: Option<Last>,
}

/// The last move in.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Last {
    /// It slides home.
    Slide {
        /// Unit: from where.
        from: DVec3,
        /// How far, m.
        length: f64,
    },
    /// One end is laid on its host and the piece is turned until the other end lands.
    Swing {
        /// The end that is laid on first.
        end: End,
        /// The tube that it is laid on.
        on: String,
        /// How it leaves: turned so.
        turn: Turn,
        /// Unit: where the other end comes from at the last.
        from: DVec3,
    },
}

/// What would help a piece that can't go in.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Remedy {
    /// Cut both ends a little short: a gap that `limits.fit` still allows, or a small multiple of it.
    Play {
        /// How much shorter each end must be, along the tube, m.
        play: f64,
        /// From where it then comes.
        way: Way,
    },
    /// Fit it before another piece.
    Earlier {
        /// The piece that it must go in before: a late place in the order that blocks the fewest others. It may be a piece
        /// that it is cut to: that one then lands in its cope.
        before: String,
        /// From where it then comes.
        way: Way,
        /// Pieces between, which went in and then no longer do.
        blocks: Vec<String>,
    },
    /// Cut one end off at its short point and fill what is left.
    SimplerEnd {
        /// Which.
        end: End,
        /// What is left to fill, m: the cope's depth along the tube.
        gap: f64,
        /// From where it then comes.
        way: Way,
    },
    /// Nothing simpler was found: in two parts, or move a joint.
    TwoParts,
}

/// What was found for one piece.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Insertion {
    /// Name of the piece.
    pub piece: String,
    /// Its turn, from 1.
    pub turn: usize,
    /// The straight way in with the widest margin, or else one in two straight moves, or else by a swing; `None`: none
    /// was found.
    pub way: Option<Way>,
    /// What is in the way in the direction that the fewest pieces block.
    pub blocked_by: Vec<String>,
    /// What overlaps with it in its place already: not judged.
    pub overlaps: Vec<String>,
    /// All that would help, the least change first; two parts if nothing else was found.
    pub remedies: Vec<Remedy>,
}

/// Every piece, in fitting order.
pub fn insertions(shape: &Shape, cutting: &Cutting) -> Vec<Insertion> {
    let yard = Yard::new(shape, cutting);
    let found: Vec<Found> = (0..yard.len()).into_par_iter().map(|turn| yard.found(turn)).collect();
    (0..yard.len()).into_par_iter().map(|turn| yard.insertion(turn, &found)).collect()
}

/// One piece by name. Where it goes in as it is cut that is quick; what would help takes a look at all.
pub fn insertion(shape: &Shape, cutting: &Cutting, piece: &str) -> Option<Insertion> {
    let yard = Yard::new(shape, cutting);
    let turn = yard.turn(piece)?;
    let found = yard.found(turn);
    if found.way.is_some() {
        return Some(yard.told(turn, &found, Vec::new(), Vec::new()));
    }
    insertions(shape, cutting).into_iter().nth(turn)
}
