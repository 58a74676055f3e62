//! Which tubes could be added between joints that there are.

use design::TubeState;
use geometry::convex::Core;
use geometry::{Convex, DVec2, DVec3, distance};
use serde::Serialize;
use shape::bodies::BodyKind;
use shape::{Role, Shape};

use crate::build::Built;

/// A straight tube that could be added, alone or with its twin.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// Nodes that it would join.
    pub nodes: [usize; 2],
    /// Nodes of its twin; `None` if it is its own, or lies in the centre plane.
    pub twin: Option<[usize; 2]>,
}

/// How many pairs of joints were left out, and why.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct LeftOut {
    /// Too short to be cut and welded in.
    pub short: usize,
    /// Too long to be a brace.
    pub long: usize,
    /// A tube joins them already, or runs within the width of a tube of the line between them.
    pub taken: usize,
    /// A tube runs close beside the line all along, nearly parallel to it.
    pub parallel: usize,
    /// At an end it would leave a tube there at an angle too sharp to cut or to weld.
    pub sharp: usize,
    /// Through a person's room.
    pub person: usize,
    /// Through a wheel's room or a mass.
    pub thing: usize,
    /// Through a way out.
    pub opening: usize,
}

/// Shortest and longest tube that is proposed, m: shorter ones can't be welded in, longer ones are no brace (common practice, no
/// source).
const LENGTHS: [f64; 2] = [0.12, 1.6];

/// Under this angle to a tube that it meets nobody can cut its end or reach the weld (common practice, no source).
const SHARP: f64 = 15.0 * std::f64::consts::PI / 180.0;

/// Under this angle a tube lies along another one, if it is no bend: then the place is taken.
const ALONG: f64 = std::f64::consts::PI / 180.0;

/// A tube is beside a line where it is within this many times both tubes' reach of it: no torch gets between.
const BESIDE: f64 = 3.0;

/// Where along a line tubes beside it are looked for, as parts of it.
const LOOKS: [f64; 3] = [0.25, 0.5, 0.75];

/// So many times both tubes' reach from its ends a tube must be clear of the others: it then leaves them at 20° or more.
const AMONG: f64 = 3.0;

/// Places nearer than this to their mirror image are in the centre plane, or are each other's twins, m.
const MIRROR: f64 = 1e-3;

/// All candidates of a section's reach (half its diameter, m), in the order of the joints.
pub fn candidates(shape: &Shape, built: &Built, reach: f64) -> (Vec<Candidate>, LeftOut) {
    let mut out = LeftOut::default();
    // Joints, not points on tubes: there two tubes or more meet.
    let mut joints: Vec<usize> = built
        .of_joint
        .iter()
        .zip(&shape.joints)
        .filter(|(_, j)| j.members.iter().filter(|m| lasting(shape, m.tube)).count() > 1)
        .filter_map(|(n, _)| *n)
        .collect();
    joints.sort_unstable();
    joints.dedup();
    let at = |n: usize| built.corners[n].0;
    let mirrored = |p: DVec3| DVec3::new(p.x, -p.y, p.z);
    let twin_of: Vec<Option<usize>> =
        joints.iter().map(|&n| joints.iter().position(|&m| at(m).distance(mirrored(at(n))) < MIRROR)).collect();
    let look = Look {
        shape,
        reach,
        at: joints.iter().map(|&n| at(n)).collect(),
        leaving: joints.iter().map(|&n| leaving(shape, built, n)).collect(),
        lines: shape.tubes.iter().map(chords).collect(),
    };
    let mut found: Vec<Candidate> = Vec::new();
    for (i, &a) in joints.iter().enumerate() {
        for (j, &b) in joints.iter().enumerate().skip(i + 1) {
            let twin = match (twin_of[i], twin_of[j]) {
                (Some(p), Some(q)) => {
                    let pair = [p.min(q), p.max(q)];
                    // Each pair of twins once.
                    if pair < [i, j] {
                        continue;
                    }
                    (pair != [i, j]).then_some(pair)
                }
                // A pair that has no mirror image stays alone.
                _ => None,
            };
            // What stands on one side only may be in the twin's way; so may the tube itself, across the centre plane.
            let crossed = |t: [usize; 2]| look.crosses([i, j], t).then_some(Why::Taken);
            let why = look.why_not([i, j]).or_else(|| twin.and_then(|t| look.why_not(t).or_else(|| crossed(t))));
            match why {
                Some(why) => *out.count(why) += 1,
                None => found.push(Candidate { nodes: [a, b], twin: twin.map(|t| t.map(|k| joints[k])) }),
            }
        }
    }
    (found, out)
}

