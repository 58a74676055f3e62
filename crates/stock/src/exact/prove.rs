//! Can these sticks hold all the pieces? Every way tried, as far as measures don't rule it out.
//!
//! The longest piece that waits goes on a stick, of each kind in turn, with each set of others that leaves no room for
//! a further one; then the next. Where pieces cost a fee on a stick, sets that leave room are tried too. A branch ends
//! where a measure says that what is left can't be held. With `relaxing`, every branch with many pieces left has the
//! linear relaxation worked out, whose measure then holds for the whole branch: that makes it branch and price, with
//! the filling of the longest piece's stick as the thing branched on.

use std::collections::HashSet;

use super::Answer;
use super::knapsack::RAISED;
use super::model::{Filling, Measure, Model, Pattern, Supply};
use super::relax::{Pool, Relaxed, relax};
use crate::search::Effort;

/// Most fillings listed for one stick; with more than that the search can only find, not rule out.
const MOST_FILLINGS: usize = 4000;
/// Most steps to list them.
const STEPS_PER_LIST: u64 = 60_000;
/// States remembered as hopeless.
const MOST_REMEMBERED: usize = 100_000;
/// With fewer pieces left, trying is quicker than relaxing.
const LEAST_RELAXED: usize = 14;
/// Deepest nesting, one level per stick.
const MOST_DEPTH: usize = 1500;
/// Worths looked at in the time of one step.
const WORTHS_PER_STEP: usize = 12;

/// Searches with these measures, all of which must hold for any demand up to the one given.
pub(super) fn prove(
    model: &Model,
    demand: &[usize],
    supply: &Supply,
    measures: &[Measure],
    relaxing: Option<&mut Pool>,
    effort: &mut Effort,
) -> Answer {
    let mut search = Search {
        model,
        demand: demand.to_vec(),
        supply: supply.clone(),
        measures: measures.to_vec(),
        pool: relaxing,
        done: Vec::new(),
        hopeless: HashSet::new(),
        complete: true,
    };
    // Length itself: the cheapest measure of all.
    let rooms = model.instance.kinds.iter().map(|kind| kind.room).collect();
    search.measures.push(Measure { length: model.weights.clone(), kind: rooms, each: 0, money: 0 });
    if search.descend(0, effort) {
        Answer::Yes(search.done)
    } else if search.complete && !effort.spent() {
        Answer::No
    } else {
        Answer::Unknown
    }
}

struct Search<'a, 'b> {
    model: &'a Model<'a>,
    demand: Vec<usize>,
    supply: Supply,
    measures: Vec<Measure>,
    pool: Option<&'b mut Pool>,
    done: Vec<Filling>,
    hopeless: HashSet<(Vec<usize>, Supply)>,
    /// Nothing was left out.
    complete: bool,
}

impl Search<'_, '_> {
    fn allowed(&self, effort: &mut Effort) -> bool {
        for measure in self.measures.iter().rev() {
            effort.spend((1 + self.demand.len() / WORTHS_PER_STEP) as u64);
            if !measure.allows(self.model, &self.demand, &self.supply) {
                return false;
            }
        }
        true
    }

    /// True once nothing waits; `done` then holds the fillings.
    fn descend(&mut self, depth: usize, effort: &mut Effort) -> bool {
        let Some(longest) = self.demand.iter().position(|&count| count > 0) else { return true };
        if effort.spent() || depth > MOST_DEPTH {
            self.complete = false;
            return false;
        }
        let key = (self.demand.clone(), self.supply.clone());
        if self.hopeless.contains(&key) {
            return false;
        }
        let measures = self.measures.len();
        let mut first: Vec<Filling> = Vec::new();
        let pieces: usize = self.demand.iter().sum();
        if let Some(pool) = self.pool.as_deref_mut()
            && pieces >= LEAST_RELAXED
        {
            match relax(self.model, &self.demand, &self.supply, pool, effort) {
                Relaxed::No(_) => return false,
                Relaxed::Yes(parts, measure) => {
                    self.measures.push(measure);
                    first = parts.into_iter().map(|part| part.0).collect();
                }
                Relaxed::Unknown => {}
            }
        }
        let complete_before = self.complete;
        self.complete = true;
        let mut list = self.fillings(longest, effort);
        // What the relaxation uses comes first, then what the last measure finds cheapest, then the fullest.
        let rank = |filling: &Filling| {
            let used = first.iter().position(|f| f == filling).unwrap_or(usize::MAX);
            let lost = self.measures.last().map_or(0, |measure| lost(self.model, measure, filling));
            (used, lost, self.model.slack(filling))
        };
        list.sort_by_cached_key(rank);
        let mut found = false;
        for filling in list {
            if effort.spent() {
                self.complete = false;
                break;
            }
            if !self.model.take(&filling, 1, &mut self.demand, &mut self.supply) {
                continue;
            }
            self.done.push(filling.clone());
            if self.allowed(effort) && self.descend(depth + 1, effort) {
                found = true;
                break;
            }
            self.done.pop();
            self.model.put_back(&filling, &mut self.demand, &mut self.supply);
        }
        self.measures.truncate(measures);
        if !found && self.complete && self.hopeless.len() < MOST_REMEMBERED {
            self.hopeless.insert(key);
        }
        self.complete &= complete_before;
        found
    }

