//! Least cost and fewest sticks, proven.
//!
//! Sets of bought sticks are gone through from the cheapest on ([`master`]). For each the question is whether it
//! holds the pieces, together with what is on hand ([`Exact::decide`]): not if the linear relaxation over all fillings
//! says so ([`relax`]), whose worths then rule out other sets too; yes if rounding finds a packing ([`dive`]);
//! otherwise every way is tried ([`prove`]). The first set that holds all is the cheapest. With its cost as the limit the same is
//! asked for fewer sticks. Whatever is called proven rests on whole numbers alone.

mod dive;
mod knapsack;
mod master;
mod model;
mod prove;
mod relax;
mod simplex;

use crate::instance::Instance;
use crate::search::{Effort, Packing};
use master::{Master, Next};
pub(crate) use model::Row;
use model::{Filling, Measure, Model, Supply};
use relax::{Pool, Relaxed};

/// Fillings with how many sticks of each, in parts.
type Parts = Vec<(Filling, f64)>;

/// Most pieces, distinct lengths and kinds for which this part is begun: the inverse has the square of their number.
const MOST_PIECES: usize = 5000;
const MOST_LENGTHS: usize = 500;
const MOST_KINDS: usize = 200;
/// Measures kept; the oldest go first.
const MOST_MEASURES: usize = 120;
/// Steps to try everything before anything cleverer: enough for a few sticks.
const STEPS_FOR_FIRST: u64 = 30_000;
/// Of what one set may take, the part for finding, the rest being for ruling out: one in so many.
const RULING_SHARE: u64 = 2;
/// Of what is left, the part that one set may take: one in so many. The first set is most often the one.
const SET_SHARE: u64 = 2;

/// Whether sticks hold the pieces.
enum Answer {
    /// They do, like this.
    Yes(Vec<Filling>),
    /// They don't: proven.
    No,
    /// Not decided within the effort.
    Unknown,
}

/// What is known at the end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Known {
    /// No packing costs less; `None`: none places every piece.
    pub value: Option<u64>,
    /// No packing that costs no more than the best uses fewer sticks; only where the best is of that value.
    pub sticks: usize,
}

/// The exact part for one section.
pub(crate) struct Exact<'a> {
    model: Model<'a>,
    pool: Pool,
    rows: Vec<Row>,
    /// Rows that were there from the start, which stay.
    given: usize,
    master: Master,
}

/// Small enough for this part.
pub(crate) fn fits(instance: &Instance) -> bool {
    let lengths = instance.weights.chunk_by(|a, b| a == b).count();
    instance.weights.len() <= MOST_PIECES && lengths <= MOST_LENGTHS && instance.kinds.len() <= MOST_KINDS
}

impl<'a> Exact<'a> {
    /// Nothing known yet.
    pub fn new(instance: &'a Instance, mut rows: Vec<Row>) -> Self {
        let model = Model::new(instance);
        if model.fees {
            // Each piece costs at least the least fee of all kinds.
            let on_hand = instance.kinds.iter().any(|kind| kind.fee == 0);
            if !on_hand {
                let least = instance.kinds.iter().map(|kind| kind.fee).min().unwrap_or(0);
                let kind = vec![0; instance.kinds.len()];
                let need = u128::from(least) * instance.weights.len() as u128;
                rows.push(Row { need, kind, each: 0, money: 1 });
            }
        }
        Exact { master: Master::new(instance), model, pool: Pool::default(), given: rows.len(), rows }
    }

    /// Lifts the bound to the cheapest set that holds the pieces in parts: the linear relaxation, set by set.
    pub fn tighten(&mut self, known: &mut Known, best: &Packing, effort: &mut Effort) {
        let instance = self.model.instance;
        let placed = best.left.is_empty();
        let below = if placed { best.value(instance) } else { dearest(instance) };
        while !effort.spent() {
            match self.master.next(&self.model, &self.rows, below, usize::MAX, effort) {
                Next::Set(supply, value) => {
                    known.value = known.value.map(|least| least.max(value));
                    let demand = self.model.demand.clone();
                    match relax::relax(&self.model, &demand, &supply, &mut self.pool, effort) {
                        Relaxed::No(measure) => self.rule_out(measure, supply, effort),
                        _ => return,
                    }
                }
                Next::None => {
                    known.value = known.value.filter(|_| placed).map(|least| least.max(below));
                    return;
                }
                Next::Unknown => return,
            }
        }
    }

    fn rule_out(&mut self, measure: Option<Measure>, supply: Supply, effort: &mut Effort) {
        if let Some(mut measure) = measure {
            relax::for_all_kinds(&self.model, &mut measure, effort);
            if !measure.allows(&self.model, &self.model.demand, &supply) {
                if self.rows.len() - self.given > MOST_MEASURES {
                    self.rows.remove(self.given);
                }
                self.rows.push(measure.row(&self.model.demand));
                return;
            }
        }
        self.master.failed(supply);
    }

