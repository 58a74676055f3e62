//! Designs whose strength can't be told: a clear finding each, and what can be told still comes.

use std::sync::Arc;

use shape::{Finding, Level};
use strength::{Answer, Depth, strength};

/// Two feet, two legs, a beam across: a portal of round tube.
const PORTAL: &str = r#"
[design]
name = "Portal"
[section.t]
shape = "round"
od = 40
wall = 2
material = "E355+N"
[point]
a = [0, 500, 0]
b = [0, 500, 800]
c = [0, -500, 0]
d = [0, -500, 800]
e = [1000, 0, 0]
f = [1000, 0, 500]
mid = { on = "top", part = 0.5 }
[tube.left]
section = "t"
path = ["a", "b"]
[tube.right]
section = "t"
path = ["c", "d"]
[tube.top]
section = "t"
path = ["b", "d"]
"#;

const HELD: &str = r#"held = [{ at = "a", turns = true }, { at = "c", turns = true }]"#;

fn answer(body: &str, depth: Depth) -> Answer {
    of(&format!("{PORTAL}{body}"), depth)
}

fn of(text: &str, depth: Depth) -> Answer {
    let design = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", text))).design;
    strength(&shape::resolve(Arc::new(design)).expect("a shape"), depth)
}

/// The one finding that holds the words.
fn found<'a>(a: &'a Answer, level: Level, words: &str) -> &'a Finding {
    let list: Vec<&Finding> = a.findings.iter().filter(|f| f.level == level && f.what.contains(words)).collect();
    assert_eq!(list.len(), 1, "{words}: {:?}", a.findings);
    assert!(list[0].help.is_some(), "{words}");
    list[0]
}

#[test]
fn within_its_limits_nothing_is_found() {
    let load = format!("[load.push]\nforces = [{{ at = \"mid\", force = [100, 0, 0] }}]\n{HELD}\nmost = 20\n");
    let a = answer(&load, Depth::Full);
    // Its corners are joints that no formula covers.
    found(&a, Level::NotChecked, "welded joints: 4 of 4 tube ends are not checked (no tube passes)");
    assert_eq!(a.findings.len(), 1, "{:?}", a.findings);
    assert!(a.cases[0].residual < 1e-9 && a.cases[0].buckling_known);
}

#[test]
fn what_is_over_a_limit_is_told_with_the_limit_and_the_key() {
    let load = format!(
        "[load.push]\nforces = [{{ at = \"mid\", force = [1000, 0, -2000] }}]\n{HELD}\nmost = 1\nuse = 0.1\nbuckling = 900\n"
    );
    let a = answer(&load, Depth::Full);
    let used = &a.cases[0].used;
    let f = found(&a, Level::Mend, "is over its limit");
    let Some(shape::Value::Part(u)) = f.measured else { panic!("{f:?}") };
    assert_eq!((u, f.source.as_deref()), (used[0].stress.utilisation, Some("load.push.use")));
    assert_eq!(f.limit, Some(shape::Value::Part(0.1)));
    assert_eq!(f.tubes.len(), used.iter().filter(|u| u.stress.utilisation > 0.1).count());
    assert_eq!(found(&a, Level::Mend, "moves over its limit").source.as_deref(), Some("load.push.most"));
    assert_eq!(found(&a, Level::Mend, "buckles under its limit").source.as_deref(), Some("load.push.buckling"));
}

#[test]
fn a_live_answer_says_what_it_has_not_looked_at() {
    let load =
        format!("[load.push]\nforces = [{{ at = \"mid\", force = [100, 0, 0] }}]\n{HELD}\ncollapse = 50\nuse = 1\n");
    let a = answer(&load, Depth::Live);
    found(&a, Level::NotChecked, "buckling and natural frequencies are not checked");
    found(&a, Level::NotChecked, "load push pushed past yielding is not checked");
    assert!(a.cases[0].crushed.is_none() && !a.cases[0].buckling_known && a.advice.is_none());
    let a = answer(&load, Depth::Full);
    found(&a, Level::NotChecked, "load push pushed past yielding is not checked");
    assert!(a.cases[0].crushed.is_none());
    let a = answer(&load, Depth::Collapse);
    assert!(a.cases[0].crushed.as_ref().is_some_and(|c| c.peak[0] > 1.0));
    assert!(!a.findings.iter().any(|f| f.what.contains("not asked for in this run")));
}

