//! The path of loads and displacements.

use std::ops::ControlFlow;

use geometry::DVec3;
use glam::DQuat;

use super::bar::{Memory, SECTIONS};
use super::fibres::Fibres;
use super::run::{Run, State, dot};
use super::step::Pace;
use super::turning::Pose;
use crate::linear::{Frame, HeldError};
use crate::model::{Hold, Loads, Model};
use crate::supports::Supports;

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
    /// Its first fibre yields: index of the beam, which end (0, 1) is nearer, and at what part of the step.
    Yields(usize, usize, f64),
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

/// Under this part of its elastic bending stiffness a section is a hinge.
const HINGE: f64 = 0.05;

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
        memory: vec![Memory::FRESH; run.bars()],
        factor: 0.0,
    };
    let mut steps = vec![Step { factor: 0.0, travel: 0.0, work: 0.0, events: Vec::new() }];
    let mut hinged = vec![[false; 2]; run.bars()];
    let mut yielded = vec![false; run.bars()];
    let (mut pace, mut here) = (Pace::default(), None);
    let mut peak: f64 = 0.0;
    let start = frame.model.nodes[settings.node];
    let end = loop {
        if observe(&steps[steps.len() - 1], &state.poses).is_break() {
            break End::Stopped;
        }
        if steps.len() > settings.steps {
            break End::Steps;
        }
        match run.advance(&state, here.as_ref(), &mut pace, settings).map_err(HeldError::Frame)? {
            None => break End::Lost,
            Some(next) => {
                let work = dot(&run.load, &next.moved) * 0.5 * (state.factor + next.state.factor);
                let settled = &next.tried.settled;
                let flows = settled.iter().zip(&state.memory).any(|(s, m)| s.memory.lasting != m.lasting);
                if next.state.factor < state.factor && !next.on && !flows && yielded.contains(&true) {
                    break End::TurnedBack;
                }
                let mut events = Vec::new();
                for (i, s) in settled.iter().enumerate() {
                    if s.memory.yielded() && !yielded[i] {
                        yielded[i] = true;
                        let at = run.first_yield(i, &state.memory[i], &s.memory);
                        events.push(Event::Yields(i, usize::from(s.left[SECTIONS - 1] < s.left[0]), at));
                    }
                    for (k, at) in [(0, 0), (1, SECTIONS - 1)] {
                        if s.left[at] < HINGE && !hinged[i][k] {
                            hinged[i][k] = true;
                            events.push(Event::Hinge(i, k));
                        }
                    }
                }
                state = next.state;
                here = Some(next.tried);
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
