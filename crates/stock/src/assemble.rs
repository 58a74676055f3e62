//! From a packing to a plan that can be read and sawn.

use crate::bound::Limits;
use crate::grid::{metres, money, nanometres};
use crate::instance::{Instance, Section, needed};
use crate::search::{Loaded, Packing};
use crate::{Bound, Cut, Offcut, Piece, Plan, Problem, Purchase, RackUse, SectionPlan, Settings, StickKind, StickPlan};

/// What the caller gave.
#[derive(Clone, Copy)]
struct Given<'a> {
    pieces: &'a [Piece],
    sticks: &'a [StickKind],
    settings: &'a Settings,
}

/// Puts the sections' packings together.
pub(crate) fn plan(
    pieces: &[Piece],
    sticks: &[StickKind],
    settings: &Settings,
    sections: &[(&Section, Option<(Limits, Packing)>)],
    mut problems: Vec<Problem>,
) -> Plan {
    let given = Given { pieces, sticks, settings };
    let mut plans = Vec::new();
    for (at, (section, found)) in sections.iter().enumerate() {
        let mut plan = empty_section(given, section);
        if let (Some(instance), Some((limits, packing))) = (&section.instance, found) {
            plan.fill_in(given, &letters(at), instance, limits, packing);
            if !packing.left.is_empty() {
                let pieces: Vec<usize> = packing.left.iter().map(|&item| instance.pieces[item]).collect();
                let needed = needed(&pieces, given.pieces, settings);
                let proven = limits.value.is_none();
                problems.push(Problem::RackShort { section: section.name.clone(), pieces, needed, proven });
            }
        }
        plans.push(plan);
    }
    let purchases = purchases(sticks, &plans);
    let bounds: Option<Vec<f64>> = plans.iter().map(|plan| plan.bound.map(|bound| bound.cost)).collect();
    Plan {
        cost: purchases.iter().map(|purchase| purchase.cost).sum(),
        cost_bound: bounds.filter(|_| !plans.is_empty()).map(|bounds| bounds.iter().sum()),
        proven: !plans.is_empty() && plans.iter().all(|plan| plan.proven),
        purchases,
        rack: rack(sticks, &plans),
        sections: plans,
        problems,
    }
}

/// A section of which nothing is placed yet.
fn empty_section(given: Given, section: &Section) -> SectionPlan {
    SectionPlan {
        section: section.name.clone(),
        sticks: Vec::new(),
        unplaced: if section.instance.is_some() { section.too_long.clone() } else { section.pieces.clone() },
        piece_length: section.pieces.iter().map(|&piece| given.pieces[piece].length).sum(),
        stick_length: 0.0,
        cost: 0.0,
        bound: None,
        proven: false,
        fewest: false,
        yielded: 0.0,
        offcuts: Vec::new(),
    }
}

impl SectionPlan {
    fn fill_in(&mut self, given: Given, letters: &str, instance: &Instance, limits: &Limits, packing: &Packing) {
        self.unplaced.extend(packing.left.iter().map(|&item| instance.pieces[item]));
        self.unplaced.sort_unstable();
        self.sticks = packing.sticks.iter().map(|loaded| stick(given, instance, loaded)).collect();
        let first = |stick: &StickPlan| {
            stick.cuts.iter().map(|cut| (given.pieces[cut.piece].order, cut.piece)).min().unwrap_or_default()
        };
        self.sticks.sort_by_key(first);
        for (number, stick) in self.sticks.iter_mut().enumerate() {
            stick.mark = format!("{letters}{}", number + 1);
        }
        self.stick_length = self.sticks.iter().map(|stick| stick.length).sum();
        self.cost = self.sticks.iter().filter(|stick| stick.bought).map(|stick| stick.price).sum();
        let cut = self.sticks.iter().flat_map(|stick| &stick.cuts).map(|cut| given.pieces[cut.piece].length);
        self.yielded = if self.stick_length > 0.0 { cut.sum::<f64>() / self.stick_length } else { 0.0 };
        self.offcuts = self
            .sticks
            .iter()
            .filter(|stick| stick.offcut > 0.0)
            .map(|stick| Offcut { mark: stick.mark.clone(), length: stick.offcut })
            .collect();
        self.offcuts.sort_by(|a, b| b.length.total_cmp(&a.length));
        if !self.unplaced.is_empty() {
            return;
        }
        let value: u64 = packing.sticks.iter().map(|stick| instance.kinds[stick.kind].value).sum();
        self.proven = limits.value == Some(value);
        self.fewest = limits.sticks == Some(packing.sticks.len());
        // The limit is in rounded prices: where the plan meets it, its own cost says the same without rounding.
        let cost = |value: u64| if instance.priced { money(value).min(self.cost) } else { 0.0 };
        if let (Some(sticks), Some(least), Some(sticks_by_length), Some(by_length)) =
            (limits.sticks, limits.value, limits.sticks_by_length, limits.value_by_length)
        {
            let least_cost = if self.proven { self.cost } else { cost(least) };
            self.bound = Some(Bound { sticks, cost: least_cost, sticks_by_length, cost_by_length: cost(by_length) });
        }
    }
}

