//! An orthonormal frame at a place on a curve.

use glam::{DMat3, DQuat, DVec2, DVec3};

/// Origin, tangent `t`, and two directions square to it with `t × u = v`: seen along `t`, an angle from `u` towards
/// `v` runs clockwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Origin.
    pub origin: DVec3,
    /// Unit tangent.
    pub t: DVec3,
    /// Unit, square to `t`.
    pub u: DVec3,
    /// `t × u`.
    pub v: DVec3,
}

impl Frame {
    /// A frame from an origin, a tangent and any direction not parallel to it, of which only the part square to the
    /// tangent counts. `None` if they are parallel or one of them has no length.
    pub fn new(origin: DVec3, t: DVec3, towards: DVec3) -> Option<Frame> {
        let t = t.try_normalize()?;
        let towards = towards.try_normalize()?;
        let across = towards - t * t.dot(towards);
        if across.length() < crate::PARALLEL {
            return None;
        }
        let u = across.normalize();
        Some(Frame { origin, t, u, v: t.cross(u) })
    }

    /// The frame turned by `angle` (rad) about its own tangent, right-handed.
    pub fn rolled(&self, angle: f64) -> Frame {
        let (s, c) = angle.sin_cos();
        let u = self.u * c + self.v * s;
        Frame { u, v: self.t.cross(u), ..*self }
    }

    /// The frame turned about an axis through its origin, right-handed.
    pub fn turned(&self, axis: DVec3, angle: f64) -> Frame {
        let q = DQuat::from_axis_angle(axis, angle);
        Frame { origin: self.origin, t: q * self.t, u: q * self.u, v: q * self.v }
    }

    /// The same directions at another origin.
    pub fn at(&self, origin: DVec3) -> Frame {
        Frame { origin, ..*self }
    }

    /// Looking the other way along the curve, with the same `u`.
    pub fn reversed(&self) -> Frame {
        Frame { origin: self.origin, t: -self.t, u: self.u, v: -self.v }
    }

    /// A point of the cross-section: `p.x` along `u`, `p.y` along `v`.
    pub fn place(&self, p: DVec2) -> DVec3 {
        self.origin + self.u * p.x + self.v * p.y
    }

    /// A vector's parts along `u` and `v`.
    pub fn across(&self, d: DVec3) -> DVec2 {
        DVec2::new(d.dot(self.u), d.dot(self.v))
    }

    /// A point in this frame: (along t, along u, along v).
    pub fn local(&self, p: DVec3) -> DVec3 {
        let d = p - self.origin;
        DVec3::new(d.dot(self.t), d.dot(self.u), d.dot(self.v))
    }

    /// The rotation whose columns are t, u, v.
    pub fn rotation(&self) -> DMat3 {
        DMat3::from_cols(self.t, self.u, self.v)
    }

    /// The mirror image in the plane y = 0. `v` keeps `t × u = v`, so an angle from `u` changes sign in the image.
    pub fn mirrored(&self) -> Frame {
        let m = |d: DVec3| DVec3::new(d.x, -d.y, d.z);
        let (t, u) = (m(self.t), m(self.u));
        Frame { origin: m(self.origin), t, u, v: t.cross(u) }
    }
}

/// A unit vector square to `d` (which must have length), chosen without jumps near the axes that matter least.
pub fn any_across(d: DVec3) -> DVec3 {
    d.normalize().any_orthonormal_vector()
}
