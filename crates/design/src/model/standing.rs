//! What the file says of how the car stands, of the room round the person, and of going over.

use glam::{DVec2, DVec3};

use super::{PlaneSpec, PointRef, SectionId, Span, TubeRef};

/// Index of a mass in [`super::Design::masses`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct MassId(pub usize);
/// Index of a wheel in [`super::Design::wheels`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct WheelId(pub usize);
/// Index of an occupant in [`super::Design::occupants`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct OccupantId(pub usize);

/// A wheel's spring, as felt at the wheel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spring {
    /// Load on the wheel per travel of the hub, N/m.
    pub rate: f64,
    /// How far under its drawn place the hub hangs when the spring carries nothing, m.
    pub free: f64,
}

/// Whose body a person's proportions are taken from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Sex {
    /// Men of the survey.
    #[default]
    Male,
    /// Women of the survey.
    Female,
}

/// What stands for an occupant's room.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Figure {
    /// A person from body measurements.
    #[default]
    Person,
    /// The two-dimensional template of the student racing rules: circles at hip, shoulders and head.
    Template,
}

/// A mass or an occupant, or its twin.
#[derive(Clone, Debug, PartialEq)]
pub struct RiderRef {
    /// Which.
    pub id: RiderId,
    /// Whether the twin is meant.
    pub twin: bool,
    /// Where the file says so.
    pub span: Span,
}

/// A mass or an occupant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum RiderId {
    /// A mass.
    Mass(MassId),
    /// An occupant.
    Occupant(OccupantId),
}

/// A way for the car to stand.
#[derive(Clone, Debug, PartialEq)]
pub struct Stance {
    /// Name in the file.
    pub name: String,
    /// What differs from the wheels as drawn.
    pub wheels: Vec<StanceWheel>,
    /// Where the frame rests when it is not on its wheels; empty when it is.
    pub stands: Vec<Stand>,
    /// Masses and occupants that are not on board.
    pub without: Vec<RiderRef>,
    /// Masses of which only a part is on board, 0 to 1: fuel, say.
    pub part: Vec<(MassId, f64)>,
    /// Whether no wheels are fitted: on stands only.
    pub wheels_off: bool,
    /// Whether hubs move until springs carry the load.
    pub springs: bool,
    /// Note.
    pub note: Option<String>,
    /// Definition in the file.
    pub span: Span,
}

/// A wheel in a stance. Counts for the wheel and its twin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StanceWheel {
    /// The wheel.
    pub wheel: WheelId,
    /// How far the hub stands above its drawn place, m; negative below.
    pub hub: f64,
    /// Radius of the tyre, if another one is fitted, m.
    pub radius: Option<f64>,
    /// Radius under load, if it differs from the wheel's, m.
    pub loaded: Option<f64>,
}

/// A stand under a tube.
#[derive(Clone, Debug, PartialEq)]
pub struct Stand {
    /// The tube that rests on it.
    pub under: TubeRef,
    /// Where along the frame, x of the place, m.
    pub x: f64,
    /// Height over the ground, m.
    pub height: f64,
    /// Whether that is the height of the tube's top, and not of its underside.
    pub top: bool,
    /// Thickness of what lies between stand and tube, m.
    pub shim: f64,
    /// Thickness of the plate under the stand, m.
    pub foot: f64,
    /// How much higher than the level the floor was measured there, m.
    pub floor: f64,
    /// What the stand is cut from.
    pub section: Option<SectionId>,
}

/// How an opening is closed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Closure {
    /// Nothing closes it.
    #[default]
    Open,
    /// A panel that is to break out.
    Breaks,
    /// A panel that lifts or unlatches from inside.
    Lifts,
}

/// A way out.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// Name in the file.
    pub name: String,
    /// Its corners in order; they lie in one plane, near enough.
    pub edge: Vec<PointRef>,
    /// Distance of its clear edge from the lines between corners, inward, m: half a tube, say.
    pub inset: f64,
    /// How it is closed.
    pub closure: Closure,
    /// Whether the twin exists.
    pub mirror: bool,
    /// Note.
    pub note: Option<String>,
    /// Definition in the file.
    pub span: Span,
}

