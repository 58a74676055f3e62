//! The largest ellipse of a given shape in a polygon, in any place and turned anyhow.

use std::collections::BinaryHeap;
use std::f64::consts::PI;

use glam::DVec2;

use crate::circle::{self, Circle, Largest};
use crate::polygon::signed_area;

/// An ellipse that fits.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Fit {
    /// Its size as a multiple of the half axes asked for.
    pub scale: f64,
    /// None that fits is larger than this multiple.
    pub most: f64,
    /// Centre.
    pub centre: DVec2,
    /// Direction of its first axis from x, anticlockwise, rad.
    pub turn: f64,
}

/// How far apart [`Fit::scale`] and [`Fit::most`] may stay, as a part: a thousandth, half a millimetre on a person.
const WITHIN: f64 = 1e-3;

/// Intervals of turns to begin with.
const FIRST: usize = 12;

/// Squares split in all before the search is content with the bound that it has: enough for any outline that a person
/// could get through, and a limit for slivers.
const MOST_SQUARES: usize = 60_000;

/// Intervals looked at before the search is content with the bound that it has.
const MOST_TURNS: usize = 2_000;

/// Width to which the best turn is known at last, rad.
const TURN: f64 = 1e-7;

/// The polygon seen so that an ellipse turned by `turn` is a circle.
fn stretched(p: &[DVec2], half: [f64; 2], turn: f64) -> Vec<DVec2> {
    let back = DVec2::from_angle(-turn);
    p.iter().map(|c| back.rotate(*c) / DVec2::from(half)).collect()
}

/// By how much an ellipse must grow to hold the same one turned by an angle: the largest stretch of D⁻¹ R D, from
/// its trace, since its determinant is one.
fn growth(half: [f64; 2], angle: f64) -> f64 {
    let q = half[0] / half[1];
    let (s, c) = angle.sin_cos();
    let trace = 2.0 * c * c + s * s * (q * q + 1.0 / (q * q));
    ((trace + (trace * trace - 4.0).max(0.0).sqrt()) / 2.0).sqrt()
}

struct Interval {
    middle: f64,
    half: f64,
    most: f64,
}

impl PartialEq for Interval {
    fn eq(&self, other: &Interval) -> bool {
        self.cmp(other).is_eq()
    }
}
impl Eq for Interval {}
impl PartialOrd for Interval {
    fn partial_cmp(&self, other: &Interval) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Interval {
    fn cmp(&self, other: &Interval) -> std::cmp::Ordering {
        self.most.total_cmp(&other.most)
    }
}

/// The search's best, in the plane of the polygon.
struct Search<'a> {
    polygon: &'a [DVec2],
    half: [f64; 2],
    convex: bool,
    budget: usize,
    scale: f64,
    centre: DVec2,
    turn: f64,
    /// Whether no turn near the best is better.
    settled: bool,
}

impl Search<'_> {
    fn offer(&mut self, c: Circle, turn: f64) {
        if c.radius > self.scale {
            let centre = DVec2::from_angle(turn).rotate(c.centre * DVec2::from(self.half));
            (self.scale, self.centre, self.turn, self.settled) = (c.radius, centre, turn, false);
        }
    }

    /// The largest at one turn, as far as it could better the best, and no more exactly than `wider`, by which turns near
    /// this one may better it.
    fn at(&mut self, turn: f64, floor: f64, wider: f64) -> f64 {
        let seen = stretched(self.polygon, self.half, turn);
        let mut budget = self.budget.min(MOST_SQUARES / FIRST / 2);
        let before = budget;
        let largest = circle::largest_in(&seen, self.convex, WITHIN.max((wider - 1.0) / 8.0), floor, &mut budget);
        self.budget -= before - budget;
        match largest {
            Some(Largest { circle, most }) => {
                self.offer(circle, turn);
                most
            }
            None => 0.0,
        }
    }

    /// Turns the best a little either way.
    fn settle(&mut self, width: f64) {
        let (polygon, half, convex, turn, centre) = (self.polygon, self.half, self.convex, self.turn, self.centre);
        let at = |t: f64| {
            let seen = stretched(polygon, half, t);
            if convex {
                return circle::largest_in(&seen, true, WITHIN, 0.0, &mut 0)
                    .map_or(Circle { centre, radius: 0.0 }, |l| l.circle);
            }
            circle::pushed(&seen, stretched(&[centre], half, t)[0])
        };
        let seen = |t: f64| (t, -at(t).radius);
        let (t, _) =
            crate::minimise::brent([seen(turn - width), (turn, -self.scale), seen(turn + width)], TURN, |t: f64| {
                -at(t).radius
            });
        self.offer(at(t), t);
        self.settled = true;
    }
}

/// The largest ellipse with half axes in the ratio of `half` in a simple polygon. `None` if the polygon has no room or
/// the ellipse has no size.
pub fn largest_in(p: &[DVec2], half: [f64; 2]) -> Option<Fit> {
    if !half.iter().all(|h| h.is_finite() && *h > 0.0) || !p.iter().all(|c| c.is_finite()) {
        return None;
    }
    let mut polygon = p.to_vec();
    if signed_area(&polygon) < 0.0 {
        polygon.reverse();
    }
    let convex = circle::is_convex(&polygon);
    let mut s = Search {
        polygon: &polygon,
        half,
        convex,
        budget: MOST_SQUARES,
        scale: 0.0,
        centre: DVec2::ZERO,
        turn: 0.0,
        settled: false,
    };
    let mut queue = BinaryHeap::new();
    let width = PI / FIRST as f64 / 2.0;
    let wider = growth(half, width);
    for i in 0..FIRST {
        let middle = (2 * i + 1) as f64 * width;
        let most = s.at(middle, s.scale / wider, wider) * wider;
        queue.push(Interval { middle, half: width, most });
    }
    if s.scale <= 0.0 {
        return None;
    }
    s.settle(width);
    let enough = 1.0 + WITHIN;
    for _ in 0..MOST_TURNS {
        if queue.peek().is_none_or(|i| i.most <= s.scale * enough) || s.budget == 0 {
            break;
        }
        let Some(i) = queue.pop() else { break };
        let h = i.half / 2.0;
        let wider = growth(half, h);
        for middle in [i.middle - h, i.middle + h] {
            let before = s.scale;
            let most = (s.at(middle, s.scale / wider, wider) * wider).min(i.most);
            if s.scale > before * enough {
                s.settle(h);
            }
            queue.push(Interval { middle, half: h, most });
        }
    }
    if !s.settled {
        s.settle(width / 16.0);
    }
    let most = queue.peek().map_or(s.scale, |i| i.most.max(s.scale));
    Some(Fit { scale: s.scale, most, centre: s.centre, turn: s.turn.rem_euclid(PI) })
}
