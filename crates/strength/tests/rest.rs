//! The car lying where it touches, against statics by hand.

use std::sync::Arc;

use geometry::DVec3;
use strength::{Answer, Depth, GRAVITY, Lying, Touch, lying};

/// Two rails of three metres with three cross tubes, and a mass between the second and the third.
fn ladder(more: &str, mass: [f64; 3]) -> String {
    let [x, y, z] = mass;
    format!(
        r#"
[design]
name = "Ladder"
[section.t]
shape = "round"
od = 40
wall = 3
material = "E355+N"
[section.b]
shape = "box"
width = 40
height = 40
wall = 3
material = "E355+N"
[point]
a = [0, 500, 0]
b = [1000, 500, 0]
c = [2000, 500, 0]
p = {{ on = "rail", x = 1500 }}
[tube.rail]
section = "b"
path = ["a", "c"]
mirror = true
[tube.one]
section = "t"
path = ["a", "a~"]
[tube.two]
section = "t"
path = ["b", "b~"]
[tube.three]
section = "t"
path = ["c", "c~"]
[mass.block]
at = [{x}, {y}, {z}]
kg = 1000
[mount.block]
of = "block"
at = ["p", "p~"]
[strength]
rest = 1.5
{more}
"#
    )
}

fn answer(text: &str, list: &[Lying]) -> Answer {
    let design = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", text))).design;
    lying(&shape::resolve(Arc::new(design)).expect("a shape"), Depth::Live, list)
}

fn on(places: &[(&str, [f64; 3])]) -> Lying {
    Lying {
        words: "on its rails".to_owned(),
        down: -DVec3::Z,
        touches: places.iter().map(|(b, p)| Touch { body: (*b).to_owned(), at: DVec3::from_array(*p) }).collect(),
    }
}

/// Pushes on a tube, N.
fn pushes(a: &Answer, tube: &str) -> Vec<f64> {
    assert!(a.without.is_empty(), "{:?}", a.without);
    a.cases[0].reactions.iter().filter(|r| r.name == tube).map(|r| r.force.z).collect()
}

const BLOCK: f64 = 1.5 * 1000.0 * GRAVITY;

fn close(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-7 * b.abs().max(1.0), "{a} {b}");
}

#[test]
fn a_place_that_lifts_is_let_go() {
    let six: Vec<(&str, [f64; 3])> = [("rail", 0.5), ("rail~", -0.5)]
        .iter()
        .flat_map(|&(t, y)| [0.0, 1.0, 2.0].map(|x| (t, [x, y, -0.02])))
        .collect();
    let a = answer(&ladder("", [1500.0, 0.0, 200.0]), &[on(&six)]);
    // A beam on three places with its load in the second stretch lifts off the first. Then, about the middle one: half the
    // block's weight at the last; the tubes balance there.
    let (left, right) = (pushes(&a, "rail"), pushes(&a, "rail~"));
    assert_eq!((left.len(), right.len()), (2, 2));
    close(left[1], BLOCK / 4.0);
    close(right[1], BLOCK / 4.0);
    assert!(left[0] > left[1]);
    let c = &a.cases[0];
    assert_eq!((c.name.as_str(), c.source.as_str()), ("at rest on its rails", "strength.rest"));
    assert!(c.residual < 1e-9);
    // Ways are against the ground: a touching place does not go down or up, the end that lifts goes up.
    let z = |n: &str| c.motions[a.nodes.iter().position(|x| x.0 == n).expect("a node")][2];
    let up = a.nodes.iter().zip(&c.motions).map(|(n, m)| (n.1.x, m[2]));
    for (x, z) in up {
        if x == 1.0 {
            continue;
        }
        assert!(x > 1.0 || z > 0.0, "{x} {z}");
    }
    let middle = a.nodes.iter().find(|n| n.1 == DVec3::new(1.0, 0.5, 0.0)).expect("a node");
    assert!(z(&middle.0).abs() < 1e-12);
}

#[test]
fn touching_beside_the_axis_is_a_lever() {
    // On the left at the outer corner, on the right at the inner one: the block's line is 520 and 480 from them.
    let four = [
        ("rail", [0.5, 0.52, -0.02]),
        ("rail", [2.0, 0.52, -0.02]),
        ("rail~", [0.5, -0.48, -0.02]),
        ("rail~", [2.0, -0.48, -0.02]),
    ];
    let a = answer(&ladder("", [1250.0, 0.0, 200.0]), &[on(&four)]);
    let (left, right): (f64, f64) = (pushes(&a, "rail").iter().sum(), pushes(&a, "rail~").iter().sum());
    close(left / (left + right), 0.48);
    // Mirrored: the design is its own mirror image, so what was left is right.
    let twin: Vec<(&str, [f64; 3])> =
        four.iter().map(|&(t, [x, y, z])| (if t == "rail" { "rail~" } else { "rail" }, [x, -y, z])).collect();
    let b = answer(&ladder("", [1250.0, 0.0, 200.0]), &[on(&twin)]);
    close(pushes(&b, "rail~").iter().sum(), left);
    close(a.cases[0].moved.by.length(), b.cases[0].moved.by.length());
    // Rails drawn the other way round.
    let text = ladder("", [1250.0, 0.0, 200.0]).replace("path = [\"a\", \"c\"]", "path = [\"c\", \"a\"]");
    close(answer(&text, &[on(&four)]).cases[0].moved.by.length(), a.cases[0].moved.by.length());
}

