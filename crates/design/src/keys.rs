//! The one definition of the file's tables and keys.
//!
//! The reader takes its known keys, required keys, choices and bounds from here; the JSON Schema is assembled from the
//! same definition; and a test holds `docs/design-file.md` to it. So the three cannot drift apart.

mod jig;
mod shop;
mod standing;
mod strength;

use crate::units::Quantity;

pub use jig::*;
pub use shop::*;
pub use standing::*;
pub use strength::*;

/// How a table stands at the top of the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Once: `[design]`.
    Once,
    /// Any number, by name: `[tube.NAME]`.
    Named,
    /// A table whose keys are the names: `[point]`.
    Entries,
}

/// A table at the top of the file.
#[derive(Debug)]
pub struct Top {
    /// Its name.
    pub name: &'static str,
    /// How it stands.
    pub form: Form,
    /// Whether a file must have it.
    pub required: bool,
    /// Most entries of a named table: a file beyond it is a mistake, and is refused before it costs time.
    pub most: usize,
    /// Its keys.
    pub table: &'static Table,
}

/// A set of keys.
#[derive(Debug)]
pub struct Table {
    /// One line on it.
    pub about: &'static str,
    /// The keys.
    pub keys: &'static [Key],
}

impl Table {
    /// The key of that name.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|k| k.name == name)
    }
}

/// A key.
#[derive(Debug)]
pub struct Key {
    /// Its name.
    pub name: &'static str,
    /// Whether it must be given.
    pub required: bool,
    /// What may stand there.
    pub value: Value,
    /// One line on it.
    pub about: &'static str,
}

