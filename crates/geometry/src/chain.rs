//! A chain of straight legs joined by tangent arcs.

use crate::Frame;
use glam::{DQuat, DVec3};

/// A straight leg or an arc.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Segment {
    /// Straight.
    Leg {
        /// Where it starts.
        from: DVec3,
        /// Unit direction.
        along: DVec3,
        /// Length, may be zero between two arcs.
        length: f64,
    },
    /// An arc, tangent to what comes before and after.
    Arc {
        /// Centre.
        centre: DVec3,
        /// Unit normal of its plane; it runs right-handed about it.
        axis: DVec3,
        /// Unit, from the centre to its start.
        start: DVec3,
        /// Radius.
        radius: f64,
        /// Angle, rad, more than 0 and less than π.
        sweep: f64,
    },
}

impl Segment {
    /// Length along it.
    pub fn length(&self) -> f64 {
        match *self {
            Segment::Leg { length, .. } => length,
            Segment::Arc { radius, sweep, .. } => radius * sweep,
        }
    }

    /// Point at a distance from its start.
    pub fn point(&self, s: f64) -> DVec3 {
        match *self {
            Segment::Leg { from, along, .. } => from + along * s,
            Segment::Arc { centre, axis, start, radius, .. } => {
                let (sin, cos) = (s / radius).sin_cos();
                centre + (start * cos + axis.cross(start) * sin) * radius
            }
        }
    }

    /// Unit tangent at a distance from its start.
    pub fn tangent(&self, s: f64) -> DVec3 {
        match *self {
            Segment::Leg { along, .. } => along,
            Segment::Arc { axis, start, radius, .. } => {
                let (sin, cos) = (s / radius).sin_cos();
                axis.cross(start) * cos - start * sin
            }
        }
    }
}

/// Why corners and radii make no chain.
#[derive(Clone, Debug, PartialEq)]
pub enum ChainError {
    /// Corners `0` and `0 + 1` are the same place.
    SamePlace(usize),
    /// The path turns straight back at this corner.
    TurnsBack(usize),
    /// The straight between corners `leg` and `leg + 1` is too short for the bends at its ends.
    TooShort {
        /// First of its corners.
        leg: usize,
        /// Corner to corner.
        have: f64,
        /// What the bends take of it.
        need: f64,
    },
}

/// A chain from corners (where the straight legs would meet) and the radii of the arcs that round them off.
#[derive(Clone, Debug, PartialEq)]
pub struct Chain {
    /// The corners, ends included.
    pub corners: Vec<DVec3>,
    /// Leg, arc, leg, … leg. A corner at which the path does not turn has an arc of no length left out; its two legs
    /// are then joined into one.
    pub segments: Vec<Segment>,
    /// Distance along the chain at which each segment starts, and the whole length last.
    pub starts: Vec<f64>,
}

/// A corner that turns by less than this (rad) is straight: 1e-7 rad is 0.1 µm over a metre.
pub const STRAIGHT: f64 = 1e-7;

impl Chain {
    /// Builds the chain; `radii` has one value per inner corner.
    pub fn new(corners: &[DVec3], radii: &[f64]) -> Result<Chain, ChainError> {
        let n = corners.len();
        assert!(n >= 2 && radii.len() == n - 2, "a chain needs two ends and a radius for each inner corner");
        let mut along = Vec::with_capacity(n - 1);
        for i in 0..n - 1 {
            let d = corners[i + 1] - corners[i];
            if d.length() < crate::SAME_PLACE {
                return Err(ChainError::SamePlace(i));
            }
            along.push(d.normalize());
        }
        let mut bends = Vec::with_capacity(n - 2);
        for (i, &radius) in radii.iter().enumerate() {
            let (a, b) = (along[i], along[i + 1]);
            let sweep = a.cross(b).length().atan2(a.dot(b));
            if std::f64::consts::PI - sweep < STRAIGHT {
                return Err(ChainError::TurnsBack(i + 1));
            }
            let sweep = if sweep < STRAIGHT { 0.0 } else { sweep };
            bends.push((radius, sweep, radius * (sweep / 2.0).tan()));
        }
        let setback = |corner: usize| if corner == 0 || corner == n - 1 { 0.0 } else { bends[corner - 1].2 };
        let mut segments = Vec::with_capacity(2 * n);
        let mut from = corners[0];
        for i in 0..n - 1 {
            let have = corners[i].distance(corners[i + 1]);
            let need = setback(i) + setback(i + 1);
            if need > have + crate::SAME_PLACE {
                return Err(ChainError::TooShort { leg: i, have, need });
            }
            let to = corners[i + 1] - along[i] * setback(i + 1);
            let straight = i > 0 && bends[i - 1].1 == 0.0;
            if straight && let Some(Segment::Leg { length, .. }) = segments.last_mut() {
                *length += (to - from).dot(along[i]).max(0.0);
            } else {
                segments.push(Segment::Leg { from, along: along[i], length: (to - from).dot(along[i]).max(0.0) });
            }
            from = to;
            if i + 2 < n && bends[i].1 > 0.0 {
                let (radius, sweep, back) = bends[i];
                let axis = along[i].cross(along[i + 1]).normalize();
                let start = -axis.cross(along[i]);
                segments.push(Segment::Arc { centre: to - start * radius, axis, start, radius, sweep });
                from = corners[i + 1] + along[i + 1] * back;
            }
        }
        let mut starts = vec![0.0];
        for s in &segments {
            starts.push(starts[starts.len() - 1] + s.length());
        }
        Ok(Chain { corners: corners.to_vec(), segments, starts })
    }

