//! Simple solids and where a ray lies within them.

use crate::roots::Quartic;
use crate::{Frame, Outline};
use glam::{DVec2, DVec3};

/// A line with a direction: points `from + s along`, for every real `s`. `along` is a unit, so `s` is a length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ray {
    /// Where `s` is zero.
    pub from: DVec3,
    /// Unit direction.
    pub along: DVec3,
}

impl Ray {
    /// The point at `s`.
    pub fn at(&self, s: f64) -> DVec3 {
        self.from + self.along * s
    }
}

/// Up to two disjoint intervals of a ray, rising.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Intervals {
    items: [(f64, f64); 2],
    len: usize,
}

impl Intervals {
    /// None.
    pub const NONE: Intervals = Intervals { items: [(0.0, 0.0); 2], len: 0 };

    /// One interval.
    pub fn one(a: f64, b: f64) -> Intervals {
        Intervals { items: [(a, b), (0.0, 0.0)], len: 1 }
    }

    fn push(&mut self, i: (f64, f64)) {
        if self.len < 2 && i.0 < i.1 {
            self.items[self.len] = i;
            self.len += 1;
        }
    }

    /// The intervals.
    pub fn as_slice(&self) -> &[(f64, f64)] {
        &self.items[..self.len]
    }
}

/// All points `p` with `(p - origin) · outward <= 0`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HalfSpace {
    /// A point of the face.
    pub origin: DVec3,
    /// Unit normal, out of the solid.
    pub outward: DVec3,
}

impl HalfSpace {
    /// Interval of a ray within.
    pub fn interval(&self, ray: &Ray) -> Option<(f64, f64)> {
        let height = (ray.from - self.origin).dot(self.outward);
        let rise = ray.along.dot(self.outward);
        // A rise of less than one part in 1e14 puts the crossing farther away than f64 can place it.
        if rise.abs() < 1e-14 {
            return (height <= 0.0).then_some((f64::NEG_INFINITY, f64::INFINITY));
        }
        let s = -height / rise;
        Some(if rise > 0.0 { (f64::NEG_INFINITY, s) } else { (s, f64::INFINITY) })
    }

    /// Signed height of a point over the face.
    pub fn height(&self, p: DVec3) -> f64 {
        (p - self.origin).dot(self.outward)
    }

    /// The face moved outward.
    pub fn grown(&self, d: f64) -> HalfSpace {
        HalfSpace { origin: self.origin + self.outward * d, ..*self }
    }

    fn clip(clips: &[HalfSpace], ray: &Ray) -> Option<(f64, f64)> {
        let (mut lo, mut hi) = (f64::NEG_INFINITY, f64::INFINITY);
        for c in clips {
            let (a, b) = c.interval(ray)?;
            (lo, hi) = (lo.max(a), hi.min(b));
        }
        (lo < hi).then_some((lo, hi))
    }
}

/// An outline swept along the line through a frame's origin along `t`, cut by half-spaces.
#[derive(Clone, Debug, PartialEq)]
pub struct Prism {
    /// Origin and directions; the outline's x is `u`, its y is `v`.
    pub frame: Frame,
    /// Cross-section.
    pub outline: Outline,
    /// Kept within all of these.
    pub clips: Vec<HalfSpace>,
}

/// A circle swept round an axis through less than half a turn, cut by half-spaces.
#[derive(Clone, Debug, PartialEq)]
pub struct TorusArc {
    /// Centre of the sweep.
    pub centre: DVec3,
    /// Unit axis of the sweep; the sweep is right-handed about it.
    pub axis: DVec3,
    /// Unit, from the centre to where the sweep starts.
    pub start: DVec3,
    /// Distance of the swept circle's centre from the axis.
    pub ring: f64,
    /// Radius of the swept circle, less than `ring`.
    pub tube: f64,
    /// Sweep, more than zero and less than π.
    pub sweep: f64,
    /// Kept within all of these.
    pub clips: Vec<HalfSpace>,
}

/// Roots are looked for this far (in rings) past the ball that holds the torus, so that rounding loses none at its edge.
const MARGIN: f64 = 1e-3;

impl TorusArc {
    /// The two planes at the ends of the sweep.
    pub(crate) fn wedge(&self) -> [HalfSpace; 2] {
        let first = self.axis.cross(self.start);
        let (s, c) = self.sweep.sin_cos();
        let end = self.start * c + first * s;
        [
            HalfSpace { origin: self.centre, outward: -first },
            HalfSpace { origin: self.centre, outward: self.axis.cross(end) },
        ]
    }

