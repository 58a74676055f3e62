//! People, wheels and masses.

use geometry::Convex;
use geometry::convex::Core;
use review::Review;
use shape::bodies::BodyKind;

use crate::wire::{Solid, SolidKind, SolidShape};

/// All of them, part by part.
pub fn solids(r: &Review) -> Vec<Solid> {
    r.shape
        .bodies
        .iter()
        .flat_map(|b| {
            let kind = match b.kind {
                BodyKind::Occupant => SolidKind::Person,
                BodyKind::Wheel => SolidKind::Wheel,
                BodyKind::Mass => SolidKind::Mass,
            };
            b.parts.iter().map(move |(_, c)| Solid { name: b.name.clone(), kind, shape: plain(c) })
        })
        .collect()
}

fn plain(c: &Convex) -> SolidShape {
    match &c.core {
        Core::Segment(a, b) if a == b => SolidShape::Ball { centre: a.to_array(), radius: c.margin },
        Core::Segment(a, b) => SolidShape::Capsule { ends: [a.to_array(), b.to_array()], radius: c.margin },
        Core::Block(f, half) => SolidShape::Block {
            centre: f.origin.to_array(),
            axes: [f.t.to_array(), f.u.to_array(), f.v.to_array()],
            half: [half.x + c.margin, half.y + c.margin, half.z + c.margin],
        },
        Core::Cylinder(f, half, radius) => SolidShape::Disc {
            centre: f.origin.to_array(),
            axis: f.t.to_array(),
            radius: radius + c.margin,
            width: 2.0 * (half + c.margin),
        },
    }
}
