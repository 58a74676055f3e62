//! Keys of what holds tubes while they are tacked.

use super::*;

const THIN: Value = Value::Number(Quantity::Length, Bounds::above(0.0, 0.1));
const SADDLE_LENGTH: Value = Value::Number(Quantity::Length, Bounds::within(0.005, 1.0));
/// From more than a radian, so that a round seat centres its tube, to less than half a turn, so that it drops in.
const WRAP: Value = Value::Number(Quantity::Angle, Bounds::within(60.0, 175.0));

/// `[jig]`.
pub static JIG: Table = Table {
    about: "Printed saddles that hold tubes until they are tacked.",
    keys: &[
        may(
            "bed",
            Value::Numbers(3, Quantity::Length, Bounds::within(0.02, 10.0)),
            "The printer's bed: two sides and the height; default 180 by 180 by 180 mm.",
        ),
        may(
            "clearance",
            Value::Number(Quantity::Length, Bounds::within(0.0, 0.005)),
            "Clearance beside a seat, each side; default 0.2 mm.",
        ),
        may("wall", THIN, "Least wall of a saddle; default 4 mm."),
        may("length", SADDLE_LENGTH, "Length along the tube that it holds; default 30 mm."),
        may("wrap", WRAP, "Angle of a round seat in degrees; default 150."),
        may("clear", SADDLE_LENGTH, "Clear distance from the weld; default 20 mm."),
        may("grip", THIN, "How far it reaches down a box's flanks; default 8 mm."),
        may("ties", Value::Count(0, 8), "How many straps go round the tube that it holds; default 1."),
        may(
            "tie",
            Value::Numbers(2, Quantity::Length, Bounds::above(0.0, 0.1)),
            "Width and thickness of the slot for a strap; default 5 by 2.5 mm.",
        ),
        may("engrave", THIN, "How deep its number is cut in; default 0.6 mm."),
        may(
            "saddles",
            Value::List(0, &Value::Table(&SADDLE)),
            "The saddles wanted; default: wherever an end lands on a tube that passes.",
        ),
    ],
};

/// A saddle.
pub static SADDLE: Table = Table {
    about: "A printed saddle.",
    keys: &[
        must("tube", Value::Name(Kind::Tube), "The tube that it holds."),
        may("end", Value::Choice(&["start", "end"]), "In the corner at this end of it."),
        may("at", COORDINATE, "Or under this place along it, from its start; from its end if negative."),
        may("on", Value::Name(Kind::Tube), "The tube that it sits on; default: the one that passes at that end."),
        may("flat", Value::Table(&PLANE), "The flat that it sits on, in place of a tube."),
    ],
};
