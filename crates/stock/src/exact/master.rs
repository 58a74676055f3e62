//! Which bought sticks come next: the cheapest set that no measure rules out.

use super::model::{Model, Row, Supply};
use crate::instance::Instance;
use crate::search::Effort;

/// Branches looked at for one set.
const MOST_BRANCHES: u64 = 300_000;
/// What one costs, in steps.
const STEPS_PER_BRANCH: u64 = 8;

/// What was found.
pub(super) enum Next {
    /// The cheapest set that is left, with its value, fees included.
    Set(Supply, u64),
    /// There is none below the limit.
    None,
    /// Too many branches.
    Unknown,
}

/// Sets of bought sticks, cheapest first.
pub(super) struct Master {
    /// Kinds to be bought that another one does not beat in room, value and fee; the last is of best value.
    kinds: Vec<usize>,
    /// What fees add up to is a multiple of this; 0 without fees.
    fee_step: u64,
    /// Sets that can't hold the pieces, and sets that were given up: not offered again.
    failed: Vec<Supply>,
    given_up: Vec<Supply>,
}

impl Master {
    pub fn new(instance: &Instance) -> Self {
        let all = &instance.kinds;
        let beaten = |a: usize, b: usize| {
            let (x, y) = (&all[a], &all[b]);
            let no_better = y.room >= x.room && y.value <= x.value && y.fee <= x.fee;
            let equal = y.room == x.room && y.value == x.value && y.fee == x.fee;
            a != b && y.count.is_none() && no_better && (!equal || b < a)
        };
        let mut kinds: Vec<usize> = (0..all.len())
            .filter(|&kind| all[kind].count.is_none() && !(0..all.len()).any(|other| beaten(kind, other)))
            .collect();
        let rate = |kind: usize| (all[kind].value as f64) / all[kind].room as f64;
        kinds.sort_by(|&a, &b| rate(b).total_cmp(&rate(a)).then(a.cmp(&b)));
        let fee_step = all.iter().map(|kind| kind.fee).fold(0, gcd);
        Master { kinds, fee_step, failed: Vec::new(), given_up: Vec::new() }
    }

    /// This set can't hold the pieces.
    pub fn failed(&mut self, set: Supply) {
        self.failed.push(set);
    }

    /// This set was tried without an answer.
    pub fn give_up(&mut self, set: Supply) {
        self.given_up.push(set);
    }

    /// The cheapest set worth less than `below`, with no more than `sticks` sticks together with those on hand.
    pub fn next(&self, model: &Model, measures: &[Row], below: u64, sticks: usize, effort: &mut Effort) -> Next {
        let kinds = &model.instance.kinds;
        let on_hand: usize = kinds.iter().filter_map(|kind| kind.count).sum();
        let mut counts: Vec<usize> = kinds.iter().map(|kind| kind.count.unwrap_or(0)).collect();
        let pieces: usize = model.demand.iter().sum();
        // What is free of charge to buy is there as often as there are pieces.
        let mut paid = Vec::new();
        for &kind in &self.kinds {
            if kinds[kind].value == 0 && kinds[kind].fee == 0 {
                counts[kind] = pieces;
            } else {
                paid.push(kind);
            }
        }
        let most_branches = MOST_BRANCHES.min(effort.left() / STEPS_PER_BRANCH);
        let mut tree = Tree {
            master: self,
            model,
            paid,
            measures,
            pieces,
            sticks,
            on_hand,
            below,
            best: None,
            branches: 0,
            most_branches,
        };
        tree.descend(0, 0, &mut counts);
        let over = tree.branches > tree.most_branches;
        effort.spend(tree.branches * STEPS_PER_BRANCH);
        match tree.best {
            _ if over => Next::Unknown,
            Some((value, supply)) => Next::Set(supply, value),
            None => Next::None,
        }
    }
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

struct Tree<'b> {
    master: &'b Master,
    model: &'b Model<'b>,
    paid: Vec<usize>,
    measures: &'b [Row],
    pieces: usize,
    sticks: usize,
    on_hand: usize,
    below: u64,
    best: Option<(u64, Supply)>,
    branches: u64,
    most_branches: u64,
}