/// What may stand at a key.
#[derive(Debug)]
pub enum Value {
    /// Text.
    Text,
    /// `true` or `false`.
    Flag,
    /// One of these words.
    Choice(&'static [&'static str]),
    /// One of these whole numbers.
    WholeChoice(&'static [i64]),
    /// A whole number between two.
    Count(i64, i64),
    /// A quantity within bounds, which are in SI (degrees for angles).
    Number(Quantity, Bounds),
    /// So many quantities, all within the bounds.
    Numbers(usize, Quantity, Bounds),
    /// The name of something.
    Name(Kind),
    /// The name of something of any of these kinds; the first that has it is meant.
    NameOf(&'static [Kind]),
    /// Some of the letters x, y and z.
    Axes,
    /// The name of a built-in section.
    Size,
    /// A list of at least so many.
    List(usize, &'static Value),
    /// A table.
    Table(&'static Table),
    /// Any of these.
    Either(&'static [Value]),
}

/// Kinds of thing that have a name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// `[material.NAME]` or built in.
    Material,
    /// `[section.NAME]`.
    Section,
    /// A key of `[point]`, or its twin.
    Point,
    /// `[tube.NAME]`, or its twin.
    Tube,
    /// `[plate.NAME]`, or its twin.
    Plate,
    /// `[die.NAME]`.
    Die,
    /// `[mass.NAME]`, or its twin.
    Mass,
    /// `[wheel.NAME]`.
    Wheel,
    /// `[occupant.NAME]`, or its twin.
    Occupant,
    /// `[supplier.NAME]`.
    Supplier,
}

impl Kind {
    /// The table that defines it.
    pub fn table(self) -> &'static str {
        match self {
            Kind::Material => "material",
            Kind::Section => "section",
            Kind::Point => "point",
            Kind::Tube => "tube",
            Kind::Plate => "plate",
            Kind::Die => "die",
            Kind::Mass => "mass",
            Kind::Wheel => "wheel",
            Kind::Occupant => "occupant",
            Kind::Supplier => "supplier",
        }
    }
}

/// Bounds of a number.
#[derive(Clone, Copy, Debug)]
pub struct Bounds {
    /// Lowest value.
    pub least: f64,
    /// Whether the lowest value itself is out.
    pub above: bool,
    /// Highest value.
    pub most: f64,
}

impl Bounds {
    pub(crate) const fn within(least: f64, most: f64) -> Bounds {
        Bounds { least, above: false, most }
    }

    pub(crate) const fn above(least: f64, most: f64) -> Bounds {
        Bounds { least, above: true, most }
    }

    /// Whether a value is inside; a NaN is not.
    pub fn hold(&self, value: f64) -> bool {
        value <= self.most && if self.above { value > self.least } else { value >= self.least }
    }
}

/// Nothing that a workshop welds is a kilometre long: beyond it a number is a slip.
pub const LONGEST: f64 = 1000.0;
/// Nor is a tube a metre thick.
const WIDEST: f64 = 1.0;
/// A thousand tonnes.
const HEAVIEST: f64 = 1e6;

const LENGTH: Value = Value::Number(Quantity::Length, Bounds::above(0.0, LONGEST));
const LENGTH_OR_NONE: Value = Value::Number(Quantity::Length, Bounds::within(0.0, LONGEST));
const COORDINATE: Value = Value::Number(Quantity::Length, ANYWHERE);
const ACROSS: Value = Value::Number(Quantity::Length, Bounds::above(0.0, WIDEST));
const ANYWHERE: Bounds = Bounds::within(-LONGEST, LONGEST);
/// Three lengths.
pub const COORDINATES: Value = Value::Numbers(3, Quantity::Length, ANYWHERE);
/// Two lengths.
pub const FLAT: Value = Value::Numbers(2, Quantity::Length, ANYWHERE);
/// Three plain numbers.
pub const DIRECTION: Value = Value::Numbers(3, Quantity::Plain, Bounds::within(-1e6, 1e6));
const MASS: Value = Value::Number(Quantity::Mass, Bounds::above(0.0, HEAVIEST));
/// Up to 100 GPa: no metal is stronger.
const STRENGTH: Value = Value::Number(Quantity::Stress, Bounds::above(0.0, 100e9));
/// From 1 GPa, so that 210 (GPa meant, MPa said) is caught.
const MODULUS: Value = Value::Number(Quantity::Stress, Bounds::within(1e9, 1e12));
const TURN: Value = Value::Number(Quantity::Angle, Bounds::within(-360.0, 360.0));
const BEND: Value = Value::Number(Quantity::Angle, Bounds::above(0.0, 180.0));
/// A point's name or coordinates.
pub const PLACE: Value = Value::Either(&[Value::Name(Kind::Point), COORDINATES]);
const POINT: Value = Value::Name(Kind::Point);

pub(crate) const fn must(name: &'static str, value: Value, about: &'static str) -> Key {
    Key { name, required: true, value, about }
}

pub(crate) const fn may(name: &'static str, value: Value, about: &'static str) -> Key {
    Key { name, required: false, value, about }
}

pub(crate) const fn named(name: &'static str, most: usize, table: &'static Table) -> Top {
    Top { name, form: Form::Named, required: false, most, table }
}

const fn once(name: &'static str, required: bool, table: &'static Table) -> Top {
    Top { name, form: Form::Once, required, most: 1, table }
}

/// Every table of the file, in the order in which a file is best read.
pub static TOPS: &[Top] = &[
    once("design", true, &DESIGN),
    named("material", 1000, &MATERIAL),
    named("section", 1000, &SECTION),
    Top { name: "point", form: Form::Entries, required: false, most: 100_000, table: &POINT_TABLE },
    named("tube", 20_000, &TUBE),
    named("plate", 10_000, &PLATE),
    named("mass", 10_000, &MASS_TABLE),
    named("wheel", 100, &WHEEL),
    named("occupant", 100, &OCCUPANT),
    once("notcher", false, &NOTCHER),
    named("die", 1000, &DIE),
    once("rack", false, &RACK),
    named("supplier", 100, &SUPPLIER),
    named("stage", 1000, &STAGE),
    once("jig", false, &JIG),
    once("rules", false, &RULES),
    once("limits", false, &LIMITS),
    named("stance", 100, &STANCE),
    named("opening", 100, &OPENING),
    named("skin", 100, &SKIN),
    named("curve", 100, &CURVE),
    named("measure", 1000, &MEASURE),
    named("obstacle", 100, &OBSTACLE),
    once("rollover", false, &ROLLOVER),
    named("mount", 10_000, &MOUNT),
    named("load", 1000, &LOAD),
    once("strength", false, &STRENGTH_TABLE),
];

/// The table of that name at the top of the file.
pub fn top(name: &str) -> Option<&'static Top> {
    TOPS.iter().find(|t| t.name == name)
}

/// `[design]`.
pub static DESIGN: Table = Table {
    about: "What the design is called, and how it is measured.",
    keys: &[
        must("name", Value::Text, "Name of the design."),
        may("units", Value::Choice(&["mm", "in"]), "Units of lengths in this file and on paper; default mm."),
        may("datum", Value::Table(&DATUM), "The height that shop drawings measure from; default { z = 0 }."),
        may("paper", Value::Choice(&["A4", "Letter"]), "Default A4 for mm, Letter for inches."),
        may("by", Value::Text, "Who made it, for the cover."),
        may("note", Value::Text, "For the cover."),
    ],
};

/// `design.datum`.
pub static DATUM: Table = Table {
    about: "The height that shop drawings measure from.",
    keys: &[
        may("under", Value::Name(Kind::Tube), "The lowest point of this tube's surface."),
        may("over", Value::Name(Kind::Tube), "The highest point of this tube's surface."),
        may("z", COORDINATE, "A fixed height."),
    ],
};

/// `[material.NAME]`.
pub static MATERIAL: Table = Table {
    about: "A material.",
    keys: &[
        must("yield", STRENGTH, "Yield strength."),
        must("tensile", STRENGTH, "Tensile strength."),
        may("youngs", MODULUS, "Young's modulus; default 210 GPa."),
        may("shear", MODULUS, "Shear modulus; default youngs / (2 (1 + poisson))."),
        may("poisson", Value::Number(Quantity::Plain, Bounds::within(0.0, 0.5)), "Poisson's ratio; default 0.3."),
        may(
            "density",
            Value::Number(Quantity::Density, Bounds::within(100.0, 30_000.0)),
            "Density in kg/m³; default 7850.",
        ),
        may(
            "elongation",
            Value::Number(Quantity::Percent, Bounds::within(0.0, 1.0)),
            "Elongation at break in per cent.",
        ),
        may("source", Value::Text, "Where the figures come from."),
    ],
};

/// `[section.NAME]`.
pub static SECTION: Table = Table {
    about: "A section of tube.",
    keys: &[
        may("shape", Value::Choice(&["round", "box"]), "Round, or square and rectangular."),
        may("od", ACROSS, "Round: outside diameter."),
        may("wall", ACROSS, "Wall thickness."),
        may("width", ACROSS, "Box: outside width."),
        may("height", ACROSS, "Box: outside height, along the section's upright direction."),
        may(
            "corner",
            Value::Number(Quantity::Length, Bounds::within(0.0, WIDEST)),
            "Box: outside corner radius; default twice the wall.",
        ),
        may("size", Value::Size, "A built-in size, in place of the dimensions."),
        must("material", Value::Name(Kind::Material), "Name of the material."),
    ],
};

/// A point that is not given by coordinates.
pub static POINT_TABLE: Table = Table {
    about: "A point on a tube, or at an offset from another point.",
    keys: &[
        may("on", Value::Name(Kind::Tube), "The tube whose centreline it is on."),
        may("at", COORDINATE, "Distance along the centreline from its start, or from its end if negative."),
        may("part", Value::Number(Quantity::Plain, Bounds::within(0.0, 1.0)), "Fraction of the centreline."),
        may("x", COORDINATE, "Where the centreline crosses this x."),
        may("y", COORDINATE, "Where the centreline crosses this y."),
        may("z", COORDINATE, "Where the centreline crosses this z."),
        may("pick", Value::Count(1, 1000), "Which crossing, counted from the tube's start."),
        may("from", POINT, "The point that the offset is from."),
        may("by", COORDINATES, "Offset."),
    ],
};

/// `[tube.NAME]`.
pub static TUBE: Table = Table {
    about: "A tube. Tubes are fitted in the order of the file.",
    keys: &[
        must("section", Value::Name(Kind::Section), "Name of the section."),
        must("path", Value::List(2, &POINT), "Points in order, from start to end; bent at the inner ones."),
        may("bend_radius", Value::Either(&[LENGTH, Value::List(0, &LENGTH)]), "Centreline radius of the bends."),
        may("die", Value::Name(Kind::Die), "The die that bends it."),
        may("mirror", Value::Flag, "Whether the twin on the other side exists too."),
        may("start", Value::Table(&END), "How the start is cut."),
        may("end", Value::Table(&END), "How the end is cut."),
        may("roll", TURN, "Box: turn of the section about its axis in degrees, right-handed from start to end."),
        may("provisional", Value::Flag, "Drawn and weighed, but not cut."),
        may("temporary", Value::Flag, "Holds the frame while it is built; not in mass or strength."),
        may("out_after", Value::Name(Kind::Tube), "Temporary: cut out after this tube is in; default the last one."),
        may("splice", LENGTH, "May be joined from two parts if no stick is long enough, neither shorter than this."),
        may("hard", Value::Flag, "Whether it holds when the car lies on it; default true."),
        may("role", Value::Text, "Role in the frame."),
        may("note", Value::Text, "Printed on the piece's card."),
    ],
};

/// `start` or `end` of a tube.
pub static END: Table = Table {
    about: "How an end is cut, where the order rule is not what is wanted.",
    keys: &[
        may("cut", Value::Choice(&["cope", "mitre", "square", "plane"]), "Kind of cut."),
        may("to", Value::List(1, &Value::Name(Kind::Tube)), "Tubes to cope to, or the one tube to mitre with."),
        may("plane", Value::Table(&PLANE), "For a plane cut."),
        may("gap", LENGTH_OR_NONE, "Root gap of this end."),
        may("long", LENGTH_OR_NONE, "Left square and this much longer than its longest point."),
    ],
};

/// `plane` of an end.
pub static PLANE: Table = Table {
    about: "A plane.",
    keys: &[
        may("x", COORDINATE, "The plane at this x."),
        may("y", COORDINATE, "The plane at this y."),
        may("z", COORDINATE, "The plane at this z."),
        may("point", POINT, "A point of the plane."),
        may("normal", DIRECTION, "The plane's normal, with `point`."),
        may("plate", Value::Name(Kind::Plate), "The near face of this plate."),
    ],
};

/// `[plate.NAME]`.
pub static PLATE: Table = Table {
    about: "A flat plate.",
    keys: &[
        must("thickness", ACROSS, "Thickness."),
        must("material", Value::Name(Kind::Material), "Name of the material."),
        must(
            "outline",
            Value::Either(&[Value::List(3, &POINT), Value::Table(&OUTLINE)]),
            "Corners in order: points, or flat coordinates from an origin.",
        ),
        may("side", Value::Choice(&["above", "below"]), "On one side of its outline's plane; default centred on it."),
        may("holes", Value::List(0, &Value::Table(&HOLE)), "Round holes."),
        may("mirror", Value::Flag, "Whether the twin on the other side exists too."),
        may("note", Value::Text, "Printed on its drawing."),
    ],
};

/// `outline` of a plate in flat coordinates.
pub static OUTLINE: Table = Table {
    about: "An outline in flat coordinates.",
    keys: &[
        must("origin", POINT, "Where flat coordinates count from."),
        must("x", DIRECTION, "First direction."),
        must("y", DIRECTION, "Second direction; only its part square to the first counts."),
        must("corners", Value::List(3, &FLAT), "Corners in order."),
    ],
};

/// A hole of a plate.
pub static HOLE: Table = Table {
    about: "A round hole.",
    keys: &[must("at", Value::Either(&[POINT, FLAT]), "Flat coordinates, or a point."), must("d", ACROSS, "Diameter.")],
};

/// `[mass.NAME]`.
pub static MASS_TABLE: Table = Table {
    about: "A mass that rides on the frame.",
    keys: &[
        must("at", PLACE, "Its centre: a point's name or coordinates."),
        must("kg", MASS, "Its mass."),
        may(
            "size",
            Value::Numbers(3, Quantity::Length, Bounds::within(0.0, LONGEST)),
            "Length, width and height of a box centred there; default a point.",
        ),
        may("mirror", Value::Flag, "Whether the twin on the other side exists too."),
        may("hard", Value::Flag, "Whether it counts in rollover; default true."),
        may("note", Value::Text, "Free text."),
    ],
};

/// `[wheel.NAME]`.
pub static WHEEL: Table = Table {
    about: "A wheel.",
    keys: &[
        must("at", PLACE, "Hub centre: a point's name or coordinates."),
        must("radius", LENGTH, "Radius of the tyre without load."),
        must("width", LENGTH, "Width of the tyre."),
        must("kg", MASS, "Its mass."),
        may("loaded", LENGTH, "From the hub to the ground under load; default `radius`."),
        may("bump", LENGTH_OR_NONE, "How far the hub can rise above its drawn place; default 0."),
        may("droop", LENGTH_OR_NONE, "How far the hub can drop under its drawn place; default 0."),
        may("steer", STEER, "How far it turns to each side in degrees; default 0."),
        may("spring", Value::Table(&SPRING), "Its spring, as felt at the wheel."),
        may("tyre_rate", RATE, "Load per squash of the tyre; `loaded` then follows from the load."),
        may("mirror", Value::Flag, "Whether the twin on the other side exists too."),
    ],
};

/// `[occupant.NAME]`.
pub static OCCUPANT: Table = Table {
    about: "A seated person.",
    keys: &[
        must("hip", PLACE, "Middle of the hip joints: a point's name or coordinates."),
        may("stature", Value::Number(Quantity::Length, Bounds::within(0.5, 2.5)), "Standing height."),
        may("kg", Value::Number(Quantity::Mass, Bounds::within(10.0, 400.0)), "Mass."),
        may("sex", Value::Choice(&["male", "female"]), "Whose proportions; default male."),
        may(
            "percentile",
            Value::Number(Quantity::Plain, Bounds::within(1.0, 99.0)),
            "In place of `stature`: as tall as this percentage of the survey, and as heavy unless `kg` is given.",
        ),
        may("figure", Value::Choice(&["person", "template"]), "A person, or the rules' template; default person."),
        may("hands", PLACE, "Where the left hand holds on; the right one holds at the twin. Default: on the thighs."),
        may(
            "back",
            Value::Number(Quantity::Angle, Bounds::within(-90.0, 90.0)),
            "Torso from vertical in degrees, leaning backward positive; default 15.",
        ),
        may(
            "thigh",
            Value::Number(Quantity::Angle, Bounds::within(-90.0, 120.0)),
            "Thigh above horizontal in degrees; default 10.",
        ),
        may(
            "knee",
            Value::Number(Quantity::Angle, Bounds::within(20.0, 180.0)),
            "Between thigh and shin in degrees, 180 is straight; default 120.",
        ),
        may("helmet", Value::Number(Quantity::Length, Bounds::within(0.0, WIDEST)), "Diameter; default 300 mm."),
        may("mirror", Value::Flag, "Whether the twin on the other side exists too."),
    ],
};

/// Other words that people try for a key, by the key that is meant.
pub static ALIASES: &[(&str, &str)] = &[
    ("diameter", "od"),
    ("dia", "od"),
    ("outside", "od"),
    ("radius", "bend_radius"),
    ("clr", "bend_radius"),
    ("bend", "bend_radius"),
    ("thickness", "wall"),
    ("thick", "wall"),
    ("gauge", "wall"),
    ("points", "path"),
    ("profile", "section"),
    ("symmetric", "mirror"),
    ("mirrored", "mirror"),
    ("twin", "mirror"),
    ("mass", "kg"),
    ("weight", "kg"),
    ("notch", "cut"),
    ("type", "shape"),
    ("rotation", "roll"),
    ("twist", "roll"),
    ("qty", "count"),
    ("quantity", "count"),
    ("cost", "price"),
    ("title", "name"),
    ("position", "at"),
    ("offset", "by"),
    ("author", "by"),
    ("comment", "note"),
    ("stress", "yield"),
    ("steel", "material"),
    ("grade", "material"),
    ("e", "youngs"),
    ("height", "stature"),
    ("max", "most"),
    ("maximum", "most"),
    ("supports", "held"),
    ("fixed", "held"),
    ("utilisation", "use"),
];

#[cfg(test)]
mod tests {
    use super::*;

    fn every_table(visit: &mut dyn FnMut(&'static Table)) {
        fn within(value: &'static Value, visit: &mut dyn FnMut(&'static Table)) {
            match value {
                Value::Table(t) => table(t, visit),
                Value::List(_, of) => within(of, visit),
                Value::Either(all) => all.iter().for_each(|v| within(v, visit)),
                _ => {}
            }
        }
        fn table(t: &'static Table, visit: &mut dyn FnMut(&'static Table)) {
            visit(t);
            t.keys.iter().for_each(|k| within(&k.value, visit));
        }
        TOPS.iter().for_each(|t| table(t.table, visit));
    }

    #[test]
    fn keys_are_unique_and_explained() {
        every_table(&mut |t| {
            for (i, key) in t.keys.iter().enumerate() {
                assert!(key.about.ends_with('.'), "{}", key.name);
                assert!(t.keys[..i].iter().all(|k| k.name != key.name), "{} twice in {}", key.name, t.about);
            }
        });
    }

    #[test]
    fn the_page_on_the_file_names_every_key() {
        let page = include_str!("../../../docs/design-file.md");
        every_table(&mut |t| {
            for key in t.keys {
                let found = page.contains(&format!("`{}`", key.name))
                    || page.contains(&format!("{} =", key.name))
                    || page.contains(&format!(".{}]]", key.name));
                assert!(found, "docs/design-file.md says nothing of `{}` ({})", key.name, t.about);
            }
        });
        for top in TOPS {
            assert!(page.contains(&format!("[{}", top.name)), "docs/design-file.md says nothing of [{}]", top.name);
        }
    }

    #[test]
    fn aliases_lead_to_keys() {
        for (word, key) in ALIASES {
            let mut found = false;
            every_table(&mut |t| found |= t.key(key).is_some());
            assert!(found, "{word} leads to {key}, which no table has");
        }
    }
}
