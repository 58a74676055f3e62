//! One section from the question to a packing: quick search, bound, exact part, tidying.

use crate::Settings;
use crate::bound::Limits;
use crate::exact::{self, Exact, Known};
use crate::grid::nanometres;
use crate::instance::{Instance, Kind};
use crate::search::{self, Effort, Packing, slack};

/// A packing and what is known of all others.
#[derive(Clone)]
pub(crate) struct Outcome {
    pub packing: Packing,
    pub limits: Limits,
    /// No packing that costs no more uses fewer sticks.
    pub least_sticks: Option<usize>,
    /// No packing at all places every piece: proven, not merely not found.
    pub impossible: bool,
    /// The same sticks leave no longer single offcut: proven.
    pub longest_offcut: bool,
}

/// With a smaller limit only the cost is decided: neither the number of sticks nor the longest offcut.
const LEAST_FOR_ALL: u64 = 1_000_000;
/// Of the limit, the part that may go there: one in so many.
const OFFCUT_SHARE: u64 = 50;
/// An offcut is longer if it is so by at least this, nm: a millimetre, what a saw's stop can hold.
const LONGER: u64 = 1_000_000;

/// What is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Goal {
    /// Everything.
    Plan,
    /// A stick for every piece, nothing more.
    Place,
}

/// Plans one section.
pub(crate) fn solve(instance: &Instance, settings: &Settings, goal: Goal) -> Outcome {
    let limit = settings.limit;
    let mut limits = Limits::new(instance);
    let mut effort = search::effort(instance);
    let mut packing = search::first(instance, &limits, &mut effort);
    let mut known = Known { value: limits.value, sticks: limits.sticks.unwrap_or(0) };
    if goal == Goal::Place {
        return place(instance, limits, known, packing, limit, &mut effort);
    }
    let exact_part = limit > 0 && limits.value.is_some() && exact::fits(instance);
    if !exact_part || met(instance, &packing, &known) && packing.sticks.len() == known.sticks {
        search::improve(instance, &limits, &mut packing, &mut effort);
    } else {
        let mut own = Effort::new(limit);
        let mut exact = Exact::new(instance, limits.rows());
        if !met(instance, &packing, &known) {
            exact.tighten(&mut known, &packing, &mut own);
            limits.raise(known.value);
        }
        search::improve(instance, &limits, &mut packing, &mut effort);
        if !met(instance, &packing, &known) && known.value.is_some() {
            exact.cheapest(&mut known, &mut packing, &mut own);
            limits.raise(known.value);
        }
        if packing.left.is_empty() {
            exact.fewest(&mut known, &mut packing, limit >= LEAST_FOR_ALL, &mut own);
        }
    }
    search::tidy(instance, &limits, &mut packing, &mut effort);
    let mut longest_offcut = false;
    if packing.left.is_empty() && limit >= LEAST_FOR_ALL && exact::fits(instance) {
        let mut own = Effort::new(limit / OFFCUT_SHARE);
        let kerf = nanometres(settings.kerf);
        longest_offcut = lengthen(instance, &mut packing, kerf, &mut own);
        search::tidy(instance, &limits, &mut packing, &mut effort);
    }
    let impossible = known.value.is_none();
    let least_sticks = limits.value.map(|_| known.sticks);
    Outcome { packing, limits, least_sticks, impossible, longest_offcut }
}

/// Looks for a stick for every piece, or for the proof that there is none.
fn place(
    instance: &Instance,
    limits: Limits,
    mut known: Known,
    mut packing: Packing,
    limit: u64,
    effort: &mut Effort,
) -> Outcome {
    if !packing.left.is_empty() && known.value.is_some() {
        if limit > 0 && exact::fits(instance) {
            Exact::new(instance, limits.rows()).cheapest(&mut known, &mut packing, &mut Effort::new(limit));
        }
        if !packing.left.is_empty() && known.value.is_some() {
            search::improve(instance, &limits, &mut packing, effort);
        }
    }
    Outcome { packing, limits, least_sticks: None, impossible: known.value.is_none(), longest_offcut: false }
}

/// Makes the longest offcut longer as long as the same sticks allow it; true once no longer one is possible.
fn lengthen(instance: &Instance, packing: &mut Packing, kerf: u64, effort: &mut Effort) -> bool {
    loop {
        let longest = packing.sticks.iter().map(|stick| slack(instance, stick)).max().unwrap_or(0).max(kerf);
        match longer(instance, packing, longest, effort) {
            Answer::Yes(better) => *packing = better,
            Answer::No => return true,
            Answer::Unknown => return false,
        }
    }
}

enum Answer {
    Yes(Packing),
    No,
    Unknown,
}

/// Can one of the same sticks keep more than `longest`, by [`LONGER`]?
fn longer(instance: &Instance, packing: &Packing, longest: u64, effort: &mut Effort) -> Answer {
    let counts = packing.counts(instance);
    let spare: u64 = instance.kinds.iter().zip(&counts).map(|(kind, &count)| kind.room * count as u64).sum();
    if spare.saturating_sub(instance.need()) < longest + LONGER {
        // All that is left over together is no longer.
        return Answer::No;
    }
    let used = |kind: usize| Kind { count: Some(counts[kind]), value: 0, fee: 0, ..instance.kinds[kind].clone() };
    let mut unknown = false;
    for short in (0..counts.len()).filter(|&kind| counts[kind] > 0 && instance.kinds[kind].room >= longest + LONGER) {
        // Its stick is as much shorter as must be left over.
        let mut kinds: Vec<Kind> = (0..counts.len()).map(used).collect();
        kinds[short].count = Some(counts[short] - 1);
        let mut stub = used(short);
        stub.count = Some(1);
        stub.room -= longest + LONGER;
        kinds.push(stub);
        if kinds.iter().filter(|kind| kind.count > Some(0)).map(|kind| kind.room).max()
            < instance.weights.first().copied()
        {
            continue;
        }
        let sticks: Vec<usize> = kinds.iter().map(|kind| kind.count.unwrap_or(0)).collect();
        let question = Instance { kinds, ..instance.clone() };
        match Exact::new(&question, Vec::new()).holds(&sticks, effort) {
            exact::Holds::Yes(mut found) => {
                for stick in &mut found.sticks {
                    if stick.kind == counts.len() {
                        stick.kind = short;
                    }
                }
                // Fees count pieces per kind, and an empty stub would be a stick less: neither may get worse.
                if found.left.is_empty() && found.value(instance) <= packing.value(instance) {
                    found.sticks.retain(|stick| !stick.items.is_empty());
                    return Answer::Yes(found);
                }
                unknown = true;
            }
            exact::Holds::No => {}
            exact::Holds::Unknown => unknown = true,
        }
    }
    if unknown { Answer::Unknown } else { Answer::No }
}

/// Everything is placed at the least cost.
fn met(instance: &Instance, packing: &Packing, known: &Known) -> bool {
    packing.left.is_empty() && known.value == Some(packing.value(instance))
}
