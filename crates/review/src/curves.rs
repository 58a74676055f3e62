//! Curves: what the design draws, what each becomes on its die, and which tubes follow it.

mod edits;
mod words;

use std::sync::Arc;

use ::curve::{Answer, Die, Line, MOST_TURN, Run, Try};
use cutting::bends::setting;
use design::{Curve, CurvePoints, Design, Place};
use geometry::{Chain, DVec3, Segment};
use rayon::prelude::*;
use shape::Shape;

pub use edits::{Asked, edits};
pub use words::{Sheet, findings, sheets, told};

use crate::Review;

/// Points of a curve's file, or why there are none; `None` where its points stand in the design.
pub type FilePoints = Option<Result<Vec<DVec3>, String>>;

/// A curve of the design, in space.
#[derive(Clone, Debug)]
pub struct Drawn {
    /// Its place in [`Design::curves`].
    pub id: usize,
    /// The line, or why there is none.
    pub line: Result<Arc<Line>, String>,
}

/// The design's curves. `files` has one entry for each; none means that no file was loaded.
pub fn drawn(shape: &Shape, files: &[FilePoints]) -> Vec<Drawn> {
    let one = |(id, c): (usize, &Curve)| {
        let points = match (&c.points, files.get(id)) {
            (CurvePoints::Places(places), _) => Ok(places.iter().map(|p| place(shape, p)).collect::<Vec<_>>()),
            (CurvePoints::File(_), Some(Some(read))) => read.clone(),
            (CurvePoints::File(_), _) => Err("its file was not loaded".to_owned()),
        };
        let run = if c.straight { Run::Straight } else { Run::Smooth };
        let line = points.and_then(|p| Line::new(&p, run).map_err(|e| e.to_string())).map(Arc::new);
        Drawn { id, line }
    };
    shape.design.curves.iter().enumerate().map(one).collect()
}

fn place(shape: &Shape, p: &Place) -> DVec3 {
    match p {
        Place::At(at) => *at,
        Place::Point(r) => shape.place(r),
    }
}

/// A curve as legs and bends.
#[derive(Clone, Debug, serde::Serialize)]
pub struct Bent {
    /// Name of the curve.
    pub curve: String,
    /// Name of the die.
    pub die: String,
    /// What is asked of the chain: the die's numbers with [`SPARE`].
    pub limits: Die,
    /// Tolerance, m.
    pub within: f64,
    /// The chains.
    pub answer: Answer,
    /// Which of them is taken: that of the fewest bends, or the nearest, or the one that was asked for.
    pub taken: Option<usize>,
    /// Its bends.
    pub bends: Vec<Bend>,
    /// Straight after the last bend, m.
    pub last_straight: f64,
    /// Tubes whose ends are the curve's, and how far each is from it.
    pub followed: Vec<Followed>,
}

impl Bent {
    /// The chain that is taken.
    pub fn chain(&self) -> Option<&Try> {
        self.answer.tries.get(self.taken?)
    }
}

/// What a curve can't answer for.
pub const CAUTION: &str = "A chain is measured on its centreline. Bends spring back and tubes are cut by hand: lay the first \
piece on the drawn line before the next is bent.";

/// One bend, from the curve's start.
#[derive(Clone, Copy, Debug, serde::Serialize)]
pub struct Bend {
    /// Where the legs would meet, m.
    pub corner: DVec3,
    /// Straight ahead of it, m.
    pub straight: f64,
    /// Angle, rad.
    pub angle: f64,
    /// Turn of its plane since the bend before, rad, as `cutting` counts it; 0 for the first.
    pub rotation: f64,
    /// Developed length of the arc, m.
    pub arc: f64,
}

/// A tube that runs along a curve.
#[derive(Clone, Debug, serde::Serialize)]
pub struct Followed {
    /// Its name.
    pub tube: String,
    /// How far the two are apart at most, m.
    pub deviation: f64,
    /// Where on the curve, m.
    pub at: DVec3,
}

