//! The one definition of a rule set's tables and keys.

use crate::keys::{Bounds, Form, Key, LONGEST, Table, Top, Value, may, must, named};
use crate::units::Quantity;

/// Most rules of a kind: no rule book has more.
const MOST: usize = 1000;

const LENGTH: Value = Value::Number(Quantity::Length, Bounds::above(0.0, LONGEST));
const REACH: Value = Value::Number(Quantity::Length, Bounds::within(-LONGEST, LONGEST));
/// An outside diameter and a wall.
pub const SIZE: Value = Value::Numbers(2, Quantity::Length, Bounds::above(0.0, 1.0));
const ANGLE: Value = Value::Number(Quantity::Angle, Bounds::within(0.0, 180.0));
const STRENGTH: Value = Value::Number(Quantity::Stress, Bounds::above(0.0, 100e9));
const PLAIN: Value = Value::Number(Quantity::Plain, Bounds::above(0.0, 1e12));
const SUM: Value = Value::Number(Quantity::Angle, Bounds::within(0.0, 3600.0));
const COUNT: Value = Value::Count(0, 10_000);
const ROLES: Value = Value::List(1, &Value::Text);
const WORDS: Value = Value::List(1, &Value::Text);

/// How a figure is known.
pub const KNOWN: &[&str] = &["text", "second hand", "memory", "own"];
/// Places of a tube.
pub const PLACES: &[&str] = &["top", "foot", "joint", "anywhere"];
/// What equivalence is measured by.
pub const MEASURES: &[&str] =
    &["bending stiffness", "area", "tension yield", "tension ultimate", "bending yield", "bending ultimate", "energy"];

const CLAUSE: Key = must("clause", Value::Text, "Where it stands in the text.");
const KNOWN_KEY: Key = must(
    "known",
    Value::Choice(KNOWN),
    "text: read in the published text. second hand: read as a quotation. memory: not read. own: the user's own rule.",
);
const SAYS: Key = may("says", Value::Text, "What it wants, in words.");
const OF: Key = must("of", ROLES, "The roles of the tubes that it is about.");

/// Every table of a rule set.
pub static TOPS: &[Top] = &[
    Top { name: "rules", form: Form::Once, required: true, most: 1, table: &RULES },
    named("role", MOST, &ROLE),
    named("section", MOST, &SECTION),
    named("equal", MOST, &EQUAL),
    named("bend", MOST, &BEND),
    named("angle", MOST, &ANGLE_TABLE),
    named("distance", MOST, &DISTANCE),
    named("span", MOST, &SPAN),
    named("count", MOST, &COUNT_TABLE),
    named("room", MOST, &ROOM),
    named("plate", MOST, &PLATE),
    named("load", MOST, &LOAD),
    named("by_eye", MOST, &BY_EYE),
];

/// `[rules]`.
pub static RULES: Table = Table {
    about: "Whose rules, and which edition.",
    keys: &[
        must("name", Value::Text, "Name of the set."),
        must("edition", Value::Text, "Which edition its figures are of."),
        must("whose", Value::Text, "Who decides: \"the organiser\"."),
        may("units", Value::Choice(&["mm", "in"]), "Units of lengths, areas and second moments; default mm."),
        may("note", Value::Text, "What else must be known of it."),
    ],
};

/// `[role.NAME]`.
pub static ROLE: Table = Table {
    about: "A role that tubes have by the words in the design's `role`.",
    keys: &[
        must("words", WORDS, "A tube has the role if its own holds one of these."),
        may("without", WORDS, "And none of these."),
        may("meets", Value::Text, "And it ends on a tube of this role."),
        may("about", Value::Text, "Which tube that is."),
    ],
};

/// `[section.NAME]`.
pub static SECTION: Table = Table {
    about: "The least section of tubes.",
    keys: &[
        CLAUSE,
        KNOWN_KEY,
        SAYS,
        OF,
        may("od", LENGTH, "Least outside diameter; of box tube the smaller side."),
        may("wall", LENGTH, "Least wall."),
        may("sizes", Value::List(1, &SIZE), "Or: at least as large as one of these, outside diameter and wall."),
        may("area", PLAIN, "Least area of steel, mm² (in² in a set in inches)."),
        may("inertia", PLAIN, "Least second moment about the weakest axis, mm⁴ (in⁴)."),
        may("area_to", PLAIN, "Areas are rounded to this before they are compared; default not."),
        may("inertia_to", PLAIN, "Second moments are rounded to this before they are compared; default not."),
        may("yield", STRENGTH, "Least yield strength of the material."),
        may("tensile", STRENGTH, "Least tensile strength of the material."),
    ],
};

/// `[equal.NAME]`.
pub static EQUAL: Table = Table {
    about: "Tubes at least as good as a given one.",
    keys: &[
        CLAUSE,
        KNOWN_KEY,
        SAYS,
        OF,
        must("od", LENGTH, "The given one's outside diameter."),
        must("wall", LENGTH, "Its wall."),
        may("youngs", STRENGTH, "Its Young's modulus; default 200 GPa."),
        must("yield", STRENGTH, "Its yield strength."),
        must("tensile", STRENGTH, "Its tensile strength."),
        may("welded_yield", STRENGTH, "Its yield strength as welded."),
        may("welded_tensile", STRENGTH, "Its tensile strength as welded."),
        may(
            "any_steel",
            Value::Flag,
            "Whether all steel counts as strong as the given one; default false: its own figures.",
        ),
        may("by", Value::List(1, &Value::Choice(MEASURES)), "What is compared; default all of it."),
    ],
};

