//! Which tube would help most, and which one is missed least.

use frame::Frame;
use serde::Serialize;
use shape::Shape;

use crate::build::Built;
use crate::candidates::{LeftOut, candidates};
use crate::ledger::{Ledger, ledger};
use crate::losses::{Loss, Needed, losses};
use crate::pushed_braces::PushedBrace;
use crate::ranking::{Aim, Ranking, best};

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
    /// What the stiffness against each aim gains, as a part of what it is: [`Advice::aims`].
    pub gains: Vec<f64>,
    /// The largest use with it, as a part of its limit; `None` if no load is looked at.
    pub used: Option<f64>,
    /// The nodes that it and its twin join, as [`crate::Answer::nodes`] counts them.
    #[serde(skip)]
    pub nodes: Vec<[usize; 2]>,
}

/// The largest use of the frame as it is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Now {
    /// The load.
    pub load: String,
    /// The tube.
    pub tube: String,
    /// Use as a part of that load's limit.
    pub part: f64,
}

/// Advice.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Advice {
    /// What is looked at: stiffness in torsion, in bending, against each load.
    pub aims: Vec<String>,
    /// The largest use now, over the loads that are looked at.
    pub now: Option<Now>,
    /// The section that added tubes would have.
    pub section: String,
    /// Number of candidates looked at.
    pub looked_at: usize,
    /// Pairs of joints left out.
    pub left_out: LeftOut,
    /// Those that gain most for each kilogram towards any aim, or lower the largest use most; for each aim the best first.
    pub braces: Vec<Brace>,
    /// Every tube, the one that is missed least for each kilogram first.
    pub losses: Vec<Loss>,
    /// Kilograms against what they buy.
    pub ledger: Ledger,
    /// What a few of the braces gain in collapse load, for each load pushed past yielding; empty if not asked for.
    pub pushed: Vec<PushedBrace>,
    /// The section's place in the design.
    #[serde(skip)]
    pub(crate) section_index: usize,
}

/// How many braces are told for each aim.
const BEST: usize = 12;

/// The lightest section that a tube of the design has.
fn lightest(shape: &Shape, built: &Built) -> Option<usize> {
    let weight = |s: usize| built.profiles[s].section.area * built.profiles[s].section.density;
    shape.tubes.iter().map(|t| t.section.0).min_by(|&a, &b| weight(a).total_cmp(&weight(b)))
}

/// Works out the advice. `None` if there is nothing to aim at.
pub(crate) fn advice(shape: &Shape, built: &Built, frame: &Frame, aims: &[Aim<'_>], needed: &Needed) -> Option<Advice> {
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
    let ranking = Ranking::new(built, frame, aims)?;
    let per_metre = built.profiles[section].section.area * built.profiles[section].section.density;
    let length = |nodes: [usize; 2]| built.corners[nodes[0]].0.distance(built.corners[nodes[1]].0);
    let masses: Vec<f64> =
        all.iter().map(|c| per_metre * length(c.nodes) * if c.twin.is_some() { 2.0 } else { 1.0 }).collect();
    let braces = best(&ranking, section, &all, &masses, BEST)
        .into_iter()
        .map(|r| {
            let c = &all[r.candidate];
            Brace {
                joins: c.nodes.map(|n| built.corners[n].1.clone()),
                twin: c.twin.is_some(),
                length: length(c.nodes),
                mass: masses[r.candidate],
                gains: r.gains,
                used: r.used,
                nodes: std::iter::once(c.nodes).chain(c.twin).collect(),
            }
        })
        .collect();
    let names: Vec<String> = aims.iter().filter(|a| a.stiff).map(|a| a.name.clone()).collect();
    let now = ranking.now().map(|w| Now {
        load: aims.iter().filter(|a| a.limit.is_some()).nth(w.case).map_or_else(String::new, |a| a.name.clone()),
        tube: shape.tubes[built.beams[w.beam].0].name.clone(),
        part: w.part,
    });
    let losses = losses(shape, built, &ranking, needed);
    let ledger = ledger(&names, now.as_ref().map(|n| n.part), &losses);
    Some(Advice {
        aims: names,
        now,
        section: s.name.clone(),
        looked_at: all.len(),
        left_out,
        braces,
        losses,
        ledger,
        pushed: Vec::new(),
        section_index: section,
    })
}

impl Advice {
    /// What a brace is worth for each kilogram: what stiffness against an aim gains, or, one beyond the last aim, by how much
    /// the largest use falls.
    fn worth(&self, i: usize, aim: usize) -> f64 {
        let b = &self.braces[i];
        let gain = match (b.gains.get(aim), &self.now, b.used) {
            (Some(g), ..) => *g,
            (None, Some(n), Some(u)) => n.part - u,
            _ => 0.0,
        };
        gain / b.mass
    }

    /// The places in [`Advice::braces`] of so many that gain most for their mass, for each aim and in use; one that is best
    /// for two stands once.
    pub fn shown(&self, best: usize) -> Vec<usize> {
        let mut shown: Vec<usize> = Vec::new();
        for k in 0..=self.aims.len() {
            let mut order: Vec<usize> = (0..self.braces.len()).filter(|&i| self.worth(i, k) > 0.0).collect();
            order.sort_by(|&i, &j| self.worth(j, k).total_cmp(&self.worth(i, k)));
            for i in order.into_iter().take(best) {
                if !shown.contains(&i) {
                    shown.push(i);
                }
            }
        }
        shown
    }

    /// The aim, or `use`, for which a brace ranks highest among those told, and what it is worth there for each kilogram.
    pub fn best_for(&self, i: usize) -> (String, f64) {
        let rank = |k: usize| (0..self.braces.len()).filter(|&j| self.worth(j, k) > self.worth(i, k)).count();
        let aims = if self.now.is_some() { self.aims.len() + 1 } else { self.aims.len() };
        (0..aims).min_by_key(|&k| rank(k)).map_or((String::new(), 0.0), |k| {
            (self.aims.get(k).map_or("use", String::as_str).to_owned(), self.worth(i, k))
        })
    }
}
