//! Which way is up, and how deep a tube is along it.

use geometry::{DMat3, DVec3, Frame, Outline};
use serde::Serialize;

/// How the frame stands in the world while it is held.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct World {
    /// Unit, up, in the frame's axes.
    pub up: DVec3,
    /// Height along `up` of the level reference (the floor where its reading is 0), m; if it is known.
    pub floor: Option<f64>,
}

impl World {
    /// The frame's own axes.
    pub const SQUARE: World = World { up: DVec3::Z, floor: None };

    /// From the rotation that takes the frame's axes to level ones.
    pub fn tilted(rotation: DMat3, floor: Option<f64>) -> World {
        World { up: (rotation.transpose() * DVec3::Z).normalize_or(DVec3::Z), floor }
    }
}

/// A tube of whose section less than this share of "up" lies across it has no top to measure to: steeper than 84 degrees.
/// The same share at which a stance takes no stand under it.
pub const STEEP: f64 = 0.1;
/// Nearer to upright than this (sine of 0.81 degrees, as where a scribe line faces forward instead of up) a roll has no meaning.
pub const UPRIGHT: f64 = 0.014_142;

/// Plumb half depth: straight up from the axis to the level line on top of the tube, m. `None` if it is too steep.
pub fn half_depth(f: &Frame, outline: &Outline, up: DVec3) -> Option<f64> {
    let across = f.across(up);
    let share = across.length();
    (share > STEEP).then(|| outline.support(across / share) / share)
}

/// The face of a box that points most upward.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Face {
    /// That with the scribe line.
    Scribe,
    /// A quarter turn clockwise of it, looking from start to end.
    Right,
    /// Across from it.
    Opposite,
    /// A quarter turn anticlockwise.
    Left,
}

impl Face {
    /// All, clockwise.
    pub const ALL: [Face; 4] = [Face::Scribe, Face::Right, Face::Opposite, Face::Left];

    /// Its outward normal, and the section's half depth under it and half width beside it.
    pub fn of(self, f: &Frame, half_x: f64, half_y: f64) -> (DVec3, f64, f64) {
        match self {
            Face::Scribe => (f.u, half_x, half_y),
            Face::Right => (f.v, half_y, half_x),
            Face::Opposite => (-f.u, half_x, half_y),
            Face::Left => (-f.v, half_y, half_x),
        }
    }

    /// The face whose normal lies nearest a direction; of two alike the first, clockwise from the scribe line.
    pub fn towards(f: &Frame, d: DVec3) -> Face {
        let mut best = Face::Scribe;
        for face in Face::ALL {
            let along = |x: Face| x.of(f, 0.0, 0.0).0.dot(d);
            if along(face) > along(best) + geometry::SAME_PLACE {
                best = face;
            }
        }
        best
    }
}