/// Straights are planned this much longer than the die needs them, m, and bends [`SPARE_TURN`] smaller than it can, so
/// that corners may be rounded to a tenth of a millimetre when they are written down.
pub const SPARE: f64 = 0.5e-3;
/// rad.
pub const SPARE_TURN: f64 = 0.1 * std::f64::consts::PI / 180.0;

/// What is asked beside the file.
#[derive(Clone, Copy, Debug, Default)]
pub struct Want<'a> {
    /// Another die than the file's.
    pub die: Option<&'a str>,
    /// Another tolerance, m.
    pub within: Option<f64>,
    /// Another number of bends than the fewest.
    pub bends: Option<usize>,
}

/// Turns a curve into legs and bends.
///
/// # Errors
/// Why it can't be, in words.
pub fn bend(shape: &Shape, drawn: &Drawn, want: Want<'_>) -> Result<Bent, String> {
    let design = &shape.design;
    let c = &design.curves[drawn.id];
    let line = drawn.line.as_ref().map_err(|why| unusable(c, why))?;
    let die = die_of(design, c, want.die)?;
    let limits = limits(die);
    let within = want.within.unwrap_or(c.within);
    let answer = ::curve::solve(line, &limits, within);
    let best = answer.best().map(|t| t.bends);
    let taken = answer.tries.iter().position(|t| Some(t.bends) == want.bends.or(best));
    if let (Some(n), None) = (want.bends, taken) {
        let tried: Vec<String> = answer.tries.iter().map(|t| t.bends.to_string()).collect();
        return Err(format!(
            "no chain of {n} bends was made of curve {}; there are those of {}",
            c.name,
            tried.join(", ")
        ));
    }
    let (bends, last_straight) = taken.map_or((Vec::new(), 0.0), |k| legs(&answer.tries[k], die.radius));
    let followed = followed(shape, c, line, within);
    Ok(Bent {
        curve: c.name.clone(),
        die: die.name.clone(),
        limits,
        within,
        answer,
        taken,
        bends,
        last_straight,
        followed,
    })
}

/// Why a curve can't be used.
fn unusable(c: &Curve, why: &str) -> String {
    match &c.points {
        CurvePoints::File(file) => format!("curve {} can't be used: {file}: {why}", c.name),
        CurvePoints::Places(_) => format!("curve {} can't be used: {why}", c.name),
    }
}

/// The die that is asked for, that the curve names, or the only one there is.
fn die_of<'d>(design: &'d Design, c: &Curve, asked: Option<&str>) -> Result<&'d design::Die, String> {
    if let Some(name) = asked {
        let names = || design.dies.iter().map(|d| d.name.as_str());
        let near = design::nearest(name, names()).map_or(String::new(), |n| format!("; did you mean `{n}`?"));
        return design.dies.iter().find(|d| d.name == name).ok_or(format!("there is no die `{name}`{near}"));
    }
    match (c.die, &design.dies[..]) {
        (Some(id), _) => Ok(&design.dies[id.0]),
        (None, [only]) => Ok(only),
        (None, []) => Err(format!("curve {} needs a die, and the design has none", c.name)),
        (None, _) => Err(format!("curve {} names no die, and the design has several", c.name)),
    }
}

/// What a die can make.
fn limits(die: &design::Die) -> Die {
    // The bender's largest setting leaves less: springback.
    let most = die.max_angle.map_or(MOST_TURN, |set| {
        if die.tests.is_empty() {
            return set;
        }
        let (mut lo, mut hi) = (0.0, set);
        for _ in 0..60 {
            let angle = 0.5 * (lo + hi);
            if setting(&die.tests, angle).is_some_and(|s| s.set <= set) { lo = angle } else { hi = angle }
        }
        lo
    });
    let grip = die.grip + SPARE;
    Die { radius: die.radius, between: die.between + SPARE, ends: [grip, grip], most: (most - SPARE_TURN).max(1e-3) }
}

