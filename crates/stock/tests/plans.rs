//! Small plans worked out by hand, and what can't be planned.

mod common;

use common::{BARE, checked, pieces, stick};
use stock::{Problem, Settings, StickKind, check, plan};

const SAW: Settings = Settings::saw(0.002, 0.005);

#[test]
fn last_cut_needs_no_kerf_if_the_piece_ends_the_stick() {
    // 5 + 1997 + 2 + 1996 = 4000.
    let plan = checked(&pieces(&[1997, 1996]), &[stick(4000, None, 50.0)], &SAW);
    let stick_plan = &plan.sections[0].sticks[0];
    assert_eq!((plan.sections[0].sticks.len(), stick_plan.offcut, stick_plan.kerfs), (1, 0.0, 0.002));
    assert_eq!((stick_plan.cuts[0].from, stick_plan.cuts[0].to, stick_plan.cuts[1].from), (0.005, 2.002, 2.004));
    // One millimetre longer and it takes two.
    assert_eq!(checked(&pieces(&[1998, 1996]), &[stick(4000, None, 50.0)], &SAW).sections[0].sticks.len(), 2);
}

#[test]
fn a_kerf_wider_than_the_rest_leaves_no_offcut() {
    let plan = checked(&pieces(&[3994]), &[stick(4000, None, 50.0)], &SAW);
    let stick_plan = &plan.sections[0].sticks[0];
    assert_eq!((stick_plan.kerfs, stick_plan.offcut), (0.001, 0.0));
    assert!(plan.sections[0].offcuts.is_empty());
}

#[test]
fn thirds_fit_although_they_are_not_exact() {
    let mut thirds = pieces(&[1, 1, 1]);
    for piece in &mut thirds {
        piece.length = 1.0 / 3.0;
    }
    assert_eq!(checked(&thirds, &[stick(1000, None, 9.0)], &BARE).sections[0].sticks.len(), 1);
}

#[test]
fn sticks_on_hand_come_first_and_cost_nothing() {
    let sticks = [stick(6000, None, 70.0), stick(6000, Some(1), 70.0), stick(2500, Some(3), 30.0)];
    let plan = checked(&pieces(&[2400, 2400, 2400, 2900, 2900, 3000]), &sticks, &SAW);
    // 2900 + 2900 on the 6 m stick, three of 2400 on the short ones; only the 3000 must be bought for.
    assert_eq!((plan.cost, plan.proven), (70.0, true));
    let lines: Vec<_> = plan.purchases.iter().map(|line| (line.kind, line.count, line.cost)).collect();
    assert_eq!(lines, [(0, 1, 70.0)]);
    let bound = plan.sections[0].bound.expect("everything fits");
    assert_eq!((bound.cost, bound.cost_by_length), (70.0, 70.0));
}

#[test]
fn the_rack_keeps_its_long_sticks_where_as_many_short_ones_do() {
    let sticks = [stick(6000, Some(4), 0.0), stick(2500, Some(2), 0.0), stick(6000, None, 70.0)];
    let rack = |plan: stock::Plan| plan.rack.iter().map(|line| (line.used, line.left)).collect::<Vec<_>>();
    let plan = checked(&pieces(&[2400, 1900]), &[sticks[0].clone(), stick(4400, Some(2), 0.0)], &SAW);
    assert_eq!(rack(plan), [(0, 4), (1, 1)]);
    // One long stick instead of two short ones: fewest sticks come before long offcuts.
    let plan = checked(&pieces(&[2400, 1100, 1200]), &sticks, &SAW);
    assert!(plan.purchases.is_empty() && plan.sections[0].fewest);
    assert_eq!(rack(plan), [(1, 3), (0, 2)]);
}

#[test]
fn the_cheaper_mix_of_lengths_is_bought() {
    // A 7.5 m stick for 71 holds three pieces of 2.4 m; for the fourth a 3 m stick at 34 does.
    let sticks = [stick(6000, None, 60.0), stick(7500, None, 71.0), stick(3000, None, 34.0)];
    let plan = checked(&pieces(&[2400, 2400, 2400, 2400]), &sticks, &SAW);
    assert_eq!((plan.cost, plan.cost_bound, plan.proven), (105.0, Some(105.0), true));
}

#[test]
fn without_prices_the_least_length_is_bought() {
    let sticks = [stick(6000, None, 0.0), stick(3000, None, 0.0)];
    let plan = checked(&pieces(&[2900, 2900, 2900]), &sticks, &SAW);
    assert_eq!((plan.cost, plan.proven), (0.0, true));
    assert_eq!(plan.sections[0].stick_length, 9.0);
}