    /// Fillings with the length `longest` of every kind that can be told apart.
    fn fillings(&mut self, longest: usize, effort: &mut Effort) -> Vec<Filling> {
        let mut list = Vec::new();
        let kinds = &self.model.instance.kinds;
        let face = |kind: usize| (kinds[kind].room, kinds[kind].count.is_some(), kinds[kind].fee);
        let mut seen = Vec::new();
        for (kind, of) in kinds.iter().enumerate() {
            // Kinds that differ in neither room, nor in being on hand, nor in fee are alike here.
            let number = self.model.available(&self.supply, kind);
            if number == 0 || of.room < self.model.weights[longest] || seen.contains(&face(kind)) {
                continue;
            }
            seen.push(face(kind));
            let mut lister = Lister {
                model: self.model,
                demand: &self.demand,
                kind,
                any: of.fee > 0,
                budgets: self.budgets(kind),
                steps: 0,
                cut: false,
                list: Vec::new(),
            };
            lister.extend(longest, of.room, true, &mut Vec::new());
            effort.spend(2 + lister.steps);
            self.complete &= !lister.cut;
            list.extend(lister.list);
        }
        list
    }

    /// For each measure: what a filling of this kind must be worth at least, or the rest can't be held.
    fn budgets(&self, kind: usize) -> Vec<Budget> {
        let of = &self.model.instance.kinds[kind];
        let budget = |measure: &Measure| {
            let spare = measure.offer(self.model.instance, &self.supply).saturating_sub(measure.need(&self.demand));
            let each = if of.count.is_some() { measure.each } else { 0 };
            let stick = u128::from(measure.kind[kind]) + u128::from(each);
            let rate = (0..self.model.weights.len())
                .filter(|&at| self.demand[at] > 0)
                .map(|at| measure.length[at] as f64 / self.model.weights[at] as f64)
                .fold(0.0, f64::max);
            Budget { least: stick.saturating_sub(spare) as f64, rate, worth: measure.length.clone() }
        };
        // The length and the latest measures; all of them are tried once the filling is taken.
        self.measures.iter().rev().take(3).map(budget).collect()
    }
}

/// What a measure asks of a filling. A fee only adds to what is lost, so leaving it out is on the careful side.
struct Budget {
    least: f64,
    rate: f64,
    worth: Vec<u64>,
}

/// What a filling loses of its stick's worth.
fn lost(model: &Model, measure: &Measure, filling: &Filling) -> u128 {
    let kind = &model.instance.kinds[filling.kind];
    let each = if kind.count.is_some() { measure.each } else { 0 };
    let fee = u128::from(measure.money) * u128::from(kind.fee) * filling.pieces() as u128;
    let worth: u128 = filling.pattern.iter().map(|&(at, n)| u128::from(measure.length[at]) * n as u128).sum();
    (u128::from(measure.kind[filling.kind]) + u128::from(each) + fee).saturating_sub(worth)
}

struct Lister<'a> {
    model: &'a Model<'a>,
    demand: &'a [usize],
    kind: usize,
    /// Sets that leave room for another piece count too.
    any: bool,
    budgets: Vec<Budget>,
    steps: u64,
    cut: bool,
    list: Vec<Filling>,
}

impl Lister<'_> {
    fn extend(&mut self, from: usize, left: u64, must: bool, pattern: &mut Pattern) {
        self.steps += 1;
        if self.steps > STEPS_PER_LIST || self.list.len() >= MOST_FILLINGS {
            self.cut = true;
            return;
        }
        if self.budgets.iter().any(|budget| {
            let worth: f64 = pattern.iter().map(|&(at, n)| budget.worth[at] as f64 * n as f64).sum();
            (worth + left as f64 * budget.rate) * RAISED + 1.0 < budget.least
        }) {
            return;
        }
        let weights = &self.model.weights;
        let next = (from..weights.len()).find(|&at| self.demand[at] > 0 && weights[at] <= left);
        let Some(at) = next else {
            if self.any || !self.room_for_more(left, pattern) {
                self.list.push(Filling { kind: self.kind, pattern: pattern.clone() });
            }
            return;
        };
        let most = ((left / weights[at]) as usize).min(self.demand[at]);
        for count in (usize::from(must)..=most).rev() {
            if count > 0 {
                pattern.push((at, count));
            }
            self.extend(at + 1, left - weights[at] * count as u64, false, pattern);
            if count > 0 {
                pattern.pop();
            }
        }
    }

    /// A piece passed over would still go in.
    fn room_for_more(&self, left: u64, pattern: &Pattern) -> bool {
        let taken = |at| pattern.iter().find(|part| part.0 == at).map_or(0, |part| part.1);
        let fitting = self.model.weights.partition_point(|&weight| weight > left);
        (fitting..self.demand.len()).any(|at| self.demand[at] > taken(at))
    }
}
