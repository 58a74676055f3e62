//! Bends of one piece: legs, rotations, marks, springback, wall thinning, and from which end to work.

use design::{Die, TestBend};
use geometry::{DVec3, Segment};
use shape::{Shape, Tube};

/// From which end a bent piece is worked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum WorkFrom {
    /// Its start goes into the clamp first.
    Start,
    /// Its end does.
    End,
}

/// What to set on the bender for an angle.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Setting {
    /// Angle to bend to, rad.
    pub set: f64,
    /// The wanted angle lies outside the shop's test bends, so the setting is a guess from the nearest two.
    pub extrapolated: bool,
}

/// One bend, in the order of working.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Bend {
    /// Angle, rad.
    pub angle: f64,
    /// Centreline radius, m.
    pub radius: f64,
    /// Turn of the bend's plane since the bend before, rad: right-handed about the feed, which is clockwise as seen by
    /// someone who looks along the feed. 0 for the first. A bender's plane stays, so the tube is turned the other way.
    pub rotation: f64,
    /// Straight ahead of it (between tangents; for the first, from the end point), m.
    pub straight: f64,
    /// Developed length of the arc, m.
    pub arc: f64,
    /// From the blank's working end to the start of the bend, m.
    pub start: f64,
    /// From the blank's working end to the mark that goes on the die's line, m; the same as `start` without a die.
    pub mark: f64,
    /// Where round the tube the outside of the bend lies, from the scribe line, rad.
    pub outside: f64,
    /// Setting of the bender, if the die has test bends.
    pub setting: Option<Setting>,
    /// Stretch of the outermost fibre.
    pub strain: f64,
    /// Wall on the outside and on the inside after bending, m.
    pub walls: [f64; 2],
}

impl Bend {
    /// What the bender must turn, rad: the setting, springback included; without test bends the angle itself.
    pub fn turned(&self) -> f64 {
        self.setting.map_or(self.angle, |s| s.set)
    }
}

/// How a bent piece is worked.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct BendPlan {
    /// The die, if the design names one.
    pub die: Option<String>,
    /// From which end.
    pub from: WorkFrom,
    /// Bends in that order.
    pub bends: Vec<Bend>,
    /// Straight after the last bend, to the end point, m.
    pub last_straight: f64,
    /// Extra straight at the working end so that the clamp can hold it, cut off afterwards, m.
    pub grip_extra: f64,
    /// Straights between bends that are shorter than the die needs: number of the later bend (from 1), m there.
    pub short_straights: Vec<(usize, f64)>,
    /// Bends for which the bender must turn farther than the die's largest angle, numbers from 1.
    pub over_angle: Vec<usize>,
    /// Corner points of the centreline in the order of working, m.
    pub corners: Vec<DVec3>,
}

/// The setting for a wanted angle, from test bends by rising angle. Between two tests it is interpolated. With none
/// below, from no bend at all; with none above, on along the last two.
pub fn setting(tests: &[TestBend], want: f64) -> Option<Setting> {
    let last = tests.last()?;
    let zero = TestBend { set: 0.0, got: 0.0 };
    let line = |a: &TestBend, b: &TestBend| a.set + (b.set - a.set) * (want - a.got) / (b.got - a.got);
    let above = tests.iter().position(|t| t.got >= want);
    Some(match above {
        Some(0) => Setting { set: line(&zero, &tests[0]), extrapolated: tests[0].got > want },
        Some(k) => Setting { set: line(&tests[k - 1], &tests[k]), extrapolated: false },
        None => {
            let before = if tests.len() > 1 { &tests[tests.len() - 2] } else { &zero };
            Setting { set: line(before, last), extrapolated: true }
        }
    })
}

struct Arc {
    axis: DVec3,
    angle: f64,
    radius: f64,
    outside: f64,
}