#[test]
fn pieces_are_cut_in_fitting_order_and_sticks_marked_by_first_need() {
    let mut list = pieces(&[3000, 900, 1000, 2900, 1100]);
    list[1].section = "brace".into();
    for (piece, order) in list.iter_mut().zip([7, 0, 5, 2, 3]) {
        piece.order = order;
    }
    let brace = StickKind { section: "brace".into(), ..stick(2000, None, 10.0) };
    let plan = checked(&list, &[stick(6000, None, 60.0), brace], &SAW);
    let marks: Vec<_> = plan
        .sections
        .iter()
        .flat_map(|section| &section.sticks)
        .map(|stick| (stick.mark.as_str(), stick.cuts.iter().map(|cut| list[cut.piece].order).collect::<Vec<_>>()))
        .collect();
    assert_eq!(marks.iter().map(|mark| mark.0).collect::<Vec<_>>(), ["A1", "A2", "B1"]);
    assert_eq!(marks[0].1[0], 2, "the stick that is needed first is A1");
    assert!(marks.iter().all(|(_, orders)| orders.is_sorted()));
}

#[test]
fn what_is_left_over_is_gathered() {
    // Two sticks in any case: 2000 + 2000 and 1000 + 1000 would leave 1 m and 3 m, one full stick leaves 4 m of the other.
    let plan = checked(&pieces(&[2000, 2000, 1000, 1000]), &[stick(5000, None, 60.0)], &BARE);
    assert_eq!(plan.sections[0].offcuts.iter().map(|offcut| offcut.length).collect::<Vec<_>>(), [4.0]);
}

#[test]
fn problems_name_what_is_wrong_and_what_to_do() {
    let one_stick = [stick(6000, None, 60.0)];
    let problem = |problems: &[Problem]| problems.iter().map(Problem::to_string).collect::<Vec<_>>();

    let negative = plan(&pieces(&[1000]), &one_stick, &Settings::saw(-0.002, f64::NAN));
    assert!(negative.sections.is_empty() && !negative.proven && negative.cost_bound.is_none());
    assert_eq!(
        problem(&negative.problems),
        [
            "A saw cut can't be -2.0 mm wide; give the width of the cut, 0 for none, at most 1000000.0 mm",
            "An end trim can't be NaN mm; give what is cut off each stick before use, 0 for none, at most 1000000.0 mm",
        ]
    );
    assert_eq!(problem(&plan(&[], &one_stick, &SAW).problems), ["There is nothing to cut; give at least one piece"]);

    let mut list = pieces(&[6000, 1000, 0, 500]);
    list[2].length = f64::INFINITY;
    list[3].section = "strap".into();
    let bad = StickKind { price: -1.0, ..stick(6000, None, 0.0) };
    let stub = stick(5, Some(2), 0.0);
    let sticks = [one_stick[0].clone(), bad, stub, stick(0, None, 1.0)];
    let partial = plan(&list, &sticks, &SAW);
    assert_eq!(check(&partial, &list, &sticks, &SAW), Ok(()));
    assert_eq!(partial.sections[0].unplaced, [0]);
    assert_eq!(partial.sections[0].sticks[0].cuts[0].piece, 1);
    assert!(!partial.proven && partial.sections[0].bound.is_none());
    assert_eq!(
        problem(&partial.problems),
        [
            "The 6000.0 mm stick of `bar` can't cost -1 and is left out of the plan; give a price from 0 to 1000000000",
            "The end trim of 5.0 mm leaves nothing of the 5.0 mm stick of `bar`; take it off the rack or trim less",
            "A stick of `bar` can't be 0.0 mm long and is left out of the plan; give a length above 0, at most \
             1000000.0 mm",
            "Piece `p2` can't be inf mm long and is left out of the plan; give a length above 0, at most 1000000.0 mm",
            "Piece `p0` needs 6000.0 mm and the longest stick of `bar` gives 5995.0 mm",
            "There is no stick of `strap` for its 1 piece; add one to the rack, on hand or to be bought: at least \
             500.0 mm is needed",
        ]
    );
    assert_eq!(partial.problems[4].message(|m| format!("{:.2} in", m / 0.0254)), {
        "Piece `p0` needs 236.22 in and the longest stick of `bar` gives 236.02 in"
    });
}

