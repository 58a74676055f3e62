//! The document as typed data, in SI units, with every reference resolved to an index.
//!
//! A value of [`Design`] is what a valid file says, no more: nothing is located in space yet. Twins are not expanded:
//! a tube with `mirror` stands once, and a [`PointRef`] or [`TubeRef`] says whether the twin is meant. Every item keeps
//! the byte range of the text that defines it, so that what is found out later can still point at the line.

mod curves;
mod jig;
mod shop;
mod standing;
mod strength;

use std::ops::Range;
use std::sync::Arc;

use glam::{DVec2, DVec3};

pub use curves::*;
pub use jig::*;
pub use shop::*;
pub use standing::*;
pub use strength::*;

/// Bytes of the source text.
pub type Span = Range<usize>;

/// Index of a point in [`Design::points`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PointId(pub usize);
/// Index of a tube in [`Design::tubes`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct TubeId(pub usize);
/// Index of a section in [`Design::sections`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct SectionId(pub usize);
/// Index of a supplier in [`Design::suppliers`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct SupplierId(pub usize);
/// Index of a material in [`Design::materials`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct MaterialId(pub usize);
/// Index of a die in [`Design::dies`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct DieId(pub usize);
/// Index of a plate in [`Design::plates`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PlateId(pub usize);

/// A point, or its twin on the other side of the centre plane.
#[derive(Clone, Debug, PartialEq)]
pub struct PointRef {
    /// The point.
    pub id: PointId,
    /// Whether the twin is meant (written `name~`).
    pub twin: bool,
    /// Where the file says so.
    pub span: Span,
}

/// A tube, or its twin.
#[derive(Clone, Debug, PartialEq)]
pub struct TubeRef {
    /// The tube.
    pub id: TubeId,
    /// Whether the twin is meant (written `name~`).
    pub twin: bool,
    /// Where the file says so.
    pub span: Span,
}

/// Units of the file and of everything printed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Units {
    /// Millimetres.
    #[default]
    Mm,
    /// Inches, decimal or in fractions.
    In,
}

/// Paper of the packet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
pub enum Paper {
    /// 210 x 297 mm.
    A4,
    /// 8.5 x 11 in.
    Letter,
}

/// The height that shop drawings measure from.
#[derive(Clone, Debug, PartialEq)]
pub enum Datum {
    /// A fixed z.
    Z(f64),
    /// The lowest point of a tube's surface.
    Under(TubeRef),
    /// The highest point of a tube's surface.
    Over(TubeRef),
}

/// A material. Stresses in Pa, density in kg/m³.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Material {
    /// Name in the file, or of the built-in.
    pub name: String,
    /// Yield strength (0.2 % proof), Pa.
    pub yield_strength: f64,
    /// Tensile strength, Pa.
    pub tensile_strength: f64,
    /// Young's modulus, Pa.
    pub youngs: f64,
    /// Shear modulus, Pa.
    pub shear: f64,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Density, kg/m³.
    pub density: f64,
    /// Elongation at break, as a fraction.
    pub elongation: Option<f64>,
    /// Where the figures come from.
    pub source: String,
}

/// Outline of a section; metres.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
#[serde(tag = "shape", rename_all = "lowercase")]
pub enum SectionShape {
    /// Round tube.
    Round {
        /// Outside diameter.
        od: f64,
        /// Wall thickness.
        wall: f64,
    },
    /// Square or rectangular tube.
    Box {
        /// Across.
        width: f64,
        /// Along the upright direction of the section.
        height: f64,
        /// Wall thickness.
        wall: f64,
        /// Outside corner radius.
        corner: f64,
    },
}

impl SectionShape {
    /// Wall thickness, m.
    pub fn wall(&self) -> f64 {
        match *self {
            SectionShape::Round { wall, .. } | SectionShape::Box { wall, .. } => wall,
        }
    }
}

/// A section of tube.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Name in the file.
    pub name: String,
    /// Its outline.
    pub shape: SectionShape,
    /// The built-in size it was taken from, such as `CHS 48.3 x 3.0`.
    pub size: Option<String>,
    /// What it is made of.
    pub material: MaterialId,
    /// Definition in the file.
    pub span: Span,
}

