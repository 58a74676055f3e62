//! The ground under wheels: fitted to held hubs, or where springs and tyres carry the load.

use design::Stance;
use geometry::{DVec2, DVec3};
use shape::Shape;
use shape::mass::{self, MassProperties};

use crate::GRAVITY;
use crate::ground::{self, Ground};
use crate::wheels::{Hub, Standing};

/// Rounds of the equilibrium: each gains digits, or moves one wheel to another state.
const ROUNDS: usize = 200;
/// The ground stands when it moves by less than this, m and slope.
const STANDS: f64 = 1e-12;
/// A hub this little past a limit is at it, m.
const AT_LIMIT: f64 = 1e-9;

/// Where wheels settle.
pub(crate) struct Settled {
    pub ground: Ground,
    /// Whether loads follow from springs or tyres.
    pub solved: bool,
    /// Whether springs were asked for and found no rest.
    pub restless: bool,
}

/// How the load of one wheel follows from the height of the ground under it.
#[derive(Clone, Copy)]
enum Law {
    /// F = k (p - p0).
    Elastic(f64, f64),
    /// The ground passes here.
    Rigid(f64),
    /// Whatever the ground.
    Load(f64),
}

/// Rides of a stance: share of each body, and how far it has moved.
pub(crate) fn riders(share: &[f64], wheels: &[Standing]) -> Vec<(f64, DVec3)> {
    let mut out: Vec<(f64, DVec3)> = share.iter().map(|&s| (s, DVec3::ZERO)).collect();
    for w in wheels {
        out[w.body].1.z = w.travel;
    }
    out
}

/// The plane that held wheels touch best; `None` where they hold no plane.
pub(crate) fn rigid(wheels: &mut [Standing]) -> Option<Ground> {
    let plan: Vec<DVec2> = wheels.iter().map(|w| w.hub.truncate()).collect();
    let ground = ground::fitted(&plan, |i, g| {
        let b = g.coefficients()[1];
        Some(wheels[i].hub.z - wheels[i].loaded * (1.0 + b * b).sqrt())
    })?;
    for w in wheels.iter_mut() {
        w.put(&ground);
    }
    Some(ground)
}

/// Settles the wheels of a stance. `None` where they hold no plane.
pub(crate) fn settle(
    shape: &Shape,
    stance: &Stance,
    frame: &MassProperties,
    share: &[f64],
    wheels: &mut [Standing],
) -> Option<Settled> {
    let first = rigid(wheels)?;
    let design = &shape.design;
    let sprung = |w: &Standing| design.wheels[w.id.0].spring.filter(|_| stance.springs);
    if !wheels.iter().any(|w| sprung(w).is_some() || w.tyre_rate.is_some()) {
        return Some(Settled { ground: first, solved: false, restless: false });
    }
    let before = wheels.to_vec();
    for w in wheels.iter_mut() {
        w.state = if sprung(w).is_some() { Hub::Sprung } else { Hub::Held };
    }
    let [mut a, mut b, mut c] = first.coefficients();
    for _ in 0..ROUNDS {
        let ground = Ground::new(a, b, c);
        let s = (1.0 + b * b).sqrt();
        let all = mass::loaded(frame, shape, &riders(share, wheels));
        let total = all.mass * GRAVITY;
        let centre = ground.place(all.centre);
        let laws: Vec<Law> = wheels.iter().map(|w| law(shape, w, sprung(w).is_some(), s)).collect();
        let arms: Vec<DVec2> = wheels.iter().map(|w| ground.place(w.touch(&ground)).truncate()).collect();
        let held = laws.iter().filter(|l| matches!(l, Law::Rigid(_))).count();
        let n = 3 + held;
        let mut rows = vec![vec![0.0; n + 1]; n];
        for (row, m) in rows.iter_mut().zip([1.0, centre.x, centre.y]) {
            row[n] = total * m;
        }
        let mut extra = 3;
        for ((w, l), arm) in wheels.iter().zip(&laws).zip(&arms) {
            let under = [1.0, w.hub.x, w.hub.y];
            for (k, m) in [1.0, arm.x, arm.y].into_iter().enumerate() {
                match *l {
                    Law::Elastic(rate, p0) => {
                        for (j, u) in under.iter().enumerate() {
                            rows[k][j] += m * rate * u;
                        }
                        rows[k][n] += m * rate * p0;
                    }
                    Law::Rigid(_) => rows[k][extra] = m,
                    Law::Load(f) => rows[k][n] -= m * f,
                }
            }
            if let Law::Rigid(p0) = *l {
                rows[extra][..3].copy_from_slice(&under);
                rows[extra][n] = p0;
                extra += 1;
            }
        }
        let Some(x) = solve(rows) else { break };
        let change = (x[0] - a).abs() + (x[1] - b).abs() + (x[2] - c).abs();
        [a, b, c] = [x[0], x[1], x[2]];
        let mut forces = x[3..].iter();
        let mut switched = false;
        for (w, l) in wheels.iter_mut().zip(&laws) {
            let p = a + b * w.hub.x + c * w.hub.y;
            let force = match *l {
                Law::Elastic(k, p0) => k * (p - p0),
                Law::Rigid(_) => forces.next().copied().unwrap_or(0.0),
                Law::Load(f) => f,
            };
            w.load = Some(force);
            switched |= !switched && step(shape, w, sprung(w).is_some(), p, s, force);
        }
        if change < STANDS && !switched {
            let ground = Ground::new(a, b, c);
            wheels.iter_mut().for_each(|w| w.put(&ground));
            return Some(Settled { ground, solved: true, restless: false });
        }
    }
    wheels.clone_from_slice(&before);
    Some(Settled { ground: first, solved: false, restless: true })
}

