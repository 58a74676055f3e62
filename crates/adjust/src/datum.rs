//! What the measurements do not fix: motions of the whole, and points that are loose.

use faer::{Mat, Side};
use glam::DVec3;
use serde::{Deserialize, Serialize};

use crate::dice::Dice;
use crate::normal::{Sparse, normal};
use crate::ready::Ready;

/// A direction whose eigenvalue is under this part of the largest is loose whatever the frame's size: its standard
/// deviation is a million times that of the best-known direction, and rounding hides more than that.
const ROUNDING: f64 = 1e-12;

/// A direction is loose if its standard deviation moves a point by more than this part of the frame's size: 100 mm on 2 m, far
/// worse than the design knows it. About there second-order terms (the square over twice the length, 2.5 mm) pass what a tape is
/// good for, so that linear theory ends too.
const LOOSE: f64 = 0.05;

/// Square of the sine under which a motion of the whole lies within the loose directions: eigenvectors of a matrix with so
/// wide a range of eigenvalues are known to about 1e-6.
const WITHIN: f64 = 1e-8;

/// Part of the largest motion under which a point is not named: a hundredth, what a nearly flat frame has of motion in its
/// plane.
const STILL: f64 = 1e-2;

/// Three points hold the whole if the smallest eigenvalue of its motions there is over this part of the largest: they are not
/// on one line by a hundredth of their distance.
const HOLDS: f64 = 1e-4;

/// Square of the part of the largest motion under which a point's motion along a second direction is not named: [`STILL`]'s.
const NAMED: f64 = 1e-4;

/// Part of a sum of squares under which a direction is not there at all.
const NONE: f64 = 1e-10;

/// How many triples of points are tried as what stays: with a third of the points rigid together, the chance to miss them
/// all is under 1e-4.
const TRIPLES: usize = 250;

/// Points that can move together although measured, relative to the rest.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Loose {
    /// Each point (its number in the network) and the directions in which it can go, square to each other: one to three.
    pub points: Vec<(usize, Vec<DVec3>)>,
    /// In how many ways they can move.
    pub ways: usize,
}

/// Motions of the whole that nothing fixes: there the answer is the best fit to the design.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Open {
    /// Slides, 0 to 3.
    pub slides: usize,
    /// Turns, 0 to 3.
    pub turns: usize,
}

/// The loose directions made into conditions.
#[derive(Clone, Debug)]
pub(crate) struct Datum {
    /// Conditions, orthonormal columns in the unknowns.
    pub c: Mat<f64>,
    pub open: Open,
    pub loose: Vec<Loose>,
    /// What of the loose directions is not a motion of the whole, in the unknowns: orthonormal columns.
    pub apart: Mat<f64>,
}

/// Eigenvalues (rising) and vectors; `None` if the matrix is not finite.
pub(crate) fn eigen(m: &Mat<f64>) -> Option<(Vec<f64>, Mat<f64>)> {
    if m.nrows() == 0 {
        return Some((Vec::new(), Mat::zeros(0, 0)));
    }
    if !finite(m) {
        return None;
    }
    let e = m.self_adjoint_eigen(Side::Lower).ok()?;
    let s = e.S().column_vector();
    Some(((0..m.nrows()).map(|i| s[i]).collect(), e.U().to_owned()))
}

/// Whether every entry is a number.
pub(crate) fn finite(m: &Mat<f64>) -> bool {
    (0..m.ncols()).all(|j| m.col(j).iter().all(|x| x.is_finite()))
}

/// Columns that span the same, orthonormal; those left out whose square is under `least`.
fn span(m: &Mat<f64>, least: f64) -> Mat<f64> {
    let Some((values, u)) = eigen(&(m.transpose() * m)) else { return Mat::zeros(m.nrows(), 0) };
    let kept: Vec<usize> = (0..values.len()).filter(|&i| values[i] > least).collect();
    let turned = m * Mat::from_fn(values.len(), kept.len(), |i, j| u[(i, kept[j])] / values[kept[j]].sqrt());
    // Once more: small columns lose their right angles when they are made long.
    if kept.is_empty() { turned } else { turned.qr().compute_thin_Q() }
}

