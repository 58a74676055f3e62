//! May parts of sticks hold the pieces? The linear relaxation over all fillings, by column generation.
//!
//! Minimise θ such that θ times the sticks, in parts, hold every piece. Its dual gives every length a worth; the best
//! filling at those worths either improves θ or shows that none is worth more than its stick. Worths are rounded to
//! whole numbers before the best filling is looked for, so that each round gives a measure that holds exactly,
//! whatever the rounding of the linear program. If the pieces are worth more than the sticks, no packing exists.

use super::knapsack::{self, Offer};
use super::model::{Filling, Measure, Model, Supply};
use super::simplex::{Simplex, Sparse};
use crate::search::Effort;

/// Whole units in a worth of 1, what the sticks are worth together.
const UNITS: f64 = (1u64 << 44) as f64;
/// A filling must be worth so much more than its stick, in units, to come in: less is noise of the linear program.
const LEAST_GAIN: u64 = 1 << 12;
/// The same for fillings known before, as a part of 1, and for rows that are not tight.
const LEAST_GAIN_PART: f64 = 1e-9;
/// Steps for the best filling of one stick; beyond that its bound stands, which is worth more but no more than valid.
const STEPS_PER_FILLING: u64 = 20_000;
/// Entries of the inverse that are changed in the time of one step.
const ENTRIES_PER_STEP: usize = 24;
/// Fillings looked at in the time of one step.
const FILLINGS_PER_STEP: usize = 2;
/// Rounds without progress that mean the linear program is stuck.
const MOST_ROUNDS_PER_ROW: usize = 60;
/// Right sides are raised by about this part, each by another amount, so that no two rows tie (a usual perturbation).
const SPREAD: f64 = 1e-7;

/// Fillings known so far; they are found again in the next question.
#[derive(Default)]
pub(super) struct Pool {
    pub fillings: Vec<Filling>,
}

/// Most fillings kept.
const MOST_KEPT: usize = 6000;

/// The answer.
pub(super) enum Relaxed {
    /// No packing exists; the measure says so.
    No(Option<Measure>),
    /// Parts of sticks hold all; the fillings in use with how many of each, and the last measure.
    Yes(Vec<(Filling, f64)>, Measure),
    /// Not decided within the effort.
    Unknown,
}

/// Rows and variables of one question.
struct Rows<'a> {
    model: &'a Model<'a>,
    demand: &'a [usize],
    supply: &'a Supply,
    /// Lengths wanted, and the row of each length.
    lengths: Vec<usize>,
    row_of: Vec<usize>,
    /// Kinds that may be taken, with their number, and the row of each kind.
    kinds: Vec<(usize, usize)>,
    kind_row: Vec<usize>,
    /// Row for all sticks on hand.
    each: Option<usize>,
    /// Row for fees.
    money: Option<usize>,
    rows: usize,
}

const NONE: usize = usize::MAX;

impl<'a> Rows<'a> {
    fn new(model: &'a Model<'a>, demand: &'a [usize], supply: &'a Supply) -> Self {
        let lengths: Vec<usize> = (0..demand.len()).filter(|&at| demand[at] > 0).collect();
        let mut row_of = vec![NONE; demand.len()];
        for (row, &at) in lengths.iter().enumerate() {
            row_of[at] = row;
        }
        let least = lengths.last().map_or(0, |&at| model.weights[at]);
        let kinds: Vec<(usize, usize)> = (0..supply.counts.len())
            .map(|kind| (kind, model.available(supply, kind)))
            .filter(|&(kind, number)| number > 0 && model.instance.kinds[kind].room >= least)
            .collect();
        let mut rows = lengths.len();
        let mut kind_row = vec![NONE; supply.counts.len()];
        for &(kind, _) in &kinds {
            kind_row[kind] = rows;
            rows += 1;
        }
        let of = |kind: usize| &model.instance.kinds[kind];
        let on_hand: usize = kinds.iter().filter(|k| of(k.0).count.is_some()).map(|k| k.1).sum();
        let each = (on_hand > supply.on_hand).then(|| {
            rows += 1;
            rows - 1
        });
        let money = (model.fees && kinds.iter().any(|k| of(k.0).fee > 0)).then(|| {
            rows += 1;
            rows - 1
        });
        Rows { model, demand, supply, lengths, row_of, kinds, kind_row, each, money, rows }
    }

