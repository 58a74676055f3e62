//! Splines by control points and knots (NURBS), and whole or part ellipses, as places along them.

use std::f64::consts::TAU;

use glam::{DVec3, DVec4};

use crate::CURVE_PLACES;

/// A B-spline as its file tells it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Spline {
    /// Degree, 1 or more.
    pub degree: usize,
    /// Knots, not falling: `control.len() + degree + 1`.
    pub knots: Vec<f64>,
    /// Control points.
    pub control: Vec<DVec3>,
    /// Weights, one for each control point; none: all 1.
    pub weights: Vec<f64>,
}

impl Spline {
    /// What keeps it from being a curve, in words.
    fn wrong(&self) -> Option<String> {
        let (n, p) = (self.control.len(), self.degree);
        if p == 0 || p > 25 {
            return Some(format!("a degree of {p}"));
        }
        if n <= p {
            return Some(format!("{n} control points, where a degree of {p} needs {} at least", p + 1));
        }
        if self.knots.len() != n + p + 1 {
            return Some(format!(
                "{} knots, where {n} control points and degree {p} need {}",
                self.knots.len(),
                n + p + 1
            ));
        }
        if self.knots.windows(2).any(|w| w[1] < w[0]) || self.knots.iter().any(|k| !k.is_finite()) {
            return Some("knots that fall".into());
        }
        if self.knots[n] <= self.knots[p] {
            return Some("knots that leave no length".into());
        }
        if !self.weights.is_empty() && (self.weights.len() != n || self.weights.iter().any(|w| *w <= 0.0)) {
            return Some("weights that do not fit its control points".into());
        }
        None
    }

    /// Places along it: every knot, and as many between as there is room for.
    pub(crate) fn places(&self) -> Result<Vec<DVec3>, String> {
        if let Some(w) = self.wrong() {
            return Err(w);
        }
        let (n, p) = (self.control.len(), self.degree);
        let mut ends: Vec<f64> = self.knots[p..=n].to_vec();
        ends.dedup();
        let each = ((CURVE_PLACES - 1) / (ends.len() - 1)).max(8);
        let mut out = Vec::with_capacity(each * (ends.len() - 1) + 1);
        for w in ends.windows(2) {
            out.extend((0..each).map(|k| self.at(w[0] + (w[1] - w[0]) * k as f64 / each as f64)));
        }
        out.push(self.at(ends[ends.len() - 1]));
        if out.iter().any(|p| !p.is_finite()) { Err("places that are no numbers".into()) } else { Ok(out) }
    }

    /// Its place at a parameter, by de Boor's algorithm on points with weights.
    fn at(&self, t: f64) -> DVec3 {
        let (n, p) = (self.control.len(), self.degree);
        // The stretch of knots that holds t; the last one at the very end.
        let k = (p..n).rev().find(|&k| self.knots[k] <= t && self.knots[k] < self.knots[k + 1]).unwrap_or(p);
        let weight = |i: usize| self.weights.get(i).copied().unwrap_or(1.0);
        let mut d: Vec<DVec4> = (0..=p)
            .map(|j| {
                let i = j + k - p;
                (self.control[i] * weight(i)).extend(weight(i))
            })
            .collect();
        for r in 1..=p {
            for j in (r..=p).rev() {
                let (low, high) = (self.knots[j + k - p], self.knots[j + 1 + k - r]);
                let part = if high > low { (t - low) / (high - low) } else { 0.0 };
                d[j] = d[j - 1] * (1.0 - part) + d[j] * part;
            }
        }
        d[p].truncate() / d[p].w
    }
}

/// Places along an ellipse from one parameter to another: `centre + major cos t + minor sin t`.
pub(crate) fn ellipse(centre: DVec3, major: DVec3, minor: DVec3, from: f64, to: f64) -> Vec<DVec3> {
    let mut sweep = (to - from).rem_euclid(TAU);
    if sweep < 1e-12 {
        sweep = TAU;
    }
    let n = CURVE_PLACES - 1;
    let at = |k: usize| {
        let (sin, cos) = (from + sweep * k as f64 / n as f64).sin_cos();
        centre + major * cos + minor * sin
    };
    (0..=n).map(at).collect()
}

/// Places along a smooth line through points: a centripetal Catmull-Rom spline (Yuksel, Schaefer, Keyser, 2011; from
/// memory). How a program draws a spline that is told by its points alone is its own affair; all go through them.
pub(crate) fn through(points: &[DVec3]) -> Vec<DVec3> {
    let mut p = points.to_vec();
    p.dedup();
    if p.len() < 3 {
        return p;
    }
    let mut knots = vec![0.0];
    p.windows(2).for_each(|w| knots.push(knots[knots.len() - 1] + w[0].distance(w[1]).sqrt()));
    // The tangent of the parabola through three points, at one of them.
    let tangent = |k: usize| {
        let m = k.clamp(1, p.len() - 2);
        let (a, b) = (knots[m] - knots[m - 1], knots[m + 1] - knots[m]);
        let (d, e) = ((p[m] - p[m - 1]) / a, (p[m + 1] - p[m]) / b);
        let bend = (e - d) / (a + b);
        let middle = d + bend * a;
        if k < m {
            middle - bend * (2.0 * a)
        } else if k > m {
            middle + bend * (2.0 * b)
        } else {
            middle
        }
    };
    let each = ((CURVE_PLACES - 1) / (p.len() - 1)).max(8);
    let mut out = Vec::with_capacity(each * p.len());
    for k in 0..p.len() - 1 {
        let h = knots[k + 1] - knots[k];
        let (u, v) = (tangent(k) * h, tangent(k + 1) * h);
        out.extend((0..each).map(|i| {
            let t = i as f64 / each as f64;
            let (t2, t3) = (t * t, t * t * t);
            p[k] * (2.0 * t3 - 3.0 * t2 + 1.0)
                + u * (t3 - 2.0 * t2 + t)
                + p[k + 1] * (3.0 * t2 - 2.0 * t3)
                + v * (t3 - t2)
        }));
    }
    out.push(p[p.len() - 1]);
    out
}
