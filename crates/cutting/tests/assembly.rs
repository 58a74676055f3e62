//! What can be put in, by cases that a person can see.

mod common;

use common::{cut, head};
use cutting::assembly::{Insertion, Last, Remedy, Turn, insertions};
use geometry::DVec3;
use shape::End;

/// Two rails along x, 600 apart, a cross tube coped between them, and what more is said. `order` puts the cross first
/// or last.
fn rails(more_points: &str, before: &str, after: &str, host: f64, branch: f64) -> Vec<Insertion> {
    let text = format!(
        r#"{}
[point]
a = [-600, 300, 0]
b = [600, 300, 0]
p = {{ on = "rail", x = 100 }}
{more_points}
[tube.rail]
section = "h"
path = ["a", "b"]
mirror = true
{before}
[tube.cross]
section = "b"
path = ["p", "p~"]
{after}
"#,
        head(host, branch, 2.0)
    );
    let (shape, cutting) = cut(&text);
    insertions(&shape, &cutting)
}

fn of<'a>(list: &'a [Insertion], name: &str) -> &'a Insertion {
    list.iter().find(|i| i.piece == name).expect("listed")
}

/// Full copes on both rails: nothing but a slide along them.
#[test]
fn like_tubes_between_rails_slide_along_them() {
    let list = rails("", "", "", 40.0, 40.0);
    for name in ["rail", "rail~"] {
        assert!(of(&list, name).way.is_some());
    }
    let way = of(&list, "cross").way.as_ref().expect("it slides in");
    assert!(way.from.cross(DVec3::X).length() < 5e-3, "{way:?}");
    assert_eq!(way.margin, 0.0);
}

/// Thinner tube wraps less, but the crowns hold it square and the ears from above: still along the rails only.
#[test]
fn coped_tubes_do_not_drop_between_parallel_rails() {
    let way = of(&rails("", "", "", 60.0, 20.0), "cross").way.clone().expect("it slides in");
    assert!(way.from.cross(DVec3::X).length() < 1e-2, "{way:?}");
}

/// Stops across the rails on both sides of it: it must go in before the later of them.
#[test]
fn between_stops_it_must_go_in_earlier() {
    let points = "q = { on = \"rail\", x = -200 }\nr = { on = \"rail\", x = 400 }";
    let stop = |n: &str, p: &str| format!("[tube.{n}]\nsection = \"b\"\npath = [\"{p}\", \"{p}~\"]\n");
    let list = rails(points, &(stop("front", "r") + &stop("rear", "q")), "", 40.0, 38.0);
    assert!(of(&list, "front").way.is_some() && of(&list, "rear").way.is_some());
    let cross = of(&list, "cross");
    assert!(cross.way.is_none(), "{cross:?}");
    assert_eq!(cross.blocked_by.len(), 1);
    let earlier = cross.remedies.iter().find_map(|r| match r {
        Remedy::Earlier { before, blocks, .. } => Some((before.as_str(), blocks.len())),
        _ => None,
    });
    assert_eq!(earlier, Some(("rear", 0)), "{:?}", cross.remedies);
    assert!(!cross.remedies.contains(&Remedy::TwoParts));
    // With the cross before them, all go in.
    let list = rails(points, "", &(stop("front", "r") + &stop("rear", "q")), 40.0, 38.0);
    assert!(list.iter().all(|i| i.way.is_some()), "{list:#?}");
}

/// A post on a rail comes from nearly everywhere above it.
#[test]
fn a_post_with_one_foot_has_a_wide_margin() {
    let list =
        rails("top = [100, 300, 400]", "", "[tube.post]\nsection = \"b\"\npath = [\"p\", \"top\"]\n", 40.0, 20.0);
    let way = of(&list, "post").way.as_ref().expect("it goes in");
    assert!(way.margin >= 10f64.to_radians() && way.from.z > 0.8, "{way:?}");
}

/// Mirrored frames have mirrored answers: the same pieces go in, with the same margins.
#[test]
fn a_mirrored_frame_goes_in_alike() {
    let points = "q = { on = \"rail\", x = -200 }\ns = { on = \"rail~\", x = 350 }";
    let brace = |from: &str, to: &str| format!("[tube.brace]\nsection = \"b\"\npath = [\"{from}\", \"{to}\"]\n");
    let a = rails(points, "", &brace("q", "s"), 40.0, 25.0);
    let points = "q = { on = \"rail~\", x = -200 }\ns = { on = \"rail\", x = 350 }";
    let b = rails(points, "", &brace("q", "s"), 40.0, 25.0);
    let (a, b) = (of(&a, "brace"), of(&b, "brace"));
    assert_eq!(a.way.is_some(), b.way.is_some());
    if let (Some(a), Some(b)) = (&a.way, &b.way) {
        assert_eq!(a.margin, b.margin);
    }
}

