//! A beam more, a beam less or one of another section, without solving anew: Sherman, Morrison and Woodbury.

use std::collections::BTreeMap;

use geometry::DVec3;

use crate::dense::inverse;
use crate::element::Element;
use crate::flexibility::droop;
use crate::linear::{FrameError, Held, Response};
use crate::model::{Beam, Section};
use crate::six::{Mat6, Six, brought, difference, sum};

/// How a held frame answers to forces and moments on some of its nodes: what changes of beams between those need.
#[derive(Debug)]
pub struct Influence<'a> {
    held: &'a Held<'a>,
    /// Where each node's six columns begin.
    place: BTreeMap<usize, usize>,
    /// Motions of all nodes under a unit force or moment, column after column.
    columns: Vec<f64>,
}

/// One change of a frame.
#[derive(Clone, Debug)]
pub enum Edit {
    /// A beam more, of one of the frame's sections.
    Add(Beam),
    /// A beam less.
    Remove(usize),
    /// A beam of another section, of which every stiffness is less, or every one is more.
    Resize(usize, Section),
}

/// A beam that changes.
#[derive(Clone, Debug)]
struct Edited {
    nodes: [usize; 2],
    /// Its stiffness afterwards, and how its deformation follows from its nodes' motions.
    after: Element,
    /// Of a beam that was there: which, and if it stays its section afterwards.
    was: Option<(usize, Option<Section>)>,
    /// Inverse of what its stiffness changes by.
    by: Mat6,
}

/// Edits of a held frame.
#[derive(Clone, Debug)]
pub struct Change<'a> {
    influence: &'a Influence<'a>,
    edited: Vec<Edited>,
    /// Inverse of Δk⁻¹ + Bᵀ K⁻¹ B, by rows.
    inner: Vec<f64>,
}

/// A changed frame under loads under which the unchanged one was solved. Loads along a beam that is taken away stay on its
/// nodes; a beam that is added brings no weight, and one of another section keeps its own.
#[derive(Clone, Debug)]
pub struct After<'a> {
    change: &'a Change<'a>,
    before: &'a Response,
    /// What the changed beams push the unchanged frame's nodes with.
    pushes: Vec<(usize, Six)>,
}

impl<'a> Held<'a> {
    /// Prepares for changes of beams between these nodes: one solve for each freedom of each of them.
    pub fn influence(&'a self, nodes: &[usize]) -> Result<Influence<'a>, FrameError> {
        let n = self.frame.pattern.size;
        let mut place = BTreeMap::new();
        for &k in nodes {
            let next = 6 * place.len() * n;
            place.entry(k).or_insert(next);
        }
        let mut columns = vec![0.0; 6 * place.len() * n];
        for (&node, &start) in &place {
            for i in 0..6 {
                columns[start + i * n + 6 * node + i] = 1.0;
            }
        }
        self.solve_free(&mut columns)?;
        Ok(Influence { held: self, place, columns })
    }
}

impl Influence<'_> {
    /// Motions of one node for the six unit loads on another, as columns.
    fn between(&self, node: usize, start: usize) -> Mat6 {
        let n = self.held.frame.pattern.size;
        Mat6(std::array::from_fn(|i| std::array::from_fn(|j| self.columns[start + j * n + 6 * node + i])))
    }

    fn edited(&self, edit: &Edit) -> Option<Edited> {
        let frame = self.held.frame;
        let m = &frame.model;
        match edit {
            Edit::Add(b) => {
                let after = Element::new(b, &m.sections[b.section], b.nodes.map(|k| m.nodes[k])).ok()?;
                Some(Edited { nodes: b.nodes, by: after.stiffness.inverse()?, after, was: None })
            }
            &Edit::Remove(i) => {
                let mut after = frame.elements[i].clone();
                let by = after.stiffness.inverse()?.scaled(-1.0);
                after.stiffness = Mat6::ZERO;
                Some(Edited { nodes: m.beams[i].nodes, after, was: Some((i, None)), by })
            }
            &Edit::Resize(i, section) => {
                let b = &m.beams[i];
                let after = Element::new(b, &section, b.nodes.map(|k| m.nodes[k])).ok()?;
                let mut less = frame.elements[i].stiffness;
                less.add(&after.stiffness.scaled(-1.0));
                let by = match less.inverse() {
                    Some(k) => k.scaled(-1.0),
                    None => less.scaled(-1.0).inverse()?,
                };
                Some(Edited { nodes: b.nodes, after, was: Some((i, Some(section))), by })
            }
        }
    }

    /// With edits of beams whose nodes are prepared. `None` if the frame is then loose, if a node was not prepared, or if a
    /// section is stiffer in one way and softer in another.
    pub fn change(&self, edits: &[Edit]) -> Option<Change<'_>> {
        let edited: Vec<Edited> = edits.iter().map(|e| self.edited(e)).collect::<Option<_>>()?;
        let size = 6 * edited.len();
        let mut inner = vec![0.0; size * size];
        for (p, a) in edited.iter().enumerate() {
            for (q, b) in edited.iter().enumerate().skip(p) {
                // Bₚᵀ K⁻¹ B_q: deformation of p for unit forces on q; B is minus the start's carry, plus the end's.
                let mut sum = if p == q { a.by } else { Mat6::ZERO };
                for (j, sj) in [(0, -1.0), (1, 1.0)] {
                    let start = *self.place.get(&b.nodes[j])?;
                    let mut row = Mat6::ZERO;
                    for (i, si) in [(0, -sj), (1, sj)] {
                        row.add(&a.after.carry(i).times(&self.between(a.nodes[i], start)).scaled(si));
                    }
                    sum.add(&row.times(&b.after.carry(j).transpose()));
                }
                for i in 0..6 {
                    for j in 0..6 {
                        inner[(6 * p + i) * size + 6 * q + j] = sum.0[i][j];
                        inner[(6 * q + j) * size + 6 * p + i] = sum.0[i][j];
                    }
                }
            }
        }
        Some(Change { influence: self, edited, inner: inverse(inner, size)? })
    }
}

