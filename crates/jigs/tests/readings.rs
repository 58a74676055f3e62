//! Readings: closed forms, mirrors, reversed tubes, inches, upright tubes.

mod common;

use common::{make, near, shape};
use design::TubeState;
use geometry::{DMat3, DVec3};
use jigs::setup::{Across, TubeSetup};
use jigs::world::Face;
use jigs::{Ask, World, jigs, setup};
use proptest::prelude::*;
use shape::End;

fn one(body: &str, world: Option<&World>) -> TubeSetup {
    setup::tubes(&shape(body), world, &[]).remove(0)
}

fn tube(section: &str, a: [f64; 3], b: [f64; 3], more: &str) -> String {
    format!("[point]\na = {a:?}\nb = {b:?}\n[tube.k]\nsection = \"{section}\"\npath = [\"a\", \"b\"]\n{more}\n")
}

#[test]
fn a_tube_up_by_three_in_four_reads_its_angle_and_depth() {
    let k = one(&tube("t", [0.0, 100.0, 50.0], [400.0, 100.0, 350.0], ""), None);
    let r = k.legs[0].square;
    near(r.along.rise, 0.75f64.atan(), 1e-12);
    assert_eq!(r.along.higher, Some(End::End));
    assert_eq!(r.across, Across::Round { scribe: 0.0 });
    let e = k.ends[1];
    near(e.axis.height, 0.35, 1e-12);
    near(e.underside.unwrap().height, 0.35 - 0.02 * 1.25, 1e-12);
    near(k.ends[0].top.unwrap().height, 0.05 + 0.02 * 1.25, 1e-12);
    // Straight above the upper end, and straight below the lower one, there is no tube any more.
    assert_eq!((e.top, k.ends[0].underside), (None, None));
    near(e.axis.y, 0.1, 1e-12);
}

#[test]
fn a_rolled_box_reads_its_roll_clockwise_from_its_start() {
    let k = one(&tube("b", [0.0, 0.0, 0.0], [900.0, 0.0, 0.0], "roll = 12"), None);
    let Across::Box { face, roll, slope } = k.legs[0].square.across else { panic!("a box") };
    assert_eq!(face, Face::Scribe);
    near(roll, 12f64.to_radians(), 1e-12);
    near(slope, 12f64.to_radians(), 1e-12);
    // Turned by 80 degrees clockwise its left face is on top, 10 degrees the other way.
    let k = one(&tube("b", [0.0, 0.0, 0.0], [900.0, 0.0, 0.0], "roll = 80"), None);
    let Across::Box { face, roll, .. } = k.legs[0].square.across else { panic!("a box") };
    assert_eq!(face, Face::Left);
    near(roll, -10f64.to_radians(), 1e-12);
}

#[test]
fn an_upright_tube_has_no_roll_but_faces_somewhere() {
    let k = one(&tube("t", [0.0, 0.0, 0.0], [0.0, 0.0, 500.0], ""), None);
    assert_eq!(k.legs[0].square.across, Across::Upright { facing: 0.0 });
    assert_eq!((k.ends[0].top, k.ends[0].underside), (None, None));
    let k = one(&tube("b", [0.0, 0.0, 0.0], [0.0, 0.0, 500.0], "roll = 30"), None);
    let Across::Upright { facing } = k.legs[0].square.across else { panic!("upright") };
    near(facing, 30f64.to_radians(), 1e-12);
}

#[test]
fn a_frame_held_nose_down_reads_so() {
    // About y, right-handed: the nose goes down.
    let w = World::tilted(DMat3::from_rotation_y(0.1), Some(-0.5));
    let k = one(&tube("t", [0.0, 0.0, 0.0], [900.0, 0.0, 0.0], ""), Some(&w));
    near(k.legs[0].square.along.rise, 0.0, 1e-15);
    near(k.legs[0].plumb.unwrap().along.rise, -0.1, 1e-12);
    near(k.ends[0].axis.over_floor.unwrap(), 0.5, 1e-12);
    near(k.ends[1].axis.over_floor.unwrap(), 0.5 - 0.9 * 0.1f64.sin(), 1e-12);
}

#[test]
fn touch_places_move_back_to_the_short_point() {
    let s = shape(&tube("t", [0.0, 0.0, 0.0], [800.0, 0.0, 600.0], ""));
    let cut = [setup::CutBack { tube: 0, end: End::End, by: 0.05 }];
    let e = setup::tubes(&s, None, &cut)[0].ends[1];
    near(e.axis.x, 0.8, 1e-12);
    near(e.underside.unwrap().x, 0.76, 1e-12);
    near(e.underside.unwrap().height, 0.57 - 0.025, 1e-12);
    assert_eq!(e.top, None);
}

