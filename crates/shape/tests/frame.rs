//! Points, joints, contacts, and what is said about them.

mod common;

use common::{shape, try_shape};
use shape::{Level, Role};

const RAIL: &str = r#"
[point]
f = [1000, 300, 0]
r = [-1000, 300, 0]
on_rail = { on = "rail", x = -250 }
high = [-250, 300, 500]
[tube.rail]
section = "b"
path = ["f", "r"]
mirror = true
[tube.post]
section = "t"
path = ["on_rail", "high"]
mirror = true
"#;

#[test]
fn points_follow_the_tube_they_stand_on() {
    let s = shape(RAIL);
    let i = s.design.points.iter().position(|p| p.name == "on_rail").unwrap();
    assert!((s.places.own()[i] - geometry::DVec3::new(-0.25, 0.3, 0.0)).length() < 1e-12);
    let names: Vec<&str> = s.tubes.iter().map(|t| t.name.as_str()).collect();
    assert_eq!(names, ["rail", "rail~", "post", "post~"]);
}

#[test]
fn every_place_on_a_tube_can_be_said() {
    for (how, x) in [("at = 400", 0.6), ("at = -400", -0.6), ("part = 0.25", 0.5), ("x = 125", 0.125)] {
        let s = shape(&RAIL.replace("x = -250 }", &format!("{how} }}")).replace("high = [-250", "high = [0"));
        let i = s.design.points.iter().position(|p| p.name == "on_rail").unwrap();
        assert!((s.places.own()[i].x - x).abs() < 1e-12, "{how}: {}", s.places.own()[i]);
    }
    let s = shape(&RAIL.replace("x = -250 }", "x = -250, by = [0, 10, 40] }"));
    let i = s.design.points.iter().position(|p| p.name == "on_rail").unwrap();
    assert!((s.places.own()[i] - geometry::DVec3::new(-0.25, 0.31, 0.04)).length() < 1e-12);
}

#[test]
fn joints_know_who_passes_and_who_ends() {
    let s = shape(RAIL);
    let j = s.joints.iter().find(|j| j.name == "on_rail").unwrap();
    let roles: Vec<(usize, Role)> = j.members.iter().map(|m| (m.tube, m.role)).collect();
    assert_eq!(roles, [(0, Role::Through), (2, Role::Start)]);
    let twin = s.joints.iter().find(|j| j.name == "on_rail~").unwrap();
    let roles: Vec<(usize, Role)> = twin.members.iter().map(|m| (m.tube, m.role)).collect();
    assert_eq!(roles, [(1, Role::Through), (3, Role::Start)]);
    assert!((j.members[0].station - 1.25).abs() < 1e-12);
}

#[test]
fn an_end_inside_a_tube_is_joined_and_said_so() {
    // Typed coordinates instead of a point on the rail, and 5 mm off its axis.
    let s = shape(&RAIL.replace("on_rail = { on = \"rail\", x = -250 }", "on_rail = [-250, 305, 0]"));
    let j = s.joints.iter().find(|j| j.name == "on_rail").unwrap();
    assert!(j.members.iter().any(|m| m.found && m.role == Role::Through && (m.offset - 0.005).abs() < 1e-12));
    assert!(
        s.findings().iter().any(|f| f.level == Level::Note && f.what.contains("post ends within rail")),
        "{:?}",
        s.findings()
    );
}

#[test]
fn loose_ends_and_loose_pieces_are_named() {
    let s = shape(RAIL);
    let found = s.findings();
    assert!(found.iter().any(|f| f.what.starts_with("end of post meets nothing")), "{found:?}");
    // Two sides and nothing between them: one half hangs loose.
    let loose: Vec<_> = found.iter().filter(|f| f.level == Level::Mend).collect();
    assert_eq!(loose.len(), 1, "{found:?}");
    assert!(loose[0].what.contains("rail") && loose[0].what.contains("post"));
}

#[test]
fn tubes_that_cross_or_come_close_are_found() {
    let crossing = r#"
[point]
a = [0, -500, 0]
b = [0, 500, 0]
c = [-500, 0, 10]
d = [500, 0, 10]
[tube.one]
section = "t"
path = ["a", "b"]
[tube.two]
section = "t"
path = ["c", "d"]
"#;
    let found = shape(crossing).findings();
    assert!(found.iter().any(|f| f.level == Level::Mend && f.what == "two runs into one without a joint"), "{found:?}");
    let close = shape(&crossing.replace(" 10]", " 41.1]")).findings();
    let f = close.iter().find(|f| f.what.contains("come close")).unwrap();
    assert_eq!(f.level, Level::Look);
    let shape::Value::Length(d) = f.measured.unwrap() else { panic!() };
    assert!((d - 0.003).abs() < 1e-12, "41.1 between axes less 38.1: {d}");
    assert!(!shape(&crossing.replace(" 10]", " 45]")).findings().iter().any(|f| f.what.contains("close")));
}

