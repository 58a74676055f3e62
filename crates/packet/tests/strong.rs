//! The sheets of strength: every load with its numbers, what would help, collapse hinge by hinge; cautions on each.

mod common;

use std::sync::Arc;

use common::{assert_clean, gorse, review_of, sheets, texts};
use glam::DVec2;
use packet::sheet::layout::MARGIN;
use packet::sheet::page::{Ink, Item, Page};
use packet::sheet::strength as sheet;
use review::{Review, Text};
use strength::Depth;

/// Pens and half a letter over the margin, mm.
const OVER: f64 = 1.0;

fn wren() -> Review {
    review_of(include_str!("../../../examples/wren.toml"))
}

/// A portal that is pushed to an energy.
fn sedge(depth: Depth) -> Review {
    let text = include_str!("../../strength/tests/portals.toml");
    let design = design::read(text).expect("it is read").design;
    review::with_depth(Arc::new(design), &[], cutting::Detail::SHEET, depth).expect("it is worked out")
}

fn of(pages: &[Page]) -> Vec<&Page> {
    pages.iter().filter(|p| p.title == sheet::TITLE).collect()
}

fn all(pages: &[Page]) -> String {
    of(pages).into_iter().flat_map(texts).map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ")
}

#[test]
fn each_load_is_told_with_its_numbers_in_the_units_of_the_file() {
    for r in [gorse(), wren()] {
        let (pages, t, a) = (sheets(&r), Text::new(&r.shape.design), &r.strength);
        let words = all(&pages);
        let must = |w: String| assert!(words.contains(&w), "{w} is not on the sheets");
        assert!(a.cases.len() >= 3);
        for c in &a.cases {
            let used = &c.used[0];
            must(c.name.clone());
            must(format!("1 {}, {} from its start", used.tube, t.length(used.station)));
            must(format!("{:.1} %", 100.0 * used.stress.utilisation));
            must(c.moved.name.chars().take(30).collect());
            must(t.fine(c.moved.by.length()));
            must(format!("buckles: {}", c.buckling.as_ref().expect("something is pressed").tube.0));
        }
        let rig = a.rig.as_ref().expect("it has a rig");
        must(t.torsion(rig.torsion));
        must(t.rate(rig.bending));
        for v in &a.vibration {
            must(format!("{:.2}", v.frequency));
        }
        let advice = a.advice.as_ref().expect("advice is asked for");
        let best = &advice.braces[advice.shown(2)[0]];
        must(best.joins[0].clone());
        must(t.mass(best.mass));
        must(advice.ledger.first_to_go.join(", "));
        assert!(!words.contains("Pushed past yielding"), "nothing was pushed");
    }
}

/// Each picture of a mode has its value, its tube, and the tube drawn picked.
#[test]
fn modes_are_drawn_with_the_tube_that_has_most_of_them() {
    for r in [gorse(), wren()] {
        let pages = sheets(&r);
        let (words, a) = (all(&pages), &r.strength);
        let must = |w: String| assert!(words.contains(&w), "{w} is not on the sheets");
        let mut parts = 0;
        let mut count = |shape: &[strength::Shaped], tube: &str| {
            let here = shape.iter().filter(|p| r.shape.tubes[p.tube].name == tube).count();
            assert!(here > 0, "{tube} has no part");
            parts += here;
        };
        assert!(a.vibration.len() >= 3);
        for v in &a.vibration[..3] {
            must(format!("{:.2} Hz", v.frequency));
            must(format!("{}: {:.0} % of its energy", v.tubes[0].0, 100.0 * v.tubes[0].1));
            count(&v.shape, &v.tubes[0].0);
        }
        let mut loads: Vec<_> = a.cases.iter().filter_map(|c| Some((c, c.buckling.as_ref()?))).collect();
        assert!(!loads.is_empty() && loads.iter().all(|x| x.0.wanted.buckling > 0.0));
        let room = |x: &(&strength::Solved, &strength::Buckles)| x.1.factor / x.0.wanted.buckling;
        loads.sort_by(|x, y| room(x).total_cmp(&room(y)));
        // Those nearest to what they want.
        for (_, b) in loads.into_iter().take(12) {
            must(format!("{}: {:.0} % of the bending", b.tube.0, 100.0 * b.tube.1));
            count(&b.shape, &b.tube.0);
        }
        let picked = |i: &&Item| {
            matches!(i, Item::Path { pen: Some(pen), closed: false, points, .. }
                if pen.ink == Ink::Accent && pen.width == 0.8 && points.len() == 11)
        };
        let drawn: usize = of(&pages).iter().map(|p| p.items.iter().filter(picked).count()).sum();
        assert_eq!(drawn, parts);
    }
}

