//! Ends and welds through the design's file: in both units, mirrored, drawn from the other end, and what is found.

use std::sync::Arc;

use cutting::Detail;
use cutting::ends::Process;
use cutting::ends::batches::{Batch, Tool};
use review::{Made, Review, Text, ends, welds};
use shape::{End, Level};
use strength::Depth;

/// Two rails with braces between them, mirrored; `reverse` draws the brace from its other end. Sizes in mm, written in mm or in
/// inches.
fn review(units: &str, reverse: bool, more: &str) -> Review {
    let n = if units == "mm" { 1.0 } else { 1.0 / 25.4 };
    let l = |x: f64| format!("{:.12}", x * n);
    let at = |x: f64, y: f64, z: f64| format!("[{}, {}, {}]", l(x), l(y), l(z));
    let path = if reverse { "[\"high\", \"foot\"]" } else { "[\"foot\", \"high\"]" };
    let text = format!(
        "[design]\nname = \"x\"\nunits = \"{units}\"\n[limits]\nfit = {fit}\nround = {round}\nround_angle = 0.5\n\
         [notcher]\nsaws = [{{ od = {saw}, depth = {deep} }}]\n\
         [section.rail]\nshape = \"round\"\nod = {rail}\nwall = {wall}\nmaterial = \"E355+N\"\n\
         [section.brace]\nshape = \"round\"\nod = {brace}\nwall = {wall}\nmaterial = \"E355+N\"\n\
         [point]\na = {a}\nb = {b}\nc = {c}\nd = {d}\nfoot = {{ on = \"low\", x = {x} }}\nhigh = {{ on = \"top\", x = {y} }}\n\
         [tube.low]\nsection = \"rail\"\npath = [\"a\", \"b\"]\nmirror = true\n\
         [tube.top]\nsection = \"rail\"\npath = [\"c\", \"d\"]\nmirror = true\n\
         [tube.brace]\nsection = \"brace\"\npath = {path}\nmirror = true\n{more}",
        fit = l(1.0),
        round = l(0.5),
        saw = l(38.1),
        deep = l(80.0),
        rail = l(38.1),
        wall = l(2.0),
        brace = l(25.4),
        a = at(800.0, 300.0, 0.0),
        b = at(-800.0, 300.0, 0.0),
        c = at(800.0, 300.0, 500.0),
        d = at(-800.0, 300.0, 500.0),
        x = l(300.0),
        y = l(50.0),
    );
    let read = design::read(&text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", &text)));
    review::with_made(Arc::new(read.design), &[], &Made::default(), Detail::SHEET, Depth::Full).expect("it resolves")
}

fn notches(r: &Review) -> Vec<Batch> {
    let a = r.ends.as_ref().expect("it was worked out");
    a.setups.batches.iter().filter(|b| matches!(b.tool, Tool::HoleSaw { .. })).cloned().collect()
}

/// atan(250 / 500) is 26.565 degrees: both ends of the brace and of its twin are one set-up, 38.1 at 26.5.
#[test]
fn both_ends_and_the_twin_share_a_set_up_in_either_unit() {
    for (units, reverse) in [("mm", false), ("mm", true), ("in", false), ("in", true)] {
        let r = review(units, reverse, "");
        let b = notches(&r);
        assert_eq!(b.len(), 1, "{units} {b:#?}");
        assert_eq!(b[0].places.len(), 4);
        assert!((b[0].angle.to_degrees() - 26.5).abs() < 1e-9, "{}", b[0].angle);
        assert_eq!(b[0].offset, 0.0);
        let a = ends::of(&r);
        let way = a.way("brace~", End::End).and_then(|w| w.simplest()).expect("it can be cut");
        assert_eq!(way.process, Process::HoleSaw);
        assert!(way.gap < 1e-6, "{}", way.gap);
        let t = Text::new(&r.shape.design);
        assert_eq!(ends::setting(&b[0], &r.shape.design, &t), "26.5°");
        let tool = ends::tool(&b[0], &t);
        assert_eq!(tool, if units == "mm" { "hole saw 38.1 mm" } else { "hole saw 1.5 in" });
        assert!(ends::summary(&a)[1].ends_with("no order needs fewer"), "{:?}", ends::summary(&a));
    }
}

/// The place is told from the long point. Root gap 0: the hole saw's centre is the rail's axis, at the end point; the long
/// point is the largest (r cos a cos f - sqrt(R² - r² sin² f)) / sin a round the outside, here by closed form.
#[test]
fn places_are_told_from_the_long_point() {
    let r = review("mm", false, "");
    let (a, t, b) = (ends::of(&r), Text::new(&r.shape.design), notches(&r));
    let angle = std::f64::consts::FRAC_PI_2 - (250.0f64 / 500.0).atan();
    let (big, small) = (19.05, 12.7);
    let reach = |f: f64| (small * angle.cos() * f.cos() - (big * big - (small * f.sin()).powi(2)).sqrt()) / angle.sin();
    let long = (0..=3600).map(|k| reach(f64::from(k) * 1e-3 * std::f64::consts::TAU / 3.6)).fold(f64::MIN, f64::max);
    // Inside of the wall reaches less far, its radius being smaller.
    for p in &b[0].places {
        let told = ends::place(&r, &a, &b[0], p, &t);
        let back: f64 = told.back.parse().expect("a number");
        assert!((back - long).abs() < 0.26, "{told:?} {long}");
        assert!(back < 0.0, "the centre lies beyond the tube");
    }
}

#[test]
fn welds_are_the_same_in_either_unit_and_their_sums_are_sums() {
    let (mm, inch) = (review("mm", false, ""), review("in", false, ""));
    let (a, b) = (welds::of(&mm), welds::of(&inch));
    assert_eq!(a.welds.len(), 4);
    for (x, y) in a.welds.iter().zip(&b.welds) {
        assert!((x.length - y.length).abs() < 1e-7 && (x.filler - y.filler).abs() < 1e-9, "{x:?} {y:?}");
    }
    let length: f64 = a.welds.iter().map(|w| w.length).sum();
    assert!((a.totals.length - length).abs() < 1e-12);
    let joints: f64 = a.joints.iter().map(|j| j.totals.filler).sum();
    assert!((a.totals.filler - joints).abs() < 1e-12 && a.joints.len() == 4, "{:?}", a.joints);
    // A weld and its twin's stand on one line, and every weld on one.
    let rows = welds::rows(&a);
    assert_eq!(rows.iter().map(|r| r.words()).collect::<Vec<_>>(), ["brace and twin, end", "brace and twin, start"]);
    let t = Text::new(&inch.shape.design);
    let words = welds::summary(&inch, &b, &t).join(" ");
    assert!(words.contains(" in in all") && words.contains(" lb") && words.contains("ft³"), "{words}");
    assert!(!words.contains("kg") && !words.contains(" mm"), "{words}");
}

/// A second brace into the same corner lies on the first one's bead and hides some of it; what is found says so once.
#[test]
fn what_lies_on_a_bead_is_found_once_for_both_sides() {
    let more = "[tube.second]\nsection = \"brace\"\npath = [\"foot\", \"over\"]\nmirror = true\n[point.over]\non = \"top\"\nx = 300\n";
    let r = review("mm", false, more);
    let found: Vec<_> = r.findings.iter().filter(|f| f.what.contains("bead")).collect();
    assert_eq!(found.len(), 1, "{found:?}");
    let f = found[0];
    assert_eq!(f.level, Level::Note);
    assert!(f.what.contains("2 welds (start of brace and brace~)"), "{}", f.what);
    assert!(f.measured.is_some() && f.at.is_some() && f.help.is_some());
    assert_eq!(f.tubes, ["brace", "brace~"]);
    let list = welds::of(&r);
    let w = list.welds.iter().find(|w| w.piece == "brace" && w.end == End::Start).expect("listed");
    assert_eq!(w.flush.iter().map(|x| x.by.as_str()).collect::<Vec<_>>(), ["second"]);
    assert!(welds::mind(w, &Text::new(&r.shape.design)).contains("under second"));
    // The later tube meets two at once: no saw does that, and one finding says so with the limit of the file.
    let ways = ends::of(&r);
    let template = ways.ways.iter().filter(|w| w.simplest().is_some_and(|c| c.process == Process::Template)).count();
    let said: Vec<_> = r.findings.iter().filter(|f| f.what.contains("template and the grinder")).collect();
    assert_eq!(said.len(), usize::from(template > 0), "{template} {said:?}");
}

/// Nothing of it is worked out while a point is dragged.
#[test]
fn a_trial_has_none_of_it() {
    let text = include_str!("../../../examples/wren.toml");
    let design = Arc::new(design::read(text).map_err(|p| format!("{p:?}")).expect("the demo reads").design);
    let live = review::with_depth(design, &[], Detail::LIVE, Depth::Live).expect("it resolves");
    assert!(live.ends.is_none() && live.welds.is_none());
    assert!(!live.findings.iter().any(|f| f.what.contains("bead") || f.what.contains("torch")));
}

/// Two welds on one row tell of both what must be minded, unless it is the same or its mirror image.
#[test]
fn a_row_minds_both_its_welds() {
    let r = review("mm", false, "");
    let t = Text::new(&r.shape.design);
    let hidden = |piece: &str, by: &str, list: &mut welds::Welds| {
        let w = list.welds.iter_mut().find(|w| w.piece == piece && w.end == End::Start).expect("listed");
        (w.reached_at_fitting, w.reached_at_last, w.hidden_by) = (1.0, 0.5, vec![by.to_owned()]);
    };
    let cell = |list: &welds::Welds| {
        let rows = welds::rows(list);
        let row = rows.iter().find(|x| x.weld.piece == "brace" && x.weld.end == End::Start).expect("listed");
        assert!(row.twin.is_some());
        (welds::cells(row, &t).pop().expect("what to mind"), welds::row_mind(row, &t))
    };
    let mut list = (*welds::of(&r)).clone();
    assert_eq!(cell(&list).0, "");
    // Only the twin's: the row says whose.
    hidden("brace~", "x~", &mut list);
    assert_eq!(cell(&list).0, "brace~: weld 50 % before x~");
    // Mirror images of the same stand once, others both.
    hidden("brace", "x", &mut list);
    assert_eq!(cell(&list).0, "weld 50 % before x");
    hidden("brace", "y", &mut list);
    assert_eq!(cell(&list).0, "brace: weld 50 % before y | brace~: weld 50 % before x~");
    assert_eq!(cell(&list).0, cell(&list).1);
}

#[test]
fn a_torch_is_told_in_the_files_own_units() {
    let more = "[tube.second]\nsection = \"brace\"\npath = [\"foot\", \"over\"]\nmirror = true\n[point.over]\non = \"top\"\nx = 11\n";
    let r = review("in", false, more);
    let list = welds::Welds {
        welds: welds::of(&r)
            .welds
            .iter()
            .cloned()
            .map(|w| cutting::welds::Weld { reached_at_fitting: 0.5, ..w })
            .collect(),
        ..(*welds::of(&r)).clone()
    };
    let found = welds::findings(&r, &list);
    let f = found.iter().find(|f| f.what.starts_with("a torch does not reach")).expect("it is told");
    let source = f.source.as_deref().expect("a torch");
    assert!(source.contains("0.512 in nozzle and 0.866 in body") && !source.contains(" mm"), "{source}");
}
