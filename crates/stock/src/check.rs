//! Can this plan be sawn? Tried from the plan's own words alone, without the search's grid or bookkeeping.

use crate::{Cut, Piece, Plan, Reach, Settings, StickKind, StickPlan};

/// How far two lengths may differ and still be the same, m: the plan states whole nanometres.
const SAME_LENGTH: f64 = 1e-9;

/// Longest piece that a plan must account for, m; longer ones are refused by name.
const LONGEST: f64 = 1000.0;

/// How far two sums of money may differ, per unit of the larger: the rounding of a few thousand additions.
const SAME_MONEY: f64 = 1e-9;

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= SAME_MONEY * a.abs().max(b.abs()).max(1.0)
}

/// Checks that the plan can be carried out and adds up: every piece on one stick of its own section or listed as
/// unplaced, in its full length, a saw cut apart, within the trimmed stick; no more sticks on hand than there are;
/// purchase list, rack and costs as the sticks say; no cost below its bound.
///
/// # Errors
/// Everything that is wrong, one sentence each.
pub fn check(plan: &Plan, pieces: &[Piece], sticks: &[StickKind], settings: &Settings) -> Result<(), Vec<String>> {
    check_some(plan, pieces, sticks, settings, &|_| true)
}

/// Checks what is said of today's steel: the first pieces are cut from sticks that are here, by a plan that passes
/// [`check`]; pieces cut anyway are of the next stage; what is missing is planned so that everything up to the end of
/// that stage is cut, from sticks here or bought. That no more can be reached is not tried.
///
/// # Errors
/// Everything that is wrong, one sentence each.
pub fn check_reach(
    reach: &Reach,
    pieces: &[Piece],
    sticks: &[StickKind],
    settings: &Settings,
) -> Result<(), Vec<String>> {
    let mut wrong = Vec::new();
    let place = |piece: usize| reach.order.iter().position(|&p| p == piece).unwrap_or(usize::MAX);
    let sorted = reach.order.windows(2).all(|pair| pieces[pair[0]].order <= pieces[pair[1]].order);
    if !sorted || reach.prefix > reach.order.len() {
        return Err(vec!["the fitting order or the number of pieces is wrong".into()]);
    }
    if reach.stopped_by != reach.order.get(reach.prefix).copied() {
        wrong.push("the piece that stops it is not the next one".into());
    }
    let today: Vec<StickKind> = sticks
        .iter()
        .map(|kind| StickKind { count: Some(kind.count.filter(|_| !kind.on_order).unwrap_or(0)), ..kind.clone() })
        .collect();
    let mut all = |what: &str, plan: &Plan, sticks: &[StickKind], end: usize| {
        if let Err(more) = check_some(plan, pieces, sticks, settings, &|piece| place(piece) < end) {
            wrong.extend(more.into_iter().map(|more| format!("{what}: {more}")));
        }
    };
    all("today", &reach.today, &today, reach.prefix);
    let end = reach.next.map_or(reach.order.len(), |next| reach.stages[next].end);
    if let Some(missing) = &reach.missing {
        let bought: Vec<StickKind> = sticks
            .iter()
            .map(|kind| StickKind { count: kind.count.map(|n| if kind.on_order { 0 } else { n }), ..kind.clone() })
            .collect();
        all("missing", missing, &bought, end);
    }
    if let Some(awaited) = &reach.awaited {
        all("awaited", awaited, sticks, end);
    }
    if reach.today.sections.iter().any(|section| !section.unplaced.is_empty()) {
        wrong.push("not all of the first pieces are cut".into());
    }
    if reach.anyway.iter().any(|&piece| place(piece) < reach.prefix || place(piece) >= end) {
        wrong.push("a piece that can be cut anyway is not of the next stage".into());
    }
    if reach.stages.iter().any(|stage| stage.whole != (stage.end <= reach.prefix)) {
        wrong.push("a stage is called whole and is not, or the other way round".into());
    }
    for option in &reach.purchases {
        if option.prefix <= reach.prefix || sticks.get(option.kind).is_none_or(|kind| kind.count.is_some()) {
            wrong.push(format!("the purchase of kind {} leads nowhere or can't be had", option.kind));
        }
    }
    if wrong.is_empty() { Ok(()) } else { Err(wrong) }
}