impl Datum {
    /// From the rows in the design.
    pub(crate) fn new(ready: &Ready, rows: &[Sparse]) -> Datum {
        let n = ready.unknowns;
        let none = Datum { c: Mat::zeros(n, 0), open: Open::default(), loose: Vec::new(), apart: Mat::zeros(n, 0) };
        let m = normal(rows, n);
        if firm(ready, &m) {
            return none;
        }
        let Some((values, u)) = eigen(&m) else { return none };
        let most = values.last().copied().unwrap_or(0.0);
        let allowed = (LOOSE * ready.size).powi(2);
        let is_loose = |k: usize| values[k] <= ROUNDING * most || farthest(ready, &u, k) > allowed * values[k];
        let kept: Vec<usize> = (0..n).filter(|&k| is_loose(k)).collect();
        let d = kept.len();
        if d == 0 {
            return none;
        }
        let z = Mat::from_fn(n, d, |i, j| u[(i, kept[j])]);
        // What of it moves points, and what does not.
        let places = Mat::from_fn(n, d, |i, j| if ready.is_coordinate(i) { z[(i, j)] } else { 0.0 });
        let Some((moves, v)) = eigen(&(places.transpose() * &places)) else { return none };
        let still = moves.iter().filter(|x| **x <= NONE).count();
        let w = span(&places, NONE);
        let mut c = Mat::zeros(n, w.ncols() + still);
        c.subcols_mut(0, w.ncols()).copy_from(&w);
        c.subcols_mut(w.ncols(), still).copy_from(&z * v.subcols(0, still));
        let c = c.qr().compute_thin_Q();
        let whole = whole(ready, &w);
        let open = open(ready, &whole);
        let rest = &w - &whole * (whole.transpose() * &w);
        let apart = span(&rest, WITHIN);
        let loose = groups(ready, &whole, &apart);
        Datum { c, open, loose, apart }
    }
}

/// Square of the largest motion of a point, or of another unknown, in a column.
fn farthest(ready: &Ready, m: &Mat<f64>, column: usize) -> f64 {
    let points = motion(ready, m, column).into_iter().map(DVec3::length_squared);
    let others = (ready.coordinates..ready.unknowns).map(|u| m[(u, column)].powi(2));
    points.chain(others).fold(0.0, f64::max)
}

/// Whether no direction can be loose, told without eigenvalues: a point's variance is no less than what any one direction
/// brings to it.
fn firm(ready: &Ready, m: &Mat<f64>) -> bool {
    let n = m.nrows();
    if n == 0 {
        return true;
    }
    if !finite(m) {
        return false;
    }
    let Ok(factor) = m.llt(Side::Lower) else { return false };
    let inverse = faer::linalg::solvers::DenseSolveCore::inverse(&factor);
    let most: f64 = (0..n).map(|i| m[(i, i)]).sum();
    let trace: f64 = (0..n).map(|i| inverse[(i, i)]).sum();
    let own = |u: Option<usize>| u.map_or(0.0, |u| inverse[(u, u)]);
    let points = ready.coordinate.iter().map(|c| c.iter().map(|u| own(*u)).sum::<f64>());
    let others = (ready.coordinates..n).map(|u| inverse[(u, u)]);
    let allowed = (LOOSE * ready.size).powi(2);
    trace.is_finite() && trace * ROUNDING * most < 1.0 && points.chain(others).all(|v| (0.0..=allowed).contains(&v))
}

/// Slides and turns of the whole, one column each, in the coordinates that are unknown; and what they move of those that are fixed.
fn rigid(ready: &Ready) -> (Mat<f64>, Mat<f64>) {
    let points = &ready.start.points;
    let middle = points.iter().sum::<DVec3>() / points.len().max(1) as f64;
    let motion = |p: usize, k: usize| {
        if k < 3 { DVec3::AXES[k] } else { DVec3::AXES[k - 3].cross(points[p] - middle) / ready.size }
    };
    let mut free = Mat::zeros(ready.unknowns, 6);
    let mut fixed = Mat::zeros(3 * points.len(), 6);
    for (p, c) in ready.coordinate.iter().enumerate() {
        for k in 0..6 {
            let m = motion(p, k);
            for i in 0..3 {
                match c[i] {
                    Some(u) => free[(u, k)] = m[i],
                    None => fixed[(3 * p + i, k)] = m[i],
                }
            }
        }
    }
    (free, fixed)
}

