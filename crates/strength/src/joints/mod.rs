//! Does the wall hold where a tube is welded on another? Resistances of welded joints of hollow sections by the formulas of
//! EN 1993-1-8:2005, section 7 (from memory; `docs/methods/joints.md` has them, their ranges and what is left out).
//!
//! [`check`] is a pure function of a [`Node`]: a chord and its braces as plain numbers. [`groups`] and [`node`] make nodes from
//! a shape and the forces in it.

mod chs;
mod classify;
mod place;
mod planes;
mod range;
mod rhs;
mod weld;

pub use place::{Ends, Pull, groups, node, pulls};
pub use range::{NotChecked, Range, Unit};
pub use weld::{Throat, correlation, fillet_strength, full_strength, throat};

use serde::Serialize;

use classify::{Plan, Plane};

/// Outline of a hollow section, m.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "form", rename_all = "lowercase")]
pub enum Form {
    /// Round.
    Round {
        /// Outside diameter.
        od: f64,
    },
    /// Square or rectangular.
    Box {
        /// Across the plane of chord and brace (a chord: across the plane of azimuth 0): b.
        across: f64,
        /// In that plane: h.
        depth: f64,
    },
}

/// What a tube is made of.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Steel {
    /// Yield strength, Pa.
    pub yield_strength: f64,
    /// Tensile strength, Pa.
    pub tensile_strength: f64,
    /// Young's modulus, Pa.
    pub youngs: f64,
    /// Elongation at break, if it is known.
    pub elongation: Option<f64>,
}

/// A hollow section, as it lies at the joint.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Hollow {
    /// Outline.
    pub form: Form,
    /// Wall, m.
    pub wall: f64,
    /// Area, m².
    pub area: f64,
    /// Elastic moduli for bending in the plane of chord and brace, and across it (a chord: in the planes of azimuth 0 and of a
    /// right angle), m³.
    pub elastic: [f64; 2],
    /// Plastic moduli, in the same order, m³.
    pub plastic: [f64; 2],
    /// Torsion modulus, m³.
    pub twist: f64,
    /// Steel.
    pub steel: Steel,
}

impl Hollow {
    /// Whether it is round.
    pub fn round(&self) -> bool {
        matches!(self.form, Form::Round { .. })
    }

    /// Extent across the plane: d or b.
    pub fn across(&self) -> f64 {
        match self.form {
            Form::Round { od } => od,
            Form::Box { across, .. } => across,
        }
    }

    /// Extent in the plane: d or h.
    pub fn depth(&self) -> f64 {
        match self.form {
            Form::Round { od } => od,
            Form::Box { depth, .. } => depth,
        }
    }

    /// As it lies to a plane at an azimuth: a box is turned by a right angle if that is nearer.
    fn seen(mut self, azimuth: f64) -> Hollow {
        if self.round() || azimuth.sin().abs() < azimuth.cos().abs() {
            return self;
        }
        if let Form::Box { across, depth } = self.form {
            self.form = Form::Box { across: depth, depth: across };
        }
        self.elastic.reverse();
        self.plastic.reverse();
        self
    }

    /// Largest stress of a shear force: round exactly for a thin wall, a box as the mean over its shorter walls, Pa.
    fn sheared(&self, v: f64) -> f64 {
        match self.form {
            Form::Round { .. } => 2.0 * v.abs() / self.area,
            Form::Box { across, depth } => v.abs() * (across + depth) / (across.min(depth) * self.area),
        }
    }

    /// Largest stress of bending moments in and across the plane, Pa.
    fn bending(&self, m: [f64; 2]) -> f64 {
        if self.round() {
            m[0].hypot(m[1]) / self.elastic[0]
        } else {
            m[0].abs() / self.elastic[0] + m[1].abs() / self.elastic[1]
        }
    }
}

/// The tube that passes, and what its two sides do to the joint.
///
/// Its own directions: t along it, u towards azimuth 0, v = t × u towards azimuth 90°.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Chord {
    /// Its name.
    pub name: String,
    /// Section.
    pub section: Hollow,
    /// Force of the chord's length before the joint (t points away from it) on the joint, along t, u, v, N.
    pub before: [f64; 3],
    /// The same of the length after it.
    pub after: [f64; 3],
    /// Bending moments on both sides, in the planes of azimuth 0 and 90°, N m. Only their sizes count.
    pub bending: [[f64; 2]; 2],
}

/// A tube that ends on the chord.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Brace {
    /// Its name.
    pub name: String,
    /// Section, as it lies to the plane of chord and brace.
    pub section: Hollow,
    /// Angle from the chord's t to the brace, away from the joint, 0 to π.
    pub angle: f64,
    /// Where round the chord it stands, from u towards v, rad.
    pub azimuth: f64,
    /// Where along the chord the axes pass each other, m.
    pub station: f64,
    /// By how much they miss each other there, m.
    pub aside: f64,
    /// By how much a box stands askew to the plane, rad; 0 for round.
    pub skew: f64,
    /// Tension, N.
    pub tension: f64,
    /// Bending moment in the plane at the chord's surface, N m.
    pub in_plane: f64,
    /// Bending moment across the plane there, N m.
    pub out_of_plane: f64,
    /// Torque, N m. No formula of joints has it; the weld does.
    pub torque: f64,
    /// Shear, whole, N. No formula of joints has it; the weld does.
    pub shear: f64,
}

impl Brace {
    /// The acute angle θ between the axes.
    pub fn theta(&self) -> f64 {
        self.angle.min(std::f64::consts::PI - self.angle)
    }

