//! Keys of how the car stands, of the room round the person, and of going over.

use super::*;

pub(super) const RATE: Value = Value::Number(Quantity::Rate, Bounds::above(0.0, 1e9));
pub(super) const STEER: Value = Value::Number(Quantity::Angle, Bounds::within(0.0, 80.0));
pub(super) const TILT: Value = Value::Number(Quantity::Angle, Bounds::within(0.0, 90.0));
pub(super) const OPENING_SIZE: Value = Value::Numbers(2, Quantity::Length, Bounds::above(0.0, 10.0));
const FRACTION: Value = Value::Number(Quantity::Plain, Bounds::within(0.0, 1.0));

/// `spring` of a wheel.
pub static SPRING: Table = Table {
    about: "A wheel's spring, as felt at the wheel.",
    keys: &[
        must("rate", RATE, "Load on the wheel per travel of the hub."),
        must("free", COORDINATE, "How far under its drawn place the hub hangs when the spring carries nothing."),
    ],
};

/// `[stance.NAME]`.
pub static STANCE: Table = Table {
    about: "A way for the car to stand.",
    keys: &[
        may("wheels", Value::List(1, &Value::Table(&STANCE_WHEEL)), "Wheels that differ from what is drawn."),
        may("stands", Value::List(3, &Value::Table(&STAND)), "What the frame rests on in place of its wheels."),
        may("without", Value::List(1, &Value::Text), "Names of masses and occupants that are not on board."),
        may(
            "wheels_off",
            Value::Flag,
            "On stands: whether no wheels are fitted, so that they are not weighed; default false.",
        ),
        may("part", Value::List(1, &Value::Table(&PART)), "Masses of which only a part is on board."),
        may("springs", Value::Flag, "Whether hubs move until their springs carry the load; default false."),
        may("note", Value::Text, "Free text."),
    ],
};

/// A wheel of a stance.
pub static STANCE_WHEEL: Table = Table {
    about: "A wheel and its twin in a stance.",
    keys: &[
        must("wheel", Value::Name(Kind::Wheel), "Name of the wheel."),
        may("hub", COORDINATE, "How far the hub stands above its drawn place, negative below; default 0."),
        may("radius", LENGTH, "Radius of another tyre."),
        may("loaded", LENGTH, "Radius under load in this stance."),
    ],
};

/// A stand.
pub static STAND: Table = Table {
    about: "A stand under a tube.",
    keys: &[
        must("under", Value::Name(Kind::Tube), "The tube that rests on it."),
        must("x", COORDINATE, "Where along the frame."),
        may("height", LENGTH_OR_NONE, "Height of the tube's underside over the ground; this or `top`."),
        may("top", LENGTH, "Height of the tube's top over the ground; this or `height`."),
        may("shim", LENGTH_OR_NONE, "Thickness of what lies between stand and tube; default 0."),
        may("foot", LENGTH_OR_NONE, "Thickness of the plate under the stand; default 0."),
        may("floor", COORDINATE, "How much higher than the level the floor was measured there; default 0."),
        may("section", Value::Name(Kind::Section), "What the stand is cut from."),
    ],
};

/// A part of a mass.
pub static PART: Table = Table {
    about: "A mass of which only a part is on board.",
    keys: &[must("mass", Value::Name(Kind::Mass), "Name of the mass."), must("part", FRACTION, "From 0 to 1.")],
};

/// `[opening.NAME]`.
pub static OPENING: Table = Table {
    about: "A way out.",
    keys: &[
        must("edge", Value::List(3, &POINT), "Points at its corners, in order."),
        may("inset", LENGTH_OR_NONE, "From the lines between them inward to the clear edge: half a tube; default 0."),
        may("closed", Value::Choice(&["breaks", "lifts"]), "By a panel that breaks or lifts out; default open."),
        may("mirror", Value::Flag, "Whether the twin on the other side exists too."),
        may("note", Value::Text, "Free text."),
    ],
};

/// `[skin.NAME]`.
pub static SKIN: Table = Table {
    about: "A body panel or another given surface.",
    keys: &[
        must("file", Value::Text, "Path of the mesh (STL, OBJ, glTF), from the design's folder."),
        must("unit", Value::Choice(&["mm", "cm", "m", "in", "ft"]), "What one unit of the mesh is."),
        may("at", COORDINATES, "Where the mesh's origin is; default [0, 0, 0]."),
        may(
            "turn",
            Value::Numbers(3, Quantity::Angle, Bounds::within(-360.0, 360.0)),
            "Turns about x, then y, then z in degrees; default none.",
        ),
        may("mirror", Value::Flag, "Whether its mirror image stands on the other side too."),
        may("hard", Value::Flag, "Whether it holds when the car lies on it; default false."),
        may("gap", LENGTH_OR_NONE, "Least distance wanted between it and any tube; default 0."),
        may("rides", Value::Name(Kind::Wheel), "The wheel that it moves with; default with the frame."),
        may("parts", Value::List(1, &Value::Text), "The mesh's named parts that count; default all."),
    ],
};

