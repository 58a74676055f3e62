//! Which tube would help most, and which one is missed least.

use frame::{Beam, Frame, Held, Influence, Response};
use geometry::DVec3;
use serde::Serialize;
use shape::Shape;

use crate::build::Built;
use crate::candidates::{Candidate, LeftOut, candidates};

/// A tube that could be added.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Brace {
    /// Names of the joints that it would join.
    pub joins: [String; 2],
    /// Whether its twin on the other side is meant, too; masses and gains are then of both.
    pub twin: bool,
    /// Length between the joints, m.
    pub length: f64,
    /// kg, between the joints.
    pub mass: f64,
    /// What each aim gains, as a part of what it is: [`Advice::aims`].
    pub gains: Vec<f64>,
}

/// What is lost when a tube is left out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Loss {
    /// The tube; with its twin, if it has one.
    pub tube: String,
    /// Whether its twin is left out, too.
    pub twin: bool,
    /// kg.
    pub mass: f64,
    /// What each aim loses, as a part of what it is; `None`: the frame, or a load, loses its hold.
    pub losses: Option<Vec<f64>>,
}

/// Advice.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Advice {
    /// What is looked at: stiffness in torsion, in bending, against each load.
    pub aims: Vec<String>,
    /// The section that added tubes would have.
    pub section: String,
    /// Number of candidates looked at.
    pub looked_at: usize,
    /// Pairs of joints left out.
    pub left_out: LeftOut,
    /// Those that gain most for each kilogram towards any aim; for each aim the best first.
    pub braces: Vec<Brace>,
    /// Every tube, the one that is missed least for each kilogram first.
    pub losses: Vec<Loss>,
}

/// Something that the frame should be stiff against.
pub(crate) struct Aim<'a> {
    pub name: String,
    pub held: &'a Held<'a>,
    pub response: &'a Response,
}

/// How many braces are told for each aim.
const BEST: usize = 12;

/// The lightest section that a tube of the design has.
fn lightest(shape: &Shape, built: &Built) -> Option<usize> {
    let weight = |s: usize| built.profiles[s].section.area * built.profiles[s].section.density;
    shape.tubes.iter().map(|t| t.section.0).min_by(|&a, &b| weight(a).total_cmp(&weight(b)))
}

fn beam(built: &Built, nodes: [usize; 2], section: usize) -> Option<Beam> {
    let places = nodes.map(|n| built.model.nodes[n]);
    let d = places[1] - places[0];
    let up = if d.normalize().z.abs() > 0.999 { DVec3::X } else { DVec3::Z };
    Beam::straight(nodes, places, section, up)
}