    fn fee(&self, kind: usize) -> u64 {
        self.model.instance.kinds[kind].fee
    }

    /// Entries of a filling below the rows of the lengths.
    fn below(&self, kind: usize, pieces: usize) -> Sparse {
        let mut entries = vec![(self.kind_row[kind], 1.0)];
        if let Some(row) = self.each
            && self.model.instance.kinds[kind].count.is_some()
        {
            entries.push((row, 1.0));
        }
        if let Some(row) = self.money
            && self.fee(kind) > 0
        {
            entries.push((row, (self.fee(kind) * pieces as u64) as f64 / self.money_scale()));
        }
        entries
    }

    /// Fees are counted in parts of all that may be paid, to keep the numbers of one size.
    fn money_scale(&self) -> f64 {
        (self.supply.fees as f64).max(1.0)
    }

    fn entries(&self, filling: &Filling) -> Sparse {
        let mut entries: Sparse = filling.pattern.iter().map(|&(at, n)| (self.row_of[at], n as f64)).collect();
        entries.extend(self.below(filling.kind, filling.pieces()));
        entries
    }

    /// The filling may be used here.
    fn usable(&self, filling: &Filling) -> bool {
        self.kind_row[filling.kind] != NONE
            && filling.pattern.iter().all(|&(at, n)| self.demand[at] >= n)
            && self.fee(filling.kind).saturating_mul(filling.pieces() as u64) <= self.supply.fees
    }
}

