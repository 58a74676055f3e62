//! Where a body is, as seen from its final place.

use geometry::convex::{Convex, Core};
use geometry::{DVec3, Frame};
use glam::DQuat;

/// A rigid move: turned about the origin, then shifted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    turn: DQuat,
    by: DVec3,
}

impl Pose {
    /// The final place.
    pub const HOME: Pose = Pose { turn: DQuat::IDENTITY, by: DVec3::ZERO };

    /// Beside it.
    pub fn shifted(by: DVec3) -> Pose {
        Pose { turn: DQuat::IDENTITY, by }
    }

    /// Turned by an angle (rad, right-handed) about an axis (unit) through a place, and slid along that axis (m).
    pub fn about(at: DVec3, axis: DVec3, angle: f64, slide: f64) -> Pose {
        let turn = DQuat::from_axis_angle(axis, angle);
        Pose { turn, by: at - turn * at + axis * slide }
    }

    /// Where a place of the body is.
    pub fn place(&self, p: DVec3) -> DVec3 {
        self.turn * p + self.by
    }

    /// Which place of the body, as in its final place, is here.
    pub fn back(&self, p: DVec3) -> DVec3 {
        self.turn.inverse() * (p - self.by)
    }

    /// Where a direction of the body points.
    pub fn direction(&self, d: DVec3) -> DVec3 {
        self.turn * d
    }

    /// Which direction of the body points this way.
    pub fn direction_back(&self, d: DVec3) -> DVec3 {
        self.turn.inverse() * d
    }

    /// A body.
    pub fn body(&self, body: &Convex) -> Convex {
        let frame = |f: &Frame| Frame {
            origin: self.place(f.origin),
            t: self.direction(f.t),
            u: self.direction(f.u),
            v: self.direction(f.v),
        };
        let core = match &body.core {
            Core::Segment(a, b) => Core::Segment(self.place(*a), self.place(*b)),
            Core::Block(f, h) => Core::Block(frame(f), *h),
            Core::Cylinder(f, l, r) => Core::Cylinder(frame(f), *l, *r),
        };
        Convex { core, margin: body.margin }
    }

    /// The axis-aligned box that holds a moved box.
    pub fn bounds(&self, (lo, hi): (DVec3, DVec3)) -> (DVec3, DVec3) {
        around(self.place(0.5 * (lo + hi)), 0.5 * (hi - lo), |d| self.direction(d))
    }
}

fn around(middle: DVec3, half: DVec3, turned: impl Fn(DVec3) -> DVec3) -> (DVec3, DVec3) {
    let reach = turned(DVec3::X * half.x).abs() + turned(DVec3::Y * half.y).abs() + turned(DVec3::Z * half.z).abs();
    (middle - reach, middle + reach)
}

/// A box grown by a move along a line.
pub fn swept((lo, hi): (DVec3, DVec3), by: DVec3) -> (DVec3, DVec3) {
    (lo + by.min(DVec3::ZERO), hi + by.max(DVec3::ZERO))
}

/// Whether two boxes meet.
pub fn meet(a: (DVec3, DVec3), b: (DVec3, DVec3)) -> bool {
    a.0.cmple(b.1).all() && b.0.cmple(a.1).all()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_turn_leaves_its_axis_and_comes_back() {
        let at = DVec3::new(0.3, -0.2, 0.9);
        let axis = DVec3::new(1.0, 2.0, -0.5).normalize();
        let pose = Pose::about(at, axis, 0.7, 0.0);
        assert!((pose.place(at + axis * 0.4) - (at + axis * 0.4)).length() < 1e-14);
        let p = DVec3::new(-1.0, 0.4, 0.2);
        assert!((pose.back(pose.place(p)) - p).length() < 1e-14);
        let slid = Pose::about(at, axis, 0.7, 0.05);
        assert!((slid.place(at) - (at + axis * 0.05)).length() < 1e-14);
    }

    #[test]
    fn a_moved_box_is_held() {
        let pose = Pose::about(DVec3::X, DVec3::new(1.0, 1.0, 0.3).normalize(), 1.1, 0.2);
        let (lo, hi) = (DVec3::new(-1.0, 0.0, 2.0), DVec3::new(0.5, 0.3, 2.2));
        let (a, b) = pose.bounds((lo, hi));
        for k in 0..8 {
            let pick = |bit: usize, l: f64, h: f64| if k >> bit & 1 == 0 { l } else { h };
            let p = pose.place(DVec3::new(pick(0, lo.x, hi.x), pick(1, lo.y, hi.y), pick(2, lo.z, hi.z)));
            assert!(p.cmpge(a - 1e-12).all() && p.cmple(b + 1e-12).all());
        }
    }
}