/// Motions of the whole that lie within the loose directions `w`: orthonormal columns.
fn whole(ready: &Ready, w: &Mat<f64>) -> Mat<f64> {
    let (free, fixed) = rigid(ready);
    let n = ready.unknowns;
    let mut all = Mat::zeros(n + fixed.nrows(), 6);
    all.subrows_mut(0, n).copy_from(&free);
    all.subrows_mut(n, fixed.nrows()).copy_from(&fixed);
    // Points on one line do not turn about it: that motion has no size.
    let count = ready.start.points.len() as f64;
    let all = span(&all, NONE * count);
    let free = all.subrows(0, n).to_owned();
    let fixed = all.subrows(n, fixed.nrows()).to_owned();
    let beyond = &free - w * (w.transpose() * &free);
    let gram = beyond.transpose() * &beyond + fixed.transpose() * &fixed;
    let Some((values, u)) = eigen(&gram) else { return Mat::zeros(n, 0) };
    let g = values.iter().filter(|v| **v < WITHIN).count();
    span(&(&free * u.subcols(0, g)), 0.5)
}

/// Counts slides and turns of the motions of the whole.
fn open(ready: &Ready, whole: &Mat<f64>) -> Open {
    let (free, fixed) = rigid(ready);
    let slides = free.subcols(0, 3).to_owned();
    let count = ready.start.points.len().max(1) as f64;
    let fixed = fixed.subcols(0, 3).to_owned();
    let beyond = &slides - whole * (whole.transpose() * &slides);
    let gram = beyond.transpose() * &beyond + fixed.transpose() * &fixed;
    let slides = eigen(&gram).map_or(0, |(v, _)| v.iter().filter(|x| **x < WITHIN * count).count()).min(whole.ncols());
    Open { slides, turns: whole.ncols() - slides }
}

/// The motion of each point in a column.
fn motion(ready: &Ready, m: &Mat<f64>, column: usize) -> Vec<DVec3> {
    let part = |u: Option<usize>| u.map_or(0.0, |u| m[(u, column)]);
    ready.coordinate.iter().map(|c| DVec3::new(part(c[0]), part(c[1]), part(c[2]))).collect()
}

/// Loose points in groups, their motions told relative to the three points for which the fewest others move.
fn groups(ready: &Ready, whole: &Mat<f64>, apart: &Mat<f64>) -> Vec<Loose> {
    let k = apart.ncols();
    if k == 0 {
        return Vec::new();
    }
    let relative = span(&(apart - whole * relation(ready, whole, apart)), WITHIN);
    let moves: Vec<Vec<DVec3>> = (0..relative.ncols()).map(|c| motion(ready, &relative, c)).collect();
    let size = |p: usize| moves.iter().map(|m| m[p].length_squared()).sum::<f64>();
    let count = ready.start.points.len();
    let most = (0..count).map(size).fold(0.0, f64::max);
    let moving: Vec<usize> = (0..count).filter(|&p| size(p) > STILL * STILL * most).collect();
    // Two points move together if a motion of one comes with one of the other, whatever the choice of columns.
    let together = |p: usize, q: usize| {
        let sum: f64 = (0..3)
            .flat_map(|i| (0..3).map(move |j| (i, j)))
            .map(|(i, j)| moves.iter().map(|m| m[p][i] * m[q][j]).sum::<f64>().powi(2))
            .sum();
        sum > WITHIN * size(p) * size(q)
    };
    let mut left = moving;
    let mut out = Vec::new();
    while let Some(first) = left.first().copied() {
        let mut group = vec![first];
        left.retain(|p| *p != first);
        let mut i = 0;
        while i < group.len() {
            let (more, rest): (Vec<usize>, Vec<usize>) = left.iter().partition(|q| together(group[i], **q));
            group.extend(more);
            left = rest;
            i += 1;
        }
        group.sort_unstable();
        let ways = group.iter().map(|p| size(*p)).sum::<f64>().round().max(1.0) as usize;
        let points = group.iter().map(|&p| (ready.outer[p], directions(&moves, p, most))).collect();
        out.push(Loose { points, ways });
    }
    out
}

