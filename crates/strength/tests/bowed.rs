//! What moves most may lie between joints; loads beside them; wheels that lift; collapse under loads along a tube.

use std::sync::Arc;

use shape::{Level, Shape};
use strength::{Answer, Depth, Profile, strength};

const TUBE: &str = r#"
[design]
name = "Sallow"
[material.s]
yield = 355
tensile = 510
[section.t]
shape = "round"
od = 40
wall = 2
material = "s"
[point]
a = [0, 0, 0]
b = [2000, 0, 0]
[tube.beam]
section = "t"
path = ["a", "b"]
"#;

const FIXED: &str = r#"held = [{ at = "a", turns = true }, { at = "b", along = "yz", turns = true }]"#;

fn of(text: &str) -> Shape {
    let design = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", text))).design;
    shape::resolve(Arc::new(design)).expect("a shape")
}

fn answer(body: &str, depth: Depth) -> Answer {
    strength(&of(&format!("{TUBE}{body}")), depth)
}

fn profile() -> Profile {
    let s = of(TUBE);
    let d = &s.design;
    Profile::new(&d.sections[0].shape, &d.materials[d.sections[0].material.0])
}

/// Textbook: a beam fixed at both ends sags by q L⁴/384EI, and by q L²/8GA' of shear; loaded at its middle's joint alone
/// it would be the node, here there is none.
#[test]
fn a_beam_between_two_joints_sags_in_its_middle() {
    let load = format!("[load.sag]\nspread = [{{ along = \"beam\", force = [0, 0, -2000] }}]\nmost = 1\n{FIXED}\n");
    let a = answer(&load, Depth::Live);
    let s = profile().section;
    let (q, l) = (1000.0, 2.0f64);
    let want = q * l.powi(4) / (384.0 * s.youngs * s.second[0]) + q * l * l / (8.0 * s.shear * s.shear_areas[0]);
    let moved = &a.cases[0].moved;
    assert!((moved.by.z + want).abs() < 1e-9 * want, "{} {want}", moved.by.z);
    assert_eq!(moved.name, "beam 1000 mm from its start");
    assert!(a.findings.iter().any(|f| f.level == Level::Mend && f.what.contains("moves over its limit")));
}

/// Textbook: couples M at both ends of a beam that may turn there bow it by M L²/8EI in its middle; shear adds nothing.
#[test]
fn a_beam_without_load_bows_between_ends_that_turn() {
    // An arm keeps it from spinning.
    let text = TUBE.replace("b = [2000, 0, 0]\n", "b = [2000, 0, 0]\nc = [0, 300, 0]\n");
    let body = "[tube.arm]\nsection = \"t\"\npath = [\"a\", \"c\"]\n[load.bow]\nforces = [{ at = \"a\", force = [0, 0, 0], moment = \
                [0, 100, 0] }, { at = \"b\", force = [0, 0, 0], moment = [0, -100, 0] }]\nheld = [{ at = \"a\" }, { at = \"b\", along \
                = \"yz\" }, { at = \"c\", along = \"z\" }]\n";
    let a = strength(&of(&(text + body)), Depth::Live);
    let s = profile().section;
    let want = 100.0 * 4.0 / (8.0 * s.youngs * s.second[0]);
    let moved = &a.cases[0].moved;
    assert!((moved.by.length() / want - 1.0).abs() < 1e-9, "{} {want}", moved.by);
    assert_eq!(moved.name, "beam 1000 mm from its start");
}

