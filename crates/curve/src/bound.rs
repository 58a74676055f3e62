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
    let at: Vec<DVec3> = line.some(PLACES).iter().map(|&k| line.places[k]).collect();
    // What lies between places is on the curve too, but need not be asked; places are on it exactly.
    let straight = |a: DVec3, m: DVec3, b: DVec3| to_segment(m, a, b) <= 2.0 * tolerance;
    let turn = die.most.min(std::f64::consts::PI);
    let widest = 2.0 * die.radius * (turn / 2.0).sin() + 2.0 * tolerance;
    let round = |a: DVec3, m: DVec3, b: DVec3| {
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
    let mut from = take(&at, 0, straight);
    let mut bends = 0;
    while from < at.len() && bends < most {
        from = take(&at, from, round);
        from = take(&at, from, straight);
        bends += 1;
    }
    bends
}

/// The first place from `from` on that can't be in one group with all places from there.
fn take(at: &[DVec3], from: usize, may: impl Fn(DVec3, DVec3, DVec3) -> bool) -> usize {
    for end in from + 1..at.len() {
        let b = at[end];
        // Of two alone no straight line is untrue; an arc may be too short for them.
        let pairs = (from..end).all(|i| may(at[i], at[i], b));
        if !pairs || !(from..end).all(|i| (i + 1..end).all(|m| may(at[i], at[m], b))) {
            return end;
        }
    }
    at.len()
}

fn to_segment(p: DVec3, a: DVec3, b: DVec3) -> f64 {
    let d = b - a;
    let square = d.length_squared();
    let t = if square > 0.0 { ((p - a).dot(d) / square).clamp(0.0, 1.0) } else { 0.0 };
    (a + d * t).distance(p)
}
