//! What is put in: points, measurements, and what is known of the level.

use std::fmt;

use glam::DVec3;
use serde::{Deserialize, Serialize};

/// How one coordinate of a point is held.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub enum Hold {
    /// Only measurements tell of it.
    Free,
    /// It is where the design says, exactly.
    Fixed,
    /// It is where the design says, with this standard deviation, m (a jig, a stop).
    Near(f64),
}

/// A named point.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Point {
    /// Name, by which measurements know it.
    pub name: String,
    /// Designed place, m.
    pub at: DVec3,
    /// How x, y and z are held.
    pub hold: [Hold; 3],
}

impl Point {
    /// A point that only measurements tell of.
    pub fn free(name: &str, at: DVec3) -> Point {
        Point { name: name.into(), at, hold: [Hold::Free; 3] }
    }

    /// A point that is exactly where the design says.
    pub fn fixed(name: &str, at: DVec3) -> Point {
        Point { name: name.into(), at, hold: [Hold::Fixed; 3] }
    }
}

/// A level direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Axis {
    /// The design's x, made level.
    X,
    /// The design's y, made level.
    Y,
}

/// What was measured. Points are named.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Kind {
    /// Distance in space, m.
    Distance {
        /// One end.
        from: String,
        /// The other.
        to: String,
    },
    /// Horizontal distance, m.
    LevelDistance {
        /// One end.
        from: String,
        /// The other.
        to: String,
    },
    /// Height over the level plane of a set-up, m.
    Height {
        /// The point.
        point: String,
        /// Name of the set-up; one that is not in [`Network::setups`] has an unknown height.
        setup: String,
    },
    /// Height of `to` over `from`, m.
    Rise {
        /// The lower, if the value is positive.
        from: String,
        /// The higher, if the value is positive.
        to: String,
    },
    /// Part of the way from one point to another along a level direction, m (plumb bobs on the floor).
    Offset {
        /// Where it begins.
        from: String,
        /// Where it ends.
        to: String,
        /// Along which direction.
        along: Axis,
    },
    /// Distance from a plane that is fixed in design axes, positive on the side of its normal, m.
    FromPlane {
        /// The point.
        point: String,
        /// A place on the plane, m.
        through: DVec3,
        /// Its normal, of any length.
        normal: DVec3,
    },
    /// Horizontal offset from the vertical plane through two points (a string), positive to the left of the way, m.
    FromString {
        /// The point.
        point: String,
        /// Where the string begins.
        from: String,
        /// Where it ends.
        to: String,
    },
    /// Angle of the line over the horizontal, rad.
    Slope {
        /// Where the line begins.
        from: String,
        /// Where it ends.
        to: String,
    },
    /// Angle between the lines from one point to two others, rad.
    Bevel {
        /// Where the lines meet.
        at: String,
        /// On one line.
        one: String,
        /// On the other.
        other: String,
    },
}

/// One measurement.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Observation {
    /// Name for messages.
    pub name: String,
    /// What was measured.
    pub kind: Kind,
    /// What was read, m or rad.
    pub value: f64,
    /// Standard deviation, m or rad.
    pub sigma: f64,
    /// What is to be added to the reading, m or rad (a tape hooked on the outside of a tube).
    pub add: f64,
    /// Where it was taken on what surrounds its points, m in design axes: added to the place of each, in the order in which
    /// its kind names them. Empty: at the points themselves. These arms keep their designed direction: what stands turned by
    /// an angle from the answer's axes shifts the reading by up to the arm times that angle.
    #[serde(default)]
    pub marks: Vec<DVec3>,
}

impl Observation {
    /// A tape distance.
    pub fn distance(name: &str, from: &str, to: &str, value: f64, sigma: f64) -> Observation {
        Observation::new(name, Kind::Distance { from: from.into(), to: to.into() }, value, sigma)
    }

    /// Any measurement, with nothing to be added.
    pub fn new(name: &str, kind: Kind, value: f64, sigma: f64) -> Observation {
        Observation { name: name.into(), kind, value, sigma, add: 0.0, marks: Vec::new() }
    }
}

/// A set-up of a level.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Setup {
    /// Its name.
    pub name: String,
    /// Height of its plane over the design's origin, m, if known.
    pub level: Option<f64>,
}

/// How gravity stands in design axes: "up" is z turned by the vector (a, b, 0).
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub enum Tilt {
    /// Up is z.
    #[default]
    Level,
    /// a and b are known, rad.
    Known([f64; 2]),
    /// a and b are to be found; they begin at zero.
    Unknown,
    /// a and b are near these, with this standard deviation, rad.
    Near([f64; 2], f64),
}

/// Everything that is known.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Network {
    /// The points.
    pub points: Vec<Point>,
    /// The measurements.
    pub observations: Vec<Observation>,
    /// Set-ups whose height is known; others need not be listed.
    pub setups: Vec<Setup>,
    /// How gravity stands.
    pub tilt: Tilt,
}

/// What to do about gross errors.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum Blunders {
    /// Leave them out, one after another.
    #[default]
    LeaveOut,
    /// Keep all measurements; each answer still tells its w.
    Keep,
}

/// Something that could not be used, and why. The rest was.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Problem {
    /// Name of the measurement, point or set-up.
    pub about: String,
    /// What is wrong.
    pub why: Why,
}

/// What is wrong with something that was put in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Why {
    /// A second point has this name; it was left out.
    PointTwice,
    /// The point's place is not finite, or beyond 10⁹ m; it was left out.
    NoPlace,
    /// A coordinate is held near its place without a proper standard deviation (see `BadSigma`); it was taken as free.
    BadHold,
    /// The set-up's or the tilt's number is not finite; it was taken as unknown.
    BadLevel,
    /// The measurement names a point that is not there (or was left out).
    NoPoint(String),
    /// The measurement names the same point twice.
    SamePoint,
    /// Value or constant is not finite, or beyond 10⁹.
    NotANumber,
    /// The standard deviation is not from 10⁻¹⁵ to 10⁹ (m or rad).
    BadSigma,
    /// A distance of zero or less.
    NoLength,
    /// An angle that such a gauge can't show.
    NoSuchAngle,
    /// The points are at one place in the design, so the measurement has no direction.
    OnePlace,
    /// The line is within 1° of upright (slope), or the lines are within 1° of straight or shut (bevel): the reading folds there.
    Folds,
    /// The plane has no normal.
    NoPlane,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: ", self.about)?;
        match &self.why {
            Why::PointTwice => write!(f, "a second point of this name; left out"),
            Why::NoPlace => write!(f, "the point's place is not a number; left out"),
            Why::BadHold => write!(f, "held near its place, but without a positive standard deviation; taken as free"),
            Why::BadLevel => write!(f, "not a number; taken as unknown"),
            Why::NoPoint(p) => write!(f, "there is no point {p:?}"),
            Why::SamePoint => write!(f, "the same point twice"),
            Why::NotANumber => write!(f, "the value is not a number"),
            Why::BadSigma => write!(f, "the standard deviation must be more than zero"),
            Why::NoLength => write!(f, "a distance must be more than zero"),
            Why::NoSuchAngle => write!(f, "there is no such angle"),
            Why::OnePlace => write!(f, "its points are at one place in the design"),
            Why::Folds => write!(f, "the reading folds there: a degree to either side reads the same"),
            Why::NoPlane => write!(f, "the plane has no normal"),
        }
    }
}
