//! Vibration and linear buckling.

use geometry::DVec3;

use crate::eigen::{Operator, largest};
use crate::factor::{Factor, NoFactor};
use crate::field;
use crate::linear::{Frame, FrameError, HeldError, Response, add};
use crate::model::{Hold, Loads, Model};
use crate::pattern::Pattern;
use crate::six::{Mat6, Six};
use crate::supports::{HoldError, Supports, get};

/// A way to vibrate, or to buckle.
#[derive(Clone, Debug, PartialEq)]
pub struct Mode {
    /// Frequency, Hz; of buckling, what the loads must be multiplied with.
    pub value: f64,
    /// How the nodes move; the largest displacement is 1 m.
    pub motions: Vec<Six>,
    /// Each beam's share of the energy of its deformation.
    pub shares: Vec<f64>,
}

/// Buckling under a set of loads.
#[derive(Clone, Debug)]
pub struct Buckling {
    /// The frame under the loads as they are.
    pub response: Response,
    /// The least factors first; only positive ones. Empty if nothing is pressed, or nothing buckles.
    pub modes: Vec<Mode>,
}

/// Why there are no modes.
#[derive(Clone, Debug, PartialEq)]
pub enum ModesError {
    /// The frame or what holds it.
    Held(HeldError),
    /// A count by pivots found this many under the highest, where the search found fewer: the second number.
    Missed(usize, usize),
}

impl From<FrameError> for ModesError {
    fn from(e: FrameError) -> ModesError {
        ModesError::Held(HeldError::Frame(e))
    }
}

impl From<HoldError> for ModesError {
    fn from(e: HoldError) -> ModesError {
        ModesError::Held(HeldError::Hold(e))
    }
}

/// A matrix on a pattern times a vector.
fn times(pattern: &Pattern, values: &[f64], v: &[f64]) -> Vec<f64> {
    let (starts, rows) = (pattern.columns.col_ptr(), pattern.columns.row_idx());
    let mut out = vec![0.0; v.len()];
    for j in 0..v.len() {
        let column = starts[j] as usize..starts[j + 1] as usize;
        let mut sum = 0.0;
        for k in column {
            let i = rows[k] as usize;
            if i == j {
                sum += values[k] * v[j];
            } else {
                out[i] += values[k] * v[j];
                sum += values[k] * v[i];
            }
        }
        out[j] += sum;
    }
    out
}

/// (K + σ metric)⁻¹ B in the inner product of the metric.
struct Inverse<'a> {
    pattern: &'a Pattern,
    factor: &'a Factor,
    /// B.
    right: &'a [f64],
    metric: &'a [f64],
    held: Vec<bool>,
}

impl Operator for Inverse<'_> {
    fn size(&self) -> usize {
        self.pattern.size
    }

    fn apply(&self, v: &[f64]) -> Vec<f64> {
        let mut w = times(self.pattern, self.right, v);
        for (x, h) in w.iter_mut().zip(&self.held) {
            if *h {
                *x = 0.0;
            }
        }
        // Out of memory leaves a vector that is not of finite length, with which the search ends.
        if self.factor.solve(&mut w).is_err() {
            w.fill(f64::NAN);
        }
        w
    }

    fn metric(&self, v: &[f64]) -> Vec<f64> {
        times(self.pattern, self.metric, v)
    }
}

/// A frame ready for modes: its pattern joins what masses join.
struct Ready {
    frame: Frame,
    supports: Supports,
    held: Vec<bool>,
    stiffness: Vec<f64>,
    /// Number of rigid motions that nothing stops.
    loose: usize,
}

fn ready(model: Model, holds: &[Hold], may_be_loose: bool) -> Result<Ready, ModesError> {
    let frame = Frame::with_lumps(model)?;
    let still: Vec<Hold> = holds.iter().map(|h| Hold { by: 0.0, ..*h }).collect();
    let (supports, loose) = Supports::held(&frame.model, &still)?;
    if !may_be_loose && !loose.is_empty() {
        return Err(HoldError::Loose(loose).into());
    }
    let mut held = vec![false; frame.pattern.size];
    for &(i, _) in &supports.held {
        held[i] = true;
    }
    let mut stiffness = frame.assemble(&supports, |i| frame.elements[i].blocks());
    frame.take_out(&mut stiffness, &supports);
    Ok(Ready { frame, supports, held, stiffness, loose: loose.iter().map(|l| l.ways.len()).sum() })
}