#[test]
fn a_rack_that_runs_out_places_what_it_can() {
    let sticks = [stick(6000, Some(1), 0.0), stick(1500, None, 20.0)];
    let list = pieces(&[4000, 1900, 1800, 1400]);
    let plan = checked(&list, &sticks, &SAW);
    assert_eq!(plan.sections[0].unplaced, [2]);
    assert!(matches!(&plan.problems[..], [Problem::RackShort { pieces, proven: true, .. }] if pieces == &[2]));
    assert_eq!(
        plan.problems[0].to_string(),
        "1 piece of `bar` has no stick: 1800.0 mm more is needed and no stick to be bought takes it; add a stick to \
         be bought"
    );
}

#[test]
fn the_check_notices_what_can_not_be_sawn() {
    let list = pieces(&[2000, 1500, 2200]);
    let sticks = [stick(6000, None, 60.0), stick(2300, Some(1), 0.0)];
    let good = checked(&list, &sticks, &SAW);
    type Spoil = fn(&mut stock::Plan);
    let spoils: [(&str, Spoil); 9] = [
        ("0 times", |plan| drop(plan.sections[0].sticks[0].cuts.pop())),
        ("m long", |plan| plan.sections[0].sticks[0].cuts[0].to -= 0.001),
        ("where the saw is done", |plan| plan.sections[0].sticks[0].cuts[0].from = 0.0),
        ("ends beyond the stick", |plan| plan.sections[0].sticks[0].length = 1.0),
        ("no offcut", |plan| plan.sections[0].sticks[0].offcut += 0.1),
        ("and bought are mixed up", |plan| plan.sections[0].sticks[0].bought ^= true),
        ("the rack's account", |plan| plan.rack[0].left += 1),
        ("the cost is not", |plan| plan.cost += 1.0),
        ("beats its bound", |plan| plan.sections[0].bound.as_mut().expect("all placed").sticks = 9),
    ];
    for (words, spoil) in spoils {
        let mut plan = good.clone();
        spoil(&mut plan);
        let wrong =
            check(&plan, &list, &sticks, &SAW).expect_err(words).join("\n").replace("bought and on hand", "and bought");
        assert!(wrong.contains(words), "{words}: {wrong}");
    }
}

/// Numbers that fit no other test: nothing may panic.
#[test]
fn extreme_input_is_planned_or_refused() {
    let extremes = [f64::NAN, f64::INFINITY, -0.0, 1e-300, 1e-9, 1000.0, 1000.1, 1e300];
    for length in extremes {
        for of in extremes {
            for kerf in [0.0, 1e-12, 1000.0] {
                let mut list = pieces(&[1, 1, 1]);
                list.iter_mut().for_each(|piece| piece.length = length);
                let sticks =
                    [StickKind { length: of, price: of, ..stick(1, None, 0.0) }, stick(1, Some(u32::MAX), 0.0)];
                checked(&list, &sticks, &Settings::saw(kerf, 0.0));
            }
        }
    }
}

/// Found by a property test: hundreds of short attempts at one set of sticks, each allowed more than the one before.
#[test]
fn many_short_attempts_come_to_an_end() {
    let lengths = [
        2110, 1796, 1151, 1470, 2867, 1195, 1091, 1582, 2031, 1000, 2005, 2542, 2021, 646, 1031, 2337, 1377, 1602, 2697,
    ];
    let sticks = [stick(6157, None, 43.0), stick(3364, None, 15.0)];
    let plan = checked(&pieces(&lengths), &sticks, &Settings::saw(0.0, 0.023));
    assert!(plan.sections[0].unplaced.is_empty());
}

#[test]
fn ten_thousand_pieces_are_planned() {
    let lengths: Vec<u64> = (0..10_000u64).map(|i| 200 + i * 7919 % 2200).collect();
    let plan = checked(&pieces(&lengths), &[stick(6000, None, 60.0)], &SAW);
    let section = &plan.sections[0];
    let bound = section.bound.expect("everything fits").sticks;
    assert!(section.sticks.len() - bound <= 5, "{} sticks, bound {bound}", section.sticks.len());
}

#[test]
fn a_plan_serialises() {
    let plan = checked(&pieces(&[1000, 7000]), &[stick(6000, None, 60.0)], &SAW);
    let json = serde_json::to_value(&plan).expect("plain data");
    assert_eq!(json["sections"][0]["sticks"][0]["cuts"][0]["name"], "p0");
    assert_eq!(json["problems"][0]["problem"], "too_long");
}