#[test]
fn a_tube_through_a_person_a_wheel_or_an_engine_is_found() {
    let bodies = [
        ("[occupant.driver]\nhip = [0, 0, 0]\nstature = 1800\nkg = 80\n", "trunk of driver"),
        ("[wheel.front]\nat = [0, 0, 0]\nradius = 300\nwidth = 200\nkg = 20\n", "front"),
        ("[mass.engine]\nat = [0, 0, 0]\nkg = 60\nsize = [400, 300, 500]\n", "engine"),
    ];
    for (body, what) in bodies {
        let through = format!(
            "{body}[point]\na = [-60, -600, 200]\nb = [-60, 600, 200]\n[tube.x]\nsection = \"t\"\npath = [\"a\", \"b\"]\n"
        );
        let found = shape(&through).findings();
        assert!(found.iter().any(|f| f.level == Level::Mend && f.what.contains(what)), "{what}: {found:?}");
        let beside = through.replace("-60", "-900");
        assert!(!shape(&beside).findings().iter().any(|f| f.what.contains("runs through")), "{what}");
    }
}

#[test]
fn what_has_no_place_in_space_is_explained_with_its_line() {
    let bend = "[point]\na = [0, 0, 0]\nb = [100, 0, 0]\nc = [100, 400, 0]\n[tube.x]\nsection = \"t\"\npath = [\"a\", \"b\", \"c\"]\nbend_radius = 120\n";
    let e = try_shape(bend).unwrap_err();
    assert!(
        e.contains("do not fit between `a` and `b`") && e.contains("20 mm short") && e.contains("test.toml:"),
        "{e}"
    );
    let e = try_shape(&RAIL.replace("x = -250 }", "x = -2500 }")).unwrap_err();
    assert!(e.contains("does not cross x = -2500 mm"), "{e}");
    let e = try_shape(&RAIL.replace("x = -250 }", "at = 2400 }")).unwrap_err();
    assert!(e.contains("beyond the end of tube `rail`"), "{e}");
    let hoop = r#"
[point]
a = [0, 300, 0]
b = [0, 300, 900]
top = { on = "hoop", z = 500 }
[tube.hoop]
section = "t"
path = ["a", "b", "b~", "a~"]
bend_radius = 120
[tube.brace]
section = "t"
path = ["top", "far"]
"#;
    let hoop = hoop.replace("top = ", "far = [-900, 0, 0]\ntop = ");
    let e = try_shape(&hoop).unwrap_err();
    assert!(e.contains("crosses z = 500 mm 2 times") && e.contains("pick = 1"), "{e}");
    let s = shape(&hoop.replace("z = 500 }", "z = 500, pick = 2 }"));
    let j = s.joints.iter().find(|j| j.name == "top").unwrap();
    assert!((j.at - geometry::DVec3::new(0.0, -0.3, 0.5)).length() < 1e-12, "{:?}", j.at);
}

#[test]
fn the_datum_follows_the_tube() {
    let with = |datum: &str| {
        let text =
            format!("{}{RAIL}", common::HEAD).replace("name = \"Test\"", &format!("name = \"Test\"\ndatum = {datum}"));
        shape::resolve(std::sync::Arc::new(design::read(&text).unwrap().design)).unwrap().datum
    };
    assert!((with("{ under = \"rail\" }") + 0.04).abs() < 1e-12);
    assert!((with("{ over = \"rail\" }") - 0.04).abs() < 1e-12);
    assert_eq!(with("{ z = 25 }"), 0.025);
}

/// EN 1993-1-8, 5.1.5 (5), from memory: a quarter of the depth. A box is as deep as its side, not as its diagonal.
#[test]
fn eccentricity_is_held_against_the_depth_in_its_own_direction() {
    let s = shape(&RAIL.replace("x = -250 }", "x = -250, by = [0, 18, 0] }").replace("[-250, 300", "[-250, 318"));
    let findings = s.findings();
    let f =
        findings.iter().find(|f| f.what.contains("passes beside")).expect("18 mm is more than a quarter of the width");
    let width = match s.design.sections.iter().find(|x| x.name == "b").unwrap().shape {
        design::SectionShape::Box { width, .. } => width,
        design::SectionShape::Round { .. } => panic!("`b` is a box"),
    };
    let Some(shape::Value::Length(limit)) = f.limit else { panic!("it has a limit") };
    assert!((limit - width / 4.0).abs() < 1e-12, "{limit}");
}