/// How a point is placed.
#[derive(Clone, Debug, PartialEq)]
pub enum Placement {
    /// Coordinates, m.
    At(DVec3),
    /// On a tube's centreline, then moved by an offset (m).
    On {
        /// The tube.
        tube: TubeRef,
        /// Where along it.
        along: Along,
        /// Offset from the centreline, m.
        by: DVec3,
    },
    /// At an offset (m) from another point.
    From {
        /// The other point.
        point: PointRef,
        /// Offset, m.
        by: DVec3,
    },
}

/// A place along a tube's centreline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Along {
    /// Distance from the start, m; from the end if negative.
    Length(f64),
    /// Fraction of the whole length.
    Part(f64),
    /// Where the centreline crosses a plane square to an axis (0 x, 1 y, 2 z) at a coordinate (m); `pick` counts the
    /// crossings from 1, from the start.
    Plane {
        /// 0 x, 1 y, 2 z.
        axis: usize,
        /// Coordinate, m.
        value: f64,
        /// Which crossing, if there are several.
        pick: Option<usize>,
    },
}

/// A named point.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// Name in the file.
    pub name: String,
    /// How it is placed.
    pub placement: Placement,
    /// Definition in the file.
    pub span: Span,
}

/// What a tube is, in the life of the frame.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum TubeState {
    /// Part of the frame.
    #[default]
    Permanent,
    /// Holds the frame while it is built: a piece, but not in mass or strength.
    Temporary,
    /// Drawn and weighed, not cut: its place is not decided.
    Provisional,
}

/// A plane.
#[derive(Clone, Debug, PartialEq)]
pub enum PlaneSpec {
    /// Square to an axis (0 x, 1 y, 2 z) at a coordinate, m.
    Axis {
        /// 0 x, 1 y, 2 z.
        axis: usize,
        /// Coordinate, m.
        value: f64,
    },
    /// Through a point, with a normal (any length, not zero).
    Point {
        /// The point.
        point: PointRef,
        /// Normal.
        normal: DVec3,
    },
    /// The near face of a plate (`twin`: of the plate's twin).
    Plate {
        /// The plate.
        plate: PlateId,
        /// Whether its twin is meant.
        twin: bool,
    },
}

/// How an end is to be cut.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum CutSpec {
    /// As the order rule gives.
    #[default]
    ByOrder,
    /// To the outer surface of others: those named, or those that the order rule gives.
    Cope,
    /// On the plane that halves the angle with one other tube.
    Mitre,
    /// Square.
    Square,
    /// On a plane.
    Plane(PlaneSpec),
}

/// What the file says of one end of a tube.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct EndSpec {
    /// How it is cut.
    pub cut: CutSpec,
    /// Tubes to cope to or to mitre with, in place of the order rule's; empty if not given.
    pub to: Vec<TubeRef>,
    /// Root gap for this end, m.
    pub gap: Option<f64>,
    /// Left square and this much longer than its longest point, m.
    pub long: f64,
    /// Definition in the file, if it has one.
    pub span: Option<Span>,
}

/// A tube as written; with `mirror` it stands for two.
#[derive(Clone, Debug, PartialEq)]
pub struct Tube {
    /// Name in the file.
    pub name: String,
    /// Section.
    pub section: SectionId,
    /// Start, inner points, end: at least two.
    pub path: Vec<PointRef>,
    /// Centreline radius at each inner point, m.
    pub bend_radii: Vec<f64>,
    /// Die that bends it.
    pub die: Option<DieId>,
    /// Whether the twin exists.
    pub mirror: bool,
    /// The end at the path's first point.
    pub start: EndSpec,
    /// The end at the path's last point.
    pub end: EndSpec,
    /// Turn of a box section about the axis, rad, right-handed from start to end.
    pub roll: f64,
    /// Permanent, temporary, provisional.
    pub state: TubeState,
    /// May be joined from two parts if no stick is long enough, neither shorter than this, m.
    pub splice: Option<f64>,
    /// For a temporary one: the piece after which it is cut out; `None`: the last.
    pub out_after: Option<TubeRef>,
    /// Whether it counts as hard when the car lies on it.
    pub hard: bool,
    /// Role in the frame, free text.
    pub role: Option<String>,
    /// Note printed on the card.
    pub note: Option<String>,
    /// Definition in the file.
    pub span: Span,
    /// The value of `path` in the file.
    pub path_span: Span,
}

