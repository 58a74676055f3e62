//! The curve itself: points, the smooth line through them, and places along it.

use glam::DVec3;
use serde::Serialize;

use crate::SAME_PLACE;

/// Most points that a curve may have: more than anybody draws, and than a scan needs.
pub const MOST_POINTS: usize = 10_000;
/// Places along a curve stray from it by no more than this, m: far under what a tape can tell.
const FINE: f64 = 2e-6;
/// Fewest and most steps along a whole curve. With the fewest a leg has tens of them; the most bound the time, and
/// [`Line::stray`] says what they cost.
const STEPS: (f64, f64) = (400.0, 4000.0);

/// How a line runs from point to point.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Run {
    /// Smooth: a centripetal Catmull-Rom spline.
    #[default]
    Smooth,
    /// Straight from point to point.
    Straight,
}

/// Why points make no line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LineError {
    /// Fewer than two different places.
    TooFew,
    /// More than [`MOST_POINTS`].
    TooMany(usize),
    /// This point (from 0) has a coordinate that is no number.
    NoNumber(usize),
}

impl std::fmt::Display for LineError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            LineError::TooFew => write!(f, "it has fewer than two different points"),
            LineError::TooMany(n) => write!(f, "it has {n} points; {MOST_POINTS} are the most"),
            LineError::NoNumber(i) => write!(f, "its point {} has a coordinate that is no number", i + 1),
        }
    }
}

/// A curve as places along it that are near enough to be joined by straight lines.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Places on the curve, m.
    pub places: Vec<DVec3>,
    /// Distance along the line to each, m.
    pub along: Vec<f64>,
    /// The curve strays from the straight lines between them by at most this, m.
    pub stray: f64,
}

impl Line {
    /// The line through points. Neighbours at one place count once.
    ///
    /// # Errors
    /// See [`LineError`].
    pub fn new(points: &[DVec3], run: Run) -> Result<Line, LineError> {
        if points.len() > MOST_POINTS {
            return Err(LineError::TooMany(points.len()));
        }
        if let Some(i) = points.iter().position(|p| !p.is_finite()) {
            return Err(LineError::NoNumber(i));
        }
        let mut kept: Vec<DVec3> = Vec::with_capacity(points.len());
        for &p in points {
            if kept.last().is_none_or(|&k| k.distance(p) > SAME_PLACE) {
                kept.push(p);
            }
        }
        if kept.len() < 2 {
            return Err(LineError::TooFew);
        }
        let rough: f64 = kept.windows(2).map(|w| w[0].distance(w[1])).sum();
        let (longest, shortest) = (rough / STEPS.0, rough / STEPS.1);
        let mut line = Line { places: vec![kept[0]], along: vec![0.0], stray: 0.0 };
        for (k, c) in cubics(&kept, run).iter().enumerate() {
            // A chord over a step dt strays by dt² / 8 times the greatest second derivative, which is at a control end.
            let bend = [c[2] - 2.0 * c[1] + c[0], c[3] - 2.0 * c[2] + c[1]].map(|d| 6.0 * d.length());
            let bend = bend[0].max(bend[1]);
            let hull = c.windows(2).map(|w| w[0].distance(w[1])).sum::<f64>();
            let fine = (bend / (8.0 * FINE)).sqrt().min(hull / shortest);
            let steps = fine.max(hull / longest).ceil().max(1.0);
            line.stray = line.stray.max(bend / (8.0 * steps * steps));
            for i in 1..=steps as usize {
                let t = i as f64 / steps;
                line.push(if i as f64 == steps { kept[k + 1] } else { at(c, t) });
            }
        }
        Ok(line)
    }

    fn push(&mut self, p: DVec3) {
        let last = self.places.len() - 1;
        let step = self.places[last].distance(p);
        if step > 0.0 {
            self.along.push(self.along[last] + step);
            self.places.push(p);
        }
    }

    /// Length, m.
    pub fn length(&self) -> f64 {
        self.along[self.along.len() - 1]
    }

    /// The place at a distance along it.
    pub fn place(&self, s: f64) -> DVec3 {
        let n = self.along.len();
        let i = self.along.partition_point(|&a| a <= s).clamp(1, n - 1);
        let part = (s - self.along[i - 1]) / (self.along[i] - self.along[i - 1]);
        self.places[i - 1].lerp(self.places[i], part.clamp(0.0, 1.0))
    }

    /// Numbers of some of its places, about evenly spaced, ends included.
    pub(crate) fn some(&self, count: usize) -> Vec<usize> {
        let mut out = vec![0];
        for i in 1..count {
            let s = self.length() * i as f64 / (count - 1) as f64;
            let k = self.along.partition_point(|&a| a < s).min(self.along.len() - 1);
            if k > out[out.len() - 1] {
                out.push(k);
            }
        }
        if out[out.len() - 1] + 1 < self.places.len() {
            out.push(self.places.len() - 1);
        }
        out
    }

    /// The same line from its other end.
    pub(crate) fn reversed(&self) -> Line {
        let length = self.length();
        Line {
            places: self.places.iter().rev().copied().collect(),
            along: self.along.iter().rev().map(|a| length - a).collect(),
            stray: self.stray,
        }
    }
}

/// The cubic between each two neighbours by its four control points.
fn cubics(p: &[DVec3], run: Run) -> Vec<[DVec3; 4]> {
    if run == Run::Straight || p.len() == 2 {
        return p.windows(2).map(|w| [w[0], w[0].lerp(w[1], 1.0 / 3.0), w[0].lerp(w[1], 2.0 / 3.0), w[1]]).collect();
    }
    let n = p.len();
    // Centripetal: the parameter runs by the square root of the distance.
    let knots: Vec<f64> = p.windows(2).map(|w| w[0].distance(w[1]).sqrt()).collect();
    let slope: Vec<DVec3> = (0..n - 1).map(|i| (p[i + 1] - p[i]) / knots[i]).collect();
    // The tangent of the parabola through a point and its neighbours; at the ends through the first three.
    let tangent = |i: usize| {
        let k = i.clamp(1, n - 2);
        let (a, b) = (knots[k - 1], knots[k]);
        let turn = (slope[k] - slope[k - 1]) / (a + b);
        match i {
            0 => slope[0] - turn * a,
            _ if i == n - 1 => slope[n - 2] + turn * b,
            _ => slope[k - 1] + turn * a,
        }
    };
    let tangents: Vec<DVec3> = (0..n).map(tangent).collect();
    (0..n - 1)
        .map(|i| {
            let third = knots[i] / 3.0;
            [p[i], p[i] + tangents[i] * third, p[i + 1] - tangents[i + 1] * third, p[i + 1]]
        })
        .collect()
}

fn at(c: &[DVec3; 4], t: f64) -> DVec3 {
    let (a, b, d) = (c[0].lerp(c[1], t), c[1].lerp(c[2], t), c[2].lerp(c[3], t));
    a.lerp(b, t).lerp(b.lerp(d, t), t)
}
