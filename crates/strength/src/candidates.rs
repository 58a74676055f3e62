//! Which tubes could be added between joints that there are.

use design::TubeState;
use geometry::convex::Core;
use geometry::{Convex, DVec2, DVec3, distance};
use serde::Serialize;
use shape::Shape;
use shape::bodies::BodyKind;

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
    /// A tube joins them already, or runs within the width of a tube of the line between them.
    pub taken: usize,
    /// Too short or too long.
    pub length: usize,
    /// Through a person's room.
    pub person: usize,
    /// Through a wheel's room or a mass.
    pub thing: usize,
    /// Through a way out.
    pub opening: usize,
}

/// Shortest and longest tube that is proposed, m: shorter ones can't be welded in, longer ones are no brace.
const LENGTHS: [f64; 2] = [0.12, 1.6];

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
    let at = |n: usize| built.model.nodes[n];
    let mirrored = |p: DVec3| DVec3::new(p.x, -p.y, p.z);
    let twin_of: Vec<Option<usize>> =
        joints.iter().map(|&n| joints.iter().copied().find(|&m| at(m).distance(mirrored(at(n))) < MIRROR)).collect();
    let lines: Vec<Vec<(DVec3, DVec3)>> = shape.tubes.iter().map(chords).collect();
    let mut found: Vec<Candidate> = Vec::new();
    for (i, &a) in joints.iter().enumerate() {
        for (j, &b) in joints.iter().enumerate().skip(i + 1) {
            let twin = match (twin_of[i], twin_of[j]) {
                (Some(p), Some(q)) => {
                    let pair = [p.min(q), p.max(q)];
                    // Each pair of twins once.
                    if pair < [a, b] {
                        continue;
                    }
                    (pair != [a, b]).then_some(pair)
                }
                // A pair that has no mirror image stays alone.
                _ => None,
            };
            let (p, q) = (at(a), at(b));
            let length = p.distance(q);
            if !(LENGTHS[0]..=LENGTHS[1]).contains(&length) {
                out.length += 1;
                continue;
            }
            if blocked(shape, &lines, p, q, reach) {
                out.taken += 1;
                continue;
            }
            let bar = Convex { core: Core::Segment(p, q), margin: reach };
            match hit(shape, &bar, p, q) {
                Some(Hit::Person) => out.person += 1,
                Some(Hit::Thing) => out.thing += 1,
                Some(Hit::Opening) => out.opening += 1,
                None => found.push(Candidate { nodes: [a, b], twin }),
            }
        }
    }
    (found, out)
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

enum Hit {
    Person,
    Thing,
    Opening,
}

fn hit(shape: &Shape, bar: &Convex, p: DVec3, q: DVec3) -> Option<Hit> {
    let padding = shape.design.room.body + shape.design.room.padding;
    for b in &shape.bodies {
        for (_, part) in &b.parts {
            let d = part.distance(bar);
            match b.kind {
                BodyKind::Occupant if d < padding => return Some(Hit::Person),
                BodyKind::Wheel | BodyKind::Mass if d < 0.0 => return Some(Hit::Thing),
                _ => {}
            }
        }
    }
    shape.openings.iter().any(|o| crosses(o, p, q)).then_some(Hit::Opening)
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
