//! What is drawn. Lengths in m, in the frame's axes: x forward, y left, z up.

use schemars::JsonSchema;
use serde::Serialize;

/// What a body is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum BodyKind {
    /// A tube as it is cut.
    Tube,
    /// A tube whose place is not decided: not cut.
    Provisional,
    /// A tube that is cut out again.
    Temporary,
    /// A plate.
    Plate,
    /// A skin.
    Skin,
}

/// A body made of triangles. If it has changed since the page's last view its numbers follow the JSON.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct BodyHead {
    /// Name of the tube, plate or skin.
    pub name: String,
    /// What it is.
    pub kind: BodyKind,
    /// Changes with the body's surface.
    pub key: String,
    /// Where its numbers are, if they are sent.
    pub sent: Option<Stretch>,
}

/// A stretch of the numbers behind the JSON: 3 `f32` for each point, then 3 `u32` for each triangle (anticlockwise seen
/// from outside).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Stretch {
    /// Bytes from the end of the JSON (filled up).
    pub start: u32,
    /// Number of points.
    pub points: u32,
    /// Number of triangles.
    pub triangles: u32,
}

/// What stands for a person, a wheel, a mass.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SolidKind {
    /// Part of a person.
    Person,
    /// A wheel.
    Wheel,
    /// A mass.
    Mass,
}

/// A plain solid.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Solid {
    /// Whose: the name of the person, wheel or mass.
    pub name: String,
    /// What it is.
    pub kind: SolidKind,
    /// Its shape.
    pub shape: SolidShape,
}

/// Shapes of plain solids.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
#[serde(tag = "shape", rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum SolidShape {
    /// A ball.
    Ball { centre: [f64; 3], radius: f64 },
    /// A ball drawn out along a line.
    Capsule { ends: [[f64; 3]; 2], radius: f64 },
    /// A wheel with its axis (unit).
    Disc { centre: [f64; 3], axis: [f64; 3], radius: f64, width: f64 },
    /// A block with its half sizes along three axes.
    Block { centre: [f64; 3], axes: [[f64; 3]; 3], half: [f64; 3] },
}

/// The ground of a stance.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct GroundPlane {
    /// Name of the stance.
    pub stance: String,
    /// Up from the ground (unit).
    pub normal: [f64; 3],
    /// The ground's height under the origin along the normal, m: points p on it have p · normal = height.
    pub height: f64,
}
