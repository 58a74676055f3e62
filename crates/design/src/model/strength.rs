//! What the file says of what the frame carries.

use glam::DVec3;

use super::standing::{MassId, OccupantId, WheelId};
use super::{PointRef, Span, TubeRef};

/// What a mount carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Carried {
    /// A mass.
    Mass(MassId),
    /// An occupant, by seat and belts.
    Occupant(OccupantId),
    /// A wheel, by its wishbones, springs, axle.
    Wheel(WheelId),
}

/// Where something is held by the frame. For a thing with a twin, the twin is held at the points' twins.
#[derive(Clone, Debug, PartialEq)]
pub struct Mount {
    /// Name in the file.
    pub name: String,
    /// What it carries.
    pub of: Carried,
    /// Places on tubes.
    pub at: Vec<PointRef>,
    /// Definition in the file.
    pub span: Span,
}

/// A force on a place of the frame.
#[derive(Clone, Debug, PartialEq)]
pub struct PointForce {
    /// The place: on a tube.
    pub at: PointRef,
    /// N.
    pub force: DVec3,
    /// N m.
    pub moment: DVec3,
}

/// A force spread evenly along a tube.
#[derive(Clone, Debug, PartialEq)]
pub struct SpreadForce {
    /// The tube.
    pub along: TubeRef,
    /// The whole of it, N.
    pub force: DVec3,
}

/// A place that is held, or moved.
#[derive(Clone, Debug, PartialEq)]
pub struct Held {
    /// The place: on a tube.
    pub at: PointRef,
    /// Whether it is held along x, y, z.
    pub along: [bool; 3],
    /// Whether it is held against turning, too.
    pub turns: bool,
    /// How far it is moved along the directions in which it is held, m.
    pub by: DVec3,
}

/// Loads that act together.
#[derive(Clone, Debug, PartialEq)]
pub struct Load {
    /// Name in the file.
    pub name: String,
    /// Forces on places.
    pub forces: Vec<PointForce>,
    /// Forces along tubes.
    pub spread: Vec<SpreadForce>,
    /// What every mass is pressed with, in multiples of its weight: [0, 0, -1] is standing still.
    pub g: DVec3,
    /// What is held; if empty, the wheels push back.
    pub held: Vec<Held>,
    /// Largest displacement wanted, m.
    pub most: Option<f64>,
    /// Largest use of any tube wanted: stress as a part of the yield strength.
    pub utilisation: f64,
    /// Least factor wanted to buckling.
    pub buckling: f64,
    /// How far it is pushed past yielding, m, as the way of the place that moves most; 0: not asked for.
    pub collapse: f64,
    /// Note.
    pub note: Option<String>,
    /// Definition in the file.
    pub span: Span,
}

/// Published sets of loads, built in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LoadSet {
    /// Alternative frame rules of student racing.
    StudentFrame,
    /// Homologation of a touring car's cage.
    TouringCage,
    /// Protective structure of a work machine.
    WorkMachine,
}

impl LoadSet {
    /// All of them.
    pub const ALL: [LoadSet; 3] = [LoadSet::StudentFrame, LoadSet::TouringCage, LoadSet::WorkMachine];

    /// The word for it in the file.
    pub const fn word(self) -> &'static str {
        match self {
            LoadSet::StudentFrame => "student-frame",
            LoadSet::TouringCage => "touring-cage",
            LoadSet::WorkMachine => "work-machine",
        }
    }
}

/// Where a rig takes hold of the frame.
#[derive(Clone, Debug, PartialEq)]
pub struct Rig {
    /// Left and right, at the front.
    pub front: [PointRef; 2],
    /// Left and right, at the rear.
    pub rear: [PointRef; 2],
}

/// Settings of strength.
#[derive(Clone, Debug, PartialEq)]
pub struct Strength {
    /// Published sets of loads that are wanted.
    pub sets: Vec<LoadSet>,
    /// Mass that their loads scale with, kg; that of the laden design if not given.
    pub mass: Option<f64>,
    /// Multiple of its weight with which the car lies in each rest attitude; 0: not asked for.
    pub rest: f64,
    /// Where the torsion and bending rigs take hold; the places that carry the first and last axle's wheels if not given.
    pub rig: Option<Rig>,
    /// Number of natural frequencies.
    pub modes: u32,
    /// Height from which the car drops onto its roof, m, for the energy that must be taken up; 0: not asked for.
    pub drop: f64,
    /// Least wall, m, that the edition of the standard for welded joints covers which the design keeps to.
    pub least_wall: f64,
}
