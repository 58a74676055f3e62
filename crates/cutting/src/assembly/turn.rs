//! Whether a body that is turned about an axis runs into another.

use geometry::DVec3;
use geometry::convex::{Convex, Core};

use super::body::{Part, Tips};
use super::pose::{Pose, meet};
use super::sweep::TOUCH;
use super::yard::{Trim, Yard, hits};

/// A turn about an axis, with a slide along it: a screw. As the piece leaves.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Turn {
    /// A place of the axis, m.
    pub at: DVec3,
    /// Unit. The turn is right-handed about it.
    pub axis: DVec3,
    /// How far it is turned, rad, more than 0.
    pub angle: f64,
    /// How far it slides along the axis meanwhile, m; evenly.
    pub slide: f64,
}

/// An arc that a tip follows is taken as chords that stray from it by at most this, m: a hundredth of a millimetre.
const SAGITTA: f64 = 1e-5;

/// Steps of an advance at most: see [`super::sweep`].
const STEPS: usize = 1000;

impl Turn {
    /// Where the body is after a part of the turn, rad.
    pub fn pose(&self, angle: f64) -> Pose {
        Pose::about(self.at, self.axis, angle, self.pitch() * angle)
    }

    /// Slide over angle, m/rad.
    fn pitch(&self) -> f64 {
        self.slide / self.angle
    }

    /// Distance of a place from the axis, m.
    fn radius(&self, p: DVec3) -> f64 {
        (p - self.at).cross(self.axis).length()
    }

    /// How fast the fastest place of a body moves, m/rad: none of it is farther from the axis than the farthest corner of
    /// its core and the rounding.
    fn rate(&self, body: &Convex) -> f64 {
        let r = match &body.core {
            Core::Segment(a, b) => self.radius(*a).max(self.radius(*b)),
            Core::Block(f, h) => self.radius(f.origin) + h.length(),
            Core::Cylinder(f, half, r) => self.radius(f.origin) + half.hypot(*r),
        };
        (r + body.margin).hypot(self.pitch())
    }

    /// Whether `body` runs into `other` while it is turned from one angle to another. Each step is as far as the distance
    /// that is left lets the fastest place go, which can't jump over anything; touching counts as free, as in
    /// [`super::sweep::meets`].
    pub fn meets(&self, body: &Convex, other: &Convex, from: f64, to: f64) -> bool {
        let rate = self.rate(body);
        let mut angle = from;
        for _ in 0..STEPS {
            let near = self.pose(angle).body(body).distance(other);
            if near < -TOUCH {
                return true;
            }
            if angle >= to {
                return false;
            }
            angle = (angle + near.max(TOUCH) / rate).min(to);
        }
        true
    }

    /// The chords of a place's way from one angle to another: where each starts, where it ends.
    fn chords(&self, p: DVec3, from: f64, to: f64) -> impl Iterator<Item = (DVec3, DVec3)> + use<> {
        let turn = *self;
        // r (1 - cos(step / 2)) is the sagitta.
        let step = (8.0 * SAGITTA / self.radius(p).max(SAGITTA)).sqrt();
        let n = ((to - from).abs() / step).ceil().max(1.0) as usize;
        let at = move |k: usize| turn.pose(from + (to - from) * k as f64 / n as f64).place(p);
        let mut last = at(0);
        (1..=n).map(move |k| {
            let next = at(k);
            (std::mem::replace(&mut last, next), next)
        })
    }

    /// The box that holds a box while it is turned from one angle to another, generously.
    fn room(&self, bounds: (DVec3, DVec3), from: f64, to: f64) -> (DVec3, DVec3) {
        let (lo, hi) = bounds;
        let middle = 0.5 * (lo + hi);
        let far = (self.radius(middle) + 0.5 * (hi - lo).length()).hypot(self.pitch());
        // Between two poses nothing strays farther from both than half the way.
        let n = 8;
        let mut out = (DVec3::INFINITY, DVec3::NEG_INFINITY);
        for k in 0..=n {
            let b = self.pose(from + (to - from) * f64::from(k) / f64::from(n)).bounds(bounds);
            out = (out.0.min(b.0), out.1.max(b.1));
        }
        let stray = 0.5 * far * (to - from).abs() / f64::from(n);
        (out.0 - stray, out.1 + stray)
    }
}

