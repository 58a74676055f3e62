//! The state of a design, with its answers.

use schemars::JsonSchema;
use serde::Serialize;

use super::measure::SheetHead;
use super::page::Page;
use super::scene::{BodyHead, GroundPlane, Solid};

/// Everything that a page shows.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct View {
    /// Number of the state in the history.
    pub state: i64,
    /// If this is a trial: the number that it was asked with.
    pub trial: Option<u32>,
    /// Name of the design file, without its folder.
    pub file: String,
    /// Name of the design.
    pub name: String,
    /// Unit of lengths: `mm` or `in`.
    pub unit: String,
    /// m in that unit.
    pub unit_size: f64,
    /// Steps to which lengths are read, m.
    pub step: f64,
    /// Whether the file says what is shown.
    pub saved: Saved,
    /// The measured sheet.
    pub sheet: SheetHead,
    /// Steps that can be taken back.
    pub undo: u32,
    /// What would be taken back; may be empty.
    pub undo_what: String,
    /// Steps that can be made again.
    pub redo: u32,
    /// A few facts: `57 tubes`, `84.6 kg`.
    pub facts: Vec<String>,
    /// Remarks on the file, or what makes a trial impossible.
    pub problems: Vec<ProblemText>,
    /// Points.
    pub points: Vec<PointRow>,
    /// Tubes in fitting order, twins behind their originals as they are fitted.
    pub tubes: Vec<TubeRow>,
    /// Curves, and what they become.
    pub curves: Vec<CurveRow>,
    /// Sections.
    pub sections: Vec<SectionRow>,
    /// What is drawn of tubes, plates and skins.
    pub bodies: Vec<BodyHead>,
    /// People, wheels, masses.
    pub solids: Vec<Solid>,
    /// The ground of each stance.
    pub grounds: Vec<GroundPlane>,
    /// Height of the datum, m.
    pub datum: f64,
    /// Name of the datum: `under rail`.
    pub datum_words: String,
    /// The answers, in the order of the words.
    pub pages: Vec<Page>,
    /// Whether steel and pieces are worked out as for the packet; else quickly, and what is settled follows.
    pub settled: bool,
}

/// Whether the file says what is shown.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "saved", rename_all = "snake_case")]
pub enum Saved {
    /// It does.
    Written,
    /// The file was changed elsewhere into something that can't be read; what is shown is the last that could.
    Unreadable {
        /// Why.
        problems: Vec<ProblemText>,
    },
    /// The file and the page were changed at once, and the two don't go together. Both are kept in the history.
    Conflict {
        /// What the page had changed.
        mine: String,
        /// State with the page's change.
        mine_state: i64,
        /// State with the file's change.
        theirs_state: i64,
    },
    /// The file could not be written; what is shown is kept in the record.
    NotWritten {
        /// Why.
        why: String,
    },
}

/// A problem with its place.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ProblemText {
    /// What is wrong.
    pub what: String,
    /// Line of the file, from 1, if it stands in one.
    pub line: Option<u32>,
    /// The text of that line.
    pub text: String,
    /// What to do.
    pub help: Option<String>,
}

/// A point.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PointRow {
    /// Name; a twin's ends with `~`.
    pub name: String,
    /// Where, m.
    pub at: [f64; 3],
    /// How it is placed, in words: `at coordinates`, `on rail`, `from hoop_top`, `where a and b meet`.
    pub placed: String,
    /// Whether coordinates place it.
    pub free: bool,
    /// The tube that it is on, if it is.
    pub on: Option<String>,
    /// How its place along that tube is given.
    pub along: Option<AlongBy>,
    /// Tubes that run through it.
    pub tubes: Vec<String>,
    /// Whether it is a mirror image.
    pub twin: bool,
}

/// How a place along a tube is given: by the key of the file that says it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum AlongBy {
    /// `at`: a length from the start.
    Start,
    /// `at`, negative: a length from the end.
    End,
    /// `part` of the whole length.
    Part,
    /// The plane of an x.
    X,
    /// The plane of a y, of the tube that is named: a twin's is of the other sign.
    Y,
    /// The plane of a z.
    Z,
}

/// A tube.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct TubeRow {
    /// Name; a twin's ends with `~`.
    pub name: String,
    /// Number in the fitting order, from 1.
    pub number: u32,
    /// Its section.
    pub section: String,
    /// Points of its path.
    pub path: Vec<String>,
    /// Radius of its bends, m, if it has any: one for all, or one for each.
    pub bend_radius: Vec<f64>,
    /// How a box section is turned about its axis, rad; none for round tube.
    pub roll: Option<f64>,
    /// `permanent`, `provisional` or `temporary`.
    pub state: String,
    /// Whether the design mirrors it.
    pub mirrored: bool,
    /// Whether it is a mirror image.
    pub twin: bool,
    /// Over the long points, as it is read; between its ends, if it is not cut.
    pub length: String,
    /// Mass, with its unit.
    pub mass: String,
    /// Centreline: places along it, m, near enough to draw.
    pub line: Vec<[f64; 3]>,
}

/// A curve, or its mirror image.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct CurveRow {
    /// Name; a twin's ends with `~`.
    pub name: String,
    /// Places along it, m, near enough to draw.
    pub line: Vec<[f64; 3]>,
    /// The legs and bends that follow it, in the same way; empty while they are not worked out.
    pub chain: Vec<[f64; 3]>,
    /// Where both are farthest apart, on the curve and on the chain, m.
    pub worst: Option<[[f64; 3]; 2]>,
    /// How far that is, as it is read, with its unit; may be empty.
    pub off: String,
    /// Whether that is over its tolerance.
    pub over: bool,
}

/// A section.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct SectionRow {
    /// Name.
    pub name: String,
    /// `round 38 × 2.5, E355`.
    pub words: String,
}
