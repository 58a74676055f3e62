//! Can these sticks hold all the pieces, when hardly anything may be wasted?

use super::chance::Chance;
use super::fill::Effort;
use super::{Loaded, Packing};
use crate::instance::Instance;

/// Steps of the first attempt; each later one may take a quarter more.
const FIRST_ATTEMPT: u64 = 50_000;
/// Most steps to list the fillings of one stick, and most fillings that are followed.
const STEPS_PER_STICK: u64 = 1500;
const MOST_FILLINGS: usize = 40;
/// What looking at a kind costs, what keeping a filling costs, and how many lengths are looked through at the cost of one step.
const STEPS_PER_KIND: u64 = 5;
const STEPS_PER_FILLING: u64 = 8;
const LENGTHS_PER_STEP: u64 = 4;
/// Beyond this many sticks the nesting gets too deep; frames stay far below.
const MOST_STICKS: usize = 500;
/// Fillings are tried by slack in parts of the room, so many to the whole. Attempts after the first mix the order of
/// fillings that differ by less than so many parts.
const RANKS: u64 = 1_000_000;
const MIXED_RANKS: usize = 5000;

/// Packs into `counts` sticks of each kind by completing one stick after the other (after Korf's bin completion): the
/// longest piece that is left goes on a stick together with each set of others in turn that leaves no more than all
/// sticks together may leave. Attempts are cut short and begun again in another order. `None`: not found within the
/// effort, which says nothing about whether there is one.
pub(super) fn pack(instance: &Instance, counts: &[usize], effort: &mut Effort) -> Option<Packing> {
    if counts.iter().sum::<usize>() > MOST_STICKS {
        return None;
    }
    let mut allowed = FIRST_ATTEMPT;
    let mut chance = None;
    while !effort.spent() {
        let mut part = effort.share(allowed);
        let mut search = Search::new(instance, counts, chance.take());
        let found = search.complete(&mut part);
        let whole_tree = !part.spent() && !search.cut;
        effort.give_back(part);
        if found {
            return Some(search.packing());
        }
        if whole_tree {
            return None;
        }
        allowed = allowed.saturating_add(allowed / 4);
        chance = Some(search.chance.take().unwrap_or_else(Chance::new));
    }
    None
}

/// Pieces of one length put on a stick: which length, how many.
type Pattern = Vec<(usize, usize)>;

/// One way to fill a stick.
struct Filling {
    /// By which fillings are tried in turn.
    rank: u64,
    slack: u64,
    kind: usize,
    pattern: Pattern,
}

struct Search<'a> {
    instance: &'a Instance,
    /// Distinct weights, largest first, and how many of each wait.
    weights: Vec<u64>,
    waiting: Vec<usize>,
    free: Vec<usize>,
    /// What all sticks together may still leave.
    spare: u64,
    done: Vec<(usize, Pattern)>,
    /// Some filling was not followed.
    cut: bool,
    /// Mixes the order; `None`: the first attempt, in plain order.
    chance: Option<Chance>,
}

impl<'a> Search<'a> {
    fn new(instance: &'a Instance, counts: &[usize], chance: Option<Chance>) -> Self {
        let same = || instance.weights.chunk_by(|a, b| a == b);
        let room: u64 = instance.kinds.iter().zip(counts).map(|(kind, &count)| kind.room * count as u64).sum();
        Search {
            instance,
            weights: same().map(|same| same[0]).collect(),
            waiting: same().map(<[u64]>::len).collect(),
            free: counts.to_vec(),
            spare: room.saturating_sub(instance.need()),
            done: Vec::new(),
            cut: room < instance.need(),
            chance,
        }
    }

    /// Completes stick after stick; true once nothing waits.
    fn complete(&mut self, effort: &mut Effort) -> bool {
        let Some(longest) = self.waiting.iter().position(|&count| count > 0) else { return true };
        for filling in self.fillings(longest, effort) {
            if effort.spent() {
                return false;
            }
            self.place(&filling, true);
            if self.complete(effort) {
                return true;
            }
            self.place(&filling, false);
        }
        false
    }

    /// Takes a filling's pieces and stick, or puts them back.
    fn place(&mut self, filling: &Filling, take: bool) {
        for &(length, count) in &filling.pattern {
            if take {
                self.waiting[length] -= count;
            } else {
                self.waiting[length] += count;
            }
        }
        if take {
            self.free[filling.kind] -= 1;
            self.spare -= filling.slack;
            self.done.push((filling.kind, filling.pattern.clone()));
        } else {
            self.free[filling.kind] += 1;
            self.spare += filling.slack;
            self.done.pop();
        }
    }