impl Yard<'_> {
    /// Whether body `m`, turned from one angle to another, runs into body `s`.
    pub(super) fn turns_into(&self, m: usize, s: usize, turn: &Turn, (from, to): (f64, f64), trim: Trim) -> bool {
        let (body, other) = (&self.bodies[m], &self.bodies[s]);
        let room = turn.room(body.bounds, from, to);
        if !meet(room, other.bounds) {
            return false;
        }
        // The tips first: they are what is blocked at once where an end is coped.
        if !self.coped_to(s, m)
            && self.tips(m, trim).any(|(tips, shift)| {
                let held = (tips.bounds.0 + shift, tips.bounds.1 + shift);
                passes(turn, (tips, shift), held, (from, to), &other.parts)
            })
        {
            return true;
        }
        if body.middle.iter().any(|a| other.middle.iter().any(|b| turn.meets(a, b, from, to))) {
            return true;
        }
        // A tip that stands goes the other way round as the piece sees it.
        !self.coped_to(m, s)
            && other.tips.iter().any(|tips| {
                meet(tips.bounds, room) && passes(turn, (tips, DVec3::ZERO), tips.bounds, (-from, -to), &body.parts)
            })
    }

    /// The first of those that stand that a turn runs into.
    pub(super) fn turn_blocked(
        &self,
        m: usize,
        turn: &Turn,
        range: (f64, f64),
        standing: &mut [usize],
        trim: Trim,
    ) -> Option<usize> {
        let k = standing.iter().position(|&s| self.turns_into(m, s, turn, range, trim))?;
        standing[..=k].rotate_right(1);
        Some(standing[0])
    }
}

/// Whether any tip that is turned goes through any of some solids.
fn passes(
    turn: &Turn,
    (tips, shift): (&Tips, DVec3),
    held: (DVec3, DVec3),
    (from, to): (f64, f64),
    parts: &[Part],
) -> bool {
    let room = turn.room(held, from, to);
    parts.iter().filter(|part| meet(room, part.bounds)).any(|part| {
        tips.points.iter().any(|p| {
            turn.chords(*p + shift, from, to).any(|(a, b)| {
                let length = a.distance(b);
                length > 0.0 && meet((a.min(b), a.max(b)), part.bounds) && hits(a, (b - a) / length, length, part)
            })
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn v() -> impl Strategy<Value = DVec3> {
        prop::array::uniform3(-1.0..1.0f64).prop_map(DVec3::from_array)
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]
        /// A turn says what close steps say.
        #[test]
        fn turns_agree_with_steps(
            p in v(), q in v(), o in v(), t in v(), at in v(), axis in v(), slide in -0.3..0.3f64, block in any::<bool>(),
        ) {
            prop_assume!(axis.length() > 0.2 && t.length() > 0.2 && (q - p).length() > 0.1);
            let turn = Turn { at, axis: axis.normalize(), angle: 1.2, slide };
            let rod = Convex::capsule(p, q, 0.1);
            let f = geometry::Frame::new(o, t, geometry::frame::any_across(t)).expect("a frame");
            let other = if block {
                Convex { core: Core::Block(f, DVec3::new(0.4, 0.1, 0.2)), margin: 0.05 }
            } else {
                Convex::capsule(o, o + t, 0.15)
            };
            let n = 3000;
            let least = (0..=n)
                .map(|k| turn.pose(turn.angle * k as f64 / n as f64).body(&rod).distance(&other))
                .fold(f64::INFINITY, f64::min);
            // No place moves faster than 4 m/rad: steps stray from the least distance by less than a millimetre.
            if least < -1e-4 { prop_assert!(turn.meets(&rod, &other, 0.0, turn.angle)); }
            if least > 1e-3 { prop_assert!(!turn.meets(&rod, &other, 0.0, turn.angle)); }
        }

        /// Chords end where the place does, and stray from its way by no more than they may.
        #[test]
        fn chords_stay_by_the_arc(p in v(), at in v(), axis in v(), angle in 0.01..2.0f64, slide in -0.2..0.2f64) {
            prop_assume!(axis.length() > 0.2);
            let turn = Turn { at, axis: axis.normalize(), angle, slide };
            let chords: Vec<_> = turn.chords(p, 0.0, angle).collect();
            prop_assert!((chords[0].0 - p).length() < 1e-12);
            prop_assert!((chords[chords.len() - 1].1 - turn.pose(angle).place(p)).length() < 1e-12);
            for (k, (a, b)) in chords.iter().enumerate() {
                for part in [0.25, 0.5, 0.75] {
                    let on = turn.pose(angle * (k as f64 + part) / chords.len() as f64).place(p);
                    let (off, _) = geometry::distance::point_segment(on, *a, *b);
                    prop_assert!(off <= SAGITTA * 1.01, "{off}");
                }
            }
        }

        /// The room holds all that is turned.
        #[test]
        fn rooms_hold_what_turns(lo in v(), size in v(), at in v(), axis in v(), angle in 0.01..2.0f64, slide in -0.2..0.2f64) {
            prop_assume!(axis.length() > 0.2);
            let turn = Turn { at, axis: axis.normalize(), angle, slide };
            let hi = lo + size.abs();
            let (a, b) = turn.room((lo, hi), 0.0, angle);
            for k in 0..=57 {
                let pose = turn.pose(angle * k as f64 / 57.0);
                for c in 0..8 {
                    let pick = |bit: usize, l: f64, h: f64| if c >> bit & 1 == 0 { l } else { h };
                    let p = pose.place(DVec3::new(pick(0, lo.x, hi.x), pick(1, lo.y, hi.y), pick(2, lo.z, hi.z)));
                    prop_assert!(p.cmpge(a - 1e-12).all() && p.cmple(b + 1e-12).all());
                }
            }
        }
    }
}