/// A tube mitred to one that stands leaves along the mitre's plane or away from it, never through it.
#[test]
fn a_mitre_holds_on_one_side() {
    let text = format!(
        "{}[point]\na = [-600, 0, 0]\nb = [0, 0, 0]\nc = [0, 500, 0]\n[tube.one]\nsection = \"r\"\npath = [\"a\", \"b\"]\n[tube.two]\nsection = \"r\"\npath = [\"b\", \"c\"]\n",
        head(40.0, 20.0, 2.0)
    );
    let (shape, cutting) = cut(&text);
    let list = insertions(&shape, &cutting);
    let way = of(&list, "two").way.as_ref().expect("it goes in");
    // The plane halves the corner; the second tube lies on its far side.
    let away = DVec3::new(1.0, 1.0, 0.0).normalize();
    assert!(way.from.dot(away) > way.margin.sin() - 1e-2, "{way:?}");
    assert!(of(&list, "two").overlaps.is_empty());
}

/// A beam along x, one along y over it by `rise`, both of 40 mm, and a post of a size between them; `side` is 1, or -1 for
/// the mirror image; `flip` draws the post from its top; guards are upright
/// tubes that touch nothing.
fn crossed(side: f64, rise: f64, post: f64, flip: bool, guards: &[DVec3]) -> Vec<Insertion> {
    let points: String =
        (0..).zip(guards).map(|(k, g)| format!("g{k} = [{0}, {1}, 150]\nh{k} = [{0}, {1}, 850]\n", g.x, g.y)).collect();
    let tubes: String = (0..guards.len())
        .map(|k| format!("[tube.guard_{k}]\nsection = \"b\"\npath = [\"g{k}\", \"h{k}\"]\n"))
        .collect();
    let path = if flip { "[\"u\", \"l\"]" } else { "[\"l\", \"u\"]" };
    let text = format!(
        r#"{}
[point]
a = [-600, {y}, 100]
b = [600, {y}, 100]
c = [50, {y0}, {z}]
d = [50, {y1}, {z}]
l = {{ on = "lower", x = 50 }}
u = {{ on = "upper", y = {y} }}
{points}
[tube.lower]
section = "h"
path = ["a", "b"]
[tube.upper]
section = "h"
path = ["c", "d"]
{tubes}
[tube.post]
section = "b"
path = {path}
"#,
        head(40.0, post, 2.0),
        y = side * 300.0,
        y0 = side * 900.0,
        y1 = side * -300.0,
        z = 100.0 + rise,
    );
    let (shape, cutting) = cut(&text);
    insertions(&shape, &cutting)
}

fn swing(i: &Insertion) -> (End, &str, &Turn, DVec3) {
    match i.way.as_ref().and_then(|w| w.last.as_ref()) {
        Some(Last::Swing { end, on, turn, from }) => (*end, on, turn, *from),
        _ => panic!("no swing: {i:?}"),
    }
}

/// Both copes are seated on tubes that cross: no straight line leaves both. Laid on one, it swings along the other.
#[test]
fn a_post_between_crossed_beams_swings_in() {
    let list = crossed(1.0, 800.0, 20.0, false, &[]);
    let (end, on, turn, from) = swing(of(&list, "post"));
    let (along, other) = if on == "lower" { (DVec3::X, DVec3::Y) } else { (DVec3::Y, DVec3::X) };
    assert_eq!(end, if on == "lower" { End::Start } else { End::End });
    assert!(turn.axis.cross(along).length() < 1e-9 && from.cross(other).length() < 1e-9, "{turn:?} {from:?}");
    assert_eq!(turn.slide, 0.0);
    assert!(turn.angle > 0.0 && turn.angle < 0.3, "{turn:?}");
}

/// As thick as the beams, and short: laid on one, the cope's far lips dig in by r²/2L at the other, 0.7 mm, before they are
/// past. With that much play it swings in.
#[test]
fn a_short_thick_post_needs_play() {
    let list = crossed(1.0, 300.0, 40.0, false, &[]);
    let post = of(&list, "post");
    assert!(post.way.is_none(), "{post:?}");
    let Some(Remedy::Play { play, way }) = post.remedies.first() else { panic!("{:?}", post.remedies) };
    assert!(matches!(way.last, Some(Last::Swing { .. })) && *play <= 1e-3, "{play} {way:?}");
    assert_eq!(post.remedies.len(), 1, "play within the limit is enough");
}

/// Mirror images go in by mirrored ways.
#[test]
fn mirrored_swings_are_mirrored() {
    let (a, b) = (crossed(1.0, 800.0, 20.0, false, &[]), crossed(-1.0, 800.0, 20.0, false, &[]));
    let image = |d: DVec3| DVec3::new(d.x, -d.y, d.z);
    let (p, q) = (of(&a, "post"), of(&b, "post"));
    let ((end, on, turn, from), (end2, on2, turn2, from2)) = (swing(p), swing(q));
    assert_eq!((end, on, turn.angle, turn.slide), (end2, on2, turn2.angle, -turn2.slide));
    // An axis is mirrored with its sense: what was right-handed is left-handed.
    assert!((image(turn.axis) + turn2.axis).length() < 1e-9 && (image(turn.at) - turn2.at).length() < 1e-9);
    assert!((image(from) - from2).length() < 1e-9, "{from} {from2}");
    let (w, v) = (p.way.as_ref().expect("a way"), q.way.as_ref().expect("a way"));
    assert!((image(w.from) - v.from).length() < 1e-9 && w.margin == v.margin, "{w:?} {v:?}");
}