/// By statics, a beam on two supports with an even load q and a couple q L²/8 that helps it at one end has its largest
/// moment 25 q L²/128 at 5 L/8 from the other: between quarter points, at which it is 24 q L²/128.
#[test]
fn the_largest_moment_of_a_loaded_leg_is_found_between_its_quarter_points() {
    let text = TUBE.replace("b = [2000, 0, 0]\n", "b = [2000, 0, 0]\nc = [0, 300, 0]\n");
    for (sense, want, at) in [(-1.0, 25.0, 1.25), (1.0, 16.0, 2.0)] {
        let body = format!(
            "[tube.arm]\nsection = \"t\"\npath = [\"a\", \"c\"]\n[load.one]\nspread = [{{ along = \"beam\", force = [0, 0, -2000] \
             }}]\nforces = [{{ at = \"b\", force = [0, 0, 0], moment = [0, {}, 0] }}]\nheld = [{{ at = \"a\" }}, {{ at = \"b\", along = \
             \"yz\" }}, {{ at = \"c\", along = \"z\" }}]\n",
            sense * 500.0
        );
        let a = strength(&of(&(text.clone() + &body)), Depth::Live);
        let u = a.cases[0].used.iter().find(|u| u.tube == "beam").unwrap();
        let moment = want / 128.0 * 4000.0;
        assert!((u.stress.bending / moment - 1.0).abs() < 1e-4, "{} {moment}", u.stress.bending);
        assert!((u.station - at).abs() < 0.02, "{}", u.station);
    }
}

/// A force beside a joint turns it, however little it is off along the tube.
#[test]
fn a_force_beside_a_joint_has_its_moment() {
    let held = r#"held = [{ at = "a", turns = true }]"#;
    let text = TUBE.replace("b = [2000, 0, 0]\n", "b = [2000, 0, 0]\nbeside = [1999.8, 5, 15]\n");
    let body = format!(
        "[load.beside]\nforces = [{{ at = \"beside\", force = [1000, 200, 0] }}]\n{held}\n[load.at]\nforces = [{{ at = \"b\", force = \
         [1000, 200, 0], moment = [-3, 15, -5.04] }}]\n{held}\n"
    );
    let a = strength(&of(&(text + &body)), Depth::Live);
    let [x, y] = [&a.cases[0].moved.by, &a.cases[1].moved.by];
    assert!(x.distance(*y) < 1e-9 * y.length(), "{x} {y}");
}

fn gorse(g: &str) -> Answer {
    let text = include_str!("../../../examples/gorse.toml");
    let from = text.find("[load.corner]").expect("it has a corner");
    let to = from + text[from..].find("g = ").expect("it has a g");
    let end = to + text[to..].find('\n').expect("a line");
    let design = design::read(&format!("{}g = {g}{}", &text[..to], &text[end..])).expect("it reads").design;
    strength(&shape::resolve(Arc::new(design)).expect("a shape"), Depth::Live)
}

/// Newton: the tyres push with all that is on board, wheels too, times its acceleration; none pulls.
#[test]
fn tyres_push_with_all_that_is_on_board_and_never_pull() {
    let text = include_str!("../../../examples/gorse.toml");
    let shape = shape::resolve(Arc::new(design::read(text).expect("it reads").design)).expect("a shape");
    let laden = shape::mass::laden(&shape);
    // By stance it tips to the side at about 57 degrees: at 1.5 g an inner wheel is off the ground.
    let mut lifted = Vec::new();
    for side in [0.0, 0.8, 1.5, -1.5] {
        let a = gorse(&format!("[0, {side}, -1]"));
        let c = a.cases.iter().find(|c| c.name == "corner").unwrap_or_else(|| panic!("{:?}", a.without));
        let push: geometry::DVec3 = c.reactions.iter().map(|r| r.force).sum();
        let want = -geometry::DVec3::new(0.0, side, -1.0) * (laden.mass * strength::GRAVITY);
        assert!(push.distance(want) < 1e-6 * want.length(), "{push} {want}");
        assert!(c.reactions.iter().all(|r| r.force.z >= -1e-6), "{:?}", c.reactions);
        // About the centre of gravity nothing is left over.
        let turn: geometry::DVec3 = c.reactions.iter().map(|r| (r.at - laden.centre).cross(r.force)).sum();
        assert!(turn.length() < 1e-5 * want.length(), "{side}: {turn}");
        assert_eq!(c.lifted.is_empty(), !a.findings.iter().any(|f| f.what.contains("off the ground")));
        lifted.push(c.lifted.len());
    }
    assert_eq!((lifted[0], lifted[1]), (0, 0));
    // Past where it tips, 57 degrees to a side and 72 forward, nothing is told.
    for g in ["[0, 1.7, -1]", "[0, -1.7, -1]", "[0, 0, 1]", "[3.3, 0, -1]"] {
        let a = gorse(g);
        assert!(a.cases.iter().all(|c| c.name != "corner"));
        assert!(
            a.without.iter().any(|n| n.name == "corner" && n.why.contains("would have to pull")),
            "{:?}",
            a.without
        );
    }
}