/// Why a pair of joints is left out.
enum Why {
    Short,
    Long,
    Taken,
    Parallel,
    Sharp,
    Person,
    Thing,
    Opening,
}

impl LeftOut {
    fn count(&mut self, why: Why) -> &mut usize {
        match why {
            Why::Short => &mut self.short,
            Why::Long => &mut self.long,
            Why::Taken => &mut self.taken,
            Why::Parallel => &mut self.parallel,
            Why::Sharp => &mut self.sharp,
            Why::Person => &mut self.person,
            Why::Thing => &mut self.thing,
            Why::Opening => &mut self.opening,
        }
    }
}

/// What pairs are looked at with.
struct Look<'a> {
    shape: &'a Shape,
    reach: f64,
    /// Of each joint: its place, the directions in which tubes leave it.
    at: Vec<DVec3>,
    leaving: Vec<Vec<DVec3>>,
    /// Each tube as chords.
    lines: Vec<Vec<(DVec3, DVec3)>>,
}

impl Look<'_> {
    /// Whether a tube runs into its twin other than at a joint that both have.
    fn crosses(&self, [i, j]: [usize; 2], twin: [usize; 2]) -> bool {
        if twin.contains(&i) || twin.contains(&j) {
            return false;
        }
        let [p, q, r, s] = [i, j, twin[0], twin[1]].map(|k| self.at[k]);
        distance::segment_segment(p, q, r, s).0 < 2.0 * self.reach
    }

    /// Why a tube between two joints is left out, the first reason that is found.
    fn why_not(&self, [i, j]: [usize; 2]) -> Option<Why> {
        let (p, q) = (self.at[i], self.at[j]);
        let length = p.distance(q);
        let sharpest = sharpest(&self.leaving[i], q - p).min(sharpest(&self.leaving[j], p - q));
        if length < LENGTHS[0] {
            Some(Why::Short)
        } else if length > LENGTHS[1] {
            Some(Why::Long)
        } else if (ALONG..SHARP).contains(&sharpest) {
            Some(Why::Sharp)
        } else if blocked(self.shape, &self.lines, p, q, self.reach) {
            Some(Why::Taken)
        } else if beside(self.shape, &self.lines, p, q, self.reach) {
            Some(Why::Parallel)
        } else if sharpest < ALONG {
            Some(Why::Sharp)
        } else {
            hit(self.shape, &Convex { core: Core::Segment(p, q), margin: self.reach }, p, q)
        }
    }
}

fn lasting(shape: &Shape, tube: usize) -> bool {
    shape.tubes[tube].state != TubeState::Temporary
}

/// A tube's line as chords: legs whole, bends by a few degrees.
fn chords(t: &shape::Tube) -> Vec<(DVec3, DVec3)> {
    let mut out = Vec::new();
    for s in &t.chain.segments {
        let n = match s {
            geometry::Segment::Leg { .. } => 1,
            geometry::Segment::Arc { sweep, .. } => (sweep / 0.2).ceil() as usize,
        };
        let l = s.length();
        out.extend((0..n).map(|k| (s.point(l * k as f64 / n as f64), s.point(l * (k + 1) as f64 / n as f64))));
    }
    out
}

