//! The hollow in which a tube lies, as half-spaces that fix its axis.

use geometry::{DVec3, Outline};

use super::solid::Half;
use design::Jig;

/// A hollow for a tube, open on the side away from what carries it.
pub struct Seat {
    /// Its half-spaces; it has no ends.
    pub halves: Vec<Half>,
    /// From the axis to the tangent plane of the tube in the direction of support, m.
    pub radius: f64,
    /// From the axis to the hollow's deepest corner in that direction, m.
    pub deep: f64,
    /// How far below the axis (towards the support) a block must end so that the tube drops in, m.
    pub below: f64,
}

/// The tangent lines that carry a round tube lie this far to each side of the middle, rad; nearer where the wrap is small.
const CARRY: f64 = std::f64::consts::FRAC_PI_4;
/// Flats of a round seat turn by at most this from one to the next, rad. Ten degrees: the corner between two of them lies
/// 0.4 % of the radius deeper than they.
const STEP: f64 = 0.174_533;
/// A box's face carries if it looks towards the support within this (cosine of 69 degrees); others only guide.
const CARRIES: f64 = 0.35;

/// The seat of a tube with axis through `at` along `t`, section directions `u` and `v`, carried from direction `s` (unit,
/// square to `t`).
pub fn seat(outline: &Outline, at: DVec3, t: DVec3, [u, v]: [DVec3; 2], s: DVec3, print: &Jig) -> Seat {
    let plane = |n: DVec3, off: f64| Half { n, d: n.dot(at) + off };
    match *outline {
        Outline::Circle { r } => {
            let q = t.cross(s);
            let beta = CARRY.min(0.3 * print.wrap);
            let mut halves = Vec::new();
            let mut flat = |angle: f64, off: f64| {
                let n = s * angle.cos() + q * angle.sin();
                halves.push(plane(n, off));
            };
            let loose = r + print.clearance;
            let inner = (2.0 * beta / STEP).ceil() as usize;
            for i in 1..inner {
                flat(-beta + 2.0 * beta * i as f64 / inner as f64, loose);
            }
            let side = std::f64::consts::FRAC_PI_2 - beta;
            let outer = (side / STEP).ceil() as usize;
            for sign in [-1.0, 1.0] {
                flat(sign * beta, r);
                for i in 1..=outer {
                    flat(sign * (beta + side * i as f64 / outer as f64), loose);
                }
            }
            let below = r * (print.wrap / 2.0).cos();
            Seat { halves, radius: r, deep: loose / (STEP / 2.0).cos(), below }
        }
        Outline::RoundRect { half_x, half_y, .. } => {
            let mut halves = Vec::new();
            for (m, half) in [(u, half_x), (-u, half_x), (v, half_y), (-v, half_y)] {
                let towards = m.dot(s);
                // A face that looks away would lock the tube in.
                if towards > -geometry::SAME_PLACE {
                    halves.push(plane(m, if towards > CARRIES { half } else { half + print.clearance }));
                }
            }
            let deep = half_x * u.dot(s).abs() + half_y * v.dot(s).abs() + print.clearance;
            let radius = outline.support(geometry::DVec2::new(u.dot(s), v.dot(s)));
            Seat { halves, radius, deep, below: 0.0 }
        }
    }
}