/// Outline of a plate.
#[derive(Clone, Debug, PartialEq)]
pub enum PlateOutline {
    /// Corners at points.
    Points(Vec<PointRef>),
    /// Flat coordinates (m) from a point along two directions.
    Flat {
        /// Origin.
        origin: PointRef,
        /// First direction.
        x: DVec3,
        /// Second direction; only its part square to the first counts.
        y: DVec3,
        /// Corners, m.
        corners: Vec<DVec2>,
    },
}

/// On which side of its outline's plane a plate lies.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum PlateSide {
    /// Half on each side.
    #[default]
    Centred,
    /// On the side from which the outline runs anticlockwise.
    Above,
    /// On the other side.
    Below,
}

/// Where a hole is.
#[derive(Clone, Debug, PartialEq)]
pub enum HoleAt {
    /// Flat coordinates, m.
    Flat(DVec2),
    /// At a point, projected square onto the plate.
    Point(PointRef),
}

/// A round hole in a plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Hole {
    /// Where.
    pub at: HoleAt,
    /// Diameter, m.
    pub d: f64,
}

/// A flat plate.
#[derive(Clone, Debug, PartialEq)]
pub struct Plate {
    /// Name in the file.
    pub name: String,
    /// Thickness, m.
    pub thickness: f64,
    /// Material.
    pub material: MaterialId,
    /// Outline.
    pub outline: PlateOutline,
    /// Side of the outline's plane.
    pub side: PlateSide,
    /// Holes.
    pub holes: Vec<Hole>,
    /// Whether the twin exists.
    pub mirror: bool,
    /// Note.
    pub note: Option<String>,
    /// Definition in the file.
    pub span: Span,
}

/// A place given by coordinates or by a point.
#[derive(Clone, Debug, PartialEq)]
pub enum Place {
    /// Coordinates, m.
    At(DVec3),
    /// A point.
    Point(PointRef),
}

/// A mass that rides on the frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Mass {
    /// Name in the file.
    pub name: String,
    /// Centre.
    pub at: Place,
    /// kg.
    pub kg: f64,
    /// Extents of a box, m; zero for a point.
    pub size: DVec3,
    /// Whether the twin exists.
    pub mirror: bool,
    /// Whether it is hard (counts in rollover).
    pub hard: bool,
    /// Note.
    pub note: Option<String>,
    /// Definition in the file.
    pub span: Span,
}

/// A wheel.
#[derive(Clone, Debug, PartialEq)]
pub struct Wheel {
    /// Name in the file.
    pub name: String,
    /// Hub centre.
    pub at: Place,
    /// Radius of the tyre without load, m.
    pub radius: f64,
    /// Radius under load, from the hub to the ground, m.
    pub loaded: f64,
    /// Width, m.
    pub width: f64,
    /// kg.
    pub kg: f64,
    /// How far the hub can rise above its drawn place, m.
    pub bump: f64,
    /// How far the hub can drop under its drawn place, m.
    pub droop: f64,
    /// How far the wheel turns to each side, rad.
    pub steer: f64,
    /// Its spring.
    pub spring: Option<Spring>,
    /// Load per squash of the tyre, N/m; the loaded radius then follows from the load.
    pub tyre_rate: Option<f64>,
    /// Whether the twin exists.
    pub mirror: bool,
    /// Definition in the file.
    pub span: Span,
}

