//! How a tumble begins.

use fastrand::Rng;
use glam::DVec3;
use std::f64::consts::{PI, TAU};

/// What is drawn at random, evenly between two numbers each.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ranges {
    /// Speed, m/s.
    pub speed: [f64; 2],
    /// Rate of roll, to either side, rad/s. Pitch and yaw get up to half of the largest.
    pub spin: [f64; 2],
    /// Coefficient of friction.
    pub friction: [f64; 2],
    /// Slope of the ground, rad: the first ten metres or so, level after that.
    pub slope: [f64; 2],
    /// Bounce: coefficient of restitution.
    pub bounce: [f64; 2],
}

/// One start: the body is let go over the ground, turned and moving, as after a trip or a jump.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Start {
    /// Heading, about the ground's normal from downhill, rad.
    pub heading: f64,
    /// Velocity of the centre of gravity ahead, to the left and up, m/s.
    pub velocity: DVec3,
    /// Rates of roll, pitch and yaw: about ahead, left and up, rad/s.
    pub spin: DVec3,
    /// Height over the ground, m.
    pub drop: f64,
    /// Roll about the heading when it is let go, rad.
    pub roll: f64,
    /// Pitch when it is let go, rad.
    pub pitch: f64,
    /// Coefficient of friction.
    pub friction: f64,
    /// Slope, rad.
    pub slope: f64,
    /// Coefficient of restitution.
    pub bounce: f64,
}

/// It comes down from up to this height, m. Common practice, no source.
const HIGHEST: f64 = 0.3;

/// Nose or tail down by up to this when it comes down, rad: 45 degrees. Common practice, no source.
const STEEPEST: f64 = PI / 4.0;

impl Start {
    /// The start number `k` of a seed: the same whatever is drawn before it.
    pub fn draw(ranges: &Ranges, seed: u64, k: u32) -> Start {
        // The golden ratio's bits part neighbouring numbers widely.
        let mut rng = Rng::with_seed(seed ^ u64::from(k + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15));
        let mut between = |r: [f64; 2]| r[0] + (r[1] - r[0]) * rng.f64();
        let side = if between([0.0, 1.0]) < 0.5 { -1.0 } else { 1.0 };
        let half = ranges.spin[1] / 2.0;
        let (heading, slip, speed) = (between([0.0, TAU]), between([-PI / 2.0, PI / 2.0]), between(ranges.speed));
        Start {
            heading,
            velocity: DVec3::new(slip.cos(), slip.sin(), 0.0) * speed,
            spin: DVec3::new(side * between(ranges.spin), between([-half, half]), between([-half, half])),
            drop: between([0.0, HIGHEST]),
            roll: between([-PI, PI]),
            pitch: between([-STEEPEST, STEEPEST]),
            friction: between(ranges.friction),
            slope: between(ranges.slope),
            bounce: between(ranges.bounce),
        }
    }
}
