//! Ways to buy, shared cuts, joined pieces.

mod common;

use common::{BARE, checked, pieces, stick};
use proptest::prelude::*;
use stock::{Delivery, Mitre, Piece, Problem, Settings, StickKind, check, plan};

fn from(supplier: &str, kind: StickKind) -> StickKind {
    StickKind { supplier: Some(supplier.into()), ..kind }
}

fn delivered(charges: &[(&str, f64)]) -> Settings {
    let delivery = |&(supplier, cost): &(&str, f64)| Delivery { supplier: supplier.into(), cost };
    Settings { deliveries: charges.iter().map(delivery).collect(), ..BARE }
}

#[test]
fn a_price_per_metre_is_that_of_the_length() {
    let sticks = [StickKind { per_metre: true, ..stick(6000, None, 11.5) }];
    let plan = checked(&pieces(&[4000, 3000]), &sticks, &BARE);
    assert_eq!((plan.cost, plan.proven, plan.purchases[0].price), (138.0, true, 69.0));
}

#[test]
fn a_delivery_is_charged_once_and_may_tip_the_choice() {
    let sticks = [from("near", stick(6000, None, 70.0)), from("far", stick(6000, None, 60.0))];
    let settings = delivered(&[("near", 0.0), ("far", 25.0)]);
    // Two sticks: 140 against 120 and 25. Three: 210 against 180 and 25.
    let two = checked(&pieces(&[5000, 5000]), &sticks, &settings);
    assert_eq!((two.cost, two.proven, two.deliveries.len()), (140.0, true, 0));
    let three = checked(&pieces(&[5000, 5000, 5000]), &sticks, &settings);
    assert_eq!((three.cost, three.proven, three.cost_bound), (205.0, true, Some(205.0)));
    assert_eq!(three.deliveries, settings.deliveries[1..]);
}

#[test]
fn one_delivery_serves_all_sections() {
    let strap = |kind: StickKind| StickKind { section: "strap".into(), ..kind };
    let sticks = [
        from("near", stick(6000, None, 70.0)),
        from("far", stick(6000, None, 60.0)),
        from("near", strap(stick(6000, None, 40.0))),
        from("far", strap(stick(6000, None, 30.0))),
    ];
    let mut list = pieces(&[5000, 5000]);
    list[1].section = "strap".into();
    // Alone neither section pays for the lorry; together they do.
    let plan = checked(&list, &sticks, &delivered(&[("far", 15.0)]));
    assert_eq!((plan.cost, plan.proven), (105.0, true));
    assert_eq!(checked(&list[..1], &sticks, &delivered(&[("far", 15.0)])).cost, 70.0);
}

#[test]
fn the_sellers_cuts_are_paid_for() {
    // Three pieces on a stick that is sawn by the seller cost 3 × 4; the dearer stick is sawn by the shop.
    let sticks = [StickKind { cut_fee: 4.0, ..stick(6000, None, 50.0) }, stick(6000, None, 60.0)];
    let plan = checked(&pieces(&[1900, 1900, 1900]), &sticks, &BARE);
    assert_eq!((plan.cost, plan.proven), (60.0, true));
    let plan = checked(&pieces(&[3000, 2900]), &sticks, &BARE);
    assert_eq!((plan.cost, plan.proven, plan.purchases[0].cut_fees), (58.0, true, 8.0));
}

#[test]
fn a_charge_that_is_no_number_is_named() {
    let plan = plan(&pieces(&[1000]), &[stick(6000, None, 60.0)], &delivered(&[("far", f64::NAN)]));
    assert!(matches!(&plan.problems[..], [Problem::BadDelivery { supplier, .. }] if supplier == "far"));
    let fee = [StickKind { cut_fee: -1.0, ..stick(6000, None, 60.0) }, stick(6000, None, 70.0)];
    let plan = checked(&pieces(&[1000]), &fee, &BARE);
    assert_eq!(plan.cost, 70.0);
    assert!(matches!(&plan.problems[..], [Problem::BadPrice { stick: 0, price, .. }] if *price == -1.0));
}

#[test]
fn a_stick_on_order_is_planned_with_and_marked() {
    let sticks = [StickKind { on_order: true, ..stick(6000, Some(1), 0.0) }, stick(6000, None, 70.0)];
    let plan = checked(&pieces(&[5000]), &sticks, &BARE);
    assert!(plan.purchases.is_empty() && plan.sections[0].sticks[0].on_order);
}

fn mitre(degrees: f64) -> Option<Mitre> {
    let angle = degrees.to_radians();
    Some(Mitre { angle, overlap: 0.04 * angle.tan(), across: None })
}

#[test]
fn mitres_that_match_share_a_cut() {
    let mut list = pieces(&[1000, 1000, 1000]);
    list[0].mitres = [None, mitre(45.0)];
    list[2].mitres = [None, mitre(45.0)];
    let saw = Settings::saw(0.002, 0.005);
    let plan = checked(&list, &[stick(6000, None, 60.0)], &saw);
    let section = &plan.sections[0];
    let cuts = &section.sticks[0].cuts;
    assert_eq!(cuts.iter().map(|cut| (cut.piece, cut.turned)).collect::<Vec<_>>(), [(0, false), (2, true), (1, false)]);
    let wider = 0.002 * (2f64.sqrt() - 1.0);
    assert!((section.nested - (0.04 - wider)).abs() < 3e-9, "{}", section.nested);
    let left = 6.0 - 0.005 - 3.0 - 3.0 * 0.002 + section.nested;
    assert!((section.offcuts[0].length - left).abs() < 1e-8);
    // A saving that is not there is noticed, and so is one that is too large.
    for spoil in [0.01, -section.nested] {
        let mut spoilt = plan.clone();
        spoilt.sections[0].sticks[0].cuts[1].nested += spoil;
        assert!(check(&spoilt, &list, &[stick(6000, None, 60.0)], &saw).is_err());
    }
}

