//! Ranges within which the formulas hold.

use std::f64::consts::PI;

use serde::Serialize;

use super::{Brace, Chord, Hollow, Rules};

/// What a range is measured in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Unit {
    /// A bare number.
    Ratio,
    /// m.
    Length,
    /// rad.
    Angle,
    /// Pa.
    Stress,
}

/// A value outside its range; SI.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Range {
    /// What it is of, in the standard's letters.
    pub symbol: &'static str,
    /// What it is.
    pub value: f64,
    /// The least that is allowed, if there is one.
    pub least: Option<f64>,
    /// The most.
    pub most: Option<f64>,
    /// What they are measured in.
    pub unit: Unit,
}

/// Why there is no resistance.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NotChecked {
    /// What kind of reason it is, in a few words without names.
    pub kind: &'static str,
    /// In plain words, with the user's names; one sentence, no full stop.
    pub why: String,
    /// The clause or table that does not cover it.
    pub clause: &'static str,
    /// What is out of its range.
    pub range: Option<Range>,
}

impl NotChecked {
    pub(crate) fn new(kind: &'static str, why: impl Into<String>, clause: &'static str) -> NotChecked {
        NotChecked { kind, why: why.into(), clause, range: None }
    }

    /// By how much a value is out of its range, as a part of the limit; 0 where nothing is measured.
    pub fn beyond(&self) -> f64 {
        let by = |r: &Range| {
            let low = r.least.map_or(0.0, |l| (l - r.value) / l.abs());
            low.max(r.most.map_or(0.0, |m| (r.value - m) / m.abs()))
        };
        self.range.as_ref().map(by).filter(|x| x.is_finite()).unwrap_or(0.0)
    }

    /// The same, said of a neighbour.
    pub(crate) fn because_of(&self, other: &str) -> NotChecked {
        NotChecked { why: format!("{other} at the same joint is not covered: {}", self.why), ..self.clone() }
    }
}

/// What a letter of the standard stands for.
fn words(symbol: &'static str) -> &'static str {
    match symbol {
        "t" => "wall",
        "θ" => "angle to its chord",
        "g" => "gap",
        "e" => "eccentricity of the axes",
        "λ_ov" => "overlap",
        "f_y" => "yield strength",
        "f_u/f_y" => "tensile strength ÷ yield strength",
        "d0/t0" | "d0/t0 with X" => "chord's diameter ÷ wall",
        "b0/t0" | "h0/t0" => "chord's side ÷ wall",
        "h0/b0" | "h1/b1" => "height ÷ width",
        "d1/t1" => "diameter ÷ wall",
        "b1/t1" | "h1/t1" => "side ÷ wall",
        "d1/d0" => "diameter ÷ chord's diameter",
        "b1/b0" | "b1/b0 with K" | "d1/b0" => "width ÷ chord's width",
        "g/b0" => "gap ÷ chord's width",
        "n" | "n_p" => "stress ÷ yield strength",
        other => other,
    }
}

/// Yield strength up to which resistances count in full, Pa (7.1.1 (4)).
pub(crate) const ORDINARY: f64 = 355e6;
/// Yield strength up to which the formulas hold, Pa (7.1.1 (4)).
const STRONGEST: f64 = 460e6;
/// Thickest wall of a chord, m (7.1.1).
const THICKEST: f64 = 25e-3;
/// Least angle between tubes (7.1.2 (3)).
const LEAST_ANGLE: f64 = PI / 6.0;
/// By which part of the chord's depth a brace's axis may pass beside the chord's: our own limit.
const ASIDE: f64 = 0.05;
/// By how much a box may stand askew: our own limit, rad.
pub(crate) const SKEW: f64 = 5.0 * PI / 180.0;
/// A value may pass its limit by this part of it: rounding, so that a tube drawn at 30° is at 30°.
const SLACK: f64 = 1e-9;

/// A value that must lie in a range.
pub(crate) struct Bound<'a> {
    pub symbol: &'static str,
    pub unit: Unit,
    /// Whose, in the user's names.
    pub of: &'a str,
    pub clause: &'static str,
}

