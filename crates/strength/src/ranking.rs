//! What a change of the frame does to its stiffness and its largest use, without solving anew.

use frame::{Beam, Change, Edit, Frame, Held, Influence, Response};
use geometry::DVec3;

use crate::build::Built;
use crate::candidates::Candidate;
use crate::sections::Profile;
use crate::uses::{Uses, Worst};

/// What the frame should be stiff and strong against.
pub struct Aim<'a> {
    /// Its name.
    pub name: String,
    /// How it is held.
    pub held: &'a Held<'a>,
    /// Under its loads.
    pub response: &'a Response,
    /// Whether its stiffness is looked at: not if it moves a support.
    pub stiff: bool,
    /// The largest use wanted; `None` if use is not looked at, as on a rig.
    pub limit: Option<f64>,
}

/// A frame made ready for changes.
pub struct Ranking<'a> {
    built: &'a Built,
    influences: Vec<Influence<'a>>,
    /// Of the stiff aims: the influence, the response, twice the energy.
    stiff: Vec<(usize, &'a Response, f64)>,
    /// Of the aims with a limit: the influence, the response.
    pressed: Vec<(usize, &'a Response)>,
    uses: Option<Uses<'a>>,
}

/// Twice the energy in the frame under an aim's loads: their work on the ways they make, for loads on nodes.
fn work(frame: &Frame, r: &Response) -> f64 {
    2.0 * frame.energies(&r.motions).iter().sum::<f64>()
}

impl<'a> Ranking<'a> {
    /// Prepares: for each way of holding it one solve for each freedom. `None` if one fails.
    pub fn new(built: &'a Built, frame: &'a Frame, aims: &[Aim<'a>]) -> Option<Ranking<'a>> {
        let nodes: Vec<usize> = (0..built.model.nodes.len()).collect();
        let mut held: Vec<*const Held<'_>> = Vec::new();
        let mut influences: Vec<Influence<'a>> = Vec::new();
        let (mut stiff, mut pressed, mut limits) = (Vec::new(), Vec::new(), Vec::new());
        for a in aims {
            let k = match held.iter().position(|h| std::ptr::eq(*h, a.held)) {
                Some(k) => k,
                None => {
                    held.push(std::ptr::from_ref(a.held));
                    influences.push(a.held.influence(&nodes).ok()?);
                    influences.len() - 1
                }
            };
            if a.stiff {
                stiff.push((k, a.response, work(frame, a.response)));
            }
            if let Some(limit) = a.limit {
                pressed.push((k, a.response));
                limits.push((a.response, limit));
            }
        }
        let uses = Uses::new(built, frame, &limits);
        Some(Ranking { built, influences, stiff, pressed, uses })
    }

    /// The largest use as a part of its limit before any change: the number of its case among those with a limit, the beam.
    pub(crate) fn now(&self) -> Option<Worst> {
        self.uses.as_ref().map(|u| u.now)
    }

    /// The beams of a candidate of a section, with its twin.
    pub fn beams(&self, candidate: &Candidate, section: usize) -> Vec<Edit> {
        let nodes: Vec<[usize; 2]> = std::iter::once(candidate.nodes).chain(candidate.twin).collect();
        beams(self.built, &nodes, section)
    }

    /// Tries a change; `None` if the frame, or something on it, loses its hold. `resized`: what a beam of another section has.
    pub fn trial(&self, edits: Vec<Edit>, resized: Option<Profile>) -> Option<Trial<'_>> {
        let changes = self.influences.iter().map(|i| i.change(&edits)).collect::<Option<Vec<_>>>()?;
        Some(Trial { ranking: self, edits, resized, changes })
    }
}

/// Straight beams of a section between pairs of nodes.
pub(crate) fn beams(built: &Built, between: &[[usize; 2]], section: usize) -> Vec<Edit> {
    let beam = |&nodes: &[usize; 2]| {
        let places = nodes.map(|n| built.corners[n].0);
        let d = places[1] - places[0];
        let up = if d.normalize().z.abs() > UPRIGHT { DVec3::X } else { DVec3::Z };
        Beam::straight(nodes, places, section, up)
    };
    between.iter().filter_map(beam).map(Edit::Add).collect()
}

/// Beyond this cosine to the vertical a tube's section is turned forwards, as upwards would say nothing.
const UPRIGHT: f64 = 0.999;

/// A change that is tried.
pub struct Trial<'a> {
    ranking: &'a Ranking<'a>,
    edits: Vec<Edit>,
    resized: Option<Profile>,
    /// For each way of holding the frame.
    changes: Vec<Change<'a>>,
}

impl Trial<'_> {
    /// What the stiffness against each stiff aim gains, as a part of what it is; negative: it loses.
    pub fn gains(&self) -> Vec<f64> {
        // Stiffness is load over way: with less work for the same load it grows by saved / (work - saved).
        self.ranking
            .stiff
            .iter()
            .map(|&(k, r, work)| {
                let saved = self.changes[k].work_saved(&r.motions);
                if work > 0.0 { saved / (work - saved) } else { 0.0 }
            })
            .collect()
    }

    fn profile(&self, beam: usize) -> Option<Profile> {
        let is = |e: &Edit| matches!(e, Edit::Resize(b, _) if *b == beam);
        self.resized.filter(|_| self.edits.iter().any(is))
    }

    /// A bound from below on [`Trial::used`], at a small part of its cost.
    pub fn used_at_least(&self) -> Option<f64> {
        let r = self.ranking;
        let after = |c: usize| self.changes[r.pressed[c].0].after(r.pressed[c].1);
        Some(r.uses.as_ref()?.at_least(after, |b| self.profile(b)))
    }

    /// The largest use as a part of its limit, over all aims with one; `None` if there are none.
    pub fn used(&self) -> Option<f64> {
        let r = self.ranking;
        let after = |c: usize| self.changes[r.pressed[c].0].after(r.pressed[c].1);
        Some(r.uses.as_ref()?.after(&self.edits, after, |b| self.profile(b)))
    }
}

