//! A case pushed past yielding.

use std::ops::ControlFlow;

use frame::collapse::{End, Event, Fibres, Pose, Settings, Step, collapse};
use frame::{Frame, HeldError, Refined};
use geometry::convex::Core;
use geometry::{Convex, DVec2, DVec3, Outline, Segment};
use serde::Serialize;
use shape::Shape;
use shape::bodies::BodyKind;

use crate::build::Built;
use crate::cases::Case;

/// A hinge, or first yielding, as it came.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Hinge {
    /// The tube.
    pub tube: String,
    /// Where, in the frame as drawn, m.
    pub at: DVec3,
    /// What the loads were multiplied with.
    pub factor: f64,
    /// How far the place told had gone, m.
    pub travel: f64,
}

/// A tube that comes to a person.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Entry {
    /// The tube.
    pub tube: String,
    /// The person and the part of the body.
    pub person: String,
    /// The part of the body.
    pub part: &'static str,
    /// What the loads were multiplied with.
    pub factor: f64,
    /// How far the place told had gone, m.
    pub travel: f64,
    /// Work of the loads until then, J.
    pub work: f64,
}

/// A case pushed past yielding.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Crushed {
    /// The place whose way is told, and the direction along which.
    pub told: String,
    /// See `told`.
    pub along: DVec3,
    /// Its way (m), what the loads are multiplied with, and their work (J), point after point.
    pub curve: Vec<[f64; 3]>,
    /// The largest factor, and the way there, m.
    pub peak: [f64; 2],
    /// The factor at which the first fibre yields, and in which tube.
    pub yields: Option<Hinge>,
    /// Hinges in the order in which they came.
    pub hinges: Vec<Hinge>,
    /// The first tube that comes to a person.
    pub entry: Option<Entry>,
    /// The way at which the loads have done the work of the drop that the design asks for: energy (J), way (m).
    pub drop: Option<(f64, Option<f64>)>,
    /// Whether it was followed to the way asked for, or to where the load has fallen.
    pub whole: bool,
    /// Why it ended, in words.
    pub end: String,
}

/// Fibres round a section.
const FIBRES: usize = 48;

/// Slope after yielding as a part of the modulus: next to none, as the yield strength is all that is relied on. Not zero: see
/// [`Fibres::hardening`].
const HARDENING: f64 = 1e-5;

/// Angle of a part of a bend that counts as straight: its chord lies within 0.3 % of the radius.
const ANGLE: f64 = std::f64::consts::PI / 12.0;

/// Parts of a leg that is long for its section, and how many times its reach that is.
const PARTS: usize = 2;
/// See [`PARTS`].
const LONG: f64 = 8.0;

/// The path ends when the load has fallen under this part of its peak.
const FALLEN: f64 = 0.3;

/// Steps to the whole way asked for, at the least.
const STEPS: f64 = 60.0;

/// Most steps.
const MOST: usize = 1500;

/// A section's fibres: along the middle line of its wall, moved in or out a little so that the second moments are exact.
pub fn fibres(outline: &Outline, wall: f64, p: &crate::Profile) -> Fibres {
    let middle = outline.grown(-wall / 2.0);
    let length = middle.perimeter();
    let mut places: Vec<DVec2> =
        (0..FIBRES).map(|k| middle.point(middle.station(length * (k as f64 + 0.5) / FIBRES as f64))).collect();
    let area = p.section.area / FIBRES as f64;
    let second = |axis: usize| places.iter().map(|q| q[axis] * q[axis] * area).sum::<f64>();
    // ∫u² is about v, ∫v² about u.
    let scale = DVec2::new((p.section.second[1] / second(0)).sqrt(), (p.section.second[0] / second(1)).sqrt());
    places.iter_mut().for_each(|q| *q *= scale);
    Fibres {
        fibres: places.into_iter().map(|q| [q.x, q.y, area]).collect(),
        youngs: p.section.youngs,
        yields: p.yield_strength,
        hardening: HARDENING,
    }
}

fn refined(built: &Built, shape: &Shape) -> Refined {
    built.model.refined(|beam, p| match p.segment {
        Segment::Arc { sweep, .. } => (sweep / ANGLE).ceil() as usize,
        Segment::Leg { length, .. } => {
            if length < LONG * shape.tubes[built.beams[beam].0].outline.reach() {
                1
            } else {
                PARTS
            }
        }
    })
}

/// A person's part that tubes are held against.
struct Part {
    person: String,
    part: &'static str,
    convex: Convex,
}