/// Highest and lowest travel of a hub; no limits where the design gives none.
fn limits(shape: &Shape, w: &Standing) -> (f64, f64) {
    let d = &shape.design.wheels[w.id.0];
    if d.bump == 0.0 && d.droop == 0.0 { (f64::INFINITY, f64::INFINITY) } else { (d.bump, d.droop) }
}

fn law(shape: &Shape, w: &Standing, sprung: bool, s: f64) -> Law {
    let d = &shape.design.wheels[w.id.0];
    let weight = d.kg * GRAVITY;
    let drawn = w.hub.z - w.travel;
    match (w.state, d.spring.filter(|_| sprung), w.tyre_rate) {
        (Hub::Lifted, ..) => Law::Load(0.0),
        (Hub::Slack, ..) => Law::Load(weight),
        (Hub::Sprung, Some(k), None) => Law::Elastic(k.rate, drawn - k.free - w.loaded * s - weight / k.rate),
        (Hub::Sprung, Some(k), Some(t)) => {
            let rate = (t / s) / (1.0 + t / (k.rate * s));
            Law::Elastic(rate, drawn - k.free - weight / k.rate - w.radius * s)
        }
        (_, _, Some(t)) => Law::Elastic(t / s, w.hub.z - w.radius * s),
        (_, _, None) => Law::Rigid(w.hub.z - w.loaded * s),
    }
}

/// Moves a wheel to where its load and the ground put it; whether it changed its state.
fn step(shape: &Shape, w: &mut Standing, sprung: bool, p: f64, s: f64, force: f64) -> bool {
    let d = &shape.design.wheels[w.id.0];
    let weight = d.kg * GRAVITY;
    let drawn = w.hub.z - w.travel;
    let (bump, droop) = limits(shape, w);
    w.loaded = w.tyre_rate.map_or(w.loaded, |t| (w.radius - force / t).clamp(0.0, w.radius));
    let was = w.state;
    let resting = p + w.loaded * s - drawn;
    let mut travel = w.travel;
    if let Some(k) = d.spring.filter(|_| sprung) {
        match was {
            Hub::Sprung => {
                travel = (force - weight) / k.rate - k.free;
                if travel > bump + AT_LIMIT {
                    w.state = Hub::Bump;
                } else if k.free <= droop && travel < -k.free - AT_LIMIT {
                    w.state = Hub::Slack;
                } else if travel < -droop - AT_LIMIT {
                    w.state = Hub::Droop;
                }
            }
            Hub::Slack => {
                travel = resting;
                if resting < -droop - AT_LIMIT {
                    w.state = Hub::Lifted;
                } else if resting > -k.free + AT_LIMIT {
                    w.state = Hub::Sprung;
                }
            }
            Hub::Droop if force < 0.0 => w.state = Hub::Lifted,
            Hub::Droop if force > k.rate * (k.free - droop) + weight => w.state = Hub::Sprung,
            Hub::Bump if force < k.rate * (k.free + bump) + weight => w.state = Hub::Sprung,
            Hub::Lifted if resting > -droop.min(k.free) + AT_LIMIT => {
                w.state = if k.free <= droop { Hub::Slack } else { Hub::Droop };
            }
            _ => {}
        }
        travel = match w.state {
            Hub::Bump => bump,
            Hub::Droop => -droop,
            // Without a droop limit it hangs where its spring is slack.
            Hub::Lifted => -if droop.is_finite() { droop } else { k.free },
            _ => travel,
        };
    } else {
        match was {
            Hub::Held if force < 0.0 => w.state = Hub::Lifted,
            Hub::Lifted if resting > w.travel + AT_LIMIT => w.state = Hub::Held,
            _ => {}
        }
    }
    w.travel = travel;
    w.hub.z = drawn + travel;
    was != w.state
}

/// Solves a square system, right-hand side in the last column; `None` if it has no single solution.
pub(crate) fn solve(mut m: Vec<Vec<f64>>) -> Option<Vec<f64>> {
    /// A pivot this much smaller than its row's largest entry holds nothing but rounding.
    const SINGULAR: f64 = 1e-11;
    let n = m.len();
    for row in &mut m {
        let largest = row[..n].iter().fold(0.0f64, |a, v| a.max(v.abs()));
        if largest == 0.0 || !largest.is_finite() {
            return None;
        }
        row.iter_mut().for_each(|v| *v /= largest);
    }
    for i in 0..n {
        let k = (i..n).max_by(|&a, &b| m[a][i].abs().total_cmp(&m[b][i].abs()))?;
        m.swap(i, k);
        if m[i][i].abs() < SINGULAR {
            return None;
        }
        let pivot = m[i].clone();
        for row in m.iter_mut().skip(i + 1) {
            let f = row[i] / pivot[i];
            row.iter_mut().zip(&pivot).skip(i).for_each(|(v, p)| *v -= f * p);
        }
    }
    let mut x = vec![0.0; n];
    for i in (0..n).rev() {
        let known: f64 = (i + 1..n).map(|j| m[i][j] * x[j]).sum();
        x[i] = (m[i][n] - known) / m[i][i];
    }
    x.iter().all(|v| v.is_finite()).then_some(x)
}