#[test]
fn what_can_not_be_told_is_told() {
    let why = |l: Lying, words: &str| {
        let a = answer(&ladder("", [1500.0, 0.0, 200.0]), &[l]);
        assert!(a.cases.is_empty() && a.without.len() == 1);
        assert!(a.without[0].why.contains(words), "{:?}", a.without);
        assert!(a.findings.iter().any(|f| f.what.contains("at rest on its rails is not checked")), "{:?}", a.findings);
    };
    why(on(&[]), "nothing touches the ground");
    why(on(&[("bonnet", [1.0, 0.0, 0.0])]), "it rests on bonnet, which is no part of the frame");
    let three = [("rail", [0.0, 0.5, -0.02]), ("rail~", [0.0, -0.5, -0.02]), ("rail", [0.2, 0.5, -0.02])];
    why(on(&three), "its weight on the frame is not over the places it rests on");
    why(on(&three[..2]), "its weight on the frame is not over the places it rests on");
}

#[test]
fn two_attitudes_of_one_name_are_told_apart() {
    let four = [("rail", [0.0, 0.5, -0.02]), ("rail", [2.0, 0.5, -0.02]), ("rail~", [1.0, -0.5, -0.02])];
    let a = answer(&ladder("", [1000.0, 0.0, 200.0]), &[on(&four), on(&four)]);
    let names: Vec<&str> = a.cases.iter().map(|c| c.name.as_str()).collect();
    assert_eq!(names, ["at rest on its rails", "at rest on its rails (2)"]);
}

/// The ladder on six legs, of which three touch: two on one side, the middle one on the other.
fn three(side: f64) -> Lying {
    let [near, far] = if side > 0.0 { ["", "~"] } else { ["~", ""] };
    let names = [format!("leg1{near}"), format!("leg2{near}"), format!("leg3{far}")];
    on(&[
        (&names[0], [0.1, 0.5 * side, -0.4]),
        (&names[1], [1.9, 0.5 * side, -0.4]),
        (&names[2], [1.0, -0.5 * side, -0.4]),
    ])
}

fn on_legs(more: &str) -> String {
    let mut points = String::new();
    let mut tubes = String::new();
    for (k, x) in [(1, 100), (2, 1900), (3, 1000)] {
        points += &format!("h{k} = {{ on = \"rail\", x = {x} }}\nl{k} = [{x}, 500, -400]\n");
        tubes += &format!("[tube.leg{k}]\nsection = \"t\"\npath = [\"h{k}\", \"l{k}\"]\nmirror = true\n");
    }
    let text = ladder(&format!("{tubes}{more}"), [1200.0, 0.0, 200.0]);
    text.replace("[tube.rail]", &format!("{points}[tube.rail]"))
}

fn buckles(text: &str, list: &[Lying]) -> Vec<f64> {
    let design = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", text))).design;
    let a = lying(&shape::resolve(Arc::new(design)).expect("a shape"), Depth::Full, list);
    assert!(a.without.is_empty(), "{:?}", a.without);
    a.cases.iter().map(|c| c.buckling.as_ref().expect("it buckles").factor).collect()
}

#[test]
fn mirrored_attitudes_buckle_alike_and_as_on_plain_supports() {
    let all = buckles(&on_legs(""), &[three(1.0), three(-1.0)]);
    assert!((all[0] / all[1] - 1.0).abs() < 1e-6, "{all:?}");
    // The same under the same weight, with supports that hold what the ground does: its height at the three places, and no more
    // along the ground than stops it.
    let held = r#"
[load.still]
g = [0, 0, -1.5]
held = [{ at = "l1" }, { at = "l2", along = "yz" }, { at = "l3~", along = "z" }]
"#;
    let plain = buckles(&on_legs(held), &[]);
    assert!((plain[0] / all[0] - 1.0).abs() < 1e-6, "{plain:?} {all:?}");
}

#[test]
fn ways_along_the_ground_are_those_of_the_places_it_rests_on() {
    let a = answer(&on_legs(""), &[three(1.0), three(-1.0)]);
    let [left, right] = [&a.cases[0].moved, &a.cases[1].moved];
    let mirrored = DVec3::new(right.by.x, -right.by.y, right.by.z);
    assert!((left.by - mirrored).length() < 1e-9 * left.by.length(), "{left:?} {right:?}");
}