impl Bound<'_> {
    /// Within the range, or why not. What is not a number is out of every range.
    pub fn hold(&self, value: f64, least: Option<f64>, most: Option<f64>) -> Result<(), NotChecked> {
        let room = |l: f64| SLACK * l.abs();
        let low = least.is_some_and(|l| value.is_nan() || value < l - room(l));
        let high = most.is_some_and(|l| value.is_nan() || value > l + room(l));
        if !low && !high {
            return Ok(());
        }
        let kind = words(self.symbol);
        let why = format!("{kind} of {} is too {}", self.of, if low { "small" } else { "large" });
        let range = Range { symbol: self.symbol, value, least, most, unit: self.unit };
        Err(NotChecked { kind, why, clause: self.clause, range: Some(range) })
    }
}

pub(crate) fn ratio<'a>(symbol: &'static str, of: &'a str, clause: &'static str) -> Bound<'a> {
    Bound { symbol, unit: Unit::Ratio, of, clause }
}

pub(crate) fn length<'a>(symbol: &'static str, of: &'a str, clause: &'static str) -> Bound<'a> {
    Bound { symbol, unit: Unit::Length, of, clause }
}

/// ε² = 235 MPa / f_y.
fn epsilon2(s: &Hollow) -> f64 {
    235e6 / s.steel.yield_strength
}

/// Largest d/t of a round section in a class (EN 1993-1-1, table 5.2).
fn round_class(s: &Hollow, class: u8) -> f64 {
    epsilon2(s) * if class == 1 { 50.0 } else { 70.0 }
}

/// Wall and steel of any tube.
fn stuff(name: &str, s: &Hollow, rules: &Rules) -> Result<(), NotChecked> {
    length("t", name, "EN 1993-1-8, 7.1.1").hold(s.wall, Some(rules.least_wall), Some(THICKEST))?;
    let fy = s.steel.yield_strength;
    let strength = Bound { symbol: "f_y", unit: Unit::Stress, of: name, clause: "EN 1993-1-8, 7.1.1 (4)" };
    strength.hold(fy, Some(f64::MIN_POSITIVE), Some(STRONGEST))?;
    let ductile = "EN 1993-1-1, 3.2.2 (1)";
    ratio("f_u/f_y", name, ductile).hold(s.steel.tensile_strength / fy, Some(1.1), None)?;
    if let Some(e) = s.steel.elongation {
        ratio("elongation", name, ductile).hold(e, Some(0.15), None)?;
    }
    Ok(())
}

/// What must hold of the chord by itself.
pub(crate) fn chord(c: &Chord, rules: &Rules) -> Result<(), NotChecked> {
    let (s, name) = (&c.section, &c.name);
    let known = c.before.iter().chain(&c.after).chain(c.bending.iter().flatten()).all(|x| x.is_finite());
    if !known {
        return Err(NotChecked::new(
            "no number",
            format!("the forces in {name} are not numbers"),
            "EN 1993-1-8, 7.2.1",
        ));
    }
    stuff(name, s, rules)?;
    if s.round() {
        let most = round_class(s, 2).min(50.0);
        ratio("d0/t0", name, "EN 1993-1-8, table 7.1").hold(s.across() / s.wall, Some(10.0), Some(most))
    } else {
        walls(name, s, Some(2), ["b0/t0", "h0/t0", "h0/b0"])
    }
}

