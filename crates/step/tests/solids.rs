//! What can be held of solids without a kernel that reads them.

use std::sync::Arc;

use cutting::{Cutting, Detail};
use geometry::DVec3;
use shape::Shape;
use step::brep::{Body, Curve, Surface};

fn cut(text: &str) -> (Shape, Cutting) {
    let reading = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test.toml", text)));
    let shape = shape::resolve(Arc::new(reading.design))
        .unwrap_or_else(|p| panic!("{}", design::render(&p, "test.toml", text)));
    let cutting = cutting::cut(&shape, Detail::LIVE);
    (shape, cutting)
}

/// Sections: `h` and `b` round, `r` a box, `s` a box with corners sharper than its wall.
fn head(name: &str, gap: f64, host: f64, branch: f64) -> String {
    format!(
        "[design]\nname = {name:?}\n[limits]\ngap = {gap}\n\
         [section.h]\nshape = \"round\"\nod = {host}\nwall = 2\nmaterial = \"E355+N\"\n\
         [section.b]\nshape = \"round\"\nod = {branch}\nwall = 2\nmaterial = \"E355+N\"\n\
         [section.r]\nshape = \"box\"\nwidth = 50\nheight = 80\nwall = 3\ncorner = 6\nmaterial = \"S355J2H\"\n\
         [section.s]\nshape = \"box\"\nwidth = 50\nheight = 40\nwall = 3\ncorner = 1\nmaterial = \"S355J2H\"\n"
    )
}

/// Places along an edge.
fn along(b: &Body, k: usize) -> Vec<DVec3> {
    let e = &b.edges[k];
    let (from, to) = (b.places[e.from], b.places[e.to]);
    match &e.curve {
        Curve::Line { .. } => (0..=8).map(|i| from.lerp(to, i as f64 / 8.0)).collect(),
        Curve::Ellipse { centre, normal, x, a, b } => {
            let y = normal.cross(*x);
            let angle = |p: DVec3| ((p - centre).dot(y) / b).atan2((p - centre).dot(*x) / a);
            let turn = (angle(to) - angle(from)).rem_euclid(std::f64::consts::TAU);
            (0..=8)
                .map(|i| {
                    let (s, c) = (angle(from) + turn * i as f64 / 8.0).sin_cos();
                    centre + x * (a * c) + y * (b * s)
                })
                .collect()
        }
        Curve::Spline(s) => s
            .spans()
            .iter()
            .flat_map(|p| {
                (0..=4).map(|i| {
                    let mut q = *p;
                    for n in (1..6).rev() {
                        for j in 0..n {
                            q[j] = q[j].lerp(q[j + 1], i as f64 / 4.0);
                        }
                    }
                    q[0]
                })
            })
            .collect(),
    }
}

/// Closed, each edge once each way, ends of curves where the places are, edges on both of their faces, and as many holes
/// through it as it should have.
#[track_caller]
fn holds(b: &Body, holes: i64, within: f64) {
    assert_eq!(b.flaw(), None, "{}", b.name);
    for k in 0..b.edges.len() {
        let (e, p) = (&b.edges[k], along(b, k));
        assert!(p[0].distance(b.places[e.from]) < 1e-9, "{}: edge {k} starts elsewhere", b.name);
        assert!(p[p.len() - 1].distance(b.places[e.to]) < 1e-9, "{}: edge {k} ends elsewhere: {:?}", b.name, e.curve);
    }
    let mut loops = 0;
    for f in &b.faces {
        loops += f.bounds.len();
        for u in f.bounds.iter().flatten() {
            for p in along(b, u.edge) {
                let d = f.surface.distance(p);
                assert!(d.abs() < within, "{}: an edge is {d:e} off its face {:?}", b.name, f.surface);
            }
        }
    }
    let mut used = vec![false; b.places.len()];
    b.edges.iter().for_each(|e| (used[e.from], used[e.to]) = (true, true));
    let count = |n: usize| n as i64;
    let euler =
        count(used.iter().filter(|u| **u).count()) - count(b.edges.len()) + 2 * count(b.faces.len()) - count(loops);
    assert_eq!(euler, 2 - 2 * holes, "{}: Euler's number", b.name);
}

#[track_caller]
fn all_hold(text: &str, within: f64) -> Vec<Body> {
    let (shape, cutting) = cut(text);
    let solids = step::all(&shape, &cutting);
    solids
        .iter()
        .map(|s| {
            let b = s.body.as_ref().unwrap_or_else(|why| panic!("{}: {why}\n{text}", s.name));
            let plate = shape.plates.iter().find(|p| p.name == s.name);
            holds(b, plate.map_or(1, |p| p.holes.len() as i64), within);
            b.clone()
        })
        .collect()
}

/// What an edge may be off: the program states a nanometre; a last digit of places more.
const WITHIN: f64 = 2e-9;