/// Zero where a row or column is held.
fn clear(pattern: &Pattern, values: &mut [f64], held: &[bool]) {
    let (starts, rows) = (pattern.columns.col_ptr(), pattern.columns.row_idx());
    for j in 0..held.len() {
        for k in starts[j] as usize..starts[j + 1] as usize {
            if held[j] || held[rows[k] as usize] {
                values[k] = 0.0;
            }
        }
    }
}

impl Ready {
    fn factor(&self, shift: f64, other: &[f64]) -> Result<Factor, ModesError> {
        let values: Vec<f64> = self.stiffness.iter().zip(other).map(|(k, m)| k + shift * m).collect();
        Factor::new(&self.frame.pattern, &values).map_err(|e| {
            ModesError::from(match e {
                NoFactor::Singular => FrameError::Singular,
                NoFactor::TooLarge => FrameError::TooLarge,
            })
        })
    }

    /// How many eigenvalues of K x = λ (−other) x, or of the pair at a negative shift, lie under it: negative pivots.
    fn count(&self, shift: f64, other: &[f64]) -> Result<usize, ModesError> {
        Ok(self.factor(shift, other)?.pivots().iter().filter(|p| **p < 0.0).count())
    }

    fn mode(&self, value: f64, mut v: Vec<f64>) -> Mode {
        self.supports.to_frame(&mut v);
        let most = v.chunks_exact(6).map(|c| DVec3::new(c[0], c[1], c[2]).length()).fold(0.0, f64::max);
        let scale = if most > 0.0 { most.recip() } else { 1.0 };
        v.iter_mut().for_each(|x| *x *= scale);
        let motions: Vec<Six> = (0..self.frame.model.nodes.len()).map(|n| get(&v, n)).collect();
        let energies = self.frame.energies(&motions);
        let whole: f64 = energies.iter().sum();
        let shares = energies.iter().map(|e| if whole > 0.0 { e / whole } else { 0.0 }).collect();
        Mode { value, motions, shares }
    }
}

/// How far over the highest value found the count is taken: clear of it by more than rounding.
const OVER: f64 = 1e-6;

