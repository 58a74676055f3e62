//! Welded ends of tubes under the design's loads. Formulas of EN 1993-1-8 by hand, from memory (`docs/methods/joints.md`).

use std::f64::consts::PI;
use std::sync::Arc;

use shape::{Finding, Level, Value};
use strength::joints::{Kind, Mode};
use strength::{Answer, Depth, Loaded, Welded, strength};

fn of(text: &str) -> Answer {
    let design = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", text))).design;
    strength(&shape::resolve(Arc::new(design)).expect("a shape"), Depth::Full)
}

fn near(a: f64, b: f64, by: f64) {
    assert!((a - b).abs() <= by * b.abs(), "{a} is not {b}");
}

fn end<'a>(a: &'a Answer, tube: &str, joint: &str) -> &'a Welded {
    let list: Vec<&Welded> = a.joints.iter().filter(|w| w.tube == tube && w.joint == joint).collect();
    assert_eq!(list.len(), 1, "{tube} at {joint}: {:?}", a.joints);
    list[0]
}

fn load<'a>(w: &'a Welded, name: &str) -> &'a Loaded {
    w.loads.iter().find(|l| l.load == name).unwrap_or_else(|| panic!("{name}: {w:?}"))
}

const HEAD: &str = r#"
[section.big]
shape = "round"
od = 48.3
wall = 3
material = "S355"
[section.small]
shape = "round"
od = 33.7
wall = 3
material = "S355"
"#;

/// A chord 1200 long held at both ends, a post of 400 in its middle.
fn post(path: &str, force: &str, more: &str) -> Answer {
    of(&format!(
        r#"[design]
name = "Post"
units = "mm"
{HEAD}
[point]
start = [-600, 900, 0]
end = [600, 900, 0]
foot = [0, 900, 0]
top = [0, 900, 400]
[tube.chord]
section = "big"
path = ["start", "end"]
[tube.post]
section = "small"
path = {path}
[load.pull]
forces = [{{ at = "top", force = {force} }}]
held = [{{ at = "start", turns = true }}, {{ at = "end", turns = true }}]
use = 100
{more}"#
    ))
}

const UP: &str = r#"["foot", "top"]"#;

/// d⁴ of a ring, mm.
fn modulus(od: f64, wall: f64) -> f64 {
    let id = od - 2.0 * wall;
    PI * (od.powi(4) - id.powi(4)) / (32.0 * od)
}

/// Force, moment, chord stress, resistance, use and weld of a T, all by hand in N and mm.
#[test]
fn a_post_is_what_the_table_says() {
    let a = post(UP, "[300, -200, 4000]", "");
    let w = end(&a, "post", "foot");
    assert_eq!((w.chord.as_deref(), w.end, &w.not_checked), (Some("chord"), "start", &None));
    let l = load(w, "pull");
    let c = l.checked.as_ref().unwrap();
    near(l.force, 4000.0, 1e-9);
    let arm = 400.0 - 48.3 / 2.0;
    near(c.in_plane.moment, 0.3 * arm, 1e-9);
    near(c.out_of_plane.moment, 0.2 * arm, 1e-9);
    // Held at both ends, the chord is bent by F L/8 under the post, and by half of the post's moment on either side of it.
    // Of the 300 N along it one half is pulled, the other pressed; what the post brings does not count.
    let bent: f64 = 4000.0 * 1200.0 / 8.0;
    let (z, y): (f64, f64) = (bent + 300.0 * 400.0 / 2.0, 200.0 * 1200.0 / 8.0);
    let stress = z.hypot(y) / modulus(48.3, 3.0) - 150.0 / (PI * 3.0 * 45.3);
    let n = stress / 355.0;
    let kp = 1.0 - 0.3 * n * (1.0 + n);
    let part = &c.parts[0];
    assert_eq!((c.parts.len(), part.kind, part.governing.mode), (1, Kind::T, Mode::ChordFace));
    let beta: f64 = 33.7 / 48.3;
    let bare = (48.3f64 / 6.0).powf(0.2) * 355.0 * 9.0 * (2.8 + 14.2 * beta * beta);
    near(bare, 47.09e3, 2e-4);
    near(part.governing.value, kp * bare, 1e-6);
    let unit = 355.0 * 9.0 * 33.7 * kp;
    let ip = (unit * 4.85 * 8.05f64.sqrt() * beta).min(355.0 / 3f64.sqrt() * 3.0 * 33.7 * 33.7);
    let op = (unit * 2.7 / (1.0 - 0.81 * beta)).min(355.0 / 3f64.sqrt() * 3.0 * 33.7 * 33.7);
    let used = 4000.0 / (kp * bare) + (300.0 * arm / ip).powi(2) + 200.0 * arm / op;
    near(l.used().unwrap().0, used, 1e-6);
    assert!(l.used().unwrap().1);
    // The weld, by the simple method: f_vw,d of S355 in its file's tensile strength.
    let design = design::read(
        "[design]\nname = \"x\"\n[section.s]\nshape = \"round\"\nod = 20\nwall = 2\nmaterial = \"S355\"\n",
    )
    .unwrap()
    .design;
    let fu = design.materials[design.sections[0].material.0].tensile_strength / 1e6;
    let area = PI * 3.0 * 30.7;
    let sigma = 4000.0 / area + 300f64.hypot(200.0) * arm / modulus(33.7, 3.0);
    let tau = 2.0 * 300f64.hypot(200.0) / area;
    near(l.throat * 1e3, 3.0 * sigma.hypot(tau) / (fu / (3f64.sqrt() * 0.9 * 1.25)), 1e-9);
    near(w.full * 1e3, 3.0 * 2f64.sqrt() * 0.9 * 1.25 * 355.0 / fu, 1e-9);
}