    /// Whole length.
    pub fn length(&self) -> f64 {
        self.starts[self.starts.len() - 1]
    }

    /// The segment at a distance from the start, and the distance from that segment's start.
    pub fn locate(&self, s: f64) -> (usize, f64) {
        let i = self.starts.partition_point(|&x| x <= s).clamp(1, self.segments.len()) - 1;
        (i, s - self.starts[i])
    }

    /// The point at a distance from the start; beyond the ends it goes straight on.
    pub fn point(&self, s: f64) -> DVec3 {
        let (i, d) = self.locate(s);
        self.segments[i].point(d)
    }

    /// The unit tangent at a distance from the start.
    pub fn tangent(&self, s: f64) -> DVec3 {
        let (i, d) = self.locate(s);
        self.segments[i].tangent(d.clamp(0.0, self.segments[i].length()))
    }

    /// Unit tangent at the start.
    pub fn first_tangent(&self) -> DVec3 {
        self.segments[0].tangent(0.0)
    }

    /// Unit tangent at the end.
    pub fn last_tangent(&self) -> DVec3 {
        let s = &self.segments[self.segments.len() - 1];
        s.tangent(s.length())
    }

    /// Frames at the start of each segment and at the end, carried along from `u` at the start without twist: a line
    /// scribed along the straight material stays on `u`.
    pub fn frames(&self, u: DVec3) -> Option<Vec<Frame>> {
        let mut frame = Frame::new(self.corners[0], self.first_tangent(), u)?;
        let mut out = vec![frame];
        for s in &self.segments {
            frame = match *s {
                Segment::Leg { .. } => frame,
                Segment::Arc { axis, sweep, .. } => frame.turned(axis, sweep),
            }
            .at(s.point(s.length()));
            out.push(frame);
        }
        Some(out)
    }

    /// Places (distances from the start, rising) where the chain crosses the plane in which coordinate `axis`
    /// (0 x, 1 y, 2 z) has a value. A leg that lies in the plane counts as no crossing.
    pub fn crossings(&self, axis: usize, value: f64) -> Vec<f64> {
        let mut out: Vec<f64> = Vec::new();
        for (seg, &at) in self.segments.iter().zip(&self.starts) {
            match *seg {
                Segment::Leg { from, along, length } => {
                    if along[axis].abs() > crate::PARALLEL {
                        let s = (value - from[axis]) / along[axis];
                        if s >= -crate::SAME_PLACE && s <= length + crate::SAME_PLACE {
                            out.push(at + s.clamp(0.0, length));
                        }
                    }
                }
                Segment::Arc { centre, axis: n, start, radius, sweep } => {
                    let (a, b) = (start[axis], n.cross(start)[axis]);
                    let size = a.hypot(b);
                    let want = (value - centre[axis]) / radius;
                    if size > crate::PARALLEL && want.abs() <= size {
                        let (phase, open) = (b.atan2(a), (want / size).clamp(-1.0, 1.0).acos());
                        for t in [phase - open, phase + open] {
                            let t = t.rem_euclid(std::f64::consts::TAU);
                            if t <= sweep {
                                out.push(at + t * radius);
                            }
                        }
                    }
                }
            }
        }
        out.sort_by(f64::total_cmp);
        out.dedup_by(|b, a| (*b - *a).abs() < 2.0 * crate::SAME_PLACE);
        out
    }

    /// The place on the chain nearest a point: (distance from the start, distance away).
    pub fn nearest(&self, p: DVec3) -> (f64, f64) {
        let mut best = (0.0, f64::INFINITY);
        for (seg, &at) in self.segments.iter().zip(&self.starts) {
            let mut offer = |s: f64| {
                let d = seg.point(s).distance(p);
                if d < best.1 {
                    best = (at + s, d);
                }
            };
            match *seg {
                Segment::Leg { from, along, length } => offer((p - from).dot(along).clamp(0.0, length)),
                Segment::Arc { centre, axis, start, radius, sweep } => {
                    let d = p - centre;
                    let t = d.dot(axis.cross(start)).atan2(d.dot(start));
                    offer(0.0);
                    offer(radius * sweep);
                    if (0.0..=sweep).contains(&t) {
                        offer(radius * t);
                    }
                }
            }
        }
        best
    }