    /// Force square to the chord, away from it positive, N.
    fn normal(&self) -> f64 {
        self.tension * self.angle.sin()
    }
}

/// A chord and the braces that stand on it near each other.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Node {
    /// The chord.
    pub chord: Chord,
    /// The braces.
    pub braces: Vec<Brace>,
}

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

/// How a brace's force is passed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub enum Kind {
    /// Square on the chord, which carries the force away as a beam.
    T,
    /// The same, inclined.
    Y,
    /// Through the chord, to braces on its other side.
    X,
    /// To a brace on the same side.
    K,
    /// The same, one of the two stands square on the chord.
    N,
    /// To or from two others on the same side.
    KT,
}

/// How a joint fails.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mode {
    /// The chord's face, or the whole round chord, is bent through.
    ChordFace,
    /// A box chord's side walls yield or buckle.
    SideWalls,
    /// The chord is sheared.
    ChordShear,
    /// The brace tears a piece out of the chord's wall.
    Punching,
    /// The brace fails at the weld, where the chord's face is too soft to load all of it.
    Brace,
    /// A box chord is racked out of square.
    Distortion,
}

/// What one mode of failure bears, N or N m.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Resistance {
    /// How it would fail.
    pub mode: Mode,
    /// Force along the brace, or moment.
    pub value: f64,
}

/// One way in which a brace's force is passed on, and what that bears.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Part {
    /// Which.
    pub kind: Kind,
    /// Force along the brace that counts, N: what its neighbours share is in it.
    pub force: f64,
    /// Each mode's resistance.
    pub modes: Vec<Resistance>,
    /// The least.
    pub governing: Resistance,
    /// Force ÷ the least resistance.
    pub utilisation: f64,
}

/// A bending moment at the brace's end.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Bending {
    /// N m, without sign.
    pub moment: f64,
    /// Each mode's resistance, or why there is none.
    pub modes: Result<Vec<Resistance>, NotChecked>,
    /// The least.
    pub governing: Option<Resistance>,
}

/// A brace that was checked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Checked {
    /// How its force is passed on: more than one if the force splits.
    pub parts: Vec<Part>,
    /// Factor on the parts' resistances for braces in another plane; it is in them.
    pub planes: f64,
    /// Use by the force alone.
    pub axial: f64,
    /// Moment in the plane of chord and brace.
    pub in_plane: Bending,
    /// Moment across it.
    pub out_of_plane: Bending,
    /// Use of the chord itself between the braces, where the tables want that.
    pub chord: Option<f64>,
    /// Use of the whole: force and moments by the standard's formula, or the chord if that is more. `None` if a moment that
    /// matters is covered by no formula.
    pub utilisation: Option<f64>,
}

/// What was found for a brace.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Report {
    /// Its name.
    pub brace: String,
    /// Resistance and use, or why there is none.
    pub outcome: Result<Checked, NotChecked>,
    /// Its weld.
    pub weld: Throat,
}

/// A moment under this part of f_y W of the brace may be left out if no formula covers it: our own limit.
pub const SMALL_MOMENT: f64 = 0.01;

/// What other formulas than those of one geometry need: the joint as the tables see it.
struct Look {
    /// The chord, turned to the brace's plane.
    chord: Hollow,
    /// Stress of the chord without the braces, pressed positive, as a part of f_y: n_p.
    others: f64,
    /// Stress of the chord on its worse side, the same way: n.
    all: f64,
    /// 0.9 for steels over 355 MPa, with the partial factor.
    factor: f64,
}

/// Checks every brace of a node; the reports come in the braces' order.
pub fn check(node: &Node, rules: &Rules) -> Vec<Report> {
    let outcomes = outcomes(node, rules);
    node.braces
        .iter()
        .zip(outcomes)
        .map(|(b, outcome)| Report { brace: b.name.clone(), outcome, weld: throat(b, &node.chord.section, rules) })
        .collect()
}

fn outcomes(node: &Node, rules: &Rules) -> Vec<Result<Checked, NotChecked>> {
    let n = node.braces.len();
    if let Err(e) = range::chord(&node.chord, rules) {
        return vec![Err(e); n];
    }
    let own: Vec<Result<(), NotChecked>> =
        node.braces.iter().map(|b| range::brace(b, &node.chord.section, rules)).collect();
    let bad = node.braces.iter().zip(&own).find_map(|(b, r)| r.as_ref().err().map(|e| (b, e.clone())));
    if let Some((other, e)) = bad {
        return own.into_iter().map(|r| Err(r.err().unwrap_or_else(|| e.because_of(&other.name)))).collect();
    }
    let plan = match Plan::new(node) {
        Ok(plan) => plan,
        Err(e) => return vec![Err(e); n],
    };
    let out: Vec<Result<Checked, NotChecked>> = (0..n).map(|i| one(node, rules, &plan, i)).collect();
    // What does not hold for one brace does not for the others of its plane: their balance rests on it.
    (0..n)
        .map(|i| {
            let mut beside = plan.plane_of(i).sides.iter().flat_map(|&s| &plan.sides[s].braces);
            match (&out[i], beside.find_map(|&j| out[j].as_ref().err().map(|e| (j, e)))) {
                (Ok(_), Some((j, e))) => Err(e.because_of(&node.braces[j].name)),
                (r, _) => r.clone(),
            }
        })
        .collect()
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

fn least(modes: &[Resistance]) -> Option<Resistance> {
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
