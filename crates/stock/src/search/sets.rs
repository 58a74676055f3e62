//! Cheaper sets of sticks, tried one after the other.

use super::fill::Effort;
use super::{Packing, complete, refill, worth_trying};
use crate::bound::Limits;
use crate::instance::Instance;

/// Most sets listed at once: all of them with one or two kinds to be bought, enough of them with more.
const MOST_SETS: usize = 2000;
/// Most partial sets looked at for that, and most kinds that are mixed: those of best value.
const MOST_PARTIAL: usize = 20_000;
const MOST_MIXED: usize = 8;
/// What listing a set costs, in steps.
const STEPS_PER_SET: u64 = 30;
/// Part of the effort that is kept for tidying up.
const KEPT_SHARE: u64 = 6;
/// A try with less effort than this is not worth starting.
const LEAST_TRY: u64 = 2000;

/// Replaces `best` by packings that place more or buy for less, as long as limits and effort let it.
pub(super) fn cheaper(instance: &Instance, limits: &Limits, best: &mut Packing, effort: &mut Effort) {
    let mut own = effort.share(effort.left() - effort.left() / KEPT_SHARE);
    if !best.left.is_empty() {
        place_more(instance, best, &mut own);
    }
    if best.left.is_empty() {
        buy_less(instance, limits, best, &mut own);
    }
    effort.give_back(own);
}

/// Tries to place what is left with the whole rack and what else can be bought.
fn place_more(instance: &Instance, best: &mut Packing, effort: &mut Effort) {
    let mut counts = best.counts(instance);
    for (count, kind) in counts.iter_mut().zip(&instance.kinds) {
        *count = kind.count.unwrap_or(*count);
    }
    let bought = (0..counts.len()).filter(|&kind| instance.kinds[kind].count.is_none());
    if let Some(longest) = bought.max_by_key(|&kind| instance.kinds[kind].room) {
        let left = super::load(instance, &best.left);
        counts[longest] += left.div_ceil(instance.kinds[longest].room) as usize;
    }
    let mut part = effort.share(effort.left() / 2);
    let tried = refill::pack(instance, &counts, best, &mut part);
    effort.give_back(part);
    if tried.score(instance) < best.score(instance) {
        *best = tried;
    }
}

/// Tries sets of bought sticks below the present value, the roomiest first, always with the whole rack.
fn buy_less(instance: &Instance, limits: &Limits, best: &mut Packing, effort: &mut Effort) {
    let Some(least) = limits.value else { return };
    let mut failed: Vec<Vec<usize>> = Vec::new();
    while best.score(instance).value > least {
        let sets = sets_between(instance, least, best.score(instance).value);
        effort.spend(STEPS_PER_SET * sets.len() as u64);
        let mut improved = false;
        for (at, set) in sets.iter().enumerate() {
            let hopeless = |worse: &Vec<usize>| set.iter().zip(worse).all(|(a, b)| a <= b);
            if failed.iter().any(hopeless) || !worth_trying(limits, set, effort) {
                continue;
            }
            let mut part = effort.share(effort.left() / (sets.len() - at).min(4) as u64);
            if part.left() < LEAST_TRY {
                return;
            }
            let mut completing = part.share(part.left() / 2);
            let tried = complete::pack(instance, set, &mut completing);
            part.give_back(completing);
            let tried = tried.unwrap_or_else(|| refill::pack(instance, set, best, &mut part));
            effort.give_back(part);
            if tried.left.is_empty() && tried.score(instance) < best.score(instance) {
                *best = tried;
                improved = true;
                break;
            }
            failed.push(set.clone());
        }
        if !improved {
            return;
        }
    }
}

/// Sets of bought sticks worth at least `least` and less than `most`, with the whole rack and room enough, the
/// roomiest first.
fn sets_between(instance: &Instance, least: u64, most: u64) -> Vec<Vec<usize>> {
    let need = instance.need();
    let mut set: Vec<usize> = instance.kinds.iter().map(|kind| kind.count.unwrap_or(0)).collect();
    let mut paid = Vec::new();
    for (at, kind) in instance.kinds.iter().enumerate().filter(|(_, kind)| kind.count.is_none()) {
        if kind.value == 0 {
            set[at] = need.div_ceil(kind.room) as usize;
        } else {
            paid.push(at);
        }
    }
    // The best value last: its number follows from the others', so that sets of mostly the best come first.
    let per_room = |kind: &usize| instance.kinds[*kind].value as f64 / instance.kinds[*kind].room as f64;
    paid.sort_by(|a, b| per_room(b).total_cmp(&per_room(a)));
    paid.drain(..paid.len().saturating_sub(MOST_MIXED));
    let mut list = Vec::new();
    let room = instance.kinds.iter().zip(&set).map(|(kind, &count)| u128::from(kind.room) * count as u128).sum();
    let mut range = Range { instance, need: u128::from(need), least, most, partial: 0 };
    range.list(&paid, 0, room, &mut set, &mut list);
    list.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    list.into_iter().map(|(_, _, set)| set).collect()
}

/// What the sets listed have in common.
struct Range<'a> {
    instance: &'a Instance,
    need: u128,
    least: u64,
    most: u64,
    /// Partial sets looked at.
    partial: usize,
}

impl Range<'_> {
    /// Adds to `list` every set, with its room and value, that `set` can become by adding sticks of the kinds `paid`.
    fn list(
        &mut self,
        paid: &[usize],
        value: u64,
        room: u128,
        set: &mut Vec<usize>,
        list: &mut Vec<(u128, u64, Vec<usize>)>,
    ) {
        let Some((&kind, others)) = paid.split_first() else {
            if value >= self.least && room >= self.need {
                list.push((room, value, set.clone()));
            }
            return;
        };
        let of = &self.instance.kinds[kind];
        let afford = (self.most - 1 - value) / of.value;
        let enough = self.instance.weights.len() as u64;
        let most = afford.min(enough);
        let first = if others.is_empty() {
            let by_value = self.least.saturating_sub(value).div_ceil(of.value);
            by_value
                .max(u64::try_from(self.need.saturating_sub(room).div_ceil(u128::from(of.room))).unwrap_or(u64::MAX))
        } else {
            0
        };
        for count in first..=most {
            self.partial += 1;
            if list.len() >= MOST_SETS || self.partial > MOST_PARTIAL {
                return;
            }
            set[kind] = count as usize;
            self.list(others, value + of.value * count, room + u128::from(of.room) * u128::from(count), set, list);
        }
        set[kind] = 0;
    }
}
