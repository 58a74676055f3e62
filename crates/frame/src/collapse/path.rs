//! The path of loads and displacements.

use std::ops::ControlFlow;

use geometry::{DMat3, DVec3};
use glam::DQuat;
use rayon::prelude::*;

use super::bar::{Bar, Memory, Settled};
use super::fibres::Fibres;
use super::turning::{Lies, Pose, Turning};
use crate::factor::Factor;
use crate::linear::{Frame, FrameError, HeldError};
use crate::model::{Hold, Loads, Model};
use crate::six::{Mat6, Six};
use crate::supports::{Supports, get};

/// How the path is followed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// The node whose way is told, and the direction (unit) along which.
    pub node: usize,
    /// See `node`.
    pub along: DVec3,
    /// It ends when that node has gone so far, m.
    pub travel: f64,
    /// It ends when the load has fallen under this part of its peak, after it.
    pub fallen: f64,
    /// Length of the first step, as travel of the node, m.
    pub first: f64,
    /// Longest step, m: the most that any node may go in one.
    pub longest: f64,
    /// Most steps.
    pub steps: usize,
}

/// A point of the path.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The loads are multiplied with this.
    pub factor: f64,
    /// Way of the node told, m.
    pub travel: f64,
    /// Work of the loads so far, J.
    pub work: f64,
    /// What happened in this step.
    pub events: Vec<Event>,
}

/// What happens to a bar.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Event {
    /// Its first fibre yields: index of the beam, and which end (0, 1) is nearer.
    Yields(usize, usize),
    /// A hinge: less than a twentieth of its bending stiffness is left there.
    Hinge(usize, usize),
}

/// Why a path ended.
#[derive(Clone, Debug, PartialEq)]
pub enum End {
    /// The node has gone as far as asked.
    Travel,
    /// The load has fallen as far as asked.
    Fallen,
    /// The observer has seen enough.
    Stopped,
    /// As many steps as allowed.
    Steps,
    /// No next point was found, however short the step.
    Lost,
    /// After yielding, the load fell and nothing yielded further: the way back, along which the frame only springs.
    TurnedBack,
}

/// A path.
#[derive(Clone, Debug)]
pub struct Collapse {
    /// Its points; the first is the unloaded frame.
    pub steps: Vec<Step>,
    /// Why it ended.
    pub end: End,
    /// Where the nodes were last.
    pub poses: Vec<Pose>,
}

/// A next point counts as found when no node is out of balance by more than this part of the load. What is left does not add
/// up from point to point. Less can not always be had: it is what one fibre more or less at its yield makes.
const BALANCE: f64 = 1e-4;

/// Most rounds for a point.
const ROUNDS: usize = 40;

/// A round that leaves more than this part of what was out of balance is slow: the next one goes half as far, down to
/// [`LEAST`].
const SLOW: f64 = 0.7;
/// See [`SLOW`].
const LEAST: f64 = 0.125;

/// A step that is shorter than this part of the first one is no step.
const SHORTEST: f64 = 1e-6;

/// Rounds per step that are aimed at: shorter steps where it takes more.
const AIM: f64 = 10.0;

/// Fewer bars than this are not worth a thread.
const AT_ONCE: usize = 64;

/// Under this part of its elastic bending stiffness a section is a hinge.
const HINGE: f64 = 0.05;

struct Run<'a> {
    frame: &'a Frame,
    supports: Supports,
    held: Vec<bool>,
    bars: Vec<(Bar, Turning)>,
    fibres: &'a [Fibres],
    /// Reference load, in the frame's axes.
    load: Vec<f64>,
    size: f64,
    /// What rounding of the nodes' places alone puts out of balance, N.
    rounding: f64,
}

/// Where the path is.
#[derive(Clone)]
struct State {
    poses: Vec<Pose>,
    memory: Vec<Memory>,
    factor: f64,
}

/// A state with what is out of balance.
struct Tried {
    settled: Vec<Settled>,
    lies: Vec<Lies>,
    inner: Vec<f64>,
}