fn on_a_straight_host(section: (&str, &str), gap: f64, ods: (f64, f64), offset: f64, lean: f64, more: &str) -> String {
    let lean = lean.to_radians();
    let (x, z) = (500.0 * lean.cos(), 500.0 * lean.sin());
    head("t", gap, ods.0, ods.1)
        + &format!(
            "[point]\nha = [-600, 0, 0]\nhb = [600, 0, 0]\nfar = [{:.9}, {:.9}, {:.9}]\nfoot = [0, {offset:.9}, 0]\n\
             [tube.host]\nsection = {:?}\npath = [\"ha\", \"hb\"]\n\
             [tube.branch]\nsection = {:?}\npath = [\"far\", \"foot\"]\nend = {{ to = [\"host\"] }}\n{more}",
            -x, offset, z, section.0, section.1
        )
}

#[test]
fn rounds_on_rounds() {
    // Offset, nearly tangent, as wide as the host, wider than it, nearly parallel.
    for (ods, offset, lean) in [
        ((50.0, 30.0), 0.0, 90.0),
        ((50.0, 30.0), 4.0, 47.0),
        ((50.0, 30.0), 9.95, 60.0),
        ((50.0, 30.0), 10.0, 60.0),
        ((50.0, 50.0), 0.0, 90.0),
        ((50.0, 50.0), 0.0, 35.0),
        ((50.0, 49.9999), 0.0, 35.0),
        ((40.0, 50.0), 0.0, 60.0),
        ((40.0, 50.0), 3.0, 60.0),
        ((60.0, 40.0), 1.0, 12.0),
    ] {
        for gap in [0.0, 0.5] {
            all_hold(&on_a_straight_host(("h", "b"), gap, ods, offset, lean, ""), WITHIN);
        }
    }
}

#[test]
fn boxes() {
    for (section, offset, lean, more) in [
        (("r", "b"), 0.0, 90.0, ""),
        (("r", "b"), 12.0, 50.0, ""),
        (("s", "b"), 12.0, 50.0, ""),
        (("h", "r"), 0.0, 80.0, "roll = 13\n"),
        (("r", "s"), 0.0, 55.0, "roll = 20\n"),
        // As wide as its host: two sides lie in the host's own.
        (("r", "s"), 0.0, 90.0, ""),
    ] {
        for gap in [0.0, 0.5] {
            all_hold(&on_a_straight_host(section, gap, (60.0, 30.0), offset, lean, more), WITHIN);
        }
    }
}

#[test]
fn a_box_tubes_sides_are_planes_and_its_corners_cylinders() {
    let b = all_hold(&on_a_straight_host(("h", "r"), 0.0, (120.0, 30.0), 0.0, 90.0, ""), WITHIN);
    let count = |k: fn(&Surface) -> bool| b[1].faces.iter().filter(|f| k(&f.surface)).count();
    // Outside and bore: four sides and four corners each, a square end, and what lies on the host.
    assert_eq!(count(|s| matches!(s, Surface::Plane { .. })), 9);
    assert_eq!(count(|s| matches!(s, Surface::Cylinder { r, .. } if *r < 0.01)), 8);
    assert_eq!(count(|s| matches!(s, Surface::Cylinder { r, .. } if (r - 0.06).abs() < 1e-12)), 1);
}

#[test]
fn bends_and_what_stands_on_them() {
    let text = head("t", 0.3, 40.0, 25.0)
        + "[point]\na = [0, 400, 0]\nb = [0, 400, 600]\nc = [300, 700, 700]\nd = [900, 700, 700]\nfar = [500, 200, 300]\n\
           foot = { on = \"hoop\", part = 0.5 }\n\
           [tube.hoop]\nsection = \"h\"\npath = [\"a\", \"b\", \"c\", \"d\"]\nbend_radius = 120\nmirror = true\n\
           [tube.stay]\nsection = \"b\"\npath = [\"foot\", \"far\"]\nmirror = true\n";
    let bodies = all_hold(&text, WITHIN);
    assert_eq!(bodies.len(), 4);
    let tori = |b: &Body| b.faces.iter().filter(|f| matches!(f.surface, Surface::Torus { .. })).count();
    assert_eq!((tori(&bodies[0]), tori(&bodies[1])), (8, 8));
    // A mirrored piece is its image, place by place.
    let image = |p: &DVec3| DVec3::new(p.x, -p.y, p.z);
    for (b, m) in [(0, 1), (2, 3)].map(|(a, b)| (&bodies[a], &bodies[b])) {
        assert_eq!(b.places.len(), m.places.len());
        for p in &b.places {
            assert!(m.places.iter().any(|q| q.distance(image(p)) < 1e-9), "{}: {p}", b.name);
        }
    }
}

