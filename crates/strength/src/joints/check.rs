//! From a node to its reports.

use serde::Serialize;

use super::classify::{Plan, Plane};
use super::range::NotChecked;
use super::weld::throat;
use super::{Bending, Checked, Hollow, Node, Report, Resistance, chs, range, rhs};

/// What the standard leaves to be chosen.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Rules {
    /// Partial factor of joints, γ_M5 (EN 1993-1-8, table 2.1: 1.0).
    pub gamma_joint: f64,
    /// Partial factor of welds, γ_M2 (same: 1.25).
    pub gamma_weld: f64,
    /// Thinnest wall that counts, m: 2.5 mm (EN 1993-1-8:2005, 7.1.1). Newer editions take 1.5 mm (from memory).
    pub least_wall: f64,
}

impl Default for Rules {
    fn default() -> Rules {
        Rules { gamma_joint: 1.0, gamma_weld: 1.25, least_wall: 2.5e-3 }
    }
}
/// A moment under this part of f_y W of the brace may be left out if no formula covers it: our own limit.
pub const SMALL_MOMENT: f64 = 0.01;

/// What other formulas than those of one geometry need: the joint as the tables see it.
pub(super) struct Look {
    /// The chord, turned to the brace's plane.
    pub chord: Hollow,
    /// Stress of the chord without the braces, pressed positive, as a part of f_y: n_p.
    pub others: f64,
    /// Stress of the chord on its worse side, the same way: n.
    pub all: f64,
    /// 0.9 for steels over 355 MPa, with the partial factor.
    pub factor: f64,
}

/// Checks every brace of a node; the reports come in the braces' order.
pub fn check(node: &Node, rules: &Rules) -> Vec<Report> {
    Prepared::new(node, rules).check(node, rules)
}

/// What of a node's check does not depend on the forces.
pub struct Prepared {
    /// Sides, gaps and planes, or for each brace why it is not checked whatever the forces.
    plan: Result<Plan, Vec<NotChecked>>,
}

impl Prepared {
    /// For a node as it stands; its forces are not looked at but for being numbers.
    pub fn new(node: &Node, rules: &Rules) -> Prepared {
        let plan = ranges(node, rules).and_then(|()| Plan::new(node).map_err(|e| vec![e; node.braces.len()]));
        Prepared { plan }
    }

    /// For each brace why it is not checked, if that is so whatever the forces.
    pub fn refused(&self) -> Option<&[NotChecked]> {
        self.plan.as_ref().err().map(Vec::as_slice)
    }

    /// Checks the node that it was made from, under forces.
    pub fn check(&self, node: &Node, rules: &Rules) -> Vec<Report> {
        let outcomes = match &self.plan {
            Ok(plan) => outcomes(node, rules, plan),
            Err(all) => all.iter().map(|e| Err(e.clone())).collect(),
        };
        node.braces
            .iter()
            .zip(outcomes)
            .map(|(b, outcome)| Report { brace: b.name.clone(), outcome, weld: throat(b, &node.chord.section, rules) })
            .collect()
    }
}

/// The ranges of each tube by itself; if one is out, why each brace is not checked.
fn ranges(node: &Node, rules: &Rules) -> Result<(), Vec<NotChecked>> {
    range::chord(&node.chord, rules).map_err(|e| vec![e; node.braces.len()])?;
    let own: Vec<Result<(), NotChecked>> =
        node.braces.iter().map(|b| range::brace(b, &node.chord.section, rules)).collect();
    let bad = node.braces.iter().zip(&own).find_map(|(b, r)| r.as_ref().err().map(|e| (b, e.clone())));
    match bad {
        None => Ok(()),
        Some((other, e)) => {
            Err(own.into_iter().map(|r| r.err().unwrap_or_else(|| e.because_of(&other.name))).collect())
        }
    }
}