/// One stick with its cuts laid out from the trimmed end.
fn stick(given: Given, instance: &Instance, loaded: &Loaded) -> StickPlan {
    let kind = &instance.kinds[loaded.kind];
    let of = &given.sticks[kind.stick];
    let (kerf, trim) = (nanometres(given.settings.kerf), nanometres(given.settings.trim));
    let mut pieces: Vec<usize> = loaded.items.iter().map(|&item| instance.pieces[item]).collect();
    pieces.sort_by_key(|&piece| (given.pieces[piece].order, piece));
    let mut at = trim;
    let mut cuts = Vec::new();
    for &piece in &pieces {
        let to = at + nanometres(given.pieces[piece].length);
        cuts.push(Cut { piece, name: given.pieces[piece].name.clone(), from: metres(at), to: metres(to) });
        at = to + kerf;
    }
    // The last cut: none if the piece ends the stick, and no wider than what is left.
    let offcut = kind.length.saturating_sub(at);
    let between = kerf * pieces.len().saturating_sub(1) as u64;
    let last = (kind.length + kerf).saturating_sub(at).min(kerf);
    StickPlan {
        kind: kind.stick,
        mark: String::new(),
        length: of.length,
        bought: of.count.is_none(),
        price: of.price,
        place: of.place.clone(),
        cuts,
        kerfs: metres(between + last),
        trim: given.settings.trim,
        offcut: metres(offcut),
    }
}

/// What to buy: one line per kind.
fn purchases(sticks: &[StickKind], plans: &[SectionPlan]) -> Vec<Purchase> {
    let mut list = Vec::new();
    for (kind, count) in used(sticks, plans).into_iter().enumerate() {
        let stick = &sticks[kind];
        if stick.count.is_none() && count > 0 {
            let (section, length, price) = (stick.section.clone(), stick.length, stick.price);
            list.push(Purchase { kind, section, length, count, price, cost: price * count as f64 });
        }
    }
    list
}

/// What is taken from the rack.
fn rack(sticks: &[StickKind], plans: &[SectionPlan]) -> Vec<RackUse> {
    let mut list = Vec::new();
    for (kind, used) in used(sticks, plans).into_iter().enumerate() {
        let stick = &sticks[kind];
        if let Some(count) = stick.count {
            let (section, length, place) = (stick.section.clone(), stick.length, stick.place.clone());
            list.push(RackUse { kind, section, length, place, used, left: count as usize - used });
        }
    }
    list
}

/// Sticks of each kind that the plans use.
fn used(sticks: &[StickKind], plans: &[SectionPlan]) -> Vec<usize> {
    let mut used = vec![0; sticks.len()];
    for stick in plans.iter().flat_map(|plan| &plan.sticks) {
        used[stick.kind] += 1;
    }
    used
}

/// A, B, … Z, AA, AB, …
fn letters(mut index: usize) -> String {
    let mut letters = Vec::new();
    loop {
        letters.push(char::from(b'A' + (index % 26) as u8));
        if index < 26 {
            break;
        }
        index = index / 26 - 1;
    }
    letters.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_after_z() {
        assert_eq!([0, 25, 26, 27, 51, 52, 701, 702].map(letters), ["A", "Z", "AA", "AB", "AZ", "BA", "ZZ", "AAA"]);
    }
}