/// Could parts of the sticks hold the pieces?
pub(super) fn relax(model: &Model, demand: &[usize], supply: &Supply, pool: &mut Pool, effort: &mut Effort) -> Relaxed {
    let rows = Rows::new(model, demand, supply);
    let length_rows = rows.lengths.len();
    // One length each on the roomiest kind, as often as it is wanted.
    let mut fillings: Vec<Filling> = Vec::new();
    let mut below = Vec::new();
    for &at in &rows.lengths {
        let takes = |k: &&(usize, usize)| model.instance.kinds[k.0].room >= model.weights[at];
        let Some(&(kind, _)) = rows.kinds.iter().filter(takes).max_by_key(|k| model.instance.kinds[k.0].room) else {
            return Relaxed::No(None);
        };
        let mut most = (model.instance.kinds[kind].room / model.weights[at]) as usize;
        if let Some(affordable) = supply.fees.checked_div(rows.fee(kind)) {
            most = most.min(usize::try_from(affordable).unwrap_or(usize::MAX));
        }
        let number = demand[at].min(most);
        below.push(rows.below(kind, number));
        fillings.push(Filling { kind, pattern: vec![(at, number)] });
    }
    let diagonal: Vec<f64> = fillings.iter().map(|filling| filling.pattern[0].1 as f64).collect();
    let mut right = vec![0.0; rows.rows];
    for (row, &at) in rows.lengths.iter().enumerate() {
        right[row] = demand[at] as f64 * (1.0 + SPREAD * (1.0 + (row * 61 % 97) as f64 / 97.0));
    }
    // Names: fillings, then a slack for each row, then θ.
    let slack = 1 << 40;
    let basis = (0..rows.rows).map(|row| if row < length_rows { row } else { slack + row }).collect();
    let mut program = Simplex::new(rows.rows, &diagonal, &below, &right, basis);
    let mut theta: Sparse = rows.kinds.iter().map(|&(kind, number)| (rows.kind_row[kind], -(number as f64))).collect();
    theta.extend(rows.each.map(|row| (row, -(supply.on_hand as f64))));
    theta.extend(rows.money.map(|row| (row, -(supply.fees as f64) / rows.money_scale())));
    if !program.enter_costly(2 * slack, &theta) {
        return Relaxed::Unknown;
    }
    let mut entries: Vec<Sparse> = fillings.iter().map(|filling| rows.entries(filling)).collect();
    for filling in pool.fillings.iter().filter(|filling| rows.usable(filling)) {
        entries.push(rows.entries(filling));
        fillings.push(filling.clone());
    }
    effort.spend((pool.fillings.len() / FILLINGS_PER_STEP) as u64);
    let pivot_steps = (1 + rows.rows * rows.rows / ENTRIES_PER_STEP) as u64;
    let mut last: Option<Measure> = None;
    for _ in 0..MOST_ROUNDS_PER_ROW * rows.rows {
        if effort.spent() {
            return Relaxed::Unknown;
        }
        effort.spend(pivot_steps + (entries.len() / FILLINGS_PER_STEP) as u64);
        let prices = program.prices();
        let gain = |entries: &Sparse| entries.iter().map(|&(row, n)| prices[row] * n).sum::<f64>();
        // A row of a length wants a price of at least zero, the others of at most zero.
        let loose = (0..rows.rows)
            .map(|row| (if row < length_rows { -prices[row] } else { prices[row] }, row))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        let known = (0..entries.len())
            .map(|at| (gain(&entries[at]), at))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .filter(|known| known.0 > LEAST_GAIN_PART);
        if let Some((by, row)) = loose
            && by > LEAST_GAIN_PART.max(known.map_or(0.0, |known| known.0))
        {
            let entry = vec![(row, if row < length_rows { -1.0 } else { 1.0 })];
            if !program.enter(slack + row, &entry) {
                return Relaxed::Unknown;
            }
            continue;
        }
        if let Some((_, at)) = known {
            if !program.enter(at, &entries[at]) {
                return Relaxed::Unknown;
            }
            continue;
        }
        let (measure, found) = price_out(&rows, prices, effort);
        if measure.need(demand) > measure.offer(model.instance, supply) {
            keep(pool, &fillings, &program);
            return Relaxed::No(Some(measure));
        }
        last = Some(measure);
        let mut brought = false;
        for filling in found {
            let entry = rows.entries(&filling);
            // Only what the linear program also sees as a gain, or it would go round in circles.
            if program.prices().iter().all(|p| p.is_finite())
                && entry.iter().map(|&(row, n)| program.prices()[row] * n).sum::<f64>() > LEAST_GAIN_PART / 10.0
            {
                pool.fillings.push(filling.clone());
                fillings.push(filling);
                entries.push(entry);
                if !brought {
                    brought = program.enter(fillings.len() - 1, &entries[fillings.len() - 1]);
                }
            }
        }
        if !brought {
            break;
        }
    }
    keep(pool, &fillings, &program);
    // θ of one and a little for the perturbation: otherwise parts of the sticks do not do, though it is not proven.
    let Some(measure) = last else { return Relaxed::Unknown };
    let used = program.solution().filter(|&(name, value)| name < slack && value > SPREAD);
    let mut parts: Vec<(Filling, f64)> = used.map(|(name, value)| (fillings[name].clone(), value)).collect();
    parts.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.kind.cmp(&b.0.kind)).then(a.0.pattern.cmp(&b.0.pattern)));
    if program.cost() > 1.0 + 1e-4 { Relaxed::Unknown } else { Relaxed::Yes(parts, measure) }
}

/// Keeps the pool small: the fillings in use, and the latest others.
fn keep(pool: &mut Pool, fillings: &[Filling], program: &Simplex) {
    if pool.fillings.len() > MOST_KEPT {
        let used: Vec<Filling> = program.solution().filter_map(|(name, _)| fillings.get(name).cloned()).collect();
        pool.fillings.drain(..pool.fillings.len() / 2);
        pool.fillings.extend(used);
    }
}

