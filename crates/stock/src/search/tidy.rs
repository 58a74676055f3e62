//! Once the value is settled: fewer and shorter sticks, longer offcuts.

use super::fill::{Effort, fill};
use super::{Packing, load, refill, slack, worth_trying};
use crate::bound::Limits;
use crate::instance::Instance;

/// Part of the effort that one try to close a stick may take.
const SHARE_PER_TRY: u64 = 6;
/// A try with less effort than this is not worth starting.
const LEAST_TRY: u64 = 500;
/// Changes listed at once: all of them for any rack of up to a hundred kinds.
const MOST_CHANGES: usize = 10_000;
/// Steps for gathering offcuts, and for filling one stick meanwhile.
const GATHER_EFFORT: u64 = 200_000;
const STEPS_PER_FILL: u64 = 250;
/// What looking at two sticks costs besides the subset search, in steps.
const STEPS_PER_PAIR: u64 = 8;

/// Tries to leave sticks on hand whole, the longest first, or to take shorter ones on hand in their place.
pub(super) fn close_sticks(instance: &Instance, limits: &Limits, best: &mut Packing, effort: &mut Effort) {
    if !best.left.is_empty() {
        return;
    }
    let mut failed: Vec<Vec<usize>> = Vec::new();
    'again: loop {
        let counts = best.counts(instance);
        for change in changes(instance, &counts) {
            let mut set = counts.clone();
            set[change.out] -= 1;
            if let Some(kind) = change.instead {
                set[kind] += 1;
            }
            if failed.contains(&set) || !worth_trying(limits, &set, effort) {
                continue;
            }
            let mut part = effort.share(effort.left() / SHARE_PER_TRY);
            if part.left() < LEAST_TRY {
                return;
            }
            let tried = refill::pack(instance, &set, best, &mut part);
            effort.give_back(part);
            if tried.left.is_empty() {
                *best = tried;
                continue 'again;
            }
            failed.push(set);
        }
        return;
    }
}

/// A stick on hand that stays whole.
struct Change {
    saved: u64,
    out: usize,
    /// Shorter stick on hand that takes its place.
    instead: Option<usize>,
}

/// Changes to the sticks on hand, most length saved first.
fn changes(instance: &Instance, counts: &[usize]) -> Vec<Change> {
    let on_hand = |kind: &usize| instance.kinds[*kind].count.is_some();
    let mut changes = Vec::new();
    for out in (0..counts.len()).filter(on_hand).filter(|&kind| counts[kind] > 0) {
        let length = instance.kinds[out].length;
        changes.push(Change { saved: length, out, instead: None });
        for other in (0..counts.len()).filter(on_hand) {
            let kind = &instance.kinds[other];
            if kind.length < length && kind.count.is_some_and(|count| count > counts[other]) {
                changes.push(Change { saved: length - kind.length, out, instead: Some(other) });
            }
        }
        if changes.len() > MOST_CHANGES {
            break;
        }
    }
    changes.sort_by_key(|change| (std::cmp::Reverse(change.saved), change.out, change.instead));
    changes
}

/// Gives each stick's pieces to a cheaper or shorter kind that takes them.
pub(super) fn shrink(instance: &Instance, packing: &mut Packing) {
    let mut counts = packing.counts(instance);
    for stick in &mut packing.sticks {
        let needed = load(instance, &stick.items);
        let price = |kind: usize| (instance.kinds[kind].value, instance.kinds[kind].length);
        let free = |&kind: &usize| instance.kinds[kind].count.is_none_or(|count| counts[kind] < count);
        let better = (0..counts.len())
            .filter(free)
            .filter(|&kind| instance.kinds[kind].room >= needed && price(kind) < price(stick.kind))
            .min_by_key(|&kind| price(kind));
        if let Some(kind) = better {
            counts[stick.kind] -= 1;
            counts[kind] += 1;
            stick.kind = kind;
        }
    }
}

/// Gathers what is left over: of two sticks the one with less left is filled up from the one with more, as long as
/// that helps. A stick that ends up empty goes back.
pub(super) fn gather_offcuts(instance: &Instance, packing: &mut Packing) {
    let mut effort = Effort::new(GATHER_EFFORT);
    let (mut weights, mut best) = (Vec::new(), Vec::new());
    let mut changed = true;
    while changed && !effort.spent() {
        changed = false;
        packing.sticks.sort_by_key(|stick| std::cmp::Reverse(slack(instance, stick)));
        'pairs: for from in 0..packing.sticks.len() {
            for to in from + 1..packing.sticks.len() {
                effort.spend(STEPS_PER_PAIR);
                if effort.spent() {
                    break 'pairs;
                }
                if slack(instance, &packing.sticks[to]) == 0
                    || slack(instance, &packing.sticks[from]) < slack(instance, &packing.sticks[to])
                {
                    continue;
                }
                let mut offer = packing.sticks[to].items.clone();
                offer.extend(&packing.sticks[from].items);
                offer.sort_unstable();
                weights.clear();
                weights.extend(offer.iter().map(|&item| instance.weights[item]));
                let room = instance.kinds[packing.sticks[to].kind].room;
                let sum = fill(&weights, room, STEPS_PER_FILL, &mut effort, &mut best);
                if sum > load(instance, &packing.sticks[to].items) {
                    let filled: Vec<usize> = best.iter().map(|&at| offer[at]).collect();
                    offer.retain(|item| !filled.contains(item));
                    packing.sticks[to].items = filled;
                    packing.sticks[from].items = offer;
                    changed = true;
                }
            }
        }
        packing.sticks.retain(|stick| !stick.items.is_empty());
    }
    shrink(instance, packing);
}
