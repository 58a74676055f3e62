//! Statics: small displacements, elastic.

use std::sync::{Arc, OnceLock};

use geometry::DVec3;
use rayon::prelude::*;

use crate::carry::shares;
use crate::element::Element;
use crate::factor::{Factor, NoFactor};
use crate::flexibility::{Cut, Droops, Passed, droop, flexibility};
use crate::model::{Beam, Hold, Loads, Model, Piece};
use crate::pattern::{Block, Pattern};
use crate::six::{Mat6, Six, first, last, six};
use crate::supports::{HoldError, Supports, get};

/// Why a model can't be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FrameError {
    /// It has no nodes.
    Empty,
    /// A place, direction or number of this beam, or of its section, is not finite.
    NotFinite(usize),
    /// This beam is so short, long or soft that it has no stiffness that can be calculated with.
    Limp(usize),
    /// Too large for the computer.
    TooLarge,
    /// Held, the stiffness is still singular to the last digit: stiffnesses differ too widely.
    Singular,
}

/// A model made ready: what does not depend on what holds it.
#[derive(Debug)]
pub struct Frame {
    pub(crate) model: Model,
    pub(crate) elements: Vec<Element>,
    pub(crate) pattern: Arc<Pattern>,
    /// For each lump, what each of its nodes carries.
    pub(crate) shares: Vec<Vec<(usize, Mat6)>>,
    /// How each beam gives under loads along it, once that is asked for.
    droops: OnceLock<Vec<Droops>>,
}

/// A frame that is held, factorised.
#[derive(Debug)]
pub struct Held<'a> {
    pub(crate) frame: &'a Frame,
    pub(crate) supports: Supports,
    pub(crate) factor: Factor,
}

/// What a frame does under loads.
#[derive(Clone, Debug, PartialEq)]
pub struct Response {
    /// Displacement and rotation of each node, m and rad, in the frame's axes.
    pub motions: Vec<Six>,
    /// Force and moment on each beam's end (its second node's), about the end of its centreline, N and N m.
    pub end_forces: Vec<Six>,
    /// Even load on each beam, N/m.
    pub spread: Vec<DVec3>,
    /// Force and moment of the support on each held node, N and N m.
    pub reactions: Vec<(usize, Six)>,
    /// The largest force (or moment, divided by the frame's size) that does not balance at a node, as a part of the largest
    /// load or reaction.
    pub residual: f64,
}

impl Frame {
    /// Makes a model ready.
    pub fn new(model: Model) -> Result<Frame, FrameError> {
        Frame::ready(model, false)
    }

    /// As [`Frame::new`], for matrices to which masses that several nodes carry belong.
    pub(crate) fn with_lumps(model: Model) -> Result<Frame, FrameError> {
        Frame::ready(model, true)
    }

    fn ready(model: Model, lumps: bool) -> Result<Frame, FrameError> {
        if model.nodes.is_empty() {
            return Err(FrameError::Empty);
        }
        let elements = model
            .beams
            .iter()
            .enumerate()
            .map(|(i, b)| {
                let ends = b.nodes.map(|n| model.nodes[n]);
                let section = &model.sections[b.section];
                let finite = ends.iter().all(|e| e.is_finite())
                    && b.start().is_finite()
                    && b.end().is_finite()
                    && [section.youngs, section.shear, section.density, section.area, section.torsion]
                        .iter()
                        .chain(&section.second)
                        .all(|x| x.is_finite());
                if !finite {
                    return Err(FrameError::NotFinite(i));
                }
                let e = Element::new(b, section, ends).map_err(|_| FrameError::Limp(i))?;
                if e.stiffness.0.iter().flatten().all(|x| x.is_finite()) { Ok(e) } else { Err(FrameError::Limp(i)) }
            })
            .collect::<Result<Vec<_>, _>>()?;
        let pattern = Arc::new(Pattern::new(&model, lumps).map_err(|_| FrameError::TooLarge)?);
        let shares = model.lumps.iter().map(|l| shares(l, &model.nodes)).collect();
        Ok(Frame { model, elements, pattern, shares, droops: OnceLock::new() })
    }

    /// The model.
    pub fn model(&self) -> &Model {
        &self.model
    }