/// For each candidate what each aim gains: the work of its loads that is saved, as a part of it.
pub(crate) fn gains(
    built: &Built,
    aims: &[(&Influence<'_>, &Response, f64)],
    section: usize,
    all: &[Candidate],
) -> Vec<Vec<f64>> {
    all.iter()
        .map(|c| {
            let beams: Vec<Beam> =
                std::iter::once(c.nodes).chain(c.twin).filter_map(|n| beam(built, n, section)).collect();
            aims.iter()
                .map(|(influence, r, work)| {
                    let saved = influence.change(&beams, &[]).map_or(0.0, |x| x.work_saved(&r.motions));
                    // Stiffness is load over way: with less work for the same load it grows by saved / (work - saved).
                    if *work > 0.0 { saved / (work - saved) } else { 0.0 }
                })
                .collect()
        })
        .collect()
}

/// Twice the energy in the frame under an aim's loads: their work on the ways they make, for loads on nodes.
fn work(frame: &Frame, r: &Response) -> f64 {
    2.0 * frame.energies(&r.motions).iter().sum::<f64>()
}

/// Works out the advice. `None` if there is nothing to aim at.
pub(crate) fn advice(shape: &Shape, built: &Built, frame: &Frame, aims: &[Aim<'_>]) -> Option<Advice> {
    let section = lightest(shape, built)?;
    if aims.is_empty() {
        return None;
    }
    let s = &shape.design.sections[section];
    let reach = match s.shape {
        design::SectionShape::Round { od, .. } => od / 2.0,
        design::SectionShape::Box { width, height, .. } => width.max(height) / 2.0,
    };
    let (all, left_out) = candidates(shape, built, reach);
    let nodes: Vec<usize> = (0..built.model.nodes.len()).collect();
    // One preparation for all aims that are held alike.
    let mut prepared: Vec<(*const Held<'_>, Influence<'_>)> = Vec::new();
    for a in aims {
        let key = std::ptr::from_ref(a.held);
        if !prepared.iter().any(|p| std::ptr::eq(p.0, key)) {
            prepared.push((key, a.held.influence(&nodes).ok()?));
        }
    }
    let ready: Vec<(&Influence<'_>, &Response, f64)> = aims
        .iter()
        .filter_map(|a| {
            let p = prepared.iter().find(|p| std::ptr::eq(p.0, std::ptr::from_ref(a.held)))?;
            Some((&p.1, a.response, work(frame, a.response)))
        })
        .collect();
    let gains = gains(built, &ready, section, &all);
    let per_metre = built.profiles[section].section.area * built.profiles[section].section.density;
    let braces: Vec<Brace> = all
        .iter()
        .zip(gains)
        .map(|(c, gains)| {
            let [a, b] = c.nodes;
            let length = built.model.nodes[a].distance(built.model.nodes[b]);
            Brace {
                joins: c.nodes.map(|n| built.names[n].clone()),
                twin: c.twin.is_some(),
                length,
                mass: per_metre * length * if c.twin.is_some() { 2.0 } else { 1.0 },
                gains,
            }
        })
        .collect();
    let mut best: Vec<usize> = Vec::new();
    for k in 0..aims.len() {
        let mut order: Vec<usize> = (0..braces.len()).collect();
        let worth = |i: usize| braces[i].gains[k] / braces[i].mass;
        order.sort_by(|&i, &j| worth(j).total_cmp(&worth(i)));
        for i in order.into_iter().take(BEST) {
            if !best.contains(&i) {
                best.push(i);
            }
        }
    }
    let looked_at = braces.len();
    let chosen = best.into_iter().map(|i| braces[i].clone()).collect();
    Some(Advice {
        aims: aims.iter().map(|a| a.name.clone()).collect(),
        section: s.name.clone(),
        looked_at,
        left_out,
        braces: chosen,
        losses: losses(shape, built, &ready),
    })
}

/// The beams that must go for a tube to go: of each run between two nodes that other tubes hold, one. What is left of a run
/// hangs there and carries nothing. `None` if something hangs or pushes on a node that no other tube holds.
fn cut_out(built: &Built, tube: usize, loaded: &dyn Fn(usize) -> bool) -> Option<Vec<usize>> {
    let others =
        |n: usize| built.model.beams.iter().zip(&built.beams).any(|(b, t)| t.0 != tube && b.nodes.contains(&n));
    let mut out = Vec::new();
    let mut run: Option<usize> = None;
    for b in built.along(tube) {
        let [from, to] = built.model.beams[b].nodes;
        if (!others(from) && loaded(from)) || (!others(to) && loaded(to)) {
            return None;
        }
        if others(from) {
            run = Some(b);
        }
        if others(to)
            && let Some(first) = run.take()
        {
            out.push(first);
        }
    }
    Some(out)
}

fn losses(shape: &Shape, built: &Built, aims: &[(&Influence<'_>, &Response, f64)]) -> Vec<Loss> {
    let loaded = |n: usize| built.model.lumps.iter().any(|l| l.nodes.iter().any(|x| x.0 == n));
    let mut out: Vec<Loss> = shape
        .tubes
        .iter()
        .enumerate()
        .filter(|(i, t)| !t.twin && built.along(*i).next().is_some())
        .map(|(i, t)| {
            let twin = shape.tubes.get(i + 1).is_some_and(|n| n.id == t.id);
            let both: Vec<usize> = if twin { vec![i, i + 1] } else { vec![i] };
            let mass = both
                .iter()
                .flat_map(|&k| built.along(k))
                .map(|b| {
                    let beam = &built.model.beams[b];
                    let s = &built.model.sections[beam.section];
                    beam.length() * s.area * s.density
                })
                .sum();
            let gone: Option<Vec<usize>> =
                both.iter().map(|&k| cut_out(built, k, &loaded)).collect::<Option<Vec<_>>>().map(|v| v.concat());
            let losses = gone.and_then(|gone| {
                aims.iter()
                    .map(|(influence, r, work)| {
                        let saved = influence.change(&[], &gone)?.work_saved(&r.motions);
                        // Negative: more work for the same load. Stiffness falls by -saved / (work - saved).
                        Some(if *work > 0.0 { -saved / (work - saved) } else { 0.0 })
                    })
                    .collect::<Option<Vec<f64>>>()
            });
            Loss { tube: t.name.clone(), twin, mass, losses }
        })
        .collect();
    let most = |l: &Loss| l.losses.as_ref().map_or(f64::INFINITY, |v| v.iter().fold(0.0f64, |a, b| a.max(*b)) / l.mass);
    out.sort_by(|a, b| most(a).total_cmp(&most(b)));
    out
}
