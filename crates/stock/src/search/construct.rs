//! First packings.

use std::collections::BTreeSet;

use super::fill::{Effort, fill};
use super::{Loaded, Packing, tidy};
use crate::bound::Limits;
use crate::instance::Instance;

/// Most steps to fill one stick: exact for the twenty or so pieces of a usual section, near enough for more.
const STEPS_PER_FILL: u64 = 400;
/// Above this many pieces sticks are not filled one by one, which takes time with the square of the pieces.
const MOST_FILLED: usize = 4000;
/// Above this many kinds to be bought, packings that prefer one of them are not tried.
const MOST_PREFERRED: usize = 6;

/// Which stick on hand is taken first.
#[derive(Clone, Copy)]
enum Rack {
    /// The shortest that takes the piece.
    Shortest,
    /// The longest.
    Longest,
    /// The one that can be filled best.
    Fullest,
}

/// How a first packing is made.
#[derive(Clone, Copy)]
struct Rule {
    rack: Rack,
    /// Kind bought wherever the piece fits it; `None`: the best value each time.
    buy: Option<usize>,
}

/// The best of the quick packings.
pub(super) fn best(instance: &Instance, limits: &Limits, effort: &mut Effort) -> Packing {
    let on_hand = instance.kinds.iter().any(|kind| kind.count.is_some());
    let racks: &[Rack] = if on_hand { &[Rack::Shortest, Rack::Longest, Rack::Fullest] } else { &[Rack::Shortest] };
    let bought: Vec<usize> = (0..instance.kinds.len()).filter(|&kind| instance.kinds[kind].count.is_none()).collect();
    let mut buys = vec![None];
    if (2..=MOST_PREFERRED).contains(&bought.len()) {
        buys.extend(bought.iter().map(|&kind| Some(kind)));
    }
    let mut found: Option<Packing> = None;
    for &rack in racks {
        for &buy in &buys {
            let rule = Rule { rack, buy };
            for by_filling in [false, true] {
                if by_filling && instance.weights.len() > MOST_FILLED {
                    continue;
                }
                let mut packing = if by_filling { by_stick(instance, rule, effort) } else { by_piece(instance, rule) };
                tidy::shrink(instance, &mut packing);
                if found.as_ref().is_none_or(|found| packing.score(instance) < found.score(instance)) {
                    found = Some(packing);
                }
                let done = |packing: &Packing| {
                    packing.left.is_empty() && limits.value == Some(packing.score(instance).value) && !on_hand
                };
                if found.as_ref().is_some_and(done) {
                    return found.unwrap_or_default();
                }
            }
        }
    }
    found.unwrap_or_default()
}

/// Sticks of each kind that may still be taken.
struct Supply(Vec<Option<usize>>);

impl Supply {
    fn new(instance: &Instance) -> Self {
        Supply(instance.kinds.iter().map(|kind| kind.count).collect())
    }

    fn has(&self, kind: usize) -> bool {
        self.0[kind] != Some(0)
    }

    fn take(&mut self, kind: usize) {
        if let Some(count) = &mut self.0[kind] {
            *count -= 1;
        }
    }
}

/// Best fit, longest piece first: each piece goes where it leaves least, or opens a stick.
fn by_piece(instance: &Instance, rule: Rule) -> Packing {
    let mut packing = Packing::default();
    let mut supply = Supply::new(instance);
    let mut open: BTreeSet<(u64, usize)> = BTreeSet::new();
    for (item, &weight) in instance.weights.iter().enumerate() {
        let (room, stick) = match open.range((weight, 0)..).next().copied() {
            Some(fit) => {
                open.remove(&fit);
                packing.sticks[fit.1].items.push(item);
                fit
            }
            None => {
                let Some(kind) = opened(instance, rule, &supply, weight) else {
                    packing.left.push(item);
                    continue;
                };
                supply.take(kind);
                packing.sticks.push(Loaded { kind, items: vec![item] });
                (instance.kinds[kind].room, packing.sticks.len() - 1)
            }
        };
        open.insert((room - weight, stick));
    }
    packing
}

