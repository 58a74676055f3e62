//! A straight part of a beam that yields: forces in equilibrium along it, sections that follow.

use glam::{DMat4, DVec4};

use super::fibres;
use crate::model::Section;
use crate::six::{Mat6, Six};

/// How many places along a bar have their section worked out.
pub(crate) const SECTIONS: usize = 7;

/// Places along the bar, from 0 to 1, and their weights: Gauss and Lobatto's seven, exact for polynomials to degree eleven,
/// with both ends among them, where moments are largest.
const PLACES: [(f64, f64); SECTIONS] = [
    (0.0, 1.0 / 42.0),
    (0.084_888_051_860_716_54, 0.138_413_023_680_782_97),
    (0.265_575_603_264_642_9, 0.215_872_690_604_931_3),
    (0.5, 128.0 / 525.0),
    (0.734_424_396_735_357_1, 0.215_872_690_604_931_3),
    (0.915_111_948_139_283_5, 0.138_413_023_680_782_97),
    (1.0, 1.0 / 42.0),
];

/// The bar's own forces have settled when what its sections' strains fall short of the given deformations, times the
/// force's change, is under this part of its elastic energy at yielding.
const SETTLED: f64 = 1e-12;

/// Most rounds in settling them.
const ROUNDS: usize = 60;

/// A step ends where the work falls no faster, and rises no faster, than this part of how it fell at first.
const NEAR: f64 = 0.5;

/// Most halvings to find such a place.
const HALVINGS: usize = 40;

/// What a bar remembers.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Memory {
    /// Own forces: tension; moments at the start about u, v; at the end about u, v; torque.
    pub forces: Six,
    /// Axial strain, curvatures about u and v, and twist of each section.
    pub strains: [DVec4; SECTIONS],
    /// Lasting strains of each fibre of each section, one section after the other; none as long as nothing has yielded.
    pub lasting: Vec<f64>,
    /// Which sections have any.
    flowed: [bool; SECTIONS],
}

impl Memory {
    /// Nothing yet.
    pub const FRESH: Memory =
        Memory { forces: [0.0; 6], strains: [DVec4::ZERO; SECTIONS], lasting: Vec::new(), flowed: [false; SECTIONS] };

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
    pub left: [f64; SECTIONS],
}

/// The rounds did not settle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Unsettled;

/// What does not change.
#[derive(Clone, Debug)]
pub(crate) struct Bar {
    pub length: f64,
    /// Give of shear, which stays elastic.
    fixed: Mat6,
    stiffness: Mat6,
}

/// From the bar's own forces to a section's axial force, moments about u and v, and torque.
fn section_force(q: &Six, x: f64) -> DVec4 {
    DVec4::new(q[0], -q[1] * (1.0 - x) + q[3] * x, -q[2] * (1.0 - x) + q[4] * x, q[5])
}

/// Adds a section's give, times a weight, to the bar's.
fn add_give(f: &mut Mat6, give: &DMat4, x: f64, w: f64) {
    // Rows of the transposed interpolation: own force -> (axial, about u, about v, torque).
    let b: [[f64; 4]; 6] = [
        [1.0, 0.0, 0.0, 0.0],
        [0.0, x - 1.0, 0.0, 0.0],
        [0.0, 0.0, x - 1.0, 0.0],
        [0.0, x, 0.0, 0.0],
        [0.0, 0.0, x, 0.0],
        [0.0, 0.0, 0.0, 1.0],
    ];
    for (to, row) in f.0.iter_mut().zip(b) {
        let g = *give * DVec4::from(row);
        for (to, other) in to.iter_mut().zip(b) {
            *to += w * g.dot(DVec4::from(other));
        }
    }
}

/// A section's strains as deformations of the bar, times a weight.
fn add_strains(v: &mut Six, e: DVec4, x: f64, w: f64) {
    v[0] += w * e.x;
    v[1] += w * (x - 1.0) * e.y;
    v[2] += w * (x - 1.0) * e.z;
    v[3] += w * x * e.y;
    v[4] += w * x * e.z;
    v[5] += w * e.w;
}

