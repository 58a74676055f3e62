//! Occupants, wheels and masses as simple solids.

mod arms;
mod person;
mod segments;
pub mod survey;

use design::{Design, Place};
use geometry::convex::Core;
use geometry::{Convex, DMat3, DVec3, Frame};

use crate::places::{Places, twin};

/// What a body is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum BodyKind {
    /// A person.
    Occupant,
    /// A wheel.
    Wheel,
    /// A mass.
    Mass,
}

/// A body that is not part of the frame.
#[derive(Clone, Debug)]
pub struct Body {
    /// Name; a twin's ends with `~`.
    pub name: String,
    /// What it is.
    pub kind: BodyKind,
    /// Its room, as rounded convex parts, each with what it is. A mass without extents has none.
    pub parts: Vec<(&'static str, Convex)>,
    /// Centre of its mass, m.
    pub centre: DVec3,
    /// kg.
    pub mass: f64,
    /// Inertia tensor about its centre, kg m²: diagonal the moments, off it the negative products.
    pub inertia: DMat3,
    /// Length of an occupant's bare head, m; nothing for others.
    pub head: f64,
    /// What an occupant's hands were to hold, if the design says.
    pub reach: Option<Reach>,
}

/// How an arm reaches for what it is to hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach {
    /// Where the left hand was to hold, m.
    pub wanted: DVec3,
    /// How far from there it stays, m.
    pub missing: f64,
    /// From the shoulder to the grip, stretched, m.
    pub arm: f64,
}

impl Body {
    fn mirrored(&self) -> Body {
        let m = |p: DVec3| twin(p, true);
        let parts = self
            .parts
            .iter()
            .map(|(n, c)| {
                let core = match &c.core {
                    Core::Segment(a, b) => Core::Segment(m(*a), m(*b)),
                    Core::Block(f, h) => Core::Block(f.mirrored(), *h),
                    Core::Cylinder(f, h, r) => Core::Cylinder(f.mirrored(), *h, *r),
                };
                (*n, Convex { core, margin: c.margin })
            })
            .collect();
        // Products with y change their sign.
        let flip = DMat3::from_diagonal(DVec3::new(1.0, -1.0, 1.0));
        let inertia = flip * self.inertia * flip;
        let reach = self.reach.map(|r| Reach { wanted: m(r.wanted), ..r });
        Body { name: format!("{}~", self.name), parts, centre: m(self.centre), inertia, reach, ..self.clone() }
    }
}

/// Where something is placed.
type At<'a> = &'a dyn Fn(&Place) -> DVec3;

pub(crate) fn expand(design: &Design, places: &Places) -> Vec<Body> {
    let mut out = Vec::new();
    // A twin is the mirror image of the same thing at the other side's places, seen in the mirror.
    let mut push = |body: &dyn Fn(At<'_>) -> Body, mirror: bool| {
        let seen = |mirrored: bool| {
            move |p: &Place| match p {
                Place::At(v) => *v,
                Place::Point(r) => places.seen(r, mirrored),
            }
        };
        out.push(body(&seen(false)));
        if mirror {
            out.push(body(&seen(true)).mirrored());
        }
    };
    for o in &design.occupants {
        push(&|at| person::body(o, at(&o.hip), o.hands.as_ref().map(at)), o.mirror);
    }
    for w in &design.wheels {
        push(&|at| wheel(w, at(&w.at)), w.mirror);
    }
    for m in &design.masses {
        push(&|at| mass(m, at(&m.at)), m.mirror);
    }
    out
}

fn wheel(w: &design::Wheel, c: DVec3) -> Body {
    let frame = Frame { origin: c, t: DVec3::Y, u: DVec3::Z, v: DVec3::X };
    let core = Core::Cylinder(frame, w.width / 2.0, w.radius);
    // A solid disc: half of m r² about its axle.
    let (axle, across) = (0.5 * w.radius * w.radius, w.radius * w.radius / 4.0 + w.width * w.width / 12.0);
    Body {
        name: w.name.clone(),
        kind: BodyKind::Wheel,
        parts: vec![("wheel", Convex { core, margin: 0.0 })],
        centre: c,
        mass: w.kg,
        inertia: DMat3::from_diagonal(DVec3::new(across, axle, across) * w.kg),
        head: 0.0,
        reach: None,
    }
}

fn mass(m: &design::Mass, c: DVec3) -> Body {
    let s = m.size;
    let frame = Frame { origin: c, t: DVec3::X, u: DVec3::Z, v: DVec3::NEG_Y };
    let parts = if s.min_element() > 0.0 {
        let half = DVec3::new(s.x, s.z, s.y) / 2.0;
        vec![("block", Convex { core: Core::Block(frame, half), margin: 0.0 })]
    } else {
        Vec::new()
    };
    let sq = s * s / 12.0;
    Body {
        name: m.name.clone(),
        kind: BodyKind::Mass,
        parts,
        centre: c,
        mass: m.kg,
        inertia: DMat3::from_diagonal(DVec3::new(sq.y + sq.z, sq.x + sq.z, sq.x + sq.y) * m.kg),
        head: 0.0,
        reach: None,
    }
}