/// The measure that the prices give, in whole units, and fillings worth more than their stick.
fn price_out(rows: &Rows, prices: &[f64], effort: &mut Effort) -> (Measure, Vec<Filling>) {
    let model = rows.model;
    // Any whole numbers of at least zero make a measure; these lie next to the prices.
    let whole = |price: f64| (price.clamp(0.0, 2.0) * UNITS) as u64;
    let mut measure = Measure {
        length: vec![0; model.weights.len()],
        kind: vec![0; model.instance.kinds.len()],
        each: rows.each.map_or(0, |row| whole(-prices[row])),
        money: rows.money.map_or(0, |row| (whole(-prices[row]) as f64 / rows.money_scale()).ceil() as u64),
    };
    for (row, &at) in rows.lengths.iter().enumerate() {
        measure.length[at] = whole(prices[row]);
    }
    let mut found: Vec<(u64, Filling)> = Vec::new();
    let offers = |fee: u64| {
        let less = measure.money.saturating_mul(fee);
        let offer = |&at: &usize| Offer {
            at,
            weight: model.weights[at],
            worth: measure.length[at].saturating_sub(less),
            most: rows.demand[at],
        };
        let mut offers: Vec<Offer> = rows.lengths.iter().map(offer).filter(|offer| offer.worth > 0).collect();
        knapsack::sort(&mut offers);
        offers
    };
    let plain = offers(0);
    let mut kinds = Vec::new();
    for &(kind, _) in &rows.kinds {
        let of = &model.instance.kinds[kind];
        let each = if of.count.is_some() { measure.each } else { 0 };
        let own = whole(-prices[rows.kind_row[kind]]);
        let with_fee;
        let list = if of.fee == 0 || measure.money == 0 {
            &plain
        } else {
            with_fee = offers(of.fee);
            &with_fee
        };
        let floor = own + each + LEAST_GAIN;
        let mut steps = 0;
        let filled = knapsack::best(list, of.room, floor, STEPS_PER_FILLING, &mut steps);
        effort.spend(1 + steps);
        kinds.push((kind, filled.bound.saturating_sub(each)));
        if let Some((worth, mut pattern)) = filled.best {
            pattern.sort_unstable();
            let filling = Filling { kind, pattern };
            if rows.usable(&filling) {
                found.push((worth - floor, filling));
            }
        }
    }
    for (kind, worth) in kinds {
        measure.kind[kind] = worth;
    }
    // Kinds without a row have no stick to give, except where the measure is used again for others: see `whole_worth`.
    found.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.kind.cmp(&b.1.kind)));
    (measure, found.into_iter().map(|(_, filling)| filling).collect())
}

/// Completes a measure made for some kinds so that it holds for all, and for any demand up to the model's.
pub(super) fn for_all_kinds(model: &Model, measure: &mut Measure, effort: &mut Effort) {
    for (kind, of) in model.instance.kinds.iter().enumerate() {
        let less = measure.money.saturating_mul(of.fee);
        let each = if of.count.is_some() { measure.each } else { 0 };
        let mut offers: Vec<Offer> = (0..model.weights.len())
            .map(|at| Offer {
                at,
                weight: model.weights[at],
                worth: measure.length[at].saturating_sub(less),
                most: model.demand[at],
            })
            .filter(|offer| offer.worth > 0)
            .collect();
        knapsack::sort(&mut offers);
        let mut steps = 0;
        let known = (measure.kind[kind] + each).saturating_sub(1);
        let filled = knapsack::best(&offers, of.room, known, STEPS_PER_FILLING, &mut steps);
        effort.spend(1 + steps);
        measure.kind[kind] = filled.bound.saturating_sub(each);
    }
}
