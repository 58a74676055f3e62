//! The wheels of a stance.

use design::{Stance, WheelId};
use geometry::DVec3;
use serde::Serialize;
use shape::Shape;
use shape::bodies::BodyKind;

use crate::ground::Ground;

/// What a hub does in a stance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hub {
    /// Held where the stance has it.
    Held,
    /// Carried by its spring.
    Sprung,
    /// Risen as far as it can.
    Bump,
    /// Dropped as far as it can, its spring still pressing.
    Droop,
    /// On the ground with nothing but its own weight: the spring carries nothing.
    Slack,
    /// Clear of the ground.
    Lifted,
}

/// A wheel as it stands.
#[derive(Clone, Debug, Serialize)]
pub struct Standing {
    /// Name; a twin's ends with `~`.
    pub name: String,
    /// Index of its body in the shape.
    #[serde(skip)]
    pub body: usize,
    /// The wheel of the design.
    #[serde(skip)]
    pub id: WheelId,
    /// Hub, m.
    pub hub: DVec3,
    /// How far the hub stands above its drawn place, m.
    pub travel: f64,
    /// Radius of the tyre without load, m.
    pub radius: f64,
    /// From the hub to the ground under load, m.
    pub loaded: f64,
    /// Where the tyre touches, or would, m.
    pub contact: DVec3,
    /// Height of that place over the ground: not zero where wheels do not fit one plane, m.
    pub gap: f64,
    /// Load on the ground, N; `None` where it can't be told.
    pub load: Option<f64>,
    /// What the hub does.
    pub state: Hub,
    /// Whether the loaded radius follows from the load: N/m.
    #[serde(skip)]
    pub(crate) tyre_rate: Option<f64>,
}

impl Standing {
    /// Where the tyre touches a plane: straight under the hub in the wheel's own plane.
    pub(crate) fn touch(&self, ground: &Ground) -> DVec3 {
        let n = ground.normal;
        let down = DVec3::new(-n.x, 0.0, -n.z).normalize();
        self.hub + down * self.loaded
    }

    pub(crate) fn put(&mut self, ground: &Ground) {
        self.contact = self.touch(ground);
        self.gap = ground.over(self.contact);
    }
}

/// The wheels of a design in a stance, before springs are asked.
pub(crate) fn of(shape: &Shape, stance: &Stance) -> Vec<Standing> {
    let design = &shape.design;
    let mut id = 0;
    let mut out: Vec<Standing> = Vec::new();
    for (body, b) in shape.bodies.iter().enumerate().filter(|(_, b)| b.kind == BodyKind::Wheel) {
        // Bodies come in the design's order, a twin right after its wheel.
        let twin = b.name.ends_with('~');
        if !out.is_empty() && !twin {
            id += 1;
        }
        let w = &design.wheels[id];
        let mut s = Standing {
            name: b.name.clone(),
            body,
            id: WheelId(id),
            hub: b.centre,
            travel: 0.0,
            radius: w.radius,
            loaded: w.loaded,
            contact: b.centre,
            gap: 0.0,
            load: None,
            state: Hub::Held,
            tyre_rate: w.tyre_rate,
        };
        if let Some(own) = stance.wheels.iter().find(|o| o.wheel.0 == id) {
            s.travel = own.hub;
            s.hub.z += own.hub;
            if let Some(r) = own.radius {
                // Another tyre is squashed as much as the first, unless the stance says.
                s.loaded += r - s.radius;
                s.radius = r;
            }
            if let Some(l) = own.loaded {
                s.loaded = l;
                s.tyre_rate = None;
            }
        }
        out.push(s);
    }
    out
}
