//! How far does today's steel go?
//!
//! Pieces are wanted in fitting order, the frame is built in stages. With the sticks on hand today: how many of the
//! first pieces can be cut, what else of the next stage, what must be bought for it, and which purchase helps most.
//! Also the rack as it is after cutting.

use serde::Serialize;

use crate::instance::{self, Section};
use crate::solve::{Goal, solve};
use crate::{Piece, Plan, Problem, Settings, StickKind, plan_some};

/// Most sticks of one kind that a purchase is tried with.
const MOST_BOUGHT: u32 = 12;
/// Exchanges tried to make what is cut anyway longer.
const MOST_EXCHANGES: usize = 150;

/// Part of the fitting order that ends with something worth reaching, such as a frame that can stand by itself.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stage {
    /// What it is called.
    pub name: String,
    /// The last place in the fitting order ([`Piece::order`]) that belongs to it.
    pub last: usize,
}

/// How far today's steel goes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reach {
    /// Pieces with a usable length in fitting order, as indices into those given.
    pub order: Vec<usize>,
    /// So many of the first of them can be cut from what is on hand today.
    pub prefix: usize,
    /// That the next one can't be cut as well is proven; otherwise no way was found.
    pub proven: bool,
    /// The piece at which it ends; `None`: all can be cut.
    pub stopped_by: Option<usize>,
    /// How the first pieces are cut; the rest do not appear in it.
    pub today: Plan,
    /// For each stage in turn: all its pieces, and those before it, can be cut today.
    pub stages: Vec<StageReach>,
    /// Place in `stages` of the first that can't be cut whole.
    pub next: Option<usize>,
    /// Pieces of that stage that can be cut today all the same, besides the first pieces.
    pub anyway: Vec<usize>,
    /// No greater number of them can be cut: proven. Their length is only improved.
    pub most_anyway: bool,
    /// The plan for everything up to the end of that stage with what can be bought, and nothing that is on order: what is
    /// missing today.
    pub missing: Option<Plan>,
    /// The same once what is on order is here; `None` where nothing is.
    pub awaited: Option<Plan>,
    /// Single purchases that let the fitting go on, those that go furthest for their cost first.
    pub purchases: Vec<Unblock>,
}

/// One stage.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StageReach {
    /// What it is called.
    pub name: String,
    /// Pieces in the fitting order up to its end.
    pub end: usize,
    /// Can be cut today, with all before it.
    pub whole: bool,
}

/// One purchase and how far the fitting then goes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Unblock {
    /// Index into the stick kinds given.
    pub kind: usize,
    /// How many.
    pub count: u32,
    /// What they cost, with delivery and without the seller's cuts.
    pub cost: f64,
    /// So many of the first pieces can then be cut.
    pub prefix: usize,
    /// Stages that are whole then.
    pub stages: usize,
}

/// A stick that was cut.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Used {
    /// Index into the stick kinds given.
    pub kind: usize,
    /// Its mark, which its offcut keeps.
    pub mark: String,
    /// What is left of it, m.
    pub offcut: f64,
}

impl Plan {
    /// The sticks of this plan as used up, in its order.
    pub fn used(&self) -> Vec<Used> {
        let sticks = self.sections.iter().flat_map(|section| &section.sticks);
        sticks.map(|stick| Used { kind: stick.kind, mark: stick.mark.clone(), offcut: stick.offcut }).collect()
    }
}

/// The rack after these sticks were cut: fewer of their kinds, and an offcut of a useful length each. Kinds keep their
/// places in the list, offcuts follow; sticks that were bought to be cut were never on the rack.
pub fn after(sticks: &[StickKind], used: &[Used], settings: &Settings) -> Vec<StickKind> {
    let mut rack = sticks.to_vec();
    for stick in used {
        let Some(of) = sticks.get(stick.kind) else { continue };
        if let Some(count) = &mut rack[stick.kind].count {
            *count = count.saturating_sub(1);
        }
        if stick.offcut > 0.0 && stick.offcut >= settings.least_useful && stick.offcut <= of.length {
            rack.push(StickKind {
                section: of.section.clone(),
                length: stick.offcut,
                count: Some(1),
                place: Some(format!("left of {}", stick.mark)),
                ..StickKind::default()
            });
        }
    }
    rack
}

/// Sticks that are here today: nothing bought, nothing on order; `extra` of one kind besides.
fn here(sticks: &[StickKind], extra: Option<(usize, u32)>) -> Vec<StickKind> {
    let mut today = sticks.to_vec();
    for (kind, stick) in today.iter_mut().enumerate() {
        let more = extra.filter(|extra| extra.0 == kind).map_or(0, |extra| extra.1);
        let count = if stick.on_order { 0 } else { stick.count.unwrap_or(0) };
        stick.count = Some(count.saturating_add(more));
    }
    today
}

