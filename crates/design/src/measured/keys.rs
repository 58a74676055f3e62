//! The one definition of the measured sheet's tables and keys.

use crate::keys::{Bounds, Form, Key, LONGEST, Table, Top, Value, may, must, named};
use crate::units::Quantity;

/// Most readings of a kind: nobody takes more.
const MOST: usize = 5000;

const fn once(name: &'static str, table: &'static Table) -> Top {
    Top { name, form: Form::Once, required: false, most: 1, table }
}

/// Nobody reads a tape to a micrometre, nor lets it be wrong by a metre.
const FINE: Value = Value::Number(Quantity::Length, Bounds { least: 1e-6, above: false, most: 1.0 });
/// In degrees.
const FINE_ANGLE: Value = Value::Number(Quantity::Angle, Bounds { least: 1e-4, above: false, most: 45.0 });
const LENGTH: Value = Value::Number(Quantity::Length, Bounds { least: 0.0, above: true, most: LONGEST });
const ANY: Value = Value::Number(Quantity::Length, Bounds { least: -LONGEST, above: false, most: LONGEST });
const ANGLE: Value = Value::Number(Quantity::Angle, Bounds { least: -180.0, above: false, most: 180.0 });
const SPOT_ABOUT: &str = "A point or a mark; after it, if need be, the face of the tube: \"foot outside\".";

/// Words for a face of a tube.
pub const FACES: &[&str] = &["top", "under", "front", "rear", "left", "right", "inside", "outside"];

/// Every table of the sheet.
pub static TOPS: &[Top] = &[
    once("sheet", &SHEET),
    once("good_to", &GOOD_TO),
    named("mark", MOST, &MARK),
    named("level", MOST, &LEVEL),
    named("held", MOST, &HELD),
    named("tape", MOST, &TAPE),
    named("height", MOST, &HEIGHT),
    named("rise", MOST, &RISE),
    named("plumb", MOST, &PLUMB),
    named("string", MOST, &STRING),
    named("finder", MOST, &FINDER),
    named("bevel", MOST, &BEVEL),
];

/// `[sheet]`.
pub static SHEET: Table = Table {
    about: "How it was measured.",
    keys: &[
        may("units", Value::Choice(&["mm", "in"]), "Units of lengths in this sheet; default those of the design."),
        may("by", Value::Text, "Who measured."),
        may("note", Value::Text, "When, at what temperature, with which tape."),
        may(
            "standing",
            Value::Text,
            "The last tube in the fitting order that stands already; default: those with two places measured on them.",
        ),
        may(
            "set_level",
            Value::Flag,
            "Whether the frame stood level as designed; default false: how it stood is found from the readings.",
        ),
    ],
};

/// `[good_to]`.
pub static GOOD_TO: Table = Table {
    about: "How far a reading is usually off: two of three are nearer than this (a standard deviation).",
    keys: &[
        may("tape", FINE, "Of tape distances and offsets from a string; default 1 mm."),
        may("height", FINE, "Of heights and rises; default 0.5 mm."),
        may("plumb", FINE, "Of plumb offsets; default 1 mm."),
        may("angle", FINE_ANGLE, "Of angle finder and bevel gauge; default 0.2 degrees."),
    ],
};

/// `[mark.NAME]`.
pub static MARK: Table = Table {
    about: "A place on a tube that is no point of the design.",
    keys: &[
        must("on", Value::Text, "The tube."),
        may("at", ANY, "Distance along the centreline from its start, or from its end if negative."),
        may(
            "part",
            Value::Number(Quantity::Plain, Bounds { least: 0.0, above: false, most: 1.0 }),
            "Fraction of the centreline.",
        ),
        may("x", ANY, "Where the centreline crosses this x."),
        may("y", ANY, "Where the centreline crosses this y."),
        may("z", ANY, "Where the centreline crosses this z."),
        may("pick", Value::Count(1, 1000), "Which crossing, counted from the tube's start."),
        may("face", Value::Choice(FACES), "The face it is on; default: the centre."),
    ],
};