/// The lowest `count` natural frequencies. Every beam has one piece: see [`Model::refined`]. A frame that is not wholly held
/// may float: what floats has frequencies of (nearly) zero.
pub fn vibration(model: Model, holds: &[Hold], count: usize) -> Result<Vec<Mode>, ModesError> {
    let r = ready(model, holds, true)?;
    let f = &r.frame;
    let mut mass = f.assemble(&r.supports, |i| field::mass(&f.model, &f.model.beams[i], &f.elements[i]));
    for ((lump, shares), places) in f.model.lumps.iter().zip(&f.shares).zip(&f.pattern.lumps) {
        let own = Mat6::blocks(
            geometry::DMat3::IDENTITY * lump.mass,
            geometry::DMat3::ZERO,
            geometry::DMat3::ZERO,
            lump.inertia,
        );
        let pairs = shares.iter().enumerate().flat_map(|(i, a)| shares[i..].iter().map(move |b| (a, b)));
        for ((a, b), place) in pairs.zip(places) {
            // The lump moves by the transposes of the shares.
            let mut m = a.1.times(&own).times(&b.1.transpose());
            r.supports.turn_block(a.0, b.0, &mut m);
            add(&mut mass, place, &m);
        }
    }
    clear(&f.pattern, &mut mass, &r.held);
    let find = |shift: f64, count: usize| -> Result<_, ModesError> {
        let factor = r.factor(shift, &mass)?;
        let op = Inverse { pattern: &f.pattern, factor: &factor, right: &mass, metric: &mass, held: r.held.clone() };
        Ok(largest(&op, count))
    };
    // What floats makes K singular: then look from under zero. First from near it, to see how high the first vibration is;
    // then from as far below as that is above, so that rigid motions do not drown the rest.
    let mut shift = 0.0;
    if r.loose > 0 {
        let diagonal = |v: &[f64]| f.pattern.diagonal.iter().map(|&d| v[d]).sum::<f64>();
        let near = 1e-9 * diagonal(&r.stiffness) / diagonal(&mass).max(f64::MIN_POSITIVE);
        let low = find(near, r.loose + 1)?;
        shift = low.values.last().map_or(near, |t| (t.recip() - near).max(near));
    }
    let pairs = find(shift, count)?;
    let squares: Vec<f64> = pairs.values.iter().map(|t| t.recip() - shift).collect();
    if let Some(&top) = squares.last() {
        let under = r.count(-(top * (1.0 + OVER) + shift * OVER), &mass)?;
        // More than were found may lie in the gap, if equal ones go on past the last.
        let here = squares.iter().filter(|s| **s < top * (1.0 - OVER)).count();
        let below = r.count(-(top * (1.0 - OVER) - shift * OVER), &mass)?;
        if below != here || under < squares.len() {
            return Err(ModesError::Missed(below, here));
        }
    }
    let hz = |s: f64| s.max(0.0).sqrt() / std::f64::consts::TAU;
    Ok(squares.into_iter().zip(pairs.vectors).map(|(s, v)| r.mode(hz(s), v)).collect())
}

/// The `count` least factors at which the frame buckles under these loads. Every beam has one piece: see
/// [`Model::refined`].
pub fn buckling(model: Model, holds: &[Hold], loads: &Loads, count: usize) -> Result<Buckling, ModesError> {
    buckling_staying(model, holds, holds, loads, count)
}

/// As [`buckling`], for a frame whose loads are balanced without what holds it: `holds` stop it from drifting under the loads,
/// `stays` is what stays where it is while it buckles.
pub fn buckling_staying(
    model: Model,
    holds: &[Hold],
    stays: &[Hold],
    loads: &Loads,
    count: usize,
) -> Result<Buckling, ModesError> {
    let statics = Frame::new(model)?;
    let response = {
        let held = statics.held(holds).map_err(ModesError::Held)?;
        held.solve(std::slice::from_ref(loads))?.remove(0)
    };
    let r = ready(statics.model, stays, false)?;
    let f = &r.frame;
    let mut geometric = f.assemble(&r.supports, |i| {
        let b = &f.model.beams[i];
        let (end, force) = (b.end(), crate::six::first(&response.end_forces[i]));
        let q = response.spread[i];
        // Along a beam of one piece the load grows evenly with the length that is still ahead.
        let length = b.length();
        let chord = (end - b.start()) / length.max(f64::MIN_POSITIVE);
        field::geometric(&f.model, b, &f.elements[i], |at| {
            let ahead = (end - at.origin).dot(chord).clamp(0.0, length);
            (force + q * ahead).dot(at.t)
        })
    });
    clear(&f.pattern, &mut geometric, &r.held);
    let pressed: Vec<f64> = geometric.iter().map(|x| -x).collect();
    let factor = r.factor(0.0, &geometric)?;
    let op =
        Inverse { pattern: &f.pattern, factor: &factor, right: &pressed, metric: &r.stiffness, held: r.held.clone() };
    let pairs = largest(&op, count);
    let factors: Vec<f64> = pairs.values.iter().map(|t| t.recip()).collect();
    if let Some(&top) = factors.last() {
        let here = factors.iter().filter(|s| **s < top * (1.0 - OVER)).count();
        let below = r.count(top * (1.0 - OVER), &geometric)?;
        if below != here {
            return Err(ModesError::Missed(below, here));
        }
    }
    let modes = factors.into_iter().zip(pairs.vectors).map(|(s, v)| r.mode(s, v)).collect();
    Ok(Buckling { response, modes })
}
