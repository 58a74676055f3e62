//! One convex step: move corners so that the greatest distance, told to first order, becomes least.
//!
//! Least `t + dear · e` where every offset r + J δ is no longer than t, every room c + h · δ is no less than −e, e is not
//! under 0, and no corner moves farther than it may: second-order cones. Solved by Newton's method on logarithmic
//! barriers (Boyd and Vandenberghe, Convex Optimization, 2004, section 11.3), which goes to the middle of the best moves
//! where there are many, so that the same curve seen in a mirror or from its other end leads to the same chain.

use glam::{DMat3, DVec3};

/// An offset of chain from curve, and how it turns with each of some corners.
#[derive(Clone, Debug)]
pub struct Offset {
    /// The offset.
    pub at: DVec3,
    /// Numbers of corners that may move, rising, and how the offset moves with each.
    pub moves: Vec<(usize, DMat3)>,
}

/// A number that may not become less than 0, and how it grows with each of some corners.
#[derive(Clone, Debug)]
pub struct Room {
    /// What it is now.
    pub at: f64,
    /// Numbers of corners that may move, rising, and the gradient by each.
    pub moves: Vec<(usize, DVec3)>,
}

/// What is asked.
pub struct Step<'a> {
    /// Offsets.
    pub offsets: &'a [Offset],
    /// Rooms.
    pub rooms: &'a [Room],
    /// Number of corners that may move.
    pub corners: usize,
    /// How far each may.
    pub reach: f64,
    /// What a lack of room costs.
    pub dear: f64,
    /// How near the least must be come to, as a part of the greatest distance now.
    pub gap: f64,
}

/// Each round the barriers count so much less.
const SHRINK: f64 = 0.12;
/// A round's Newton steps.
const STEPS: usize = 12;
/// A round ends where the next Newton step promises less than this of what it lowers (Newton decrement squared).
const SETTLED: f64 = 0.1;

/// Moves of the corners; what is then expected of the greatest distance with the cost of rooms that lack.
pub fn solve(step: &Step<'_>) -> Option<(Vec<DVec3>, f64)> {
    let far = step.offsets.iter().map(|o| o.at.length()).fold(0.0, f64::max);
    let lack = step.rooms.iter().map(|r| -r.at).fold(0.0, f64::max);
    // All lengths in units of one that is neither nothing nor far off.
    let unit = far.max(lack).max(1e-3 * step.reach);
    if !(unit > 0.0 && unit.is_finite()) {
        return None;
    }
    let m = 3 * step.corners;
    let mut b = Barrier {
        step,
        unit,
        m,
        weight: 0.1,
        z: vec![0.0; m + 2],
        gradient: vec![0.0; m + 2],
        hessian: vec![0.0; (m + 2) * (m + 2)],
    };
    b.z[m] = 1.1 * far / unit + 0.1;
    b.z[m + 1] = 1.1 * lack / unit + 0.1;
    let count = (2 * step.offsets.len() + step.rooms.len() + 2 * step.corners + 1) as f64;
    let finest = step.gap * (far / unit).max(1e-6) / count;
    loop {
        for _ in 0..STEPS {
            if !b.newton()? {
                break;
            }
        }
        if b.weight <= finest {
            break;
        }
        b.weight = (b.weight * SHRINK).max(finest);
    }
    let delta = (0..step.corners).map(|i| DVec3::from_slice(&b.z[3 * i..3 * i + 3]) * unit).collect();
    Some((delta, (b.z[m] + step.dear * b.z[m + 1]) * unit))
}

struct Barrier<'a> {
    step: &'a Step<'a>,
    unit: f64,
    m: usize,
    weight: f64,
    /// Moves, then the greatest distance t, then the lack e.
    z: Vec<f64>,
    gradient: Vec<f64>,
    hessian: Vec<f64>,
}

