//! From whom to buy, where suppliers charge for delivery.
//!
//! A delivery is paid once for all sections, so the choice of suppliers binds them together. There are few: every set
//! of them is gone through, each section planned with what that set sells, and the cheapest sum taken.

use std::collections::HashMap;

use crate::grid::thousandths;
use crate::instance::{Instance, Section};
use crate::solve::{Goal, Outcome, solve};
use crate::{Delivery, Settings};

/// Most suppliers that charge for delivery for which every set is tried; with more, all together and each alone.
const MOST_SUPPLIERS: usize = 6;

/// Every section's packing, and what is known of all of them together.
pub(crate) struct Ordered {
    /// By section; `None` where there is nothing to search.
    pub outcomes: Vec<Option<(Instance, Outcome)>>,
    /// Deliveries charged, as indices into those given.
    pub deliveries: Vec<usize>,
    /// No plan costs less in money, thousandths; `None`: not every piece can be placed, or not known.
    pub bound: Option<u64>,
}

/// A sum over all sections; the first difference decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Score {
    left: u64,
    money: u64,
    length: u64,
    sticks: usize,
}

/// A set of suppliers that was gone through.
struct Choice {
    score: Score,
    /// Section and those of its suppliers that are in the set.
    keys: Vec<(usize, u64)>,
    /// Suppliers bought from.
    used: Vec<usize>,
}

/// Plans all sections.
pub(crate) fn solve_all(sections: &[Section], settings: &Settings) -> Ordered {
    let mut suppliers: Vec<usize> = sections
        .iter()
        .filter_map(|section| section.instance.as_ref())
        .flat_map(|instance| instance.kinds.iter().filter_map(|kind| kind.supplier))
        .collect();
    suppliers.sort_unstable();
    suppliers.dedup();
    let charge = |set: u64| -> u64 {
        let asked = suppliers.iter().enumerate().filter(|(at, _)| set >> at & 1 == 1);
        asked.map(|(_, &supplier)| thousandths(settings.deliveries[supplier].cost)).sum()
    };
    let every = suppliers.len() <= MOST_SUPPLIERS;
    let mut sets: Vec<u64> = if every {
        (0..1u64 << suppliers.len()).collect()
    } else {
        let mut some: Vec<u64> = (0..suppliers.len().min(60)).map(|at| 1u64 << at).collect();
        some.extend([0, (1u64 << suppliers.len().min(60)) - 1]);
        some
    };
    sets.sort_by_key(|&set| (charge(set), set));
    let mut known: HashMap<(usize, u64), Option<(Instance, Outcome)>> = HashMap::new();
    let mut best: Option<Choice> = None;
    let mut bound: Option<u64> = None;
    let mut least_without: Option<u64> = None;
    for set in sets {
        let mut score = Score { left: 0, money: 0, length: 0, sticks: 0 };
        let mut set_bound = Some(0u64);
        let mut keys = Vec::new();
        let mut used: Vec<usize> = Vec::new();
        let mut whole = true;
        for (at, section) in sections.iter().enumerate() {
            let Some(instance) = &section.instance else { continue };
            let sold = |supplier: usize| suppliers.iter().position(|&s| s == supplier);
            let own = instance.kinds.iter().filter_map(|kind| sold(kind.supplier?)).fold(0u64, |own, s| own | 1 << s);
            let key = (at, own & set);
            let outcome = known.entry(key).or_insert_with(|| {
                let here = |supplier: usize| sold(supplier).is_some_and(|at| set >> at & 1 == 1);
                let instance = instance.only(|kind| kind.supplier.is_none_or(here))?;
                let outcome = solve(&instance, settings, Goal::Plan);
                Some((instance, outcome))
            });
            let Some((instance, outcome)) = outcome else {
                whole = false;
                break;
            };
            let value = outcome.packing.value(instance);
            let money = |value: u64| if instance.priced { value } else { 0 };
            score.left += outcome.packing.left.iter().map(|&item| instance.weights[item]).sum::<u64>();
            score.money += money(value);
            score.length += value - money(value);
            score.sticks += outcome.packing.sticks.len();
            set_bound = set_bound.and_then(|sum| Some(sum + money(outcome.limits.value?)));
            used.extend(outcome.packing.sticks.iter().filter_map(|stick| instance.kinds[stick.kind].supplier));
            keys.push(key);
        }
        if !whole {
            continue;
        }
        used.sort_unstable();
        used.dedup();
        score.money += used.iter().map(|&supplier| thousandths(settings.deliveries[supplier].cost)).sum::<u64>();
        if let Some(least) = set_bound {
            let with = least + charge(set);
            bound = Some(bound.map_or(with, |bound: u64| bound.min(with)));
            least_without = Some(least_without.map_or(least, |known: u64| known.min(least)));
        }
        if best.as_ref().is_none_or(|best| score < best.score) {
            best = Some(Choice { score, keys, used });
        }
    }
    let mut outcomes: Vec<Option<(Instance, Outcome)>> = sections.iter().map(|_| None).collect();
    let (mut deliveries, mut placed) = (Vec::new(), false);
    if let Some(Choice { score, keys, used }) = best {
        placed = score.left == 0;
        for key in keys {
            outcomes[key.0] = known.remove(&key).flatten();
        }
        deliveries = used;
    }
    // Without every set tried, only what the sections cost with every supplier at hand is known.
    let bound = if every { bound } else { least_without };
    Ordered { outcomes, deliveries, bound: bound.filter(|_| placed) }
}

/// The deliveries that are charged.
pub(crate) fn charged(ordered: &Ordered, settings: &Settings) -> Vec<Delivery> {
    ordered.deliveries.iter().map(|&supplier| settings.deliveries[supplier].clone()).collect()
}
