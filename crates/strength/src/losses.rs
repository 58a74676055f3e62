//! What is lost when a tube goes, or gets one size smaller.

use std::collections::HashSet;

use frame::{Edit, Hold, Loads};
use serde::Serialize;
use shape::Shape;

use crate::build::Built;
use crate::ranking::Ranking;
use crate::sizes::{Size, smaller};

/// What is lost when a tube is left out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Loss {
    /// The tube; with its twin, if it has one.
    pub tube: String,
    /// Whether its twin is left out, too.
    pub twin: bool,
    /// kg.
    pub mass: f64,
    /// What the stiffness against each aim loses, as a part of what it is; `None`: the frame, or a load, loses its hold.
    pub losses: Option<Vec<f64>>,
    /// The largest use without it, as a part of its limit; `None` as above, or if no load is looked at.
    pub used: Option<f64>,
    /// The same of the next smaller size; `None` if there is none.
    pub smaller: Option<Smaller>,
}

/// What is lost when a tube is one size smaller.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Smaller {
    /// The size: a section of the design, or a built-in size.
    pub size: String,
    /// kg saved.
    pub saved: f64,
    /// What the stiffness against each aim loses, as a part of what it is.
    pub losses: Vec<f64>,
    /// The largest use with it, as a part of its limit; `None` if no load is looked at.
    pub used: Option<f64>,
}

/// What loads need to act on.
#[derive(Clone, Debug, Default)]
pub(crate) struct Needed {
    /// Nodes that are pushed or held.
    pub nodes: HashSet<usize>,
    /// Beams that are loaded along their length.
    pub beams: HashSet<usize>,
}

impl Needed {
    /// By loads and what is held under them.
    pub fn by<'a>(cases: impl Iterator<Item = (&'a [Hold], &'a Loads)>) -> Needed {
        let mut out = Needed::default();
        for (holds, loads) in cases {
            out.nodes.extend(holds.iter().map(|h| h.node).chain(loads.nodal.iter().map(|n| n.0)));
            out.beams.extend(loads.spread.iter().map(|s| s.0));
        }
        out
    }
}

/// The beams that must go for a tube to go: of each run between two nodes that other tubes hold, one. What is left of a run
/// hangs there and carries nothing. `None` if something hangs, pushes or is held on a node that no other tube holds.
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

/// Every tube, the one that is missed least for each kilogram first. `needed` are the nodes that loads push or hold: a tube
/// that alone carries one of them, or a load along itself, can't be told as missed.
pub(crate) fn losses(shape: &Shape, built: &Built, ranking: &Ranking<'_>, needed: &Needed) -> Vec<Loss> {
    let hung = |n: usize| built.model.lumps.iter().any(|l| l.nodes.iter().any(|c| c.node == n));
    let loaded = |n: usize| needed.nodes.contains(&n) || hung(n);
    let sizes: Vec<Option<Size>> =
        (0..built.profiles.len()).map(|k| smaller(&shape.design, &built.profiles, k)).collect();
    let mut out: Vec<Loss> = shape
        .tubes
        .iter()
        .enumerate()
        .filter(|(i, t)| !t.twin && built.along(*i).next().is_some())
        .map(|(i, t)| {
            let twin = shape.tubes.get(i + 1).is_some_and(|n| n.id == t.id);
            let both: Vec<usize> = if twin { vec![i, i + 1] } else { vec![i] };
            let beams: Vec<usize> = both.iter().flat_map(|&k| built.along(k)).collect();
            let length: f64 = beams.iter().map(|&b| built.model.beams[b].length()).sum();
            let weight = |p: &frame::Section| p.area * p.density;
            let own = weight(&built.profiles[t.section.0].section);
            let carries = beams.iter().any(|b| needed.beams.contains(b));
            let gone: Option<Vec<usize>> = both
                .iter()
                .map(|&k| cut_out(built, k, &loaded).filter(|_| !carries))
                .collect::<Option<Vec<_>>>()
                .map(|v| v.concat());
            let trial = gone.and_then(|gone| ranking.trial(gone.into_iter().map(Edit::Remove).collect(), None));
            let lost = |gains: Vec<f64>| gains.into_iter().map(|g| -g).collect::<Vec<f64>>();
            let smaller = sizes[t.section.0].as_ref().and_then(|z| {
                let edits = beams.iter().map(|&b| Edit::Resize(b, z.profile.section)).collect();
                let trial = ranking.trial(edits, Some(z.profile))?;
                Some(Smaller {
                    size: z.name.clone(),
                    saved: length * (own - weight(&z.profile.section)),
                    losses: lost(trial.gains()),
                    used: trial.used(),
                })
            });
            Loss {
                tube: t.name.clone(),
                twin,
                mass: length * own,
                losses: trial.as_ref().map(|t| lost(t.gains())),
                used: trial.and_then(|t| t.used()),
                smaller,
            }
        })
        .collect();
    let most = |l: &Loss| l.losses.as_ref().map_or(f64::INFINITY, |v| v.iter().fold(0.0f64, |a, b| a.max(*b)) / l.mass);
    out.sort_by(|a, b| most(a).total_cmp(&most(b)));
    out
}
