//! What does not change along a path, and the frame's forces at given poses.

use std::sync::Arc;

use geometry::{DMat3, DVec3};
use glam::DQuat;
use rayon::prelude::*;

use super::bar::{Bar, Memory, Settled};
use super::fibres::{self, Fibres};
use super::turning::{Lies, Pose, Turning};
use crate::factor::Factor;
use crate::linear::{Frame, FrameError};
use crate::model::Loads;
use crate::six::{Mat6, Six};
use crate::supports::{Supports, get};

/// Fewer bars than this are not worth a thread.
const AT_ONCE: usize = 64;

/// What does not change along a path.
pub(super) struct Run<'a> {
    pub frame: &'a Frame,
    supports: Supports,
    held: Vec<bool>,
    bars: Vec<(Bar, Turning)>,
    fibres: Vec<fibres::Section>,
    /// Reference load, in the frame's axes.
    pub load: Vec<f64>,
    /// Its largest force.
    pub load_size: f64,
    /// What rounding of the nodes' places alone puts out of balance, N.
    pub rounding: f64,
}

/// Where the path is.
#[derive(Clone)]
pub(super) struct State {
    pub poses: Vec<Pose>,
    pub memory: Vec<Memory>,
    pub factor: f64,
}

/// The bars between given poses.
pub(super) struct Tried {
    pub settled: Vec<Settled>,
    lies: Vec<Lies>,
    /// Forces and moments that hold the nodes there.
    pub inner: Vec<f64>,
}

impl<'a> Run<'a> {
    pub fn new(frame: &'a Frame, fibres: &[Fibres], supports: Supports, loads: &Loads) -> Result<Run<'a>, FrameError> {
        let m = &frame.model;
        let fibres: Vec<fibres::Section> =
            fibres.iter().zip(&m.sections).map(|(f, s)| fibres::Section::new(f, s)).collect();
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
        let mut run = Run { frame, supports, held, bars, fibres, load, load_size: 0.0, rounding };
        run.load_size = run.out(&run.load);
        Ok(run)
    }

    pub fn bars(&self) -> usize {
        self.bars.len()
    }

    /// Bars between poses, coming from a state, looked for first where they were tried last. `None` if one does not settle.
    pub fn tried(&self, poses: &[Pose], from: &[Memory], last: Option<&Tried>) -> Option<Tried> {
        let m = &self.frame.model;
        let one = |i: usize| {
            let (b, (bar, turning)) = (&m.beams[i], &self.bars[i]);
            let lies = turning.lies(b.nodes.map(|n| &poses[n]));
            let guess = last.map_or(&from[i], |t| &t.settled[i].memory);
            let s = bar.bowed(&lies.deformations, &from[i], guess, &self.fibres[b.section]).ok()?;
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

    /// At what part of the step between two memories a bar's first fibre came to its yield, its strains growing evenly.
    pub fn first_yield(&self, bar: usize, before: &Memory, after: &Memory) -> f64 {
        let fibres = &self.fibres[self.frame.model.beams[bar].section];
        before.strains.iter().zip(&after.strains).map(|(a, b)| fibres.comes_to_yield(*a, *b)).fold(1.0, f64::min)
    }

    /// The frame's stiffness there, factorised.
    pub fn stiffness(&self, t: &Tried) -> Option<Factor> {
        let blocks: Vec<[Mat6; 3]> = t
            .lies
            .par_iter()
            .zip(&t.settled)
            .with_min_len(AT_ONCE)
            .map(|(l, s)| l.slope(&s.forces, &s.stiffness))
            .collect();
        let mut values = self.frame.assemble(&self.supports, |i| blocks[i]);
        self.frame.take_out(&mut values, &self.supports);
        Factor::new(&Arc::clone(&self.frame.pattern), &values).ok()
    }

    /// Motions under forces.
    pub fn solve(&self, factor: &Factor, right: &[f64]) -> Option<Vec<f64>> {
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
    pub fn out(&self, v: &[f64]) -> f64 {
        let mut own = v.to_vec();
        self.supports.to_own(&mut own);
        let size = self.frame.size();
        own.iter()
            .enumerate()
            .filter(|(i, _)| !self.held[*i])
            .map(|(i, x)| if i % 6 < 3 { x.abs() } else { x.abs() / size })
            .fold(0.0, f64::max)
    }
}

/// The largest force at any node, held ones included.
pub(super) fn largest_force(v: &[f64]) -> f64 {
    v.chunks_exact(6).map(|c| DVec3::from_slice(&c[..3]).length()).fold(0.0, f64::max)
}

/// Product of all numbers: work, if one are forces.
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// Product over displacements alone.
pub(super) fn along(a: &[f64], b: &[f64]) -> f64 {
    a.chunks_exact(6).zip(b.chunks_exact(6)).map(|(x, y)| x[0] * y[0] + x[1] * y[1] + x[2] * y[2]).sum()
}

/// Length over displacements alone.
pub(super) fn length(a: &[f64]) -> f64 {
    along(a, a).sqrt()
}

/// Poses moved and turned on.
pub(super) fn turned(poses: &[Pose], by: &[f64]) -> Vec<Pose> {
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
