//! Keys of the shop: notcher, dies, steel, stages, rule sets, limits.

use super::*;

/// `[notcher]`.
pub static NOTCHER: Table = Table {
    about: "What the notcher's scale shows, and the hole saws at hand.",
    keys: &[
        may(
            "square_reads",
            Value::WholeChoice(&[0, 90]),
            "What the scale shows when the tube stands square to the saw; default 0.",
        ),
        may("saws", Value::List(0, &Value::Table(&SAW)), "Hole saws at hand."),
    ],
};

/// A hole saw.
pub static SAW: Table =
    Table { about: "A hole saw.", keys: &[must("od", ACROSS, "Diameter."), must("depth", ACROSS, "Usable depth.")] };

/// `[die.NAME]`.
pub static DIE: Table = Table {
    about: "A bending die.",
    keys: &[
        must("od", ACROSS, "Outside diameter of the tube that it takes."),
        must("radius", LENGTH, "Centreline radius as the finished bend measures."),
        may("grip", LENGTH_OR_NONE, "Straight length that the clamp needs ahead of the first bend; default 0."),
        may("between", LENGTH_OR_NONE, "Least straight between two bends; default 0."),
        may("max_angle", BEND, "Largest angle that the bender can be set to, springback included, in degrees."),
        may("offset", COORDINATE, "From the mark on the tube to the start of the bend; default 0."),
        may("tests", Value::List(0, &Value::Table(&TEST)), "Test bends."),
    ],
};

/// A test bend.
pub static TEST: Table = Table {
    about: "A test bend.",
    keys: &[must("set", BEND, "Angle bent to, in degrees."), must("got", BEND, "Angle that stayed, in degrees.")],
};

/// `[rack]`.
pub static RACK: Table = Table {
    about: "The steel.",
    keys: &[
        may("currency", Value::Text, "Currency of prices; default none."),
        must("kerf", Value::Number(Quantity::Length, Bounds::within(0.0, WIDEST)), "Width of a saw cut."),
        may("trim", LENGTH_OR_NONE, "Cut off each new stick's end before use; default 0."),
        may("useful", LENGTH_OR_NONE, "A shorter offcut is scrap; default 0."),
        may("stick", Value::List(0, &Value::Table(&STICK)), "Sticks, each as [[rack.stick]]."),
    ],
};

/// `[[rack.stick]]`.
pub static STICK: Table = Table {
    about: "Sticks of one kind, on hand or to be bought.",
    keys: &[
        must("section", Value::Name(Kind::Section), "Name of the section."),
        must("length", LENGTH, "Length of one."),
        may("count", Value::Count(0, 100_000), "How many are on hand; leave out if they are to be bought."),
        may("ordered", Value::Flag, "With `count`: paid for, but not here yet; default false."),
        may("price", PRICE, "Price of one, or of the length that `per` says; default 0."),
        may("per", Value::Choice(&["stick", "m", "ft"]), "What the price is for; default a stick."),
        may("cut_fee", PRICE, "What the seller takes for each piece that is cut from one; default 0."),
        may("supplier", Value::Name(Kind::Supplier), "Who sells it."),
        may("place", Value::Text, "Where it stands, or its mark."),
    ],
};

const PRICE: Value = Value::Number(Quantity::Plain, Bounds::within(0.0, 1e9));

/// `[supplier.NAME]`.
pub static SUPPLIER: Table = Table {
    about: "Who sells steel.",
    keys: &[
        may("delivery", PRICE, "What bringing it costs, once for everything ordered there; default 0."),
        may("note", Value::Text, "Free text."),
    ],
};

/// `[stage.NAME]`.
pub static STAGE: Table = Table {
    about: "A part of the build that is finished before the next begins.",
    keys: &[
        must("until", Value::Name(Kind::Tube), "Its last tube in the fitting order."),
        may("note", Value::Text, "Free text."),
    ],
};

/// `[rules]`.
pub static RULES: Table = Table {
    about: "Rule sets that the design is held against.",
    keys: &[must(
        "sets",
        Value::List(1, &Value::Text),
        "Names of built-in sets, or of files beside the design, ending in .toml.",
    )],
};

/// `[limits]`.
pub static LIMITS: Table = Table {
    about: "Limits that the person sets.",
    keys: &[
        may("gap", LENGTH_OR_NONE, "Root gap at every cope and mitre; default 0."),
        may("fit", LENGTH_OR_NONE, "Largest gap at the joint that the welder wants; default 1 mm."),
        may("touch", LENGTH_OR_NONE, "Tubes nearer than this without a joint are reported; default 5 mm."),
        may("round", LENGTH, "Lengths on sheets are rounded to this; default 0.5 mm or 1/16 in."),
        may(
            "welded",
            Value::Choice(&["A", "B", "C", "D"]),
            "Class of the welded frame's tolerances, ISO 13920; default B.",
        ),
        may("round_angle", BEND, "Angles on sheets are rounded to this; default 0.5 degrees."),
        may("clearance", LENGTH_OR_NONE, "Least running clearance; default 76 mm (3 in)."),
        may("approach", TILT, "Least approach angle in degrees; default none."),
        may("departure", TILT, "Least departure angle in degrees; default none."),
        may("breakover", TILT, "Least ramp breakover angle in degrees; default none."),
        may("tilt", TILT, "Least side tilt in degrees at which the car goes over; default none."),
        may("helmet", LENGTH_OR_NONE, "Least distance of a helmet to the lines over it; default 50 mm."),
        may("body", LENGTH_OR_NONE, "Least distance of a body to any tube's padding; default 0."),
        may("padding", LENGTH_OR_NONE, "Thickness of the padding on tubes within reach; default 0."),
        may("opening", OPENING_SIZE, "Least width and height of a way out; default 330 by 580 mm."),
    ],
};
