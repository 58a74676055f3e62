//! A case pushed past yielding.

use std::ops::ControlFlow;

use design::SectionShape;
use frame::collapse::{End, Event, Pose, Step, collapse};
use frame::{HeldError, Refined};
use geometry::convex::Core;
use geometry::{Convex, DVec3};
use serde::Serialize;
use shape::Shape;
use shape::bodies::BodyKind;

use crate::build::Built;
use crate::cases::Case;
use crate::push::{Cuts, Push};
use crate::watch;

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
    /// Tubes with a hinge whose walls may dent there before it has turned far: diameter (a box: flat width) over wall, and
    /// the most at which a section is taken to turn as it likes.
    pub slender: Vec<(String, [f64; 2])>,
    /// The first tube that comes to a person.
    pub entry: Option<Entry>,
    /// The way at which the loads have done the work of the drop that the design asks for: energy (J), way (m).
    pub drop: Option<(f64, Option<f64>)>,
    /// The way at which the loads have done the work that a published case asks for: energy (J), way (m).
    pub energy: Option<(f64, Option<f64>)>,
    /// Whether it was followed to the way asked for, or to where the load has fallen.
    pub whole: bool,
    /// Whether it carried more and more up to the way asked for: then the largest factor is no peak.
    pub rising: bool,
    /// Why it ended, in words.
    pub end: String,
    /// How the frame lies at each step, for a drawing.
    #[serde(skip)]
    pub steps: Vec<Bent>,
    /// The tube of each bar of [`Bent::bars`], as the shape counts them.
    #[serde(skip)]
    pub bars: Vec<usize>,
}

/// A frame on its way down.
#[derive(Clone, Debug, PartialEq)]
pub struct Bent {
    /// The way that the loads have gone, m.
    pub travel: f64,
    /// What they are multiplied with.
    pub factor: f64,
    /// The work that they have done, J.
    pub work: f64,
    /// Both ends of every stretch of its tubes, as they really lie, m.
    pub bars: Vec<[DVec3; 2]>,
}

/// A person's part that tubes are held against.
struct Part {
    person: String,
    part: &'static str,
    convex: Convex,
}