#[test]
fn nothing_leaves_the_margins_and_every_sheet_has_its_caution() {
    for r in [gorse(), wren(), sedge(Depth::Collapse)] {
        let pages = sheets(&r);
        let list = of(&pages);
        assert!(list.len() >= 3, "{}", list.len());
        for p in list {
            assert!(texts(p).any(|t| t.text == sheet::CAUTION), "a sheet lacks its whole caution");
            for i in &p.items {
                let Item::Path { points, .. } = i else { continue };
                for q in points {
                    let inside = q.cmpgt(DVec2::splat(MARGIN - OVER)).all()
                        && q.x < p.width - MARGIN + OVER
                        && q.y < p.height - MARGIN + OVER;
                    assert!(inside, "{q} of {} x {}", p.width, p.height);
                }
            }
        }
        assert_clean(&pages);
    }
}

#[test]
fn a_load_over_its_limit_is_marked_and_the_tube_hatched() {
    let text = include_str!("../../../examples/gorse.toml");
    let limit = "[load.roof_corner]";
    assert!(text.contains(limit));
    let weak = review_of(&text.replace(limit, &format!("{limit}\nuse = 0.5")));
    let over: Vec<_> =
        weak.strength.cases.iter().filter(|c| c.used[0].stress.utilisation > c.wanted.utilisation).collect();
    assert_eq!(over.len(), 1, "one load is over");
    let pages = sheets(&weak);
    let told = of(&pages).into_iter().flat_map(texts).filter(|t| t.text == "over: use").count();
    // In the table and over its picture.
    assert_eq!(told, 2);
    let thick = |p: &&Page| {
        let alarm =
            |i: &Item| matches!(i, Item::Path { pen: Some(pen), .. } if pen.ink == Ink::Alarm && pen.width > 1.5);
        p.items.iter().filter(|i| alarm(i)).count()
    };
    let tubes = over[0].used.iter().filter(|u| u.stress.utilisation > over[0].wanted.utilisation).count();
    // Each tube over its limit once, and a sample in the legend.
    assert_eq!(of(&pages).iter().map(thick).sum::<usize>(), tubes + 1);
}

#[test]
fn hinges_stand_on_the_curve_where_they_came() {
    let r = sedge(Depth::Collapse);
    let pushed: Vec<_> = r.strength.cases.iter().filter_map(|c| Some((c, c.crushed.as_ref()?))).collect();
    assert!(!pushed.is_empty());
    let pages = sheets(&r);
    for (c, x) in pushed {
        let head = format!("Pushed past yielding: {}", c.name);
        let page = of(&pages).into_iter().find(|p| texts(p).any(|t| t.text == head)).expect("it has a sheet");
        // The curve is the boldest line of all with as many points as steps.
        let curve = page
            .items
            .iter()
            .find_map(|i| match i {
                Item::Path { points, closed: false, .. } if points.len() == x.curve.len() => Some(points),
                _ => None,
            })
            .expect("the curve is drawn");
        // Equal scales along it: its ends and its peak stand as far apart as their ways.
        let [a, b] = [curve[0], curve[curve.len() - 1]];
        let last = x.curve[x.curve.len() - 1];
        let per = (b.x - a.x) / (last[0] - x.curve[0][0]);
        for (p, v) in curve.iter().zip(&x.curve) {
            assert!((p.x - a.x - (v[0] - x.curve[0][0]) * per).abs() < 1e-9);
        }
        assert!(!x.hinges.is_empty());
        for (k, h) in x.hinges.iter().enumerate().take(24) {
            let on = a.x + (h.travel - x.curve[0][0]) * per;
            let dot = |i: &Item| match i {
                Item::Path { points, closed: true, fill: Some(Ink::Accent), .. } => {
                    let middle = points.iter().sum::<DVec2>() / points.len() as f64;
                    (middle.x - on).abs() < 1e-6
                }
                _ => false,
            };
            assert!(page.items.iter().any(dot), "hinge {} has no dot at its way", k + 1);
            assert!(texts(page).any(|t| t.text == (k + 1).to_string()));
        }
    }
}

#[test]
fn without_loads_the_sheet_says_so() {
    let text = include_str!("../../../examples/gorse.toml");
    let mut reading = design::read(text).expect("it is read").design;
    reading.loads.clear();
    reading.strength.rest = 0.0;
    let r = review::review(Arc::new(reading), cutting::Detail::SHEET).expect("it is worked out");
    let words = all(&sheets(&r));
    assert!(words.contains("is not checked"), "{words}");
    assert!(words.contains("Stiffness as on a rig"));
}

#[test]
fn mounts_exactly_alike_are_named() {
    let text = include_str!("../../../examples/gorse.toml");
    let from = text.find("[mount.").expect("it has mounts");
    let one = &text[from..];
    let end = one[1..].find("\n[").map_or(one.len(), |k| k + 1);
    let name = one["[mount.".len()..].split(']').next().expect("it has a name");
    let again = one[..end].replacen(&format!("[mount.{name}]"), "[mount.once_more]", 1);
    let said = |text: &str| {
        let r = review_of(text);
        let list = r.strength.findings.iter().filter(|f| f.what.starts_with("mounts ")).map(|f| f.what.clone());
        list.collect::<Vec<_>>()
    };
    assert_eq!(said(text), [""; 0]);
    let both = format!("mounts {name} and once_more are alike: both carry the same at the same places");
    assert_eq!(said(&format!("{text}\n{again}\n")), [both]);
}