impl Bar {
    pub(crate) fn new(length: f64, section: &Section, fibres: &fibres::Section) -> Option<Bar> {
        let mut fixed = Mat6::ZERO;
        // Shear along v comes from moments about u, and the other way round.
        for (k, area) in [(1, section.shear_areas[1]), (2, section.shear_areas[0])] {
            let s = (length * section.shear * area).recip();
            for (i, j) in [(k, k), (k, k + 2), (k + 2, k), (k + 2, k + 2)] {
                fixed.0[i][j] = s;
            }
        }
        let mut all = fixed;
        for (x, w) in PLACES {
            add_give(&mut all, &fibres.give, x, w * length);
        }
        Some(Bar { length, fixed, stiffness: all.inverse()? })
    }

    /// The bar at given turns of its ends and stretch of its chord.
    ///
    /// Bowed, it is longer than its chord: by L/30 (2θ₁² − θ₁θ₂ + 2θ₂²) for each axis, as a cubic (Oran 1973; from memory).
    /// What the tension does through that belongs to the end moments.
    pub(crate) fn bowed(
        &self,
        v: &Six,
        from: &Memory,
        guess: &Memory,
        fibres: &fibres::Section,
    ) -> Result<Settled, Unsettled> {
        let k = self.length / 30.0;
        let mut along = *v;
        // How the stretch follows from each turn.
        let mut row = [1.0, 0.0, 0.0, 0.0, 0.0, 0.0];
        for (a, b) in [(1, 3), (2, 4)] {
            along[0] += k * (2.0 * v[a] * v[a] - v[a] * v[b] + 2.0 * v[b] * v[b]);
            row[a] = k * (4.0 * v[a] - v[b]);
            row[b] = k * (4.0 * v[b] - v[a]);
        }
        let mut s = self.at(&along, from, guess, fibres)?;
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

    /// The bar at given deformations, coming from what it remembers; `guess` is where it is looked for first.
    ///
    /// Its sections' strains make the work put in least among all that go with the deformations: their forces are then in
    /// balance along it. Newton's steps keep to the deformations, and are shortened where they go past the least: the work
    /// is convex, so that this ends (a force-based element, as Neuenhofer and Filippou 1997, made sure of).
    fn at(&self, v: &Six, from: &Memory, guess: &Memory, fibres: &fibres::Section) -> Result<Settled, Unsettled> {
        if !from.yielded() {
            // As long as nothing yields it is the elastic bar.
            let forces = self.stiffness.apply(v);
            let strains = PLACES.map(|(x, _)| fibres.give * section_force(&forces, x));
            if strains.iter().all(|e| fibres.stays(*e)) {
                let memory = Memory { forces, strains, ..Memory::FRESH };
                return Ok(Settled { memory, forces, stiffness: self.stiffness, left: [1.0; SECTIONS] });
            }
        }
        let n = fibres.memory();
        let fresh;
        let old: &[f64] = if from.yielded() {
            &from.lasting
        } else {
            fresh = vec![0.0; SECTIONS * n];
            &fresh
        };
        let mut then = old.to_vec();
        let mut written = [false; SECTIONS];
        let mut answer = |strains: &[DVec4; SECTIONS], then: &mut [f64]| {
            let mut stress = [DVec4::ZERO; SECTIONS];
            let mut slopes = [DMat4::ZERO; SECTIONS];
            for k in 0..SECTIONS {
                let range = k * n..(k + 1) * n;
                if !from.flowed[k] && fibres.stays(strains[k]) {
                    (stress[k], slopes[k]) = (fibres.elastic * strains[k], fibres.elastic);
                    if std::mem::take(&mut written[k]) {
                        then[range].fill(0.0);
                    }
                } else {
                    written[k] = true;
                    (stress[k], slopes[k]) = fibres.answer(strains[k], &old[range.clone()], &mut then[range]);
                }
            }
            (stress, slopes)
        };
        // From the guess to the new deformations, elastically. What shears carries `aside`.
        let mut have = self.fixed.apply(&guess.forces);
        for ((x, w), e) in PLACES.into_iter().zip(guess.strains) {
            add_strains(&mut have, e, x, w * self.length);
        }
        let more = self.stiffness.apply(&std::array::from_fn(|i| v[i] - have[i]));
        let mut aside: Six = std::array::from_fn(|i| guess.forces[i] + more[i]);
        let mut strains = guess.strains;
        for ((x, _), e) in PLACES.into_iter().zip(&mut strains) {
            *e += fibres.give * section_force(&more, x);
        }
        let (mut stress, mut slopes) = answer(&strains, &mut then);
        let scale =
            fibres.yields * fibres.yields / fibres.youngs * self.length * fibres.elastic.x_axis.x / fibres.youngs;
        for _ in 0..ROUNDS {
            let gives = slopes.map(|s| s.inverse());
            let mut give = self.fixed;
            let mut rest = *v;
            for (k, (x, w)) in PLACES.into_iter().enumerate() {
                add_give(&mut give, &gives[k], x, w * self.length);
                add_strains(&mut rest, gives[k] * stress[k] - strains[k], x, w * self.length);
            }
            let stiffness = give.inverse().ok_or(Unsettled)?;
            let q = stiffness.apply(&rest);
            let step: [DVec4; SECTIONS] =
                std::array::from_fn(|k| gives[k] * (section_force(&q, PLACES[k].0) - stress[k]));
            let turn: Six = std::array::from_fn(|i| q[i] - aside[i]);
            // How the work falls along the step, at a part of it.
            let fall = |stress: &[DVec4; SECTIONS], part: f64| {
                let at: Six = std::array::from_fn(|i| aside[i] + part * turn[i]);
                let shear: f64 = self.fixed.apply(&at).iter().zip(&turn).map(|(a, b)| a * b).sum();
                let bend: f64 = (0..SECTIONS).map(|k| PLACES[k].1 * self.length * stress[k].dot(step[k])).sum();
                -(shear + bend)
            };
            let first = fall(&stress, 0.0);
            if first.is_nan() {
                return Err(Unsettled);
            }
            if first <= SETTLED * scale {
                let left = std::array::from_fn(|k| {
                    let (s, e) = (&slopes[k], &fibres.elastic);
                    (s.y_axis.y / e.y_axis.y).min(s.z_axis.z / e.z_axis.z)
                });
                let flowed = std::array::from_fn(|k| then[k * n..(k + 1) * n].iter().any(|l| *l != 0.0));
                if flowed == [false; SECTIONS] {
                    then.clear();
                }
                let memory = Memory { forces: q, strains, lasting: then, flowed };
                return Ok(Settled { memory, forces: q, stiffness, left });
            }
            // The whole step, or where the work stops falling, near enough.
            let (mut part, mut low, mut high) = (1.0, 0.0, 1.0);
            for _ in 0..HALVINGS {
                let moved = std::array::from_fn(|k| strains[k] + step[k] * part);
                let (s, k) = answer(&moved, &mut then);
                let here = fall(&s, part);
                if here >= -NEAR * first && (here <= NEAR * first || part == 1.0) {
                    (stress, slopes) = (s, k);
                    break;
                }
                if here < 0.0 {
                    high = part;
                } else {
                    low = part;
                }
                part = 0.5 * (low + high);
                (stress, slopes) = (s, k);
            }
            let moved: [DVec4; SECTIONS] = std::array::from_fn(|k| strains[k] + step[k] * part);
            if part != 1.0 {
                (stress, slopes) = answer(&moved, &mut then);
            }
            strains = moved;
            aside = std::array::from_fn(|i| aside[i] + part * turn[i]);
        }
        Err(Unsettled)
    }
}
