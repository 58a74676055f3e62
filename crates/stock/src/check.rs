//! Can this plan be sawn? Tried from the plan's own words alone, without the search's grid or bookkeeping.

use crate::{Piece, Plan, Settings, StickKind, StickPlan};

/// How far two lengths may differ and still be the same, m: the plan states whole nanometres.
const SAME_LENGTH: f64 = 1e-9;

/// Longest piece that a plan must account for, m; longer ones are refused by name.
const LONGEST: f64 = 1000.0;

/// How far two sums of money may differ, per unit of the larger: the rounding of a few thousand additions.
const SAME_MONEY: f64 = 1e-9;

/// Checks that the plan can be carried out and adds up: every piece on one stick of its own section or listed as
/// unplaced, in its full length, a saw cut apart, within the trimmed stick; no more sticks on hand than there are;
/// purchase list, rack and costs as the sticks say; no cost below its bound.
///
/// # Errors
/// Everything that is wrong, one sentence each.
pub fn check(plan: &Plan, pieces: &[Piece], sticks: &[StickKind], settings: &Settings) -> Result<(), Vec<String>> {
    let mut wrong = Vec::new();
    check_pieces(plan, pieces, &mut wrong);
    for section in &plan.sections {
        for stick in &section.sticks {
            match sticks.get(stick.kind) {
                None => wrong.push(format!("stick {}: there is no stick kind {}", stick.mark, stick.kind)),
                Some(kind) => {
                    if kind.section != section.section {
                        wrong.push(format!("stick {}: is of section `{}`", stick.mark, kind.section));
                    }
                    if kind.length != stick.length || kind.price != stick.price {
                        wrong.push(format!("stick {}: length or price differ from its kind", stick.mark));
                    }
                    if kind.count.is_none() != stick.bought {
                        wrong.push(format!("stick {}: bought and on hand are mixed up", stick.mark));
                    }
                }
            }
            check_stick(stick, &section.section, pieces, settings, &mut wrong);
        }
    }
    check_counts(plan, sticks, &mut wrong);
    check_sums(plan, pieces, &mut wrong);
    if wrong.is_empty() { Ok(()) } else { Err(wrong) }
}

/// Every piece in one place, or named by a problem.
fn check_pieces(plan: &Plan, pieces: &[Piece], wrong: &mut Vec<String>) {
    if plan.sections.is_empty() {
        if plan.problems.is_empty() {
            wrong.push("the plan is empty and names no problem".into());
        }
        return;
    }
    let mut places = vec![0usize; pieces.len()];
    let cut = plan.sections.iter().flat_map(|s| &s.sticks).flat_map(|stick| &stick.cuts).map(|cut| cut.piece);
    let unplaced = plan.sections.iter().flat_map(|section| section.unplaced.iter().copied());
    for piece in cut.chain(unplaced) {
        match places.get_mut(piece) {
            Some(count) => *count += 1,
            None => wrong.push(format!("there is no piece {piece}")),
        }
    }
    for (piece, count) in pieces.iter().zip(places) {
        let usable = piece.length.is_finite() && piece.length > SAME_LENGTH && piece.length <= LONGEST;
        if count != 1 && (usable || count > 1) {
            wrong.push(format!("piece `{}` stands in the plan {count} times", piece.name));
        }
    }
}

/// One stick: pieces in their length, a saw cut apart, between the trim and the end.
fn check_stick(stick: &StickPlan, section: &str, pieces: &[Piece], settings: &Settings, wrong: &mut Vec<String>) {
    let mark = &stick.mark;
    if stick.cuts.is_empty() {
        wrong.push(format!("stick {mark}: nothing is cut from it"));
    }
    let mut free_from = settings.trim;
    let mut sum = 0.0;
    for cut in &stick.cuts {
        let Some(piece) = pieces.get(cut.piece) else { continue };
        if piece.name != cut.name || piece.section != section {
            wrong.push(format!("stick {mark}: `{}` is not that piece of `{section}`", cut.name));
        }
        if (cut.to - cut.from - piece.length).abs() > SAME_LENGTH {
            wrong.push(format!("stick {mark}: `{}` is cut {} m long", piece.name, cut.to - cut.from));
        }
        if cut.from < free_from - SAME_LENGTH {
            wrong.push(format!("stick {mark}: `{}` starts before {free_from} m, where the saw is done", piece.name));
        }
        if cut.to > stick.length + SAME_LENGTH {
            wrong.push(format!("stick {mark}: `{}` ends beyond the stick", piece.name));
        }
        free_from = cut.to + settings.kerf;
        sum += piece.length;
    }
    let each = SAME_LENGTH * (stick.cuts.len() + 3) as f64;
    if (stick.trim + sum + stick.kerfs + stick.offcut - stick.length).abs() > each {
        wrong.push(format!("stick {mark}: trim, pieces, saw cuts and offcut don't make up its length"));
    }
    if stick.offcut < 0.0 || stick.offcut > (stick.length - free_from).max(0.0) + SAME_LENGTH {
        wrong.push(format!("stick {mark}: no offcut of {} m is left", stick.offcut));
    }
    for pair in stick.cuts.windows(2) {
        let order = |index: usize| pieces.get(index).map(|piece| piece.order);
        if order(pair[0].piece) > order(pair[1].piece) {
            wrong.push(format!("stick {mark}: `{}` is not in the fitting order", pair[1].name));
        }
    }
}

