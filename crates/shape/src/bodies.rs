//! Occupants, wheels and masses as simple solids.

use design::{Design, Occupant, Place};
use geometry::convex::Core;
use geometry::{Convex, DVec3, Frame};

use crate::locate::twin;

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
    /// Moments of inertia about its centre along x, y, z, kg m².
    pub inertia: DVec3,
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
        Body { name: format!("{}~", self.name), parts, centre: m(self.centre), ..self.clone() }
    }
}

/// Lengths of body segments as fractions of stature, after Drillis and Contini (1966) as given in Winter,
/// "Biomechanics and Motor Control of Human Movement": from memory.
pub mod proportions {
    /// Hip to shoulder.
    pub const TRUNK: f64 = 0.288;
    /// Shoulder to crown.
    pub const HEAD_AND_NECK: f64 = 0.182;
    /// Hip to knee.
    pub const THIGH: f64 = 0.245;
    /// Knee to ankle.
    pub const SHIN: f64 = 0.246;
    /// Ankle to sole.
    pub const ANKLE: f64 = 0.039;
    /// Middle to one shoulder.
    pub const SHOULDER: f64 = 0.129;
    /// Middle to one hip.
    pub const HIP: f64 = 0.0955;
    /// Foot length.
    pub const FOOT: f64 = 0.152;
    /// Parts of body mass: head and neck, trunk with arms, both thighs, both shins, both feet.
    pub const MASS: [f64; 5] = [0.081, 0.597, 0.200, 0.093, 0.029];
}

/// Radii of the rounded parts as fractions of stature; round figures that hold the breadths and depths of the US Army
/// survey of 2012 (ANSUR II) at its 95th male percentiles: chest depth 298, thigh clearance 207, stature 1870 mm.
mod girth {
    pub const TRUNK: f64 = 0.080;
    pub const THIGH: f64 = 0.052;
    pub const SHIN: f64 = 0.034;
    pub const FOOT: f64 = 0.028;
}

fn occupant(o: &Occupant, hip: DVec3) -> Body {
    use proportions::*;
    let h = o.stature;
    let up = DVec3::new(-o.back.sin(), 0.0, o.back.cos());
    let shoulder = hip + up * (TRUNK * h);
    let crown = shoulder + up * (HEAD_AND_NECK * h);
    // The helmet's top stands as far over the crown as its shell and liner are thick, taken as half of what its
    // diameter exceeds the head's length (0.107 of stature at the survey's medians).
    let head = crown + up * (0.5 * (o.helmet - 0.107 * h)) - up * (o.helmet / 2.0);
    let thigh = DVec3::new(o.thigh.cos(), 0.0, o.thigh.sin());
    // The shin turns down from the thigh's line by what the knee's angle lacks of straight.
    let fold = o.thigh - (std::f64::consts::PI - o.knee);
    let shin = DVec3::new(fold.cos(), 0.0, fold.sin());
    let sole = DVec3::new(-shin.z, 0.0, shin.x);
    let across = |d: f64| DVec3::Y * (d * h);
    let mut parts = vec![
        ("helmet", Convex::capsule(head, head, o.helmet / 2.0)),
        ("neck", Convex::capsule(shoulder, head, 0.035 * h)),
        ("trunk", Convex::capsule(hip + across(0.03), shoulder - up * (0.02 * h) + across(0.03), girth::TRUNK * h)),
        ("trunk", Convex::capsule(hip - across(0.03), shoulder - up * (0.02 * h) - across(0.03), girth::TRUNK * h)),
        (
            "shoulders",
            Convex::capsule(shoulder - across(SHOULDER - 0.02), shoulder + across(SHOULDER - 0.02), 0.045 * h),
        ),
        ("hips", Convex::capsule(hip - across(HIP - 0.02), hip + across(HIP - 0.02), 0.065 * h)),
    ];
    let mut ankle_mid = DVec3::ZERO;
    let mut knee_mid = DVec3::ZERO;
    for side in [-1.0, 1.0] {
        let root = hip + across(side * 0.05);
        let knee = root + thigh * (THIGH * h);
        let ankle = knee + shin * (SHIN * h);
        parts.push(("thigh", Convex::capsule(root, knee, girth::THIGH * h)));
        parts.push(("shin", Convex::capsule(knee, ankle, girth::SHIN * h)));
        parts.push(("foot", Convex::capsule(ankle, ankle + sole * (FOOT * h * 0.7), girth::FOOT * h)));
        ankle_mid += ankle / 2.0;
        knee_mid += knee / 2.0;
    }
    let centres =
        [head, hip.lerp(shoulder, 0.5), hip.lerp(knee_mid, 0.433), knee_mid.lerp(ankle_mid, 0.433), ankle_mid];
    let centre: DVec3 = centres.iter().zip(MASS).map(|(c, m)| *c * m).sum();
    let inertia = centres
        .iter()
        .zip(MASS)
        .map(|(c, m)| {
            let d = *c - centre;
            (DVec3::splat(d.length_squared()) - d * d) * (m * o.kg)
        })
        .sum();
    Body { name: o.name.clone(), kind: BodyKind::Occupant, parts, centre, mass: o.kg, inertia }
}

pub(crate) fn expand(design: &Design, points: &[DVec3]) -> Vec<Body> {
    let at = |p: &Place| match p {
        Place::At(v) => *v,
        Place::Point(r) => twin(points[r.id.0], r.twin),
    };
    let mut out = Vec::new();
    let mut push = |b: Body, mirror: bool| {
        let m = mirror.then(|| b.mirrored());
        out.push(b);
        out.extend(m);
    };
    for o in &design.occupants {
        push(occupant(o, at(&o.hip)), o.mirror);
    }
    for w in &design.wheels {
        let c = at(&w.at);
        let frame = Frame { origin: c, t: DVec3::Y, u: DVec3::Z, v: DVec3::X };
        let core = Core::Cylinder(frame, w.width / 2.0, w.radius);
        // A solid disc: half of m r² about its axle.
        let (axle, across) = (0.5 * w.radius * w.radius, w.radius * w.radius / 4.0 + w.width * w.width / 12.0);
        push(
            Body {
                name: w.name.clone(),
                kind: BodyKind::Wheel,
                parts: vec![("wheel", Convex { core, margin: 0.0 })],
                centre: c,
                mass: w.kg,
                inertia: DVec3::new(across, axle, across) * w.kg,
            },
            w.mirror,
        );
    }
    for m in &design.masses {
        let c = at(&m.at);
        let s = m.size;
        let frame = Frame { origin: c, t: DVec3::X, u: DVec3::Z, v: DVec3::NEG_Y };
        let parts = if s.min_element() > 0.0 {
            let half = DVec3::new(s.x, s.z, s.y) / 2.0;
            vec![("block", Convex { core: Core::Block(frame, half), margin: 0.0 })]
        } else {
            Vec::new()
        };
        let sq = s * s / 12.0;
        push(
            Body {
                name: m.name.clone(),
                kind: BodyKind::Mass,
                parts,
                centre: c,
                mass: m.kg,
                inertia: DVec3::new(sq.y + sq.z, sq.x + sq.z, sq.x + sq.y) * m.kg,
            },
            m.mirror,
        );
    }
    out
}