impl Barrier<'_> {
    fn corner(&self, z: &[f64], i: usize) -> DVec3 {
        DVec3::new(z[3 * i], z[3 * i + 1], z[3 * i + 2])
    }

    fn offset(&self, z: &[f64], o: &Offset) -> DVec3 {
        o.moves.iter().fold(o.at / self.unit, |y, (i, j)| y + *j * self.corner(z, *i))
    }

    fn room(&self, z: &[f64], r: &Room) -> f64 {
        r.moves.iter().fold(r.at / self.unit + z[self.m + 1], |c, (i, h)| c + h.dot(self.corner(z, *i)))
    }

    /// The value; infinite outside.
    fn value(&self, z: &[f64]) -> f64 {
        let (t, e) = (z[self.m], z[self.m + 1]);
        if t <= 0.0 || e <= 0.0 {
            return f64::INFINITY;
        }
        let mut sum = (t + self.step.dear * e) / self.weight - e.ln();
        let mut add = |w: f64| sum += if w > 0.0 { -w.ln() } else { f64::INFINITY };
        for o in self.step.offsets {
            add(t * t - self.offset(z, o).length_squared());
        }
        for r in self.step.rooms {
            add(self.room(z, r));
        }
        let reach = self.step.reach / self.unit;
        for i in 0..self.step.corners {
            add(1.0 - self.corner(z, i).length_squared() / (reach * reach));
        }
        sum
    }

    fn add(&mut self, row: usize, column: usize, v: f64) {
        let n = self.m + 2;
        self.hessian[row * n + column] += v;
    }

    fn derivatives(&mut self) {
        let m = self.m;
        self.gradient.fill(0.0);
        self.hessian.fill(0.0);
        let (t, e) = (self.z[m], self.z[m + 1]);
        self.gradient[m] += 1.0 / self.weight;
        self.gradient[m + 1] += self.step.dear / self.weight - 1.0 / e;
        self.add(m + 1, m + 1, 1.0 / (e * e));
        for o in self.step.offsets {
            let y = self.offset(&self.z, o);
            let w = t * t - y.length_squared();
            self.gradient[m] -= 2.0 * t / w;
            self.add(m, m, 4.0 * t * t / (w * w) - 2.0 / w);
            for (k, (i, j)) in o.moves.iter().enumerate() {
                let jy = j.transpose() * y;
                let (slope, tie) = (jy * (2.0 / w), jy * (-4.0 * t / (w * w)));
                for a in 0..3 {
                    self.gradient[3 * i + a] += slope[a];
                    self.add(m, 3 * i + a, tie[a]);
                }
                for (l, g) in &o.moves[..=k] {
                    let gy = g.transpose() * y;
                    let square = j.transpose() * *g * (2.0 / w);
                    for a in 0..3 {
                        for c in 0..3 {
                            self.add(3 * i + a, 3 * l + c, square.col(c)[a] + 4.0 / (w * w) * jy[a] * gy[c]);
                        }
                    }
                }
            }
        }
        for r in self.step.rooms {
            let c = self.room(&self.z, r);
            self.gradient[m + 1] -= 1.0 / c;
            self.add(m + 1, m + 1, 1.0 / (c * c));
            for (k, (i, h)) in r.moves.iter().enumerate() {
                for a in 0..3 {
                    self.gradient[3 * i + a] -= h[a] / c;
                    self.add(m + 1, 3 * i + a, h[a] / (c * c));
                    for (l, g) in &r.moves[..=k] {
                        for d in 0..3 {
                            self.add(3 * i + a, 3 * l + d, h[a] * g[d] / (c * c));
                        }
                    }
                }
            }
        }
        let square = (self.step.reach / self.unit).powi(2);
        for i in 0..self.step.corners {
            let x = self.corner(&self.z, i);
            let w = square - x.length_squared();
            for a in 0..3 {
                self.gradient[3 * i + a] += 2.0 * x[a] / w;
                self.add(3 * i + a, 3 * i + a, 2.0 / w);
                for c in 0..3 {
                    self.add(3 * i + a, 3 * i + c, 4.0 * x[a] * x[c] / (w * w));
                }
            }
        }
    }

    /// One Newton step; whether another is worth it.
    fn newton(&mut self) -> Option<bool> {
        self.derivatives();
        let n = self.m + 2;
        let mut move_by: Vec<f64> = self.gradient.iter().map(|g| -g).collect();
        cholesky(&mut self.hessian, n)?;
        substitute(&self.hessian, n, &mut move_by);
        let falls: f64 = self.gradient.iter().zip(&move_by).map(|(g, d)| -g * d).sum();
        if !falls.is_finite() {
            return None;
        }
        let here = self.value(&self.z);
        let mut part = 1.0;
        // Half of each step till it is inside and lower: a plain backtracking search.
        for _ in 0..40 {
            let there: Vec<f64> = self.z.iter().zip(&move_by).map(|(z, d)| z + part * d).collect();
            if self.value(&there) <= here - 0.1 * part * falls {
                self.z = there;
                return Some(falls > SETTLED);
            }
            part *= 0.5;
        }
        Some(false)
    }
}

/// In place, by the lower triangle.
fn cholesky(a: &mut [f64], n: usize) -> Option<()> {
    let trace: f64 = (0..n).map(|i| a[i * n + i]).sum();
    for j in 0..n {
        for k in 0..j {
            let l = a[j * n + k];
            if l != 0.0 {
                for i in j..n {
                    a[i * n + j] -= a[i * n + k] * l;
                }
            }
        }
        // Where nothing holds a direction the trust region's barrier still does: what is less is rounding.
        let d = a[j * n + j].max(1e-15 * trace);
        if !(d > 0.0 && d.is_finite()) {
            return None;
        }
        let root = d.sqrt();
        a[j * n + j] = root;
        for i in j + 1..n {
            a[i * n + j] /= root;
        }
    }
    Some(())
}

fn substitute(l: &[f64], n: usize, b: &mut [f64]) {
    for i in 0..n {
        for k in 0..i {
            b[i] -= l[i * n + k] * b[k];
        }
        b[i] /= l[i * n + i];
    }
    for i in (0..n).rev() {
        for k in i + 1..n {
            b[i] -= l[k * n + i] * b[k];
        }
        b[i] /= l[i * n + i];
    }
}
