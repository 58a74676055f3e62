//! The question as the exact part sees it: distinct lengths, sticks that may be taken, fillings, measures.

use crate::instance::Instance;
use crate::search::{Loaded, Packing};

/// One section: distinct lengths with how many of each are wanted.
pub(super) struct Model<'a> {
    pub instance: &'a Instance,
    /// Distinct weights, largest first.
    pub weights: Vec<u64>,
    /// How many of each.
    pub demand: Vec<usize>,
    /// Some kind asks a fee per piece.
    pub fees: bool,
}

/// What may be taken.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub(super) struct Supply {
    /// Most sticks of each kind.
    pub counts: Vec<usize>,
    /// Most sticks on hand in all.
    pub on_hand: usize,
    /// Most that all fees may come to, thousandths.
    pub fees: u64,
}

/// Pieces put on one stick: which length, how many.
pub(super) type Pattern = Vec<(usize, usize)>;

/// A kind and a filling of it.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub(super) struct Filling {
    pub kind: usize,
    pub pattern: Pattern,
}

impl Filling {
    /// Pieces on it.
    pub fn pieces(&self) -> usize {
        self.pattern.iter().map(|part| part.1).sum()
    }
}

/// Worths such that no filling of a stick is worth more than the stick: Σ lengthⱼ aⱼ ≤ kindᵢ + (on hand: each) +
/// money × fee of the filling.
#[derive(Clone, Debug)]
pub(super) struct Measure {
    /// Worth of one piece of each length.
    pub length: Vec<u64>,
    /// Worth of one stick of each kind.
    pub kind: Vec<u64>,
    /// Worth of every stick on hand besides.
    pub each: u64,
    /// Worth of a thousandth paid in fees.
    pub money: u64,
}

impl Measure {
    /// What the pieces are worth.
    pub fn need(&self, demand: &[usize]) -> u128 {
        self.length.iter().zip(demand).map(|(&worth, &count)| u128::from(worth) * count as u128).sum()
    }

    /// The most that the sticks can be worth.
    pub fn offer(&self, instance: &Instance, supply: &Supply) -> u128 {
        offer(&self.kind, self.each, self.money, instance, supply)
    }

    /// The same for the whole question.
    pub fn row(&self, demand: &[usize]) -> Row {
        Row { need: self.need(demand), kind: self.kind.clone(), each: self.each, money: self.money }
    }

    /// The pieces are worth no more than the sticks.
    pub fn allows(&self, model: &Model, demand: &[usize], supply: &Supply) -> bool {
        self.need(demand) <= self.offer(model.instance, supply)
    }
}

/// A measure of the whole question: what all pieces are worth, and one stick of each kind.
#[derive(Clone, Debug)]
pub(crate) struct Row {
    pub need: u128,
    pub kind: Vec<u64>,
    /// Worth of every stick on hand besides, and of a thousandth paid in fees.
    pub each: u64,
    pub money: u64,
}

impl Row {
    /// The most that the sticks can be worth.
    pub(super) fn offer(&self, instance: &Instance, supply: &Supply) -> u128 {
        offer(&self.kind, self.each, self.money, instance, supply)
    }
}

fn offer(kind: &[u64], each: u64, money: u64, instance: &Instance, supply: &Supply) -> u128 {
    let worth = |(at, &count): (usize, &usize)| u128::from(kind[at]) * count as u128;
    let all: u128 = supply.counts.iter().enumerate().map(worth).sum();
    let on_hand: usize =
        instance.kinds.iter().zip(&supply.counts).filter(|(kind, _)| kind.count.is_some()).map(|(_, &n)| n).sum();
    let taken = on_hand.min(supply.on_hand);
    // With fewer than there are, those of highest worth are the most that can be had.
    let all = if taken < on_hand {
        let mut left = taken;
        let mut list: Vec<(u64, usize)> = Vec::new();
        let mut sum = 0u128;
        for (at, of) in instance.kinds.iter().enumerate() {
            if of.count.is_some() {
                list.push((kind[at], supply.counts[at]));
            } else {
                sum += u128::from(kind[at]) * supply.counts[at] as u128;
            }
        }
        list.sort_unstable_by(|a, b| b.cmp(a));
        for (worth, count) in list {
            let number = count.min(left);
            sum += u128::from(worth) * number as u128;
            left -= number;
        }
        sum
    } else {
        all
    };
    all + u128::from(each) * taken as u128 + u128::from(money) * u128::from(supply.fees)
}

impl<'a> Model<'a> {
    pub fn new(instance: &'a Instance) -> Self {
        let same = || instance.weights.chunk_by(|a, b| a == b);
        Model {
            instance,
            weights: same().map(|same| same[0]).collect(),
            demand: same().map(<[u64]>::len).collect(),
            fees: instance.kinds.iter().any(|kind| kind.fee > 0),
        }
    }

    /// Room that a filling leaves.
    pub fn slack(&self, filling: &Filling) -> u64 {
        let load: u64 = filling.pattern.iter().map(|&(at, number)| self.weights[at] * number as u64).sum();
        self.instance.kinds[filling.kind].room.saturating_sub(load)
    }

    /// Sticks of this kind that may still be taken.
    pub fn available(&self, supply: &Supply, kind: usize) -> usize {
        let of = &self.instance.kinds[kind];
        if of.fee > supply.fees {
            0
        } else if of.count.is_some() {
            supply.counts[kind].min(supply.on_hand)
        } else {
            supply.counts[kind]
        }
    }

    /// Takes `number` sticks with this filling; false, with nothing changed, if that is not allowed.
    pub fn take(&self, filling: &Filling, number: usize, demand: &mut [usize], supply: &mut Supply) -> bool {
        let kind = &self.instance.kinds[filling.kind];
        let fees = kind.fee * (filling.pieces() * number) as u64;
        let enough = |&(at, each): &(usize, usize)| demand[at] >= each * number;
        if self.available(supply, filling.kind) < number || fees > supply.fees || !filling.pattern.iter().all(enough) {
            return false;
        }
        for &(at, each) in &filling.pattern {
            demand[at] -= each * number;
        }
        supply.counts[filling.kind] -= number;
        if kind.count.is_some() {
            supply.on_hand -= number;
        }
        supply.fees -= fees;
        true
    }

    /// Puts back what [`Model::take`] took of one stick.
    pub fn put_back(&self, filling: &Filling, demand: &mut [usize], supply: &mut Supply) {
        let kind = &self.instance.kinds[filling.kind];
        for &(at, each) in &filling.pattern {
            demand[at] += each;
        }
        supply.counts[filling.kind] += 1;
        if kind.count.is_some() {
            supply.on_hand += 1;
        }
        supply.fees += kind.fee * filling.pieces() as u64;
    }

    /// The fillings as a packing of single pieces.
    pub fn packing(&self, fillings: &[Filling]) -> Packing {
        let mut next: Vec<usize> = Vec::new();
        let mut end = 0;
        for &count in &self.demand {
            next.push(end);
            end += count;
        }
        let ends: Vec<usize> = next.iter().zip(&self.demand).map(|(start, count)| start + count).collect();
        let mut sticks = Vec::new();
        for filling in fillings {
            let mut items = Vec::new();
            for &(at, number) in &filling.pattern {
                let to = (next[at] + number).min(ends[at]);
                items.extend(next[at]..to);
                next[at] = to;
            }
            sticks.push(Loaded { kind: filling.kind, items });
        }
        let left = next.iter().zip(&ends).flat_map(|(&from, &to)| from..to).collect();
        Packing { sticks, left }
    }
}