    /// Holds the frame.
    pub fn held(&self, holds: &[Hold]) -> Result<Held<'_>, HeldError> {
        let supports = Supports::new(&self.model, holds).map_err(HeldError::Hold)?;
        let values = self.values(&supports);
        let factor = Factor::new(&self.pattern, &values).map_err(|e| {
            HeldError::Frame(match e {
                NoFactor::Singular => FrameError::Singular,
                NoFactor::TooLarge => FrameError::TooLarge,
            })
        })?;
        Ok(Held { frame: self, supports, factor })
    }

    /// The stiffness on the pattern, in each node's own directions, with held unknowns taken out.
    fn values(&self, supports: &Supports) -> Vec<f64> {
        let mut values = self.assemble(supports, |i| self.elements[i].blocks());
        self.take_out(&mut values, supports);
        values
    }

    /// Adds up the beams' blocks on the pattern, in each node's own directions.
    pub(crate) fn assemble(&self, supports: &Supports, blocks: impl Fn(usize) -> [Mat6; 3]) -> Vec<f64> {
        let mut values = vec![0.0; self.pattern.columns.compute_nnz()];
        for (i, (b, place)) in self.model.beams.iter().zip(&self.pattern.blocks).enumerate() {
            let mut blocks = blocks(i);
            for (m, (l, r)) in blocks.iter_mut().zip([(0, 0), (0, 1), (1, 1)]) {
                supports.turn_block(b.nodes[l], b.nodes[r], m);
            }
            if b.nodes[0] == b.nodes[1] {
                // A beam from a node back to itself, by rigid links: all four blocks are the node's own.
                let [mut own, between, end] = blocks;
                own.add(&between);
                own.add(&between.transpose());
                own.add(&end);
                add(&mut values, &place[0], &own);
            } else {
                for (m, p) in blocks.iter().zip(place) {
                    add(&mut values, p, m);
                }
            }
        }
        values
    }

    /// Sets the rows and columns of held unknowns to those of the identity, of a size with the rest.
    pub(crate) fn take_out(&self, values: &mut [f64], supports: &Supports) {
        let n = self.pattern.size;
        let mut held = vec![false; n];
        for &(i, _) in &supports.held {
            held[i] = true;
        }
        let (starts, rows) = (self.pattern.columns.col_ptr(), self.pattern.columns.row_idx());
        let typical = self
            .pattern
            .diagonal
            .iter()
            .map(|&d| values[d])
            .filter(|&d| d > 0.0)
            .fold((0.0, 0), |a, d| (a.0 + d.ln(), a.1 + 1));
        let typical = if typical.1 > 0 { (typical.0 / f64::from(typical.1)).exp() } else { 1.0 };
        for j in 0..n {
            let column = starts[j] as usize..starts[j + 1] as usize;
            if held[j] {
                values[column.clone()].fill(0.0);
                values[column.start] = typical;
            } else {
                for k in column {
                    if held[rows[k] as usize] {
                        values[k] = 0.0;
                    }
                }
            }
        }
    }

    /// Even load on each beam under these loads, N/m.
    fn spread(&self, loads: &Loads) -> Vec<DVec3> {
        let mut q: Vec<DVec3> = if loads.field == DVec3::ZERO {
            vec![DVec3::ZERO; self.model.beams.len()]
        } else {
            self.model
                .beams
                .iter()
                .map(|b| {
                    let s = &self.model.sections[b.section];
                    loads.field * (s.density * s.area)
                })
                .collect()
        };
        for &(b, f) in &loads.spread {
            q[b] += f;
        }
        q
    }

    /// Loads on nodes: those given and what masses press with. Loads on beams are not among them.
    fn nodal(&self, loads: &Loads) -> Vec<f64> {
        let mut p = vec![0.0; self.pattern.size];
        for (node, f) in &loads.nodal {
            accumulate(&mut p, *node, f);
        }
        if loads.field != DVec3::ZERO {
            for (l, shares) in self.model.lumps.iter().zip(&self.shares) {
                let f = six(loads.field * l.mass, DVec3::ZERO);
                for (node, share) in shares {
                    accumulate(&mut p, *node, &share.apply(&f));
                }
            }
        }
        p
    }

    /// All loads as forces on nodes: what a beam carries along it goes to its two ends in halves.
    pub(crate) fn all_on_nodes(&self, loads: &Loads) -> Vec<f64> {
        let mut p = self.nodal(loads);
        for (b, q) in self.model.beams.iter().zip(self.spread(loads)) {
            let half = q * (b.length() / 2.0);
            for (n, end) in b.nodes.iter().zip([b.start(), b.end()]) {
                accumulate(&mut p, *n, &six(half, (end - self.model.nodes[*n]).cross(half)));
            }
        }
        p
    }

    /// What the section at a distance along one of a beam's pieces passes on.
    pub fn passed(&self, response: &Response, beam: usize, piece: usize, s: f64) -> Passed {
        self.cut(beam, piece, s).passed(&response.end_forces[beam], response.spread[beam])
    }

    /// The section at a distance along one of a beam's pieces, for what it passes on in one case after another.
    pub fn cut(&self, beam: usize, piece: usize, s: f64) -> Cut {
        Cut::new(&self.model.beams[beam], piece, s)
    }

    /// How the place at a distance along one of a beam's pieces moves, m: exactly, as the start does and as what lies before
    /// it gives to what is passed on there and to the load along it.
    pub fn moved(&self, response: &Response, beam: usize, piece: usize, s: f64) -> DVec3 {
        let b = &self.model.beams[beam];
        let passed = self.passed(response, beam, piece, s);
        let motion = &response.motions[b.nodes[0]];
        let (way, turn) = (first(motion), last(motion));
        let rigid = way + turn.cross(passed.frame.origin - self.model.nodes[b.nodes[0]]);
        let mut pieces: Vec<Piece> = b.pieces[..piece].to_vec();
        if s > 0.0 {
            pieces.push(b.pieces[piece].part(0.0, s));
        }
        if pieces.is_empty() {
            return rigid;
        }
        let before = Beam { pieces, ..b.clone() };
        let section = &self.model.sections[b.section];
        let give = flexibility(&before, section).apply(&six(passed.force, passed.moment));
        let droop = droop(&before, section, response.spread[beam]);
        rigid + first(&give) + first(&droop)
    }

    /// How far a beam, held at its start, would droop at its end under the load along it, m.
    pub fn droops(&self, response: &Response, beam: usize) -> f64 {
        let q = response.spread[beam];
        if q == DVec3::ZERO { 0.0 } else { first(&self.droop_all()[beam].under(q)).length() }
    }

    /// Half of force times deformation of each beam, J; the load along the beam is left out.
    pub fn energies(&self, motions: &[Six]) -> Vec<f64> {
        self.model
            .beams
            .iter()
            .zip(&self.elements)
            .map(|(b, e)| {
                let [s, t] = b.nodes.map(|n| &motions[n]);
                let force = e.end_force([s, t], None);
                let [a, z] = e.nodal(&self.model, b, &force, DVec3::ZERO);
                let work = |f: &Six, u: &Six| f.iter().zip(u).map(|(x, y)| x * y).sum::<f64>();
                0.5 * (work(&a, s) + work(&z, t))
            })
            .collect()
    }
}

