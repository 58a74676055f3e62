//! A straight part of a beam that yields: forces in equilibrium along it, sections that follow.

use geometry::{DMat3, DVec3};

use super::fibres::Fibres;
use crate::model::Section;
use crate::six::{Mat6, Six};

/// Places along the bar, from 0 to 1, and their weights: Gauss and Lobatto's five, exact for polynomials to degree seven,
/// with both ends among them, where moments are largest.
const PLACES: [(f64, f64); 5] = [
    (0.0, 0.05),
    (0.172_673_164_646_011_43, 49.0 / 180.0),
    (0.5, 16.0 / 45.0),
    (0.827_326_835_353_988_6, 49.0 / 180.0),
    (1.0, 0.05),
];

/// The bar's own forces have settled when what its sections' strains fall short of the given deformations, times the
/// force's change, is under this part of its elastic energy at yielding.
const SETTLED: f64 = 1e-16;

/// Most rounds in settling them.
const ROUNDS: usize = 15;

/// What a bar remembers.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Memory {
    /// Own forces: tension; moments at the start about u, v; at the end about u, v; torque.
    pub forces: Six,
    /// Axial strain and curvatures about u and v of each section.
    pub strains: [DVec3; 5],
    /// Lasting strain of each fibre of each section, one section after the other; none as long as nothing has yielded.
    pub lasting: Vec<f64>,
}

impl Memory {
    /// Nothing yet.
    pub const FRESH: Memory = Memory { forces: [0.0; 6], strains: [DVec3::ZERO; 5], lasting: Vec::new() };

    /// Whether any fibre has a lasting strain.
    pub fn yielded(&self) -> bool {
        !self.lasting.is_empty()
    }
}

/// A bar at given deformations.
#[derive(Clone, Debug)]
pub(crate) struct Settled {
    pub memory: Memory,
    /// Its own forces on its ends: those remembered, and what its tension does to its bow.
    pub forces: Six,
    /// Their slope.
    pub stiffness: Mat6,
    /// For each section, the share of its elastic bending stiffness that is left, the least over both axes.
    pub left: [f64; 5],
}

/// The rounds did not settle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Unsettled;

/// What does not change.
#[derive(Clone, Debug)]
pub(crate) struct Bar {
    pub length: f64,
    /// Give of shear and torsion, which stay elastic.
    fixed: Mat6,
    elastic: DMat3,
    give: DMat3,
    stiffness: Mat6,
}

/// From the bar's own forces to a section's axial force and moments about u and v.
fn section_force(q: &Six, x: f64) -> DVec3 {
    DVec3::new(q[0], -q[1] * (1.0 - x) + q[3] * x, -q[2] * (1.0 - x) + q[4] * x)
}

/// Adds a section's give, times a weight, to the bar's.
fn add_give(f: &mut Mat6, give: &DMat3, x: f64, w: f64) {
    // Rows of the transposed interpolation: own force -> (axial, about u, about v).
    let b: [[f64; 3]; 5] = [[1.0, 0.0, 0.0], [0.0, x - 1.0, 0.0], [0.0, 0.0, x - 1.0], [0.0, x, 0.0], [0.0, 0.0, x]];
    for (to, row) in f.0.iter_mut().zip(b) {
        let g = *give * DVec3::from(row);
        for (to, other) in to.iter_mut().zip(b) {
            *to += w * g.dot(DVec3::from(other));
        }
    }
}

/// A section's strains as deformations of the bar, times a weight.
fn add_strains(v: &mut Six, e: DVec3, x: f64, w: f64) {
    v[0] += w * e.x;
    v[1] += w * (x - 1.0) * e.y;
    v[2] += w * (x - 1.0) * e.z;
    v[3] += w * x * e.y;
    v[4] += w * x * e.z;
}