/// Whether pieces can be cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Can {
    Yes,
    No,
    Unknown,
}

/// Most steps of the exact part for one question of whether pieces can be cut: there are dozens of them.
const MOST_STEPS: u64 = 4_000_000;

struct Question<'a> {
    pieces: &'a [Piece],
    settings: &'a Settings,
    limited: Settings,
}

impl Question<'_> {
    /// Can these pieces, all of one section, be cut from these sticks?
    fn can(&self, wanted: &[usize], sticks: &[StickKind]) -> Can {
        let mut mask = vec![false; self.pieces.len()];
        wanted.iter().for_each(|&piece| mask[piece] = true);
        let sorted = instance::sort(self.pieces, sticks, self.settings, &|piece| mask[piece]);
        let mut all = Can::Yes;
        for Section { pieces, too_long, instance, .. } in &sorted.sections {
            if pieces.is_empty() {
                continue;
            }
            let Some(instance) = instance.as_ref().filter(|_| too_long.is_empty()) else { return Can::No };
            let outcome = solve(instance, &self.limited, Goal::Place);
            if outcome.impossible {
                return Can::No;
            }
            if !outcome.packing.left.is_empty() {
                all = Can::Unknown;
            }
        }
        all
    }

    /// How many of the first of `list` can be cut, and whether that one more can't is proven.
    fn first(&self, list: &[usize], sticks: &[StickKind]) -> (usize, bool) {
        let (mut yes, mut no, mut proven) = (0, list.len() + 1, true);
        while no - yes > 1 {
            let tried = usize::midpoint(yes, no);
            match self.can(&list[..tried], sticks) {
                Can::Yes => yes = tried,
                answer => {
                    no = tried;
                    proven = answer == Can::No;
                }
            }
        }
        (yes, proven)
    }
}

