//! What must hold for any input.

mod common;

use common::{BARE, checked, pieces, stick};
use proptest::prelude::*;
use stock::{Settings, StickKind};

/// Length in mm, how many on hand, price.
type Stick = (u64, Option<u32>, u32);

/// A frame's worth of pieces, several lengths to buy, some on hand; kerf and trim; all in mm.
fn shop() -> impl Strategy<Value = (Vec<u64>, Vec<Stick>, u64, u64)> {
    let pieces = prop::collection::vec(1u64..3000, 1..40);
    let count = prop_oneof![Just(None), (0u32..4).prop_map(Some)];
    let sticks = prop::collection::vec((500u64..7000, count, 0u32..100), 0..6);
    (pieces, sticks, 0u64..6, 0u64..30)
}

fn sticks_of(list: &[Stick]) -> Vec<StickKind> {
    list.iter().map(|&(length, count, price)| stick(length, count, f64::from(price))).collect()
}

fn saw(kerf: u64, trim: u64) -> Settings {
    Settings::saw(kerf as f64 / 1000.0, trim as f64 / 1000.0)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    /// `checked` fails on any plan that can't be sawn, doesn't add up, or beats its bound.
    #[test]
    fn every_plan_passes_the_check((lengths, list, kerf, trim) in shop()) {
        let (pieces, sticks, settings) = (pieces(&lengths), sticks_of(&list), saw(kerf, trim));
        let plan = checked(&pieces, &sticks, &settings);
        let unplaced: usize = plan.sections.iter().map(|section| section.unplaced.len()).sum();
        prop_assert_eq!(unplaced == 0, plan.problems.iter().all(|p| matches!(p, stock::Problem::AllTrim { .. })));
        prop_assert_eq!(&plan, &stock::plan(&pieces, &sticks, &settings), "the same input gives the same plan");
    }

    /// n pieces with kerf k from L fit exactly if pieces of l + k fit L + k without kerf.
    #[test]
    fn kerf_equals_longer_pieces_and_sticks(
        lengths in prop::collection::vec(1u64..3000, 1..30),
        kerf in 0u64..6,
        trim in 0u64..30,
    ) {
        let with = checked(&pieces(&lengths), &[stick(3030, None, 40.0), stick(6000, None, 70.0)], &saw(kerf, trim));
        let longer: Vec<u64> = lengths.iter().map(|length| length + kerf).collect();
        let rooms = [stick(3030 - trim + kerf, None, 40.0), stick(6000 - trim + kerf, None, 70.0)];
        let without = checked(&pieces(&longer), &rooms, &BARE);
        prop_assert_eq!(with.cost, without.cost);
        prop_assert_eq!(with.sections[0].bound, without.sections[0].bound);
    }

    /// All lengths twice as long: the same cuts.
    #[test]
    fn scale_does_not_matter((lengths, list, kerf, trim) in shop(), factor in 2u64..5) {
        let plan = checked(&pieces(&lengths), &sticks_of(&list), &saw(kerf, trim));
        let longer: Vec<u64> = lengths.iter().map(|length| length * factor).collect();
        let list: Vec<_> = list.iter().map(|&(length, count, price)| (length * factor, count, price)).collect();
        let scaled = checked(&pieces(&longer), &sticks_of(&list), &saw(kerf * factor, trim * factor));
        prop_assert_eq!(plan.cost, scaled.cost);
        prop_assert_eq!(plan.proven, scaled.proven);
        let uses = |plan: &stock::Plan| plan.sections.iter().map(|s| s.sticks.len()).collect::<Vec<_>>();
        prop_assert_eq!(uses(&plan), uses(&scaled));
    }

    /// Sticks cut up without waste, so that the optimum is known: never more than one stick above it.
    #[test]
    fn planted_sticks_are_found_again(cuts in prop::collection::vec(prop::collection::vec(200u64..5800, 1..4), 1..12)) {
        let mut lengths = Vec::new();
        for mut cut in cuts.clone() {
            cut.extend([0, 6000]);
            cut.sort_unstable();
            cut.dedup();
            lengths.extend(cut.windows(2).map(|pair| pair[1] - pair[0]));
        }
        let plan = checked(&pieces(&lengths), &[stick(6000, None, 70.0)], &BARE);
        let section = &plan.sections[0];
        prop_assert_eq!(section.bound.map(|bound| bound.sticks), Some(cuts.len()));
        prop_assert!(section.sticks.len() <= cuts.len() + 1);
    }

    /// Every packing of a few pieces tried: the plan costs the least, and the bounds are never above it.
    #[test]
    fn few_pieces_equal_every_packing_tried(
        lengths in prop::collection::vec(200u64..3000, 1..=8),
        list in prop::collection::vec((1000u64..6500, prop_oneof![2 => Just(None), 1 => (1u32..3).prop_map(Some)], 1u32..100), 1..4),
        kerf in 0u64..6,
        trim in 0u64..30,
    ) {
        let plan = checked(&pieces(&lengths), &sticks_of(&list), &saw(kerf, trim));
        let section = &plan.sections[0];
        let mut all = Exhaustive { lengths: &lengths, list: &list, kerf, trim, cost: None, sticks: None, at_least_cost: None };
        all.place(0, &mut Vec::new(), 0);
        match (all.cost, all.sticks) {
            (Some(cost), Some(sticks)) => {
                prop_assert!(section.unplaced.is_empty(), "a packing exists");
                let bound = section.bound.expect("everything is placed");
                prop_assert!(bound.cost <= f64::from(cost), "cost bound {} above {cost}", bound.cost);
                prop_assert!(bound.sticks <= sticks, "stick bound {} above {sticks}", bound.sticks);
                prop_assert!(bound.cost_by_length <= bound.cost && bound.sticks_by_length <= bound.sticks);
                prop_assert_eq!(plan.cost, f64::from(cost));
                prop_assert!(plan.proven && section.fewest, "so few pieces are always decided");
                prop_assert_eq!(Some(section.sticks.len()), all.at_least_cost);
            }
            _ => prop_assert!(!section.unplaced.is_empty(), "no packing exists"),
        }
    }
}

