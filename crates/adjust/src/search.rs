//! The adjustment from end to end: least squares, the other side, gross errors, figures.

use faer::Mat;
use glam::DVec3;

use crate::answer::{
    Answer, Blunder, Ellipsoid, Global, Inner, LevelFound, Placed, Row, Seen, TiltFound, Verdict, block,
};
use crate::chance::chi2_quantile;
use crate::datum::{Datum, eigen};
use crate::mirror::{OtherSide, other_sides};
use crate::model::{Level, State};
use crate::network::{Blunders, Network};
use crate::normal::{Bound, Sparse, between, cost, normal, row, rows, times};
use crate::ready::{Ready, Source};
use crate::solve::{Convergence, least};

/// A w over this is over: α = 0.001, two-sided.
pub const CRITICAL: f64 = 3.290_526_731_491_895;

/// Shift of w's mean that is found with a power of 80 % at [`CRITICAL`]: 3.2905 + 0.8416.
pub const FOUND: f64 = 4.132_147_965_064_809;

/// A redundancy under this: nothing checks the measurement. An error of 400 σ would go unnoticed.
pub const UNCHECKED: f64 = 1e-4;

/// Two measurements whose w are correlated by more than this can't be told apart: their w differ by a few hundredths
/// of what is over.
const ALIKE: f64 = 0.99;

/// Chance of the test of all residuals, two-sided.
const GLOBAL: f64 = 0.05;

/// Part of the frame's size over which a point's standard deviation is weak: 40 mm on 2 m.
const WEAK: f64 = 0.02;

/// χ² that one value does not pass with 95 %: two places fit as well if their sums differ by less.
const AS_WELL: f64 = 3.841;

/// Figures of one adjustment.
#[derive(Clone)]
struct Fit {
    state: State,
    convergence: Convergence,
    rows: Vec<Sparse>,
    left: Vec<f64>,
    q: Mat<f64>,
    /// 1 − jQjᵀ of each row that is used.
    z: Vec<f64>,
}

impl Fit {
    fn new(ready: &Ready, used: &[bool], c: &Mat<f64>, from: &State) -> Fit {
        let (state, convergence) = least(ready, used, c, from);
        Fit::at(ready, used, c, state, convergence)
    }

    fn at(ready: &Ready, used: &[bool], c: &Mat<f64>, state: State, mut convergence: Convergence) -> Fit {
        let (rows, left) = rows(ready, used, &state);
        let m = normal(&rows, ready.unknowns);
        let q = match Bound::new(m.clone(), c) {
            Some(b) => b.cofactors(),
            // The answer's own place has become loose where the design was not.
            None => {
                convergence.converged = false;
                pseudo(&m)
            }
        };
        let z = rows.iter().map(|j| 1.0 - between(&q, j, j)).collect();
        Fit { state, convergence, rows, left, q, z }
    }

    fn w(&self, i: usize) -> Option<f64> {
        (self.z[i] > UNCHECKED).then(|| self.left[i] / self.z[i].sqrt())
    }

    /// The worst of the rows that are used and not set aside.
    fn worst(&self, used: &[bool], aside: &[bool]) -> Option<(usize, f64)> {
        (0..used.len())
            .filter(|&i| used[i] && !aside[i])
            .filter_map(|i| Some((i, self.w(i)?)))
            .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))
    }

    /// Rows whose w can't be told from that of row `i`.
    fn alike(&self, used: &[bool], i: usize) -> Vec<usize> {
        let qj = times(&self.q, &self.rows[i]);
        (0..used.len())
            .filter(|&k| k != i && used[k] && self.z[k] > UNCHECKED)
            .filter(|&k| {
                let shared: f64 = self.rows[k].iter().map(|&(u, a)| a * qj[u]).sum();
                shared.abs() > ALIKE * (self.z[i] * self.z[k]).sqrt()
            })
            .collect()
    }
}

/// Inverse on what has any size.
fn pseudo(m: &Mat<f64>) -> Mat<f64> {
    let n = m.nrows();
    let Some((values, u)) = eigen(m) else { return Mat::zeros(n, n) };
    let most = values.last().copied().unwrap_or(0.0);
    let part = Mat::from_fn(n, n, |i, j| if values[j] > 1e-12 * most { u[(i, j)] / values[j] } else { 0.0 });
    part * u.transpose()
}

