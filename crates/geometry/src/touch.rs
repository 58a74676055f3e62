//! Planes that touch round pieces, to the last digits.

use crate::{DVec3, Round};

/// Steps of Newton's method at most; it squares its error, so six are enough from a good start.
const STEPS: usize = 30;

/// It has arrived when the normal turns by less than this (rad).
const ARRIVED: f64 = 1e-15;

/// Directions that still turn by more than this (rad) after all steps have not arrived.
const LOST: f64 = 1e-10;

/// Three places within this part of their extent of one line hold no plane.
const LINE: f64 = 1e-9;

/// The plane that touches three pieces: its outward normal, from a start near it. Each step takes the plane through
/// the three places touched by the last one: since the place touched is the gradient of the reach, that is Newton's.
pub fn three(pieces: [&Round; 3], start: DVec3) -> Option<DVec3> {
    let mut u = start;
    let mut turned = f64::INFINITY;
    for _ in 0..STEPS {
        let [a, b, c] = pieces.map(|p| p.place(u));
        let (x, y) = (b - a, c - a);
        let cross = x.cross(y);
        if cross.length() <= LINE * x.length_squared().max(y.length_squared()) {
            return None;
        }
        let mut next = cross.normalize();
        if next.dot(u) < 0.0 {
            next = -next;
        }
        let last = turned;
        turned = (next - u).length();
        u = next;
        if turned < ARRIVED || (turned < LOST && turned >= last) {
            return Some(u);
        }
    }
    (turned < LOST).then_some(u)
}

/// The nearest plane that touches both pieces.
pub fn both(pieces: [&Round; 2], start: DVec3) -> Option<DVec3> {
    let mut u = start;
    for _ in 0..STEPS {
        let d = (pieces[1].place(u) - pieces[0].place(u)).try_normalize()?;
        let off = d.dot(u);
        u = (u - d * off).try_normalize()?;
        if off.abs() < ARRIVED {
            break;
        }
    }
    Some(u)
}

/// Where the reach of two pieces, seen from `from`, is level along the ridge between them: both are touched, and the
/// foot of `from` lies on the line through the two places.
pub fn two(pieces: [&Round; 2], from: DVec3, start: DVec3) -> Option<DVec3> {
    let size = pieces.map(|p| p.place(start).distance(from)).iter().sum::<f64>() / 2.0;
    newton(start, &|u| {
        let [a, b] = pieces.map(|p| p.place(u) - from);
        let d = b - a;
        [d.dot(u) / size, a.cross(b).dot(u) / (size * d.length().max(f64::MIN_POSITIVE))]
    })
}

/// Where the reach of one piece, seen from `from`, is level: the foot of `from` is the place touched.
pub fn one(piece: &Round, from: DVec3, start: DVec3) -> Option<DVec3> {
    let size = piece.place(start).distance(from);
    let (e, f) = start.any_orthonormal_pair();
    newton(start, &|u| {
        let a = piece.place(u) - from;
        let off = (a - u * a.dot(u)) / size;
        [off.dot(e), off.dot(f)]
    })
}

/// Newton's method for two equations on the sphere, its slopes by differences.
fn newton(start: DVec3, f: &dyn Fn(DVec3) -> [f64; 2]) -> Option<DVec3> {
    const DIFFERENCE: f64 = 1e-6;
    let mut u = start;
    let mut last = f64::INFINITY;
    for _ in 0..STEPS {
        let (e, g) = u.any_orthonormal_pair();
        let now = f(u);
        let slope = |d: DVec3| {
            let (p, m) = (f((u + d * DIFFERENCE).normalize()), f((u - d * DIFFERENCE).normalize()));
            [0, 1].map(|i| (p[i] - m[i]) / (2.0 * DIFFERENCE))
        };
        let ([a, c], [b, d]) = (slope(e), slope(g));
        let det = a * d - b * c;
        let (x, y) = ((d * now[0] - b * now[1]) / det, (a * now[1] - c * now[0]) / det);
        let step = x.hypot(y);
        if !step.is_finite() || step > 1.0 {
            return None;
        }
        u = (u - e * x - g * y).normalize();
        if step < ARRIVED || (step < LOST && step >= last) {
            return Some(u);
        }
        last = step;
    }
    (last < LOST).then_some(u)
}