/// The check for a plan of the pieces that are `wanted`.
fn check_some(
    plan: &Plan,
    pieces: &[Piece],
    sticks: &[StickKind],
    settings: &Settings,
    wanted: &dyn Fn(usize) -> bool,
) -> Result<(), Vec<String>> {
    let mut wrong = Vec::new();
    check_pieces(plan, pieces, wanted, &mut wrong);
    check_joins(plan, pieces, sticks, settings, &mut wrong);
    check_deliveries(plan, sticks, settings, &mut wrong);
    for section in &plan.sections {
        for stick in &section.sticks {
            match sticks.get(stick.kind) {
                None => wrong.push(format!("stick {}: there is no stick kind {}", stick.mark, stick.kind)),
                Some(kind) => {
                    if kind.section != section.section {
                        wrong.push(format!("stick {}: is of section `{}`", stick.mark, kind.section));
                    }
                    let price = if kind.per_metre { kind.price * kind.length } else { kind.price };
                    if kind.length != stick.length || price != stick.price {
                        wrong.push(format!("stick {}: length or price differ from its kind", stick.mark));
                    }
                    let fees = if stick.bought { kind.cut_fee * stick.cuts.len() as f64 } else { 0.0 };
                    if !same(stick.cut_fees, fees) {
                        wrong.push(format!("stick {}: the seller's cuts don't cost {}", stick.mark, stick.cut_fees));
                    }
                    if stick.on_order != (kind.on_order && !stick.bought) {
                        wrong.push(format!("stick {}: on order and here are mixed up", stick.mark));
                    }
                    if kind.count.is_none() != stick.bought {
                        wrong.push(format!("stick {}: bought and on hand are mixed up", stick.mark));
                    }
                }
            }
            check_stick(plan, stick, &section.section, pieces, settings, &mut wrong);
        }
    }
    check_counts(plan, sticks, &mut wrong);
    check_sums(plan, pieces, &mut wrong);
    if wrong.is_empty() { Ok(()) } else { Err(wrong) }
}

/// Every piece in one place, or named by a problem.
fn check_pieces(plan: &Plan, pieces: &[Piece], wanted: &dyn Fn(usize) -> bool, wrong: &mut Vec<String>) {
    if plan.sections.is_empty() {
        if plan.problems.is_empty() && (0..pieces.len()).any(wanted) {
            wrong.push("the plan is empty and names no problem".into());
        }
        return;
    }
    let mut places = vec![0usize; pieces.len()];
    // The second part of a joined piece is not another one; that both are there is tried with the joins.
    let cuts = plan.sections.iter().flat_map(|s| &s.sticks).flat_map(|stick| &stick.cuts);
    let cut = cuts.filter(|cut| cut.part != Some(2)).map(|cut| cut.piece);
    let unplaced = plan.sections.iter().flat_map(|section| section.unplaced.iter().copied());
    for piece in cut.chain(unplaced) {
        match places.get_mut(piece) {
            Some(count) => *count += 1,
            None => wrong.push(format!("there is no piece {piece}")),
        }
    }
    for (index, (piece, count)) in pieces.iter().zip(places).enumerate() {
        if !wanted(index) {
            if count > 0 {
                wrong.push(format!("piece `{}` is not asked for", piece.name));
            }
            continue;
        }
        let usable = piece.length.is_finite() && piece.length > SAME_LENGTH && piece.length <= LONGEST;
        if count != 1 && (usable || count > 1) {
            wrong.push(format!("piece `{}` stands in the plan {count} times", piece.name));
        }
    }
}