/// Textbook: a beam fixed at both ends carries 16 M_p/L spread along it, one fixed at one end and propped 11.66 M_p/L.
#[test]
fn a_load_along_a_tube_collapses_it_where_the_plastic_theory_says() {
    let propped = r#"held = [{ at = "a", turns = true }, { at = "b", along = "yz" }]"#;
    let (od, bore) = (0.040f64, 0.036f64);
    let full = 355e6 * (od.powi(3) - bore.powi(3)) / 6.0;
    for (held, theory) in [(FIXED, 16.0), (propped, 11.656)] {
        let load = format!(
            "[load.push]\nspread = [{{ along = \"beam\", force = [0, 0, -2000] }}]\ncollapse = 70\nuse = 9\n{held}\n"
        );
        let a = answer(&load, Depth::Collapse);
        let x = a.cases[0].crushed.as_ref().expect("it was pushed");
        let part = x.peak[0] * 2000.0 / (theory * full / 2.0);
        assert!((part - 1.0).abs() < 0.015, "{theory}: {part}");
        assert!(x.told.starts_with("beam at "), "{}", x.told);
        // First yield: where the elastic use says, fibres lying in the wall's middle.
        let first = x.yields.as_ref().expect("it yields").factor * a.cases[0].used[0].stress.utilisation;
        assert!((0.99..1.08).contains(&first), "{first}");
    }
}

/// Euler: pushed along itself a perfect post goes past its buckling; that is said.
#[test]
fn a_perfect_post_pushed_past_its_buckling_is_not_told_as_strong() {
    let load = "[load.press]\nforces = [{ at = \"b\", force = [-1000, 0, 0] }]\nheld = [{ at = \"a\", turns = true }]\ncollapse = 20\nuse = 100\n";
    let a = answer(load, Depth::Collapse);
    let c = &a.cases[0];
    let s = profile().section;
    let euler = std::f64::consts::PI.powi(2) * s.youngs * s.second[0] / 16.0;
    assert!((c.buckling.as_ref().unwrap().factor * 1000.0 / euler - 1.0).abs() < 0.01);
    assert!(c.crushed.as_ref().unwrap().peak[0] > c.buckling.as_ref().unwrap().factor);
    assert!(a.findings.iter().any(|f| f.level == Level::NotChecked && f.what.contains("beyond its buckling")));
}

/// Pushed a little way, and all is elastic: it goes on, which is no collapse.
#[test]
fn a_short_push_is_no_collapse() {
    let held = r#"held = [{ at = "a", turns = true }]"#;
    let load =
        format!("[load.push]\nforces = [{{ at = \"b\", force = [0, 0, -300] }}]\ncollapse = 10\nuse = 9\n{held}\n");
    let a = answer(&load, Depth::Collapse);
    let x = a.cases[0].crushed.as_ref().unwrap();
    assert!(x.rising && x.whole && x.peak[0] < 1.0);
    assert!(!a.findings.iter().any(|f| f.what.contains("over what the frame carries")));
    assert!(a.findings.iter().any(|f| f.level == Level::NotChecked && f.what.contains("carried more and more")));
}