#[test]
fn a_touch_place_beyond_the_cut_is_told_only_where_the_cut_is_as_high() {
    // 40 mm tube 900 mm long: its top lies 20 mm / cos over the axis, 20 tan (slope) farther along.
    let ends = |rise: f64| {
        let k = one(&tube("t", [0.0, 0.0, 0.0], [900.0, 0.0, rise], ""), None);
        (k.ends[0].underside.is_some(), k.ends[1].top.is_some(), k.ends[0].top.is_some(), k.ends[1].underside.is_some())
    };
    // 20 mm sin² / cos of the slope: 0.08 mm at 57 in 900, 0.12 mm at 70.
    assert_eq!(ends(57.0), (true, true, true, true));
    assert_eq!(ends(70.0), (false, false, true, true));
    // A short one has no tube above its lower end either.
    let k = one(&tube("t", [0.0, 0.0, 0.0], [6.0, 0.0, 20.0], ""), None);
    assert_eq!(k.ends.map(|e| (e.top, e.underside)), [(None, None); 2]);
}

const CORNER: &str = r#"
[point]
a = [0, 0, 0]
b = [1000, 0, 0]
c = [500, 0, 0]
d = [800, 0, 519.6152422706632]
e = [1400, 0, 400]
[tube.rail]
section = "b"
path = ["a", "b"]
[tube.strut]
section = "t"
path = ["c", "d"]
[tube.tail]
section = "t"
path = ["b", "e"]
"#;

#[test]
fn a_bevel_tells_the_acute_angle_and_the_side() {
    let all = setup::bevels(&shape(CORNER));
    let strut = all.iter().find(|b| b.tube == "strut" && b.joint == "c").unwrap();
    near(strut.acute, 60f64.to_radians(), 1e-12);
    near(strut.supplement, 120f64.to_radians(), 1e-12);
    assert_eq!((strut.toward, strut.end), (Some(End::End), Some(End::Start)));
    let tail = all.iter().find(|b| b.tube == "tail" && b.other == "rail").unwrap();
    near(tail.acute, 45f64.to_radians(), 1e-12);
    near(tail.inside, 135f64.to_radians(), 1e-12);
    assert!(tail.apart < 1e-12);
}

const BAY: &str = r#"
[point]
a = [OD0, OD300, OD0]
b = [OD900, OD300, OD0]
[tube.rail]
section = "t"
path = ["a", "b"]
mirror = true
[tube.rear]
section = "t"
path = ["a", "a~"]
[tube.front]
section = "t"
path = ["b", "b~"]
[tube.hold]
section = "t"
path = ["a", "b~"]
temporary = true
"#;

#[test]
fn a_bay_has_two_equal_diagonals_and_a_brace_to_cut_out() {
    let s = shape(BAY);
    let a = jigs(&s, &Ask::default(), |l| 0.001 * l);
    assert_eq!(a.panels.len(), 1);
    let p = &a.panels[0];
    assert_eq!((p.corners.len(), p.diagonals.len()), (4, 2));
    for d in &p.diagonals {
        near(d.centres, 0.9f64.hypot(0.6), 1e-12);
        near(d.marks, d.centres, 1e-12);
        near(d.over[0], 0.02, 1e-12);
    }
    near(p.difference.unwrap(), 0.0, 1e-12);
    near(p.difference_tolerance.unwrap(), 0.002 * 0.9f64.hypot(0.6), 1e-12);
    assert!(p.normal.z > 0.999);
    let t = &a.temporary[0];
    assert_eq!((t.tube.as_str(), t.way, t.after.as_str()), ("hold", "length", "front"));
    near(t.holds, 0.9f64.hypot(0.6), 1e-12);
    assert_eq!(t.on[0], ["rail", "rear"]);
    // A brace that stays makes two triangles, which can't rack.
    let stays = BAY.replace("temporary = true", "");
    assert!(jigs(&shape(&stays), &Ask::default(), |_| 0.0).panels.is_empty());
}

#[test]
fn inches_and_millimetres_give_the_same() {
    let (a, b) = (make("mm", BAY, 1.0), make("in", BAY, 25.4));
    let (x, y) = (jigs(&a, &Ask::default(), |l| l), jigs(&b, &Ask::default(), |l| l));
    for (p, q) in x.tubes.iter().zip(&y.tubes) {
        assert_eq!(p.name, q.name);
        for (e, f) in p.ends.iter().zip(&q.ends) {
            near(e.axis.x, f.axis.x, 1e-12);
            near(e.top.unwrap().height, f.top.unwrap().height, 1e-12);
        }
        near(p.legs[0].square.along.rise, q.legs[0].square.along.rise, 1e-12);
    }
    near(x.panels[0].diagonals[0].marks, y.panels[0].diagonals[0].marks, 1e-12);
}

