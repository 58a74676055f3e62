//! Steel and jigs as the design's file asks for them, by hand.

use std::collections::BTreeSet;
use std::sync::Arc;

use cutting::Detail;
use review::{CutStick, Made, Review, Text, jigs, steel};
use shape::Level;
use strength::Depth;

/// Two bars of a box rail, three posts between, in mm or in inches; `more` is added to the file.
fn review(units: &str, more: &str) -> Review {
    review_with(units, more, |text| text)
}

/// The same, the text changed before it is read.
fn review_with(units: &str, more: &str, change: impl Fn(String) -> String) -> Review {
    let (mm, n) = (units == "mm", if units == "mm" { 1.0 } else { 1.0 / 25.4 });
    let l = |x: f64| format!("{}", if mm { x } else { x * n });
    let text = format!(
        "[design]\nname = \"x\"\nunits = \"{units}\"\ndatum = {{ under = \"low\" }}\n\
         [section.rail]\nshape = \"box\"\nwidth = {w}\nheight = {h}\nwall = {t}\nmaterial = \"S355\"\n\
         [point]\na = [{b}, 0, {lo}]\nb = [-{b}, 0, {lo}]\nc = [{b}, 0, {hi}]\nd = [-{b}, 0, {hi}]\n\
         p = {{ on = \"low\", x = 0 }}\nq = {{ on = \"high\", x = 0 }}\n\
         [tube.low]\nsection = \"rail\"\npath = [\"a\", \"b\"]\n[tube.high]\nsection = \"rail\"\npath = [\"c\", \"d\"]\n\
         [tube.post]\nsection = \"rail\"\npath = [\"p\", \"q\"]\n{more}",
        w = l(50.8),
        h = l(101.6),
        t = l(3.175),
        b = l(1016.0),
        lo = l(50.8),
        hi = l(850.8)
    );
    let text = change(text);
    let read = design::read(&text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", &text)));
    let skins = [];
    review::with_made(Arc::new(read.design), &skins, &Made::default(), Detail::LIVE, Depth::Full).expect("it resolves")
}

const RACK: &str = "[rack]\ncurrency = \"EUR\"\nkerf = 2\nuseful = 300\n\
    [[rack.stick]]\nsection = \"rail\"\nlength = 3000\ncount = 1\nplace = \"left bay\"\n\
    [[rack.stick]]\nsection = \"rail\"\nlength = 2500\ncount = 1\nordered = true\n\
    [[rack.stick]]\nsection = \"rail\"\nlength = 6000\nprice = 10\nper = \"m\"\ncut_fee = 1\nsupplier = \"yard\"\n\
    [supplier.yard]\ndelivery = 20\n[stage.bars]\nuntil = \"high\"\n";

fn blank(r: &Review, name: &str) -> f64 {
    r.cutting.pieces.iter().find(|p| p.name == name).expect("it is cut").lengths.blank
}

#[test]
fn the_plan_takes_what_is_ordered_and_today_goes_as_far_as_what_is_here() {
    let r = review("mm", RACK);
    // 2032 each for both bars, some 700 for the post: a stick of 3000 and one of 2500 hold them all.
    assert_eq!(r.stock.cost, 0.0);
    assert!(r.stock.proven && r.stock.sections[0].sticks.iter().any(|k| k.on_order));
    let today = r.today.as_ref().expect("it was worked out");
    let stages: Vec<(&str, bool)> = today.stages.iter().map(|s| (s.name.as_str(), s.whole)).collect();
    assert_eq!((today.prefix, stages), (1, vec![("bars", false), ("the rest", false)]));
    let words = steel::reach_words(today, &r.steel, "EUR", |m| format!("{:.0} mm", m * 1e3));
    assert_eq!(words[0], "today's steel goes as far as 1 piece of 3 in fitting order: not high");
    assert_eq!(
        words[1..3],
        ["bars waits for 1 stick on order", "without waiting it takes 1 rail of 6000 mm, for 81.00 EUR"]
    );
}

#[test]
fn what_is_bought_costs_its_metres_its_cuts_and_its_delivery() {
    let r = review("mm", &RACK.replace("count = 1\nordered = true", "count = 0\nordered = true"));
    // One bar from the rack with the post; the other from a stick of 6 m at 10 a metre, one cut, one delivery.
    assert_eq!(r.stock.cost, 60.0 + 1.0 + 20.0);
    // The same price by the foot.
    let feet = RACK.replace("count = 1\nordered = true", "count = 0\nordered = true");
    let r = review("mm", &feet.replace("price = 10\nper = \"m\"", "price = 3.048\nper = \"ft\""));
    assert!((r.stock.cost - 81.0).abs() < 1e-9, "{}", r.stock.cost);
}

#[test]
fn what_is_cut_leaves_the_plan_and_its_offcut_joins_the_rack_under_its_mark() {
    let mut r = review("mm", RACK);
    let used =
        r.stock.sections[0].sticks.iter().find(|k| k.cuts.iter().any(|c| c.name == "low")).expect("it has a stick");
    let (mark, whole, place) = (used.mark.clone(), used.length, used.place.clone());
    let left = whole - blank(&r, "low") - 0.002;
    let cut = CutStick { mark: mark.clone(), section: "rail".into(), whole: Some(whole), place, left };
    let made = Made {
        cut: BTreeSet::from(["low".to_owned()]),
        sticks: vec![cut],
        unsaid: vec!["post".to_owned()],
        ..Made::default()
    };
    r.made(&made);
    assert_eq!(r.steel.wanted.iter().map(|p| p.name.as_str()).collect::<Vec<_>>(), ["high", "post"]);
    // The whole stick is gone, and what is left of it stands at the end of the rack.
    let gone = r.steel.sticks.iter().find(|k| (k.length - whole).abs() < 1e-9).expect("its kind stays in the list");
    assert_eq!(gone.count, Some(0));
    let last = r.steel.sticks.last().expect("there are sticks");
    assert_eq!((last.length, last.place.clone()), (left, Some(format!("left of {mark}"))));
    assert_eq!(stock::check(&r.stock, &r.steel.wanted, &r.steel.sticks, &r.steel.settings), Ok(()));
    // Marks are one stick's each, and the offcut keeps its own.
    let sticks: Vec<_> = r.stock.sections.iter().flat_map(|s| &s.sticks).collect();
    let marks: BTreeSet<&str> = sticks.iter().map(|k| k.mark.as_str()).collect();
    assert_eq!(marks.len(), sticks.len());
    for k in &sticks {
        assert_eq!(k.mark == mark, k.kind == r.steel.sticks.len() - 1, "{k:?}");
    }
    let words =
        |r: &Review| r.findings.iter().filter(|f| f.answer == "stock").map(|f| f.what.clone()).collect::<Vec<_>>();
    assert!(words(&r).iter().any(|w| w.starts_with("1 piece ticked as cut")), "{:?}", words(&r));
    // Scrap is not put back.
    let mut scrap = made.clone();
    scrap.sticks[0].left = 0.29;
    r.made(&scrap);
    assert!(r.steel.sticks.iter().all(|k| k.place.as_ref().is_none_or(|p| !p.starts_with("left of"))));
    // Taken back, all is as it was.
    let before = review("mm", RACK);
    r.made(&Made::default());
    assert_eq!((&r.stock, &r.steel), (&before.stock, &before.steel));
}

/// A rail 4 in deep whose top is to stand 22 in above the floor needs an 18 in stand: common practice, no source.
#[test]
fn stands_of_the_file_are_as_long_as_the_trade_says() {
    for units in ["mm", "in"] {
        let l = |x: f64| if units == "mm" { x * 25.4 } else { x };
        let stands = format!(
            "[stance.bench]\nstands = [{{ under = \"low\", x = {a}, top = {t} }},\n\
             {{ under = \"low\", x = -{a}, top = {t}, shim = {s}, foot = {f}, floor = -{s} }},\n\
             {{ under = \"post\", x = 0, height = {t} }}]\n[limits]\nwelded = \"C\"\n",
            a = l(30.0),
            t = l(22.0),
            s = l(0.125),
            f = l(0.25)
        );
        let r = review(units, &stands);
        let answer = jigs::of(&r);
        let s = &answer.stands.as_ref().expect("stands are asked for").stands;
        let near =
            |a: f64, inches: f64| assert!((a - inches * 0.0254).abs() < 1e-12, "{units}: {a} is not {inches} in");
        near(s[0].length, 18.0);
        near(s[0].depth, 4.0);
        near(s[0].over_floor, 18.0);
        near(s[0].over_datum, 0.0);
        // A shim and a foot less, and the floor as much lower as the shim is thick.
        near(s[1].length, 18.0 - 0.25);
        // All stands are under one line, and one would hold an upright: both are told, as things to mend.
        let told: Vec<&str> = r.findings.iter().filter(|f| f.answer == "jigs").map(|f| f.what.as_str()).collect();
        assert!(told.iter().any(|w| w.contains("post")), "{told:?}");
        assert_eq!(s.len(), 2);
        let t = Text::new(&r.shape.design);
        let sheet = &jigs::sheets(&r, &answer, &t)[0];
        assert_eq!((sheet.id, sheet.rows[0].0[2].as_str()), ("stands", if units == "mm" { "457" } else { "18" }));
    }
}

#[test]
fn a_rail_longer_than_any_stick_is_spliced_if_it_may_be() {
    let rack = "[rack]\ncurrency = \"EUR\"\nkerf = 2\n[[rack.stick]]\nsection = \"rail\"\nlength = 1500\nprice = 10\n";
    let r = review("mm", rack);
    // Neither bar has a stick, the post has.
    assert_eq!((r.stock.sections[0].unplaced.len(), r.stock.joins.len()), (2, 0));
    let splice = |least: f64, units: &str| {
        let file = rack.replace("[rack]", "[jig]\nties = 2\n[rack]");
        let n = if units == "mm" { 1.0 } else { 1.0 / 25.4 };
        let file = file.replace("1500", &format!("{}", 1500.0 * n)).replace("kerf = 2", &format!("kerf = {}", 2.0 * n));
        let file = format!("splice = {}\n{file}", least * n);
        // What is added stands in the post's table; the bars want it.
        let r = review_with(units, &file, |text| {
            let line = format!("splice = {}\n", least * n);
            let text = text.replace(&line, "");
            text.replace("path = [\"a\", \"b\"]\n", &format!("path = [\"a\", \"b\"]\n{line}"))
        });
        let whole = blank(&r, "low");
        let join = r.stock.joins.first().cloned();
        (r.stock.sections[0].unplaced.len(), join, whole, r.findings.clone())
    };
    for units in ["mm", "in"] {
        let (unplaced, join, whole, findings) = splice(600.0, units);
        let join = join.expect("it is joined");
        assert_eq!((unplaced, join.name.as_str()), (1, "low"));
        // By hand: 2032 long; 1500 would leave 532, so the first part gives way to the second's 600.
        assert!((join.parts[0] - (whole - 0.6)).abs() < 1e-6 && (join.parts[1] - 0.6).abs() < 1e-6, "{join:?}");
        let told = findings.iter().find(|f| f.what.starts_with("low is joined from two parts")).expect("it is told");
        assert!(told.help.as_ref().is_some_and(|h| h.contains("in the middle of a member")));
    }
    let (unplaced, join, _, findings) = splice(1100.0, "mm");
    assert!(unplaced == 2 && join.is_none());
    // What can't be cut as drawn must be mended, and the help names the key.
    let told: Vec<_> = findings.iter().filter(|f| f.answer == "stock" && f.what.contains("longest stick")).collect();
    assert_eq!(told.iter().map(|f| f.level).collect::<Vec<_>>(), [Level::Mend; 2]);
    let help = |f: &shape::Finding| f.help.clone().unwrap_or_default();
    assert!(help(told[0]).contains("`splice` allows no part under 1100 mm"), "{}", help(told[0]));
    assert!(help(told[1]).contains("`splice` on it") && told[1].tubes == ["high"], "{}", help(told[1]));
    assert!(r.must_mend());
}

#[test]
fn an_empty_rack_says_what_to_add_and_is_nothing_to_mend() {
    let r = review("mm", "[rack]\nkerf = 2\n");
    let told: Vec<_> = r.findings.iter().filter(|f| f.answer == "stock").collect();
    assert_eq!(told.len(), 1, "{told:?}");
    assert_eq!(told[0].level, Level::Look);
    let help = told[0].help.clone().unwrap_or_default();
    assert!(help.contains("[[rack.stick]]") && help.contains("section = \"rail\""), "{help}");
}

/// A stage for which steel is bought and that still lacks a piece says so.
#[test]
fn a_stage_whose_piece_is_not_on_sale_says_so() {
    let rack = "[rack]\ncurrency = \"EUR\"\nkerf = 2\n[[rack.stick]]\nsection = \"rail\"\nlength = 1500\nprice = 10\ncut_fee = 2\n";
    let r = review("mm", rack);
    let today = r.today.as_ref().expect("it was worked out");
    let words = steel::reach_words(today, &r.steel, "EUR", |m| format!("{:.0} mm", m * 1e3));
    assert!(words.iter().any(|w| w.ends_with("; nothing on sale is long enough for low, high")), "{words:?}");
    // With bars that are on hand only the post is bought: its cut costs extra.
    let rack = format!("{rack}[[rack.stick]]\nsection = \"rail\"\nlength = 2100\ncount = 2\n");
    let r = review("mm", &rack);
    let today = r.today.as_ref().expect("it was worked out");
    let words = steel::reach_words(today, &r.steel, "EUR", |m| format!("{:.0} mm", m * 1e3));
    let most = words.iter().find(|w| w.starts_with("what helps most")).expect("it is told");
    assert!(most.contains("10.00 EUR without the seller's cuts;"), "{most}");
}

#[test]
fn a_stand_from_a_whole_stick_names_it_and_a_centre_outside_is_said_to_be() {
    let more = "[section.post]\nshape = \"round\"\nod = 40\nwall = 3\nmaterial = \"S355\"\n[rack]\nkerf = 2\n[[rack.stick]]\nsection = \"post\"\nlength = 3000\ncount = 4\nplace = \"left bay\"\n\
        [stance.bench]\nstands = [{ under = \"low\", x = 900, height = 450, section = \"post\" },\n\
        { under = \"low\", x = 700, height = 450 }, { under = \"side\", x = 800, height = 450 }]\n\
        [point.s]\nfrom = \"a\"\nby = [-116, 400, 0]\n[point.t]\nfrom = \"a\"\nby = [-416, 400, 0]\n[tube.side]\nsection = \"rail\"\npath = [\"s\", \"t\"]\n";
    let r = review("mm", more);
    let t = Text::new(&r.shape.design);
    let sheet = &jigs::sheets(&r, &jigs::of(&r), &t)[0];
    let from: Vec<&str> = sheet.rows.iter().map(|row| row.0[7].as_str()).collect();
    // No piece is of that section, so the stick stays whole in the plan.
    assert!(from.contains(&"a whole 3000 mm of post, left bay"), "{from:?}");
    assert!(sheet.note.contains("still counts a whole stick"), "{}", sheet.note);
    assert!(sheet.note.contains(" outside the stands") && !sheet.note.contains("is -"), "{}", sheet.note);
}
