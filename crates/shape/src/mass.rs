//! Mass, centre of gravity and inertia.

use design::TubeState;
use geometry::{DMat3, DVec3, Frame, Segment};

use crate::tube::Tube;
use crate::{Plate, Shape};

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
    // ∫x² over the section turns about v, ∫y² about u, both about t.
    let section = |f: &Frame, along: f64| {
        let rot = f.rotation();
        let own = DVec3::new(ix + iy, iy + along, ix + along);
        rot * DMat3::from_diagonal(own) * rot.transpose()
    };
    for (i, seg) in t.chain.segments.iter().enumerate() {
        match *seg {
            Segment::Leg { from, along, length } => {
                let m = density * area * length;
                let own = section(&t.frames[i], area * length * length / 12.0);
                sum.add(m, from + along * (length / 2.0), own * (density * length));
            }
            Segment::Arc { axis, start, radius, sweep, centre } => {
                let arc = Turned { axis, start, sweep };
                // The outside of a bend holds more material than the inside, which moves each slice's centre outward
                // by I / (A R).
                let far = radius + ix / (area * radius);
                let slice = density * area * radius;
                let (out, square) = arc.outward();
                sum.mass += slice * sweep;
                sum.first += (centre * sweep + out * far) * slice;
                let places = outer(centre, centre) * sweep
                    + (outer(centre, out) + outer(out, centre)) * far
                    + square * (far * far);
                let trace = places.x_axis.x + places.y_axis.y + places.z_axis.z;
                sum.second += (DMat3::from_diagonal(DVec3::splat(trace)) - places) * slice;
                sum.second += arc.tensor(section(&t.frames[i], 0.0)) * (density * radius);
            }
        }
    }
}

/// Sums over an arc, in closed form.
struct Turned {
    axis: DVec3,
    start: DVec3,
    sweep: f64,
}

impl Turned {
    /// The unit vector outward, and its square (its outer product with itself), each summed over the sweep.
    fn outward(&self) -> (DVec3, DMat3) {
        let side = self.axis.cross(self.start);
        let (sin, cos) = self.sweep.sin_cos();
        let out = self.start * sin + side * (1.0 - cos);
        let (even, odd) = (0.5 * sin * cos, 0.5 * sin * sin);
        let square = outer(self.start, self.start) * (0.5 * self.sweep + even)
            + outer(side, side) * (0.5 * self.sweep - even)
            + (outer(self.start, side) + outer(side, self.start)) * odd;
        (out, square)
    }

    /// A symmetric tensor at the arc's start that turns with it, summed over the sweep.
    fn tensor(&self, m: DMat3) -> DMat3 {
        let basis = DMat3::from_cols(self.start, self.axis.cross(self.start), self.axis);
        let m = basis.transpose() * m * basis;
        let (sin, cos) = self.sweep.sin_cos();
        // Within the plane of the arc the mean stays and the rest turns twice as fast; what couples it to the axis turns
        // as a vector does; the axis's own stays.
        let (mean, half, cross) = (0.5 * (m.x_axis.x + m.y_axis.y), 0.5 * (m.x_axis.x - m.y_axis.y), m.x_axis.y);
        let (c2, s2) = (sin * cos, sin * sin);
        let (half, cross) = (half * c2 - cross * s2, half * s2 + cross * c2);
        let (p, q) = (m.z_axis.x, m.z_axis.y);
        let (p, q) = (p * sin - q * (1.0 - cos), p * (1.0 - cos) + q * sin);
        let mean = mean * self.sweep;
        let summed = DMat3::from_cols(
            DVec3::new(mean + half, cross, p),
            DVec3::new(cross, mean - half, q),
            DVec3::new(p, q, m.z_axis.z * self.sweep),
        );
        basis * summed * basis.transpose()
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
    for m in shape.plates.iter().filter_map(plate) {
        sum.add(m.mass, m.centre, m.inertia);
    }
}

/// A plate; `None` if it has no area. Holes shift its centre and inertia by less than its thickness matters; they count in
/// its mass.
pub fn plate(p: &Plate) -> Option<MassProperties> {
    let c = geometry::polygon::centroid(&p.corners)?;
    let area = geometry::polygon::signed_area(&p.corners);
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
    Some(MassProperties { mass: p.mass, centre: p.place(c, mid), inertia: rot * local * rot.transpose() })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The midpoint rule over many slices comes to the closed forms.
    #[test]
    fn arcs_are_the_sum_of_their_slices() {
        for k in 0..40 {
            let f = |n: f64| (f64::from(k) * n + 0.3).sin();
            let axis = DVec3::new(f(1.0), f(2.0), f(3.0)).normalize();
            let start = geometry::frame::any_across(axis);
            let sweep = 0.05 + 3.0 * f(0.77).abs();
            let arc = Turned { axis, start, sweep };
            let column = |n: f64| DVec3::new(f(n), f(n + 0.4), f(n + 0.9));
            let m = DMat3::from_cols(column(5.0), column(6.0), column(7.0));
            let m = m + m.transpose();
            let n = 4000;
            let (mut out, mut square, mut tensor) = (DVec3::ZERO, DMat3::ZERO, DMat3::ZERO);
            for i in 0..n {
                let turn = DMat3::from_axis_angle(axis, sweep * (f64::from(i) + 0.5) / f64::from(n));
                let o = turn * start;
                out += o * (sweep / f64::from(n));
                square += outer(o, o) * (sweep / f64::from(n));
                tensor += turn * m * turn.transpose() * (sweep / f64::from(n));
            }
            let (a, b) = arc.outward();
            let off = |p: DMat3, q: DMat3| (p - q).to_cols_array().iter().fold(0.0, |m: f64, v| m.max(v.abs()));
            assert!((a - out).length() < 1e-6 && off(b, square) < 1e-6 && off(arc.tensor(m), tensor) < 4e-6, "{k}");
        }
    }
}