/// A tube drawn from its other end, a chord drawn from its other end, a file in inches: the same joint.
#[test]
fn drawing_order_and_units_do_not_matter() {
    let a = post(UP, "[300, -200, 4000]", "");
    let b = post(r#"["top", "foot"]"#, "[300, -200, 4000]", "");
    let plain = load(end(&a, "post", "foot"), "pull");
    let c = of(&format!(
        r#"[design]
name = "Post"
units = "in"
{}
[point]
start = ["-600 mm", "900 mm", 0]
end = ["600 mm", "900 mm", 0]
foot = [0, "900 mm", 0]
top = [0, "900 mm", "400 mm"]
[tube.chord]
section = "big"
path = ["end", "start"]
[tube.post]
section = "small"
path = ["foot", "top"]
[load.pull]
forces = [{{ at = "top", force = ["300 N", "-200 N", "4000 N"] }}]
held = [{{ at = "start", turns = true }}, {{ at = "end", turns = true }}]
use = 100
"#,
        HEAD.replace("48.3", "\"48.3 mm\"").replace("33.7", "\"33.7 mm\"").replace("wall = 3", "wall = \"3 mm\"")
    ));
    for x in [&b, &c] {
        let l = load(end(x, "post", "foot"), "pull");
        near(l.used().unwrap().0, plain.used().unwrap().0, 1e-8);
        near(l.throat, plain.throat, 1e-8);
        near(l.force, plain.force, 1e-8);
    }
    assert_eq!(end(&b, "post", "foot").end, "end");
}

/// Two trusses side by side, mirrored, with cross tubes: under mirrored loads twins are used alike.
#[test]
fn twins_are_used_alike() {
    let mut text = format!("[design]\nname = \"Bay\"\n{HEAD}\n[point]\n");
    for (name, z) in [("low", 200), ("high", 600)] {
        for (i, x) in [-1000, -500, 0, 500, 1000].into_iter().enumerate() {
            text += &format!("{name}{i} = [{x}, 400, {z}]\n");
        }
    }
    for name in ["low", "high"] {
        text += &format!("[tube.{name}]\nsection = \"big\"\nmirror = true\npath = [\"{name}0\", \"{name}4\"]\n");
        // Where no web stands.
        for i in if name == "low" { 2..=2 } else { 1..=1 } {
            text += &format!("[tube.cross_{name}{i}]\nsection = \"small\"\npath = [\"{name}{i}\", \"{name}{i}~\"]\n");
        }
    }
    for (i, [a, b]) in [["low1", "high0"], ["low1", "high2"], ["low3", "high2"], ["high4", "low3"]].iter().enumerate() {
        text += &format!("[tube.web{i}]\nsection = \"small\"\nmirror = true\npath = [\"{a}\", \"{b}\"]\n");
    }
    text += "[load.down]\nforces = [{ at = \"high2\", force = [0, 300, -6000] }, { at = \"high2~\", force = [0, -300, -6000] }]\n\
             held = [{ at = \"low0\" }, { at = \"low0~\" }, { at = \"low4\" }, { at = \"low4~\" }]\n";
    let a = of(&text);
    let (mut pairs, mut checked) = (0, 0);
    for w in a.joints.iter().filter(|w| !w.tube.ends_with('~') && !w.joint.ends_with('~')) {
        let twin = |n: &str| format!("{n}~");
        let Some(t) = a.joints.iter().find(|x| x.tube == twin(&w.tube) && x.joint == twin(&w.joint)) else {
            continue;
        };
        let (p, q) = (load_of(w), load_of(t));
        assert!((p.force - q.force).abs() < 1e-8 * 6000.0, "{}: {} {}", w.tube, p.force, q.force);
        assert!((p.throat - q.throat).abs() < 1e-8 * w.wall, "{}: {} {}", w.tube, p.throat, q.throat);
        assert_eq!(p.used().is_some(), q.used().is_some(), "{} at {}", w.tube, w.joint);
        if let (Some(u), Some(v)) = (p.used(), q.used()) {
            assert!((u.0 - v.0).abs() < 1e-8 && u.1 == v.1, "{} at {}: {u:?} {v:?}", w.tube, w.joint);
            checked += 1;
        }
        pairs += 1;
    }
    assert!(pairs == 10 && checked == 6, "{pairs} {checked}: {:?}", a.findings);
}

fn load_of(w: &Welded) -> &Loaded {
    assert_eq!(w.loads.len(), 1);
    &w.loads[0]
}

fn found<'a>(a: &'a Answer, level: Level, words: &str) -> &'a Finding {
    let list: Vec<&Finding> = a.findings.iter().filter(|f| f.level == level && f.what.contains(words)).collect();
    assert_eq!(list.len(), 1, "{words}: {:?}", a.findings);
    list[0]
}

