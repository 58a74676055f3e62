//! `centrelines.dxf`: nothing approximated, nothing left out.

use std::sync::Arc;

use geometry::{DVec3, Segment};
use packet::exchange::dxf::centrelines::write;
use shape::Shape;

fn shape_of(text: &str) -> Shape {
    let design = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "design", text))).design;
    shape::resolve(Arc::new(design)).unwrap_or_else(|p| panic!("{p:?}"))
}

type Tags = Vec<(i32, String)>;

fn tags(text: &str) -> Tags {
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len() % 2, 0);
    lines.chunks(2).map(|l| (l[0].trim().parse().unwrap(), l[1].to_owned())).collect()
}

/// Entities of the drawing: LINE and ARC with their tags.
fn entities(all: &Tags) -> Vec<Tags> {
    let from = all.iter().position(|t| *t == (2, "ENTITIES".into())).unwrap() + 1;
    let to = from + all[from..].iter().position(|t| *t == (0, "ENDSEC".into())).unwrap();
    all[from..to].chunk_by(|_, b| b.0 != 0).map(<[_]>::to_vec).collect()
}

fn value(e: &Tags, code: i32) -> &str {
    &e.iter().find(|t| t.0 == code).unwrap_or_else(|| panic!("no {code} in {e:?}")).1
}

fn number(e: &Tags, code: i32) -> f64 {
    value(e, code).parse().unwrap()
}

fn point(e: &Tags, code: i32) -> DVec3 {
    DVec3::new(number(e, code), number(e, code + 10), number(e, code + 20))
}

/// First, middle and last place, and the direction at the first and last.
struct Run {
    places: [DVec3; 3],
    along: [DVec3; 2],
    radius: Option<f64>,
}

/// By the published reference: a plane's axes from its normal, angles anticlockwise in degrees.
fn run(e: &Tags) -> Run {
    if value(e, 0) == "LINE" {
        let (a, b) = (point(e, 10), point(e, 11));
        let along = (b - a).normalize();
        return Run { places: [a, (a + b) / 2.0, b], along: [along, along], radius: None };
    }
    assert_eq!(value(e, 0), "ARC");
    let n = point(e, 210);
    assert!((n.length() - 1.0).abs() < 1e-14);
    let ax = if n.x.abs() < 1.0 / 64.0 && n.y.abs() < 1.0 / 64.0 { DVec3::Y.cross(n) } else { DVec3::Z.cross(n) };
    let ax = ax.normalize();
    let ay = n.cross(ax).normalize();
    let (c, r) = (point(e, 10), number(e, 40));
    let (a, b) = (number(e, 50).to_radians(), number(e, 51).to_radians());
    assert!((0.0..std::f64::consts::TAU).contains(&a) && (0.0..std::f64::consts::TAU).contains(&b));
    let sweep = (b - a).rem_euclid(std::f64::consts::TAU);
    let at = |t: f64| ax * (c.x + r * t.cos()) + ay * (c.y + r * t.sin()) + n * c.z;
    let way = |t: f64| ay * t.cos() - ax * t.sin();
    Run { places: [at(a), at(a + sweep / 2.0), at(a + sweep)], along: [way(a), way(b)], radius: Some(r) }
}

/// Every tube of the shape, in order, as the file has it.
fn assert_told(s: &Shape, metres: f64) {
    const NEAR: f64 = 1e-9;
    let text = write(s);
    let all = tags(&text);
    let mut list = entities(&all).into_iter().peekable();
    for t in &s.tubes {
        let name = format!("tube={}", t.name);
        let mut at = t.chain.corners[0] / metres;
        let mut along: Option<DVec3> = None;
        let mut radii = Vec::new();
        let mut count = 0;
        for segment in t.chain.segments.iter().filter(|s| s.length() > 1e-7) {
            let e = list.next().unwrap_or_else(|| panic!("{name} ends early"));
            let own: Vec<&str> = e.iter().filter(|t| t.0 == 1000).map(|t| t.1.as_str()).collect();
            let state = match t.state {
                design::TubeState::Permanent => vec![name.as_str()],
                design::TubeState::Temporary => vec![name.as_str(), "state=temporary"],
                design::TubeState::Provisional => vec![name.as_str(), "state=provisional"],
            };
            assert_eq!((value(&e, 1001), own), ("TUBEWRIGHT", state));
            assert_eq!(value(&e, 8), s.design.sections[t.section.0].name);
            let run = run(&e);
            assert!(run.places[0].distance(at) < NEAR, "{name}: {} {at}", run.places[0]);
            assert!(run.places[1].distance(segment.point(segment.length() / 2.0) / metres) < NEAR, "{name}");
            assert!(along.is_none_or(|d| d.distance(run.along[0]) < 1e-12), "{name} has a kink");
            if let Segment::Arc { radius, .. } = segment {
                radii.push(radius / metres);
            }
            assert_eq!(run.radius.is_some(), matches!(segment, Segment::Arc { .. }));
            assert!(run.radius.is_none_or(|r| (r - radii[radii.len() - 1]).abs() < NEAR));
            (at, along) = (run.places[2], Some(run.along[1]));
            count += 1;
        }
        assert!(count > 0);
        assert!(at.distance(t.chain.corners[t.chain.corners.len() - 1] / metres) < NEAR, "{name}: its end");
    }
    assert!(list.next().is_none(), "there is more in the file");
    let mut handles: Vec<&str> = all.iter().filter(|t| t.0 == 5).map(|t| t.1.as_str()).collect();
    let seed = u32::from_str_radix(handles[0], 16).unwrap();
    assert!(handles[1..].iter().all(|h| u32::from_str_radix(h, 16).unwrap() < seed));
    handles.sort_unstable();
    handles.dedup();
    assert_eq!(handles.len(), all.iter().filter(|t| t.0 == 5).count());
}