#[test]
fn no_load_at_all_is_one_note() {
    let a = answer("[mass.box]\nat = [0, 0, 400]\nkg = 20\n", Depth::Full);
    assert_eq!(a.findings.len(), 1, "{:?}", a.findings);
    found(&a, Level::Note, "whether the frame is strong enough is not checked");
    // The frame still rings.
    assert_eq!(a.vibration.len(), 6);
}

#[test]
fn no_support_and_half_a_support() {
    let push = "forces = [{ at = \"mid\", force = [100, 0, 0] }]\n";
    let text = format!(
        "[load.none]\n{push}[load.also]\n{push}[load.half]\n{push}held = [{{ at = \"a\" }}]\n[load.good]\n{push}{HELD}\n"
    );
    let a = answer(&text, Depth::Full);
    // Both for the same reason: said once.
    found(&a, Level::NotChecked, "loads none and also are not checked: nothing holds it");
    let f = found(&a, Level::NotChecked, "load half is not checked");
    assert!(f.what.contains("the whole frame can turn about an axis"), "{}", f.what);
    assert_eq!(a.cases.iter().map(|c| c.name.as_str()).collect::<Vec<_>>(), ["good"]);
}

#[test]
fn two_loose_pieces() {
    let text = format!(
        "[tube.alone]\nsection = \"t\"\npath = [\"e\", \"f\"]\n[load.push]\nforces = [{{ at = \"mid\", force = [100, 0, 0] \
         }}]\n{HELD}\n[strength]\nrig = {{ front = [\"b\", \"d\"], rear = [\"a\", \"c\"] }}\n"
    );
    let a = answer(&text, Depth::Full);
    let f = found(&a, Level::NotChecked, "load push is not checked");
    assert!(f.what.contains("the piece of alone is not held at all"), "{}", f.what);
    found(&a, Level::NotChecked, "stiffness in torsion and bending is not checked");
    found(&a, Level::NotChecked, "natural frequencies are not checked: the frame is in 2 pieces");
    assert!(a.rig.is_none() && a.vibration.is_empty() && a.cases.is_empty());
}

#[test]
fn a_load_on_no_tube_is_not_told_in_part() {
    let text = format!(
        "[load.off]\nforces = [{{ at = \"e\", force = [100, 0, 0] }}, {{ at = \"mid\", force = [0, 0, 5] }}]\n{HELD}\n"
    );
    let a = answer(&text, Depth::Full);
    found(&a, Level::Mend, "point e lies on no tube");
    found(&a, Level::NotChecked, "load off is not checked: its point e lies on no tube");
    assert!(a.cases.is_empty());
    let text = format!("[load.off]\nspread = [{{ along = \"brace\", force = [0, 0, 5] }}]\n{HELD}\n");
    let brace = "[tube.brace]\nsection = \"t\"\npath = [\"a\", \"d\"]\ntemporary = true\n";
    let a = answer(&format!("{brace}{text}"), Depth::Full);
    found(&a, Level::NotChecked, "brace is temporary and carries nothing");
}

