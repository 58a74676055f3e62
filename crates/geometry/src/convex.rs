//! Distances between simple rounded convex bodies.

use crate::distance::segment_segment;
use crate::{Chain, Frame, Outline, Segment};
use glam::{DMat3, DQuat, DVec3};
use parry3d_f64::math::Pose;
use parry3d_f64::query;
use parry3d_f64::shape;

/// What a body is before it is rounded.
#[derive(Clone, Debug, PartialEq)]
pub enum Core {
    /// A segment; its two ends may coincide.
    Segment(DVec3, DVec3),
    /// A box: centre and directions, half extents along t, u, v.
    Block(Frame, DVec3),
    /// A cylinder about `t`: half length and radius.
    Cylinder(Frame, f64, f64),
}

/// Everything within `margin` of a core.
#[derive(Clone, Debug, PartialEq)]
pub struct Convex {
    /// The core.
    pub core: Core,
    /// Rounding.
    pub margin: f64,
}

impl Convex {
    /// A capsule; a ball if the ends coincide.
    pub fn capsule(a: DVec3, b: DVec3, r: f64) -> Convex {
        Convex { core: Core::Segment(a, b), margin: r }
    }

    /// Distance between the surfaces; zero or less where they overlap. The depth of an overlap is exact for capsules
    /// whose axes do not meet; otherwise it is at most the sum of the margins.
    pub fn distance(&self, other: &Convex) -> f64 {
        let d = match (&self.core, &other.core) {
            (Core::Segment(a, b), Core::Segment(c, d)) => segment_segment(*a, *b, *c, *d).0,
            (a, b) => {
                let (pa, sa) = solid(a);
                let (pb, sb) = solid(b);
                // The only failure is a pair of shapes without a distance algorithm; these all have one.
                query::distance(&pa, sa.as_ref(), &pb, sb.as_ref()).map_or(0.0, |d| d.distance)
            }
        };
        d - self.margin - other.margin
    }

    /// The place of the surface that lies farthest in a direction (unit).
    pub fn farthest(&self, d: DVec3) -> DVec3 {
        let core = match &self.core {
            Core::Segment(a, b) => {
                if a.dot(d) >= b.dot(d) {
                    *a
                } else {
                    *b
                }
            }
            Core::Block(f, h) => {
                let to = |axis: DVec3, half: f64| axis * half.copysign(axis.dot(d));
                f.origin + to(f.t, h.x) + to(f.u, h.y) + to(f.v, h.z)
            }
            Core::Cylinder(f, half, r) => {
                let across = (d - f.t * f.t.dot(d)).normalize_or_zero();
                f.origin + f.t * half.copysign(f.t.dot(d)) + across * *r
            }
        };
        core + d * self.margin
    }

    /// The place on this body's surface that is nearest another body. Where they overlap, a place within both or within
    /// this one's rounding.
    pub fn nearest_place(&self, other: &Convex) -> DVec3 {
        let (_, own, far) = self.nearest_cores(other);
        let gap = far - own;
        own + gap.normalize_or_zero() * self.margin.min(gap.length())
    }

    /// Distance as [`Convex::distance`] tells it, and the nearest places of the two cores: in one place where these
    /// overlap.
    pub fn nearest(&self, other: &Convex) -> (f64, DVec3, DVec3) {
        let (d, own, far) = self.nearest_cores(other);
        (d - self.margin - other.margin, own, far)
    }

    fn nearest_cores(&self, other: &Convex) -> (f64, DVec3, DVec3) {
        match (&self.core, &other.core) {
            (Core::Segment(a, b), Core::Segment(c, d)) => {
                let (distance, f, g) = segment_segment(*a, *b, *c, *d);
                (distance, a.lerp(*b, f), c.lerp(*d, g))
            }
            (a, b) => {
                let (pa, sa) = solid(a);
                let (pb, sb) = solid(b);
                match query::closest_points(&pa, sa.as_ref(), &pb, sb.as_ref(), f64::MAX) {
                    Ok(query::ClosestPoints::WithinMargin(p, q)) => (p.distance(q), p, q),
                    _ => (0.0, pa.translation, pa.translation),
                }
            }
        }
    }