/// Adjusts a network.
pub fn adjust(network: &Network, blunders: Blunders) -> Answer {
    let ready = Ready::new(network);
    let used = vec![true; ready.rows.len()];
    // Marks beside the points turn with the frame: they must not pass for what tells how the whole is turned.
    let (first, _) = rows(&ready.at_points(), &used, &ready.start);
    let datum = Datum::new(&ready, &first);
    let c = &datum.c;
    let begun = Search::begin(&ready, c);
    let mut best = begun.clone();
    best.turn(&ready, c);
    if blunders == Blunders::LeaveOut {
        best.snoop(&ready, c);
        // A gross error may have put a point on the wrong side, where sound readings look wrong. If it is sought first, it goes
        // first; what leaves out less is nearer to what happened.
        if !best.turned.is_empty() && best.left_out() > 0 {
            let mut other = begun;
            other.snoop(&ready, c);
            other.turn(&ready, c);
            other.snoop(&ready, c);
            if other.left_out() < best.left_out() {
                best = other;
            }
        }
    }
    finish(network, ready, datum, best)
}

/// How far a search has come.
#[derive(Clone)]
struct Search {
    used: Vec<bool>,
    fit: Fit,
    /// Rows that were left out, each with its w then.
    found: Vec<(usize, f64)>,
    contradictions: Vec<Vec<usize>>,
    /// Points that were put on the other side.
    turned: Vec<usize>,
}

impl Search {
    fn begin(ready: &Ready, c: &Mat<f64>) -> Search {
        let used = vec![true; ready.rows.len()];
        let fit = Fit::new(ready, &used, c, &ready.start);
        Search { used, fit, found: Vec::new(), contradictions: Vec::new(), turned: Vec::new() }
    }

    fn left_out(&self) -> usize {
        self.found.len() + self.contradictions.len()
    }

    fn turn(&mut self, ready: &Ready, c: &Mat<f64>) {
        let (mut state, mut convergence) = (self.fit.state.clone(), self.fit.convergence);
        let turned = turn(ready, &self.used, c, &mut state, &mut convergence);
        if !turned.is_empty() {
            self.turned.extend(turned);
            self.fit = Fit::at(ready, &self.used, c, state, convergence);
        }
    }

    fn snoop(&mut self, ready: &Ready, c: &Mat<f64>) {
        snoop(ready, self, c);
    }
}

/// Puts points on the other side where that fits better.
fn turn(ready: &Ready, used: &[bool], c: &Mat<f64>, state: &mut State, convergence: &mut Convergence) -> Vec<usize> {
    let (mut turned, mut asked) = (Vec::new(), Vec::new());
    // Each point is asked once.
    for _ in 0..ready.start.points.len() {
        let nearer = |o: &OtherSide| {
            let home = ready.start.points[o.point];
            o.at.distance(home) < state.points[o.point].distance(home) - 1e-9 * ready.size
        };
        let better = |less: f64, near: bool| less < -CRITICAL * CRITICAL || (less < AS_WELL && near);
        let best = other_sides(ready, used, state)
            .into_iter()
            .filter(|o| !asked.contains(&o.point) && better(o.dearer, nearer(o)))
            .min_by(|a, b| a.dearer.total_cmp(&b.dearer));
        let Some(o) = best else { break };
        asked.push(o.point);
        let near = nearer(&o);
        let mut from = state.clone();
        from.points[o.point] = o.at;
        let (next, how) = least(ready, used, c, &from);
        if how.converged && better(cost(ready, used, &next) - cost(ready, used, state), near) {
            (*state, *convergence) = (next, how);
            turned.push(o.point);
        }
    }
    turned
}