impl Bar {
    pub(crate) fn new(length: f64, section: &Section, fibres: &Fibres) -> Option<Bar> {
        let elastic = fibres.elastic();
        let mut fixed = Mat6::ZERO;
        // Shear along v comes from moments about u, and the other way round.
        for (k, area) in [(1, section.shear_areas[1]), (2, section.shear_areas[0])] {
            let s = (length * section.shear * area).recip();
            for (i, j) in [(k, k), (k, k + 2), (k + 2, k), (k + 2, k + 2)] {
                fixed.0[i][j] = s;
            }
        }
        fixed.0[5][5] = length / (section.shear * section.torsion);
        let give = elastic.inverse();
        let mut all = fixed;
        for (x, w) in PLACES {
            add_give(&mut all, &give, x, w * length);
        }
        Some(Bar { length, fixed, elastic, give, stiffness: all.inverse()? })
    }

    /// The bar at given turns of its ends and stretch of its chord.
    ///
    /// Bowed, it is longer than its chord: by L/30 (2θ₁² − θ₁θ₂ + 2θ₂²) for each axis, as a cubic (Oran 1973; from memory).
    /// What the tension does through that belongs to the end moments.
    pub(crate) fn bowed(&self, v: &Six, from: &Memory, fibres: &Fibres) -> Result<Settled, Unsettled> {
        let k = self.length / 30.0;
        let mut along = *v;
        // How the stretch follows from each turn.
        let mut row = [1.0, 0.0, 0.0, 0.0, 0.0, 0.0];
        for (a, b) in [(1, 3), (2, 4)] {
            along[0] += k * (2.0 * v[a] * v[a] - v[a] * v[b] + 2.0 * v[b] * v[b]);
            row[a] = k * (4.0 * v[a] - v[b]);
            row[b] = k * (4.0 * v[b] - v[a]);
        }
        let mut s = self.at(&along, from, fibres)?;
        let tension = s.memory.forces[0];
        for (f, r) in s.forces.iter_mut().zip(row).skip(1) {
            *f += tension * r;
        }
        // Bᵀ k B with B = 1 but for its first row.
        let own = s.stiffness;
        let mut m = own;
        for i in 0..6 {
            for j in 0..6 {
                let (bi, bj) = (if i > 0 { row[i] } else { 0.0 }, if j > 0 { row[j] } else { 0.0 });
                m.0[i][j] += bi * own.0[0][j] + own.0[i][0] * bj + bi * own.0[0][0] * bj;
            }
        }
        for (a, b) in [(1, 3), (2, 4)] {
            for (i, j, c) in [(a, a, 4.0), (b, b, 4.0), (a, b, -1.0), (b, a, -1.0)] {
                m.0[i][j] += tension * k * c;
            }
        }
        s.stiffness = m;
        Ok(s)
    }

    /// The bar at given deformations, coming from what it remembers (Neuenhofer and Filippou 1997).
    fn at(&self, v: &Six, from: &Memory, fibres: &Fibres) -> Result<Settled, Unsettled> {
        if !from.yielded() {
            // As long as nothing yields it is the elastic bar.
            let forces = self.stiffness.apply(v);
            let strains = PLACES.map(|(x, _)| self.give * section_force(&forces, x));
            if strains.iter().all(|e| fibres.stays(*e)) {
                let memory = Memory { forces, strains, lasting: Vec::new() };
                return Ok(Settled { memory, forces, stiffness: self.stiffness, left: [1.0; 5] });
            }
        }
        let start = Guess { forces: from.forces, strains: from.strains };
        if let Ok(s) = self.settle(v, start, from, fibres) {
            return Ok(s);
        }
        // From nearer by: through deformations in between, each the guess for the next. Lasting strains still come from
        // what is remembered, so the result is the same.
        let before = self.deformations(from);
        for parts in [4, 16] {
            let mut guess = Guess { forces: from.forces, strains: from.strains };
            for k in 1..=parts {
                let share = f64::from(k) / f64::from(parts);
                let part: Six = std::array::from_fn(|i| before[i] + share * (v[i] - before[i]));
                match self.settle(&part, guess, from, fibres) {
                    Ok(s) if k == parts => return Ok(s),
                    Ok(s) => guess = Guess { forces: s.memory.forces, strains: s.memory.strains },
                    Err(Unsettled) => break,
                }
            }
        }
        Err(Unsettled)
    }