/// A body panel or another given surface, from a mesh file.
#[derive(Clone, Debug, PartialEq)]
pub struct Skin {
    /// Name in the file.
    pub name: String,
    /// Path of the mesh, from the design file's folder.
    pub file: String,
    /// Metres to one unit of the mesh.
    pub unit: f64,
    /// Where the mesh's origin is, m.
    pub at: DVec3,
    /// Turns about x, then y, then z, rad.
    pub turn: DVec3,
    /// Whether a mirror image stands on the other side.
    pub mirror: bool,
    /// Whether it holds when the car lies on it.
    pub hard: bool,
    /// Least distance wanted between it and any tube, m.
    pub gap: f64,
    /// The wheel that it rides with; with the frame if there is none.
    pub rides: Option<WheelId>,
    /// The mesh's named parts that count; all if empty.
    pub parts: Vec<String>,
    /// Definition in the file.
    pub span: Span,
}

/// What a measure is taken of.
#[derive(Clone, Debug, PartialEq)]
pub enum Measured {
    /// A point.
    Point(PointRef),
    /// A tube: its surface for distances, its line for angles.
    Tube(TubeRef),
    /// A plane.
    Plane(PlaneSpec),
    /// The ground of the stance.
    Ground,
    /// The plane that shop heights are measured from.
    Datum,
}

/// What a measure tells.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum MeasureKind {
    /// The least distance.
    #[default]
    Distance,
    /// The angle between, 0 to 90 degrees.
    Angle,
}

/// A named measure.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// Name in the file.
    pub name: String,
    /// From what.
    pub from: Measured,
    /// To what.
    pub to: Measured,
    /// Distance or angle.
    pub kind: MeasureKind,
    /// Along one axis only (0 x, 1 y, 2 z).
    pub along: Option<usize>,
    /// Least value wanted, m or rad.
    pub least: Option<f64>,
    /// Largest value wanted, m or rad.
    pub most: Option<f64>,
    /// Note.
    pub note: Option<String>,
    /// Definition in the file.
    pub span: Span,
}

/// The shape of an obstacle, level on both sides.
#[derive(Clone, Debug, PartialEq)]
pub enum ObstacleShape {
    /// A hump with a round top: an arc of a circle of this chord and height, m.
    Hump {
        /// Length along the road.
        length: f64,
        /// Height.
        height: f64,
    },
    /// A kerb up onto a level, m.
    Kerb {
        /// Height.
        height: f64,
    },
    /// A ramp up onto a level: rise and slope (rad).
    Ramp {
        /// Height.
        height: f64,
        /// Slope.
        angle: f64,
    },
    /// Distance along the road and height, m, by rising distance; level before the first and after the last.
    Profile(Vec<DVec2>),
}

/// Something to drive over.
#[derive(Clone, Debug, PartialEq)]
pub struct Obstacle {
    /// Name in the file.
    pub name: String,
    /// Its shape.
    pub shape: ObstacleShape,
    /// Least clearance wanted on the way, m.
    pub clearance: f64,
    /// Definition in the file.
    pub span: Span,
}

/// Settings of rollover.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Rollover {
    /// How far hard things sink into soft ground, m.
    pub soft: f64,
    /// Rest attitudes whose margin is less are marginal, m.
    pub marginal: f64,
    /// Lowest and highest edge that may slide over the nose, m above the ground; where it is given, every check follows it.
    pub edge: Option<[f64; 2]>,
    /// Number of tumbles.
    pub tumbles: u32,
    /// Seed of the tumbles.
    pub seed: u32,
    /// Least and largest speed, m/s.
    pub speed: [f64; 2],
    /// Least and largest rate of turning, rad/s.
    pub spin: [f64; 2],
    /// Least and largest friction.
    pub friction: [f64; 2],
    /// Steepest slope, rad.
    pub slope: f64,
}

/// Limits on how the car stands and on the room round the person.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Room {
    /// Least running clearance, m.
    pub clearance: f64,
    /// Least approach angle, rad; 0 if none is wanted.
    pub approach: f64,
    /// Least departure angle, rad; 0 if none is wanted.
    pub departure: f64,
    /// Least ramp breakover angle, rad; 0 if none is wanted.
    pub breakover: f64,
    /// Least side tilt at which it goes over, rad; 0 if none is wanted.
    pub tilt: f64,
    /// Least distance of the helmet to the lines between hoop tops and brace feet, m.
    pub helmet: f64,
    /// Least distance of the body to any tube, m.
    pub body: f64,
    /// Thickness of the padding on tubes that the person can touch, m.
    pub padding: f64,
    /// Least width and height of a way out, m.
    pub opening: [f64; 2],
}