/// Slenderness of a box and its shape (table 7.8); `class` asks for that class, too.
fn walls(name: &str, s: &Hollow, class: Option<u8>, symbols: [&'static str; 3]) -> Result<(), NotChecked> {
    let table = "EN 1993-1-8, table 7.8";
    let flat = class.map_or(f64::INFINITY, |k| epsilon2(s).sqrt() * if k == 1 { 33.0 } else { 38.0 } + 3.0);
    for (symbol, side) in symbols.into_iter().zip([s.across(), s.depth()]) {
        ratio(symbol, name, table).hold(side / s.wall, Some(f64::MIN_POSITIVE), Some(flat.min(35.0)))?;
    }
    ratio(symbols[2], name, table).hold(s.depth() / s.across(), Some(0.5), Some(2.0))
}

/// What must hold of a brace by itself.
pub(crate) fn brace(b: &Brace, chord: &Hollow, rules: &Rules) -> Result<(), NotChecked> {
    let (s, name) = (&b.section, &b.name);
    let place = [b.angle, b.azimuth, b.station, b.aside, b.skew];
    let forces = [b.tension, b.in_plane, b.out_of_plane, b.torque, b.shear];
    if !place.iter().chain(&forces).all(|x| x.is_finite()) {
        return Err(NotChecked::new(
            "no number",
            format!("the place or forces of {name} are not numbers"),
            "EN 1993-1-8, 7.2.1",
        ));
    }
    Bound { symbol: "θ", unit: Unit::Angle, of: name, clause: "EN 1993-1-8, 7.1.2 (3)" }.hold(
        b.theta(),
        Some(LEAST_ANGLE),
        None,
    )?;
    stuff(name, s, rules)?;
    if chord.round() && !s.round() {
        let why = format!("{name} is a box on a round chord: table 7.4 is not among what is calculated here");
        return Err(NotChecked::new("a box on a round chord", why, "EN 1993-1-8, table 7.4"));
    }
    let reach = chord.depth().min(chord.across());
    length("offset of the axes", name, "EN 1993-1-8, 7.4.1, 7.5.1").hold(b.aside.abs(), None, Some(ASIDE * reach))?;
    let askew = |of, angle: f64| {
        Bound { symbol: "skew", unit: Unit::Angle, of, clause: "EN 1993-1-8, 7.5.1" }.hold(angle, None, Some(SKEW))
    };
    if !s.round() {
        askew(name, b.skew.abs())?;
    }
    let (slim, pressed) = (s.across() / s.wall, b.tension < 0.0);
    if chord.round() {
        let table = "EN 1993-1-8, table 7.1";
        ratio("d1/d0", name, table).hold(s.across() / chord.across(), Some(0.2), Some(1.0))?;
        return ratio("d1/t1", name, table).hold(slim, Some(10.0), Some(round_class(s, 2).min(50.0)));
    }
    // The face that it stands on must be square to its plane.
    let quarter = PI / 2.0;
    let turned = b.azimuth.rem_euclid(quarter);
    askew(name, turned.min(quarter - turned))?;
    let table = "EN 1993-1-8, table 7.8";
    let beta = s.across() / chord.seen(b.azimuth).across();
    if s.round() {
        ratio("d1/b0", name, table).hold(beta, Some(0.4), Some(0.8))?;
        let most = if pressed { round_class(s, 1).min(50.0) } else { 50.0 };
        ratio("d1/t1", name, table).hold(slim, Some(f64::MIN_POSITIVE), Some(most))
    } else {
        ratio("b1/b0", name, table).hold(beta, Some(0.25), Some(1.0))?;
        walls(name, s, pressed.then_some(2), ["b1/t1", "h1/t1", "h1/b1"])
    }
}

/// The angle between two braces' directions.
pub(crate) fn between(a: &Brace, b: &Brace) -> Result<(), NotChecked> {
    let cos = a.angle.cos() * b.angle.cos() + a.angle.sin() * b.angle.sin() * (a.azimuth - b.azimuth).cos();
    let names = format!("{} and {}", a.name, b.name);
    Bound { symbol: "angle", unit: Unit::Angle, of: &names, clause: "EN 1993-1-8, 7.1.2 (3)" }.hold(
        cos.clamp(-1.0, 1.0).acos(),
        Some(LEAST_ANGLE - ANGLE_SLACK),
        None,
    )
}

/// Arc cosines lose digits: a brace at 30° from another may come out by this much less, rad.
const ANGLE_SLACK: f64 = 1e-7;
