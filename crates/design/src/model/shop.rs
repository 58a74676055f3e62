//! The shop: notcher, dies, steel, stages, limits.

use super::{SectionId, Span, SupplierId, TubeRef};

/// A hole saw at hand.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Saw {
    /// Diameter, m.
    pub od: f64,
    /// Usable depth, m.
    pub depth: f64,
}

/// What the shop's notcher shows, and the saws at hand.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Notcher {
    /// Whether the scale reads 90 (and not 0) when the tube stands square to the saw.
    pub square_reads_90: bool,
    /// Saws at hand; empty if the file does not say.
    pub saws: Vec<Saw>,
}

/// One test bend.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct TestBend {
    /// Angle bent to, rad.
    pub set: f64,
    /// Angle that stayed, rad.
    pub got: f64,
}

/// A bending die.
#[derive(Clone, Debug, PartialEq)]
pub struct Die {
    /// Name in the file.
    pub name: String,
    /// Tube that it takes, outside diameter, m.
    pub od: f64,
    /// Centreline radius as the finished bend measures, m.
    pub radius: f64,
    /// Straight length that the clamp needs ahead of the first bend, m.
    pub grip: f64,
    /// Least straight between two bends, m.
    pub between: f64,
    /// Largest angle that the bender can be set to, springback included, rad.
    pub max_angle: Option<f64>,
    /// From the mark to the start of the bend, m.
    pub offset: f64,
    /// Test bends, by rising angle.
    pub tests: Vec<TestBend>,
    /// Definition in the file.
    pub span: Span,
}

/// Sticks of one kind, on hand or to be had.
#[derive(Clone, Debug, PartialEq)]
pub struct Stick {
    /// Section.
    pub section: SectionId,
    /// Length, m.
    pub length: f64,
    /// How many are on hand; `None`: can be bought, any number.
    pub count: Option<u32>,
    /// Those on hand are paid for, but not here yet.
    pub ordered: bool,
    /// Price, of what `per` says.
    pub price: f64,
    /// What the price is for.
    pub per: Per,
    /// What the seller takes for each piece that is cut from one.
    pub cut_fee: f64,
    /// Who sells it.
    pub supplier: Option<SupplierId>,
    /// Where it stands, or its mark.
    pub place: Option<String>,
    /// Definition in the file.
    pub span: Span,
}

impl Stick {
    /// What one costs, the seller's cuts not counted.
    pub fn cost(&self) -> f64 {
        match self.per {
            Per::Stick => self.price,
            Per::Metre => self.price * self.length,
            Per::Foot => self.price * self.length / FOOT,
        }
    }
}

/// m.
const FOOT: f64 = 0.3048;

/// What a price is for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Per {
    /// A stick.
    #[default]
    Stick,
    /// A metre.
    Metre,
    /// A foot.
    Foot,
}

/// Who sells steel.
#[derive(Clone, Debug, PartialEq)]
pub struct Supplier {
    /// Name in the file.
    pub name: String,
    /// What bringing it costs, once for everything ordered there.
    pub delivery: f64,
    /// Free text.
    pub note: Option<String>,
    /// Definition in the file.
    pub span: Span,
}

/// A part of the build that is finished before the next begins.
#[derive(Clone, Debug, PartialEq)]
pub struct Stage {
    /// Name in the file.
    pub name: String,
    /// Its last tube in the fitting order.
    pub until: TubeRef,
    /// Free text.
    pub note: Option<String>,
    /// Definition in the file.
    pub span: Span,
}

/// The steel.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rack {
    /// Currency of prices.
    pub currency: String,
    /// Width of a saw cut, m.
    pub kerf: f64,
    /// Cut off a stick's end before use, m.
    pub trim: f64,
    /// A shorter offcut is scrap, m.
    pub useful: f64,
    /// Sticks.
    pub sticks: Vec<Stick>,
}

/// Limits that the person sets.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Limits {
    /// Root gap at copes and mitres, m.
    pub gap: f64,
    /// Largest fit-up gap wanted, m.
    pub fit: f64,
    /// Tubes nearer than this without a joint are reported, m.
    pub touch: f64,
    /// Step to which lengths on sheets are rounded, m.
    pub round: f64,
    /// Step to which angles on sheets are rounded, rad.
    pub round_angle: f64,
    /// Class of the welded frame's general tolerances.
    pub welded: WeldedClass,
}

/// A class of general tolerances of welded structures, ISO 13920.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[allow(missing_docs)]
pub enum WeldedClass {
    A,
    #[default]
    B,
    C,
    D,
}

impl WeldedClass {
    /// All of them, the finest first.
    pub const ALL: [WeldedClass; 4] = [WeldedClass::A, WeldedClass::B, WeldedClass::C, WeldedClass::D];

    /// Its letter.
    pub fn letter(self) -> &'static str {
        match self {
            WeldedClass::A => "A",
            WeldedClass::B => "B",
            WeldedClass::C => "C",
            WeldedClass::D => "D",
        }
    }
}
