//! Weighted rows, the normal matrix, and solving it under conditions.

use faer::linalg::solvers::Solve;
use faer::{Mat, Side};

use crate::datum::finite;
use crate::model::{Level, Sight, State, read};
use crate::ready::{Ready, Row};

/// A row of the weighted design matrix: unknowns and derivatives over the standard deviation.
pub(crate) type Sparse = Vec<(usize, f64)>;

/// The weighted row of a measurement and what it should read.
pub(crate) fn row(ready: &Ready, r: &Row, s: &State, level: &Level) -> (Sparse, f64) {
    let reading = read(&r.sight, &r.marks, s, level);
    let mut out: Sparse = Vec::with_capacity(3 * reading.points.len() + 3);
    let mut add = |u: Option<usize>, by: f64| {
        let Some(u) = u else { return };
        match out.iter_mut().find(|x| x.0 == u) {
            Some(x) => x.1 += by / r.sigma,
            None => out.push((u, by / r.sigma)),
        }
    };
    for (p, by) in &reading.points {
        (0..3).for_each(|k| add(ready.coordinate[*p][k], by[k]));
    }
    if let Some((k, by)) = reading.level {
        add(ready.level[k], by);
    }
    if let Some(t) = ready.tilt {
        (0..2).for_each(|k| add(Some(t[k]), reading.tilt[k] / ready.size));
    }
    (out, reading.value)
}

/// All rows at a state, and the weighted residuals (measured less calculated).
pub(crate) fn rows(ready: &Ready, used: &[bool], s: &State) -> (Vec<Sparse>, Vec<f64>) {
    let level = Level::new(s.tilt);
    let (mut all, mut left) = (Vec::new(), Vec::new());
    for (r, &used) in ready.rows.iter().zip(used) {
        let (j, value) = row(ready, r, s, &level);
        all.push(if used { j } else { Vec::new() });
        left.push(if used { (r.value - value) / r.sigma } else { 0.0 });
    }
    (all, left)
}

/// Sum of the squares of the weighted residuals.
pub(crate) fn cost(ready: &Ready, used: &[bool], s: &State) -> f64 {
    let level = Level::new(s.tilt);
    ready
        .rows
        .iter()
        .zip(used)
        .filter(|x| *x.1)
        .map(|(r, _)| ((r.value - read(&r.sight, &r.marks, s, &level).value) / r.sigma).powi(2))
        .sum()
}

/// JᵀJ, both halves.
pub(crate) fn normal(rows: &[Sparse], n: usize) -> Mat<f64> {
    let mut out = Mat::zeros(n, n);
    for r in rows {
        for &(i, a) in r {
            for &(j, b) in r {
                out[(i, j)] += a * b;
            }
        }
    }
    out
}

/// Takes from the normal matrix what the curvature of distances brings: −Σ r/σ ∇²d, with ∇²d = (1 − uuᵀ)/d.
pub(crate) fn curve(ready: &Ready, used: &[bool], s: &State, left: &[f64], n: &mut Mat<f64>) {
    for (i, r) in ready.rows.iter().enumerate().filter(|x| used[x.0]) {
        let Sight::Distance(a, b) = r.sight else { continue };
        let d = s.points[b] + r.marks[1] - s.points[a] - r.marks[0];
        let Some(u) = d.try_normalize() else { continue };
        let by = left[i] / r.sigma / d.length();
        for (p, q, sign) in [(a, a, 1.0), (b, b, 1.0), (a, b, -1.0), (b, a, -1.0)] {
            for (k, x) in ready.coordinate[p].iter().enumerate() {
                for (l, y) in ready.coordinate[q].iter().enumerate() {
                    if let (Some(x), Some(y)) = (*x, *y) {
                        let one = if k == l { 1.0 } else { 0.0 };
                        n[(x, y)] -= sign * by * (one - u[k] * u[l]);
                    }
                }
            }
        }
    }
}

/// Jᵀr.
pub(crate) fn right(rows: &[Sparse], left: &[f64], n: usize) -> Mat<f64> {
    let mut out = Mat::zeros(n, 1);
    for (r, v) in rows.iter().zip(left) {
        for &(i, a) in r {
            out[(i, 0)] += a * v;
        }
    }
    out
}

/// A normal matrix made ready under conditions Cᵀδ = e.
pub(crate) struct Bound {
    factor: faer::linalg::solvers::Llt<f64>,
    /// M⁻¹C and (CᵀM⁻¹C)⁻¹'s factor, where there are conditions.
    conditions: Option<(Mat<f64>, faer::linalg::solvers::Llt<f64>)>,
    c: Mat<f64>,
}

impl Bound {
    /// `None` if the matrix is not positive.
    pub(crate) fn new(mut n: Mat<f64>, c: &Mat<f64>) -> Option<Bound> {
        let size = n.nrows();
        if c.ncols() > 0 {
            let mean = (0..size).map(|i| n[(i, i)]).sum::<f64>() / size as f64;
            // Any positive factor gives the same answer; the mean keeps the matrix even. With no measurement at all: 1.
            let mean = if mean > 0.0 { mean } else { 1.0 };
            n += (c * c.transpose()) * faer::Scale(mean);
        }
        if !finite(&n) {
            return None;
        }
        let factor = n.llt(Side::Lower).ok()?;
        let conditions = if c.ncols() > 0 {
            let mc = factor.solve(c);
            let small = c.transpose() * &mc;
            let small = small.llt(Side::Lower).ok()?;
            Some((mc, small))
        } else {
            None
        };
        Some(Bound { factor, conditions, c: c.clone() })
    }

    /// δ that solves the normal equations with Cᵀδ = e.
    pub(crate) fn solve(&self, g: &Mat<f64>, e: &Mat<f64>) -> Mat<f64> {
        let free = self.factor.solve(g);
        match &self.conditions {
            None => free,
            Some((mc, small)) => {
                let short = e - self.c.transpose() * &free;
                free + mc * small.solve(&short)
            }
        }
    }

    /// Q, the cofactors of the unknowns.
    pub(crate) fn cofactors(&self) -> Mat<f64> {
        let n = self.c.nrows();
        let mut q = self.factor.solve(Mat::<f64>::identity(n, n));
        if let Some((mc, small)) = &self.conditions {
            q -= mc * small.solve(mc.transpose());
        }
        // Rounding leaves the halves a little apart.
        for i in 0..n {
            for j in 0..i {
                let m = 0.5 * (q[(i, j)] + q[(j, i)]);
                (q[(i, j)], q[(j, i)]) = (m, m);
            }
        }
        q
    }
}

/// Q·jᵀ for a sparse row.
pub(crate) fn times(q: &Mat<f64>, j: &Sparse) -> Vec<f64> {
    let mut out = vec![0.0; q.nrows()];
    for &(u, a) in j {
        let column = q.col(u);
        for (i, o) in out.iter_mut().enumerate() {
            *o += a * column[i];
        }
    }
    out
}

/// j·Q·kᵀ for sparse rows.
pub(crate) fn between(q: &Mat<f64>, j: &Sparse, k: &Sparse) -> f64 {
    j.iter().map(|&(u, a)| k.iter().map(|&(v, b)| a * b * q[(u, v)]).sum::<f64>()).sum()
}
