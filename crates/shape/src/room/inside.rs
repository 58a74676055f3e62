//! People in one another, and in things that have mass.

use geometry::DVec3;

use crate::bodies::{Body, BodyKind};
use crate::finding::{Finding, Level, Value};

/// Less than this, m, is what flesh and cushions give (common practice, no source).
const GIVES: f64 = 0.020;

/// What a person cannot be without room for.
const VITAL: [&str; 2] = ["helmet", "trunk"];

/// They hold on to things and press on them.
const HOLDS: [&str; 2] = ["hand", "foot"];

/// One overlap of two bodies.
struct Overlap {
    parts: [&'static str; 2],
    depth: f64,
    at: DVec3,
    level: Level,
}

/// Each person in another one or in a mass, once for each two.
pub(super) fn findings(bodies: &[Body]) -> Vec<Finding> {
    let mut out = Vec::new();
    for (i, b) in bodies.iter().enumerate().filter(|b| b.1.kind == BodyKind::Occupant) {
        for (j, other) in bodies.iter().enumerate() {
            let person = match other.kind {
                BodyKind::Occupant if j > i => true,
                BodyKind::Mass => false,
                _ => continue,
            };
            let Some(o) = worst(b, other, person) else { continue };
            let (what, help) = if person {
                (
                    format!("the {} of {} is in the {} of {}", o.parts[0], b.name, o.parts[1], other.name),
                    "move one of the seats; a person who is there instead of another belongs in a design of its own",
                )
            } else {
                (
                    format!("the {} of {} is in {}", o.parts[0], b.name, other.name),
                    "move one of them; draw a seat as its base and its back, or give it no `size`",
                )
            };
            out.push(Finding::new(o.level, "room", what).at(o.at).measured(Value::Length(o.depth)).help(help));
        }
    }
    out
}

/// The worst overlap of a person with another one, or with a mass.
fn worst(b: &Body, other: &Body, person: bool) -> Option<Overlap> {
    let mut worst: Option<Overlap> = None;
    for (part, solid) in b.parts.iter().filter(|p| person || !HOLDS.contains(&p.0)) {
        let (lo, hi) = solid.bounds();
        for (own, thing) in &other.parts {
            let (tlo, thi) = thing.bounds();
            if tlo.cmpgt(hi).any() || lo.cmpgt(thi).any() {
                continue;
            }
            let depth = -solid.distance(thing);
            if depth <= GIVES {
                continue;
            }
            // Two people side by side may have an arm each where the other's is drawn; a block may stand for a seat that is
            // hollow. What has its middle in it is in it.
            let whole = if person { VITAL.contains(own) } else { depth >= solid.margin };
            let level = if VITAL.contains(part) && whole { Level::Mend } else { Level::Look };
            let mend = |l: Level| l == Level::Mend;
            if worst.as_ref().is_none_or(|w| (mend(level), depth) > (mend(w.level), w.depth)) {
                worst = Some(Overlap { parts: [part, own], depth, at: solid.nearest_place(thing), level });
            }
        }
    }
    worst
}