/// Leaves out what is wrong, one after another.
fn snoop(ready: &Ready, s: &mut Search, c: &Mat<f64>) {
    let mut aside = vec![false; s.used.len()];
    s.contradictions.iter().flatten().for_each(|&k| aside[k] = true);
    // Of those that contradict one another one stays out meanwhile: whichever it is, the error goes with it, and others are not
    // taken for wrong because of it.
    let mut meanwhile = Vec::new();
    while let Some((i, w)) = s.fit.worst(&s.used, &aside).filter(|x| x.1.abs() > CRITICAL) {
        let mut alike = s.fit.alike(&s.used, i);
        if alike.is_empty() {
            s.used[i] = false;
            s.found.push((i, w));
            s.fit = Fit::new(ready, &s.used, c, &s.fit.state);
        } else {
            alike.push(i);
            alike.sort_unstable();
            alike.iter().for_each(|&k| aside[k] = true);
            s.contradictions.push(alike);
            s.used[i] = false;
            meanwhile.push(i);
            s.fit = Fit::new(ready, &s.used, c, &s.fit.state);
        }
    }
    // One that a larger error had made look wrong comes back.
    while s.found.len() > 1 {
        let level = Level::new(s.fit.state.tilt);
        let off = |i: usize| foretold(ready, &s.fit, &level, i).0.abs();
        let Some(k) = (0..s.found.len()).min_by(|&a, &b| off(s.found[a].0).total_cmp(&off(s.found[b].0))) else {
            break;
        };
        let i = s.found[k].0;
        if off(i) > CRITICAL {
            break;
        }
        s.used[i] = true;
        let with = Fit::new(ready, &s.used, c, &s.fit.state);
        if with.worst(&s.used, &aside).is_some_and(|x| x.1.abs() > CRITICAL) {
            s.used[i] = false;
            break;
        }
        s.found.remove(k);
        s.fit = with;
    }
    if !meanwhile.is_empty() {
        meanwhile.into_iter().for_each(|i| s.used[i] = true);
        s.fit = Fit::new(ready, &s.used, c, &s.fit.state);
    }
}

/// Of a row that was left out: its distance from what the others foretell over that's standard deviation, and what
/// they foretell.
fn foretold(ready: &Ready, fit: &Fit, level: &Level, i: usize) -> (f64, f64) {
    let r = &ready.rows[i];
    let (j, value) = row(ready, r, &fit.state, level);
    ((r.value - value) / r.sigma / (1.0 + between(&fit.q, &j, &j)).sqrt(), value)
}

fn finish(network: &Network, ready: Ready, datum: Datum, search: Search) -> Answer {
    let Search { used, fit, found, contradictions, turned } = search;
    let level = Level::new(fit.state.tilt);
    let outer = |i: usize| match ready.rows[i].source {
        Source::Observed(o) => Row::Observation(o),
        Source::Held(p, k) => Row::Held(ready.outer[p], k),
        Source::Tilt(k) => Row::Tilt(k),
    };
    let mut points: Vec<Option<Placed>> = vec![None; network.points.len()];
    for (p, &o) in ready.outer.iter().enumerate() {
        points[o] = Some(placed(&ready, &datum, &fit, p));
    }
    let mut observations = vec![None; network.observations.len()];
    let mut held = Vec::new();
    for i in 0..ready.rows.len() {
        let seen = seen(&ready, &fit, &level, &used, i, outer(i));
        match seen.row {
            Row::Observation(o) => observations[o] = Some(seen),
            _ => held.push(seen),
        }
    }
    let levels = ready
        .setups
        .iter()
        .enumerate()
        .map(|(k, setup)| LevelFound {
            setup: setup.clone(),
            height: fit.state.levels[k],
            sigma: ready.level[k].map_or(0.0, |u| fit.q[(u, u)].max(0.0).sqrt()),
        })
        .collect();
    let tilt_sigma = ready.tilt.map_or([0.0; 2], |t| t.map(|u| fit.q[(u, u)].max(0.0).sqrt() / ready.size));
    let tilt = TiltFound { tilt: fit.state.tilt, sigma: tilt_sigma, up: level.up() };
    let rows_used = used.iter().filter(|u| **u).count();
    let freedom = (rows_used + datum.c.ncols()).saturating_sub(ready.unknowns);
    let sum: f64 = fit.left.iter().map(|v| v * v).sum();
    let global = (freedom > 0).then(|| {
        let f = freedom as f64;
        let (low, high) = (chi2_quantile(GLOBAL / 2.0, f) / f, chi2_quantile(1.0 - GLOBAL / 2.0, f) / f);
        let factor = sum / f;
        let verdict = if factor < low {
            Verdict::Under
        } else if factor > high {
            Verdict::Over
        } else {
            Verdict::Within
        };
        Global { factor, low, high, verdict }
    });
    let blunders = found
        .iter()
        .map(|&(i, w)| Blunder { row: outer(i), w, error: ready.rows[i].value - foretold(&ready, &fit, &level, i).1 })
        .collect();
    let contradictions = contradictions.into_iter().map(|g| g.into_iter().map(outer).collect::<Vec<Row>>()).collect();
    let ambiguous = other_sides(&ready, &used, &fit.state)
        .into_iter()
        .filter(|o| {
            let home = ready.start.points[o.point];
            o.dearer.abs() < AS_WELL && o.at.distance(home) <= 2.0 * fit.state.points[o.point].distance(home)
        })
        .map(|o| ready.outer[o.point])
        .collect();
    let turned = turned.into_iter().map(|p| ready.outer[p]).collect();
    let problems = ready.problems.clone();
    Answer {
        points,
        observations,
        held,
        levels,
        tilt,
        open: datum.open,
        loose: datum.loose.clone(),
        freedom,
        sum,
        global,
        blunders,
        contradictions,
        turned,
        ambiguous,
        convergence: fit.convergence,
        problems,
        inner: Inner { ready, state: fit.state, cofactors: fit.q, datum },
    }
}