/// Why a frame was not held.
#[derive(Clone, Debug, PartialEq)]
pub enum HeldError {
    /// The supports.
    Hold(HoldError),
    /// The frame.
    Frame(FrameError),
}

impl Held<'_> {
    /// Solves for each set of loads.
    pub fn solve(&self, cases: &[Loads]) -> Result<Vec<Response>, FrameError> {
        // A few cases, or a small frame, are not worth a second thread.
        let groups: Vec<_> = if cases.len() * self.frame.pattern.size < WORTH_THREADS {
            cases.chunks(TOGETHER).map(|c| self.together(c)).collect::<Result<_, _>>()?
        } else {
            let each = cases.len().div_ceil(rayon::current_num_threads()).clamp(1, TOGETHER);
            cases.par_chunks(each).map(|c| self.together(c)).collect::<Result<_, _>>()?
        };
        Ok(groups.into_iter().flatten().collect())
    }

    /// How all nodes move under sets of loads, what is held standing still: one solve for all, without the forces in beams
    /// and without refinement.
    pub fn motions(&self, cases: &[Loads]) -> Result<Vec<Vec<Six>>, FrameError> {
        let frame = self.frame;
        let loads: Vec<Acting> = cases.iter().map(|l| frame.acting(l)).collect();
        let mut columns = frame.unbent(&loads).unbalanced;
        self.solve_free(&mut columns)?;
        let nodes = frame.model.nodes.len();
        Ok(columns.chunks_exact(frame.pattern.size).map(|c| (0..nodes).map(|n| get(c, n)).collect()).collect())
    }

    /// Motions under forces and moments on nodes, column after column, in place; held freedoms stay where they are.
    pub(crate) fn solve_free(&self, columns: &mut [f64]) -> Result<(), FrameError> {
        for column in columns.chunks_exact_mut(self.frame.pattern.size) {
            self.supports.to_own(column);
            for &(i, _) in &self.supports.held {
                column[i] = 0.0;
            }
        }
        self.factor.solve(columns).map_err(|_| FrameError::TooLarge)?;
        for column in columns.chunks_exact_mut(self.frame.pattern.size) {
            self.supports.to_frame(column);
        }
        Ok(())
    }

    /// Solves for sets of loads side by side: the factors and the beams are gone through once for all of them.
    fn together(&self, cases: &[Loads]) -> Result<Vec<Response>, FrameError> {
        let (frame, size) = (self.frame, self.frame.pattern.size);
        let loads: Vec<Acting> = cases.iter().map(|l| frame.acting(l)).collect();
        let mut still = vec![0.0; size];
        for &(i, by) in &self.supports.held {
            still[i] = by;
        }
        self.supports.to_frame(&mut still);
        let mut motions = still.repeat(cases.len());
        let mut out =
            if still.iter().all(|&x| x == 0.0) { frame.unbent(&loads) } else { frame.balance(&motions, &loads) };
        // The first step solves, the second refines.
        for _ in 0..2 {
            self.solve_free(&mut out.unbalanced)?;
            for (m, r) in motions.iter_mut().zip(&out.unbalanced) {
                *m += r;
            }
            out = frame.balance(&motions, &loads);
        }
        let rests = out.unbalanced.chunks_exact_mut(size);
        let parts = motions.chunks_exact(size).zip(rests).zip(out.end_forces);
        loads.into_iter().zip(parts).map(|(l, ((motion, rest), ends))| self.response(l, motion, rest, ends)).collect()
    }

    /// Splits what does not balance into reactions and residual.
    fn response(
        &self,
        loads: Acting,
        motion: &[f64],
        rest: &mut [f64],
        end_forces: Vec<Six>,
    ) -> Result<Response, FrameError> {
        let (frame, Acting { mut push, spread, .. }) = (self.frame, loads);
        self.supports.to_own(rest);
        let mut reaction = vec![0.0; frame.pattern.size];
        for &(i, _) in &self.supports.held {
            reaction[i] = -rest[i];
            rest[i] = 0.0;
        }
        self.supports.to_frame(&mut reaction);
        let size = frame.size();
        let measure = |v: &[f64]| {
            v.chunks_exact(6)
                .map(|c| DVec3::new(c[0], c[1], c[2]).length().max(DVec3::new(c[3], c[4], c[5]).length() / size))
                .fold(0.0, f64::max)
        };
        for (p, q) in frame.model.beams.iter().zip(&spread) {
            let whole = resultant_size(p, *q);
            push[6 * p.nodes[0]] = push[6 * p.nodes[0]].abs().max(whole);
        }
        let load = measure(&push).max(measure(&reaction));
        let left = measure(rest);
        if !left.is_finite() || motion.iter().any(|x| !x.is_finite()) {
            return Err(FrameError::Singular);
        }
        let mut nodes: Vec<usize> = self.supports.held.iter().map(|h| h.0 / 6).collect();
        nodes.sort_unstable();
        nodes.dedup();
        Ok(Response {
            motions: (0..frame.model.nodes.len()).map(|n| get(motion, n)).collect(),
            end_forces,
            spread,
            reactions: nodes.into_iter().map(|n| (n, get(&reaction, n))).collect(),
            residual: if load > 0.0 { left / load } else { left },
        })
    }
}

