//! How a car drives over an obstacle, step by step.

use review::{Review, Text};
use serde::Serialize;

/// Steps from the level before to the level behind.
const STEPS: usize = 160;

/// A place on the way.
#[derive(Clone, Debug, Serialize)]
pub struct Place {
    /// Hubs of the front and the rear axle: distance past where the obstacle begins, and height over the level, m.
    pub hubs: [[f64; 2]; 2],
    /// The least clearance as it is read, or by how much it is short.
    pub clearance: String,
    /// Whether it scrapes.
    pub over: bool,
    /// The tube or skin that it is of.
    pub of: String,
}

/// A car's way over an obstacle.
#[derive(Clone, Debug, Serialize)]
pub struct Drive {
    /// The road, joined: distance from where it begins, and height, m.
    pub road: Vec<[f64; 2]>,
    /// The hubs as it stands on the level: distance along `forward` from the origin, and height over the ground, m.
    pub hubs: [[f64; 2]; 2],
    /// Directions of the ground in the frame's axes (unit): forward and up.
    pub forward: [f64; 3],
    /// See `forward`.
    pub up: [f64; 3],
    /// The ground's height along `up`, m.
    pub ground: f64,
    /// The steps, going forward.
    pub steps: Vec<Place>,
    /// The step that comes nearest, or first touches.
    pub told: Option<usize>,
}

/// The way of a stance over an obstacle; `None` if there is no such stance or obstacle, or no way.
pub fn drive(r: &Review, stance: &str, over: &str) -> Option<Drive> {
    let t = Text::new(&r.shape.design);
    let s = r.stance.stances.iter().position(|s| s.name == stance)?;
    let o = r.shape.design.obstacles.iter().position(|o| o.name == over)?;
    let way = ::stance::way(&r.shape, &r.stance, s, o, STEPS)?;
    let ground = r.stance.stances[s].ground?;
    let place = |s: &::stance::Step| Place {
        hubs: [s.front.to_array(), s.rear.to_array()],
        clearance: if s.clearance > 0.0 {
            t.length_unit(s.clearance)
        } else {
            format!("{} short", t.length_unit(-s.clearance))
        },
        over: s.clearance <= 0.0,
        of: s.name.clone(),
    };
    let told = way.told.as_ref().and_then(|told| {
        let off = |s: &::stance::Step| s.front.distance(told.front);
        (0..way.steps.len()).min_by(|&a, &b| off(&way.steps[a]).total_cmp(&off(&way.steps[b])))
    });
    Some(Drive {
        road: way.road.iter().map(|p| p.to_array()).collect(),
        hubs: way.hubs.map(|h| h.to_array()),
        forward: ground.forward.to_array(),
        up: ground.normal.to_array(),
        ground: ground.height,
        steps: way.steps.iter().map(place).collect(),
        told,
    })
}