fn outcomes(node: &Node, rules: &Rules, plan: &Plan) -> Vec<Result<Checked, NotChecked>> {
    // Some walls must be thicker if they are pressed.
    if let Err(all) = ranges(node, rules) {
        return all.into_iter().map(Err).collect();
    }
    let n = node.braces.len();
    let out: Vec<Result<Checked, NotChecked>> = (0..n).map(|i| one(node, rules, plan, i)).collect();
    // What does not hold for one brace does not for the others of its plane: their balance rests on it.
    let because = |i: usize| {
        let mut beside = plan.plane_of(i).sides.iter().flat_map(|&s| &plan.sides[s].braces);
        beside.find_map(|&j| out[j].as_ref().err().map(|e| e.because_of(&node.braces[j].name)))
    };
    let others: Vec<Option<NotChecked>> = (0..n).map(|i| out[i].as_ref().ok().and_then(|_| because(i))).collect();
    out.into_iter().zip(others).map(|(r, e)| e.map_or(r, Err)).collect()
}

/// Chord stresses as the tables want them, pressed positive, parts of f_y.
fn look(node: &Node, rules: &Rules, azimuth: f64) -> Look {
    let c = &node.chord;
    let s = &c.section;
    let fy = s.steel.yield_strength;
    let tensions = [-c.before[0], c.after[0]];
    let bending = c.bending.map(|m| s.bending(m));
    let others = bending[0].max(bending[1]) - tensions[0].max(tensions[1]) / s.area;
    let all = (0..2).map(|k| bending[k] - tensions[k] / s.area).fold(f64::NEG_INFINITY, f64::max);
    let chord = s.seen(azimuth);
    let strong = node.braces.iter().map(|b| b.section.steel.yield_strength).fold(fy, f64::max);
    let factor = if strong > range::ORDINARY { 0.9 } else { 1.0 } / rules.gamma_joint;
    Look { chord, others: others / fy / rules.gamma_joint, all: all / fy / rules.gamma_joint, factor }
}

pub(super) fn least(modes: &[Resistance]) -> Option<Resistance> {
    modes.iter().copied().min_by(|a, b| a.value.total_cmp(&b.value))
}

fn one(node: &Node, rules: &Rules, plan: &Plan, i: usize) -> Result<Checked, NotChecked> {
    let b = &node.braces[i];
    let plane: &Plane = plan.plane_of(i);
    let side = plan.side_of(i);
    let look = look(node, rules, side.azimuth);
    let shares = plan.shares(node, i);
    let round = look.chord.round();
    let (symbol, stress) = if round { ("n_p", look.others) } else { ("n", look.all) };
    range::ratio(symbol, &node.chord.name, "EN 1993-1-8, 7.2.1").hold(stress, None, Some(1.0))?;
    let tables = if round { chs::parts } else { rhs::parts };
    let mut parts = tables(&look, node, side, i, &shares)?;
    let planes = plan.planes(node, round)?;
    for p in &mut parts {
        for m in p.modes.iter_mut().chain([&mut p.governing]) {
            m.value *= planes;
        }
        p.utilisation /= planes;
    }
    let axial: f64 = parts.iter().map(|p| p.utilisation).sum();
    let moments = [b.in_plane.abs(), b.out_of_plane.abs()];
    let modes = if round { chs::moments(&look, b) } else { rhs::moments(&look, b, &shares) };
    let bending = |modes: Result<Vec<Resistance>, NotChecked>, moment| {
        let governing = modes.as_ref().ok().and_then(|m| least(m));
        Bending { moment, modes, governing }
    };
    let [ip, op] = modes;
    let (in_plane, out_of_plane) = (bending(ip, moments[0]), bending(op, moments[1]));
    let chord = plan.chord_use(node, &look, plane, side, &shares);
    // How much of the use a moment brings; nothing can be said of one that no formula covers.
    let share = |m: &Bending, k: usize| match m.governing {
        Some(r) => Some(m.moment / r.value),
        None => (m.moment <= SMALL_MOMENT * b.section.steel.yield_strength * b.section.elastic[k]).then_some(0.0),
    };
    let whole = match (share(&in_plane, 0), share(&out_of_plane, 1)) {
        (Some(ip), Some(op)) => Some(axial + if round { ip * ip } else { ip } + op),
        _ => None,
    };
    let utilisation = whole.map(|u| u.max(chord.unwrap_or(0.0)));
    Ok(Checked { parts, planes, axial, in_plane, out_of_plane, chord, utilisation })
}
