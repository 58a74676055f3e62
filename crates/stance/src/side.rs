//! The frame in side view, in the ground's axes: x forward, y up.

use geometry::{DVec2, DVec3};

use crate::ground::Ground;
use crate::solids::Thing;

/// A part seen from the side: which one, and a circle that holds it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Seen {
    pub thing: usize,
    pub part: usize,
    pub mid: DVec2,
    pub radius: f64,
}

/// A tyre seen from the side.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tyre {
    pub hub: DVec2,
    pub loaded: f64,
}

/// The side view of what counts.
pub(crate) struct View<'a> {
    pub things: &'a [Thing],
    pub ground: Ground,
    /// Lowest first.
    pub seen: Vec<Seen>,
}

impl View<'_> {
    pub fn new<'a>(things: &'a [Thing], counts: &[bool], ground: Ground) -> View<'a> {
        let mut seen = Vec::new();
        for (i, t) in things.iter().enumerate().filter(|(i, _)| counts[*i]) {
            for (k, p) in t.parts.iter().enumerate() {
                let (mid, radius) = p.ball();
                let at = ground.place(mid);
                seen.push(Seen { thing: i, part: k, mid: DVec2::new(at.x, at.z), radius });
            }
        }
        seen.sort_by(|a, b| (a.mid.y - a.radius).total_cmp(&(b.mid.y - b.radius)));
        View { things, ground, seen }
    }

    /// The farthest place of a part in a direction of the side view: in the frame's axes, and in the view.
    pub fn support(&self, s: &Seen, d: DVec2) -> (DVec3, DVec2) {
        let p = self.things[s.thing].parts[s.part].support(self.ground.direction(DVec3::new(d.x, 0.0, d.y)));
        let at = self.ground.place(p);
        (p, DVec2::new(at.x, at.z))
    }
}
