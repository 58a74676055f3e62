//! What can be put in, by cases that a person can see.

mod common;

use common::{cut, head};
use cutting::assembly::{Insertion, Remedy, insertions};
use geometry::DVec3;

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
