//! From a packing to a plan that can be read and sawn.

use crate::grid::{metres, money, nanometres, thousandths};
use crate::instance::{Instance, Part, Section, needed};
use crate::nest;
use crate::orders::{self, Ordered};
use crate::search::Loaded;
use crate::solve::Outcome;
use crate::{
    Bound, Cut, Join, Offcut, Piece, Plan, Problem, Purchase, RackUse, SectionPlan, Settings, StickKind, StickPlan,
};

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
    sections: &[Section],
    ordered: &Ordered,
    mut problems: Vec<Problem>,
) -> Plan {
    let given = Given { pieces, sticks, settings };
    let mut plans = Vec::new();
    for (at, (section, found)) in sections.iter().zip(&ordered.outcomes).enumerate() {
        let mut plan = empty_section(given, section);
        if let Some((instance, outcome)) = found {
            plan.fill_in(given, &letters(at), instance, outcome);
            let left = &outcome.packing.left;
            if !left.is_empty() {
                let parts: Vec<Part> = left.iter().map(|&item| instance.pieces[item]).collect();
                let needed = needed(parts.iter().map(|part| part.length), settings);
                let mut pieces: Vec<usize> = parts.iter().map(|part| part.piece).collect();
                pieces.sort_unstable();
                pieces.dedup();
                let proven = outcome.impossible;
                problems.push(Problem::RackShort { section: section.name.clone(), pieces, needed, proven });
            }
        } else if section.instance.is_some() {
            plan.unplaced = section.pieces.clone();
        }
        plans.push(plan);
    }
    let purchases = purchases(sticks, &plans);
    let deliveries = orders::charged(ordered, settings);
    let bought: f64 = purchases.iter().map(|purchase| purchase.cost + purchase.cut_fees).sum();
    let cost = bought + deliveries.iter().map(|delivery| delivery.cost).sum::<f64>();
    let placed = !plans.is_empty() && plans.iter().all(|plan| plan.unplaced.is_empty());
    let spent: u64 = ordered
        .outcomes
        .iter()
        .flatten()
        .filter(|(instance, _)| instance.priced)
        .map(|(instance, outcome)| outcome.packing.value(instance))
        .sum::<u64>()
        + deliveries.iter().map(|delivery| thousandths(delivery.cost)).sum::<u64>();
    let bound = ordered.bound.filter(|_| placed);
    // Sections without prices are proven by length, each for itself.
    let lengths = plans.iter().zip(&ordered.outcomes);
    let lengths = lengths.map(|(plan, of)| plan.proven || of.as_ref().is_some_and(|of| of.0.priced));
    let proven = bound == Some(spent) && lengths.into_iter().all(|proven| proven);
    Plan {
        cost,
        cost_bound: bound.map(|least| if least >= spent { cost } else { money(least).min(cost) }),
        proven,
        purchases,
        deliveries,
        joins: joins(pieces, sections),
        rack: rack(sticks, &plans),
        sections: plans,
        problems,
    }
}

/// Pieces that are cut in two.
fn joins(pieces: &[Piece], sections: &[Section]) -> Vec<Join> {
    let mut list: Vec<Join> = Vec::new();
    for part in sections.iter().filter_map(|section| section.instance.as_ref()).flat_map(|instance| &instance.pieces) {
        let Some(number) = part.part else { continue };
        let at = list.iter().position(|join| join.piece == part.piece).unwrap_or_else(|| {
            list.push(Join { piece: part.piece, name: pieces[part.piece].name.clone(), parts: [0.0; 2] });
            list.len() - 1
        });
        list[at].parts[usize::from(number == 2)] = metres(part.length);
    }
    list.sort_by_key(|join| join.piece);
    list
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
        longest_offcut: false,
        nested: 0.0,
    }
}

