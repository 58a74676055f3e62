//! Finding a packing.
//!
//! Several quick constructions give a first packing; then sets of sticks that would be cheaper are tried in turn: by
//! completing stick after stick, which is good where hardly anything may be wasted, and by taking sticks apart and
//! refilling them, which is good everywhere else. Then sticks on hand that are not needed go back to the rack, and
//! what is left over is gathered into long offcuts.

mod chance;
mod complete;
mod construct;
mod fill;
mod refill;
mod sets;
mod tidy;

use crate::bound::Limits;
use crate::instance::Instance;
pub(crate) use fill::Effort;

/// Steps of subset search per piece; one takes about 8 ns on a desk computer. With [`MOST_EFFORT`] it sets how long a
/// section may take where the bound is not met at once.
const EFFORT_PER_PIECE: u64 = 20_000;
/// Most steps per section: some 20 ms.
const MOST_EFFORT: u64 = 2_400_000;

/// One stick and the pieces on it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Loaded {
    /// Kind, as index into the instance's.
    pub kind: usize,
    /// Pieces, as indices into the instance's.
    pub items: Vec<usize>,
}

/// Sticks with their pieces, and pieces without a stick.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Packing {
    /// Sticks used.
    pub sticks: Vec<Loaded>,
    /// Pieces without a stick.
    pub left: Vec<usize>,
}

/// What makes one packing better than another, the first difference deciding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Score {
    /// Length without a stick.
    left: u64,
    /// Value bought.
    value: u64,
    /// Sticks used.
    sticks: usize,
    /// Length of all sticks used: what could have stayed whole.
    length: u64,
}

impl Packing {
    fn score(&self, instance: &Instance) -> Score {
        let kinds = || self.sticks.iter().map(|stick| &instance.kinds[stick.kind]);
        Score {
            left: self.left.iter().map(|&item| instance.weights[item]).sum(),
            value: self.value(instance),
            sticks: self.sticks.len(),
            length: kinds().map(|kind| kind.length).sum(),
        }
    }

    /// What is bought costs, fees included.
    pub fn value(&self, instance: &Instance) -> u64 {
        let of = |stick: &Loaded| {
            let kind = &instance.kinds[stick.kind];
            kind.value + kind.fee * stick.items.len() as u64
        };
        self.sticks.iter().map(of).sum()
    }

    /// Sticks used of each kind.
    pub fn counts(&self, instance: &Instance) -> Vec<usize> {
        let mut counts = vec![0; instance.kinds.len()];
        for stick in &self.sticks {
            counts[stick.kind] += 1;
        }
        counts
    }
}

/// Room of the kind that the items leave.
pub(crate) fn slack(instance: &Instance, stick: &Loaded) -> u64 {
    instance.kinds[stick.kind].room - load(instance, &stick.items)
}

/// Room that items take.
fn load(instance: &Instance, items: &[usize]) -> u64 {
    items.iter().map(|&item| instance.weights[item]).sum()
}

/// No limit rules out that these sticks hold every piece.
fn worth_trying(limits: &Limits, counts: &[usize], effort: &mut Effort) -> bool {
    effort.spend(1 + counts.len() as u64);
    if !limits.long_enough(counts) {
        return false;
    }
    effort.spend(limits.steps());
    limits.allow(counts)
}

/// What the search of a section may take.
pub(crate) fn effort(instance: &Instance) -> Effort {
    Effort::new(EFFORT_PER_PIECE.saturating_mul(instance.weights.len() as u64).min(MOST_EFFORT))
}

/// The best of the quick packings.
pub(crate) fn first(instance: &Instance, limits: &Limits, effort: &mut Effort) -> Packing {
    construct::best(instance, limits, effort)
}

/// Replaces the packing by others that place more or cost less, as long as limits and effort let it.
pub(crate) fn improve(instance: &Instance, limits: &Limits, best: &mut Packing, effort: &mut Effort) {
    sets::cheaper(instance, limits, best, effort);
}

/// Fewer and shorter sticks, longer offcuts; what is bought costs no more than before.
pub(crate) fn tidy(instance: &Instance, limits: &Limits, best: &mut Packing, effort: &mut Effort) {
    let mut tried = best.clone();
    tidy::close_sticks(instance, limits, &mut tried, effort);
    tidy::gather_offcuts(instance, &mut tried);
    if tried.score(instance) <= best.score(instance) {
        *best = tried;
    }
}
