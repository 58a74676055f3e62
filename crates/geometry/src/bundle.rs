//! Many parallel rays against the same solids.
//!
//! Rays that share a direction start at points of one plane. Where such a ray meets a face, or passes the axis of a
//! cylinder, is a linear function of its start, worked out once; what is left per ray is a handful of products and one
//! square root. [`Solid::intervals`] says the same, more slowly.

use crate::solid::Intervals;
use crate::{Frame, HalfSpace, Outline, Ray, Solid, TorusArc};
use glam::{DVec2, DVec3};

/// A linear function of a start point.
#[derive(Clone, Copy, Debug)]
struct Linear {
    c: f64,
    d: DVec2,
}

impl Linear {
    fn at(&self, p: DVec2) -> f64 {
        self.c + self.d.dot(p)
    }
}

/// A face that the rays cross.
#[derive(Clone, Copy, Debug)]
enum Face {
    /// Within from here on.
    From(Linear),
    /// Within up to here.
    UpTo(Linear),
    /// Rays run along it: within where this height is not positive.
    Along(Linear),
}

#[derive(Clone, Debug)]
enum Side {
    /// Everything: only the faces count.
    None,
    /// A circular cylinder: middle of the chord, distance from the axis, square of the radius (both in the rays' scale)
    /// and the scale back to lengths.
    Circle { mid: Linear, off: Linear, r2: f64, scale: f64 },
    /// Another outline: where rays start in its plane, and how they run there.
    Other { x: Linear, y: Linear, q: DVec2, outline: Outline },
    /// A torus, of which only the faces are linear.
    Torus(TorusArc),
}

/// Solids, prepared for rays of one direction.
#[derive(Clone, Debug)]
pub struct Bundle {
    frame: Frame,
    along: DVec3,
    items: Vec<(Side, Vec<Face>)>,
}

