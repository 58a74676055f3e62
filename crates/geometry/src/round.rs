//! Round convex pieces by their support functions: how far each reaches in a direction, and where it is touched.

use crate::{Chain, DVec3, Segment};

/// A piece of a body's surface that is smooth, so that a plane touches it in one place but for the directions of
/// [`Round::flat`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Round {
    /// A ball; a point if it has no radius.
    Ball {
        /// Centre.
        centre: DVec3,
        /// Radius.
        r: f64,
    },
    /// A disc with a rounded rim: a circle of radius `big`, and everything within `r` of what it encloses.
    Ring {
        /// Centre.
        centre: DVec3,
        /// Unit, square to the circle.
        axis: DVec3,
        /// Radius of the circle.
        big: f64,
        /// Radius of the rounding; none for a sharp rim.
        r: f64,
    },
    /// The middle of a bent round bar: a circle of radius `r` swept along an arc. Its ends are rings of their own: it
    /// is touched only where the bar's tangent lies in the touching plane.
    Arc {
        /// Centre.
        centre: DVec3,
        /// Unit normal of its plane; it runs right-handed about it.
        axis: DVec3,
        /// Unit, from the centre to its start.
        start: DVec3,
        /// Unit, square to `axis` and to the end's radius, along the bar.
        last: DVec3,
        /// Radius of the centreline.
        big: f64,
        /// Angle, rad, under π.
        sweep: f64,
        /// Radius of the bar.
        r: f64,
    },
}

/// A contact this far (rad) beyond the end of an arc still counts: a bar's straight leg that lies in the touching plane
/// touches its arcs just at their ends, where rounding decides. It moves the place of contact by the same part of the
/// radius, and its height by the square of that.
const ARC_END: f64 = 1e-8;

/// Within this angle (rad) of [`Round::flat`], where a plane touches is decided by rounding.
const LEVEL: f64 = 1e-12;

impl Round {
    /// The arc of a chain's segment.
    pub fn arc(segment: &Segment, r: f64) -> Option<Round> {
        let Segment::Arc { centre, axis, start, radius, sweep } = *segment else { return None };
        let last = segment.tangent(radius * sweep);
        Some(Round::Arc { centre, axis, start, last, big: radius, sweep, r })
    }

    /// How far it reaches in a direction (unit), measured from the origin; minus infinity where another piece of the
    /// same bar reaches farther for certain.
    #[inline]
    pub fn reach(&self, u: DVec3) -> f64 {
        match *self {
            Round::Ball { centre, r } => centre.dot(u) + r,
            Round::Ring { centre, axis, big, r } => centre.dot(u) + big * (u - axis * axis.dot(u)).length() + r,
            Round::Arc { centre, axis, start, last, big, r, .. } => {
                let across = u - axis * axis.dot(u);
                let length = across.length();
                let within = axis.cross(start).dot(across) >= -ARC_END * length && last.dot(across) <= ARC_END * length;
                // The middle tells the near side from the far side, where a short arc's two tangents agree too.
                // Along the axis it is touched all along.
                if length < LEVEL || within && (start + last.cross(axis)).dot(across) >= 0.0 {
                    centre.dot(u) + big * length + r
                } else {
                    f64::NEG_INFINITY
                }
            }
        }
    }

    /// The place touched by a plane with outward normal `u` (unit). An arc counts as the whole circle, so the place
    /// moves smoothly.
    pub fn place(&self, u: DVec3) -> DVec3 {
        match *self {
            Round::Ball { centre, r } => centre + u * r,
            Round::Ring { centre, axis, big, r } | Round::Arc { centre, axis, big, r, .. } => {
                let across = u - axis * axis.dot(u);
                let length = across.length();
                let out = if length > LEVEL {
                    across / length
                } else if let Round::Arc { start, .. } = *self {
                    start
                } else {
                    crate::frame::any_across(axis)
                };
                centre + out * big + u * r
            }
        }
    }

    /// The radius by which it is rounded everywhere: how far its surface lies from a centre, a circle or an arc.
    pub fn rounding(&self) -> f64 {
        match *self {
            Round::Ball { r, .. } | Round::Ring { r, .. } | Round::Arc { r, .. } => r,
        }
    }

    /// A ball that holds it.
    pub fn bounds(&self) -> (DVec3, f64) {
        match *self {
            Round::Ball { centre, r } => (centre, r),
            Round::Ring { centre, big, r, .. } | Round::Arc { centre, big, r, .. } => (centre, big + r),
        }
    }

