//! A beam more or a beam less, without solving anew: Sherman, Morrison and Woodbury.

use std::collections::BTreeMap;

use crate::element::Element;
use crate::linear::{FrameError, Held};
use crate::model::Beam;
use crate::six::{Mat6, Six};
use crate::supports::get;

/// How a held frame answers to forces and moments on some of its nodes: what changes of beams between those need.
#[derive(Debug)]
pub struct Influence<'a> {
    held: &'a Held<'a>,
    /// Where each node's six columns begin.
    place: BTreeMap<usize, usize>,
    /// Motions of all nodes under a unit force or moment, column after column.
    columns: Vec<f64>,
}

/// Beams added to and taken from a held frame.
#[derive(Clone, Debug)]
pub struct Change<'a> {
    influence: &'a Influence<'a>,
    /// Nodes of each changed beam, and how its deformation follows from their motions.
    beams: Vec<([usize; 2], [Mat6; 2])>,
    /// Inverse of ±k⁻¹ + Bᵀ K⁻¹ B, by rows.
    inner: Vec<Vec<f64>>,
}

/// A pivot smaller than this part of the largest entry of its matrix means that the changed frame is loose, or so nearly that
/// rounding hides the difference.
const LOOSE: f64 = 1e-9;

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

    /// With `added` beams between prepared nodes, and without the beams `removed`, whose nodes are prepared, too. `None` if
    /// the frame is then loose, or if a node was not prepared.
    pub fn change(&self, added: &[Beam], removed: &[usize]) -> Option<Change<'_>> {
        let frame = self.held.frame;
        let m = &frame.model;
        let mut beams = Vec::new();
        let mut own = Vec::new();
        for b in added {
            let e = Element::new(b, &m.sections[b.section], b.nodes.map(|k| m.nodes[k])).ok()?;
            own.push(e.stiffness.inverse()?);
            beams.push((b.nodes, e.carry));
        }
        for &i in removed {
            let e = &frame.elements[i];
            own.push(e.stiffness.inverse()?.scaled(-1.0));
            beams.push((m.beams[i].nodes, e.carry));
        }
        let size = 6 * beams.len();
        let mut inner = vec![vec![0.0; size]; size];
        for (p, (pn, pg)) in beams.iter().enumerate() {
            for (q, (qn, qg)) in beams.iter().enumerate() {
                // Bₚᵀ K⁻¹ B_q: deformation of p for unit forces on q; B is minus the start's carry, plus the end's.
                let mut sum = if p == q { own[p] } else { Mat6::ZERO };
                for (i, si) in [(0, -1.0), (1, 1.0)] {
                    for (j, sj) in [(0, -1.0), (1, 1.0)] {
                        let start = *self.place.get(&qn[j])?;
                        let k = self.between(pn[i], start);
                        sum.add(&pg[i].times(&k).times(&qg[j].transpose()).scaled(si * sj));
                    }
                }
                for i in 0..6 {
                    for j in 0..6 {
                        inner[6 * p + i][6 * q + j] = sum.0[i][j];
                    }
                }
            }
        }
        Some(Change { influence: self, beams, inner: inverse(inner)? })
    }
}

impl Change<'_> {
    /// Deformations of the changed beams under given motions.
    fn deformations(&self, motions: &[Six]) -> Vec<f64> {
        self.beams
            .iter()
            .flat_map(|(n, g)| crate::six::difference(&g[1].apply(&motions[n[1]]), &g[0].apply(&motions[n[0]])))
            .collect()
    }

    fn forces(&self, motions: &[Six]) -> Vec<f64> {
        let v = self.deformations(motions);
        self.inner.iter().map(|r| r.iter().zip(&v).map(|(a, b)| a * b).sum()).collect()
    }

    /// By how much the work of a set of loads on the displacements that it makes falls, J: positive if the frame gets stiffer
    /// against it. `motions` are those of the unchanged frame under the same loads, with nothing moved by supports.
    pub fn work_saved(&self, motions: &[Six]) -> f64 {
        self.deformations(motions).iter().zip(self.forces(motions)).map(|(v, f)| v * f).sum()
    }

    /// Motions of all nodes of the changed frame, from those of the unchanged one under the same loads. Loads along a beam
    /// that is taken away stay on its nodes; a beam that is added brings no weight.
    pub fn motions(&self, before: &[Six]) -> Vec<Six> {
        let n = self.influence.held.frame.pattern.size;
        let mut out: Vec<f64> = before.iter().flatten().copied().collect();
        let forces = self.forces(before);
        for (k, (nodes, g)) in self.beams.iter().enumerate() {
            let f: Six = std::array::from_fn(|i| forces[6 * k + i]);
            for (node, on) in [(nodes[0], g[0].apply_transposed(&f)), (nodes[1], g[1].apply_transposed(&f).map(|x| -x))]
            {
                let start = self.influence.place[&node];
                for (i, x) in on.iter().enumerate() {
                    let column = &self.influence.columns[start + i * n..start + (i + 1) * n];
                    out.iter_mut().zip(column).for_each(|(o, c)| *o += x * c);
                }
            }
        }
        (0..before.len()).map(|k| get(&out, k)).collect()
    }
}

/// Gauss and Jordan with row pivots, rows and columns scaled first by their diagonal's size.
fn inverse(mut a: Vec<Vec<f64>>) -> Option<Vec<Vec<f64>>> {
    let n = a.len();
    let scale: Vec<f64> = (0..n).map(|i| a[i].iter().fold(0.0f64, |m, x| m.max(x.abs())).sqrt().recip()).collect();
    if scale.iter().any(|s| !s.is_finite()) {
        return None;
    }
    for i in 0..n {
        for j in 0..n {
            a[i][j] *= scale[i] * scale[j];
        }
    }
    let most = a.iter().flatten().fold(0.0f64, |m, x| m.max(x.abs()));
    let mut out: Vec<Vec<f64>> = (0..n).map(|i| (0..n).map(|j| f64::from(u8::from(i == j))).collect()).collect();
    for c in 0..n {
        let p = (c..n).max_by(|&i, &j| a[i][c].abs().total_cmp(&a[j][c].abs()))?;
        if a[p][c].abs().partial_cmp(&(LOOSE * most)) != Some(std::cmp::Ordering::Greater) {
            return None;
        }
        a.swap(c, p);
        out.swap(c, p);
        let k = a[c][c].recip();
        for j in 0..n {
            a[c][j] *= k;
            out[c][j] *= k;
        }
        for i in 0..n {
            if i != c && a[i][c] != 0.0 {
                let k = a[i][c];
                for j in 0..n {
                    a[i][j] -= k * a[c][j];
                    out[i][j] -= k * out[c][j];
                }
            }
        }
    }
    for i in 0..n {
        for j in 0..n {
            out[i][j] *= scale[i] * scale[j];
        }
    }
    Some(out)
}
