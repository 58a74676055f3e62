//! What can't be planned, as data and in words.

use std::fmt;

use serde::Serialize;

use crate::grid::{MAX_LENGTH, MAX_PIECES, MAX_PRICE};

/// What can't be planned. Indices are into the pieces or stick kinds given; lengths in m.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "problem", rename_all = "snake_case")]
pub enum Problem {
    /// There is nothing to cut.
    NoPieces,
    /// More pieces than are planned in one call.
    TooManyPieces {
        /// How many.
        count: usize,
    },
    /// The width of the saw cut is negative, too large or not a number: nothing is planned.
    BadKerf {
        /// As given.
        kerf: f64,
    },
    /// The end trim is negative, too large or not a number: nothing is planned.
    BadTrim {
        /// As given.
        trim: f64,
    },
    /// What a supplier asks for delivery is negative, too large or not a number: nothing is planned.
    BadDelivery {
        /// Who.
        supplier: String,
        /// As given.
        cost: f64,
    },
    /// A piece's length is not above zero, too large or not a number: it is left out.
    BadPiece {
        /// Which.
        piece: usize,
        /// Its name.
        name: String,
        /// As given.
        length: f64,
    },
    /// A stick's length is not above zero, too large or not a number: the kind is left out.
    BadStick {
        /// Which.
        stick: usize,
        /// Its section.
        section: String,
        /// As given.
        length: f64,
    },
    /// A stick's price is negative, too large or not a number: the kind is left out.
    BadPrice {
        /// Which.
        stick: usize,
        /// Its section.
        section: String,
        /// Its length.
        length: f64,
        /// As given.
        price: f64,
    },
    /// The end trim leaves nothing of a stick: the kind is left out.
    AllTrim {
        /// Which.
        stick: usize,
        /// Its section.
        section: String,
        /// Its length.
        length: f64,
        /// The trim.
        trim: f64,
    },
    /// There is no usable stick of a section.
    NoSticks {
        /// The section.
        section: String,
        /// How many pieces wait for it.
        pieces: usize,
        /// Length needed: the pieces and a saw cut between each two.
        needed: f64,
    },
    /// A piece is longer than any stick of its section.
    TooLong {
        /// Which.
        piece: usize,
        /// Its name.
        name: String,
        /// Its section.
        section: String,
        /// Its length.
        length: f64,
        /// The most that can come off a stick of the section.
        longest: f64,
    },
    /// The plan finds no room on the rack and no stick to be bought is long enough.
    RackShort {
        /// The section.
        section: String,
        /// Pieces without a stick.
        pieces: Vec<usize>,
        /// Their length and a saw cut between each two.
        needed: f64,
        /// That no plan could place every piece is proven; otherwise none was found.
        proven: bool,
    },
}

impl Problem {
    /// What is wrong, where, and what to do: one or two sentences without a full stop at the end. `length` writes a
    /// length in m as the reader wants it, with its unit.
    pub fn message(&self, length: impl Fn(f64) -> String) -> String {
        match self {
            Problem::NoPieces => "There is nothing to cut; give at least one piece".into(),
            Problem::TooManyPieces { count } => {
                format!("{count} pieces are more than the {MAX_PIECES} planned at once; plan them in parts")
            }
            Problem::BadKerf { kerf } => format!(
                "A saw cut can't be {} wide; give the width of the cut, 0 for none, at most {}",
                length(*kerf),
                length(MAX_LENGTH)
            ),
            Problem::BadTrim { trim } => format!(
                "An end trim can't be {}; give what is cut off each stick before use, 0 for none, at most {}",
                length(*trim),
                length(MAX_LENGTH)
            ),
            Problem::BadDelivery { supplier, cost } => {
                format!("A delivery from `{supplier}` can't cost {cost}; give a charge from 0 to {MAX_PRICE}")
            }
            Problem::BadPiece { name, length: given, .. } => format!(
                "Piece `{name}` can't be {} long and is left out of the plan; give a length above 0, at most {}",
                length(*given),
                length(MAX_LENGTH)
            ),
            Problem::BadStick { section, length: given, .. } => format!(
                "A stick of `{section}` can't be {} long and is left out of the plan; give a length above 0, at most {}",
                length(*given),
                length(MAX_LENGTH)
            ),
            Problem::BadPrice { section, length: of, price, .. } => format!(
                "The {} stick of `{section}` can't cost {price} and is left out of the plan; give a price from 0 to \
                 {MAX_PRICE}",
                length(*of)
            ),
            Problem::AllTrim { section, length: of, trim, .. } => format!(
                "The end trim of {} leaves nothing of the {} stick of `{section}`; take it off the rack or trim less",
                length(*trim),
                length(*of)
            ),
            Problem::NoSticks { section, pieces, needed } => format!(
                "There is no stick of `{section}` for its {pieces} {}; add one to the rack, on hand or to be bought: \
                 at least {} is needed",
                if *pieces == 1 { "piece" } else { "pieces" },
                length(*needed)
            ),
            Problem::TooLong { name, section, length: of, longest, .. } => format!(
                "Piece `{name}` needs {} and the longest stick of `{section}` gives {}",
                length(*of),
                length(*longest)
            ),
            Problem::RackShort { section, pieces, needed, proven } => format!(
                "{} {} of `{section}` {} no stick: {} more is needed and no stick to be bought takes it{}; add a \
                 stick to be bought",
                pieces.len(),
                if pieces.len() == 1 { "piece" } else { "pieces" },
                if pieces.len() == 1 { "has" } else { "have" },
                length(*needed),
                if *proven { "" } else { " (a plan that places them may exist, none was found)" },
            ),
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message(|length| format!("{:.1} mm", length * 1000.0)))
    }
}