/// A seated person.
#[derive(Clone, Debug, PartialEq)]
pub struct Occupant {
    /// Name in the file.
    pub name: String,
    /// Middle of the hip joints.
    pub hip: Place,
    /// What stands for the person.
    pub figure: Figure,
    /// Whose proportions.
    pub sex: Sex,
    /// Stature, m.
    pub stature: f64,
    /// kg.
    pub kg: f64,
    /// Torso from vertical, leaning backward positive, rad.
    pub back: f64,
    /// Thigh above horizontal, rad.
    pub thigh: f64,
    /// Between thigh and shin, rad; π is straight.
    pub knee: f64,
    /// Helmet diameter, m.
    pub helmet: f64,
    /// Where the hands are, as drawn for the left hand; on the thighs if not given.
    pub hands: Option<Place>,
    /// Whether the twin exists.
    pub mirror: bool,
    /// Definition in the file.
    pub span: Span,
}

/// A valid design file.
#[derive(Clone, Debug, PartialEq)]
pub struct Design {
    /// The text that it was read from.
    pub source: Arc<str>,
    /// Name.
    pub name: String,
    /// Units.
    pub units: Units,
    /// Paper.
    pub paper: Paper,
    /// Who made it.
    pub by: Option<String>,
    /// Note for the cover.
    pub note: Option<String>,
    /// Heights are measured from here.
    pub datum: Datum,
    /// Materials: those that the file defines, then the built-in ones that its sections use.
    pub materials: Vec<Material>,
    /// Sections, in file order.
    pub sections: Vec<Section>,
    /// Points, in file order.
    pub points: Vec<Point>,
    /// Tubes, in fitting order.
    pub tubes: Vec<Tube>,
    /// Plates.
    pub plates: Vec<Plate>,
    /// Masses.
    pub masses: Vec<Mass>,
    /// Wheels.
    pub wheels: Vec<Wheel>,
    /// Occupants.
    pub occupants: Vec<Occupant>,
    /// Notcher.
    pub notcher: Notcher,
    /// Dies.
    pub dies: Vec<Die>,
    /// Rack.
    pub rack: Rack,
    /// Who sells steel.
    pub suppliers: Vec<Supplier>,
    /// Parts of the build, in file order.
    pub stages: Vec<Stage>,
    /// What holds tubes while they are tacked.
    pub jig: Jig,
    /// Rule sets that it is held against: names of built-in ones, or of files beside it.
    pub rule_sets: Vec<String>,
    /// Limits.
    pub limits: Limits,
    /// Ways to stand. Always one at least: as drawn.
    pub stances: Vec<Stance>,
    /// Ways out.
    pub openings: Vec<Opening>,
    /// Given surfaces.
    pub skins: Vec<Skin>,
    /// Curves to be turned into bent tubes.
    pub curves: Vec<Curve>,
    /// Named measures.
    pub measures: Vec<Measure>,
    /// Things to drive over.
    pub obstacles: Vec<Obstacle>,
    /// Settings of rollover.
    pub rollover: Rollover,
    /// Limits on stance and room.
    pub room: Room,
    /// What holds masses, people and wheels.
    pub mounts: Vec<Mount>,
    /// Load cases.
    pub loads: Vec<Load>,
    /// Settings of strength.
    pub strength: Strength,
}

impl Design {
    /// A tube's name, with `~` for its twin.
    pub fn tube_name(&self, r: &TubeRef) -> String {
        twin_name(&self.tubes[r.id.0].name, r.twin)
    }

    /// The name of a mass or an occupant, with `~` for its twin.
    pub fn rider_name(&self, r: &RiderRef) -> String {
        let name = match r.id {
            RiderId::Mass(id) => &self.masses[id.0].name,
            RiderId::Occupant(id) => &self.occupants[id.0].name,
        };
        twin_name(name, r.twin)
    }

    /// The name of what a mount carries.
    pub fn carried_name(&self, of: Carried) -> &str {
        match of {
            Carried::Mass(id) => &self.masses[id.0].name,
            Carried::Occupant(id) => &self.occupants[id.0].name,
            Carried::Wheel(id) => &self.wheels[id.0].name,
        }
    }

    /// A point's name, with `~` for its twin.
    pub fn point_name(&self, r: &PointRef) -> String {
        twin_name(&self.points[r.id.0].name, r.twin)
    }
}

/// `name`, or `name~` for the twin.
pub fn twin_name(name: &str, twin: bool) -> String {
    if twin { format!("{name}~") } else { name.to_owned() }
}