/// Follows the path of a frame under loads that grow together. Every beam is one piece, and counts as the straight line
/// between its ends: see [`Model::refined`]. `fibres` has an entry for each section. What loads a beam along its length goes
/// to its ends in halves.
///
/// `observe` is called at each point with the poses of the nodes.
pub fn collapse(
    model: Model,
    fibres: &[Fibres],
    holds: &[Hold],
    loads: &Loads,
    settings: &Settings,
    mut observe: impl FnMut(&Step, &[Pose]) -> ControlFlow<()>,
) -> Result<Collapse, HeldError> {
    let frame = Frame::new(model).map_err(HeldError::Frame)?;
    let still: Vec<Hold> = holds.iter().map(|h| Hold { by: 0.0, ..*h }).collect();
    let supports = Supports::new(&frame.model, &still).map_err(HeldError::Hold)?;
    let run = Run::new(&frame, fibres, supports, loads).map_err(HeldError::Frame)?;
    let mut state = State {
        poses: frame.model.nodes.iter().map(|&at| Pose { at, turn: DQuat::IDENTITY }).collect(),
        memory: vec![Memory::FRESH; run.bars.len()],
        factor: 0.0,
    };
    let mut steps = vec![Step { factor: 0.0, travel: 0.0, work: 0.0, events: Vec::new() }];
    let mut hinged = vec![[false; 2]; run.bars.len()];
    let mut yielded = vec![false; run.bars.len()];
    let (mut arc, mut last): (Option<f64>, Option<Vec<f64>>) = (None, None);
    let mut peak: f64 = 0.0;
    let start = frame.model.nodes[settings.node];
    let end = loop {
        if observe(&steps[steps.len() - 1], &state.poses).is_break() {
            break End::Stopped;
        }
        if steps.len() > settings.steps {
            break End::Steps;
        }
        match run.advance(&state, &mut arc, last.as_deref(), settings).map_err(HeldError::Frame)? {
            None => break End::Lost,
            Some((next, moved, settled)) => {
                let work: f64 =
                    run.load.iter().zip(&moved).map(|(p, u)| p * u).sum::<f64>() * 0.5 * (state.factor + next.factor);
                let flows = settled.iter().zip(&state.memory).any(|(s, m)| s.memory.lasting != m.lasting);
                if next.factor < state.factor && !flows && yielded.contains(&true) {
                    break End::TurnedBack;
                }
                let mut events = Vec::new();
                for (i, s) in settled.iter().enumerate() {
                    if s.memory.yielded() && !yielded[i] {
                        yielded[i] = true;
                        events.push(Event::Yields(i, usize::from(s.left[4] < s.left[0])));
                    }
                    for (k, at) in [(0, 0), (1, 4)] {
                        if s.left[at] < HINGE && !hinged[i][k] {
                            hinged[i][k] = true;
                            events.push(Event::Hinge(i, k));
                        }
                    }
                }
                state = next;
                last = Some(moved);
                let before = steps[steps.len() - 1].work;
                let travel = (state.poses[settings.node].at - start).dot(settings.along);
                steps.push(Step { factor: state.factor, travel, work: before + work, events });
                peak = peak.max(state.factor);
                if travel.abs() >= settings.travel {
                    let _ = observe(&steps[steps.len() - 1], &state.poses);
                    break End::Travel;
                }
                if state.factor < settings.fallen * peak {
                    break End::Fallen;
                }
            }
        }
    };
    Ok(Collapse { steps, end, poses: state.poses })
}