/// The plan of a tube's bends; `None` for a straight tube. `beyond` is how far the blank reaches beyond the start
/// point and the end point, m.
pub fn plan(shape: &Shape, tube: &Tube, beyond: [f64; 2]) -> Option<BendPlan> {
    if tube.is_straight() {
        return None;
    }
    let spec = &shape.design.tubes[tube.id.0];
    let die = spec.die.map(|d| &shape.design.dies[d.0]);
    let mut straights = Vec::new();
    let mut arcs = Vec::new();
    for (k, seg) in tube.chain.segments.iter().enumerate() {
        match *seg {
            Segment::Leg { length, .. } => straights.push(length),
            Segment::Arc { axis, start, radius, sweep, .. } => {
                let q = tube.frames[k].across(start);
                let outside = q.y.atan2(q.x).rem_euclid(std::f64::consts::TAU);
                arcs.push(Arc { axis, angle: sweep, radius, outside });
            }
        }
    }
    let grip = die.map_or(0.0, |d| d.grip);
    let lack = |straight: f64, over: f64| (grip - straight - over).max(0.0);
    let (at_start, at_end) = (lack(straights[0], beyond[0]), lack(straights[straights.len() - 1], beyond[1]));
    let from = if at_start <= at_end { WorkFrom::Start } else { WorkFrom::End };
    let mut corners = tube.chain.corners.clone();
    let mut over = beyond[0];
    if from == WorkFrom::End {
        straights.reverse();
        arcs.reverse();
        corners.reverse();
        over = beyond[1];
        // Working backwards a bend turns the other way about its axis.
        for a in &mut arcs {
            a.axis = -a.axis;
        }
    }
    let grip_extra = at_start.min(at_end);
    let mut at = grip_extra + over;
    let mut bends: Vec<Bend> = Vec::new();
    for (k, a) in arcs.iter().enumerate() {
        at += straights[k];
        let rotation = if k == 0 { 0.0 } else { rotation(tube, &arcs[k - 1], a, from, k, arcs.len()) };
        let (od, wall) = (2.0 * tube.outline.reach(), tube.wall);
        bends.push(Bend {
            angle: a.angle,
            radius: a.radius,
            rotation,
            straight: straights[k],
            arc: a.radius * a.angle,
            start: at,
            mark: at - die.map_or(0.0, |d| d.offset),
            outside: a.outside,
            setting: die.and_then(|d| setting(&d.tests, a.angle)),
            strain: od / (2.0 * a.radius),
            walls: [wall * a.radius / (a.radius + od / 2.0), wall * a.radius / (a.radius - od / 2.0)],
        });
        at += a.radius * a.angle;
    }
    let short_straights = die.map_or_else(Vec::new, |d: &Die| {
        (1..arcs.len())
            .filter(|&k| straights[k] < d.between - geometry::SAME_PLACE)
            .map(|k| (k + 1, straights[k]))
            .collect()
    });
    let over_angle = die.and_then(|d| d.max_angle).map_or_else(Vec::new, |max| {
        (0..bends.len()).filter(|&k| bends[k].turned() > max + STEP).map(|k| k + 1).collect()
    });
    Some(BendPlan {
        die: die.map(|d| d.name.clone()),
        from,
        bends,
        last_straight: straights[arcs.len()],
        grip_extra,
        short_straights,
        over_angle,
        corners,
    })
}

/// Two angles that differ by less than this are one: rounding of degrees in the file.
const STEP: f64 = 1e-9;

/// Turn from one bend's plane to the next about the feed direction between them.
fn rotation(tube: &Tube, a: &Arc, b: &Arc, from: WorkFrom, k: usize, n: usize) -> f64 {
    let i = match from {
        WorkFrom::Start => k,
        WorkFrom::End => n - k,
    };
    // Segments run leg, arc, leg: leg i stands between arcs i - 1 and i.
    let leg = tube.chain.segments[2 * i].tangent(0.0);
    let feed = if from == WorkFrom::Start { leg } else { -leg };
    let turn = feed.dot(a.axis.cross(b.axis)).atan2(a.axis.dot(b.axis));
    // Half a turn is written as +180.
    if turn <= -std::f64::consts::PI + STEP { turn + std::f64::consts::TAU } else { turn }
}
