//! Ways out: flat outlines in space, and what the ground leaves of them.

mod across;

pub use across::Across;

use design::{Closure, Design};
use geometry::{DVec2, DVec3, Frame, clip, ellipse, inset, polygon};
use serde::Serialize;

use crate::Tube;
use crate::finding::{Finding, Level, Value, less, more};
use crate::places::Places;

/// Corners may lie off their common plane by this much: about half a tube, which is how far apart the middles of tubes
/// lie that cross. More makes the flat outline a guess.
pub const FLAT: f64 = 0.020;

/// An outline may have as many corners as a tube's path; no way out needs more.
pub const MOST_CORNERS: usize = 200;

/// Why an opening has no outline.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Fault {
    /// Its corners lie on one line.
    Line,
    /// Its edges cross.
    Crossed,
    /// It has too many corners to be looked into.
    Crowded,
}

/// An opening, or a twin, in space.
#[derive(Clone, Debug, PartialEq)]
pub struct Opening {
    /// Name; a twin's ends with `~`.
    pub name: String,
    /// The opening of the design: its index there.
    pub index: usize,
    /// How it is closed.
    pub closure: Closure,
    /// The plane that fits its corners: flat x along `u`, y along `v`, `t` the normal.
    pub frame: Frame,
    /// Corners in flat coordinates, anticlockwise, m.
    pub corners: Vec<DVec2>,
    /// What is clear within them, beside tubes that run across: pieces, anticlockwise, m. None where its tubes close it.
    pub clear: Vec<Vec<DVec2>>,
    /// Tubes that run across it.
    pub across: Vec<Across>,
    /// How far the farthest corner lies from the plane, m.
    pub off: f64,
    /// Why it has no outline; then `corners` and `clear` are empty.
    pub fault: Option<Fault>,
}

/// What the ground leaves of an opening.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Passage {
    /// What is left: pieces in flat coordinates, m.
    pub left: Vec<Vec<DVec2>>,
    /// Its area, m².
    pub area: f64,
    /// The largest ellipse of a person's proportions that fits in one of the pieces; its scale is 1 for a person.
    pub person: Option<ellipse::Fit>,
    /// Whether a person passes.
    pub passes: bool,
    /// By how much the largest ellipse is smaller than a person, across and along, m; nothing if a person passes.
    pub missing: [f64; 2],
}

impl Opening {
    /// What a person finds: all that is clear, or with a ground (a point and its normal, towards the air) what lies over
    /// it. `person` is the width and height that a person needs.
    pub fn passage(&self, ground: Option<(DVec3, DVec3)>, person: [f64; 2]) -> Passage {
        let left: Vec<Vec<DVec2>> = match ground {
            None => self.clear.clone(),
            Some((at, up)) => {
                let offset = up.dot(at - self.frame.origin);
                self.clear.iter().flat_map(|c| clip::half_plane(c, self.frame.across(up), offset)).collect()
            }
        };
        let area = left.iter().map(|p| polygon::signed_area(p)).sum::<f64>() + 0.0;
        let half = person.map(|d| d / 2.0);
        let fits = left.iter().filter_map(|p| ellipse::largest_in(p, half));
        let best = fits.max_by(|a, b| a.scale.total_cmp(&b.scale));
        let scale = best.map_or(0.0, |f| f.scale);
        // Asked for no size at all, anything passes.
        let passes = !less(scale, 1.0) || !half.iter().all(|h| *h > 0.0);
        let missing = if passes { [0.0; 2] } else { person.map(|d| d * (1.0 - scale)) };
        Passage { left, area, person: best, passes, missing }
    }

    /// Whether a ground (a point and its normal, towards the air) leaves all of it.
    pub fn stands_over(&self, (at, up): (DVec3, DVec3)) -> bool {
        let (offset, way) = (up.dot(at - self.frame.origin), self.frame.across(up));
        self.clear.iter().flatten().all(|c| way.dot(*c) >= offset)
    }

    /// The place in space of flat coordinates.
    pub fn place(&self, p: DVec2) -> DVec3 {
        self.frame.place(p)
    }
}

/// Every opening and twin.
pub(crate) fn expand(design: &Design, places: &Places, tubes: &[Tube]) -> Vec<Opening> {
    let mut out = Vec::new();
    for (i, o) in design.openings.iter().enumerate() {
        for mirrored in [false, true].into_iter().take(1 + usize::from(o.mirror)) {
            let corners: Vec<DVec3> = o.edge.iter().map(|r| places.of(r.id, r.twin != mirrored)).collect();
            let mut opening = located(design::twin_name(&o.name, mirrored), i, o, &corners);
            across::take_out(&mut opening, o.inset, tubes);
            out.push(opening);
        }
    }
    out
}

