//! Points that are elsewhere than designed: what follows them, and what stays.

use std::sync::Arc;

use design::{Design, PointId, read};
use geometry::DVec3;
use shape::{Moved, Shape, resolve, resolve_moved};

fn demo(name: &str) -> Arc<Design> {
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    Arc::new(read(&std::fs::read_to_string(path).expect("a demo")).expect("a design").design)
}

fn id(d: &Design, name: &str) -> PointId {
    PointId(d.points.iter().position(|p| p.name == name).expect("a point"))
}

/// Every point and twin put where it is designed.
fn pinned(shape: &Shape) -> Moved {
    let mut m = Moved::default();
    for k in 0..shape.design.points.len() {
        for twin in [false, true] {
            let at = shape.places.of(PointId(k), twin);
            m.put(&shape.design, PointId(k), twin, at, at);
        }
    }
    m
}

fn same(a: &Shape, b: &Shape, within: f64) {
    assert_eq!(a.tubes.len(), b.tubes.len());
    for (p, q) in a.tubes.iter().zip(&b.tubes) {
        assert_eq!((&p.name, p.twin), (&q.name, q.twin));
        for (f, g) in p.frames.iter().zip(&q.frames) {
            assert!(f.origin.distance(g.origin) < within, "{}: {} {}", p.name, f.origin, g.origin);
            assert!(f.u.distance(g.u) < 1e-9 && f.t.distance(g.t) < 1e-9, "{}", p.name);
        }
        assert_eq!(p.ends, q.ends);
    }
    assert_eq!(a.joints.len(), b.joints.len());
    for (p, q) in a.joints.iter().zip(&b.joints) {
        assert_eq!(p.name, q.name);
        assert!(p.at.distance(q.at) < within);
        let who = |j: &shape::Joint| j.members.iter().map(|m| (m.tube, m.role)).collect::<Vec<_>>();
        assert_eq!(who(p), who(q), "{}", p.name);
    }
    for (p, q) in a.plates.iter().zip(&b.plates) {
        assert!(p.name == q.name && p.frame.origin.distance(q.frame.origin) < 1e-4, "{}", p.name);
        assert!((p.area - q.area).abs() < 1e-9);
    }
    for (p, q) in a.bodies.iter().zip(&b.bodies) {
        assert!(p.name == q.name && p.centre.distance(q.centre) < within, "{}", p.name);
    }
    for (p, q) in a.openings.iter().zip(&b.openings) {
        assert!(p.name == q.name && p.frame.origin.distance(q.frame.origin) < 1e-9, "{}", p.name);
    }
    assert!((a.datum - b.datum).abs() < within);
}

#[test]
fn nothing_moved_is_the_design() {
    for name in ["gorse", "wren"] {
        let d = demo(name);
        let a = resolve(d.clone()).expect("a shape");
        // Each side is worked out by itself here, and both must come out as the mirror does.
        let b = resolve_moved(d, &pinned(&a)).expect("a shape");
        same(&a, &b, 1e-12);
    }
}

const FRAME: &str = r#"
[design]
name = "moved"
units = "mm"

[section.r]
shape = "round"
od = 38
wall = 2.5
material = "S235"

[point]
front = [1000, 300, 0]
rear = [-1000, 300, 0]
up = { on = "rail", x = -350 }
top = { from = "up", by = [0, -50, 700] }
mid = [200, 0, 400]
out = { on = "cross", y = -100 }

[tube.rail]
section = "r"
path = ["front", "rear"]
mirror = true

[tube.cross]
section = "r"
path = ["up", "up~"]

[tube.post]
section = "r"
path = ["up", "top"]
mirror = true

[tube.brace]
section = "r"
path = ["top", "mid"]
mirror = true

[tube.stub]
section = "r"
path = ["out", "mid"]
"#;

#[test]
fn what_is_placed_by_a_moved_point_follows_on_its_own_side() {
    let d = Arc::new(read(FRAME).expect("a design").design);
    let a = resolve(d.clone()).expect("a shape");
    let mut m = Moved::default();
    let rear = id(&d, "rear");
    // The right rail's rear end is 10 mm low and 6 mm out; the left one as designed.
    m.put(&d, rear, true, DVec3::new(-1.0, -0.306, -0.010), a.places.of(rear, true));
    // The middle is 2 mm to the right, once and for both braces.
    let mid = id(&d, "mid");
    m.put(&d, mid, false, DVec3::new(0.2, -0.002, 0.4), a.places.of(mid, false));
    let b = resolve_moved(d.clone(), &m).expect("a shape");
    let tube = |s: &Shape, name: &str| s.tubes[s.find(name).expect("a tube")].clone();
    assert_eq!(tube(&b, "rail").chain, tube(&a, "rail").chain);
    let low = tube(&b, "rail~").chain;
    assert!(low.corners[1].distance(DVec3::new(-1.0, -0.306, -0.010)) < 1e-12);
    // `up~` lies on the right rail at x = -350: 0.675 of the way down to its rear.
    let up = b.places.of(id(&d, "up"), true);
    assert!(up.distance(DVec3::new(-0.35, -0.3 - 0.006 * 0.675, -0.010 * 0.675)) < 1e-9, "{up}");
    // And the post on it, by its offset.
    let top = b.places.of(id(&d, "top"), true);
    assert!(top.distance(up + DVec3::new(0.0, 0.05, 0.7)) < 1e-12);
    assert!(tube(&b, "post~").chain.corners[1].distance(top) < 1e-12);
    assert_eq!(tube(&b, "post").chain, tube(&a, "post").chain);
    // The tube across goes from one to the other, and what sits on it moves along.
    let cross = tube(&b, "cross").chain;
    assert!(
        cross.corners[0].distance(b.places.of(id(&d, "up"), false)) < 1e-12 && cross.corners[1].distance(up) < 1e-12
    );
    let out = b.places.of(id(&d, "out"), false);
    assert!((out.y + 0.1).abs() < 1e-12 && cross.nearest(out).1 < 1e-9);
    for brace in ["brace", "brace~"] {
        assert!(tube(&b, brace).chain.corners[1].distance(DVec3::new(0.2, -0.002, 0.4)) < 1e-12, "{brace}");
    }
    // One joint in the middle, of both braces and the stub.
    let joint = b.joints.iter().find(|j| j.name == "mid").expect("a joint");
    assert_eq!(joint.members.len(), 3);
}

#[test]
fn a_plate_of_moved_corners_lies_in_their_mean_plane() {
    let text = FRAME.replace("[tube.rail]", "[plate.floor]\noutline = [\"front\", \"rear\", \"rear~\", \"front~\"]\nthickness = 2\nmaterial = \"S235\"\n\n[tube.rail]");
    let d = Arc::new(read(&text).expect("a design").design);
    let a = resolve(d.clone()).expect("a shape");
    let mut m = Moved::default();
    let rear = id(&d, "rear");
    m.put(&d, rear, true, DVec3::new(-1.0, -0.3, 0.008), a.places.of(rear, true));
    let b = resolve_moved(d, &m).expect("a shape");
    let p = &b.plates[0];
    let mean = [
        DVec3::new(1.0, 0.3, 0.0),
        DVec3::new(-1.0, 0.3, 0.0),
        DVec3::new(-1.0, -0.3, 0.008),
        DVec3::new(1.0, -0.3, 0.0),
    ]
    .iter()
    .map(|q| (*q - p.frame.origin).dot(p.frame.t))
    .sum::<f64>();
    assert!(mean.abs() < 1e-12);
}
