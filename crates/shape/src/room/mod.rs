//! Room: does the person fit, and get out? See `docs/methods/room.md`.

mod inside;
mod lines;
mod near;
mod outside;

use design::{Closure, TubeState};
use geometry::convex::swept;
use geometry::{Convex, DVec3, ellipse};
use serde::Serialize;

use crate::Shape;
use crate::bodies::{Body, BodyKind};
use crate::finding::{Finding, Level, Value, less, more};
use crate::openings::{self, Fault};

pub use lines::{HelmetLine, RearFace};
pub use near::Near;

/// The room of one design, SI.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Room {
    /// Each occupant, twins included.
    pub occupants: Vec<OccupantRoom>,
    /// Each way out, twins included.
    pub openings: Vec<OpeningRoom>,
    /// What there is to say.
    #[serde(skip)]
    pub findings: Vec<Finding>,
}

/// An occupant's room.
#[derive(Clone, Debug, Serialize)]
pub struct OccupantRoom {
    /// Name; a twin's ends with `~`.
    pub name: String,
    /// The nearest tube of each part, nearest first.
    pub near: Vec<Near>,
    /// The helmet under the lines that the hoops hold up.
    pub lines: Vec<HelmetLine>,
    /// The helmet ahead of the main hoop's rear face, where its braces run forward.
    pub rear_face: Option<RearFace>,
    /// How far the hands stay from where they hold on, m, if the design says where.
    pub hands_missing: Option<f64>,
}

/// A way out with nothing in its way.
#[derive(Clone, Debug, Serialize)]
pub struct OpeningRoom {
    /// Name; a twin's ends with `~`.
    pub name: String,
    /// How it is closed.
    pub closure: Closure,
    /// How far its corners lie from one plane, m.
    pub off: f64,
    /// Why it has no outline.
    pub fault: Option<Fault>,
    /// Clear area, m².
    pub area: f64,
    /// The largest ellipse of a person's proportions; its scale is 1 for a person.
    pub person: Option<ellipse::Fit>,
    /// Whether a person passes.
    pub passes: bool,
}

/// A tube that stays, as rounded convex parts with their boxes.
struct Solid<'a> {
    name: &'a str,
    parts: Vec<(Convex, DVec3, DVec3)>,
}

/// No helmet is larger, m: shells are 230 to 330 mm across (common practice, no source).
const LARGEST_HELMET: f64 = 0.400;

/// Hands that miss by less hold on: a millimetre, far under how well a hand's place is known.
const MISSED: f64 = 1e-3;

/// Works out the room of every occupant and way out.
pub fn room(shape: &Shape) -> Room {
    let mut out = Room::default();
    let solids: Vec<Solid> = shape
        .tubes
        .iter()
        .filter(|t| t.state != TubeState::Temporary)
        .map(|t| Solid {
            name: &t.name,
            parts: swept(&t.chain, &t.frames, &t.outline)
                .into_iter()
                .map(|c| {
                    let (lo, hi) = c.bounds();
                    (c, lo, hi)
                })
                .collect(),
        })
        .collect();
    let people: Vec<&Body> = shape.bodies.iter().filter(|b| b.kind == BodyKind::Occupant).collect();
    let over = lines::Over::find(shape);
    if !people.is_empty() {
        out.findings.extend(over.not_checked());
    }
    let hull = if people.is_empty() { None } else { outside::planes(shape) };
    for b in people {
        let (near, mut found) = near::near(b, &solids, &shape.design.room);
        let lines = over.lines(b);
        found.extend(lines::findings(b, &lines, &shape.design.room));
        found.extend(hull.as_ref().and_then(|h| outside::finding(b, h)));
        let rear_face = over.rear_face(b);
        found.extend(rear_face.as_ref().and_then(|r| lines::behind(b, r)));
        found.extend(odd(b));
        out.findings.append(&mut found);
        let hands_missing = b.reach.map(|r| r.missing);
        out.occupants.push(OccupantRoom { name: b.name.clone(), near, lines, rear_face, hands_missing });
    }
    out.findings.extend(inside::findings(&shape.bodies));
    for o in &shape.openings {
        let p = o.passage(None, shape.design.room.opening);
        out.openings.push(OpeningRoom {
            name: o.name.clone(),
            closure: o.closure,
            off: o.off,
            fault: o.fault,
            area: p.area,
            person: p.person,
            passes: p.passes,
        });
        out.findings.extend(openings::findings(o, &p, &shape.design));
    }
    out
}

/// Helmets and hands that can't be.
fn odd(b: &Body) -> Vec<Finding> {
    let mut out = Vec::new();
    let helmet = b.parts.iter().find(|p| p.0 == "helmet").map(|p| 2.0 * p.1.margin);
    if let Some(d) = helmet {
        let at = b.parts.first().map_or(b.centre, |p| p.1.nearest_place(&p.1));
        let mut say = |what: String, limit: f64, source: &str| {
            out.push(
                Finding::new(Level::Look, "room", what)
                    .at(at)
                    .measured(Value::Length(d))
                    .limit(Value::Length(limit), source)
                    .help("measure the helmet across, front to back, and give that as `helmet`"),
            );
        };
        if more(d, LARGEST_HELMET) {
            say(format!("the helmet of {} is larger than helmets are", b.name), LARGEST_HELMET, "docs/methods/room.md");
        } else if less(d, b.head) {
            say(format!("the helmet of {} is smaller than the head in it", b.name), b.head, "head length, ANSUR II");
        }
    }
    if let Some(r) = b.reach.filter(|r| r.missing > MISSED) {
        out.push(
            Finding::new(Level::Look, "room", format!("the hands of {} do not reach where they hold on", b.name))
                .at(r.wanted)
                .measured(Value::Length(r.missing))
                .help(
                    "bring `hands` nearer to the shoulders, or the seat forward; too near for a folded arm counts, too",
                ),
        );
    }
    out
}
