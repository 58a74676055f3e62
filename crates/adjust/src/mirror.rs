//! A point on the wrong side of its neighbours.

use glam::{DMat3, DVec3};

use crate::datum::eigen;
use crate::model::{Level, State, read};
use crate::ready::{Ready, Row};

/// Steps for one point alone.
const STEPS: usize = 30;

/// Where a point could be as well, and what its own measurements say there.
#[derive(Clone, Copy, Debug)]
pub(crate) struct OtherSide {
    pub point: usize,
    pub at: DVec3,
    /// Sum of squares of the point's own measurements there less that where it is.
    pub dearer: f64,
}

/// For each point that is measured and can move: the place on the other side of its neighbours, settled alone.
pub(crate) fn other_sides(ready: &Ready, used: &[bool], s: &State) -> Vec<OtherSide> {
    let mut own: Vec<Vec<&Row>> = vec![Vec::new(); s.points.len()];
    for (r, _) in ready.rows.iter().zip(used).filter(|x| *x.1) {
        for p in r.sight.points() {
            own[p].push(r);
        }
    }
    let level = Level::new(s.tilt);
    (0..s.points.len())
        .filter_map(|p| {
            let mut neighbours: Vec<usize> = own[p].iter().flat_map(|r| r.sight.points()).filter(|q| *q != p).collect();
            neighbours.sort_unstable();
            neighbours.dedup();
            let places: Vec<DVec3> = neighbours.iter().map(|q| s.points[*q]).collect();
            let (through, normal) = plane(&places, level.up())?;
            let mut there = s.points[p] - normal * (2.0 * normal.dot(s.points[p] - through));
            for k in 0..3 {
                if ready.coordinate[p][k].is_none() {
                    there[k] = s.points[p][k];
                }
            }
            let here = alone(&own[p], p, s.points[p], s, &level).0;
            let at = settle(ready, &own[p], p, there, s, &level);
            // Settled back to where it was, within a micrometre: no other side.
            if !at.is_finite() || at.distance(s.points[p]) < 1e-6 * ready.size {
                return None;
            }
            Some(OtherSide { point: p, at, dearer: alone(&own[p], p, at, s, &level).0 - here })
        })
        .collect()
}

/// The plane of three or more places, or the upright one through two.
fn plane(places: &[DVec3], up: DVec3) -> Option<(DVec3, DVec3)> {
    let middle = places.iter().sum::<DVec3>() / places.len().max(1) as f64;
    if places.len() == 2 {
        return Some((middle, (places[1] - places[0]).cross(up).try_normalize()?));
    }
    if places.len() < 2 {
        return None;
    }
    let m = places.iter().fold(DMat3::ZERO, |m, p| {
        let v = *p - middle;
        m + DMat3::from_cols(v * v.x, v * v.y, v * v.z)
    });
    let (_, u) = eigen(&faer::Mat::from_fn(3, 3, |i, j| m.col(j)[i]))?;
    Some((middle, DVec3::new(u[(0, 0)], u[(1, 0)], u[(2, 0)])))
}

/// Sum of squares, normal matrix and right side for one point.
fn alone(rows: &[&Row], p: usize, at: DVec3, s: &State, level: &Level) -> (f64, DMat3, DVec3) {
    let mut s = s.clone();
    s.points[p] = at;
    rows.iter().fold((0.0, DMat3::ZERO, DVec3::ZERO), |(sum, n, g), r| {
        let reading = read(&r.sight, &r.marks, &s, level);
        let j = reading.points.iter().filter(|x| x.0 == p).map(|x| x.1).sum::<DVec3>() / r.sigma;
        let v = (r.value - reading.value) / r.sigma;
        (sum + v * v, n + DMat3::from_cols(j * j.x, j * j.y, j * j.z), g + j * v)
    })
}

/// One point moved to its least sum, its fixed coordinates kept.
fn settle(ready: &Ready, rows: &[&Row], p: usize, mut at: DVec3, s: &State, level: &Level) -> DVec3 {
    let open = DVec3::from_array(ready.coordinate[p].map(|c| if c.is_some() { 1.0 } else { 0.0 }));
    let mask = DMat3::from_diagonal(open);
    let (mut sum, mut n, mut g) = alone(rows, p, at, s, level);
    let mut damping = 1e-9;
    for _ in 0..STEPS {
        let size = (n.x_axis.x + n.y_axis.y + n.z_axis.z).max(f64::MIN_POSITIVE);
        let m = mask * n * mask + DMat3::from_diagonal(DVec3::splat(damping * size) + (DVec3::ONE - open) * size);
        let step = m.inverse() * (mask * g);
        if !step.is_finite() {
            break;
        }
        let next = alone(rows, p, at + step, s, level);
        if next.0 <= sum {
            at += step;
            (sum, n, g) = next;
            damping = (damping / 10.0).max(1e-9);
        } else {
            damping *= 10.0;
        }
    }
    at
}