fn located(name: String, index: usize, o: &design::Opening, corners: &[DVec3]) -> Opening {
    let middle = corners.iter().sum::<DVec3>() / corners.len().max(1) as f64;
    let rel = |k: usize| corners[k % corners.len()] - middle;
    // Newell's normal: right for any simple polygon, whichever corner is hollow.
    let normal = (0..corners.len()).map(|k| rel(k).cross(rel(k + 1))).fold(DVec3::ZERO, |s, x| s + x);
    let size = corners.iter().map(|c| c.distance(middle)).fold(0.0, f64::max);
    // An outline that crosses itself may have no normal of this kind, but its corners still span a plane.
    let far = (0..corners.len()).map(rel).fold(DVec3::ZERO, |m, c| if c.length() > m.length() { c } else { m });
    let spanned = (0..corners.len()).map(|k| far.cross(rel(k)));
    let spanned = spanned.fold(DVec3::ZERO, |m, c| if c.length() > m.length() { c } else { m });
    let least = geometry::SAME_PLACE * size;
    let normal = if normal.length() > least { normal } else { spanned };
    // x runs level where it can.
    let frame = (normal.length() > least)
        .then(|| Frame::new(middle, normal, DVec3::Z.cross(normal)).or_else(|| Frame::new(middle, normal, DVec3::X)))
        .flatten();
    let mut opening = Opening {
        name,
        index,
        closure: o.closure,
        frame: frame.unwrap_or(Frame { origin: middle, t: DVec3::Z, u: DVec3::X, v: DVec3::Y }),
        corners: Vec::new(),
        clear: Vec::new(),
        across: Vec::new(),
        off: 0.0,
        fault: frame.is_none().then_some(Fault::Line),
    };
    let Some(frame) = frame else { return opening };
    let flat: Vec<DVec2> = corners.iter().map(|c| frame.across(*c - middle)).collect();
    opening.off = corners.iter().map(|c| (*c - middle).dot(frame.t).abs()).fold(0.0, f64::max);
    if flat.len() > MOST_CORNERS {
        opening.fault = Some(Fault::Crowded);
        return opening;
    }
    if polygon::crosses_itself(&flat) {
        opening.fault = Some(Fault::Crossed);
        return opening;
    }
    opening.clear = inset::inset(&flat, o.inset);
    opening.corners = flat;
    opening
}

/// What is wrong with an opening as drawn; `p` is what a person finds with nothing in the way.
pub(crate) fn findings(o: &Opening, p: &Passage, design: &Design) -> Vec<Finding> {
    let finding = |level: Level, what: String, help: &str| {
        Finding::new(level, "room", what).at(o.frame.origin).help(help).span(&design.openings[o.index].span)
    };
    match o.fault {
        Some(Fault::Line) => {
            let what = format!("the corners of opening {} lie on one line", o.name);
            return vec![finding(Level::Mend, what, "list points round the way out, three or more")];
        }
        Some(Fault::Crossed) => {
            let what = format!("the edge of opening {} crosses itself", o.name);
            return vec![finding(Level::Mend, what, "list its points in order round the way out")];
        }
        Some(Fault::Crowded) => {
            let what = format!("opening {} has more than {MOST_CORNERS} corners", o.name);
            return vec![finding(Level::Mend, what, "name the corners only: round bends count for nothing here")];
        }
        None => {}
    }
    let mut out = Vec::new();
    if more(o.off, FLAT) {
        let judged = if p.passes { "a person passes it" } else { "nobody passes it" };
        let what = format!(
            "opening {} is not flat: {judged} as it lies in the plane that fits best, and a corner lies off that",
            o.name
        );
        let help = "divide it into flat openings, or choose corners that lie in one plane";
        let f = finding(Level::Look, what, help);
        out.push(f.measured(Value::Length(o.off)).limit(Value::Length(FLAT), "docs/methods/room.md"));
    }
    let bare = || Opening { clear: inset::inset(&o.corners, design.openings[o.index].inset), ..o.clone() };
    let closed = !o.across.is_empty() && !p.passes && bare().passage(None, design.room.opening).passes;
    for a in &o.across {
        let (level, left) = if closed {
            (Level::Mend, "no way out is left")
        } else if p.passes {
            (Level::Look, "what is left beside it counts as the way out")
        } else {
            (Level::Look, "nobody passes")
        };
        let what = format!("{} runs across opening {}: {left}", a.tube, o.name);
        let help = "move the tube, or list the points round what is clear; one that is cut out later is `temporary`";
        out.push(finding(level, what, help).tubes([a.tube.clone()]).at(a.at));
    }
    if !p.passes && !closed {
        let [wide, _] = design.room.opening;
        let scale = p.person.map_or(0.0, |f| f.scale);
        let what = format!("a person does not pass through opening {}, even with the ground out of the way", o.name);
        let help = "widen it; measured is how wide the largest ellipse is that has a person's proportions";
        let f = finding(Level::Look, what, help);
        out.push(f.measured(Value::Length(scale * wide)).limit(Value::Length(wide), "limits.opening"));
    }
    out
}
