//! Mass, centre of gravity and inertia.

use design::TubeState;
use geometry::{DMat3, DVec3, Segment};

use crate::Shape;
use crate::tube::Tube;

/// Mass properties about a centre, axes as the frame's.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct MassProperties {
    /// kg.
    pub mass: f64,
    /// Centre of gravity, m.
    pub centre: DVec3,
    /// Inertia tensor about the centre, kg m²: diagonal the moments, off it the negative products.
    pub inertia: DMat3,
}

/// Sums masses with their inertias.
struct Sum {
    mass: f64,
    first: DVec3,
    /// About the origin.
    second: DMat3,
}

fn outer(a: DVec3, b: DVec3) -> DMat3 {
    DMat3::from_cols(a * b.x, a * b.y, a * b.z)
}

/// Inertia of a unit point mass about the origin.
fn point(c: DVec3) -> DMat3 {
    DMat3::from_diagonal(DVec3::splat(c.length_squared())) - outer(c, c)
}

impl Sum {
    /// Nothing yet. (A matrix's own default is the identity.)
    const NOTHING: Sum = Sum { mass: 0.0, first: DVec3::ZERO, second: DMat3::ZERO };

    fn add(&mut self, mass: f64, centre: DVec3, own: DMat3) {
        self.mass += mass;
        self.first += centre * mass;
        self.second += own + point(centre) * mass;
    }

    fn done(self) -> MassProperties {
        if self.mass <= 0.0 {
            return MassProperties { mass: 0.0, centre: DVec3::ZERO, inertia: DMat3::ZERO };
        }
        let centre = self.first / self.mass;
        MassProperties { mass: self.mass, centre, inertia: self.second - point(centre) * self.mass }
    }
}

/// Adds a tube along its centreline, from its first point to its last.
fn add_tube(sum: &mut Sum, t: &Tube, density: f64) {
    let area = t.outline.area() - t.bore.area();
    let (ox, oy) = t.outline.second_moments();
    let (bx, by) = t.bore.second_moments();
    let (ix, iy) = (ox - bx, oy - by);
    let slice = |f: &geometry::Frame, length: f64, offset: DVec3, sum: &mut Sum| {
        let m = density * area * length;
        // ∫x² over the section turns about v, ∫y² about u, both about t.
        let rot = f.rotation();
        let along = m * length * length / 12.0;
        let own =
            DVec3::new((ix + iy) * density * length, iy * density * length + along, ix * density * length + along);
        sum.add(m, f.origin + offset, rot * DMat3::from_diagonal(own) * rot.transpose());
    };
    for (i, seg) in t.chain.segments.iter().enumerate() {
        match *seg {
            Segment::Leg { from, along, length } => {
                slice(&t.frames[i].at(from + along * (length / 2.0)), length, DVec3::ZERO, sum);
            }
            Segment::Arc { axis, start, radius, sweep, .. } => {
                // Slices of a degree: the chord's shortfall is under 4e-5 of the radius. The outside of a bend holds
                // more material than the inside, which moves each slice's centre outward by I / (A R).
                let n = (sweep.to_degrees().ceil() as usize).max(1);
                for k in 0..n {
                    let a = sweep * (k as f64 + 0.5) / n as f64;
                    let out = start * a.cos() + axis.cross(start) * a.sin();
                    let f = t.frames[i].turned(axis, a).at(seg.point(radius * a));
                    slice(&f, radius * sweep / n as f64, out * (ix / (area * radius)), sum);
                }
            }
        }
    }
}

/// The frame alone: permanent and provisional tubes along their centrelines, and plates. Tubes count from centre to
/// centre, so what the end cuts take away at joints is still in: the cut pieces weigh a little less.
pub fn frame(shape: &Shape) -> MassProperties {
    let mut sum = Sum::NOTHING;
    add_frame(&mut sum, shape);
    sum.done()
}

/// The frame with its masses, wheels and occupants.
pub fn laden(shape: &Shape) -> MassProperties {
    let mut sum = Sum::NOTHING;
    add_frame(&mut sum, shape);
    for b in &shape.bodies {
        sum.add(b.mass, b.centre, b.inertia);
    }
    sum.done()
}

/// A frame as weighed by [`frame`] with a share of each body, moved from where it is drawn: one entry for each of
/// [`Shape::bodies`], its share of the mass (0: not on board; a part of a tank keeps the tank's centre) and its shift, m.
pub fn loaded(frame: &MassProperties, shape: &Shape, bodies: &[(f64, DVec3)]) -> MassProperties {
    let mut sum = Sum::NOTHING;
    sum.add(frame.mass, frame.centre, frame.inertia);
    add_bodies(&mut sum, shape, bodies);
    sum.done()
}

fn add_bodies(sum: &mut Sum, shape: &Shape, bodies: &[(f64, DVec3)]) {
    for (b, &(share, shift)) in shape.bodies.iter().zip(bodies) {
        sum.add(share * b.mass, b.centre + shift, b.inertia * share);
    }
}

fn add_frame(sum: &mut Sum, shape: &Shape) {
    for t in shape.tubes.iter().filter(|t| t.state != TubeState::Temporary) {
        let section = &shape.design.sections[t.section.0];
        add_tube(sum, t, shape.design.materials[section.material.0].density);
    }
    for p in &shape.plates {
        // Holes shift the centre and inertia of a plate by less than its thickness matters; they count in its mass.
        let (Some(c), area) = (geometry::polygon::centroid(&p.corners), geometry::polygon::signed_area(&p.corners))
        else {
            continue;
        };
        let rel: Vec<_> = p.corners.iter().map(|q| *q - c).collect();
        let (xx, yy, xy) = geometry::polygon::second_moments(&rel);
        let k = p.mass / area;
        let rot = p.frame.rotation();
        let local = DMat3::from_cols(
            DVec3::new(k * (xx + yy), 0.0, 0.0),
            DVec3::new(0.0, k * yy, -k * xy),
            DVec3::new(0.0, -k * xy, k * xx),
        );
        let mid = 0.5 * (p.faces.0 + p.faces.1);
        sum.add(p.mass, p.place(c, mid), rot * local * rot.transpose());
    }
}