/// From this many unknowns times cases on, cases run side by side.
const WORTH_THREADS: usize = 20_000;

fn resultant_size(b: &Beam, q: DVec3) -> f64 {
    q.length() * b.length()
}

/// Cases that are solved side by side: more need memory without being faster.
const TOGETHER: usize = 8;

/// What acts in a case.
struct Acting {
    /// On nodes, but for what beams carry.
    push: Vec<f64>,
    /// Along each beam.
    spread: Vec<DVec3>,
    /// What each beam would give under its own load; `None` if none has any.
    free: Option<Vec<Six>>,
}

/// What is left over at each node, case after case, and the forces on the beams' ends in each.
struct Balance {
    unbalanced: Vec<f64>,
    end_forces: Vec<Vec<Six>>,
}

impl Frame {
    fn droop_all(&self) -> &[Droops] {
        let of = |b: &Beam| Droops::of(b, &self.model.sections[b.section]);
        self.droops.get_or_init(|| self.model.beams.iter().map(of).collect())
    }

    fn acting(&self, loads: &Loads) -> Acting {
        let spread = self.spread(loads);
        let free = spread
            .iter()
            .any(|&q| q != DVec3::ZERO)
            .then(|| self.droop_all().iter().zip(&spread).map(|(d, &q)| d.under(q)).collect());
        Acting { push: self.nodal(loads), spread, free }
    }