/// Pushes a case, telling how far it is.
pub(crate) fn crush(
    shape: &Shape,
    built: &Built,
    case: &Case,
    travel: f64,
    mut progress: watch::Push<'_>,
) -> Result<Crushed, HeldError> {
    let push = Push::new(shape, built, case, travel, Cuts::default())?;
    let (cut, tubes) = (&push.cut, &push.tubes);
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
    let before: Vec<bool> = (0..tubes.len()).map(|i| meets(shape, cut, tubes, i, &drawn, &parts).is_some()).collect();
    let mut entry: Option<Entry> = None;
    let mut steps: Vec<Bent> = Vec::new();
    let r = collapse(
        cut.model.clone(),
        &push.fibres,
        &push.holds,
        &push.loads,
        &push.settings,
        |step: &Step, poses: &[Pose]| {
            if entry.is_none() {
                let hit =
                    (0..tubes.len()).filter(|&i| !before[i]).find_map(|i| meets(shape, cut, tubes, i, poses, &parts));
                entry = hit.map(|(tube, p)| Entry {
                    tube: shape.tubes[tube].name.clone(),
                    person: p.person.clone(),
                    part: p.part,
                    factor: step.factor,
                    travel: step.travel,
                    work: step.work,
                });
            }
            let bars = (0..tubes.len()).map(|i| lies(cut, i, poses)).collect();
            steps.push(Bent { travel: step.travel, factor: step.factor, work: step.work, bars });
            progress.at(step.travel / travel);
            if progress.stopped() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        },
    )?;
    let hinge = |i: usize, end: usize, factor: f64, travel: f64| {
        let b = &cut.model.beams[i];
        let at = if end == 0 { b.start() } else { b.end() };
        Hinge { tube: shape.tubes[tubes[i]].name.clone(), at, factor, travel }
    };
    let mut hinges = Vec::<Hinge>::new();
    // The loads at first yielding: the least of all tubes, whichever came first in its step.
    let mut yields: Option<Hinge> = None;
    let before = std::iter::once(&r.steps[0]).chain(&r.steps);
    for (s, last) in r.steps.iter().zip(before) {
        for e in &s.events {
            match *e {
                Event::Yields(i, end, part) => {
                    let between = |a: f64, b: f64| a + part * (b - a);
                    let h = hinge(i, end, between(last.factor, s.factor), between(last.travel, s.travel));
                    if yields.as_ref().is_none_or(|y| h.travel < y.travel) {
                        yields = Some(h);
                    }
                }
                Event::Hinge(i, end) => {
                    let h = hinge(i, end, s.factor, s.travel);
                    // Parts that meet tell of the same hinge; so does the other end of a short one. A hinge is about as long
                    // as the section is wide.
                    let wide = 2.0 * shape.tubes[tubes[i]].outline.reach();
                    if !hinges.iter().any(|x| x.tube == h.tube && x.at.distance(h.at) < wide) {
                        hinges.push(h);
                    }
                }
            }
        }
    }
    let peak = r.steps.iter().fold([0.0, 0.0], |p, s| if s.factor > p[0] { [s.factor, s.travel] } else { p });
    let taken_up = |energy: f64| {
        let at = r.steps.windows(2).find(|w| w[1].work >= energy).map(|w| {
            let k = (energy - w[0].work) / (w[1].work - w[0].work);
            w[0].travel + k * (w[1].travel - w[0].travel)
        });
        (energy, at)
    };
    let drop = (shape.design.strength.drop > 0.0)
        .then(|| taken_up(shape::mass::laden(shape).mass * crate::GRAVITY * shape.design.strength.drop));
    let energy = case.published.as_ref().and_then(|p| p.energy).map(taken_up);
    let end = match r.end {
        End::Travel => "it has gone as far as was asked",
        End::Fallen => "the load has fallen under three tenths of its peak",
        End::Stopped | End::Steps => "as many steps as are allowed were taken: it would go on",
        End::TurnedBack => "only the way back was found, along which nothing yields: what comes after is not known",
        End::Lost => "no next point was found, however short the step: what comes after is not known",
    };
    Ok(Crushed {
        told: push.told.clone(),
        along: push.settings.along,
        curve: r.steps.iter().map(|s| [s.travel, s.factor, s.work]).collect(),
        peak,
        yields,
        slender: slender(shape, &hinges),
        hinges,
        entry,
        drop,
        energy,
        whole: matches!(r.end, End::Travel | End::Fallen),
        rising: r.end == End::Travel && r.steps.last().is_some_and(|s| s.factor >= peak[0]),
        end: end.to_owned(),
        steps,
        bars: tubes.clone(),
    })
}

/// Class 1 of EN 1993-1-1, table 5.2 (from memory): d/t up to 50 ε² of a round tube, c/t up to 33 ε of a box's flat wall,
/// ε² being 235 MPa over the yield strength.
fn slender(shape: &Shape, hinges: &[Hinge]) -> Vec<(String, [f64; 2])> {
    let d = &shape.design;
    let mut out: Vec<(String, [f64; 2])> = Vec::new();
    for t in shape.tubes.iter().filter(|t| hinges.iter().any(|h| h.tube == t.name)) {
        let section = &d.sections[t.section.0];
        let e2 = 235e6 / d.materials[section.material.0].yield_strength;
        let (slender, most) = match section.shape {
            SectionShape::Round { od, wall } => (od / wall, 50.0 * e2),
            SectionShape::Box { width, height, wall, corner } => {
                ((width.max(height) - 2.0 * corner.max(wall)) / wall, 33.0 * e2.sqrt())
            }
        };
        if slender > most {
            out.push((t.name.clone(), [slender, most]));
        }
    }
    out
}

/// Both ends of a stretch.
fn lies(cut: &Refined, beam: usize, poses: &[Pose]) -> [DVec3; 2] {
    let b = &cut.model.beams[beam];
    let end = |k: usize, at: DVec3| {
        let pose = &poses[b.nodes[k]];
        pose.at + pose.turn * (at - cut.model.nodes[b.nodes[k]])
    };
    [end(0, b.start()), end(1, b.end())]
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
    let [p, q] = lies(cut, beam, poses);
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
