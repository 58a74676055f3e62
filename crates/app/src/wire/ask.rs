//! What a page asks for.

use design::Edit;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A page's wish. Numbers `id` are the page's own, and come back in the answer.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "ask", rename_all = "snake_case")]
pub enum Ask {
    /// Show what these changes would make, without making them. Only the latest is worked out.
    Try {
        /// The page's number.
        id: u32,
        /// The changes, one after the other.
        edits: Vec<Edit>,
    },
    /// Make these changes.
    Do {
        /// The page's number.
        id: u32,
        /// The changes, one after the other; all or none.
        edits: Vec<Edit>,
        /// What they do, for the history: `moved dash_mid`.
        what: String,
        /// Who asks; may be empty.
        who: String,
    },
    /// Forget the trial and show what is.
    LetGo,
    /// Take the last change back.
    Undo {
        /// The page's number.
        id: u32,
    },
    /// Make the change again that was taken back last.
    Redo {
        /// The page's number.
        id: u32,
    },
    /// Go to a state of the history.
    GoTo {
        /// The page's number.
        id: u32,
        /// The state.
        state: i64,
    },
    /// Write a measured sheet to be filled in, where there is none.
    BeginSheet {
        /// The page's number.
        id: u32,
    },
    /// Change what becomes of a reading of the measured sheet.
    Reading {
        /// The page's number.
        id: u32,
        /// The table of the sheet: `tape`.
        table: String,
        /// The name of its entry.
        name: String,
        /// What becomes of it.
        change: ReadingChange,
    },
    /// Start something that takes long.
    Start {
        /// What.
        run: Run,
    },
    /// Stop it.
    Stop {
        /// What.
        run: Run,
    },
}

/// What becomes of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ReadingChange {
    /// It stays in the sheet and is not used.
    LeaveOut,
    /// It is used again.
    Use,
    /// It leaves the sheet.
    TakeOut,
}

/// What takes long.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Run {
    /// Throwing the car over many times.
    Tumbles,
    /// Pushing loads past yielding.
    Collapse,
}
