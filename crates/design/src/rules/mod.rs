//! Rule sets: what an organiser or authority wants of a frame, as data.
//!
//! A TOML file of its own. [`read`] turns its text into a [`RuleSet`]; `docs/rule-sets.md` describes it.

pub mod keys;
mod read;

pub use read::read;

use std::sync::Arc;

use crate::model::{Span, Units};

/// A set of rules.
#[derive(Clone, Debug, PartialEq)]
pub struct RuleSet {
    /// Its text.
    pub source: Arc<str>,
    /// Its name.
    pub name: String,
    /// Which edition its figures are of.
    pub edition: String,
    /// Who decides.
    pub whose: String,
    /// Units of its file.
    pub units: Units,
    /// What else must be known.
    pub note: Option<String>,
    /// Roles.
    pub roles: Vec<Role>,
    /// Rules, in the order of the file.
    pub rules: Vec<Rule>,
}

/// Index of a role in [`RuleSet::roles`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct RoleId(pub usize);

/// A role that tubes have.
#[derive(Clone, Debug, PartialEq)]
pub struct Role {
    /// Its name.
    pub name: String,
    /// Words of which a tube's own role holds one, in small letters.
    pub words: Vec<String>,
    /// Words of which it holds none.
    pub without: Vec<String>,
    /// It ends on a tube of this role.
    pub meets: Option<RoleId>,
    /// Which tube that is.
    pub about: Option<String>,
    /// Definition in the file.
    pub span: Span,
}

/// How a figure is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Known {
    /// Read in the published text.
    Text,
    /// Read as a quotation of it.
    SecondHand,
    /// From memory: a hint, no more.
    Memory,
    /// The user's own.
    Own,
}

impl Known {
    /// All, in the order of [`keys::KNOWN`].
    pub const ALL: [Known; 4] = [Known::Text, Known::SecondHand, Known::Memory, Known::Own];

    /// As the file says it.
    pub fn word(self) -> &'static str {
        keys::KNOWN[self as usize]
    }
}

/// A rule.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// Its name in the file.
    pub name: String,
    /// Where it stands in the text.
    pub clause: String,
    /// How its figures are known.
    pub known: Known,
    /// What it wants, in words.
    pub says: Option<String>,
    /// What it measures, and its limits.
    pub ask: Ask,
    /// Definition in the file.
    pub span: Span,
}

/// A least and a largest value, of which one may be missing.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Limits {
    /// At least this.
    pub least: Option<f64>,
    /// At most this.
    pub most: Option<f64>,
}

/// What a rule measures, and its limits. SI.
#[derive(Clone, Debug, PartialEq)]
#[allow(missing_docs)]
pub enum Ask {
    /// The section of tubes.
    Section { of: Vec<RoleId>, least: LeastSection },
    /// Tubes as good as a given one.
    Equal { of: Vec<RoleId>, given: Given, by: Vec<Measure> },
    /// Bends: the radius in outside diameters, how many, their sum (rad).
    Bend { of: Vec<RoleId>, radius: Option<f64>, most: Option<usize>, sum: Limits },
    /// Angles of legs, rad.
    Angle { of: Vec<RoleId>, to: AngleTo, seen: Option<Seen>, part: Option<Part>, limits: Limits },
    /// Distances between places, m.
    Distance {
        of: Vec<RoleId>,
        at: Place,
        to: Vec<RoleId>,
        to_at: Place,
        along: Option<usize>,
        between: Faces,
        limits: Limits,
    },
    /// Stretches without support, m.
    Span { of: Vec<RoleId>, most: f64 },
    /// Numbers of tubes.
    Count { of: Vec<RoleId>, each_side: bool, least: Option<usize>, most: Option<usize> },
    /// Room round people, m.
    Room { of: RoomOf, least: f64 },
    /// Plates under feet: area (m²), thickness (m), holes.
    Plate { of: Vec<RoleId>, area: Option<f64>, thickness: Option<f64>, holes: Option<usize> },
    /// Loads whose names begin so.
    Load { load: String, wants: LoadWants },
    /// What a person looks at.
    ByEye,
}