/// A tube of next to no stiffness, or of a stiffness that is no number, among steel: told, or as if it were not there.
#[test]
fn a_tube_of_next_to_no_stiffness() {
    let load = format!("[load.push]\nforces = [{{ at = \"mid\", force = [100, 0, 0] }}]\n{HELD}\n");
    let without = answer(&load, Depth::Live).cases[0].moved.by.length();
    let text = format!(
        "{PORTAL}[material.rubber]\nyield = 1\ntensile = 2\nyoungs = 1000\nsource = \"invented\"\n[section.soft]\nshape = \
         \"round\"\nod = 40\nwall = 2\nmaterial = \"rubber\"\n[tube.soft]\nsection = \"soft\"\npath = [\"a\", \"d\"]\n{load}"
    );
    let read = design::read(&text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", &text))).design;
    // Softer than a file may say: as another program may hand it over.
    for (youngs, usable) in [(1.0, true), (1e-6, true), (0.0, false), (-1.0, false), (f64::NAN, false)] {
        let mut design = read.clone();
        let rubber = design.materials.iter_mut().find(|m| m.name == "rubber").expect("it is there");
        (rubber.youngs, rubber.shear) = (youngs, youngs / 2.6);
        let a = strength(&shape::resolve(Arc::new(design)).expect("a shape"), Depth::Full);
        match a.cases.first() {
            Some(c) => {
                let by = c.moved.by.length();
                assert!(usable && (by / without - 1.0).abs() < 1e-9, "{youngs}: {by} {without}");
            }
            None => {
                let f = found(&a, Level::NotChecked, "load push is not checked");
                assert!(f.what.contains("soft") || f.what.contains("stiffnesses"), "{youngs}: {}", f.what);
            }
        }
    }
}

#[test]
fn thousands_of_loads() {
    // More than a file may hold: as another program may hand them over.
    let text = format!("{PORTAL}[load.l]\nforces = [{{ at = \"mid\", force = [1, 0, 0] }}]\n{HELD}\n");
    let mut design = design::read(&text).expect("valid").design;
    let one = design.loads.remove(0);
    design.loads = (0..2000)
        .map(|i| {
            let mut l = one.clone();
            l.name = format!("l{i}");
            l.forces[0].force *= f64::from(10 + i % 100);
            l
        })
        .collect();
    let a = strength(&shape::resolve(Arc::new(design)).expect("a shape"), Depth::Full);
    assert_eq!(a.cases.len(), 2000);
    assert!(a.cases.iter().enumerate().all(|(i, c)| c.name == format!("l{i}")));
    let f = found(&a, Level::NotChecked, "of 2000 loads only the 24");
    assert!(f.what.contains("buckling"));
    assert_eq!(a.cases.iter().filter(|c| c.buckling_known).count(), 24);
    // The largest force is among those looked at.
    assert!(a.cases[99].buckling_known || a.cases[199].buckling_known);
}

#[test]
fn sets_without_their_places_and_a_drop_without_a_collapse() {
    let a = answer("[strength]\nsets = [\"touring-cage\"]\nrest = 2\ndrop = 500\n", Depth::Full);
    found(&a, Level::NotChecked, "touring-cage: front leg are not checked: no tube has the role `main hoop`");
    found(&a, Level::NotChecked, "energy of the drop is not checked");
}

#[test]
fn no_number_is_no_load() {
    for force in ["nan", "inf", "-inf"] {
        let text = format!("{PORTAL}[load.x]\nforces = [{{ at = \"mid\", force = [{force}, 0, 0] }}]\n{HELD}\n");
        assert!(design::read(&text).is_err(), "{force}");
    }
}

#[test]
fn a_mount_on_no_tube_is_told_by_name() {
    let mass = "[mass.box]\nat = [0, 0, 900]\nkg = 20\n[mount.cradle]\nof = \"box\"\nat = [\"e\"]\n";
    let a = answer(&format!("{mass}[load.still]\ng = [0, 0, -1]\n{HELD}\n"), Depth::Live);
    found(&a, Level::Mend, "point e (mount cradle) lies on no tube");
    found(&a, Level::Note, "without a mount on a tube, carried by the 4 nearest joints: box");
}

#[test]
fn a_collapse_that_is_not_followed_to_its_end_says_how_far_it_got() {
    // Six times its height sideways: the legs lie flat and pull like ropes, for more steps than are allowed.
    let load = format!(
        "[load.push]\nforces = [{{ at = \"mid\", force = [1000, 0, 0] }}]\n{HELD}\ncollapse = 5000\nuse = 100\n"
    );
    let a = answer(&load, Depth::Collapse);
    let x = a.cases[0].crushed.as_ref().expect("it was pushed");
    assert!(!x.whole && x.end.contains("it would go on"), "{}", x.end);
    let last = x.curve[x.curve.len() - 1];
    assert!(last[0] > 0.8 && last[0] < 5.0, "{last:?}");
    let f = found(&a, Level::NotChecked, "what comes after is not checked");
    assert!(f.what.contains(&format!("was followed to {:.1} mm only", last[0] * 1e3)), "{}", f.what);
    // The largest so far is no peak.
    assert_eq!(x.peak, [last[1], last[0]]);
}