    /// The axis along which (either way) a plane touches it along a curve.
    pub fn flat(&self) -> Option<DVec3> {
        match *self {
            Round::Ring { axis, big, .. } if big > 0.0 => Some(axis),
            Round::Arc { axis, .. } => Some(axis),
            _ => None,
        }
    }

    /// Places along the curve that a plane with outward normal `side` (plus or minus [`Round::flat`]) touches, with
    /// chords that stray by at most `gap`: a closed circle, or an arc with both its ends.
    pub fn curve(&self, side: DVec3, gap: f64) -> Vec<DVec3> {
        let (centre, axis, big, r, start, sweep, closed) = match *self {
            Round::Ball { centre, r } => return vec![centre + side * r],
            Round::Ring { centre, axis, big, r } => {
                (centre, axis, big, r, crate::frame::any_across(axis), std::f64::consts::TAU, 1)
            }
            Round::Arc { centre, axis, start, big, sweep, r, .. } => (centre, axis, big, r, start, sweep, 0),
        };
        let step = 2.0 * (1.0 - gap / big).clamp(-1.0, 1.0).acos();
        let n = (sweep / step).ceil().clamp(3.0, MOST_CHORDS) as usize;
        let side_ways = axis.cross(start);
        (0..=n - closed)
            .map(|k| {
                let (s, c) = (sweep * k as f64 / n as f64).sin_cos();
                centre + (start * c + side_ways * s) * big + side * r
            })
            .collect()
    }
}

/// Chords of one circle are never more than this: 1440 chords of a metre's radius stray by 2 µm.
const MOST_CHORDS: f64 = 1440.0;

/// A round bar along a chain with flat ends: its two end rings and its arcs. Legs need nothing of their own, since a
/// leg that is touched is touched at its ends too. The bar must be thinner than its bends: `r` less than each radius.
pub fn bar(chain: &Chain, r: f64) -> Vec<Round> {
    let ring = |centre, axis| Round::Ring { centre, axis, big: r, r: 0.0 };
    let mut out = vec![ring(chain.point(0.0), chain.first_tangent()), ring(end(chain), chain.last_tangent())];
    out.extend(chain.segments.iter().filter_map(|s| Round::arc(s, r)));
    out
}

fn end(chain: &Chain) -> DVec3 {
    chain.segments.last().map_or(DVec3::ZERO, |s| s.point(s.length()))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A bar's surface as a great many points, worked out from the chain alone.
    fn dense(chain: &Chain, r: f64, u: DVec3) -> f64 {
        let n = 4000;
        (0..=n)
            .map(|k| {
                let s = chain.length() * f64::from(k) / f64::from(n);
                let t = chain.tangent(s);
                chain.point(s).dot(u) + r * (u - t * t.dot(u)).length()
            })
            .fold(f64::NEG_INFINITY, f64::max)
    }

    #[test]
    fn bars_reach_as_far_as_their_circles() {
        let p = DVec3::new;
        let chains = [
            (vec![p(0., 0., 0.), p(1., 0.2, 0.1)], vec![]),
            (vec![p(0., 0., 0.), p(0., 0., 0.9), p(0., 0.8, 1.1), p(0.3, 0.9, 0.)], vec![0.13, 0.2]),
            // A bend of 150 degrees.
            (vec![p(0., 0., 0.), p(2., 0., 0.), p(0.5, 0.87, 0.)], vec![0.12]),
            // No straight left between the bends.
            (vec![p(0., 0., 0.), p(0.1, 0., 0.), p(0.1, 0.1, 0.0)], vec![0.1]),
        ];
        for (corners, radii) in chains {
            let chain = Chain::new(&corners, &radii).unwrap();
            let pieces = bar(&chain, 0.025);
            for i in 0..500 {
                let z = 1.0 - (f64::from(i) + 0.5) / 250.0;
                let (s, c) = (f64::from(i) * 2.399963).sin_cos();
                let u = p(c * (1.0 - z * z).sqrt(), s * (1.0 - z * z).sqrt(), z);
                let best = pieces.iter().max_by(|a, b| a.reach(u).total_cmp(&b.reach(u))).unwrap();
                let want = dense(&chain, 0.025, u);
                assert!((best.reach(u) - want).abs() < 1e-6 && best.reach(u) > want - 1e-12, "{u} {want}");
                assert!((best.place(u).dot(u) - best.reach(u)).abs() < 1e-14);
            }
        }
    }
}