impl SectionPlan {
    fn fill_in(&mut self, given: Given, letters: &str, instance: &Instance, outcome: &Outcome) {
        let (packing, limits) = (&outcome.packing, &outcome.limits);
        // A piece of two parts has no stick unless both have one.
        let mut left: Vec<usize> = packing.left.iter().map(|&item| instance.pieces[item].piece).collect();
        left.sort_unstable();
        left.dedup();
        let whole = |item: &usize| left.binary_search(&instance.pieces[*item].piece).is_err();
        let sticks = packing
            .sticks
            .iter()
            .map(|stick| Loaded { kind: stick.kind, items: stick.items.iter().copied().filter(whole).collect() });
        self.sticks =
            sticks.filter(|stick| !stick.items.is_empty()).map(|loaded| stick(given, instance, &loaded)).collect();
        self.unplaced.extend(left);
        self.unplaced.sort_unstable();
        let first = |stick: &StickPlan| {
            let cuts = stick.cuts.iter().map(|cut| (given.pieces[cut.piece].order, cut.piece, cut.part));
            cuts.min().unwrap_or_default()
        };
        self.sticks.sort_by_key(first);
        for (number, stick) in self.sticks.iter_mut().enumerate() {
            stick.mark = format!("{letters}{}", number + 1);
        }
        self.stick_length = self.sticks.iter().map(|stick| stick.length).sum();
        let bought = self.sticks.iter().filter(|stick| stick.bought);
        self.cost = bought.map(|stick| stick.price + stick.cut_fees).sum();
        let cuts = || self.sticks.iter().flat_map(|stick| &stick.cuts);
        let cut: f64 = cuts().map(|cut| cut.to - cut.from).sum();
        self.nested = cuts().map(|cut| cut.nested).sum();
        self.yielded = if self.stick_length > 0.0 { cut / self.stick_length } else { 0.0 };
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
        let value = packing.value(instance);
        self.proven = limits.value == Some(value);
        self.fewest = outcome.least_sticks == Some(packing.sticks.len());
        self.longest_offcut = outcome.longest_offcut && self.nested == 0.0;
        // The limit is in rounded prices: where the plan meets it, its own cost says the same without rounding.
        let cost = |value: u64| if instance.priced { money(value).min(self.cost) } else { 0.0 };
        if let (Some(sticks), Some(least), Some(sticks_by_length), Some(by_length)) =
            (limits.sticks, limits.value, limits.sticks_by_length, limits.value_by_length)
        {
            let least_cost = if self.proven { self.cost } else { cost(least) };
            self.bound = Some(Bound {
                sticks,
                sticks_at_cost: outcome.least_sticks.unwrap_or(sticks),
                cost: least_cost,
                sticks_by_length,
                cost_by_length: cost(by_length),
            });
        }
    }
}

/// One stick with its cuts laid out from the trimmed end.
fn stick(given: Given, instance: &Instance, loaded: &Loaded) -> StickPlan {
    let kind = &instance.kinds[loaded.kind];
    let of = &given.sticks[kind.stick];
    let (kerf, trim) = (nanometres(given.settings.kerf), nanometres(given.settings.trim));
    let mut parts: Vec<Part> = loaded.items.iter().map(|&item| instance.pieces[item]).collect();
    parts.sort_by_key(|part| (given.pieces[part.piece].order, part.piece, part.part));
    let list: Vec<(&Piece, bool)> = parts.iter().map(|part| (&given.pieces[part.piece], part.part.is_none())).collect();
    let mut at = trim;
    let mut cuts = Vec::new();
    for laid in nest::order(&list, given.settings.kerf) {
        let part = parts[laid.at];
        let from = at - laid.saved;
        let to = from + part.length;
        cuts.push(Cut {
            piece: part.piece,
            name: given.pieces[part.piece].name.clone(),
            from: metres(from),
            to: metres(to),
            part: part.part,
            turned: laid.turned,
            nested: metres(laid.saved),
        });
        at = to + kerf;
    }
    // The last cut: none if the piece ends the stick, and no wider than what is left.
    let offcut = kind.length.saturating_sub(at);
    let between = kerf * parts.len().saturating_sub(1) as u64;
    let last = (kind.length + kerf).saturating_sub(at).min(kerf);
    let bought = of.count.is_none();
    StickPlan {
        kind: kind.stick,
        mark: String::new(),
        length: of.length,
        bought,
        on_order: !bought && of.on_order,
        price: of.each(),
        cut_fees: if bought { of.cut_fee * parts.len() as f64 } else { 0.0 },
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
            let fees = plans.iter().flat_map(|plan| &plan.sticks).filter(|of| of.kind == kind).map(|of| of.cut_fees);
            let price = stick.each();
            list.push(Purchase {
                kind,
                section: stick.section.clone(),
                length: stick.length,
                count,
                price,
                cost: price * count as f64,
                cut_fees: fees.sum(),
                supplier: stick.supplier.clone(),
            });
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
