//! What is pushed past yielding: the frame in straight bars, sections as fibres, and the place that tells how far.

use frame::collapse::{Fibres, Settings};
use frame::{Frame, HeldError, Hold, Loads, Refined};
use geometry::{DVec2, DVec3, Outline, Segment};
use shape::Shape;

use crate::build::Built;
use crate::cases::{Case, own};
use crate::places::Placed;

/// Fibres round a section.
const FIBRES: usize = 48;

/// Slope after yielding as a part of the modulus: next to none, as the yield strength is all that is relied on. Not zero: see
/// [`Fibres::hardening`].
const HARDENING: f64 = 1e-5;

/// The path ends when the load has fallen under this part of its peak.
const FALLEN: f64 = 0.3;

/// Steps to the whole way asked for, at the least.
const STEPS: f64 = 100.0;

/// Most steps.
const MOST: usize = 400;

/// How fine the bars are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cuts {
    /// Largest angle of a part of a bend that counts as straight, rad.
    pub angle: f64,
    /// Parts of a leg between those at its ends.
    pub parts: usize,
    /// Length of a part at a leg's end, as a multiple of the section's reach; 0: there is none.
    pub end: f64,
}

impl Default for Cuts {
    /// Bends by 15°, whose chords lie within 0.3 % of the radius; legs with ends half as long as the section is wide.
    fn default() -> Cuts {
        Cuts { angle: std::f64::consts::PI / 12.0, parts: 1, end: 1.0 }
    }
}

/// Parts of a leg between its ends that carries a load along it: what bars carry along them acts at their ends, which leaves
/// moments there exact, and a hinge may be half a part off. A fixed and propped beam is then 1 % too strong at most.
const LOADED: usize = 8;

/// The same where tubes carry their own weight, or what presses on it, alone.
const WEIGHED: usize = 2;

/// A case as it is pushed past yielding.
#[derive(Clone, Debug)]
pub struct Push {
    /// The frame in straight bars.
    pub cut: Refined,
    /// Each bar's tube.
    pub tubes: Vec<usize>,
    /// Each section's fibres.
    pub fibres: Vec<Fibres>,
    /// Loads, which grow together.
    pub loads: Loads,
    /// What is held.
    pub holds: Vec<Hold>,
    /// Which node tells how far, and the steps.
    pub settings: Settings,
    /// What that node is.
    pub told: String,
}

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

/// Places that cut into so many even parts.
fn even(parts: usize) -> Vec<f64> {
    (1..parts).map(|k| k as f64 / parts as f64).collect()
}

/// A place where a tube was cut, in words.
fn between(shape: &Shape, built: &Built, cut: &Refined, node: usize) -> String {
    let at = cut.model.nodes[node];
    let Some(k) = cut.model.beams.iter().position(|b| b.nodes.contains(&node)) else { return String::new() };
    let tube = &shape.tubes[built.beams[cut.of[k]].0];
    let station = (tube.chain.nearest(at).0 * 1e4).round() / 1e4;
    format!("{} at {} from its start", tube.name, crate::findings::length(station, shape.design.units))
}

impl Push {
    pub(crate) fn new(shape: &Shape, built: &Built, case: &Case, travel: f64, cuts: Cuts) -> Result<Push, HeldError> {
        let cut = built.model.cut(|beam, p| match p.segment {
            Segment::Arc { sweep, .. } => even((sweep / cuts.angle).ceil() as usize),
            Segment::Leg { length, .. } => {
                let end = cuts.end * shape.tubes[built.beams[beam].0].outline.reach() / length;
                if end <= 0.0 {
                    return even(cuts.parts);
                }
                let parts = if case.loads.spread.iter().any(|s| s.0 == beam) {
                    cuts.parts.max(LOADED)
                } else if case.loads.field != DVec3::ZERO {
                    cuts.parts.max(WEIGHED)
                } else {
                    cuts.parts
                };
                // Short parts at both ends, where hinges come.
                let end = end.min(1.0 / (parts + 2) as f64);
                (0..=parts).map(|k| end + (1.0 - 2.0 * end) * k as f64 / parts as f64).collect()
            }
        });
        // A section's outline is the same on all tubes that have it.
        let fibres = (0..built.profiles.len())
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
        // The place that moves most while all is elastic, in the middle of a tube, too.
        let fine = Frame::new(cut.model.clone()).map_err(HeldError::Frame)?;
        let elastic = fine.held(&case.holds)?.solve(std::slice::from_ref(&loads)).map_err(HeldError::Frame)?.remove(0);
        let way = |n: usize| frame::six::first(&elastic.motions[n]);
        let node = (0..elastic.motions.len()).max_by(|&a, &b| way(a).length().total_cmp(&way(b).length())).unwrap_or(0);
        let settings = Settings {
            node,
            along: way(node).normalize_or_zero(),
            travel,
            fallen: FALLEN,
            first: travel / STEPS / 10.0,
            longest: travel / STEPS,
            steps: MOST,
        };
        let tubes = cut.of.iter().map(|&b| built.beams[b].0).collect();
        let told = built.names.get(node).cloned().unwrap_or_else(|| between(shape, built, &cut, node));
        Ok(Push { cut, tubes, fibres, loads, holds: case.holds.clone(), settings, told })
    }

    /// A load of the design, so far past yielding as it asks for: the model alone, to be worked out by another program.
    /// `None` if there is no such load or it can't be worked out.
    pub fn of(shape: &Shape, load: &str, cuts: Cuts) -> Option<Push> {
        let l = shape.design.loads.iter().find(|l| l.name == load)?;
        let mut placed = Placed::new(shape);
        placed.hang(shape);
        let case = own(shape, &placed, l).ok()?;
        Push::new(shape, &placed.built, &case, l.collapse, cuts).ok()
    }
}