    /// The chain moved by a rotation and then a shift.
    pub fn moved(&self, turn: DQuat, shift: DVec3) -> Chain {
        let p = |x: DVec3| turn * x + shift;
        Chain {
            corners: self.corners.iter().map(|&c| p(c)).collect(),
            segments: self
                .segments
                .iter()
                .map(|s| match *s {
                    Segment::Leg { from, along, length } => Segment::Leg { from: p(from), along: turn * along, length },
                    Segment::Arc { centre, axis, start, radius, sweep } => {
                        Segment::Arc { centre: p(centre), axis: turn * axis, start: turn * start, radius, sweep }
                    }
                })
                .collect(),
            starts: self.starts.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::{FRAC_PI_2, PI};

    fn hoop() -> Chain {
        // SOURCES: bends in different planes, corner to corner 500, 600, 500, radius 100.
        let c = [(0., 0., 0.), (0.5, 0., 0.), (0.5, 0.6, 0.), (0.5, 0.6, 0.5)].map(DVec3::from);
        Chain::new(&c, &[0.1, 0.1]).unwrap()
    }

    #[test]
    fn legs_and_arcs_of_a_two_bend_tube() {
        // Worked by geometry: straights 400, 400, 400, arcs of 90 degrees, 1200 + 2 x 157.080 = 1514.16 mm.
        let h = hoop();
        let lengths: Vec<f64> = h.segments.iter().map(Segment::length).collect();
        for (l, w) in lengths.iter().zip([0.4, 0.1 * FRAC_PI_2, 0.4, 0.1 * FRAC_PI_2, 0.4]) {
            assert!((l - w).abs() < 1e-12);
        }
        assert!((h.length() - 1.514159265).abs() < 1e-9);
    }

    #[test]
    fn points_and_tangents_run_on_smoothly() {
        let h = hoop();
        for i in 0..1514 {
            let s = i as f64 * 0.001;
            let step = (h.point(s + 1e-6) - h.point(s - 1e-6)) / 2e-6;
            assert!((step - h.tangent(s)).length() < 2e-5, "{s}");
        }
        let f = h.frames(DVec3::Z).unwrap();
        assert!((f[5].origin - h.corners[3]).length() < 1e-12);
        assert!((f[5].t - DVec3::Z).length() < 1e-12);
        // z stays up through the first, flat bend; the second turns it back along -y.
        assert!((f[5].u - DVec3::NEG_Y).length() < 1e-12, "{:?}", f[5]);
    }

    #[test]
    fn crossings_and_nearest_agree_with_a_walk() {
        let h = hoop();
        for (axis, value) in [(0, 0.45), (1, 0.02), (1, 0.3), (2, 0.05), (2, 0.2), (0, 0.49)] {
            for s in h.crossings(axis, value) {
                assert!((h.point(s)[axis] - value).abs() < 1e-9);
            }
            let n = (0..15140).filter(|&i| {
                let (a, b) = (h.point(i as f64 * 1e-4)[axis] - value, h.point((i + 1) as f64 * 1e-4)[axis] - value);
                (a < 0.0) != (b < 0.0)
            });
            assert_eq!(n.count(), h.crossings(axis, value).len(), "{axis} {value}");
        }
        for p in [DVec3::new(0.4, 0.2, 0.1), DVec3::new(0.6, -0.1, 0.0), DVec3::new(0.2, 0.7, 0.3)] {
            let walk = (0..=15141).map(|i| h.point(i as f64 * 1e-4).distance(p)).fold(f64::INFINITY, f64::min);
            let (s, d) = h.nearest(p);
            assert!((walk - d).abs() < 1e-6 && walk + 1e-12 >= d);
            assert!((h.point(s).distance(p) - d).abs() < 1e-12);
        }
    }

    #[test]
    fn what_does_not_fit_is_named() {
        let c = |v: &[(f64, f64)]| v.iter().map(|p| DVec3::new(p.0, p.1, 0.0)).collect::<Vec<_>>();
        assert_eq!(Chain::new(&c(&[(0., 0.), (0., 0.)]), &[]), Err(ChainError::SamePlace(0)));
        assert_eq!(Chain::new(&c(&[(0., 0.), (1., 0.), (0., 0.)]), &[0.1]), Err(ChainError::TurnsBack(1)));
        let short = Chain::new(&c(&[(0., 0.), (1., 0.), (1., 0.15), (0., 0.15)]), &[0.1, 0.1]);
        assert!(matches!(short, Err(ChainError::TooShort { leg: 1, .. })), "{short:?}");
        let straight = Chain::new(&c(&[(0., 0.), (1., 0.), (2., 0.)]), &[0.1]).unwrap();
        assert_eq!(straight.segments.len(), 1);
        assert_eq!(straight.length(), 2.0);
        let back = Chain::new(&c(&[(0., 0.), (1., 0.), (1.0, 1.0)]), &[0.2]).unwrap();
        assert!((back.length() - (1.6 + 0.2 * PI / 2.0)).abs() < 1e-12);
    }
}