/// Joined pieces: two parts that make up the piece, long enough, and no stick that would have taken it whole.
fn check_joins(plan: &Plan, pieces: &[Piece], sticks: &[StickKind], settings: &Settings, wrong: &mut Vec<String>) {
    let cuts = || plan.sections.iter().flat_map(|s| &s.sticks).flat_map(|stick| &stick.cuts);
    for join in &plan.joins {
        let Some(piece) = pieces.get(join.piece) else {
            wrong.push(format!("there is no piece {} to join", join.piece));
            continue;
        };
        let least = piece.splittable.unwrap_or(f64::INFINITY);
        if (join.parts[0] + join.parts[1] - piece.length).abs() > 2.0 * SAME_LENGTH
            || join.parts.iter().any(|&part| part < least - SAME_LENGTH)
        {
            wrong.push(format!("piece `{}` may not be joined from {:?} m", piece.name, join.parts));
        }
        let takes = |kind: &&StickKind| {
            kind.section == piece.section && kind.count != Some(0) && kind.length >= piece.length + settings.trim
        };
        if sticks.iter().any(|kind| takes(&kind) && (0.0..=1e9).contains(&kind.each())) {
            wrong.push(format!("piece `{}` is joined although a stick takes it whole", piece.name));
        }
        let numbers: Vec<u8> = cuts().filter(|cut| cut.piece == join.piece).filter_map(|cut| cut.part).collect();
        let placed = numbers.len() == 2 && numbers.contains(&1) && numbers.contains(&2);
        let unplaced = plan.sections.iter().any(|section| section.unplaced.contains(&join.piece));
        let missing = unplaced && numbers.is_empty();
        if !placed && !missing {
            wrong.push(format!("piece `{}`: its two parts are not both cut once", piece.name));
        }
    }
    if cuts().any(|cut| cut.part.is_some() && !plan.joins.iter().any(|join| join.piece == cut.piece)) {
        wrong.push("a part is cut of a piece that is not joined".into());
    }
}

/// A charge from each supplier that sells something here and asks for one, and from no other.
fn check_deliveries(plan: &Plan, sticks: &[StickKind], settings: &Settings, wrong: &mut Vec<String>) {
    for delivery in &settings.deliveries {
        let bought = plan.purchases.iter().any(|line| {
            line.count > 0
                && sticks.get(line.kind).is_some_and(|kind| kind.supplier.as_ref() == Some(&delivery.supplier))
        });
        let charged = plan.deliveries.iter().filter(|charged| **charged == *delivery).count();
        // The same supplier listed twice is charged by the first line.
        let first = settings.deliveries.iter().find(|d| d.supplier == delivery.supplier) == Some(delivery);
        if charged != usize::from(bought && first && delivery.cost > 0.0) {
            wrong.push(format!("the delivery from `{}` is charged {charged} times", delivery.supplier));
        }
    }
    if plan.deliveries.iter().any(|charged| !settings.deliveries.contains(charged)) {
        wrong.push("a delivery is charged that nobody asks for".into());
    }
}

/// What two neighbours save if their ends are sawn in one cut at an angle, worked out from the two mitres alone.
fn shared(before: &Cut, after: &Cut, pieces: &[Piece], kerf: f64) -> f64 {
    let end = |cut: &Cut, forward: bool| {
        let piece = pieces.get(cut.piece)?;
        // The end named second looks forward unless the piece is turned.
        piece.mitres[usize::from(forward != cut.turned)]
    };
    let (Some(a), Some(b)) = (end(before, true), end(after, false)) else { return 0.0 };
    let level = |x: Option<f64>| x.map(|x| (2.0 * x).sin_cos());
    let near = |a: f64, b: f64| (a - b).abs() < 3e-3;
    let across = match (level(a.across), level(b.across)) {
        (None, None) => true,
        (Some(a), Some(b)) => near(a.0, b.0) && near(a.1, b.1),
        _ => false,
    };
    if !across || !near(a.angle, b.angle) || before.part.is_some() || after.part.is_some() {
        return 0.0;
    }
    (a.overlap.min(b.overlap) - kerf / a.angle.max(b.angle).cos() + kerf).max(0.0)
}

