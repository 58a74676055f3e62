//! The measured sheet: what was taken with tape, level, plumb bob, angle finder and bevel gauge on what was built.
//!
//! A TOML file beside the design's. [`read`] turns its text into a [`Measured`]; what can't be used is left out and told,
//! and all else is read. `docs/measured-sheet.md` describes it.

pub mod keys;
mod read;
mod write;

pub use read::read;
pub use write::{Entry, add, leave_out, remove, retake};

use std::sync::Arc;

use crate::model::{Along, PointRef, Span, TubeRef, Units};

/// A sheet of measurements.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// Its text.
    pub source: Arc<str>,
    /// Units of its lengths.
    pub units: Units,
    /// Who measured.
    pub by: Option<String>,
    /// A note.
    pub note: Option<String>,
    /// The last tube that stands, in fitting order, if the sheet says.
    pub standing: Option<TubeRef>,
    /// Whether the frame stood level as designed.
    pub set_level: bool,
    /// Places on tubes.
    pub marks: Vec<Mark>,
    /// Set-ups of the level whose height over the datum is known, m.
    pub levels: Vec<(String, f64)>,
    /// Points that are held.
    pub held: Vec<Held>,
    /// Readings, in the order of the sheet.
    pub readings: Vec<Reading>,
}

/// A face of a tube.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Face {
    /// The upper.
    Top,
    /// The lower.
    Under,
    /// That which looks forward.
    Front,
    /// That which looks back.
    Rear,
    /// That which looks to the left.
    Left,
    /// That which looks to the right.
    Right,
    /// That which looks to the centre plane.
    Inside,
    /// That which looks away from it.
    Outside,
}

impl Face {
    /// All, in the order of [`keys::FACES`].
    pub const ALL: [Face; 8] =
        [Face::Top, Face::Under, Face::Front, Face::Rear, Face::Left, Face::Right, Face::Inside, Face::Outside];

    /// As the sheet says it.
    pub fn word(self) -> &'static str {
        keys::FACES[self as usize]
    }

    /// By its word.
    pub fn of(word: &str) -> Option<Face> {
        Face::ALL.into_iter().find(|f| f.word() == word)
    }
}

/// A place on a tube.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Its name.
    pub name: String,
    /// The tube.
    pub on: TubeRef,
    /// Where along it.
    pub along: Along,
    /// Which face; `None`: its centre.
    pub face: Option<Face>,
    /// Its place in the text.
    pub span: Span,
}

/// What a tape was held to.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// Of what.
    pub of: SpotOf,
    /// The face of the tube there; `None`: the point itself, or the mark as it says.
    pub face: Option<Face>,
    /// Of which tube, where several meet; `None`: of that which is fitted first.
    pub tube: Option<TubeRef>,
}

/// What a spot is named by.
#[derive(Clone, Debug, PartialEq)]
pub enum SpotOf {
    /// A point of the design, or its twin.
    Point(PointRef),
    /// A mark, by its number.
    Mark(usize),
}

/// A point that is held.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// The name of the entry.
    pub name: String,
    /// The point.
    pub of: PointRef,
    /// In which directions.
    pub axes: [bool; 3],
    /// How well, m; `None`: exactly.
    pub good_to: Option<f64>,
    /// Its place in the text.
    pub span: Span,
}

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Tool {
    /// A tape distance.
    Tape,
    /// A level distance.
    LevelTape,
    /// A height over a set-up.
    Height,
    /// A rise.
    Rise,
    /// An offset along the car.
    PlumbX,
    /// An offset across it.
    PlumbY,
    /// An offset from a string.
    String,
    /// A slope.
    Finder,
    /// An angle.
    Bevel,
}

impl Tool {
    /// The table of the sheet.
    pub fn table(self) -> &'static str {
        match self {
            Tool::Tape | Tool::LevelTape => "tape",
            Tool::Height => "height",
            Tool::Rise => "rise",
            Tool::PlumbX | Tool::PlumbY => "plumb",
            Tool::String => "string",
            Tool::Finder => "finder",
            Tool::Bevel => "bevel",
        }
    }

    /// Whether it reads an angle.
    pub fn is_angle(self) -> bool {
        matches!(self, Tool::Finder | Tool::Bevel)
    }
}

/// One reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The name of the entry.
    pub name: String,
    /// With what.
    pub tool: Tool,
    /// Where: from and to; of, from and to for a string; at, one and other for a bevel gauge.
    pub at: Vec<Spot>,
    /// The set-up of the level, for heights.
    pub over: Option<String>,
    /// m or rad.
    pub reads: f64,
    /// To be added, m.
    pub add: f64,
    /// Standard deviation, m or rad.
    pub good_to: f64,
    /// Whether it is used.
    pub used: bool,
    /// Its place in the text.
    pub span: Span,
}

impl Reading {
    /// `tape d1`.
    pub fn title(&self) -> String {
        format!("{} {}", self.tool.table(), self.name)
    }
}

/// The set-up of heights that name none.
pub const LEVEL: &str = "level";

/// How far readings are usually off where the sheet does not say: common practice, no source.
pub mod usual {
    /// Tape, string, m.
    pub const TAPE: f64 = 1e-3;
    /// Height, rise, m.
    pub const HEIGHT: f64 = 0.5e-3;
    /// Plumb bob, m.
    pub const PLUMB: f64 = 1e-3;
    /// Angle finder, bevel gauge, rad.
    pub const ANGLE: f64 = 0.2 * std::f64::consts::PI / 180.0;
}