/// By which motions of the whole the loose ones are to be changed, so that the fewest points move.
fn relation(ready: &Ready, whole: &Mat<f64>, apart: &Mat<f64>) -> Mat<f64> {
    let (g, k, n) = (whole.ncols(), apart.ncols(), ready.start.points.len());
    let mut best = Mat::zeros(g, k);
    if g == 0 || n < 3 {
        return best;
    }
    let mut dice = Dice(7);
    // A mixture of all loose motions moves every point that any of them moves.
    let mixture = Mat::from_fn(k, 1, |_, _| dice.roll() + 0.1);
    let mixed = apart * &mixture;
    let mixed_places = motion(ready, &mixed, 0);
    let whole_places: Vec<Vec<DVec3>> = (0..g).map(|c| motion(ready, whole, c)).collect();
    let moved = |x: &dyn Fn(usize) -> f64| -> Vec<f64> {
        let by: Vec<f64> = (0..g).map(x).collect();
        (0..n)
            .map(|p| (0..g).fold(mixed_places[p], |m, c| m - whole_places[c][p] * by[c]).length())
            .collect::<Vec<f64>>()
    };
    let count = |sizes: &[f64]| {
        let most = sizes.iter().copied().fold(0.0, f64::max);
        sizes.iter().filter(|s| **s > STILL * most).count()
    };
    let mut fewest = count(&moved(&|_| 0.0));
    let mut firmest = 0.0;
    for _ in 0..TRIPLES {
        let three = [dice.below(n), dice.below(n), dice.below(n)];
        let a = Mat::from_fn(9, g, |i, c| whole_places[c][three[i / 3]][i % 3]);
        let Some((values, u)) = eigen(&(a.transpose() * &a)) else { continue };
        // Three points on one line, or the same twice, do not hold the whole.
        if values[0] < HOLDS * values[g - 1] {
            continue;
        }
        let inverse = &u * Mat::from_fn(g, g, |i, j| u[(j, i)] / values[i]);
        let fit = inverse * a.transpose();
        let at = |m: &Mat<f64>| {
            let columns: Vec<Vec<DVec3>> = (0..m.ncols()).map(|c| motion(ready, m, c)).collect();
            Mat::from_fn(9, m.ncols(), |i, c| columns[c][three[i / 3]][i % 3])
        };
        let x = &fit * at(&mixed);
        let moving = count(&moved(&|c| x[(c, 0)]));
        if moving < fewest || (moving == fewest && values[0] > firmest) {
            (fewest, firmest) = (moving, values[0]);
            best = &fit * at(apart);
        }
    }
    best
}

/// Directions in which a point goes; `most`: square of the largest motion of any.
fn directions(moves: &[Vec<DVec3>], p: usize, most: f64) -> Vec<DVec3> {
    let m = Mat::from_fn(3, 3, |i, j| moves.iter().map(|m| m[p][i] * m[p][j]).sum::<f64>());
    let Some((values, u)) = eigen(&m) else { return Vec::new() };
    (0..3)
        .rev()
        .filter(|&k| k == 2 || values[k] > NAMED * most)
        .map(|k| {
            let d = DVec3::new(u[(0, k)], u[(1, k)], u[(2, k)]);
            let lead = if d.x.abs() >= d.y.abs().max(d.z.abs()) {
                d.x
            } else if d.y.abs() >= d.z.abs() {
                d.y
            } else {
                d.z
            };
            if lead < 0.0 { -d } else { d }
        })
        .collect()
}