/// Rack and purchase list against the sticks.
fn check_counts(plan: &Plan, sticks: &[StickKind], wrong: &mut Vec<String>) {
    let used = |kind: usize| plan.sections.iter().flat_map(|s| &s.sticks).filter(|stick| stick.kind == kind).count();
    for (index, kind) in sticks.iter().enumerate() {
        let used = used(index);
        let of = format!("the {} m sticks of `{}`", kind.length, kind.section);
        match kind.count {
            Some(count) => {
                if used > count as usize {
                    wrong.push(format!("{of}: {used} are used and {count} are on hand"));
                }
                let lines: Vec<_> = plan.rack.iter().filter(|line| line.kind == index).collect();
                if lines.len() != 1 || lines[0].used != used || lines[0].used + lines[0].left != count as usize {
                    wrong.push(format!("{of}: the rack's account is wrong"));
                }
            }
            None => {
                let listed: usize = plan.purchases.iter().filter(|line| line.kind == index).map(|l| l.count).sum();
                if listed != used {
                    wrong.push(format!("{of}: {used} are cut and {listed} bought"));
                }
            }
        }
    }
}

/// Costs, lengths, bounds.
fn check_sums(plan: &Plan, pieces: &[Piece], wrong: &mut Vec<String>) {
    let same = |a: f64, b: f64| (a - b).abs() <= SAME_MONEY * a.abs().max(b.abs()).max(1.0);
    for line in &plan.purchases {
        if !same(line.cost, line.price * line.count as f64) {
            wrong.push(format!(
                "purchase of `{}`: {} of {} don't cost {}",
                line.section, line.count, line.price, line.cost
            ));
        }
    }
    if !same(plan.cost, plan.purchases.iter().map(|line| line.cost).sum()) {
        wrong.push("the cost is not that of the purchases".into());
    }
    if !same(plan.cost, plan.sections.iter().map(|section| section.cost).sum()) {
        wrong.push("the cost is not that of the sections".into());
    }
    for section in &plan.sections {
        let name = &section.section;
        let bought: f64 = section.sticks.iter().filter(|stick| stick.bought).map(|stick| stick.price).sum();
        if !same(section.cost, bought) {
            wrong.push(format!("section `{name}`: the cost is not that of its sticks"));
        }
        let length: f64 = section.sticks.iter().map(|stick| stick.length).sum();
        let cuts = || section.sticks.iter().flat_map(|stick| &stick.cuts);
        let cut: f64 = cuts().map(|cut| cut.to - cut.from).sum();
        let rounding = SAME_LENGTH * (1 + cuts().count()) as f64;
        if !same(section.stick_length, length) || (section.yielded * length - cut).abs() > rounding {
            wrong.push(format!("section `{name}`: the length of its sticks or its yield is wrong"));
        }
        let wanted = pieces.iter().filter(|piece| piece.section == *name && piece.length.is_finite());
        if section.piece_length > wanted.map(|piece| piece.length.max(0.0)).sum::<f64>() * (1.0 + SAME_MONEY) {
            wrong.push(format!("section `{name}`: the length of its pieces is wrong"));
        }
        if section.proven && !section.unplaced.is_empty() {
            wrong.push(format!("section `{name}`: called proven with pieces unplaced"));
        }
        if let Some(bound) = section.bound
            && (section.sticks.len() < bound.sticks || section.cost < bound.cost && !same(section.cost, bound.cost))
        {
            wrong.push(format!("section `{name}`: the plan beats its bound, so the bound is wrong"));
        }
    }
}