#[test]
fn panels_of_a_ladder_are_its_bays_only() {
    let mut body = String::from("[point]\na = [0, 300, 0]\nb = [3000, 300, 0]\n");
    for i in 1..6 {
        body += &format!("p{i} = {{ on = \"rail\", x = {} }}\n", i * 500);
    }
    body += "[tube.rail]\nsection = \"b\"\npath = [\"a\", \"b\"]\nmirror = true\n";
    for i in 1..6 {
        body += &format!("[tube.rung{i}]\nsection = \"t\"\npath = [\"p{i}\", \"p{i}~\"]\n");
    }
    let a = jigs(&shape(&body), &Ask::default(), |_| 0.0);
    assert_eq!(a.panels.len(), 4);
    assert!(a.panels.iter().all(|p| p.corners.len() == 4 && p.difference == Some(0.0)));
    // The rail is deeper than the rung, and the mark is on whichever stands out.
    assert!(a.panels.iter().all(|p| p.diagonals.iter().all(|d| (d.over[0] - 0.04).abs() < 1e-12)));
    assert!(shape(&body).tubes.iter().all(|t| t.state == TubeState::Permanent));
}

fn across(a: Across) -> (f64, Option<Face>) {
    match a {
        Across::Box { face, roll, .. } => (roll, Some(face)),
        Across::Round { scribe } => (scribe, None),
        Across::Upright { facing } => (facing, None),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn a_twin_reads_the_same_along_and_the_opposite_across(
        x in -0.9f64..0.9, y in -0.5f64..0.5, z in -0.7f64..0.7, roll in -40.0f64..40.0, boxed: bool, nose in -0.2f64..0.2,
    ) {
        let more = if boxed { format!("roll = {roll}\nmirror = true") } else { "mirror = true".into() };
        let b = [x * 1000.0 + 5.0, 700.0 + y * 1000.0, z * 1000.0];
        let s = shape(&tube(if boxed { "b" } else { "t" }, [0.0, 700.0, 0.0], b, &more));
        // A tilt that is its own mirror image.
        let w = World::tilted(DMat3::from_rotation_y(nose), None);
        let all = setup::tubes(&s, Some(&w), &[]);
        let (a, b) = (&all[0], &all[1]);
        for (p, q) in [(a.legs[0].square, b.legs[0].square), (a.legs[0].plumb.unwrap(), b.legs[0].plumb.unwrap())] {
            prop_assert!((p.along.rise - q.along.rise).abs() < 1e-12);
            let ((r, f), (t, g)) = (across(p.across), across(q.across));
            prop_assert!((r + t).abs() < 1e-12, "{r} and {t}");
            let mirrored = f.map(|f| match f { Face::Left => Face::Right, Face::Right => Face::Left, f => f });
            prop_assert_eq!(mirrored, g);
        }
        for k in 0..2 {
            prop_assert!((a.ends[k].axis.y + b.ends[k].axis.y).abs() < 1e-12);
            prop_assert_eq!(a.ends[k].axis.height, b.ends[k].axis.height);
        }
    }

    #[test]
    fn a_tube_drawn_from_its_other_end_reads_the_opposite(
        x in 0.1f64..0.9, y in -0.5f64..0.5, z in -0.7f64..0.7, roll in -40.0f64..40.0, tilt in -0.2f64..0.2,
    ) {
        let b = [x * 1000.0, y * 1000.0, z * 1000.0];
        let w = World::tilted(DMat3::from_rotation_x(tilt), None);
        let p = one(&tube("b", [0.0; 3], b, &format!("roll = {roll}")), Some(&w));
        let q = one(&tube("b", b, [0.0; 3], &format!("roll = {}", -roll)), Some(&w));
        let (m, n) = (p.legs[0].plumb.unwrap(), q.legs[0].plumb.unwrap());
        prop_assert!((m.along.rise + n.along.rise).abs() < 1e-12);
        let ((r, f), (t, g)) = (across(m.across), across(n.across));
        prop_assert!((r + t).abs() < 1e-12);
        let seen = f.map(|f| match f { Face::Left => Face::Right, Face::Right => Face::Left, f => f });
        prop_assert_eq!(seen, g);
        let height = |s: Option<setup::Spot>| s.map(|s| s.height);
        match (height(p.ends[0].top), height(q.ends[1].top)) {
            (Some(a), Some(b)) => prop_assert!((a - b).abs() < 1e-12),
            (a, b) => prop_assert_eq!(a, b),
        }
    }

    #[test]
    fn readings_put_the_section_back_where_it_was(
        x in 0.1f64..0.9, y in -0.5f64..0.5, z in -0.7f64..0.7, roll in -180.0f64..180.0,
    ) {
        // From the rise and the roll alone the face's normal is found again.
        let s = shape(&tube("b", [0.0; 3], [x * 1000.0, y * 1000.0, z * 1000.0], &format!("roll = {roll}")));
        let f = s.tubes[0].frames[0];
        let r = setup::tubes(&s, None, &[])[0].legs[0].square;
        let (turn, face) = across(r.across);
        let top = (DVec3::Z - f.t * f.t.z).normalize();
        let m = top * turn.cos() + f.t.cross(top) * turn.sin();
        let want = face.unwrap().of(&f, 0.0, 0.0).0;
        prop_assert!(m.distance(want) < 1e-9, "{m} is not {want}");
        prop_assert!((r.along.rise.sin() - f.t.z).abs() < 1e-12);
        prop_assert!(turn.abs() <= std::f64::consts::FRAC_PI_4 + 1e-9);
    }
}
