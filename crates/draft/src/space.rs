//! From the drawing's unit and axes to metres with z up.

use drawing::{Drawing, Form, Placed, Unit};
use geometry::DVec3;

use crate::{Options, Told, count};

/// An axis of the drawing, either way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Axis {
    /// 0 x, 1 y, 2 z.
    pub axis: usize,
    /// Whether its negative side is meant.
    pub negative: bool,
}

impl Axis {
    /// `x`, `-x`, `y` …
    pub fn from_word(word: &str) -> Option<Axis> {
        let (negative, name) = match word.strip_prefix('-') {
            Some(rest) => (true, rest),
            None => (false, word.strip_prefix('+').unwrap_or(word)),
        };
        let axis = ["x", "y", "z"].iter().position(|a| *a == name)?;
        Some(Axis { axis, negative })
    }

    fn unit(self) -> DVec3 {
        let d = [DVec3::X, DVec3::Y, DVec3::Z][self.axis];
        if self.negative { -d } else { d }
    }
}

impl std::fmt::Display for Axis {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}{}", if self.negative { "-" } else { "" }, ["x", "y", "z"][self.axis])
    }
}

/// Something drawn, in metres, z up.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    pub layer: String,
    pub name: Option<String>,
    pub state: Option<String>,
    /// This program wrote it: it is a whole tube, bent as it is meant to be.
    pub whole: bool,
    pub form: Form,
}

/// Places that the drawing gives a name.
pub(crate) type Named = Vec<(String, DVec3)>;

/// Nothing of a frame is farther from the drawing's origin, m: as a design file has it.
const FAR: f64 = 1e3;

/// A frame is between these two sizes, m: what its unit is guessed by.
const FRAME: (f64, f64) = (0.4, 15.0);

/// Brings everything into metres with z up and, if that is said, x forward.
pub(crate) fn place(drawing: &Drawing, options: &Options, told: &mut Told) -> Result<(Vec<Line>, Named), String> {
    let wanted = |layer: &str| options.layers.is_empty() || options.layers.iter().any(|l| l == layer);
    for l in &options.layers {
        if !drawing.drawn.iter().any(|d| d.layer == *l) {
            let names = drawing.drawn.iter().map(|d| d.layer.as_str());
            let near = design::nearest(l, names).map_or(String::new(), |n| format!("; did you mean `{n}`?"));
            return Err(format!("nothing is drawn on a layer called `{l}`{near}"));
        }
    }
    drawing.guessed.iter().for_each(|g| told.guess(g.clone()));
    for l in &drawing.left_out {
        told.done(format!("left out: {}: {} (the first on line {} of the file)", l.what, l.count, l.line));
    }
    let kept: Vec<_> = drawing.drawn.iter().filter(|d| wanted(&d.layer)).collect();
    if kept.len() < drawing.drawn.len() {
        told.done(format!("left out: {} on other layers", count(drawing.drawn.len() - kept.len(), "thing", "things")));
    }
    if kept.is_empty() {
        return Err("there are no lines in it".into());
    }
    let size = size(kept.iter().map(|d| &d.form));
    if !(size > 0.0 && size.is_finite()) {
        return Err("everything in it lies in one place".into());
    }
    let unit = unit(drawing, options, size, told);
    let up = options.up.unwrap_or(Axis { axis: if drawing.y_up { 1 } else { 2 }, negative: false });
    if options.up.is_none() && drawing.y_up {
        told.guess("y points up, as in most files of this kind: say --up z if it lies on its side");
    }
    let placed = Placed { map: geometry::DMat3::from_diagonal(DVec3::splat(unit.metres())), by: DVec3::ZERO };
    let placed = Placed { map: axes(up, options.forward)?, by: DVec3::ZERO }.after(&placed);
    let line = |d: &&drawing::Drawn| Line {
        layer: d.layer.clone(),
        name: d.name.clone(),
        state: d.tags.iter().find(|t| t.0 == "state").map(|t| t.1.clone()),
        whole: drawing.ours && d.name.is_some(),
        form: placed.form(&d.form),
    };
    let lines: Vec<Line> = kept.iter().map(line).collect();
    let far = |p: DVec3| !p.is_finite() || p.abs().max_element() > FAR;
    let off = lines.iter().position(|l| match &l.form {
        Form::Curve(points) => points.iter().any(|p| far(*p)),
        Form::Spans(spans) => spans.iter().any(|s| far(s.at(0.0)) || far(s.at(1.0))),
    });
    if let Some(k) = off {
        return Err(format!(
            "what begins on line {} of it lies more than {FAR} m off: is its unit right?",
            kept[k].line
        ));
    }
    let named = drawing.places.iter().map(|(name, at)| (name.clone(), placed.point(*at))).collect();
    Ok((lines, named))
}

/// The longest side of the box round everything.
fn size<'a>(forms: impl Iterator<Item = &'a Form>) -> f64 {
    let mut lo = DVec3::splat(f64::INFINITY);
    let mut hi = DVec3::splat(f64::NEG_INFINITY);
    let mut hold = |p: DVec3| (lo, hi) = (lo.min(p), hi.max(p));
    for f in forms {
        match f {
            Form::Curve(points) => points.iter().for_each(|p| hold(*p)),
            Form::Spans(spans) => spans.iter().for_each(|s| [0.0, 0.5, 1.0].into_iter().for_each(|t| hold(s.at(t)))),
        }
    }
    (hi - lo).max_element()
}

fn unit(drawing: &Drawing, options: &Options, size: f64, told: &mut Told) -> Unit {
    let fits = |u: Unit| (FRAME.0..=FRAME.1).contains(&(size * u.metres()));
    let across = |u: Unit| format!("{:.2} m across", size * u.metres());
    if let Some(u) = options.unit.or(drawing.unit) {
        let whose = if options.unit.is_some() { "you say" } else { "the file says" };
        if fits(u) {
            told.done(format!("one unit of the drawing is 1 {}: {whose} so, and it is {}", u.word(), across(u)));
        } else {
            told.guess(format!("one unit of the drawing is 1 {}: {whose} so, but then it is {}", u.word(), across(u)));
        }
        return u;
    }
    let u = [Unit::Mm, Unit::In, Unit::M, Unit::Cm, Unit::Ft].into_iter().find(|u| fits(*u)).unwrap_or(Unit::Mm);
    told.guess(format!("one unit of the drawing is 1 {}: then it is {}; --unit says otherwise", u.word(), across(u)));
    u
}

/// A turn that brings one axis up and another, if it is given, forward.
fn axes(up: Axis, forward: Option<Axis>) -> Result<geometry::DMat3, String> {
    let z = up.unit();
    let x = match forward {
        Some(f) if f.axis == up.axis => return Err(format!("{f} can't point forward while {up} points up")),
        Some(f) => f.unit(),
        // Of the other two, the one that keeps the drawing's own x or comes next after it.
        None => [DVec3::X, DVec3::Y, DVec3::Z].into_iter().find(|d| d.dot(z) == 0.0).unwrap_or(DVec3::X),
    };
    let y = z.cross(x);
    Ok(geometry::DMat3::from_cols(x, y, z).transpose())
}