    /// The deformations that it remembers.
    fn deformations(&self, m: &Memory) -> Six {
        let mut v = self.fixed.apply(&m.forces);
        for ((x, w), e) in PLACES.into_iter().zip(m.strains) {
            add_strains(&mut v, e, x, w * self.length);
        }
        v
    }

    fn settle(&self, v: &Six, guess: Guess, from: &Memory, fibres: &Fibres) -> Result<Settled, Unsettled> {
        let n = fibres.fibres.len();
        let fresh;
        let old: &[f64] = if from.yielded() {
            &from.lasting
        } else {
            fresh = vec![0.0; 5 * n];
            &fresh
        };
        let Guess { forces: mut q, mut strains } = guess;
        let mut then = old.to_vec();
        let mut slopes = [self.elastic; 5];
        let mut stress = [DVec3::ZERO; 5];
        for (k, (s, slope)) in stress.iter_mut().zip(&mut slopes).enumerate() {
            let range = k * n..(k + 1) * n;
            (*s, *slope) = fibres.answer(strains[k], &old[range.clone()], &mut then[range]);
        }
        let scale = fibres.yields * fibres.yields / fibres.youngs * self.length * self.elastic.x_axis.x / fibres.youngs;
        for _ in 0..ROUNDS {
            let mut give = self.fixed;
            let mut have = self.fixed.apply(&q);
            for (k, (x, w)) in PLACES.into_iter().enumerate() {
                let f = slopes[k].inverse();
                let short = section_force(&q, x) - stress[k];
                add_give(&mut give, &f, x, w * self.length);
                add_strains(&mut have, strains[k] + f * short, x, w * self.length);
            }
            let stiffness = give.inverse().ok_or(Unsettled)?;
            let gap: Six = std::array::from_fn(|i| v[i] - have[i]);
            let change = stiffness.apply(&gap);
            for i in 0..6 {
                q[i] += change[i];
            }
            let mut open = change.iter().zip(&gap).map(|(a, b)| (a * b).abs()).sum::<f64>();
            for (k, (x, _)) in PLACES.into_iter().enumerate() {
                let short = section_force(&q, x) - stress[k];
                let step = slopes[k].inverse() * short;
                strains[k] += step;
                let range = k * n..(k + 1) * n;
                (stress[k], slopes[k]) = fibres.answer(strains[k], &old[range.clone()], &mut then[range]);
                let rest = section_force(&q, x) - stress[k];
                open += (rest.dot(slopes[k].inverse() * rest)).abs() * self.length;
            }
            if open.is_nan() {
                return Err(Unsettled);
            }
            if open <= SETTLED * scale {
                let mut give = self.fixed;
                for (k, (x, w)) in PLACES.into_iter().enumerate() {
                    add_give(&mut give, &slopes[k].inverse(), x, w * self.length);
                }
                let stiffness = give.inverse().ok_or(Unsettled)?;
                let left = std::array::from_fn(|k| {
                    let (s, e) = (&slopes[k], &self.elastic);
                    (s.y_axis.y / e.y_axis.y).min(s.z_axis.z / e.z_axis.z)
                });
                if then.iter().all(|l| *l == 0.0) {
                    then.clear();
                }
                let memory = Memory { forces: q, strains, lasting: then };
                return Ok(Settled { memory, forces: q, stiffness, left });
            }
        }
        Err(Unsettled)
    }
}

/// Where the search begins.
#[derive(Clone, Copy)]
struct Guess {
    forces: Six,
    strains: [DVec3; 5],
}
