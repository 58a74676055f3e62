//! Measured points laid on the design: turned and slid, not stretched.

use faer::Mat;
use glam::{DMat3, DQuat, DVec3};
use serde::{Deserialize, Serialize};

use crate::datum::eigen;

/// A point in both.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pair {
    /// Where it was measured, m.
    pub measured: DVec3,
    /// Where the design has it, m.
    pub design: DVec3,
    /// How much it counts; 0 for a point that is only told.
    pub weight: f64,
}

/// How measured points lie on the design.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Fit {
    /// The turn: design = turn × measured + slide.
    pub turn: DMat3,
    /// The slide, m.
    pub slide: DVec3,
    /// For each pair: from the designed place to where the point came to lie, m, in design axes.
    pub deviations: Vec<DVec3>,
    /// Root of the weighted mean of the deviations' squares, m.
    pub rms: f64,
    /// The pair that is farthest off, whatever its weight.
    pub worst: Option<usize>,
    /// Whether another turn fits as well: points on one line, or at one place. The one taken is then one of many.
    pub open_turn: bool,
}

/// Why points can't be laid on the design.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum FitError {
    /// A place or a weight is not finite, or a weight is negative: this pair's number.
    NotANumber(usize),
    /// No pair has any weight.
    NoWeight,
    /// Numbers so large that their squares are none.
    TooLarge,
}

/// Part of the largest eigenvalue under which the two largest are one: a turn about the line of the points costs less than
/// the square of a ten-thousandth of their spread.
const OPEN: f64 = 1e-8;

/// The turn and slide with the least weighted sum of squared deviations.
pub fn best_fit(pairs: &[Pair]) -> Result<Fit, FitError> {
    for (i, p) in pairs.iter().enumerate() {
        if !(p.measured.is_finite() && p.design.is_finite() && p.weight.is_finite() && p.weight >= 0.0) {
            return Err(FitError::NotANumber(i));
        }
    }
    let total: f64 = pairs.iter().map(|p| p.weight).sum();
    if !(total > 0.0 && total.is_finite()) {
        return Err(FitError::NoWeight);
    }
    let mean = |f: &dyn Fn(&Pair) -> DVec3| pairs.iter().map(|p| f(p) * (p.weight / total)).sum::<DVec3>();
    let (from, to) = (mean(&|p| p.measured), mean(&|p| p.design));
    // Horn's matrix, of the sums of products s[i][j] = Σ w measured_i design_j.
    let mut s = [[0.0; 3]; 3];
    for p in pairs {
        let (a, b) = ((p.measured - from) * (p.weight / total), p.design - to);
        for i in 0..3 {
            for j in 0..3 {
                s[i][j] += a[i] * b[j];
            }
        }
    }
    let [[xx, xy, xz], [yx, yy, yz], [zx, zy, zz]] = s;
    let horn = [
        [xx + yy + zz, yz - zy, zx - xz, xy - yx],
        [yz - zy, xx - yy - zz, xy + yx, zx + xz],
        [zx - xz, xy + yx, yy - xx - zz, yz + zy],
        [xy - yx, zx + xz, yz + zy, zz - xx - yy],
    ];
    let (turn, open_turn) = match eigen(&Mat::from_fn(4, 4, |i, j| horn[i][j])) {
        Some((v, u)) => {
            let q = DQuat::from_xyzw(u[(1, 3)], u[(2, 3)], u[(3, 3)], u[(0, 3)]);
            let size = v.iter().fold(0.0f64, |a, x| a.max(x.abs()));
            (DMat3::from_quat(q.normalize()), v[3] - v[2] <= OPEN * size)
        }
        None => return Err(FitError::TooLarge),
    };
    let slide = to - turn * from;
    let deviations: Vec<DVec3> = pairs.iter().map(|p| turn * p.measured + slide - p.design).collect();
    let sum: f64 = pairs.iter().zip(&deviations).map(|(p, d)| p.weight / total * d.length_squared()).sum();
    let worst = (0..pairs.len()).max_by(|&a, &b| deviations[a].length().total_cmp(&deviations[b].length()));
    Ok(Fit { turn, slide, deviations, rms: sum.sqrt(), worst, open_turn })
}