/// `[level.NAME]`.
pub static LEVEL: Table = Table {
    about: "A set-up of the level whose height is known.",
    keys: &[must("over_datum", ANY, "Height of its plane over the design's datum.")],
};

/// `[held.NAME]`.
pub static HELD: Table = Table {
    about: "A point that a jig or a stop holds where the design has it.",
    keys: &[
        must("of", Value::Text, "The point."),
        may("axes", Value::Axes, "The directions in which it is held; default \"xyz\"."),
        may("good_to", FINE, "How well; default: exactly."),
    ],
};

const GOOD_TO_KEY: Key = may("good_to", FINE, "How far this reading is usually off; default from [good_to].");
const GOOD_TO_ANGLE: Key = may("good_to", FINE_ANGLE, "How far this reading is usually off; default from [good_to].");
const LEAVE_OUT: Key = may("leave_out", Value::Flag, "Whether to keep it in the sheet but not use it.");
const FROM: Key = must("from", Value::Text, SPOT_ABOUT);
const TO: Key = must("to", Value::Text, SPOT_ABOUT);

/// `[tape.NAME]`.
pub static TAPE: Table = Table {
    about: "A tape distance.",
    keys: &[
        FROM,
        TO,
        must("reads", LENGTH, "What the tape reads."),
        may("add", ANY, "What is to be added to the reading: a tape's broken end, a block."),
        may(
            "level",
            Value::Flag,
            "Whether the tape was held level between plumb lines, and not straight; default false.",
        ),
        GOOD_TO_KEY,
        LEAVE_OUT,
    ],
};

/// `[height.NAME]`.
pub static HEIGHT: Table = Table {
    about: "A height over the plane of a level, a laser or a true floor.",
    keys: &[
        must("of", Value::Text, SPOT_ABOUT),
        must("reads", ANY, "Height over it; negative under it."),
        may("over", Value::Text, "Which set-up of the level; default \"level\": all without a name are one set-up."),
        GOOD_TO_KEY,
        LEAVE_OUT,
    ],
};

/// `[rise.NAME]`.
pub static RISE: Table = Table {
    about: "How much higher one place is than another: a water level, a straight edge with a level.",
    keys: &[FROM, TO, must("reads", ANY, "Height of `to` over `from`."), GOOD_TO_KEY, LEAVE_OUT],
};

/// `[plumb.NAME]`.
pub static PLUMB: Table = Table {
    about: "The way between two plumb bobs along the car or across it.",
    keys: &[
        FROM,
        TO,
        must("along", Value::Choice(&["x", "y"]), "x: forward. y: to the left."),
        must("reads", ANY, "From the first to the second; negative the other way."),
        GOOD_TO_KEY,
        LEAVE_OUT,
    ],
};

/// `[string.NAME]`.
pub static STRING: Table = Table {
    about: "The level offset of a place from a string between two others.",
    keys: &[
        must("of", Value::Text, SPOT_ABOUT),
        FROM,
        TO,
        must("reads", ANY, "Positive to the left of the way from the one to the other, negative to the right."),
        GOOD_TO_KEY,
        LEAVE_OUT,
    ],
};

/// `[finder.NAME]`.
pub static FINDER: Table = Table {
    about: "An angle finder laid along from one place to another.",
    keys: &[
        FROM,
        TO,
        must("reads", ANGLE, "Degrees over level; positive if `to` is the higher."),
        GOOD_TO_ANGLE,
        LEAVE_OUT,
    ],
};

/// `[bevel.NAME]`.
pub static BEVEL: Table = Table {
    about: "A bevel gauge between the lines from one place to two others.",
    keys: &[
        must("at", Value::Text, SPOT_ABOUT),
        must("one", Value::Text, SPOT_ABOUT),
        must("other", Value::Text, SPOT_ABOUT),
        must("reads", ANGLE, "Degrees between them."),
        GOOD_TO_ANGLE,
        LEAVE_OUT,
    ],
};