/// One stick: pieces in their length, a saw cut apart, between the trim and the end.
fn check_stick(
    plan: &Plan,
    stick: &StickPlan,
    section: &str,
    pieces: &[Piece],
    settings: &Settings,
    wrong: &mut Vec<String>,
) {
    let mark = &stick.mark;
    if stick.cuts.is_empty() {
        wrong.push(format!("stick {mark}: nothing is cut from it"));
    }
    let mut free_from = settings.trim;
    let mut sum = 0.0;
    for (at, cut) in stick.cuts.iter().enumerate() {
        let Some(piece) = pieces.get(cut.piece) else { continue };
        let saved = at.checked_sub(1).map_or(0.0, |before| shared(&stick.cuts[before], cut, pieces, settings.kerf));
        if cut.nested < 0.0 || cut.nested > saved + SAME_LENGTH {
            wrong.push(format!("stick {mark}: `{}` can't save {} m against its neighbour", piece.name, cut.nested));
        }
        free_from -= cut.nested;
        if piece.name != cut.name || piece.section != section {
            wrong.push(format!("stick {mark}: `{}` is not that piece of `{section}`", cut.name));
        }
        let parts = || plan.joins.iter().find(|join| join.piece == cut.piece);
        let length = match cut.part {
            None => piece.length,
            Some(part) => parts().map_or(f64::NAN, |join| join.parts[usize::from(part == 2)]),
        };
        if length.is_nan() || (cut.to - cut.from - length).abs() > SAME_LENGTH {
            wrong.push(format!("stick {mark}: `{}` is cut {} m long", piece.name, cut.to - cut.from));
        }
        if cut.from < free_from - SAME_LENGTH {
            wrong.push(format!("stick {mark}: `{}` starts before {free_from} m, where the saw is done", piece.name));
        }
        if cut.to > stick.length + SAME_LENGTH {
            wrong.push(format!("stick {mark}: `{}` ends beyond the stick", piece.name));
        }
        free_from = cut.to + settings.kerf;
        sum += length - cut.nested;
    }
    let each = SAME_LENGTH * (stick.cuts.len() + 3) as f64;
    if (stick.trim + sum + stick.kerfs + stick.offcut - stick.length).abs() > each {
        wrong.push(format!("stick {mark}: trim, pieces, saw cuts and offcut don't make up its length"));
    }
    if stick.offcut < 0.0 || stick.offcut > (stick.length - free_from).max(0.0) + SAME_LENGTH {
        wrong.push(format!("stick {mark}: no offcut of {} m is left", stick.offcut));
    }
    // Pieces that share cuts leave the fitting order.
    for pair in stick.cuts.windows(2).filter(|_| stick.cuts.iter().all(|cut| cut.nested == 0.0)) {
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
    for line in &plan.purchases {
        if !same(line.cost, line.price * line.count as f64) {
            wrong.push(format!(
                "purchase of `{}`: {} of {} don't cost {}",
                line.section, line.count, line.price, line.cost
            ));
        }
    }
    let deliveries: f64 = plan.deliveries.iter().map(|delivery| delivery.cost).sum();
    let sold: f64 = plan.purchases.iter().map(|line| line.cost + line.cut_fees).sum();
    if !same(plan.cost, sold + deliveries) {
        wrong.push("the cost is not that of the purchases".into());
    }
    if !same(plan.cost, plan.sections.iter().map(|section| section.cost).sum::<f64>() + deliveries) {
        wrong.push("the cost is not that of the sections".into());
    }
    match plan.cost_bound {
        Some(bound) if plan.cost < bound && !same(plan.cost, bound) => {
            wrong.push("the plan beats its bound, so the bound is wrong".into());
        }
        Some(bound) if plan.proven && !same(plan.cost, bound) => {
            wrong.push("the plan is called proven and is not at its bound".into());
        }
        None if plan.proven => wrong.push("the plan is called proven without a bound".into()),
        _ => {}
    }
    for section in &plan.sections {
        let name = &section.section;
        let bought = section.sticks.iter().filter(|stick| stick.bought);
        let bought: f64 = bought.map(|stick| stick.price + stick.cut_fees).sum();
        if !same(section.cost, bought) {
            wrong.push(format!("section `{name}`: the cost is not that of its sticks"));
        }
        let length: f64 = section.sticks.iter().map(|stick| stick.length).sum();
        let cuts = || section.sticks.iter().flat_map(|stick| &stick.cuts);
        let cut: f64 = cuts().map(|cut| cut.to - cut.from).sum();
        if !same(section.nested, cuts().map(|cut| cut.nested).sum()) {
            wrong.push(format!("section `{name}`: the length saved is wrong"));
        }
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
            && (section.sticks.len() < bound.sticks.max(bound.sticks_at_cost)
                || section.cost < bound.cost && !same(section.cost, bound.cost))
        {
            wrong.push(format!("section `{name}`: the plan beats its bound, so the bound is wrong"));
        }
    }
}
