//! Curve and chain walked together from end to end: how far apart the two come.
//!
//! Places of the curve in order are matched with places of the chain in order. Between matched places both are straight
//! lines (but for what [`Walked::stray`] counts), and the distance of two places that run evenly along straight lines is
//! greatest at an end. So the greatest of the pairs, with the strays, bounds the walk from above; and the walk bounds the
//! distance both ways.

use glam::DVec3;

use crate::bent::Bent;
use crate::line::Line;

/// A place of the curve and the place of the chain that goes with it.
#[derive(Clone, Copy, Debug)]
pub struct Pair {
    /// On the curve.
    pub curve: DVec3,
    /// On the chain.
    pub chain: DVec3,
    /// Segment of the chain.
    pub segment: usize,
    /// Part of that segment.
    pub part: f64,
    /// The way along both: what moves along it comes no nearer.
    pub way: DVec3,
    /// Distance along the curve.
    pub along: f64,
    /// How far apart.
    pub apart: f64,
}

/// A walk.
#[derive(Clone, Debug)]
pub struct Walked {
    /// The pairs in order.
    pub pairs: Vec<Pair>,
    /// Number of the pair that is farthest apart.
    pub worst: usize,
    /// What arcs stray from the straight lines between their matched places.
    pub stray: f64,
}

impl Walked {
    /// How far apart the farthest pair is.
    pub fn most(&self) -> f64 {
        self.pairs[self.worst].apart
    }
}

/// How far ahead a foot is looked for: so many times the step and the distance apart. Where the curve cuts a corner of
/// the chain on its inside, the foot leaps twice the distance times the tangent of half the turn.
const AHEAD: f64 = 3.0;

/// Walks along both.
pub fn walk(line: &Line, bent: &Bent) -> Walked {
    let n = line.places.len();
    let mut w = Walked { pairs: Vec::with_capacity(n + n / 4), worst: 0, stray: 0.0 };
    let (mut segment, mut part) = (0, 0.0);
    let mut apart = line.places[0].distance(bent.corners[0]);
    w.push(Pair {
        curve: line.places[0],
        chain: bent.corners[0],
        segment,
        part,
        way: bent.tangent(0, 0.0),
        along: 0.0,
        apart,
    });
    for k in 1..n {
        let p = line.places[k];
        let step = line.along[k] - line.along[k - 1];
        let (s, f) = if k + 1 == n {
            (bent.segments() - 1, 1.0)
        } else {
            nearest_ahead(bent, p, (segment, part), AHEAD * (step + apart))
        };
        between(line, bent, k, (segment, part), (s, f), &mut w);
        (segment, part) = (s, f);
        let q = bent.point(segment, part);
        apart = p.distance(q);
        let way = bent.tangent(segment, part);
        w.push(Pair { curve: p, chain: q, segment, part, way, along: line.along[k], apart });
    }
    w
}

impl Walked {
    fn push(&mut self, p: Pair) {
        if self.pairs.get(self.worst).is_none_or(|w| p.apart > w.apart) {
            self.worst = self.pairs.len();
        }
        self.pairs.push(p);
    }
}

/// The nearest place of the chain from a place on, so far ahead.
fn nearest_ahead(bent: &Bent, p: DVec3, from: (usize, f64), ahead: f64) -> (usize, f64) {
    let (first, least) = from;
    let here = bent.starts[first] + least * (bent.starts[first + 1] - bent.starts[first]);
    let mut best = (first, least);
    let mut near = f64::INFINITY;
    for s in first..bent.segments() {
        if s > first && bent.starts[s] > here + ahead {
            break;
        }
        let f = bent.foot(s, p).max(if s == first { least } else { 0.0 });
        let d = bent.point(s, f).distance_squared(p);
        if d < near {
            (near, best) = (d, (s, f));
        }
    }
    best
}

/// What the chain does while the curve goes one step: its corners, and its arcs where it leaps along them.
fn between(line: &Line, bent: &Bent, k: usize, from: (usize, f64), to: (usize, f64), w: &mut Walked) {
    let (a, b) = (line.places[k - 1], line.places[k]);
    let (d, step) = (b - a, line.along[k] - line.along[k - 1]);
    let mut done = 0.0_f64;
    let mut visit = |segment: usize, part: f64| {
        let q = bent.point(segment, part);
        done = done.max(((q - a).dot(d) / d.length_squared()).clamp(0.0, 1.0));
        let curve = a + d * done;
        let along = line.along[k - 1] + step * done;
        w.push(Pair { curve, chain: q, segment, part, way: d / step, along, apart: curve.distance(q) });
    };
    let mut stray = 0.0_f64;
    for s in from.0..=to.0 {
        let (f, g) = (if s == from.0 { from.1 } else { 0.0 }, if s == to.0 { to.1 } else { 1.0 });
        if s % 2 == 1 && g > f {
            let run = (g - f) * (bent.starts[s + 1] - bent.starts[s]);
            let pieces = (run / (2.0 * step)).ceil().clamp(1.0, 1000.0);
            stray = stray.max((run / pieces).powi(2) / (8.0 * bent.radius));
            for i in 1..pieces as usize {
                visit(s, f + (g - f) * i as f64 / pieces);
            }
        }
        if s < to.0 {
            visit(s, 1.0);
        }
    }
    w.stray = w.stray.max(stray);
}

/// The greatest distance found from either to the other, each place to the nearest of the whole other: what the distance
/// both ways is at least. O(places × segments + pairs × places).
pub fn at_least(line: &Line, bent: &Bent, walked: &Walked) -> f64 {
    let there = line.places.iter().map(|&p| bent.distance(p)).fold(0.0, f64::max);
    // Only chain places that are farther from their own than that can add to it.
    let back =
        walked.pairs.iter().filter(|p| p.apart > there).map(|p| to_line(line, p.chain, there)).fold(0.0, f64::max);
    there.max(back - line.stray)
}

/// Distance of a place to the line, or anything under `enough` once it is known to be.
fn to_line(line: &Line, p: DVec3, enough: f64) -> f64 {
    let mut best = f64::INFINITY;
    for w in line.places.windows(2) {
        let d = w[1] - w[0];
        let t = ((p - w[0]).dot(d) / d.length_squared()).clamp(0.0, 1.0);
        best = best.min((w[0] + d * t).distance_squared(p));
        if best < enough * enough {
            break;
        }
    }
    best.sqrt()
}