/// `[bend.NAME]`.
pub static BEND: Table = Table {
    about: "How tubes are bent.",
    keys: &[
        CLAUSE,
        KNOWN_KEY,
        SAYS,
        OF,
        may("radius", PLAIN, "Least centreline radius, in outside diameters."),
        may("most", COUNT, "Most bends of a tube; 0: straight."),
        may("sum_least", SUM, "Least sum of its bends, degrees."),
        may("sum_most", SUM, "Largest sum of its bends, degrees."),
    ],
};

/// `[angle.NAME]`.
pub static ANGLE_TABLE: Table = Table {
    about: "The angle of straight legs to a direction, or to another tube where they meet.",
    keys: &[
        CLAUSE,
        KNOWN_KEY,
        SAYS,
        OF,
        may("from", Value::Choice(&["vertical", "level", "forward"]), "The direction."),
        may("with", ROLES, "Or the tubes that they meet: the angle between both there."),
        may("seen", Value::Choice(&["side", "front", "above"]), "Seen from there; default as it is in space."),
        may("above", ROLES, "Only legs above the highest place where these tubes meet them."),
        may("below", ROLES, "Only legs below it."),
        may("least", ANGLE, "Least angle, degrees."),
        may("most", ANGLE, "Largest angle, degrees."),
    ],
};

/// `[distance.NAME]`.
pub static DISTANCE: Table = Table {
    about: "A distance between places of tubes.",
    keys: &[
        CLAUSE,
        KNOWN_KEY,
        SAYS,
        OF,
        must(
            "at",
            Value::Choice(PLACES),
            "Which place of them: top, foot, joint (with the others) or anywhere: the nearest.",
        ),
        must("to", ROLES, "The tubes that it is measured to; the same role: from one foot to the other."),
        must("to_at", Value::Choice(PLACES), "Which place of those."),
        may("along", Value::Choice(&["x", "y", "z"]), "Along that axis alone; default straight."),
        may(
            "between",
            Value::Choice(&["centres", "insides", "outsides"]),
            "Between what of both tubes; default centres.",
        ),
        may("least", REACH, "Least distance."),
        may("most", REACH, "Largest distance."),
    ],
};

/// `[span.NAME]`.
pub static SPAN: Table = Table {
    about: "The longest stretch of a tube between places where others meet it.",
    keys: &[CLAUSE, KNOWN_KEY, SAYS, OF, must("most", LENGTH, "Largest stretch, between centres.")],
};

/// `[count.NAME]`.
pub static COUNT_TABLE: Table = Table {
    about: "How many tubes there are of a role.",
    keys: &[
        CLAUSE,
        KNOWN_KEY,
        SAYS,
        OF,
        may("each_side", Value::Flag, "Whether so many are wanted on each side of the centre plane; default false."),
        may("least", COUNT, "At least so many."),
        may("most", COUNT, "At most so many."),
    ],
};

/// `[room.NAME]`.
pub static ROOM: Table = Table {
    about: "Room round people.",
    keys: &[
        CLAUSE,
        KNOWN_KEY,
        SAYS,
        must(
            "of",
            Value::Choice(&[
                "helmet to line between hoops",
                "helmet to line to braces",
                "helmet behind main hoop",
                "helmet",
                "body",
            ]),
            "What is measured: helmet or body to the nearest tube, or the helmet to what the design's `limits.helmet` speaks of.",
        ),
        must("least", REACH, "Least distance."),
    ],
};

/// `[plate.NAME]`.
pub static PLATE: Table = Table {
    about: "Plates under the feet of tubes.",
    keys: &[
        CLAUSE,
        KNOWN_KEY,
        SAYS,
        OF,
        may("area", PLAIN, "Least area, mm² (in²)."),
        may("thickness", LENGTH, "Least thickness."),
        may("holes", COUNT, "Least number of holes."),
    ],
};

/// `[load.NAME]`.
pub static LOAD: Table = Table {
    about: "Loads that the design is worked out under.",
    keys: &[
        CLAUSE,
        KNOWN_KEY,
        SAYS,
        must("load", Value::Text, "How their names begin, as strength tells them."),
        may("moves", LENGTH, "How far any place may move."),
        may(
            "use",
            Value::Number(Quantity::Plain, Bounds::above(0.0, 100.0)),
            "Largest stress, as a part of the yield strength.",
        ),
        may("buckling", Value::Number(Quantity::Plain, Bounds::above(0.0, 1000.0)), "Least factor to buckling."),
        may("force", Value::Table(&WITH_MASS), "Least force that the load puts on, N."),
        may("energy", Value::Table(&WITH_MASS), "Least energy that is taken up as it is pushed past yielding, J."),
        may("mass_over", MASS, "Only for machines heavier than this."),
        may("mass_to", MASS, "Only for machines up to this."),
    ],
};

const MASS: Value = Value::Number(Quantity::Mass, Bounds::above(0.0, 1e6));

/// A figure that goes with the mass M in kg: `times` (M / `at`) to the `power`.
pub static WITH_MASS: Table = Table {
    about: "A figure that goes with the mass M in kg.",
    keys: &[
        must("times", PLAIN, "What it is at the mass `at`, in N or J."),
        may("at", MASS, "That mass; default 1 kg."),
        may("power", Value::Number(Quantity::Plain, Bounds::within(-10.0, 10.0)), "The power of M / `at`; default 1."),
    ],
};

/// `[by_eye.NAME]`.
pub static BY_EYE: Table = Table {
    about: "What a person must look at: it is listed, and never worked out.",
    keys: &[CLAUSE, KNOWN_KEY, must("says", Value::Text, "What it wants, in words.")],
};
