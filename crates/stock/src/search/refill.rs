//! Can these sticks hold all the pieces?

use super::chance::Chance;
use super::fill::{Effort, fill};
use super::{Loaded, Packing};
use crate::instance::Instance;

/// Most sticks emptied at once; with the pieces that wait it sets how far one refill can see.
const MOST_EMPTIED: usize = 3;
/// Most waiting pieces offered to a refill.
const MOST_OFFERED: usize = 24;
/// Most steps to fill one stick: all subsets of the dozen pieces that are usual here.
const STEPS_PER_FILL: u64 = 250;
/// What a refill costs besides its subset search, in steps.
const STEPS_PER_REFILL: u64 = 12;

/// Packs into `counts` sticks of each kind, starting from a packing that may use others, until no piece is left or the
/// effort is spent.
///
/// Over and over a few sticks, chosen by lot, are emptied and refilled, one after the other as full as can be, from
/// their own pieces and those that wait; the change stays unless more length waits than before (the perturbation of
/// Fleszar and Hindi's minimum bin slack search, with a fixed number of sticks).
pub(super) fn pack(instance: &Instance, counts: &[usize], start: &Packing, effort: &mut Effort) -> Packing {
    let mut state = State::new(instance, counts, start);
    state.fill_empty(effort);
    let mut chance = Chance::new();
    while !state.waiting.is_empty() && !state.sticks.is_empty() && !effort.spent() {
        state.refill(&mut chance, effort);
    }
    let mut packing = Packing { sticks: state.sticks, left: state.waiting };
    packing.sticks.retain(|stick| !stick.items.is_empty());
    packing
}

struct State<'a> {
    instance: &'a Instance,
    sticks: Vec<Loaded>,
    waiting: Vec<usize>,
    /// Scratch: chosen sticks, pieces on offer, their weights, positions chosen, and the sticks' new pieces.
    chosen: Vec<usize>,
    offer: Vec<usize>,
    weights: Vec<u64>,
    best: Vec<usize>,
    filled: Vec<Vec<usize>>,
}

impl<'a> State<'a> {
    fn new(instance: &'a Instance, counts: &[usize], start: &Packing) -> Self {
        let mut free = counts.to_vec();
        let mut sticks = Vec::new();
        let mut waiting = start.left.clone();
        for stick in &start.sticks {
            if free[stick.kind] > 0 {
                free[stick.kind] -= 1;
                sticks.push(stick.clone());
            } else {
                waiting.extend(&stick.items);
            }
        }
        for (kind, &count) in free.iter().enumerate() {
            sticks.extend((0..count).map(|_| Loaded { kind, items: Vec::new() }));
        }
        State {
            instance,
            sticks,
            waiting,
            chosen: Vec::new(),
            offer: Vec::new(),
            weights: Vec::new(),
            best: Vec::new(),
            filled: vec![Vec::new(); MOST_EMPTIED],
        }
    }

    /// Gives every empty stick what fills it best of the pieces that wait.
    fn fill_empty(&mut self, effort: &mut Effort) {
        for stick in 0..self.sticks.len() {
            if self.sticks[stick].items.is_empty() && !self.waiting.is_empty() {
                self.waiting.sort_unstable();
                let mut items = Vec::new();
                std::mem::swap(&mut self.offer, &mut self.waiting);
                self.fill(self.instance.kinds[self.sticks[stick].kind].room, effort, &mut items);
                std::mem::swap(&mut self.offer, &mut self.waiting);
                self.sticks[stick].items = items;
            }
        }
    }

    /// Moves what fills `room` best from the offer to `items`.
    fn fill(&mut self, room: u64, effort: &mut Effort, items: &mut Vec<usize>) {
        self.weights.clear();
        self.weights.extend(self.offer.iter().map(|&item| self.instance.weights[item]));
        fill(&self.weights, room, STEPS_PER_FILL, effort, &mut self.best);
        items.clear();
        items.extend(self.best.iter().map(|&at| self.offer[at]));
        let mut position = 0;
        let mut taken = self.best.iter().peekable();
        self.offer.retain(|_| {
            let keep = taken.next_if_eq(&&position).is_none();
            position += 1;
            keep
        });
    }

    fn refill(&mut self, chance: &mut Chance, effort: &mut Effort) {
        effort.spend(STEPS_PER_REFILL);
        let emptied = (1 + chance.below(MOST_EMPTIED)).min(self.sticks.len());
        self.chosen.clear();
        while self.chosen.len() < emptied {
            let stick = chance.below(self.sticks.len());
            if !self.chosen.contains(&stick) {
                self.chosen.push(stick);
            }
        }
        if self.waiting.len() > MOST_OFFERED {
            chance.shuffle(&mut self.waiting);
        }
        let offered = self.waiting.len().min(MOST_OFFERED);
        let kept = self.waiting.len() - offered;
        self.offer.clear();
        self.offer.extend(&self.waiting[kept..]);
        for &stick in &self.chosen {
            self.offer.extend(&self.sticks[stick].items);
        }
        if chance.below(2) == 0 {
            self.offer.sort_unstable();
        } else {
            chance.shuffle(&mut self.offer);
        }
        let before = super::load(self.instance, &self.waiting[kept..]);
        for at in 0..emptied {
            let mut items = std::mem::take(&mut self.filled[at]);
            self.fill(self.instance.kinds[self.sticks[self.chosen[at]].kind].room, effort, &mut items);
            self.filled[at] = items;
        }
        if super::load(self.instance, &self.offer) > before {
            return;
        }
        for at in 0..emptied {
            std::mem::swap(&mut self.sticks[self.chosen[at]].items, &mut self.filled[at]);
        }
        self.waiting.truncate(kept);
        self.waiting.extend(&self.offer);
    }
}