    /// Looks for cheaper packings than `best` until none is left, or the effort is spent.
    pub fn cheapest(&mut self, known: &mut Known, best: &mut Packing, effort: &mut Effort) {
        let instance = self.model.instance;
        let mut below = if best.left.is_empty() { best.value(instance) } else { dearest(instance) };
        let mut open: Option<u64> = None;
        while !effort.spent() {
            match self.master.next(&self.model, &self.rows, below, usize::MAX, effort) {
                Next::None => {
                    known.value = match open {
                        Some(least) => known.value.map(|v| v.max(least)),
                        None if best.left.is_empty() => Some(below),
                        None => None,
                    };
                    return;
                }
                Next::Unknown => return,
                Next::Set(supply, value) => {
                    if open.is_none() {
                        known.value = known.value.map(|least| least.max(value));
                    }
                    match self.decide(&supply, effort) {
                        Decided::Yes(fillings) => {
                            let packing = self.model.packing(&fillings);
                            if packing.left.is_empty() && packing.value(instance) < below {
                                below = packing.value(instance);
                                *best = packing;
                            } else {
                                self.master.give_up(supply);
                            }
                        }
                        Decided::No(measure) => self.rule_out(measure, supply, effort),
                        Decided::Unknown => {
                            open.get_or_insert(value);
                            self.master.give_up(supply);
                        }
                    }
                }
            }
        }
    }

    /// Looks for packings with fewer sticks that cost no more than `best`; without `deciding` only as far as the rows
    /// known so far rule them out.
    pub fn fewest(&mut self, known: &mut Known, best: &mut Packing, deciding: bool, effort: &mut Effort) {
        let instance = self.model.instance;
        let value = best.value(instance);
        while best.sticks.len() > known.sticks && !effort.spent() {
            let fewer = best.sticks.len() - 1;
            let mut open = false;
            self.master = Master::new(instance);
            loop {
                match self.master.next(&self.model, &self.rows, value.saturating_add(1), fewer, effort) {
                    Next::None => {
                        if !open {
                            known.sticks = best.sticks.len();
                        }
                        return;
                    }
                    Next::Unknown => return,
                    Next::Set(..) if !deciding => return,
                    Next::Set(supply, _) => match self.decide(&supply, effort) {
                        Decided::Yes(fillings) => {
                            let packing = self.model.packing(&fillings);
                            if packing.left.is_empty()
                                && packing.value(instance) <= value
                                && packing.sticks.len() < best.sticks.len()
                            {
                                *best = packing;
                                break;
                            }
                            open = true;
                            self.master.give_up(supply);
                        }
                        Decided::No(measure) => self.rule_out(measure, supply, effort),
                        Decided::Unknown => {
                            open = true;
                            self.master.give_up(supply);
                        }
                    },
                }
                if effort.spent() {
                    return;
                }
            }
        }
    }

    /// Do these sticks hold all pieces?
    fn decide(&mut self, supply: &Supply, effort: &mut Effort) -> Decided {
        let demand = self.model.demand.clone();
        let (parts, measure) = match relax::relax(&self.model, &demand, supply, &mut self.pool, effort) {
            Relaxed::No(measure) => return Decided::No(measure),
            Relaxed::Yes(parts, measure) => (parts, Some(measure)),
            Relaxed::Unknown => (Vec::new(), None),
        };
        let measures: Vec<Measure> = measure.into_iter().collect();
        let mut first = effort.share(STEPS_FOR_FIRST);
        let answer = prove::prove(&self.model, &demand, supply, &measures, None, &mut first);
        effort.give_back(first);
        match answer {
            Answer::Yes(fillings) => return Decided::Yes(fillings),
            Answer::No => return Decided::No(None),
            Answer::Unknown => {}
        }
        let mut own = effort.share(effort.left() / SET_SHARE);
        let mut finding = own.share(own.left() - own.left() / RULING_SHARE);
        let found = dive::dive(&self.model, &demand, supply, &parts, &mut self.pool, &mut finding);
        own.give_back(finding);
        let decided = match found {
            Some(fillings) => Decided::Yes(fillings),
            None => match prove::prove(&self.model, &demand, supply, &measures, Some(&mut self.pool), &mut own) {
                Answer::Yes(fillings) => Decided::Yes(fillings),
                Answer::No => Decided::No(None),
                Answer::Unknown => Decided::Unknown,
            },
        };
        effort.give_back(own);
        decided
    }

    /// Do no more than `counts` sticks of each kind hold all pieces?
    pub fn holds(&mut self, counts: &[usize], effort: &mut Effort) -> Holds {
        let supply = Supply { counts: counts.to_vec(), on_hand: counts.iter().sum(), fees: 0 };
        match self.decide(&supply, effort) {
            Decided::Yes(fillings) => Holds::Yes(self.model.packing(&fillings)),
            Decided::No(_) => Holds::No,
            Decided::Unknown => Holds::Unknown,
        }
    }
}

/// Whether given sticks hold all pieces.
pub(crate) enum Holds {
    /// They do, like this.
    Yes(Packing),
    /// They don't: proven.
    No,
    /// Not decided within the effort.
    Unknown,
}

enum Decided {
    Yes(Vec<Filling>),
    No(Option<Measure>),
    Unknown,
}

/// More than any packing costs that uses no more sticks than there are pieces.
fn dearest(instance: &Instance) -> u64 {
    let most = instance.kinds.iter().map(|kind| kind.value.saturating_add(kind.fee)).max().unwrap_or(0);
    most.saturating_mul(instance.weights.len() as u64).saturating_add(1)
}