/// Which end a tube is drawn from changes the end's name, and not what is done.
#[test]
fn a_reversed_tube_swings_alike() {
    let (a, b) = (crossed(1.0, 800.0, 20.0, false, &[]), crossed(1.0, 800.0, 20.0, true, &[]));
    let ((end, on, turn, from), (end2, on2, turn2, from2)) = (swing(of(&a, "post")), swing(of(&b, "post")));
    assert_eq!(on, on2);
    assert_ne!(end, end2);
    assert!((turn.axis - turn2.axis).length() < 1e-9 && (from - from2).length() < 1e-9, "{turn:?} {turn2:?}");
    assert_eq!(turn.angle, turn2.angle);
}

/// What stands in the swing's way on one side leaves the other; on all sides it is named.
#[test]
fn what_stands_beside_it_turns_the_swing_round() {
    let free = crossed(1.0, 800.0, 20.0, false, &[]);
    let (_, _, _, from) = swing(of(&free, "post"));
    // On the side that it came from, 25 mm off its surface.
    let at = DVec3::new(50.0, 300.0, 0.0) + from * 45.0;
    let list = crossed(1.0, 800.0, 20.0, false, &[at]);
    let (_, _, _, other) = swing(of(&list, "post"));
    assert!(other.dot(from) < 0.1, "{other} {from}");
    let round = [DVec3::X, DVec3::NEG_X, DVec3::Y, DVec3::NEG_Y].map(|d| DVec3::new(50.0, 300.0, 0.0) + d * 45.0);
    let list = crossed(1.0, 800.0, 20.0, false, &round);
    let post = of(&list, "post");
    assert!(post.way.is_none(), "{post:?}");
    // It goes in before the guards.
    assert!(
        post.remedies.iter().any(|r| matches!(r, Remedy::Earlier { before, .. } if before.starts_with("guard"))),
        "{:?}",
        post.remedies
    );
}

/// Between two parallel beams a tube slides along both. Where stubs on one of them shut it in, it waits on that one for the
/// other, which then lands in its cope.
#[test]
fn a_tube_may_go_in_before_what_it_is_cut_to() {
    let text = format!(
        r#"{}
[point]
a = [-600, 300, 0]
b = [600, 300, 0]
c = [-600, -300, 0]
d = [600, -300, 0]
p = {{ on = "one", x = 100 }}
s = {{ on = "two", x = 100 }}
e = {{ on = "one", x = 20 }}
f = {{ on = "one", x = 180 }}
e_end = [20, 150, 0]
f_end = [180, 150, 0]
[tube.one]
section = "h"
path = ["a", "b"]
[tube.stub]
section = "h"
path = ["e", "e_end"]
[tube.stub_too]
section = "h"
path = ["f", "f_end"]
[tube.two]
section = "h"
path = ["c", "d"]
[tube.cross]
section = "b"
path = ["p", "s"]
"#,
        head(40.0, 40.0, 2.0)
    );
    let (shape, cutting) = cut(&text);
    let list = insertions(&shape, &cutting);
    let cross = of(&list, "cross");
    assert!(cross.way.is_none(), "{cross:?}");
    let earlier = cross.remedies.iter().find_map(|r| match r {
        Remedy::Earlier { before, blocks, .. } => Some((before.as_str(), blocks.len())),
        _ => None,
    });
    assert_eq!(earlier, Some(("two", 0)), "{:?}", cross.remedies);
}

/// Two legs that spread, like a hoop's: a bar between them goes along them until its ears are past their crowns, and out. A stop
/// leaves it no straight way along, and three diameters are too few.
#[test]
fn a_bar_between_spreading_legs_slides_far_and_then_out() {
    let text = format!(
        r#"{}
[point]
a = [-600, 300, 0]
b = [600, 340, 0]
p = {{ on = "leg", x = 100 }}
q = {{ on = "leg", x = 300 }}
[tube.leg]
section = "h"
path = ["a", "b"]
mirror = true
[tube.stop]
section = "b"
path = ["q", "q~"]
[tube.bar]
section = "b"
path = ["p", "p~"]
"#,
        head(40.0, 20.0, 2.0)
    );
    let (shape, cutting) = cut(&text);
    let list = insertions(&shape, &cutting);
    let way = of(&list, "bar").way.as_ref().expect("it slides in");
    let Some(Last::Slide { from, length }) = &way.last else { panic!("{way:?}") };
    // By hand: an ear is 20 - sqrt(20² - 10²) = 2.7 mm deep, and the legs give 1 mm a side in 30: over 80 mm, so six
    // diameters of 20 mm.
    assert!((length - 0.12).abs() < 1e-12 && from.x > 0.99, "{from} {length}");
    assert!(way.from.z.abs() > 0.5, "{way:?}");
}
