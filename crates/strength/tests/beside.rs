//! Places beside a joint, at one place along its tube: each is held where it is.

use std::sync::Arc;

use geometry::DVec3;
use strength::{Answer, Depth, build, strength};

const ARM: f64 = 0.015;

/// A bar along x with a tube across it at its start; `under` and `over` are off the joint's place there.
const BAR: &str = r#"
[design]
name = "Bar"
[section.t]
shape = "round"
od = 40
wall = 2
material = "E355+N"
[point]
a = [0, 0, 0]
b = [1000, 0, 0]
c = [0, 500, 0]
under = [0, 0, -15]
over = [0, 0, 15]
[tube.bar]
section = "t"
path = ["a", "b"]
[tube.cross]
section = "t"
path = ["a", "c"]
"#;

fn shape(more: &str) -> shape::Shape {
    let text = format!("{BAR}{more}");
    let design = design::read(&text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", &text))).design;
    shape::resolve(Arc::new(design)).expect("a shape")
}

fn answer(more: &str) -> Answer {
    strength(&shape(more), Depth::Live)
}

#[test]
fn a_support_beside_a_joint_has_its_lever() {
    let held = r#"held = [{ at = "under" }, { at = "b", along = "yz" }, { at = "c", along = "z" }]"#;
    let a = answer(&format!("[load.pull]\nforces = [{{ at = \"b\", force = [1000, 0, 0] }}]\n{held}\n"));
    let c = &a.cases[0];
    let at = |p: DVec3| c.reactions.iter().find(|r| r.at == p).unwrap_or_else(|| panic!("{:?}", c.reactions));
    // Six holds and no more. About the place under the joint, by equilibrium: R L = F e.
    let foot = at(DVec3::new(0.0, 0.0, -ARM));
    let far = at(DVec3::X);
    assert_eq!(foot.name, "under");
    assert!((far.force.z.abs() - 1000.0 * ARM).abs() < 1e-6, "{far:?}");
    assert!((foot.force - DVec3::new(-1000.0, 0.0, -far.force.z)).length() < 1e-6, "{foot:?}");
}

#[test]
fn an_added_tube_still_starts_at_the_joint() {
    let b = build(&shape(""), &[(DVec3::new(0.0, 0.0, -ARM), "under".to_owned())]);
    let n = b.asked[0].expect("it is on a tube");
    assert_eq!(b.of_joint[0], Some(n));
    assert_eq!((b.model.nodes[n], b.corners[n].0), (DVec3::new(0.0, 0.0, -ARM), DVec3::ZERO));
}

#[test]
fn two_places_side_by_side_are_not_held_in_silence() {
    let push = "forces = [{ at = \"b\", force = [0, 0, 10] }]";
    let text = format!("[load.two]\n{push}\nheld = [{{ at = \"under\" }}, {{ at = \"over\", turns = true }}]\n");
    let a = answer(&text);
    assert!(a.cases.is_empty());
    let why = &a.without[0].why;
    assert!(why.contains("over") && why.contains("under"), "{why}");
    assert!(a.findings.iter().any(|f| f.what.contains("points under and over are 30 mm apart")), "{:?}", a.findings);
    // A force there keeps its arm: about the fixed place, F by twice the arm.
    let a = answer(
        "[load.one]\nforces = [{ at = \"over\", force = [100, 0, 0] }]\nheld = [{ at = \"under\", turns = true }]\n",
    );
    let r = &a.cases[0].reactions[0];
    assert!((r.moment + DVec3::Y * (100.0 * 2.0 * ARM)).length() < 1e-6, "{r:?}");
}
