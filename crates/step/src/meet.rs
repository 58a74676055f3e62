//! Where two surfaces meet.

use geometry::DVec3;

use crate::brep::{Curve, Surface};
use crate::spline::{Knot, Path, Stand};

/// Steps of Newton's method at most.
const STEPS: usize = 24;
/// Its longest step, m: where surfaces nearly touch it would else leap away.
const LONGEST: f64 = 2e-3;
/// What it finds is on both surfaces within this, m: the last digits of places in a frame.
const ON: f64 = 1e-13;
/// It has arrived when it moves by less than this, m.
const ARRIVED: f64 = 1e-16;
/// Surfaces that meet at a smaller sine of an angle than this touch: the line along which they meet has no direction
/// that could be told there, and is looked at a little farther on instead. A branch that is a part in 10¹⁰ thinner than
/// its host has this angle; its corner is then round within a tenth of a nanometre.
const TOUCH: f64 = 1e-5;
/// How much farther on, m.
const ASIDE: f64 = 2e-5;
/// Half the distance over which a tangent's turn is taken, m: it errs by the square of this in radii, and by the last digit
/// of a direction over it.
const TURN: f64 = 5e-6;

/// The line along which two surfaces meet.
pub struct Pair<'a>(pub &'a Surface, pub &'a Surface);

impl Pair<'_> {
    /// Direction at a place on it, and the sine of the angle at which the surfaces meet there.
    fn tangent(&self, p: DVec3, along: DVec3) -> (DVec3, f64) {
        let c = self.0.normal(p).cross(self.1.normal(p));
        let t = c.normalize_or_zero();
        (if t.dot(along) < 0.0 { -t } else { t }, c.length())
    }

    /// The nearest place on both surfaces, if it is found.
    pub fn onto(&self, guess: DVec3) -> Option<DVec3> {
        let mut p = guess;
        for _ in 0..STEPS {
            let (d, e) = (self.0.distance(p), self.1.distance(p));
            let (m, n) = (self.0.normal(p), self.1.normal(p));
            let c = m.dot(n);
            let det = 1.0 - c * c;
            // Where they touch, each asks for the same.
            let step =
                if det < TOUCH * TOUCH { (m * d + n * e) / 2.0 } else { (m * (d - c * e) + n * (e - c * d)) / det };
            p -= step.clamp_length_max(LONGEST);
            if step.length() < ARRIVED {
                break;
            }
        }
        let off = self.0.distance(p).abs().max(self.1.distance(p).abs());
        (off < ON).then_some(p)
    }
}

impl Path for Pair<'_> {
    fn near(&self, guess: DVec3, _: DVec3) -> Option<DVec3> {
        self.onto(guess)
    }

    fn knot(&self, at: DVec3, along: DVec3, stand: Stand, reach: f64) -> Knot {
        let (t, sine) = self.tangent(at, along);
        if sine < TOUCH {
            let step = ASIDE.min(reach) * if stand == Stand::Last { -1.0 } else { 1.0 };
            let look = |n: f64| {
                let q = self.onto(at + along * (step * n))?;
                let (t, sine) = self.tangent(q, along);
                Some((t, (q - at).length().copysign(step), sine))
            };
            let (Some((t1, s1, sine)), Some((t2, s2, _))) = (look(1.0), look(2.0)) else {
                return Knot { at, t: along, k: DVec3::ZERO };
            };
            if sine < TOUCH {
                // They touch all along, as flat sides in one plane do.
                return Knot { at, t: along, k: DVec3::ZERO };
            }
            // Straight on from the two.
            let k = (t2 - t1) / (s2 - s1);
            let t = (t1 - k * s1).normalize_or_zero();
            return Knot { at, t, k: k - t * k.dot(t) };
        }
        let d = TURN.min(reach);
        let side = |s: f64| self.onto(at + t * (s * d)).map(|q| self.tangent(q, t).0);
        let k = side(1.0).zip(side(-1.0)).map_or(DVec3::ZERO, |(a, b)| (a - b) / (2.0 * d));
        Knot { at, t, k: k - t * k.dot(t) }
    }
}

/// A plane and a cylinder whose axis runs along the plane within this sine meet in lines, or hardly at all: no ellipse.
const FLAT: f64 = 1e-6;
/// Half axes that differ by less than this part are those of a circle.
const ROUND: f64 = 1e-14;

/// The ellipse in which a plane and a cylinder meet, running from one place by way of another.
pub fn ellipse(a: &Surface, b: &Surface, from: DVec3, by: DVec3, to: DVec3) -> Option<Curve> {
    let (&Surface::Plane { origin: o, normal }, &Surface::Cylinder { origin, axis, r, .. }) = (match (a, b) {
        (Surface::Plane { .. }, _) => (a, b),
        _ => (b, a),
    }) else {
        return None;
    };
    let rise = normal.dot(axis);
    if rise.abs() < FLAT {
        return None;
    }
    let centre = origin + axis * ((o - origin).dot(normal) / rise);
    let long = r / rise.abs();
    // The long half axis is where the axis leans along the plane.
    let (a, x) = match (axis - normal * rise).try_normalize() {
        Some(x) if long / r - 1.0 > ROUND => (long, x),
        _ => (r, (from - centre).try_normalize()?),
    };
    let angle = |p: DVec3, n: DVec3| ((p - centre).dot(n.cross(x)) / r).atan2((p - centre).dot(x) / a);
    let turn = |p: DVec3, n: DVec3| (angle(p, n) - angle(from, n)).rem_euclid(std::f64::consts::TAU);
    let normal = if turn(by, normal) < turn(to, normal) { normal } else { -normal };
    Some(Curve::Ellipse { centre, normal, x, a, b: r })
}