/// How far today's sticks go; `stages` in fitting order. Kinds with a count and not on order are here today; the others
/// can be bought, or are waited for.
///
/// # Errors
/// What makes the saw, the supplier's charges or the list of pieces unusable; a piece or stick that is unusable by itself is left out.
pub fn reach(
    pieces: &[Piece],
    sticks: &[StickKind],
    settings: &Settings,
    stages: &[Stage],
) -> Result<Reach, Vec<Problem>> {
    let sorted = instance::sort(pieces, sticks, settings, &|_| true);
    if sorted.sections.is_empty() {
        return Err(sorted.problems);
    }
    let limited = Settings { limit: settings.limit.min(MOST_STEPS), ..settings.clone() };
    let question = Question { pieces, settings, limited };
    let mut order: Vec<usize> = sorted.sections.iter().flat_map(|section| section.pieces.iter().copied()).collect();
    order.sort_by_key(|&piece| (pieces[piece].order, piece));
    let place = |piece: usize| order.iter().position(|&p| p == piece).unwrap_or(order.len());
    let today = here(sticks, None);
    // Each section by itself; the first piece that stops one stops the frame.
    let lists: Vec<Vec<usize>> = sorted
        .sections
        .iter()
        .map(|section| order.iter().copied().filter(|&piece| pieces[piece].section == section.name).collect())
        .collect();
    let stop = |list: &[usize], sticks: &[StickKind]| {
        let (first, proven) = question.first(list, sticks);
        (list.get(first).map_or(order.len(), |&piece| place(piece)), proven)
    };
    let stops: Vec<(usize, bool)> = lists.iter().map(|list| stop(list, &today)).collect();
    let prefix = stops.iter().map(|stop| stop.0).min().unwrap_or(0);
    let proven = prefix == order.len() || stops.iter().any(|stop| stop.0 == prefix && stop.1);
    let ends: Vec<usize> =
        stages.iter().map(|stage| order.partition_point(|&piece| pieces[piece].order <= stage.last)).collect();
    let stage_reach = stages.iter().zip(&ends);
    let stage_reach: Vec<StageReach> =
        stage_reach.map(|(stage, &end)| StageReach { name: stage.name.clone(), end, whole: end <= prefix }).collect();
    let next = ends.iter().position(|&end| end > prefix);
    let end = next.map_or(order.len(), |next| ends[next]);
    let mut anyway = Vec::new();
    let mut most_anyway = true;
    for list in &lists {
        let (base, rest): (Vec<usize>, Vec<usize>) =
            list.iter().copied().filter(|&piece| place(piece) < end).partition(|&piece| place(piece) < prefix);
        let (some, most) = besides(&question, &base, rest, &today);
        anyway.extend(some);
        most_anyway &= most;
    }
    anyway.sort_by_key(|&piece| place(piece));
    let wanted = |end: usize| {
        let mut mask = vec![false; pieces.len()];
        order[..end].iter().for_each(|&piece| mask[piece] = true);
        mask
    };
    let planned = |end: usize, sticks: &[StickKind]| {
        let mask = wanted(end);
        plan_some(pieces, sticks, settings, &|piece| mask[piece])
    };
    let mut bare = sticks.to_vec();
    bare.iter_mut().filter(|stick| stick.on_order && stick.count.is_some()).for_each(|stick| stick.count = Some(0));
    let missing = (end > prefix).then(|| planned(end, &bare));
    let ordered = sticks.iter().any(|stick| stick.on_order && stick.count.is_some_and(|n| n > 0));
    let awaited = (end > prefix && ordered).then(|| planned(end, sticks));
    let mut purchases = Vec::new();
    for (at, section) in
        sorted.sections.iter().enumerate().filter(|(at, _)| stops[*at].0 == prefix && prefix < order.len())
    {
        let others =
            (0..stops.len()).filter(|&other| other != at).map(|other| stops[other].0).min().unwrap_or(order.len());
        for (kind, stick) in sticks.iter().enumerate() {
            let priced = stick.each().is_finite() && stick.each() >= 0.0;
            if stick.count.is_some() || stick.section != section.name || !priced {
                continue;
            }
            let mut reached = prefix;
            for count in 1..=MOST_BOUGHT {
                let to = stop(&lists[at], &here(sticks, Some((kind, count)))).0.min(others);
                if to <= reached {
                    // One more may help where this one alone does not; after a gain that ends the list for this kind.
                    if reached > prefix || count > 1 {
                        break;
                    }
                    continue;
                }
                reached = to;
                let charge = settings.deliveries.iter().find(|d| Some(&d.supplier) == stick.supplier.as_ref());
                let cost = stick.each() * f64::from(count) + charge.map_or(0.0, |delivery| delivery.cost);
                let stages = ends.iter().filter(|&&end| end <= to).count();
                purchases.push(Unblock { kind, count, cost, prefix: to, stages });
                if to == others {
                    break;
                }
            }
        }
    }
    let rate = |option: &Unblock| (option.prefix - prefix) as f64 / option.cost.max(1e-9);
    purchases.sort_by(|a, b| rate(b).total_cmp(&rate(a)).then(b.prefix.cmp(&a.prefix)).then(a.kind.cmp(&b.kind)));
    Ok(Reach {
        prefix,
        proven,
        stopped_by: order.get(prefix).copied(),
        today: planned(prefix, &today),
        stages: stage_reach,
        next,
        anyway,
        most_anyway,
        missing,
        awaited,
        purchases,
        order,
    })
}

/// Of `rest`, as many as can be cut besides `base`, and whether no more can is proven.
///
/// The shortest are tried first: if any k of them can be cut, the k shortest can. Then some are exchanged for longer
/// ones as long as that goes.
fn besides(question: &Question, base: &[usize], mut rest: Vec<usize>, sticks: &[StickKind]) -> (Vec<usize>, bool) {
    let length = |piece: &usize| question.pieces[*piece].length;
    rest.sort_by(|a, b| length(a).total_cmp(&length(b)).then(a.cmp(b)));
    let can = |some: &[usize]| question.can(&[base, some].concat(), sticks);
    let mut count = 0;
    let mut most = true;
    while count < rest.len() {
        match can(&rest[..=count]) {
            Can::Yes => count += 1,
            answer => {
                most = answer == Can::No;
                break;
            }
        }
    }
    let mut chosen = rest[..count].to_vec();
    let mut others = rest[count..].to_vec();
    let mut tries = 0;
    for at in (0..chosen.len()).rev() {
        for other in (0..others.len()).rev() {
            if length(&others[other]) <= length(&chosen[at]) || tries >= MOST_EXCHANGES {
                break;
            }
            tries += 1;
            let mut tried = chosen.clone();
            tried[at] = others[other];
            if can(&tried) == Can::Yes {
                others[other] = chosen[at];
                others.sort_by(|a, b| length(a).total_cmp(&length(b)).then(a.cmp(b)));
                chosen = tried;
                break;
            }
        }
    }
    (chosen, most)
}
