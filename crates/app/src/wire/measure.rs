//! What was measured on the car, and what is needed to measure more. Lengths in m, angles in rad.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::shop::MeasureTool;
use super::view::ProblemText;

/// How it is with the measured sheet.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SheetIs {
    /// There is none.
    #[default]
    None,
    /// The frame as built is being worked out.
    Laying,
    /// The frame as built is what it says.
    Laid,
    /// It can't be read: nothing of it is used.
    Unreadable,
}

/// The measured sheet.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct SheetHead {
    /// Name of its file, without its folder.
    pub file: String,
    /// How it is with it.
    pub is: SheetIs,
    /// Grows whenever the frame as built was worked out anew.
    pub laid: u64,
    /// Why it can't be read.
    pub problems: Vec<ProblemText>,
}

/// Everything that a phone needs to measure on the car, with or without a line.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MeasureSheet {
    /// The sheet.
    pub head: SheetHead,
    /// Unit of lengths in the sheet: `mm` or `in`.
    pub unit: String,
    /// m in that unit.
    pub unit_size: f64,
    /// What a tape can be held to: points and their twins in the design's order, then marks.
    pub places: Vec<MeasurePlace>,
    /// Set-ups of the level that the sheet knows, in the order in which they were used.
    pub levels: Vec<MeasureLevel>,
    /// What was read, the latest first.
    pub readings: Vec<MeasureRow>,
    /// What one more tape distance would tell, the most first.
    pub next: Vec<MeasureNext>,
}

/// What a tape can be held to.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MeasurePlace {
    /// Its name; a twin's ends with `~`.
    pub name: String,
    /// Whether it is a mark of the sheet.
    pub mark: bool,
    /// Where the design has it.
    pub at: [f64; 3],
    /// Tubes that it is on.
    pub tubes: Vec<String>,
    /// Faces of the tube there.
    pub faces: Vec<MeasureFace>,
}

/// A face that a tape can be held to.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MeasureFace {
    /// As the sheet says it: `outside`.
    pub face: String,
    /// The way to it from the place.
    pub arm: [f64; 3],
}

/// A set-up of the level.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MeasureLevel {
    /// Its name.
    pub name: String,
    /// Height of its plane in the frame's axes, as far as it is known: where the frame leans it is that under the last place read.
    pub plane: Option<f64>,
}

/// What became of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ReadingFate {
    /// It agrees with the others.
    Agrees,
    /// Nothing else checks it.
    Unchecked,
    /// It was found wrong, and left out.
    Wrong,
    /// It contradicts others, and nothing tells which is wrong.
    Contradicts,
    /// The sheet leaves it out.
    LeftOut,
    /// It could not be used.
    Unusable,
}

/// A reading of the sheet.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MeasureRow {
    /// The table of the sheet: `tape`.
    pub table: String,
    /// The name of its entry.
    pub name: String,
    /// With what.
    pub tool: MeasureTool,
    /// Where, as the sheet says it.
    pub places: Vec<String>,
    /// The set-up of the level; may be empty.
    pub over: String,
    /// What was read.
    pub reads: f64,
    /// What it should read as designed.
    pub designed: Option<f64>,
    /// What it should read where the points are found.
    pub fits: Option<f64>,
    /// What became of it.
    pub fate: ReadingFate,
    /// Who took it; may be empty.
    pub who: String,
    /// When, ms since 1970; if it came from a phone or a page.
    pub at: Option<i64>,
}

/// A tape distance to be taken next.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct MeasureNext {
    /// Its two places.
    pub between: [String; 2],
    /// What it should read.
    pub length: f64,
}

/// The frame as built, to be drawn over the design.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct BuiltFrame {
    /// How many times the ways of points are best drawn.
    pub scale: f64,
    /// Centrelines.
    pub tubes: Vec<BuiltLine>,
    /// Measured places.
    pub places: Vec<BuiltPlace>,
}

/// A tube of the frame as built.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct BuiltLine {
    /// Its name.
    pub name: String,
    /// Whether it stands.
    pub stands: bool,
    /// Places along its centreline.
    pub line: Vec<[f64; 3]>,
}

/// A measured place.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct BuiltPlace {
    /// The point, or the mark.
    pub name: String,
    /// Where the design has it.
    pub designed: [f64; 3],
    /// Where it is.
    pub at: [f64; 3],
    /// Whether it is known: nothing is loose.
    pub known: bool,
    /// How far off it is, in the design's units.
    pub off: String,
    /// Which way, and how well that is known: `3.2 mm forward, 1 to the left, 0.4 down; ± 0.8 mm`.
    pub words: String,
}