fn placed(ready: &Ready, datum: &Datum, fit: &Fit, p: usize) -> Placed {
    let covariance = block(ready, &fit.q, p, p);
    let at = fit.state.points[p];
    let sigma = DVec3::new(covariance.x_axis.x, covariance.y_axis.y, covariance.z_axis.z).max(DVec3::ZERO);
    let sigma = DVec3::new(sigma.x.sqrt(), sigma.y.sqrt(), sigma.z.sqrt());
    let scale = chi2_quantile(0.95, 3.0).sqrt();
    let m = Mat::from_fn(3, 3, |i, j| covariance.col(j)[i]);
    let ellipsoid = match eigen(&m) {
        Some((v, u)) => Ellipsoid {
            semi: [2, 1, 0].map(|k| scale * v[k].max(0.0).sqrt()),
            axes: [2, 1, 0].map(|k| DVec3::new(u[(0, k)], u[(1, k)], u[(2, k)])),
        },
        None => Ellipsoid { semi: [f64::NAN; 3], axes: DVec3::AXES },
    };
    let loose = datum
        .loose
        .iter()
        .flat_map(|g| &g.points)
        .filter(|x| x.0 == ready.outer[p])
        .flat_map(|x| x.1.iter().copied())
        .collect();
    let weak = ellipsoid.semi[0] > WEAK * scale * ready.size;
    Placed { at, shift: at - ready.start.points[p], covariance, sigma, ellipsoid, loose, weak }
}

fn seen(ready: &Ready, fit: &Fit, level: &Level, used: &[bool], i: usize, row: Row) -> Seen {
    let r = &ready.rows[i];
    let base = Seen {
        row,
        used: used[i],
        measured: r.value,
        adjusted: 0.0,
        residual: 0.0,
        sigma: r.sigma,
        redundancy: 0.0,
        w: None,
        least_found: None,
        would_move: None,
    };
    if !used[i] {
        let (w, adjusted) = foretold(ready, fit, level, i);
        return Seen { adjusted, residual: r.value - adjusted, w: Some(w), ..base };
    }
    let residual = fit.left[i] * r.sigma;
    let w = fit.w(i);
    let least = w.map(|_| FOUND / fit.z[i].sqrt());
    let would_move = least.and_then(|least| {
        let by = times(&fit.q, &fit.rows[i]);
        let part = |u: Option<usize>| u.map_or(0.0, |u| by[u] * least);
        ready
            .coordinate
            .iter()
            .enumerate()
            .map(|(p, c)| (ready.outer[p], DVec3::new(part(c[0]), part(c[1]), part(c[2])).length()))
            .max_by(|a, b| a.1.total_cmp(&b.1))
    });
    Seen {
        adjusted: r.value - residual,
        residual,
        redundancy: fit.z[i].clamp(0.0, 1.0),
        w,
        least_found: least.map(|l| l * r.sigma),
        would_move,
        ..base
    }
}