    fn intervals(&self, ray: &Ray) -> Intervals {
        let Some((lo, hi)) = HalfSpace::clip(&self.wedge(), ray) else { return Intervals::NONE };
        let Some((lo2, hi2)) = HalfSpace::clip(&self.clips, ray) else { return Intervals::NONE };
        self.between(ray, lo.max(lo2), hi.min(hi2))
    }

    /// Where the part of a ray from `lo` to `hi` lies within the whole torus.
    pub(crate) fn between(&self, ray: &Ray, lo: f64, hi: f64) -> Intervals {
        // Start from the foot of the perpendicular from the centre, in units of the ring: keeps the quartic's
        // coefficients near one however far away the ray starts.
        let foot = (self.centre - ray.from).dot(ray.along);
        let p = (ray.at(foot) - self.centre) / self.ring;
        let q = ray.along;
        let (pz, qz) = (p.dot(self.axis), q.dot(self.axis));
        let pp = p.length_squared();
        let r = self.tube / self.ring;
        let reach = (1.0 + r) * (1.0 + r) - pp;
        if reach <= 0.0 || pz.abs() > r + qz.abs() * reach.sqrt() {
            return Intervals::NONE;
        }
        // Nothing outside the ball that holds the torus.
        let ball = reach.sqrt() + MARGIN;
        let (from, to) = (((lo - foot) / self.ring).max(-ball), ((hi - foot) / self.ring).min(ball));
        if from >= to {
            return Intervals::NONE;
        }
        // (|p + s q|² + 1 - r²)² = 4 (|p + s q|² - (pz + s qz)²), with p · q = 0: less than nothing within.
        let k = pp + 1.0 - r * r;
        let quartic = Quartic { c: [k * k - 4.0 * (pp - pz * pz), 8.0 * pz * qz, 2.0 * k - 4.0 * (1.0 - qz * qz)] };
        let mut out = Intervals::NONE;
        let mut start = (quartic.value(from) < 0.0).then_some(lo);
        for &s in quartic.roots(from, to).as_slice() {
            let at = (foot + s * self.ring).clamp(lo, hi);
            match start.take() {
                Some(a) => out.push((a, at)),
                None => start = Some(at),
            }
        }
        if let Some(a) = start {
            out.push((a, hi));
        }
        out
    }
}

/// A simple solid.
#[derive(Clone, Debug, PartialEq)]
pub enum Solid {
    /// A straight bar.
    Prism(Prism),
    /// A bent round bar.
    Torus(TorusArc),
    /// Everything on one side of a plane.
    Half(HalfSpace),
}

impl Solid {
    /// Where the ray lies within, rising.
    pub fn intervals(&self, ray: &Ray) -> Intervals {
        match self {
            Solid::Half(h) => h.interval(ray).map_or(Intervals::NONE, |(a, b)| Intervals::one(a, b)),
            Solid::Prism(p) => {
                let f = &p.frame;
                let d = ray.from - f.origin;
                let Some((a, b)) = p.outline.crossing(f.across(d), f.across(ray.along)) else {
                    return Intervals::NONE;
                };
                let Some((lo, hi)) = HalfSpace::clip(&p.clips, ray) else { return Intervals::NONE };
                let (a, b) = (a.max(lo), b.min(hi));
                if a < b { Intervals::one(a, b) } else { Intervals::NONE }
            }
            Solid::Torus(t) => t.intervals(ray),
        }
    }

    /// Where the ray first comes in, of the intervals that end after `after`.
    pub fn entry(&self, ray: &Ray, after: f64) -> Option<f64> {
        self.intervals(ray).as_slice().iter().find(|i| i.1 > after).map(|i| i.0)
    }

    /// The solid with its side surface moved outward by `d`; its clips stay.
    pub fn grown(&self, d: f64) -> Solid {
        match self {
            Solid::Half(h) => Solid::Half(h.grown(d)),
            Solid::Prism(p) => Solid::Prism(Prism { outline: p.outline.grown(d), ..p.clone() }),
            Solid::Torus(t) => Solid::Torus(TorusArc { tube: t.tube + d, ..t.clone() }),
        }
    }