/// Over its resistance: to mend, with the number and where the limit comes from; under it nothing is said.
#[test]
fn a_joint_over_its_limit_is_told() {
    let a = post(UP, "[0, 0, -6000]", "");
    assert!(!a.findings.iter().any(|f| f.what.contains("joint")), "{:?}", a.findings);
    let a = post(UP, "[2000, 0, -6000]", "");
    let f = found(&a, Level::Mend, "the joint of start of post at foot on chord is over its limit");
    let used = load(end(&a, "post", "foot"), "pull").used().unwrap().0;
    assert!(used > 1.0);
    assert_eq!(f.measured, Some(Value::Part(used)));
    assert!(f.what.contains("load pull") && f.tubes == ["post"]);
}

/// Four posts of thin wall on one chord: one finding, with the count, the wall and what the standard covers.
#[test]
fn what_is_not_checked_is_told_once_for_each_kind() {
    let walls = |wall: &str, strength: &str| {
        let mut text = format!(
            "[design]\nname = \"Comb\"\n{}\n[point]\nstart = [-900, 900, 0]\nend = [900, 900, 0]\n",
            HEAD.replace("od = 33.7\nwall = 3", &format!("od = 33.7\nwall = {wall}"))
        );
        for i in 0..4 {
            text += &format!("f{i} = [{}, 900, 0]\nt{i} = [{}, 900, 300]\n", 300 * i - 450, 300 * i - 450);
        }
        text += "[tube.chord]\nsection = \"big\"\npath = [\"start\", \"end\"]\n";
        for i in 0..4 {
            text += &format!("[tube.p{i}]\nsection = \"small\"\npath = [\"f{i}\", \"t{i}\"]\n");
        }
        text += "[load.pull]\nforces = [{ at = \"t1\", force = [0, 0, 500] }]\nheld = [{ at = \"start\", turns = true }, { at = \
                 \"end\", turns = true }]\n";
        of(&format!("{text}{strength}"))
    };
    let a = walls("1.2", "");
    let f = found(&a, Level::NotChecked, "welded joints");
    assert!(f.what.contains("4 of 4 tube ends"), "{}", f.what);
    assert!(f.what.contains("is too small: 1.2 mm, the standard covers 2.5 mm to 25 mm"), "{}", f.what);
    assert!(f.help.as_ref().unwrap().contains("least_wall"));
    // What the tube carries asks for a weld all the same.
    let w = end(&a, "p1", "f1");
    assert!(load(w, "pull").throat > 0.0 && load(w, "pull").used().is_none());
    near(load(w, "pull").force, 500.0, 1e-9);
    // 1.5 mm is within the newer edition, and only if the design keeps to that.
    assert!(found(&walls("1.5", ""), Level::NotChecked, "welded joints").what.contains("1.5 mm"));
    let newer = walls("1.5", "[strength]\nleast_wall = 1.5\n");
    assert!(!newer.findings.iter().any(|f| f.what.contains("welded joints")), "{:?}", newer.findings);
    assert!(load(end(&newer, "p1", "f1"), "pull").used().is_some());
    found(&walls("1.4", "[strength]\nleast_wall = 1.5\n"), Level::NotChecked, "welded joints");
}

/// Where no tube passes there is no formula, and yet a weld: of a corner in plain bending by hand.
#[test]
fn a_corner_has_a_weld_and_no_resistance() {
    let a = of(&format!(
        r#"[design]
name = "Corner"
{HEAD}
[point]
foot = [0, 500, 0]
corner = [0, 500, 600]
tip = [400, 500, 600]
[tube.post]
section = "small"
path = ["foot", "corner"]
[tube.arm]
section = "small"
path = ["corner", "tip"]
[load.down]
forces = [{{ at = "tip", force = [0, 0, -100] }}]
held = [{{ at = "foot", turns = true }}]
"#
    ));
    found(&a, Level::NotChecked, "no tube passes at corner");
    let fu = 470.0;
    let f = fu / (3f64.sqrt() * 0.9 * 1.25);
    let area = PI * 3.0 * 30.7;
    let sigma = 100.0 * 400.0 / modulus(33.7, 3.0);
    let arm = load(end(&a, "arm", "corner"), "down");
    near(arm.throat * 1e3, 3.0 * sigma.hypot(200.0 / area) / f, 1e-8);
    assert!(arm.force.abs() < 1e-6);
    let post = load(end(&a, "post", "corner"), "down");
    near(post.force, -100.0, 1e-9);
    near(post.throat * 1e3, 3.0 * (100.0 / area + sigma) / f, 1e-8);
}