/// Bends of a chain, and the straight after the last.
fn legs(t: &Try, radius: f64) -> (Vec<Bend>, f64) {
    let Ok(chain) = Chain::new(&t.corners, &vec![radius; t.bends]) else { return (Vec::new(), 0.0) };
    let mut out: Vec<Bend> = Vec::new();
    let (mut straight, mut way, mut last) = (0.0, chain.first_tangent(), None::<DVec3>);
    let mut corners = t.corners[1..].iter();
    for s in &chain.segments {
        match *s {
            Segment::Leg { length, along, .. } => (straight, way) = (length, along),
            Segment::Arc { axis, sweep, .. } => {
                let turn = |a: DVec3| way.dot(a.cross(axis)).atan2(a.dot(axis));
                let corner = corners.next().copied().unwrap_or_default();
                let rotation = last.map_or(0.0, turn);
                out.push(Bend { corner, straight, angle: sweep, rotation, arc: radius * sweep });
                last = Some(axis);
            }
        }
    }
    (out, straight)
}

/// A tube that shares the curve's ends and is farther off than so many tolerances is another tube, unless it has the
/// curve's name.
const ANOTHER: f64 = 5.0;

/// Tubes of one bend radius whose ends are so near to the curve's as the curve may be left, either way round.
fn followed(shape: &Shape, c: &Curve, line: &Line, within: f64) -> Vec<Followed> {
    let ends = [line.places[0], line.places[line.places.len() - 1]];
    let flip = |p: DVec3| if c.mirror { DVec3::new(p.x, -p.y, p.z) } else { p };
    let mut out = Vec::new();
    for tube in shape.tubes.iter().filter(|t| !t.twin || c.mirror) {
        for image in [false, true] {
            if image && !c.mirror {
                continue;
            }
            let mut corners: Vec<DVec3> = tube.chain.corners.iter().map(|&p| if image { flip(p) } else { p }).collect();
            let near = |v: &[DVec3]| v[0].distance(ends[0]) <= within && v[v.len() - 1].distance(ends[1]) <= within;
            if !near(&corners) {
                corners.reverse();
            }
            let radii = &shape.design.tubes[tube.id.0].bend_radii;
            let radius = radii.first().copied().unwrap_or(1.0);
            let of_one_die = radii.iter().all(|r| *r == radius);
            if near(&corners)
                && of_one_die
                && let Some(t) = ::curve::measure(line, &corners, radius)
            {
                let own = tube.name.trim_end_matches('~') == c.name;
                if !own && t.deviation > ANOTHER * within {
                    continue;
                }
                let at = if image { flip(t.worst.curve) } else { t.worst.curve };
                out.push(Followed { tube: tube.name.clone(), deviation: t.deviation, at });
                break;
            }
        }
    }
    out
}

/// How far a tube of a shape is from a curve, m, if it follows it.
pub fn off(shape: &Shape, drawn: &[Drawn], b: &Bent, tube: &str) -> Option<f64> {
    let c = shape.design.curves.iter().find(|c| c.name == b.curve)?;
    let line = drawn.iter().find(|d| shape.design.curves.get(d.id).is_some_and(|own| own.name == b.curve))?;
    let near = b.within.max(b.chain()?.deviation);
    followed(shape, c, line.line.as_ref().ok()?, near).iter().find(|f| f.tube == tube).map(|f| f.deviation)
}

/// All curves of a design with what they become, in file order.
pub type All = Vec<Result<Bent, String>>;

/// All of them.
pub fn all(shape: &Shape, drawn: &[Drawn]) -> All {
    drawn.par_iter().map(|d| bend(shape, d, Want::default())).collect()
}

/// The review's own, or worked out now.
pub fn of(r: &Review) -> Arc<All> {
    r.bent.clone().unwrap_or_else(|| Arc::new(all(&r.shape, &r.curves)))
}