/// `[curve.NAME]`.
pub static CURVE: Table = Table {
    about: "A curve to be turned into a bent tube: an aid to drawing, without weight.",
    keys: &[
        may("points", Value::List(2, &PLACE), "What it runs through: names of points, or coordinates."),
        may("file", Value::Text, "In their place: path of a text file of x, y, z, from the design's folder."),
        may("line", Value::Choice(&["smooth", "straight"]), "How it runs from point to point; default smooth."),
        may("within", LENGTH, "How far a tube may be from it; default 5 mm."),
        may("die", Value::Name(Kind::Die), "The die that bends the tube."),
        may("mirror", Value::Flag, "Whether its mirror image is meant too."),
        may("note", Value::Text, "Free text."),
    ],
};

/// `[measure.NAME]`.
pub static MEASURE: Table = Table {
    about: "A named measure.",
    keys: &[
        must("from", Value::Table(&MEASURED), "From what."),
        must("to", Value::Table(&MEASURED), "To what."),
        may("angle", Value::Flag, "The angle between, not the distance."),
        may("along", Value::Choice(&["x", "y", "z"]), "The distance along this axis only, with its sign."),
        may("wanted", COORDINATE, "Wanted distance, with `within`."),
        may("within", LENGTH_OR_NONE, "How far it may differ from `wanted`."),
        may("least", COORDINATE, "Least distance wanted."),
        may("most", COORDINATE, "Largest distance wanted."),
        may("least_angle", TILT, "Least angle wanted in degrees."),
        may("most_angle", TILT, "Largest angle wanted in degrees."),
        may("note", Value::Text, "Free text."),
    ],
};

/// `from` and `to` of a measure.
pub static MEASURED: Table = Table {
    about: "What is measured: one of these.",
    keys: &[
        may("point", POINT, "A point."),
        may("tube", Value::Name(Kind::Tube), "A tube: its surface, or its line for angles."),
        may("plane", Value::Table(&PLANE), "A plane."),
        may("ground", Value::Flag, "The ground of each stance."),
        may("datum", Value::Flag, "The plane that shop heights are measured from."),
    ],
};

/// `[obstacle.NAME]`.
pub static OBSTACLE: Table = Table {
    about: "Something to drive over: one of hump, kerb, ramp, profile.",
    keys: &[
        may("hump", Value::Table(&HUMP), "A hump with a round top."),
        may("kerb", LENGTH, "Height of a kerb up onto a level."),
        may("ramp", Value::Table(&RAMP), "A ramp up onto a level."),
        may("profile", Value::List(2, &FLAT), "Distances along the road and heights."),
        may("clearance", LENGTH_OR_NONE, "Least clearance wanted on the way; default 0."),
    ],
};

/// `hump` of an obstacle.
pub static HUMP: Table = Table {
    about: "A hump with a round top: an arc of a circle.",
    keys: &[must("length", LENGTH, "Length along the road."), must("height", LENGTH, "Height.")],
};

/// `ramp` of an obstacle.
pub static RAMP: Table = Table {
    about: "A ramp up onto a level.",
    keys: &[
        must("height", LENGTH, "Height."),
        must("angle", Value::Number(Quantity::Angle, Bounds::above(0.0, 89.0)), "Slope in degrees."),
    ],
};

const SPEEDS: Value = Value::Numbers(2, Quantity::Plain, Bounds::within(0.0, 100.0));

/// `[rollover]`.
pub static ROLLOVER: Table = Table {
    about: "Settings of rollover.",
    keys: &[
        may("soft", LENGTH_OR_NONE, "How far hard things sink into soft ground; default 50 mm."),
        may("marginal", LENGTH_OR_NONE, "An attitude with less margin is called marginal; default 20 mm."),
        may(
            "edge",
            Value::Numbers(2, Quantity::Length, Bounds::within(0.0, 10.0)),
            "Lowest and highest edge over the ground that may slide over the nose; if given, every check follows it.",
        ),
        may("tumbles", Value::Count(0, 1_000_000), "How many; default 2000."),
        may("seed", Value::Count(0, 4_294_967_295), "Of the random numbers; default 1."),
        may("speed", SPEEDS, "Least and largest speed in m/s; default 3 to 20."),
        may("spin", SPEEDS, "Least and largest rate of turning in rad/s; default 1 to 8."),
        may(
            "friction",
            Value::Numbers(2, Quantity::Plain, Bounds::within(0.0, 3.0)),
            "Least and largest friction; default 0.4 to 0.9.",
        ),
        may(
            "slope",
            Value::Number(Quantity::Angle, Bounds::within(0.0, 60.0)),
            "Steepest slope in degrees; default 20.",
        ),
    ],
};