/// The kind to open for a piece.
fn opened(instance: &Instance, rule: Rule, supply: &Supply, weight: u64) -> Option<usize> {
    let (on_hand, bought) = choices(instance, rule, supply, weight);
    let room = |kind: usize| instance.kinds[kind].room;
    let from_rack = match rule.rack {
        Rack::Longest => on_hand.into_iter().max_by_key(|&kind| room(kind)),
        Rack::Shortest | Rack::Fullest => on_hand.into_iter().min_by_key(|&kind| room(kind)),
    };
    from_rack.or_else(|| bought.into_iter().min_by(|&a, &b| dearer(instance, (a, room(a)), (b, room(b)))))
}

/// Kinds that take the weight: on hand, and to be bought.
fn choices(instance: &Instance, rule: Rule, supply: &Supply, weight: u64) -> (Vec<usize>, Vec<usize>) {
    let fits = |&kind: &usize| instance.kinds[kind].room >= weight && supply.has(kind);
    let (on_hand, mut bought): (Vec<usize>, Vec<usize>) =
        (0..instance.kinds.len()).filter(fits).partition(|&kind| instance.kinds[kind].count.is_some());
    if let Some(preferred) = rule.buy.filter(|kind| bought.contains(kind)) {
        bought = vec![preferred];
    }
    (on_hand, bought)
}

/// Compares kinds by value per length that is put to use.
fn dearer(instance: &Instance, a: (usize, u64), b: (usize, u64)) -> std::cmp::Ordering {
    let value = |kind: usize| u128::from(instance.kinds[kind].value);
    let by_value = (value(a.0) * u128::from(b.1)).cmp(&(value(b.0) * u128::from(a.1)));
    by_value.then(b.1.cmp(&a.1))
}

/// Stick by stick: the longest piece that is left, and with it those that fill the stick best (after Gupta and Ho's
/// minimum bin slack).
fn by_stick(instance: &Instance, rule: Rule, effort: &mut Effort) -> Packing {
    let mut packing = Packing::default();
    let mut supply = Supply::new(instance);
    let mut waiting: Vec<usize> = (0..instance.weights.len()).collect();
    let mut weights = Vec::new();
    while let Some(&seed) = waiting.first() {
        let weight = instance.weights[seed];
        weights.clear();
        weights.extend(waiting[1..].iter().map(|&item| instance.weights[item]));
        let mut filled = |kind: usize| {
            let mut with = Vec::new();
            let room = instance.kinds[kind].room - weight;
            let sum = fill(&weights, room, STEPS_PER_FILL, effort, &mut with);
            (kind, weight + sum, with)
        };
        let (on_hand, bought) = choices(instance, rule, &supply, weight);
        let room = |kind: usize| instance.kinds[kind].room;
        let from_rack = match rule.rack {
            Rack::Shortest => on_hand.into_iter().min_by_key(|&kind| room(kind)).map(&mut filled),
            Rack::Longest => on_hand.into_iter().max_by_key(|&kind| room(kind)).map(&mut filled),
            Rack::Fullest => on_hand.into_iter().map(&mut filled).min_by(|a, b| {
                let spare = |tried: &(usize, u64, Vec<usize>)| u128::from(room(tried.0) - tried.1);
                (spare(a) * u128::from(room(b.0))).cmp(&(spare(b) * u128::from(room(a.0))))
            }),
        };
        let chosen = from_rack
            .or_else(|| bought.into_iter().map(filled).min_by(|a, b| dearer(instance, (a.0, a.1), (b.0, b.1))));
        let Some((kind, _, with)) = chosen else {
            packing.left.push(waiting.remove(0));
            continue;
        };
        supply.take(kind);
        let mut items = vec![seed];
        items.extend(with.iter().map(|&at| waiting[at + 1]));
        let mut position = 0;
        let mut taken = with.iter().map(|at| at + 1).peekable();
        waiting.retain(|_| {
            let keep = position > 0 && taken.next_if_eq(&position).is_none();
            position += 1;
            keep
        });
        packing.sticks.push(Loaded { kind, items });
    }
    packing
}