impl Bundle {
    /// Prepares solids for rays that start in the plane of `frame`'s `u` and `v` and run along a unit direction.
    pub fn new<'a>(frame: Frame, along: DVec3, solids: impl IntoIterator<Item = &'a Solid>) -> Bundle {
        let linear = |n: DVec3, from: DVec3, k: f64| Linear {
            c: (frame.origin - from).dot(n) * k,
            d: DVec2::new(frame.u.dot(n), frame.v.dot(n)) * k,
        };
        let face = |h: &HalfSpace| {
            let rise = along.dot(h.outward);
            // As in `HalfSpace::interval`.
            if rise.abs() < 1e-14 {
                Face::Along(linear(h.outward, h.origin, 1.0))
            } else if rise > 0.0 {
                Face::UpTo(linear(h.outward, h.origin, -1.0 / rise))
            } else {
                Face::From(linear(h.outward, h.origin, -1.0 / rise))
            }
        };
        let items = solids
            .into_iter()
            .map(|s| match s {
                Solid::Half(h) => (Side::None, vec![face(h)]),
                Solid::Prism(p) => {
                    let f = &p.frame;
                    let q = f.across(along);
                    let qq = q.length_squared();
                    let side = match p.outline {
                        Outline::Circle { r } if qq > crate::PARALLEL * crate::PARALLEL => Side::Circle {
                            mid: linear(f.u * q.x + f.v * q.y, f.origin, -1.0 / qq),
                            off: linear(f.u * q.y - f.v * q.x, f.origin, 1.0),
                            r2: r * r * qq,
                            scale: 1.0 / qq,
                        },
                        outline => {
                            Side::Other { x: linear(f.u, f.origin, 1.0), y: linear(f.v, f.origin, 1.0), q, outline }
                        }
                    };
                    (side, p.clips.iter().map(face).collect())
                }
                Solid::Torus(t) => (Side::Torus(t.clone()), t.wedge().iter().chain(&t.clips).map(face).collect()),
            })
            .collect();
        Bundle { frame, along, items }
    }

    /// Where the ray from a start point is within solid `k`.
    fn intervals(&self, k: usize, p: DVec2) -> Intervals {
        let (side, faces) = &self.items[k];
        let (mut lo, mut hi) = match side {
            Side::None | Side::Torus(_) => (f64::NEG_INFINITY, f64::INFINITY),
            Side::Circle { mid, off, r2, scale } => {
                let d = off.at(p);
                let half = r2 - d * d;
                if half <= 0.0 {
                    return Intervals::NONE;
                }
                let (m, half) = (mid.at(p), half.sqrt() * scale);
                (m - half, m + half)
            }
            Side::Other { x, y, q, outline } => match outline.crossing(DVec2::new(x.at(p), y.at(p)), *q) {
                Some(i) => i,
                None => return Intervals::NONE,
            },
        };
        for f in faces {
            match f {
                Face::From(l) => lo = lo.max(l.at(p)),
                Face::UpTo(l) => hi = hi.min(l.at(p)),
                Face::Along(l) if l.at(p) > 0.0 => return Intervals::NONE,
                Face::Along(_) => {}
            }
        }
        if lo >= hi {
            return Intervals::NONE;
        }
        match side {
            Side::Torus(t) => t.between(&Ray { from: self.frame.place(p), along: self.along }, lo, hi),
            _ => Intervals::one(lo, hi),
        }
    }

    /// Where the ray from a start point first comes into any solid, of the intervals that end after `after`, and which
    /// solid that is.
    pub fn entry(&self, p: DVec2, after: f64) -> Option<(f64, usize)> {
        let mut best: Option<(f64, usize)> = None;
        for k in 0..self.items.len() {
            for &(a, b) in self.intervals(k, p).as_slice() {
                if b > after {
                    if best.is_none_or(|x| a < x.0) {
                        best = Some((a, k));
                    }
                    break;
                }
            }
        }
        best
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Prism, TorusArc};

    #[test]
    fn says_the_same_as_one_ray_at_a_time() {
        let mut seed = 7u64;
        let mut next = move || {
            seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (seed >> 11) as f64 / (1u64 << 53) as f64 * 2.0 - 1.0
        };
        let mut hits = 0;
        for round in 0..400 {
            let mut v = || DVec3::new(next(), next(), next());
            let frame = Frame::new(v() * 0.1, v(), v()).unwrap();
            let along = if round % 3 == 0 { frame.t } else { v().normalize() };
            let clip = |o: DVec3, n: DVec3| HalfSpace { origin: o, outward: n.normalize() };
            let prism = |outline, f: Frame, clips| Solid::Prism(Prism { frame: f, outline, clips });
            let solids = [
                prism(Outline::Circle { r: 0.3 }, Frame::new(v() * 0.2, v(), v()).unwrap(), vec![clip(v(), v())]),
                prism(
                    Outline::RoundRect { half_x: 0.3, half_y: 0.2, r: 0.05 },
                    Frame::new(v() * 0.2, v(), v()).unwrap(),
                    vec![clip(v(), v()), clip(v(), v())],
                ),
                // A cylinder along the rays themselves.
                prism(Outline::Circle { r: 0.3 }, Frame::new(v() * 0.2, along, v()).unwrap(), vec![clip(v(), along)]),
                Solid::Half(clip(v() * 2.0, v())),
                Solid::Torus(TorusArc {
                    centre: v() * 0.2,
                    axis: DVec3::Z,
                    start: DVec3::X,
                    ring: 0.5,
                    tube: 0.15,
                    sweep: 2.0,
                    clips: vec![],
                }),
            ];
            let bundle = Bundle::new(frame, along, &solids);
            for _ in 0..50 {
                let p = DVec2::new(next(), next()) * 0.5;
                let after = next() - 1.0;
                let ray = Ray { from: frame.place(p), along };
                let slow = solids.iter().filter_map(|s| s.entry(&ray, after)).fold(f64::INFINITY, f64::min);
                match bundle.entry(p, after) {
                    Some((s, _)) => {
                        hits += 1;
                        let same = s == slow || (s - slow).abs() < 1e-11 * slow.abs().max(1.0);
                        assert!(same, "{s} is not {slow}");
                    }
                    None => assert_eq!(slow, f64::INFINITY),
                }
            }
        }
        assert!(hits > 10_000);
    }
}