impl Tree<'_> {
    fn supply(&self, counts: &[usize], bought: usize, fees: u64) -> Supply {
        let on_hand = self.on_hand.min(self.sticks.saturating_sub(bought));
        Supply { counts: counts.to_vec(), on_hand, fees }
    }

    /// Goes through the kinds from `at` on; `counts` holds what is chosen so far.
    fn descend(&mut self, at: usize, value: u64, counts: &mut Vec<usize>) {
        self.branches += 1;
        if self.branches > self.most_branches || value >= self.below {
            return;
        }
        let model = self.model;
        let kinds = &model.instance.kinds;
        let bought: usize = self.paid[..at].iter().map(|&kind| counts[kind]).sum();
        if bought > self.sticks {
            return;
        }
        let Some(&kind) = self.paid.get(at) else {
            self.leaf(value, bought, counts);
            return;
        };
        // Without the rest, is anything missing? And what does it cost at least?
        let affordable = (self.below - 1 - value).checked_div(kinds[kind].value);
        let afford = affordable.map_or(self.pieces, |count| usize::try_from(count).unwrap_or(usize::MAX));
        let most = afford.min(self.pieces).min(self.sticks - bought);
        let mut first = 0;
        if at + 1 == self.paid.len() {
            // Fees are not known yet; with the most that could be paid nothing is ruled out too early.
            let fees = self.most_fees(value);
            for measure in self.measures {
                let offer = measure.offer(model.instance, &self.supply(counts, bought, fees));
                let missing = measure.need.saturating_sub(offer);
                if missing > 0 {
                    let worth = u128::from(measure.kind[kind]);
                    if worth == 0 {
                        return;
                    }
                    first = first.max(usize::try_from(missing.div_ceil(worth)).unwrap_or(usize::MAX));
                }
            }
        } else if !self.hopeful(at, value, bought, counts) {
            return;
        }
        for count in first..=most {
            counts[kind] = count;
            self.descend(at + 1, value + kinds[kind].value * count as u64, counts);
            if self.branches > self.most_branches {
                break;
            }
        }
        counts[kind] = 0;
    }

    /// What fees may come to at most within the limit.
    fn most_fees(&self, value: u64) -> u64 {
        if self.master.fee_step == 0 { 0 } else { self.below - 1 - value }
    }

    /// No measure says that the rest must cost too much.
    fn hopeful(&self, at: usize, value: u64, bought: usize, counts: &[usize]) -> bool {
        let model = self.model;
        let fees = self.most_fees(value);
        let supply = self.supply(counts, bought, fees);
        self.measures.iter().all(|measure| {
            let missing = measure.need.saturating_sub(measure.offer(model.instance, &supply));
            if missing == 0 {
                return true;
            }
            // The best worth for money among the kinds to come, rounded in favour of hope.
            let per_money = self.paid[at..]
                .iter()
                .map(|&kind| measure.kind[kind] as f64 / (model.instance.kinds[kind].value as f64).max(1e-3))
                .fold(0.0, f64::max);
            per_money > 0.0 && missing as f64 / per_money * (1.0 - 1e-9) <= (self.below - 1 - value) as f64
        })
    }

    /// A whole set: what must be paid in fees, and is it any good?
    fn leaf(&mut self, value: u64, bought: usize, counts: &[usize]) {
        let model = self.model;
        let step = self.master.fee_step;
        let afford = (self.below - 1 - value).checked_div(step).unwrap_or(0) * step;
        let mut fees = 0u64;
        for measure in self.measures {
            let offer = measure.offer(model.instance, &self.supply(counts, bought, fees));
            let missing = measure.need.saturating_sub(offer);
            if missing > 0 {
                if measure.money == 0 || step == 0 {
                    return;
                }
                let more = missing.div_ceil(u128::from(measure.money));
                let Ok(more) = u64::try_from(more.next_multiple_of(u128::from(step))) else { return };
                fees = fees.saturating_add(more);
                if fees > afford {
                    return;
                }
            }
        }
        // Fees that were ruled out for this set or a larger one.
        loop {
            let supply = self.supply(counts, bought, fees);
            let within = |worse: &Supply| {
                supply.on_hand <= worse.on_hand
                    && supply.fees <= worse.fees
                    && supply.counts.iter().zip(&worse.counts).all(|(a, b)| a <= b)
            };
            let lifted = self.master.failed.iter().filter(|worse| within(worse)).map(|worse| worse.fees).max();
            let given_up = self.master.given_up.contains(&supply);
            if lifted.is_none() && !given_up {
                let value = value + fees;
                let better = self.best.as_ref().is_none_or(|(least, known)| {
                    value < *least || value == *least && self.room(&supply) > self.room(known)
                });
                if better {
                    self.below = value.saturating_add(1).min(self.below);
                    self.best = Some((value, supply));
                }
                return;
            }
            if step == 0 {
                return;
            }
            fees = lifted.unwrap_or(fees).max(fees) + step;
            if fees > afford {
                return;
            }
        }
    }

    fn room(&self, supply: &Supply) -> u128 {
        let kinds = &self.model.instance.kinds;
        supply.counts.iter().zip(kinds).map(|(&count, kind)| u128::from(kind.room) * count as u128).sum()
    }
}
