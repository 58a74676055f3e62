//! The answer to one of the eight words, as it stands beside the drawing.

use design::Edit;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The eight words.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum Word {
    Shape,
    Stance,
    Rollover,
    Strength,
    Cutting,
    Stock,
    Jigs,
    Build,
}

/// One answer.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Page {
    /// Which.
    pub word: Word,
    /// The question that it answers.
    pub question: String,
    /// The answer in a sentence or two.
    pub lead: String,
    /// What was found, worst first.
    pub findings: Vec<FindingText>,
    /// The numbers behind it.
    pub tables: Vec<Table>,
    /// What it leaves out, and who decides.
    pub cautions: Vec<String>,
    /// The page of the methods, such as `strength`.
    pub method: String,
}

/// A finding in the design's units.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct FindingText {
    /// `mend`, `look`, `not-checked` or `note`.
    pub level: String,
    /// Which answer says so.
    pub word: Word,
    /// What was found: one sentence.
    pub what: String,
    /// What was measured, its limit and where that comes from.
    pub measure: Option<String>,
    /// What would help.
    pub help: Option<String>,
    /// Tubes that it is about.
    pub tubes: Vec<String>,
    /// Where, m.
    pub at: Option<[f64; 3]>,
    /// Line of the file, from 1.
    pub line: Option<u32>,
}

/// A table of numbers.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Table {
    /// For links and tests: `loads`.
    pub key: String,
    /// Its heading.
    pub title: String,
    /// A sentence under the heading; may be empty.
    pub note: String,
    /// Headings of the columns, units among them.
    pub columns: Vec<String>,
    /// Its rows.
    pub rows: Vec<Row>,
    /// Long, and not what most look for: only its heading is shown until it is opened.
    pub folded: bool,
}

/// A row.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Row {
    /// For links and tests: a name.
    pub key: String,
    /// Cells, one for each column.
    pub cells: Vec<Cell>,
    /// Tubes that it is about.
    pub tubes: Vec<String>,
    /// Where, m.
    pub at: Option<[f64; 3]>,
    /// What a click does, beside pointing at its tubes.
    pub act: Option<Act>,
}

/// A cell: `text` stands left, `number` right in figures of one width.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Cell {
    /// Words.
    Text(String),
    /// A number as it is to be read.
    Number(String),
    /// A number that is over its limit, with the word for it.
    Over(String),
    /// What was not checked.
    NotChecked(String),
}

/// Something that a row offers.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "act", rename_all = "snake_case")]
pub enum Act {
    /// Changes of the design, with the words on the button.
    Edit {
        /// The words.
        words: String,
        /// What goes into the history.
        what: String,
        /// The changes.
        edits: Vec<Edit>,
    },
    /// Turns the drawing so that this is down, and puts the ground under it.
    Turn {
        /// The words.
        words: String,
        /// Down, in the frame's axes (unit).
        down: [f64; 3],
        /// How far along down the ground lies from the origin, m.
        ground: f64,
        /// Sides to turn by on the way: normals one after the other, the last of them the one above.
        way: Vec<[f64; 3]>,
    },
    /// Shows how a load moves the frame.
    Moved {
        /// The words.
        words: String,
        /// Name of the load, as [`Page`]'s server knows it.
        load: String,
    },
    /// Shows a load that was pushed past yielding, step by step.
    Crushed {
        /// The words.
        words: String,
        /// Name of the load.
        load: String,
    },
    /// Opens one piece.
    Piece {
        /// Name of the piece.
        piece: String,
    },
    /// Leaves a reading of the measured sheet out; one that is left out is used again, or taken out of the sheet.
    Reading {
        /// The table of the sheet.
        table: String,
        /// The name of its entry.
        name: String,
        /// Whether it is used.
        used: bool,
    },
    /// Drives the car over an obstacle.
    Drive {
        /// The words.
        words: String,
        /// Its stance.
        stance: String,
        /// The obstacle.
        over: String,
    },
}