/// Tries every packing: each piece on every open stick that takes it and on a new one of every kind.
struct Exhaustive<'a> {
    lengths: &'a [u64],
    list: &'a [Stick],
    kerf: u64,
    trim: u64,
    /// Least cost, and least number of sticks, over all packings.
    cost: Option<u32>,
    sticks: Option<usize>,
    /// Least number of sticks of those that cost least.
    at_least_cost: Option<usize>,
}

impl Exhaustive<'_> {
    /// `open`: kind and length used up, of each stick.
    fn place(&mut self, piece: usize, open: &mut Vec<(usize, u64)>, cost: u32) {
        let dearer = self.cost.is_some_and(|least| cost > least)
            || self.cost == Some(cost) && self.at_least_cost.is_some_and(|least| open.len() >= least);
        if dearer && self.sticks.is_some_and(|least| open.len() >= least) {
            return;
        }
        let Some(&length) = self.lengths.get(piece) else {
            if self.cost.is_none_or(|least| cost < least) {
                (self.cost, self.at_least_cost) = (Some(cost), None);
            }
            if self.cost == Some(cost) {
                self.at_least_cost = Some(self.at_least_cost.map_or(open.len(), |least| least.min(open.len())));
            }
            self.sticks = Some(self.sticks.map_or(open.len(), |least| least.min(open.len())));
            return;
        };
        for at in 0..open.len() {
            let (kind, used) = open[at];
            if used + self.kerf + length <= self.list[kind].0 {
                open[at].1 = used + self.kerf + length;
                self.place(piece + 1, open, cost);
                open[at].1 = used;
            }
        }
        for (kind, &(whole, count, price)) in self.list.iter().enumerate() {
            let used = open.iter().filter(|stick| stick.0 == kind).count();
            if self.trim + length <= whole && count.is_none_or(|count| used < count as usize) {
                open.push((kind, self.trim + length));
                self.place(piece + 1, open, cost + if count.is_none() { price } else { 0 });
                open.pop();
            }
        }
    }
}
