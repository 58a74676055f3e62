//! Keys of what the frame carries.

use super::*;

/// The weight of a thousand tonnes: beyond it a number is a slip.
const STRONGEST: f64 = 1e7;
const FORCES: Value = Value::Numbers(3, Quantity::Force, Bounds::within(-STRONGEST, STRONGEST));
const MOMENTS: Value = Value::Numbers(3, Quantity::Moment, Bounds::within(-STRONGEST, STRONGEST));
/// Multiples of weight. A hundred is a crash that no frame is computed for here.
const HEAVIEST_FALL: f64 = 100.0;

/// Walls that an edition of the standard for joints can begin at, m: from the thinnest tube that is welded to where all
/// editions begin.
const THINNEST_COVERED: f64 = 0.5e-3;
const THICKEST_COVERED: f64 = 5e-3;

/// What a mount may carry, in the order in which a name is looked for.
pub const CARRIED: &[Kind] = &[Kind::Mass, Kind::Occupant, Kind::Wheel];

/// `[mount.NAME]`.
pub static MOUNT: Table = Table {
    about: "Where a mass, a person or a wheel is held by the frame.",
    keys: &[
        must("of", Value::NameOf(CARRIED), "Name of the mass, occupant or wheel."),
        must("at", Value::List(1, &POINT), "Points on tubes that hold it; its twin is held at their twins."),
    ],
};

/// `[load.NAME]`.
pub static LOAD: Table = Table {
    about: "Loads that act together.",
    keys: &[
        may("forces", Value::List(1, &Value::Table(&POINT_FORCE)), "Forces and moments at points."),
        may("spread", Value::List(1, &Value::Table(&SPREAD_FORCE)), "Forces spread evenly along tubes."),
        may(
            "g",
            Value::Numbers(3, Quantity::Plain, Bounds::within(-HEAVIEST_FALL, HEAVIEST_FALL)),
            "What every mass is pressed with, in multiples of its weight; default none.",
        ),
        may(
            "held",
            Value::List(1, &Value::Table(&HELD)),
            "Points that are held or moved; default none: the wheels push back.",
        ),
        may("most", LENGTH, "Largest displacement wanted."),
        may(
            "use",
            Value::Number(Quantity::Plain, Bounds::above(0.0, 100.0)),
            "Largest stress wanted, as a part of the yield strength; default 1.",
        ),
        may(
            "buckling",
            Value::Number(Quantity::Plain, Bounds::within(0.0, 1000.0)),
            "Least factor wanted to buckling; default 1.",
        ),
        may(
            "collapse",
            LENGTH_OR_NONE,
            "How far it is pushed past yielding, the loads growing together; default 0, not asked for.",
        ),
        may("note", Value::Text, "Free text."),
    ],
};

/// A force of a load.
pub static POINT_FORCE: Table = Table {
    about: "A force, a moment or both at a point.",
    keys: &[
        must("at", POINT, "The point, on a tube."),
        may("force", FORCES, "The force along x, y and z."),
        may("moment", MOMENTS, "The moment about x, y and z."),
    ],
};

/// A spread force of a load.
pub static SPREAD_FORCE: Table = Table {
    about: "A force spread evenly along a tube.",
    keys: &[
        must("along", Value::Name(Kind::Tube), "The tube."),
        must("force", FORCES, "The whole of it along x, y and z."),
    ],
};

/// A held point of a load.
pub static HELD: Table = Table {
    about: "A point that is held, or moved.",
    keys: &[
        must("at", POINT, "The point, on a tube."),
        may("along", Value::Axes, "Along which axes it is held; default \"xyz\"."),
        may("turns", Value::Flag, "Whether it is held against turning, too; default false."),
        may("by", COORDINATES, "How far it is moved along the axes in which it is held; default not at all."),
    ],
};

/// A published set of loads.
pub const LOAD_SET: Value = Value::Choice(&["student-frame", "touring-cage", "work-machine"]);

/// `[strength]`.
pub static STRENGTH_TABLE: Table = Table {
    about: "Settings of strength.",
    keys: &[
        may("sets", Value::List(0, &LOAD_SET), "Published sets of loads that are wanted; default none."),
        may("mass", MASS, "What their loads scale with; default the mass of the laden design."),
        may(
            "rest",
            Value::Number(Quantity::Plain, Bounds::within(0.0, HEAVIEST_FALL)),
            "Multiple of its weight with which the car lies in each rest attitude; default 0, not asked for.",
        ),
        may("rig", Value::Table(&RIG), "Where the rigs take hold; default the places that carry the wheels."),
        may("modes", Value::Count(0, 100), "Number of natural frequencies; default 6."),
        may(
            "drop",
            Value::Number(Quantity::Length, Bounds::within(0.0, 100.0)),
            "Height from which the car drops onto its roof; default 0, not asked for.",
        ),
        may(
            "least_wall",
            Value::Number(Quantity::Length, Bounds::within(THINNEST_COVERED, THICKEST_COVERED)),
            "Least wall that the standard for welded joints covers in the edition kept to; default 2.5 mm.",
        ),
    ],
};

/// `rig` of `[strength]`.
pub static RIG: Table = Table {
    about: "Where a rig for torsion and bending takes hold of the frame: four places.",
    keys: &[
        must("front", Value::List(2, &POINT), "Left and right, at the front."),
        must("rear", Value::List(2, &POINT), "Left and right, at the rear."),
    ],
};