    /// Unit outward normal at a point of the surface: of the side, or of the end that cuts it off.
    pub fn normal(&self, at: DVec3) -> DVec3 {
        match self {
            Solid::Half(h) => h.outward,
            Solid::Prism(p) => {
                let q = p.frame.across(at - p.frame.origin);
                let on = |c: &&HalfSpace| c.height(at).abs() < crate::SAME_PLACE;
                if p.outline.depth(q) > crate::SAME_PLACE
                    && let Some(c) = p.clips.iter().find(on)
                {
                    return c.outward;
                }
                let n = match p.outline {
                    Outline::Circle { .. } => q,
                    Outline::RoundRect { half_x, half_y, r } => {
                        let over = DVec2::new(q.x.abs() - (half_x - r), q.y.abs() - (half_y - r));
                        let n = if over.x > 0.0 && over.y > 0.0 && r > 0.0 {
                            over
                        } else if over.x - over.y > 0.0 {
                            DVec2::X
                        } else {
                            DVec2::Y
                        };
                        n * DVec2::new(1f64.copysign(q.x), 1f64.copysign(q.y))
                    }
                };
                (p.frame.u * n.x + p.frame.v * n.y).normalize_or_zero()
            }
            Solid::Torus(t) => {
                let d = at - t.centre;
                let z = t.axis * d.dot(t.axis);
                let ring = (d - z).normalize_or_zero() * t.ring;
                (d - ring).normalize_or_zero()
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::FRAC_PI_2;

    fn quarter() -> TorusArc {
        TorusArc {
            centre: DVec3::ZERO,
            axis: DVec3::Z,
            start: DVec3::X,
            ring: 0.135,
            tube: 0.0225,
            sweep: FRAC_PI_2,
            clips: vec![],
        }
    }

    #[test]
    fn torus_is_met_where_it_stands() {
        let t = quarter();
        let mut seen = 0;
        for i in 0..60 {
            for k in 0..48 {
                let a = (i as f64 + 0.5) / 60.0 * FRAC_PI_2;
                let b = k as f64 / 48.0 * std::f64::consts::TAU;
                let out = DVec3::new(a.cos(), a.sin(), 0.0);
                let n = out * b.cos() + DVec3::Z * b.sin();
                let target = out * t.ring + n * t.tube;
                assert!((Solid::Torus(t.clone()).normal(target) - n).length() < 1e-12);
                for tilt in [0.0, 0.4, -0.9] {
                    let along = -(n + DVec3::new(-a.sin(), a.cos(), 0.3).normalize() * tilt).normalize();
                    let ray = Ray { from: target - along * 0.7, along };
                    let hits = t.intervals(&ray);
                    let near = hits.as_slice().iter().map(|i| (i.0 - 0.7).abs()).fold(f64::INFINITY, f64::min);
                    assert!(near < 1e-11, "{a} {b} {tilt}: {hits:?}");
                    seen += 1;
                }
            }
        }
        assert_eq!(seen, 60 * 48 * 3);
    }

    #[test]
    fn torus_sweep_stops_at_its_ends() {
        let t = quarter();
        let ray = |x: f64, y: f64| Ray { from: DVec3::new(x, y, -1.0), along: DVec3::Z };
        assert_eq!(t.intervals(&ray(0.135, -0.001)).as_slice().len(), 0);
        assert_eq!(t.intervals(&ray(0.135, 0.001)).as_slice().len(), 1);
        assert_eq!(t.intervals(&ray(-0.001, 0.135)).as_slice().len(), 0);
    }

    #[test]
    fn clipped_bar_has_a_face() {
        let bar = Solid::Prism(Prism {
            frame: Frame::new(DVec3::ZERO, DVec3::X, DVec3::Z).unwrap(),
            outline: Outline::Circle { r: 0.02 },
            clips: vec![HalfSpace { origin: DVec3::new(0.1, 0.0, 0.0), outward: DVec3::X }],
        });
        let ray = Ray { from: DVec3::new(1.0, 0.0, 0.01), along: DVec3::NEG_X };
        assert!((bar.entry(&ray, 0.0).unwrap() - 0.9).abs() < 1e-15);
        assert!((bar.normal(DVec3::new(0.0, 0.0, 0.02)) - DVec3::Z).length() < 1e-15);
        assert_eq!(bar.normal(DVec3::new(0.1, 0.0, 0.01)), DVec3::X);
    }
}