    /// As [`Frame::balance`] before anything has moved.
    fn unbent(&self, loads: &[Acting]) -> Balance {
        if loads.iter().all(|l| l.free.is_none()) {
            let unbalanced = loads.iter().flat_map(|l| l.push.iter().copied()).collect();
            return Balance { unbalanced, end_forces: Vec::new() };
        }
        self.balance(&vec![0.0; self.pattern.size * loads.len()], loads)
    }

    /// Loads less what the beams take, for given motions, case after case.
    fn balance(&self, motions: &[f64], loads: &[Acting]) -> Balance {
        let size = self.pattern.size;
        let mut unbalanced = Vec::with_capacity(motions.len());
        loads.iter().for_each(|l| unbalanced.extend_from_slice(&l.push));
        let mut end_forces = vec![Vec::with_capacity(self.model.beams.len()); loads.len()];
        for (i, (b, e)) in self.model.beams.iter().zip(&self.elements).enumerate() {
            let [s, t] = b.nodes;
            for (c, (l, ends)) in loads.iter().zip(&mut end_forces).enumerate() {
                let motion = &motions[c * size..(c + 1) * size];
                let f = e.end_force([&get(motion, s), &get(motion, t)], l.free.as_ref().map(|f| &f[i]));
                let [a, z] = e.nodal(&self.model, b, &f, l.spread[i]);
                let out = &mut unbalanced[c * size..(c + 1) * size];
                accumulate(out, s, &a.map(|x| -x));
                accumulate(out, t, &z.map(|x| -x));
                ends.push(f);
            }
        }
        Balance { unbalanced, end_forces }
    }

    /// Half the diagonal of the box round the nodes, m; 1 for a single place.
    pub(crate) fn size(&self) -> f64 {
        let (lo, hi) =
            self.model.nodes.iter().fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |b, &p| (b.0.min(p), b.1.max(p)));
        let d = (hi - lo).length() / 2.0;
        if d > 0.0 { d } else { 1.0 }
    }
}

fn accumulate(v: &mut [f64], node: usize, f: &Six) {
    for (x, y) in v[6 * node..6 * node + 6].iter_mut().zip(f) {
        *x += y;
    }
}

/// Adds a block to the values.
pub(crate) fn add(values: &mut [f64], place: &Block, m: &Mat6) {
    for j in 0..6 {
        let first = place.first[j];
        if place.diagonal {
            for i in j..6 {
                values[first + i - j] += m.0[i][j];
            }
        } else if place.turned {
            for i in 0..6 {
                values[first + i] += m.0[j][i];
            }
        } else {
            for i in 0..6 {
                values[first + i] += m.0[i][j];
            }
        }
    }
}