const BENT: &str = r#"
[design]
name = "Bent"
units = "UNITS"
[section.Tube]
shape = "round"
od = 1.5
wall = 0.1
material = "S355"
[section.tube]
shape = "round"
od = 1.25
wall = 0.1
material = "S355"
[section.unused]
shape = "round"
od = 1
wall = 0.1
material = "S355"
[point]
a = [-7.1, 21, 0.3]
b = [1, 19, 33]
c = [40, 11, 41]
d = [52, 2, 3]
e = [100, 2, 3]
f = [110, 2, 3]
g = [110, 12, 3]
h = [120, 12, 3]
[tube.hoop]
section = "Tube"
path = ["a", "b", "b~", "a~"]
bend_radius = 5
[tube.side]
section = "tube"
path = ["a", "b", "c", "d", "e"]
bend_radius = [4.5, 6, 4.5]
mirror = true
[tube.ess]                       # from arc to arc without a straight between them
section = "Tube"
path = ["e", "f", "g", "h"]
bend_radius = 5
temporary = true
[tube.straight]
section = "Tube"
path = ["d", "e", "f"]
bend_radius = 5
provisional = true
mirror = true
"#;

#[test]
fn tubes_of_every_state_in_both_units() {
    for (units, metres) in [("mm", 1e-3), ("in", 0.0254)] {
        let s = shape_of(&BENT.replace("UNITS", units));
        assert!(s.tubes.iter().any(|t| t.chain.segments.iter().any(|x| x.length() < 1e-7)), "an arc follows an arc");
        let text = write(&s);
        // Names of layers do not mind capitals: of two that differ in nothing else, one is called otherwise.
        let plain = text.replace("tube.2", "tube");
        assert!(plain != text);
        assert_ne!(text.matches("INSUNITS\n 70\n1\n").count(), text.matches("INSUNITS\n 70\n4\n").count());
        assert_eq!(text.contains("INSUNITS\n 70\n4\n"), units == "mm");
        let text = BENT.replace("UNITS", units).replace("[section.tube]", "[section.other]");
        assert_told(&shape_of(&text.replace("\"tube\"", "\"other\"")), metres);
    }
}

#[test]
fn our_own_designs() {
    for text in [include_str!("../../../examples/gorse.toml"), include_str!("../../../examples/wren.toml")] {
        let s = shape_of(text);
        assert_told(&s, if s.design.units == design::Units::Mm { 1e-3 } else { 0.0254 });
    }
}

#[test]
fn coordinates_are_as_the_design_has_them() {
    let s = shape_of(&BENT.replace("UNITS", "in"));
    let list = entities(&tags(&write(&s)));
    let last = &list[list.len() - 1];
    assert_eq!([value(last, 10), value(last, 20), value(last, 30)], ["52.0", "-2.0", "3.0"]);
    assert_eq!([value(last, 11), value(last, 21), value(last, 31)], ["110.0", "-2.0", "3.0"]);
}

#[test]
fn planes_near_the_change_of_axes() {
    // Normals either side of 1/64 from z, and along every axis both ways.
    for lean in [0.0, 0.0156, 0.01562, 0.015_625, 0.01563, 0.0157, 0.5, 1.0] {
        for [x, y, z] in [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.3, 0.7, 0.0]] {
            for up in [1.0, -1.0] {
                let n = DVec3::new(x * lean, y * lean, z + up * (1.0 - lean)).normalize();
                let u = n.any_orthonormal_vector();
                let v = n.cross(u);
                let p = [u * 0.7, DVec3::ZERO, (u * 0.2 + v) * 0.6].map(|p| p * 1000.0 + DVec3::splat(3000.0));
                let text = format!(
                    "[design]\nname = \"P\"\n[section.t]\nshape = \"round\"\nod = 40\nwall = 3\nmaterial = \"S355\"\n\
                     [point]\na = {:?}\nb = {:?}\nc = {:?}\n[tube.t]\nsection = \"t\"\npath = [\"a\", \"b\", \"c\"]\n\
                     bend_radius = 150\n",
                    p[0].to_array(),
                    p[1].to_array(),
                    p[2].to_array()
                );
                assert_told(&shape_of(&text), 1e-3);
            }
        }
    }
}