#[test]
fn a_mitre_with_no_sense_in_it_saves_nothing() {
    for (angle, overlap) in [(f64::NAN, 0.04), (0.7, f64::INFINITY), (-0.7, 0.04), (1.6, 0.04), (0.7, 5.0), (0.7, -5.0)]
    {
        let mut list = pieces(&[1000, 1000]);
        list.iter_mut().for_each(|piece| piece.mitres = [Some(Mitre { angle, overlap, across: None }), None]);
        assert_eq!(checked(&list, &[stick(6000, None, 60.0)], &BARE).sections[0].nested, 0.0);
    }
}

#[test]
fn a_piece_longer_than_any_stick_is_joined_if_it_may_be() {
    let may = |length: u64, least: f64| Piece { splittable: Some(least), ..pieces(&[length])[0].clone() };
    let sticks = [stick(6000, None, 60.0)];
    let plan = checked(&[may(7000, 0.5)], &sticks, &BARE);
    assert_eq!((plan.cost, plan.joins[0].parts), (120.0, [6.0, 1.0]));
    // The second part may not be so short: the first gives way.
    assert_eq!(checked(&[may(7000, 2.5)], &sticks, &BARE).joins[0].parts, [4.5, 2.5]);
    for (length, least) in [(7000, 3.6), (12_001, 0.5), (7000, f64::NAN), (7000, -1.0)] {
        let plan = checked(&[may(length, least)], &sticks, &BARE);
        assert!(plan.joins.is_empty() && matches!(&plan.problems[..], [Problem::TooLong { .. }]), "{length} {least}");
    }
    // What a stick takes whole stays whole.
    assert!(checked(&[may(6000, 0.5)], &sticks, &BARE).joins.is_empty());
}

#[test]
fn the_longest_offcut_is_found_and_proven() {
    // 14 m off two sticks of 8 m: 2 m are left in all; 8 = 5 + 3 leaves them in one.
    let plan = checked(&pieces(&[5000, 4000, 3000, 2000]), &[stick(8000, None, 60.0)], &BARE);
    assert_eq!((plan.sections[0].offcuts.len(), plan.sections[0].longest_offcut), (1, true));
    assert_eq!(plan.sections[0].offcuts[0].length, 2.0);
}

/// Length, count, price, fee, supplier.
type Kind = (u64, Option<u32>, u32, u32, usize);

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    /// Every packing of a few pieces tried, with fees and deliveries.
    #[test]
    fn few_pieces_from_several_suppliers_equal_every_packing_tried(
        lengths in prop::collection::vec(200u64..3000, 1..=6),
        list in prop::collection::vec(
            (1000u64..6500, prop_oneof![3 => Just(None), 1 => (1u32..3).prop_map(Some)], 1u32..60,
             prop_oneof![Just(0u32), 1u32..6], 0usize..3), 1..5),
        charges in prop::collection::vec(0u32..50, 3),
        kerf in 0u64..6,
    ) {
        let sticks: Vec<StickKind> = list.iter().map(|&(length, count, price, fee, supplier)| StickKind {
            cut_fee: f64::from(fee),
            supplier: Some(format!("s{supplier}")),
            ..stick(length, count, f64::from(price))
        }).collect();
        let deliveries = charges.iter().enumerate();
        let settings = Settings {
            deliveries: deliveries.map(|(at, &cost)| Delivery { supplier: format!("s{at}"), cost: cost.into() }).collect(),
            ..Settings::saw(kerf as f64 / 1000.0, 0.0)
        };
        let plan = checked(&pieces(&lengths), &sticks, &settings);
        let mut all = Exhaustive { lengths: &lengths, list: &list, charges: &charges, kerf, cost: None };
        all.place(0, &mut Vec::new(), 0, 0);
        match all.cost {
            Some(cost) => {
                prop_assert!(plan.sections[0].unplaced.is_empty(), "a packing exists");
                prop_assert_eq!(plan.cost, f64::from(cost));
                prop_assert!(plan.proven, "so few pieces are always decided");
            }
            None => prop_assert!(!plan.sections[0].unplaced.is_empty(), "no packing exists"),
        }
    }
}

struct Exhaustive<'a> {
    lengths: &'a [u64],
    list: &'a [Kind],
    charges: &'a [u32],
    kerf: u64,
    cost: Option<u32>,
}

impl Exhaustive<'_> {
    fn place(&mut self, piece: usize, open: &mut Vec<(usize, u64)>, cost: u32, called: u8) {
        if self.cost.is_some_and(|least| cost >= least) {
            return;
        }
        let Some(&length) = self.lengths.get(piece) else {
            self.cost = Some(cost);
            return;
        };
        let fee = |kind: usize| if self.list[kind].1.is_none() { self.list[kind].3 } else { 0 };
        for at in 0..open.len() {
            let (kind, used) = open[at];
            if used + self.kerf + length <= self.list[kind].0 {
                open[at].1 = used + self.kerf + length;
                self.place(piece + 1, open, cost + fee(kind), called);
                open[at].1 = used;
            }
        }
        for (kind, &(whole, count, price, _, supplier)) in self.list.iter().enumerate() {
            let used = open.iter().filter(|stick| stick.0 == kind).count();
            if length <= whole && count.is_none_or(|count| used < count as usize) {
                let charge = if called >> supplier & 1 == 1 { 0 } else { self.charges[supplier] };
                let (more, called) =
                    if count.is_none() { (price + fee(kind) + charge, called | 1 << supplier) } else { (0, called) };
                open.push((kind, length));
                self.place(piece + 1, open, cost + more, called);
                open.pop();
            }
        }
    }
}