/// Whether another tube runs within both tubes' reach of the line, away from its ends: there it lies among the tubes that
/// meet, and is cut to them.
fn blocked(shape: &Shape, lines: &[Vec<(DVec3, DVec3)>], p: DVec3, q: DVec3, reach: f64) -> bool {
    let d = (q - p).normalize();
    let length = p.distance(q);
    shape.tubes.iter().enumerate().any(|(t, tube)| {
        if !lasting(shape, t) {
            return false;
        }
        let clear = reach + tube.outline.reach();
        let end = AMONG * clear;
        if 2.0 * end >= length {
            return false;
        }
        let (a, b) = (p + d * end, q - d * end);
        lines[t].iter().any(|&(c, e)| distance::segment_segment(a, b, c, e).0 < clear)
    })
}

/// Whether a tube runs close beside a line and nearly along it.
fn beside(shape: &Shape, lines: &[Vec<(DVec3, DVec3)>], p: DVec3, q: DVec3, reach: f64) -> bool {
    let d = (q - p).normalize();
    shape.tubes.iter().enumerate().any(|(t, tube)| {
        let near = BESIDE * (reach + tube.outline.reach());
        lasting(shape, t)
            && LOOKS.iter().all(|&k| {
                let x = p.lerp(q, k);
                lines[t].iter().any(|&(a, b)| {
                    (b - a).normalize().dot(d).abs() > SHARP.cos() && distance::segment_segment(x, x, a, b).0 < near
                })
            })
    })
}

/// Directions in which tubes leave a node, over twice their reach.
fn leaving(shape: &Shape, built: &Built, node: usize) -> Vec<DVec3> {
    let mut out = Vec::new();
    for (j, _) in shape.joints.iter().zip(&built.of_joint).filter(|(_, n)| **n == Some(node)) {
        for m in j.members.iter().filter(|m| lasting(shape, m.tube)) {
            let t = &shape.tubes[m.tube];
            let (at, step, end) = (t.chain.point(m.station), 2.0 * t.outline.reach(), t.chain.length());
            let ways = [
                (m.role != Role::End, (m.station + step).min(end)),
                (m.role != Role::Start, (m.station - step).max(0.0)),
            ];
            out.extend(ways.iter().filter(|w| w.0).filter_map(|w| (t.chain.point(w.1) - at).try_normalize()));
        }
    }
    out
}

/// The least angle between a direction and those in which tubes leave.
fn sharpest(leaving: &[DVec3], towards: DVec3) -> f64 {
    leaving.iter().map(|l| l.angle_between(towards)).fold(f64::INFINITY, f64::min)
}

fn hit(shape: &Shape, bar: &Convex, p: DVec3, q: DVec3) -> Option<Why> {
    let padding = shape.design.room.body + shape.design.room.padding;
    for b in &shape.bodies {
        for (_, part) in &b.parts {
            let d = part.distance(bar);
            match b.kind {
                BodyKind::Occupant if d < padding => return Some(Why::Person),
                BodyKind::Wheel | BodyKind::Mass if d < 0.0 => return Some(Why::Thing),
                _ => {}
            }
        }
    }
    shape.openings.iter().any(|o| crosses(o, p, q)).then_some(Why::Opening)
}

/// Whether a line passes through what is clear of an opening, or lies in its plane and crosses it.
fn crosses(o: &shape::openings::Opening, p: DVec3, q: DVec3) -> bool {
    let (a, b) = (o.frame.local(p), o.frame.local(q));
    let flat = |v: DVec3| DVec2::new(v.y, v.z);
    let within = |x: DVec2| o.clear.iter().any(|c| inside(c, x));
    if a.x * b.x < 0.0 {
        let k = a.x / (a.x - b.x);
        if within(flat(a.lerp(b, k))) {
            return true;
        }
    }
    // Nearly in its plane: its middle or a third of it lies over what is clear.
    let near = a.x.abs().max(b.x.abs()) < 2.0 * shape::openings::FLAT;
    near && [0.25, 0.5, 0.75].iter().any(|&k| within(flat(a.lerp(b, k))))
}

fn inside(polygon: &[DVec2], p: DVec2) -> bool {
    geometry::polygon::edges(polygon)
        .filter(|(a, b)| (a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x)
        .count()
        % 2
        == 1
}