    /// Corners of the axis-aligned box that holds the body.
    pub fn bounds(&self) -> (DVec3, DVec3) {
        let (lo, hi) = match &self.core {
            Core::Segment(a, b) => (a.min(*b), a.max(*b)),
            Core::Block(f, h) => {
                let e = f.t.abs() * h.x + f.u.abs() * h.y + f.v.abs() * h.z;
                (f.origin - e, f.origin + e)
            }
            Core::Cylinder(f, half, r) => {
                let e = f.t.abs() * *half + (DVec3::ONE - f.t * f.t).max(DVec3::ZERO).map(f64::sqrt) * *r;
                (f.origin - e, f.origin + e)
            }
        };
        (lo - self.margin, hi + self.margin)
    }
}

fn solid(core: &Core) -> (Pose, Box<dyn shape::Shape>) {
    let pose = |f: &Frame, m: DMat3| Pose::from_parts(f.origin, DQuat::from_mat3(&m));
    match core {
        Core::Segment(a, b) => (Pose::IDENTITY, Box::new(shape::Segment::new(*a, *b))),
        Core::Block(f, h) => (pose(f, f.rotation()), Box::new(shape::Cuboid::new(*h))),
        // parry's cylinder stands on y.
        Core::Cylinder(f, half, r) => {
            (pose(f, DMat3::from_cols(f.v, f.t, f.u)), Box::new(shape::Cylinder::new(*half, *r)))
        }
    }
}

/// Chords that stand for an arc stray from it by at most this.
pub const CHORD_SAGITTA: f64 = 2e-5;

/// An outline swept along a chain, as rounded convex bodies. Legs of a circle become capsules (so their ends are
/// rounded, a radius long); legs of a rectangle keep their flat ends; arcs become chains of chords within
/// [`CHORD_SAGITTA`] of the arc, of a circle that holds the outline.
pub fn swept(chain: &Chain, frames: &[Frame], outline: &Outline) -> Vec<Convex> {
    chain.segments.iter().zip(frames).flat_map(|(seg, frame)| swept_along(seg, frame, outline)).collect()
}

/// As [`swept`], of one segment with the frame at its start.
pub fn swept_along(segment: &Segment, frame: &Frame, outline: &Outline) -> Vec<Convex> {
    match (*segment, *outline) {
        (Segment::Leg { from, along, length }, Outline::Circle { r }) => {
            vec![Convex::capsule(from, from + along * length, r)]
        }
        (Segment::Leg { from, along, length }, Outline::RoundRect { half_x, half_y, r }) => {
            let half = length / 2.0;
            let margin = r.min(half);
            let h = DVec3::new(half - margin, half_x - margin, half_y - margin);
            vec![Convex { core: Core::Block(frame.at(from + along * half), h), margin }]
        }
        (Segment::Arc { radius, sweep, .. }, _) => {
            let step = 2.0 * (1.0 - CHORD_SAGITTA / radius).clamp(0.0, 1.0).acos();
            let n = (sweep / step).ceil().max(1.0) as usize;
            let at = |k: usize| segment.point(radius * sweep * k as f64 / n as f64);
            (0..n).map(|k| Convex::capsule(at(k), at(k + 1), outline.reach())).collect()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn simple_distances() {
        let f = Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z).unwrap();
        let block = Convex { core: Core::Block(f, DVec3::new(0.5, 0.2, 0.1)), margin: 0.0 };
        let rod = Convex::capsule(DVec3::new(0.0, 1.0, -1.0), DVec3::new(0.0, 1.0, 1.0), 0.02);
        assert!((block.distance(&rod) - 0.88).abs() < 1e-9, "half extent along v (y) is 0.1");
        let wheel = Convex {
            core: Core::Cylinder(Frame::new(DVec3::ZERO, DVec3::Y, DVec3::Z).unwrap(), 0.1, 0.3),
            margin: 0.0,
        };
        assert!((wheel.distance(&rod) - 0.88).abs() < 1e-6);
        let post = Convex::capsule(DVec3::new(1.0, 0.0, -1.0), DVec3::new(1.0, 0.0, 1.0), 0.05);
        assert!((wheel.distance(&post) - 0.65).abs() < 1e-6);
        assert!((block.distance(&post) - 0.45).abs() < 1e-9);
        let at = post.nearest_place(&block);
        assert!((at.x - 0.95).abs() < 1e-9 && at.y.abs() < 0.1 + 1e-9, "{at}");
        let ball = Convex::capsule(DVec3::new(3.0, 0.0, 0.5), DVec3::new(3.0, 0.0, 0.5), 0.5);
        assert!((post.nearest_place(&ball) - DVec3::new(1.05, 0.0, 0.5)).length() < 1e-12);
        assert_eq!(wheel.bounds(), (DVec3::new(-0.3, -0.1, -0.3), DVec3::new(0.3, 0.1, 0.3)));
    }
}