impl<'a> Run<'a> {
    fn new(frame: &'a Frame, fibres: &'a [Fibres], supports: Supports, loads: &Loads) -> Result<Run<'a>, FrameError> {
        let m = &frame.model;
        let bars = m
            .beams
            .iter()
            .enumerate()
            .map(|(i, b)| {
                let d = b.end() - b.start();
                let length = d.length();
                let f = b.pieces[0].frame;
                // A chord's own axes: along it, and as near to the piece's as can be.
                let u = (f.u - d * (f.u.dot(d) / (length * length))).normalize();
                let t = d / length;
                let axes = DMat3::from_cols(t, u, t.cross(u));
                let bar = Bar::new(length, &m.sections[b.section], &fibres[b.section]).ok_or(FrameError::Limp(i))?;
                let links = [b.start() - m.nodes[b.nodes[0]], b.end() - m.nodes[b.nodes[1]]];
                Ok((bar, Turning { axes, links, length }))
            })
            .collect::<Result<Vec<_>, FrameError>>()?;
        let mut held = vec![false; frame.pattern.size];
        for &(i, _) in &supports.held {
            held[i] = true;
        }
        let load = frame.all_on_nodes(loads);
        let far = m.nodes.iter().map(|p| p.abs().max_element()).fold(0.0, f64::max);
        // A few units in the last place of a length, times the stiffness along the stiffest bar.
        let stiffest = |(b, (bar, _)): (&crate::model::Beam, &(Bar, Turning))| {
            m.sections[b.section].youngs * m.sections[b.section].area / bar.length
        };
        let rounding = m.beams.iter().zip(&bars).map(stiffest).fold(0.0, f64::max) * far * 8.0 * f64::EPSILON;
        Ok(Run { frame, supports, held, bars, fibres, load, size: frame.size(), rounding })
    }

    /// Bars between poses, coming from a state.
    fn tried(&self, poses: &[Pose], from: &[Memory]) -> Option<Tried> {
        let m = &self.frame.model;
        let one = |i: usize| {
            let (b, (bar, turning)) = (&m.beams[i], &self.bars[i]);
            let lies = turning.lies(b.nodes.map(|n| &poses[n]));
            let s = bar.bowed(&lies.deformations, &from[i], &self.fibres[b.section]).ok()?;
            Some((s, lies))
        };
        let all: Option<Vec<(Settled, Lies)>> =
            (0..self.bars.len()).into_par_iter().with_min_len(AT_ONCE).map(one).collect();
        let (settled, lies): (Vec<Settled>, Vec<Lies>) = all?.into_iter().unzip();
        let mut inner = vec![0.0; self.frame.pattern.size];
        for (b, (s, l)) in m.beams.iter().zip(settled.iter().zip(&lies)) {
            for (f, n) in l.nodal(&s.forces).iter().zip(b.nodes) {
                for (x, y) in inner[6 * n..6 * n + 6].iter_mut().zip(f) {
                    *x += y;
                }
            }
        }
        inner.iter().all(|x| x.is_finite()).then_some(Tried { settled, lies, inner })
    }

    fn factor(&self, t: &Tried) -> Option<Factor> {
        let blocks: Vec<[Mat6; 3]> =
            t.lies.iter().zip(&t.settled).map(|(l, s)| l.slope(&s.forces, &s.stiffness)).collect();
        let mut values = self.frame.assemble(&self.supports, |i| blocks[i]);
        self.frame.take_out(&mut values, &self.supports);
        Factor::new(&self.frame.pattern, &values).ok()
    }

    fn solve(&self, factor: &Factor, right: &[f64]) -> Option<Vec<f64>> {
        let mut x = right.to_vec();
        self.supports.to_own(&mut x);
        for (x, h) in x.iter_mut().zip(&self.held) {
            if *h {
                *x = 0.0;
            }
        }
        factor.solve(&mut x).ok()?;
        self.supports.to_frame(&mut x);
        x.iter().all(|x| x.is_finite()).then_some(x)
    }

    /// The largest force (moment, by the frame's size) among free unknowns.
    fn out(&self, v: &[f64]) -> f64 {
        let mut own = v.to_vec();
        self.supports.to_own(&mut own);
        own.iter()
            .enumerate()
            .filter(|(i, _)| !self.held[*i])
            .map(|(i, x)| if i % 6 < 3 { x.abs() } else { x.abs() / self.size })
            .fold(0.0, f64::max)
    }

    /// The next point: the new state, how far the nodes moved, and the bars. `None` if no step is short enough.
    #[allow(clippy::type_complexity, reason = "three things that belong together, for one caller")]
    fn advance(
        &self,
        state: &State,
        arc: &mut Option<f64>,
        last: Option<&[f64]>,
        settings: &Settings,
    ) -> Result<Option<(State, Vec<f64>, Vec<Settled>)>, FrameError> {
        let Some(here) = self.tried(&state.poses, &state.memory) else { return Ok(None) };
        let Some(factor) = self.factor(&here) else { return Ok(None) };
        let Some(mut ahead) = self.solve(&factor, &self.load) else { return Ok(None) };
        let size = length(&ahead);
        if size == 0.0 {
            return Err(FrameError::Singular);
        }
        // Forward: as the last step went, or as the load pushes.
        let forward = last.map_or(1.0, |l| if along(l, &ahead) < 0.0 { -1.0 } else { 1.0 });
        ahead.iter_mut().for_each(|x| *x *= forward);
        let told = get(&ahead, settings.node);
        let told = DVec3::from_slice(&told[..3]).dot(settings.along).abs();
        // The first step's length is given by the told node's way; all lengths are of all nodes' ways together.
        let first = settings.first * if told > 0.0 { size / told } else { 1.0 };
        let mut l = arc.unwrap_or(first);
        let most = |v: &[f64]| v.chunks_exact(6).map(|c| DVec3::from_slice(&c[..3]).length()).fold(0.0, f64::max);
        l = l.min(settings.longest * size / most(&ahead).max(f64::MIN_POSITIVE));
        while l > SHORTEST * first {
            if let Some((next, moved, tried, rounds)) = self.step(state, &ahead, forward, l / size, l) {
                *arc = Some(l * (AIM / rounds as f64).sqrt().clamp(0.5, 1.5));
                return Ok(Some((next, moved, tried.settled)));
            }
            l /= 2.0;
        }
        Ok(None)
    }

    /// Newton's method with the step's length held.
    fn step(
        &self,
        state: &State,
        ahead: &[f64],
        forward: f64,
        scale: f64,
        l: f64,
    ) -> Option<(State, Vec<f64>, Tried, usize)> {
        let mut moved: Vec<f64> = ahead.iter().map(|x| x * scale).collect();
        let mut poses = turned(&state.poses, &moved);
        let mut lambda = state.factor + forward * scale;
        let load_size = self.out(&self.load);
        // Where a fibre yields at one end of a step and not at the other, whole steps go to and fro for ever: shorter ones don't.
        let (mut share, mut before) = (1.0_f64, f64::INFINITY);
        for round in 1..=ROUNDS {
            let tried = self.tried(&poses, &state.memory)?;
            let rest: Vec<f64> = self.load.iter().zip(&tried.inner).map(|(p, f)| lambda * p - f).collect();
            // What the bars carry is the measure where the load itself is near zero.
            let scale = (lambda.abs() * load_size).max(self.out_all(&tried.inner) * 0.1);
            if self.out(&rest) <= (BALANCE * scale).max(self.rounding) {
                let memory = tried.settled.iter().map(|s| s.memory.clone()).collect();
                return Some((State { poses, memory, factor: lambda }, moved, tried, round));
            }
            let now = self.out(&rest);
            share = if now > SLOW * before { (0.5 * share).max(LEAST) } else { (2.0 * share).min(1.0) };
            before = now;
            let factor = self.factor(&tried)?;
            let by_rest = self.solve(&factor, &rest)?;
            let by_load = self.solve(&factor, &self.load)?;
            // |moved + by_rest + δλ by_load| = l, over displacements alone.
            let base: Vec<f64> = moved.iter().zip(&by_rest).map(|(a, b)| a + b).collect();
            let (a, b, c) = (along(&by_load, &by_load), along(&base, &by_load), along(&base, &base) - l * l);
            let root = b * b - a * c;
            if root.is_nan() || root < 0.0 || a <= 0.0 {
                return None;
            }
            let root = root.sqrt();
            let candidates = [(-b + root) / a, (-b - root) / a];
            // The one that goes on in the direction taken so far.
            let on = |d: f64| along(&moved, &base) + d * along(&moved, &by_load);
            let d = if on(candidates[0]) >= on(candidates[1]) { candidates[0] } else { candidates[1] };
            let d = d * share;
            let step: Vec<f64> = by_rest.iter().zip(&by_load).map(|(r, p)| share * r + d * p).collect();
            moved.iter_mut().zip(&step).for_each(|(m, s)| *m += s);
            poses = turned(&poses, &step);
            lambda += d;
        }
        None
    }

    /// The largest force at any node, held ones included.
    fn out_all(&self, v: &[f64]) -> f64 {
        v.chunks_exact(6).map(|c| DVec3::from_slice(&c[..3]).length()).fold(0.0, f64::max)
    }
}

/// Product over displacements alone.
fn along(a: &[f64], b: &[f64]) -> f64 {
    a.chunks_exact(6).zip(b.chunks_exact(6)).map(|(x, y)| x[0] * y[0] + x[1] * y[1] + x[2] * y[2]).sum()
}

fn length(a: &[f64]) -> f64 {
    along(a, a).sqrt()
}

/// Poses moved and turned on.
fn turned(poses: &[Pose], by: &[f64]) -> Vec<Pose> {
    poses
        .iter()
        .enumerate()
        .map(|(n, p)| {
            let s: Six = get(by, n);
            let turn = DQuat::from_scaled_axis(DVec3::from_slice(&s[3..])) * p.turn;
            Pose { at: p.at + DVec3::from_slice(&s[..3]), turn: turn.normalize() }
        })
        .collect()
}
