//! What a phone at the bender shows and sends. Lengths in m where they are numbers; texts are as they are read.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

pub use build::Operation;

/// One piece as a phone shows it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PieceCard {
    /// Name.
    pub name: String,
    /// Number in the building order, from 1.
    pub number: u32,
    /// `left side`, `right side` or empty.
    pub side: String,
    /// Section: `hoop, round 38 × 2.5`.
    pub section: String,
    /// Where it is cut from: `stick B2, left bay`; may be empty.
    pub stick: String,
    /// The mark of that stick: `B2`; may be empty.
    pub mark: String,
    /// What is left of the stick behind this piece, as it is read; may be empty.
    pub stick_left: String,
    /// The length to cut, as it is read.
    pub length: String,
    /// From where to where that is measured.
    pub length_words: String,
    /// The length to cut, m.
    pub blank: f64,
    /// Other lengths: what, and how much.
    pub lengths: Vec<[String; 2]>,
    /// Both ends.
    pub ends: [ShopEnd; 2],
    /// Bends in the order of bending: number, mark, turn, angle, die as they are read; with their headings first.
    pub bends: Vec<Vec<String>>,
    /// Which end goes into the bender first, if it is bent.
    pub bend_from: String,
    /// The piece from the side, as SVG.
    pub picture: String,
    /// The operations that it needs.
    pub operations: Vec<Operation>,
    /// The note on it; may be empty.
    pub note: String,
    /// What the frame as built makes of it, if it must be cut otherwise than designed.
    pub built: Option<ShopBuilt>,
}

/// A piece as the frame that stands asks for it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ShopBuilt {
    /// The length to cut, as it is read.
    pub length: String,
    /// How much longer than designed over the long points, with its sign and unit; may be empty.
    pub longer: String,
    /// Lengths as [`PieceCard::lengths`].
    pub lengths: Vec<[String; 2]>,
    /// Ends and bends that are to be set otherwise.
    pub changes: Vec<ShopChange>,
    /// Bends as [`PieceCard::bends`].
    pub bends: Vec<Vec<String>>,
    /// Whether the piece is cut already: it was cut as designed.
    pub cut: bool,
    /// Why not to rely on it yet, if there is a reason: a sentence.
    pub doubt: Option<String>,
}

/// A setting of a piece that the frame as built changes.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ShopChange {
    /// `start`, `end` or `bend 2`.
    pub what: String,
    /// As designed.
    pub was: String,
    /// As built.
    pub now: String,
}

/// An end of a piece.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ShopEnd {
    /// `start` or `end`, with the joint's name: `start, at hoop_foot`.
    pub words: String,
    /// The first set-up's angle, as it is read; or `square`.
    pub angle: String,
    /// What to cut with and how the tube is turned: one line for each set-up.
    pub setups: Vec<String>,
    /// Which set-up of the shop's list it belongs to: `set-up 7 of 12`; may be empty.
    pub batch: String,
    /// Other ends that use the set-up: `upper_stay~ start`.
    pub shared: Vec<String>,
    /// The simplest way to cut it within the wanted fit; may be empty.
    pub simplest: String,
    /// Its cuts by that way, one for each set-up of the shop's list.
    pub cuts: Vec<ShopCut>,
}

/// A cut of an end, as the list by set-up shows it.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ShopCut {
    /// Number of the set-up in the order with the fewest changes, from 1.
    pub setup: u32,
    /// The tool: `hole saw 45 mm`.
    pub tool: String,
    /// What it is set to: `35.5°`; may be empty.
    pub set: String,
    /// `start`, or `end, cut 2/3`.
    pub end: String,
    /// To what the tube is turned; may be empty.
    pub turn: String,
    /// How far the cut, or a hole saw's centre, passes the axis back from the long point, with its unit; may be empty.
    pub back: String,
}

/// A tick, made on a phone.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Tick {
    /// Made by the phone; sent again with the same id, it counts once.
    pub id: String,
    /// The piece.
    pub piece: String,
    /// The operation.
    pub operation: Operation,
    /// Whether it is done.
    pub done: bool,
    /// Who; may be empty.
    pub who: String,
    /// When, ms since 1970 by the phone's clock.
    pub at: i64,
}

/// A measured length.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Measured {
    /// Made by the phone.
    pub id: String,
    /// The piece.
    pub piece: String,
    /// What was measured: `over long points`.
    pub what: String,
    /// How much, as it was typed, in the design's units; empty to withdraw it.
    pub text: String,
    /// Who; may be empty.
    pub who: String,
    /// When, ms since 1970 by the phone's clock.
    pub at: i64,
}

/// The stick that a piece was cut from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Used {
    /// Made by the phone.
    pub id: String,
    /// The piece.
    pub piece: String,
    /// The stick's mark: `B2`.
    pub stick: String,
    /// What is left of the stick, as it was typed, in the design's units; empty to withdraw it.
    pub left: String,
    /// Who; may be empty.
    pub who: String,
    /// When, ms since 1970 by the phone's clock.
    pub at: i64,
}

/// What something is measured with on the car.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum MeasureTool {
    /// A tape, straight.
    Tape,
    /// A tape held level between plumb lines.
    LevelTape,
    /// A height over the plane of a level.
    Height,
    /// How much higher the second place is than the first.
    Rise,
    /// From one plumb bob to another, forward.
    PlumbX,
    /// From one plumb bob to another, to the left.
    PlumbY,
    /// An offset from a string.
    String,
    /// A slope.
    Finder,
    /// An angle between two lines.
    Bevel,
}

/// A reading taken on the car, for the measured sheet.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Reading {
    /// Made by the phone; sent again with the same id, it counts once.
    pub id: String,
    /// With what.
    pub tool: MeasureTool,
    /// Where, as the sheet says it: `foot~ outside`. As many as the tool asks for, in the sheet's order.
    pub places: Vec<String>,
    /// The set-up of the level, for heights; may be empty.
    pub over: String,
    /// What was read, m or rad.
    pub reads: f64,
    /// The name of the entry that it takes the place of, if it was taken before.
    pub again: Option<String>,
    /// Who; may be empty.
    pub who: String,
    /// When, ms since 1970 by the phone's clock.
    pub at: i64,
}

/// A reading that is not in the sheet.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct RefusedReading {
    /// Its id.
    pub id: String,
    /// Why.
    pub why: String,
    /// Whether it may be sent again as it is, when what is in the way has been mended.
    pub later: bool,
}

/// What a phone sends until it is acknowledged, all of it in order.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ShopAsk {
    /// Ticks.
    #[serde(default)]
    pub ticks: Vec<Tick>,
    /// Measured lengths.
    #[serde(default)]
    pub measured: Vec<Measured>,
    /// Sticks that pieces were cut from.
    #[serde(default)]
    pub used: Vec<Used>,
    /// Readings for the measured sheet.
    #[serde(default)]
    pub readings: Vec<Reading>,
}

/// Something done in the shop, numbered.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "event", rename_all = "snake_case")]
pub enum ShopEvent {
    /// A tick.
    Tick(Tick),
    /// A measured length.
    Measured(Measured),
    /// A stick that was cut.
    Used(Used),
}

/// What was done since a page last heard.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ShopNews {
    /// Number of the last event among them.
    pub number: i64,
    /// In order.
    pub events: Vec<ShopEvent>,
    /// Readings of the ask that are not in the sheet; all others are, and are on the disk.
    pub refused: Vec<RefusedReading>,
}