/// Pushes a case.
pub(crate) fn crush(
    shape: &Shape,
    built: &Built,
    frame: &Frame,
    case: &Case,
    travel: f64,
) -> Result<Crushed, HeldError> {
    let elastic =
        frame.held(&case.holds)?.solve(std::slice::from_ref(&case.loads)).map_err(HeldError::Frame)?.remove(0);
    let way = |n: usize| frame::six::first(&elastic.motions[n]);
    let node = (0..elastic.motions.len()).max_by(|&a, &b| way(a).length().total_cmp(&way(b).length())).unwrap_or(0);
    let along = way(node).normalize_or_zero();
    let cut = refined(built, shape);
    let tubes: Vec<usize> = cut.of.iter().map(|&b| built.beams[b].0).collect();
    // A section's outline is the same on all tubes that have it.
    let all: Vec<Fibres> = (0..built.profiles.len())
        .map(|s| {
            let tube = shape.tubes.iter().find(|t| t.section.0 == s);
            tube.map_or_else(
                || Fibres { fibres: vec![[0.0, 0.0, 1.0]], youngs: 1.0, yields: 1.0, hardening: HARDENING },
                |t| fibres(&t.outline, t.wall, &built.profiles[s]),
            )
        })
        .collect();
    let mut loads = case.loads.clone();
    loads.spread = cut
        .of
        .iter()
        .enumerate()
        .flat_map(|(i, b)| case.loads.spread.iter().filter(move |s| s.0 == *b).map(move |s| (i, s.1)))
        .collect();
    let parts: Vec<Part> = shape
        .bodies
        .iter()
        .filter(|b| b.kind == BodyKind::Occupant)
        .flat_map(|b| {
            b.parts.iter().map(|(part, convex)| Part { person: b.name.clone(), part, convex: convex.clone() })
        })
        .collect();
    // What is in a person's room already as drawn is no entry.
    let drawn: Vec<Pose> = cut.model.nodes.iter().map(|&at| Pose { at, turn: glam::DQuat::IDENTITY }).collect();
    let before: Vec<bool> = (0..tubes.len()).map(|i| meets(shape, &cut, &tubes, i, &drawn, &parts).is_some()).collect();
    let mut entry: Option<Entry> = None;
    let settings = Settings {
        node,
        along,
        travel,
        fallen: FALLEN,
        first: travel / STEPS / 10.0,
        longest: travel / STEPS,
        steps: MOST,
    };
    let r = collapse(cut.model.clone(), &all, &case.holds, &loads, &settings, |step: &Step, poses: &[Pose]| {
        if entry.is_none() {
            let hit =
                (0..tubes.len()).filter(|&i| !before[i]).find_map(|i| meets(shape, &cut, &tubes, i, poses, &parts));
            entry = hit.map(|(tube, p)| Entry {
                tube: shape.tubes[tube].name.clone(),
                person: p.person.clone(),
                part: p.part,
                factor: step.factor,
                travel: step.travel,
                work: step.work,
            });
        }
        ControlFlow::Continue(())
    })?;
    let hinge = |i: usize, end: usize, s: &Step| {
        let b = &cut.model.beams[i];
        let at = if end == 0 { b.start() } else { b.end() };
        Hinge { tube: shape.tubes[tubes[i]].name.clone(), at, factor: s.factor, travel: s.travel }
    };
    let (mut yields, mut hinges) = (None, Vec::<Hinge>::new());
    for s in &r.steps {
        for e in &s.events {
            match *e {
                Event::Yields(i, end) => {
                    yields.get_or_insert_with(|| hinge(i, end, s));
                }
                Event::Hinge(i, end) => {
                    let h = hinge(i, end, s);
                    // Both parts that meet at a place tell of the same hinge.
                    if !hinges.iter().any(|x| x.tube == h.tube && x.at.distance(h.at) < 1e-6) {
                        hinges.push(h);
                    }
                }
            }
        }
    }
    let peak = r.steps.iter().fold([0.0, 0.0], |p, s| if s.factor > p[0] { [s.factor, s.travel] } else { p });
    let drop = (shape.design.strength.drop > 0.0).then(|| {
        let mass = shape::mass::laden(shape).mass;
        let energy = mass * crate::GRAVITY * shape.design.strength.drop;
        let at = r.steps.windows(2).find(|w| w[1].work >= energy).map(|w| {
            let k = (energy - w[0].work) / (w[1].work - w[0].work);
            w[0].travel + k * (w[1].travel - w[0].travel)
        });
        (energy, at)
    });
    let end = match r.end {
        End::Travel => "it has gone as far as was asked",
        End::Fallen => "the load has fallen under three tenths of its peak",
        End::Stopped | End::Steps => "as many steps as are allowed were taken: it would go on",
        End::TurnedBack => "only the way back was found, along which nothing yields: what comes after is not known",
        End::Lost => "no next point was found, however short the step: what comes after is not known",
    };
    Ok(Crushed {
        told: built.names[node].clone(),
        along,
        curve: r.steps.iter().map(|s| [s.travel, s.factor, s.work]).collect(),
        peak,
        yields,
        hinges,
        entry,
        drop,
        whole: matches!(r.end, End::Travel | End::Fallen),
        end: end.to_owned(),
    })
}

/// The tube and the part of a person that it meets, if it does.
fn meets<'p>(
    shape: &Shape,
    cut: &Refined,
    tubes: &[usize],
    beam: usize,
    poses: &[Pose],
    parts: &'p [Part],
) -> Option<(usize, &'p Part)> {
    let b = &cut.model.beams[beam];
    let end = |k: usize, at: DVec3| {
        let pose = &poses[b.nodes[k]];
        pose.at + pose.turn * (at - cut.model.nodes[b.nodes[k]])
    };
    let (p, q) = (end(0, b.start()), end(1, b.end()));
    let tube = tubes[beam];
    let reach = shape.tubes[tube].outline.reach();
    let bar = Convex { core: Core::Segment(p, q), margin: reach };
    let (lo, hi) = (p.min(q) - reach, p.max(q) + reach);
    parts
        .iter()
        .find(|x| {
            let (a, z) = x.convex.bounds();
            a.cmple(hi).all() && z.cmpge(lo).all() && x.convex.distance(&bar) < 0.0
        })
        .map(|x| (tube, x))
}
