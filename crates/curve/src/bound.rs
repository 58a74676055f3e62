//! How many bends any chain needs at least.
//!
//! A chain that follows the curve in order within τ cuts the curve's places, in order, into one group for each leg and
//! one for each arc. So take groups as long as they can be, by conditions that every such group keeps; what is over after
//! so many bends is followed by no chain of so many. Groups are only told from what they can't be, so the number is a
//! true bound, and may be too low.

use glam::DVec3;

use crate::Die;
use crate::line::Line;

/// Places of the curve that are looked at.
const PLACES: usize = 160;

/// Least number of bends with which the curve can be followed within `tolerance`, if fewer than `most` do.
pub fn least_bends(line: &Line, die: &Die, tolerance: f64, most: usize) -> usize {
    // What lies between these places is on the curve too, but need not be asked; they are on it exactly.
    let at: Vec<DVec3> = line.some(PLACES).iter().map(|&k| line.places[k]).collect();
    let last = at.len() - 1;
    let straight = |[a, m, b]: [usize; 3]| {
        // The chain's ends are the curve's: there nothing is off.
        let off = [a != 0, b != last].map(|inside| if inside { tolerance } else { 0.0 });
        in_line([at[a], at[m], at[b]], off, tolerance)
    };
    let turn = die.most.min(std::f64::consts::PI);
    let widest = 2.0 * die.radius * (turn / 2.0).sin() + 2.0 * tolerance;
    let round = |[a, m, b]: [usize; 3]| {
        let [a, m, b] = [at[a], at[m], at[b]];
        if a.distance(b) > widest {
            return false;
        }
        // In a circle of radius R the height of a triangle over one side is the product of the others over 2R. Each
        // corner may be off by the tolerance, each side so by twice that.
        let sides = [a.distance(m), m.distance(b)];
        let product = |by: f64| sides.map(|s| (s + by).max(0.0)).iter().product::<f64>() / (2.0 * die.radius);
        let rise = to_segment(m, a, b);
        rise >= product(-2.0 * tolerance) - 2.0 * tolerance && rise <= product(2.0 * tolerance) + 2.0 * tolerance
    };
    let mut from = take(0, at.len(), straight);
    let mut bends = 0;
    while from < at.len() && bends < most {
        // The end is a leg's.
        from = take(from, last, round);
        from = take(from, at.len(), straight);
        bends += 1;
    }
    bends
}

/// The first place from `from` on, before `to`, that can't be in one group with all places from there.
fn take(from: usize, to: usize, may: impl Fn([usize; 3]) -> bool) -> usize {
    for b in from + 1..to {
        let fits = |a: usize| may([a, a, b]) && (a + 1..b).all(|m| may([a, m, b]));
        if !(from..b).all(fits) {
            return b;
        }
    }
    to.max(from)
}

/// Whether three places can be within `tolerance` of three in order on a straight line, of which the outer two are within
/// `off` of theirs. The one at the part λ between them is then off (1 − λ) and λ times as much as they are.
fn in_line([a, m, b]: [DVec3; 3], off: [f64; 2], tolerance: f64) -> bool {
    let d = b - a;
    let length = d.length();
    // The larger of both can't be less than what it allows; it is all there is to say where they are one.
    let loose = tolerance + off[0].max(off[1]);
    let tilt = off[1] - off[0];
    if tilt == 0.0 || length <= tilt.abs() {
        return to_segment(m, a, b) <= loose;
    }
    // Least of sqrt(h² + (λ L − x)²) − off(λ): where its slope is that of off.
    let x = (m - a).dot(d) / length;
    let h = (m - a - d * (x / length)).length();
    let slope = tilt / length;
    let part = ((x + h * slope / (1.0 - slope * slope).sqrt()) / length).clamp(0.0, 1.0);
    h.hypot(part * length - x) <= tolerance + off[0] + tilt * part
}

fn to_segment(p: DVec3, a: DVec3, b: DVec3) -> f64 {
    let d = b - a;
    let square = d.length_squared();
    let t = if square > 0.0 { ((p - a).dot(d) / square).clamp(0.0, 1.0) } else { 0.0 };
    (a + d * t).distance(p)
}