/// A candidate's number, its gains, the largest use with it; the latter only of those that were looked at closely.
#[derive(Clone, Debug, PartialEq)]
pub struct Ranked {
    /// Its place in the list.
    pub candidate: usize,
    /// As [`Trial::gains`].
    pub gains: Vec<f64>,
    /// As [`Trial::used`].
    pub used: Option<f64>,
}

/// The best candidates of a section: for each stiff aim the `best` that gain most for each kilogram, then the `best` that
/// lower the largest use most for each kilogram. `masses` are theirs, kg.
///
/// The largest use is worked out for those that can be among the best: a bound from the places that are used most now says
/// which.
pub fn best(ranking: &Ranking<'_>, section: usize, all: &[Candidate], masses: &[f64], best: usize) -> Vec<Ranked> {
    let trial = |i: usize| ranking.trial(ranking.beams(&all[i], section), None);
    let looked: Vec<Option<(Vec<f64>, Option<f64>)>> =
        (0..all.len()).map(|i| trial(i).map(|t| (t.gains(), t.used_at_least()))).collect();
    let mut chosen: Vec<usize> = Vec::new();
    let mut choose = |i: usize| {
        if !chosen.contains(&i) {
            chosen.push(i);
        }
    };
    let there: Vec<usize> = (0..all.len()).filter(|&i| looked[i].is_some()).collect();
    for k in 0..ranking.stiff.len() {
        let worth = |i: usize| looked[i].as_ref().map_or(0.0, |x| x.0[k]) / masses[i];
        let mut order = there.clone();
        order.sort_by(|&i, &j| worth(j).total_cmp(&worth(i)));
        order.into_iter().take(best).for_each(&mut choose);
    }
    let mut known: Vec<Option<f64>> = vec![None; all.len()];
    if let Some(now) = ranking.now() {
        let most = |i: usize| (now.part - looked[i].as_ref().and_then(|x| x.1).unwrap_or(f64::INFINITY)) / masses[i];
        let mut order = there;
        order.sort_by(|&i, &j| most(j).total_cmp(&most(i)));
        let mut found: Vec<(f64, usize)> = Vec::new();
        for i in order {
            if found.len() >= best && found.last().is_none_or(|f| f.0 >= most(i)) {
                break;
            }
            let Some(used) = trial(i).and_then(|t| t.used()) else { continue };
            known[i] = Some(used);
            let worth = (now.part - used) / masses[i];
            let at = found.partition_point(|f| f.0 >= worth);
            found.insert(at, (worth, i));
            found.truncate(best);
        }
        found.into_iter().for_each(|f| choose(f.1));
    }
    chosen
        .into_iter()
        .map(|i| Ranked {
            candidate: i,
            gains: looked[i].as_ref().map_or_else(Vec::new, |x| x.0.clone()),
            used: known[i].or_else(|| trial(i)?.used()),
        })
        .collect()
}