impl Change<'_> {
    /// Deformations of the changed beams under given motions.
    fn deformations(&self, motions: &[Six]) -> Vec<f64> {
        self.edited
            .iter()
            .flat_map(|e| {
                let [s, t] = e.nodes.map(|n| &motions[n]);
                e.after.apart([s, t])
            })
            .collect()
    }

    fn forces(&self, deformations: &[f64]) -> Vec<f64> {
        let n = deformations.len();
        self.inner.chunks_exact(n.max(1)).map(|r| r.iter().zip(deformations).map(|(a, b)| a * b).sum()).collect()
    }

    /// By how much the work of a set of loads on nodes on the displacements that it makes falls, J: positive if the frame gets
    /// stiffer against it. `motions` are those of the unchanged frame under the same loads, with nothing moved by supports.
    pub fn work_saved(&self, motions: &[Six]) -> f64 {
        let v = self.deformations(motions);
        v.iter().zip(self.forces(&v)).map(|(v, f)| v * f).sum()
    }

    /// The changed frame under the loads that the unchanged one was solved under.
    pub fn after<'b>(&'b self, before: &'b Response) -> After<'b> {
        let m = &self.influence.held.frame.model;
        let mut v = self.deformations(&before.motions);
        for (e, v) in self.edited.iter().zip(v.chunks_exact_mut(6)) {
            if let Some((i, Some(section))) = e.was
                && before.spread[i] != DVec3::ZERO
            {
                // What it gives under its own load changes with its section.
                let (b, q) = (&m.beams[i], before.spread[i]);
                let old = self.influence.held.frame.elements[i].stiffness.apply(&droop(b, &m.sections[b.section], q));
                let new = e.after.stiffness.apply(&droop(b, &section, q));
                let shift = e.by.apply(&difference(&new, &old));
                v.iter_mut().zip(shift).for_each(|(v, s)| *v -= s);
            }
        }
        let forces = self.forces(&v);
        let mut pushes: BTreeMap<usize, Six> = BTreeMap::new();
        for (e, f) in self.edited.iter().zip(forces.chunks_exact(6)) {
            let f: Six = std::array::from_fn(|i| f[i]);
            let [a, b] = e.after.arms.map(|r| brought(&f, r));
            for (node, on) in [(e.nodes[0], a), (e.nodes[1], b.map(|x| -x))] {
                let at = pushes.entry(node).or_insert([0.0; 6]);
                *at = sum(at, &on);
            }
        }
        After { change: self, before, pushes: pushes.into_iter().collect() }
    }
}

impl After<'_> {
    /// How much further a node moves than before.
    pub fn further(&self, node: usize) -> Six {
        let influence = self.change.influence;
        let n = influence.held.frame.pattern.size;
        let mut out = [0.0; 6];
        for (at, f) in &self.pushes {
            let start = influence.place[at] + 6 * node;
            for (j, x) in f.iter().enumerate() {
                let column = &influence.columns[start + j * n..start + j * n + 6];
                out.iter_mut().zip(column).for_each(|(o, c)| *o += x * c);
            }
        }
        out
    }

    /// Motions of all nodes.
    pub fn motions(&self) -> Vec<Six> {
        self.before.motions.iter().zip(self.all_further()).map(|(u, d)| sum(u, &d)).collect()
    }

    /// [`After::further`] of all nodes.
    pub fn all_further(&self) -> Vec<Six> {
        let influence = self.change.influence;
        let n = influence.held.frame.pattern.size;
        let mut out = vec![0.0; n];
        for (at, f) in &self.pushes {
            let start = influence.place[at];
            for (j, x) in f.iter().enumerate() {
                let column = &influence.columns[start + j * n..start + (j + 1) * n];
                out.iter_mut().zip(column).for_each(|(o, c)| *o += x * c);
            }
        }
        out.chunks_exact(6).map(|c| std::array::from_fn(|i| c[i])).collect()
    }

    /// Force and moment on the end of a beam that was there, about the end of its centreline, from how much further its nodes
    /// move; `None` for one that was taken away.
    pub fn end_force(&self, beam: usize, further: [&Six; 2]) -> Option<Six> {
        let frame = self.change.influence.held.frame;
        let old = &frame.elements[beam];
        let more = old.apart(further);
        let edited = self.change.edited.iter().find_map(|e| e.was.filter(|w| w.0 == beam).map(|w| (e, w.1)));
        let Some((e, section)) = edited else {
            return Some(sum(&self.before.end_forces[beam], &old.stiffness.apply(&more)));
        };
        let b = &frame.model.beams[beam];
        let [s, t] = b.nodes.map(|n| &self.before.motions[n]);
        let mut v = sum(&old.apart([s, t]), &more);
        let (section, q) = (section?, self.before.spread[beam]);
        if q != DVec3::ZERO {
            v = difference(&v, &droop(b, &section, q));
        }
        Some(e.after.stiffness.apply(&v))
    }

    /// The same of the beams that were added, in the edits' order.
    pub fn added(&self) -> Vec<Six> {
        let of = |n: usize| sum(&self.before.motions[n], &self.further(n));
        self.change
            .edited
            .iter()
            .filter(|e| e.was.is_none())
            .map(|e| {
                let [s, t] = e.nodes.map(of);
                e.after.end_force([&s, &t], None)
            })
            .collect()
    }
}
