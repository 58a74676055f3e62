//! How far today's steel goes, and the rack after cutting.

mod common;

use common::{BARE, checked, pieces, stick};
use proptest::prelude::*;
use stock::{Delivery, Piece, Reach, Settings, Stage, StickKind, after, check_reach, reach};

fn reached(pieces: &[Piece], sticks: &[StickKind], settings: &Settings, stages: &[Stage]) -> Reach {
    let reach = reach(pieces, sticks, settings, stages).expect("usable settings");
    if let Err(wrong) = check_reach(&reach, pieces, sticks, settings) {
        panic!("{wrong:#?}\n{reach:#?}");
    }
    reach
}

fn stages(ends: &[usize]) -> Vec<Stage> {
    ends.iter().map(|&last| Stage { name: format!("to {last}"), last }).collect()
}

#[test]
fn the_first_pieces_that_can_be_cut_today() {
    let sticks = [stick(6000, Some(1), 0.0), stick(6000, None, 70.0), stick(3000, None, 30.0)];
    let list = pieces(&[3000, 2000, 2500, 900, 800]);
    let reach = reached(&list, &sticks, &BARE, &stages(&[1, 4]));
    // 3000 + 2000, then 2500 has no stick; of the stage that stops at it, 900 or 800 can be cut, not both.
    assert_eq!((reach.prefix, reach.proven, reach.stopped_by), (2, true, Some(2)));
    assert_eq!(reach.stages.iter().map(|stage| stage.whole).collect::<Vec<_>>(), [true, false]);
    assert_eq!((reach.next, &reach.anyway[..], reach.most_anyway), (Some(1), &[3][..], true));
    // All five take 9.2 m: one short stick more does not do, two short ones cost less than a long one.
    let missing = reach.missing.expect("something is missing");
    assert_eq!((missing.cost, missing.proven), (60.0, true));
    let options = reach.purchases.iter().map(|p| (p.kind, p.count, p.cost, p.prefix, p.stages));
    assert_eq!(options.collect::<Vec<_>>(), [(2, 1, 30.0, 4, 1), (2, 2, 60.0, 5, 2), (1, 1, 70.0, 5, 2)]);
}

#[test]
fn all_can_be_cut_or_nothing() {
    let list = pieces(&[1000, 1000]);
    let all = reached(&list, &[stick(2000, Some(1), 0.0)], &BARE, &stages(&[1]));
    assert_eq!((all.prefix, all.proven, all.stopped_by, all.next, all.missing), (2, true, None, None, None));
    let none = reached(&list, &[stick(2000, None, 9.0)], &BARE, &stages(&[1]));
    assert_eq!((none.prefix, none.proven, none.stopped_by), (0, true, Some(0)));
    assert_eq!(none.purchases.iter().map(|p| (p.kind, p.count, p.prefix)).collect::<Vec<_>>(), [(0, 1, 2)]);
}

#[test]
fn what_is_on_order_is_not_here_today() {
    let sticks = [StickKind { on_order: true, ..stick(6000, Some(1), 0.0) }];
    assert_eq!(reached(&pieces(&[1000]), &sticks, &BARE, &[]).prefix, 0);
}

#[test]
fn each_section_can_stop_the_frame_and_a_delivery_counts() {
    let mut list = pieces(&[1000, 1000, 1000]);
    list[1].section = "strap".into();
    let strap = StickKind { section: "strap".into(), supplier: Some("far".into()), ..stick(3000, None, 20.0) };
    let settings = Settings { deliveries: vec![Delivery { supplier: "far".into(), cost: 15.0 }], ..BARE };
    let reach = reached(&list, &[stick(6000, Some(1), 0.0), strap], &settings, &stages(&[2]));
    assert_eq!((reach.prefix, &reach.anyway[..]), (1, &[2][..]));
    assert_eq!((reach.purchases[0].cost, reach.purchases[0].prefix, reach.purchases[0].stages), (35.0, 3, 1));
}

#[test]
fn bad_settings_are_named() {
    assert!(reach(&pieces(&[1000]), &[], &Settings::saw(-1.0, 0.0), &[]).is_err());
    assert!(reach(&[], &[], &BARE, &[]).is_err());
}

#[test]
fn after_cutting_the_offcuts_are_on_the_rack() {
    let sticks = [stick(6000, Some(2), 0.0), stick(6000, None, 70.0)];
    let list = pieces(&[5000, 4000, 3000, 2600]);
    let plan = checked(&list, &sticks, &BARE);
    let settings = Settings { least_useful: 0.5, ..BARE };
    let rack = after(&sticks, &plan.used(), &settings);
    assert_eq!((rack[0].count, rack[1].count), (Some(0), None));
    let offcuts: Vec<f64> = rack[2..].iter().map(|stick| stick.length).collect();
    let useful: Vec<f64> = plan.sections[0].offcuts.iter().map(|o| o.length).filter(|&l| l >= 0.5).collect();
    assert_eq!(offcuts.len(), useful.len());
    assert!(rack[2..].iter().all(|stick| stick.count == Some(1) && stick.section == "bar"));
    // What is left can be cut again.
    assert!(offcuts.iter().copied().fold(0.0, f64::max) >= 1.4);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    /// Every packing of the first pieces tried: no more of them can be cut, and no more of the others besides.
    #[test]
    fn few_pieces_equal_every_packing_tried(
        lengths in prop::collection::vec(200u64..3000, 1..=7),
        rack in prop::collection::vec((1000u64..5000, 1u32..3), 0..3),
    ) {
        let mut sticks: Vec<StickKind> = rack.iter().map(|&(length, count)| stick(length, Some(count), 0.0)).collect();
        sticks.push(stick(3000, None, 20.0));
        let list = pieces(&lengths);
        let reach = reached(&list, &sticks, &BARE, &stages(&[lengths.len() - 1]));
        let rooms: Vec<u64> = rack.iter().flat_map(|&(length, count)| vec![length; count as usize]).collect();
        let first = (0..=lengths.len()).rev().find(|&n| fits(&lengths[..n], &mut rooms.clone())).unwrap_or(0);
        prop_assert_eq!(reach.prefix, first);
        prop_assert!(reach.proven && reach.most_anyway, "so few pieces are always decided");
        let rest = &lengths[first..];
        let most = (0u32..1 << rest.len()).filter(|set| {
            let some = (0..rest.len()).filter(|at| set >> at & 1 == 1).map(|at| rest[at]);
            fits(&lengths[..first].iter().copied().chain(some).collect::<Vec<_>>(), &mut rooms.clone())
        }).map(u32::count_ones).max();
        prop_assert_eq!(Some(reach.anyway.len() as u32), most);
        let wanted: Vec<u64> = reach.order[..reach.prefix].iter().chain(&reach.anyway).map(|&p| lengths[p]).collect();
        prop_assert!(fits(&wanted, &mut rooms.clone()), "and they can be cut together");
    }
}

fn fits(lengths: &[u64], rooms: &mut Vec<u64>) -> bool {
    let Some((&length, rest)) = lengths.split_first() else { return true };
    for at in 0..rooms.len() {
        if rooms[at] >= length {
            rooms[at] -= length;
            if fits(rest, rooms) {
                return true;
            }
            rooms[at] += length;
        }
    }
    false
}