    /// Ways to fill a stick that holds the length `longest`, those that leave least first.
    fn fillings(&mut self, longest: usize, effort: &mut Effort) -> Vec<Filling> {
        let mut list = Vec::new();
        let mut rest_from = vec![0u64; self.weights.len() + 1];
        for at in (longest..self.weights.len()).rev() {
            rest_from[at] = rest_from[at + 1] + self.weights[at] * self.waiting[at] as u64;
        }
        let least =
            (longest..self.weights.len()).rev().find(|&at| self.waiting[at] > 0).map_or(0, |at| self.weights[at]);
        effort.spend(1 + (self.weights.len() - longest) as u64 / LENGTHS_PER_STEP);
        let kinds = self.free.iter().filter(|&&count| count > 0).count() as u64;
        let most_steps = STEPS_PER_STICK / kinds.max(1);
        for kind in 0..self.free.len() {
            let room = self.instance.kinds[kind].room;
            let same = |&other: &usize| self.instance.kinds[other].room == room && self.free[other] > 0;
            if self.free[kind] == 0 || room < self.weights[longest] || (0..kind).any(|other| same(&other)) {
                continue;
            }
            let mut lister = Lister {
                search: self,
                rest_from: &rest_from,
                least,
                kind,
                most_steps,
                steps: 0,
                cut: false,
                list: Vec::new(),
            };
            let mut pattern = Vec::new();
            lister.extend(longest, room, true, &mut pattern);
            let Lister { steps, cut, list: found, .. } = lister;
            effort.spend(STEPS_PER_KIND + steps + STEPS_PER_FILLING * found.len() as u64);
            self.cut |= cut;
            list.extend(found);
        }
        if let Some(chance) = &mut self.chance {
            for filling in &mut list {
                filling.rank += chance.below(MIXED_RANKS) as u64;
            }
        }
        list.sort_by_key(|filling| filling.rank);
        if list.len() > MOST_FILLINGS {
            list.truncate(MOST_FILLINGS);
            self.cut = true;
        }
        list
    }

    fn packing(&self) -> Packing {
        let mut next: Vec<usize> = Vec::new();
        let mut start = 0;
        for same in self.instance.weights.chunk_by(|a, b| a == b) {
            next.push(start);
            start += same.len();
        }
        let sticks = self.done.iter().map(|(kind, pattern)| {
            let mut items = Vec::new();
            for &(length, count) in pattern {
                items.extend(next[length]..next[length] + count);
                next[length] += count;
            }
            Loaded { kind: *kind, items }
        });
        Packing { sticks: sticks.collect(), left: Vec::new() }
    }
}

/// Lists the fillings of one kind of stick.
struct Lister<'a> {
    search: &'a Search<'a>,
    /// Total weight that waits from each length on.
    rest_from: &'a [u64],
    /// Smallest weight that waits.
    least: u64,
    kind: usize,
    most_steps: u64,
    steps: u64,
    cut: bool,
    list: Vec<Filling>,
}

impl Lister<'_> {
    fn filling(&self, slack: u64, pattern: &Pattern) -> Filling {
        let rank = slack * RANKS / self.search.instance.kinds[self.kind].room;
        Filling { rank, slack, kind: self.kind, pattern: pattern.clone() }
    }

    /// Adds pieces of the lengths from `from` on to `pattern`, which leaves `left` of the room.
    fn extend(&mut self, from: usize, left: u64, must: bool, pattern: &mut Pattern) {
        self.steps += 1;
        if self.steps > self.most_steps {
            self.cut = true;
            return;
        }
        let Search { weights, waiting, spare, .. } = self.search;
        if left < self.least {
            // Nothing more fits.
            if left <= *spare {
                let filling = self.filling(left, pattern);
                self.list.push(filling);
            }
            return;
        }
        let wanted = left.saturating_sub(*spare);
        let most_pieces = left / self.least;
        let fitting = from + weights[from..].partition_point(|&weight| weight > left);
        for at in fitting..weights.len() {
            if self.rest_from[at] < wanted || weights[at].saturating_mul(most_pieces) < wanted {
                return;
            }
            let most = (left / weights[at]).min(waiting[at] as u64) as usize;
            for count in (1..=most).rev() {
                pattern.push((at, count));
                self.extend(at + 1, left - weights[at] * count as u64, false, pattern);
                pattern.pop();
            }
            if must {
                return;
            }
        }
        // Leaving off here is a filling of its own unless a piece passed over would still go in.
        let taken = |at| pattern.iter().find(|part| part.0 == at).map_or(0, |part| part.1);
        let fitting = weights.partition_point(|&weight| weight > left);
        if wanted == 0 && !(fitting..weights.len()).any(|at| waiting[at] > taken(at)) {
            let filling = self.filling(left, pattern);
            self.list.push(filling);
        }
    }
}