/// The least section, SI.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LeastSection {
    /// At least as large as one of these: outside diameter and wall, m.
    pub sizes: Vec<[f64; 2]>,
    /// Outside diameter, or a box's smaller side, m.
    pub od: Option<f64>,
    /// Wall, m.
    pub wall: Option<f64>,
    /// Area, m².
    pub area: Option<f64>,
    /// Second moment about the weakest axis, m⁴.
    pub inertia: Option<f64>,
    /// Areas are rounded to this, m².
    pub area_to: Option<f64>,
    /// Second moments are rounded to this, m⁴.
    pub inertia_to: Option<f64>,
    /// Yield strength, Pa.
    pub yield_strength: Option<f64>,
    /// Tensile strength, Pa.
    pub tensile_strength: Option<f64>,
}

/// What a load must keep to, SI.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LoadWants {
    /// How far any place may move, m.
    pub moves: Option<f64>,
    /// Largest stress as a part of the yield strength.
    pub stress: Option<f64>,
    /// Least factor to buckling.
    pub buckling: Option<f64>,
    /// Least force that it puts on, N.
    pub force: Option<WithMass>,
    /// Least energy that is taken up, J.
    pub energy: Option<WithMass>,
    /// Only for machines heavier than this, kg.
    pub mass_over: Option<f64>,
    /// Only for machines up to this, kg.
    pub mass_to: Option<f64>,
}

/// A figure that goes with the mass: `times` (M / `at`)^`power`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WithMass {
    /// What it is at `at`.
    pub times: f64,
    /// kg.
    pub at: f64,
    /// The power.
    pub power: f64,
}

impl WithMass {
    /// For a mass in kg.
    pub fn of(&self, mass: f64) -> f64 {
        self.times * (mass / self.at).powf(self.power)
    }
}

/// The tube that others must be as good as, SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Given {
    /// Outside diameter, m.
    pub od: f64,
    /// Wall, m.
    pub wall: f64,
    /// Young's modulus, Pa.
    pub youngs: f64,
    /// Yield strength, Pa.
    pub yield_strength: f64,
    /// Tensile strength, Pa.
    pub tensile_strength: f64,
    /// Yield strength as welded, Pa.
    pub welded_yield: Option<f64>,
    /// Tensile strength as welded, Pa.
    pub welded_tensile: Option<f64>,
    /// Whether all steel counts as strong as this.
    pub any_steel: bool,
}

/// What equivalence is measured by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// E I about the weakest axis, which buckling goes with, too.
    BendingStiffness,
    /// Area of steel.
    Area,
    /// Area times yield strength.
    TensionYield,
    /// Area times tensile strength.
    TensionUltimate,
    /// Elastic modulus times yield strength.
    BendingYield,
    /// Elastic modulus times tensile strength.
    BendingUltimate,
    /// Bent in the middle up to its tensile strength, as if it stayed straight-lined.
    Energy,
}

impl Measure {
    /// All, in the order of [`keys::MEASURES`].
    pub const ALL: [Measure; 7] = [
        Measure::BendingStiffness,
        Measure::Area,
        Measure::TensionYield,
        Measure::TensionUltimate,
        Measure::BendingYield,
        Measure::BendingUltimate,
        Measure::Energy,
    ];

    /// As the file says it.
    pub fn word(self) -> &'static str {
        keys::MEASURES[self as usize]
    }
}

/// What an angle is measured to.
#[derive(Clone, Debug, PartialEq)]
pub enum AngleTo {
    /// Upward.
    Vertical,
    /// The level plane.
    Level,
    /// Forward.
    Forward,
    /// Tubes that meet it.
    Tubes(Vec<RoleId>),
}

/// Where an angle is seen from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seen {
    /// From the side: along y.
    Side,
    /// From the front: along x.
    Front,
    /// From above: along z.
    Above,
}

/// A part of a tube.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Legs above, or below.
    pub above: bool,
    /// The highest place where these meet it.
    pub of: Vec<RoleId>,
}

/// A place of a tube.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Its highest.
    Top,
    /// Its ends in the lowest quarter of its height.
    Foot,
    /// Where it meets the other.
    Joint,
    /// Wherever it is nearest.
    Anywhere,
}

/// Between what of two tubes a distance is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Faces {
    /// Their axes.
    Centres,
    /// The faces that look to each other.
    Insides,
    /// The faces that look away from each other.
    Outsides,
}

/// What room is measured of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RoomOf {
    /// The helmet to the line from one hoop's top to the other's.
    BetweenHoops,
    /// The helmet to the line from the main hoop's top to the feet of its braces.
    ToBraces,
    /// The helmet to the main hoop's rear face, where its braces run forward.
    BehindMainHoop,
    /// The helmet to the nearest tube.
    Helmet,
    /// Any part of the body to the nearest tube.
    Body,
}