#[test]
fn mitres_planes_and_two_hosts() {
    let text = head("t", 0.4, 44.0, 30.0)
        + "[point]\na = [0, 300, 0]\nb = [700, 300, 0]\nc = [700, 800, 300]\nd = [300, 600, 500]\ne = [700, 200, 600]\n\
           [tube.one]\nsection = \"h\"\npath = [\"a\", \"b\"]\nstart = { plane = { point = \"a\", normal = [1, 0.3, 0.2] } }\n\
           [tube.two]\nsection = \"h\"\npath = [\"c\", \"b\"]\n\
           [tube.three]\nsection = \"b\"\npath = [\"b\", \"d\"]\n\
           [tube.four]\nsection = \"b\"\npath = [\"e\", \"b\"]\n\
           [tube.drawn]\nsection = \"b\"\npath = [\"e\", \"d\"]\nprovisional = true\n";
    let bodies = all_hold(&text, WITHIN);
    // A provisional tube is no piece.
    assert_eq!(bodies.iter().map(|b| b.name.as_str()).collect::<Vec<_>>(), ["one", "two", "three", "four"]);
    // Planes cut round tubes in ellipses, exactly.
    let splines = |b: &Body| b.edges.iter().filter(|e| matches!(e.curve, Curve::Spline(_))).count();
    assert_eq!((splines(&bodies[0]), splines(&bodies[1])), (0, 0));
}

#[test]
fn plates_have_their_holes() {
    let text = head("t", 0.0, 40.0, 25.0)
        + "[point]\na = [0, 300, 0]\nb = [100, 300, 0]\nc = [100, 400, 0]\nd = [0, 400, 0]\ne = [30, 350, 0]\nf = [70, 350, 0]\n\
           [plate.lug]\nthickness = 6\nmaterial = \"S355J2H\"\noutline = [\"a\", \"b\", \"c\", \"d\"]\nmirror = true\n\
           holes = [{ at = \"e\", d = 12 }, { at = \"f\", d = 8 }]\n";
    assert_eq!(all_hold(&text, 1e-12).len(), 2);
    // One that runs into the edge, and one into another: left out, and said.
    let (shape, cutting) = cut(&text.replace("[30, 350, 0]", "[5, 350, 0]").replace("d = 8", "d = 80"));
    let solids = step::all(&shape, &cutting);
    let b = solids[0].body.as_ref().expect("a solid");
    holds(b, 0, 1e-12);
    assert!(b.about.contains("without 2 holes"), "{}", b.about);
}

#[test]
fn files_are_the_same_each_time_and_names_are_told_in_plain_letters() {
    let text = on_a_straight_host(("h", "b"), 0.0, (50.0, 30.0), 3.0, 70.0, "").replace("\"t\"", "\"Tom's Gör\"");
    let (shape, cutting) = cut(&text);
    let write = || {
        let solids = step::all(&shape, &cutting);
        (step::frame(&shape, &solids), step::each(&solids))
    };
    let (frame, each) = write();
    assert_eq!((frame.clone(), each.clone()), write());
    assert!(frame.is_ascii() && frame.contains("PRODUCT('Tom''s G\\X2\\00F6\\X0\\r'"), "{}", &frame[..600]);
    assert!(frame.contains("'b, E355+N'") && frame.ends_with("END-ISO-10303-21;\n"));
    assert_eq!(each.len(), 2);
    assert_eq!(frame.matches("MANIFOLD_SOLID_BREP(").count(), 2);
    // Nothing but numbers that hold a point.
    assert!(!frame.contains("NaN") && !frame.contains("inf"));
}

#[test]
fn a_piece_lies_along_x_from_its_start_scribe_line_up() {
    // Run the other way, the branch starts at the host.
    let text = on_a_straight_host(("h", "b"), 0.0, (50.0, 30.0), 3.0, 70.0, "")
        .replace("[\"far\", \"foot\"]\nend", "[\"foot\", \"far\"]\nstart");
    let (shape, cutting) = cut(&text);
    let solids = step::all(&shape, &cutting);
    let texts = step::each(&solids);
    for (s, text) in solids.iter().zip(&texts).filter(|(s, _)| s.name.starts_with("branch")) {
        let text = text.as_ref().expect("a file");
        let vertices: Vec<&str> = text.lines().filter(|l| l.contains("=VERTEX_POINT(")).collect();
        let place = |l: &str| -> Vec<f64> {
            let id = l.split("'',").nth(1).unwrap().trim_end_matches(");");
            let line = text.lines().find(|l| l.starts_with(&format!("{id}=CARTESIAN_POINT"))).unwrap();
            let inner = line.split("'',(").nth(1).unwrap().trim_end_matches("));");
            inner.split(',').map(|v| v.parse().unwrap()).collect()
        };
        let places: Vec<Vec<f64>> = vertices.iter().map(|l| place(l)).collect();
        let far = places.iter().filter(|p| (p[0] - 500.0).abs() < 1e-6).count();
        assert!(far >= 4, "{}: {places:?}", s.name);
        assert!(places.iter().all(|p| p[0] > 10.0 && p[1].hypot(p[2]) < 15.0 + 1e-9), "{}: {places:?}", s.name);
        // Parted at the scribe line, which is on top.
        assert!(places.iter().any(|p| p[1].abs() < 1e-9 && (p[2] - 15.0).abs() < 1e-9), "{}: {places:?}", s.name);
    }
}
