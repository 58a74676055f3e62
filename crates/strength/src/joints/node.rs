//! A chord and the braces that stand on it, as numbers.

use serde::Serialize;

use super::section::Hollow;

/// The tube that passes, and what its two sides do to the joint.
///
/// Its own directions: t along it, u towards azimuth 0, v = t × u towards azimuth 90°.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Chord {
    /// Its name.
    pub name: String,
    /// Section.
    pub section: Hollow,
    /// Force of the chord's length before the joint (t points away from it) on the joint, along t, u, v, N.
    pub before: [f64; 3],
    /// The same of the length after it.
    pub after: [f64; 3],
    /// Bending moments on both sides, in the planes of azimuth 0 and 90°, N m. Only their sizes count.
    pub bending: [[f64; 2]; 2],
}

/// A tube that ends on the chord.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Brace {
    /// Its name.
    pub name: String,
    /// Section, as it lies to the plane of chord and brace.
    pub section: Hollow,
    /// Angle from the chord's t to the brace, away from the joint, 0 to π.
    pub angle: f64,
    /// Where round the chord it stands, from u towards v, rad.
    pub azimuth: f64,
    /// Where along the chord the axes pass each other, m.
    pub station: f64,
    /// By how much they miss each other there, m.
    pub aside: f64,
    /// By how much a box stands askew to the plane, rad; 0 for round.
    pub skew: f64,
    /// Tension, N.
    pub tension: f64,
    /// Bending moment in the plane at the chord's surface, N m.
    pub in_plane: f64,
    /// Bending moment across the plane there, N m.
    pub out_of_plane: f64,
    /// Torque, N m. No formula of joints has it; the weld does.
    pub torque: f64,
    /// Shear, whole, N. No formula of joints has it; the weld does.
    pub shear: f64,
}

impl Brace {
    /// The acute angle θ between the axes.
    pub fn theta(&self) -> f64 {
        self.angle.min(std::f64::consts::PI - self.angle)
    }

    /// Force square to the chord, away from it positive, N.
    pub(super) fn normal(&self) -> f64 {
        self.tension * self.angle.sin()
    }
}

/// A chord and the braces that stand on it near each other.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Node {
    /// The chord.
    pub chord: Chord,
    /// The braces.
    pub braces: Vec<Brace>,
}
