//! Frames built wrong on purpose, measured without and with error, and found again.

use std::fmt::Write as _;
use std::sync::Arc;

use design::measured::{self, Measured};
use design::{Design, PointId, PointRef};
use fit::{Ask, Fate, Fit, Of, Verdict, fit};
use geometry::DVec3;
use shape::{Moved, Shape, resolve, resolve_moved};

fn demo(name: &str) -> Shape {
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).expect("a demo");
    resolve(Arc::new(design::read(&text).expect("a design").design)).expect("a shape")
}

struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
    fn vector(&mut self) -> DVec3 {
        DVec3::new(self.roll(), self.roll(), self.roll()) * 2.0 - 1.0
    }
    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.roll()).sum::<f64>() - 6.0
    }
}

fn refer(d: &Design, name: &str) -> PointRef {
    let bare = name.trim_end_matches('~');
    let i = d.points.iter().position(|p| p.name == bare).unwrap_or_else(|| panic!("no point {name}"));
    PointRef { id: PointId(i), twin: name.ends_with('~'), span: 0..0 }
}

/// The frame with each of these points somewhere else by up to so much, m.
fn built(shape: &Shape, points: &[&str], by: f64, dice: &mut Dice) -> Shape {
    let mut m = Moved::default();
    for p in points {
        let r = refer(&shape.design, p);
        let at = shape.place(&r);
        m.put(&shape.design, r.id, r.twin, at + dice.vector() * by, at);
    }
    resolve_moved(shape.design.clone(), &m).expect("a shape")
}

fn at(s: &Shape, name: &str) -> DVec3 {
    s.place(&refer(&s.design, name))
}

fn read(text: &str, shape: &Shape) -> Measured {
    let (m, problems) = measured::read(text, &shape.design).expect("a sheet");
    assert!(problems.is_empty(), "{problems:?}");
    m
}

fn asked(shape: &Shape, text: &str) -> Fit {
    fit(shape, &read(text, shape), &Ask { done: &[], tolerance: &|_| 0.003, tape: 0.001 })
}

/// Every distance between these, as the frame has it.
fn tapes(s: &Shape, points: &[&str], noise: f64, dice: &mut Dice) -> String {
    let mut out = "[sheet]\nunits = \"mm\"\n[tape]\n".to_owned();
    for (j, b) in points.iter().enumerate() {
        for (i, a) in points[..j].iter().enumerate() {
            let l = at(s, a).distance(at(s, b)) * 1e3 + noise * dice.normal();
            writeln!(out, "t{i}_{j} = {{ from = \"{a}\", to = \"{b}\", reads = {l} }}").expect("a line");
        }
    }
    out
}

const WREN: [&str; 12] = [
    "rail_front",
    "rail_front~",
    "rail_rear",
    "rail_rear~",
    "main_foot",
    "main_foot~",
    "harness_end",
    "harness_end~",
    "brace_rear",
    "brace_rear~",
    "front_foot",
    "front_foot~",
];

#[test]
fn a_frame_that_nothing_holds_is_found_up_to_where_it_stands() {
    let shape = demo("wren");
    let mut dice = Dice(3);
    let real = built(&shape, &WREN, 0.004, &mut dice);
    let f = asked(&shape, &tapes(&real, &WREN, 0.0, &mut dice));
    assert!(f.troubles.is_empty() && f.converged && f.loose.is_empty());
    assert_eq!((f.open_slides, f.open_turns, f.places.len()), (3, 3, 12));
    assert!(f.readings.iter().all(|r| r.fate == Fate::Agrees));
    for a in WREN {
        for b in WREN {
            let want = at(&real, a).distance(at(&real, b));
            let got = f.place(a).expect("a").at.distance(f.place(b).expect("b").at);
            assert!((got - want).abs() < 1e-9, "{a} {b}: {got} {want}");
        }
    }
    // Laid on the design as well as it goes: no slide is left.
    let mean = f.places.iter().map(|p| p.shift()).sum::<DVec3>() / 12.0;
    assert!(mean.length() < 1e-10);
    // The frame as built has the measured distances.
    let again = resolve_moved(shape.design.clone(), &f.moved).expect("a shape");
    for (a, b) in [("rail_front", "rail_rear~"), ("harness_end", "main_foot~"), ("main_foot", "front_foot")] {
        assert!((at(&again, a).distance(at(&again, b)) - at(&real, a).distance(at(&real, b))).abs() < 1e-9);
    }
}

#[test]
fn heights_offsets_and_angles_find_a_tilted_frame_in_its_jig() {
    let shape = demo("gorse");
    let names: Vec<String> = shape
        .design
        .points
        .iter()
        .filter(|p| p.name.starts_with("rail") || p.name.contains("foot") || p.name.contains("hoop"))
        .flat_map(|p| [p.name.clone(), format!("{}~", p.name)])
        .filter(|n| at(&shape, n).y.abs() > 0.01)
        .take(14)
        .collect();
    let points: Vec<&str> = names.iter().map(String::as_str).collect();
    let mut dice = Dice(11);
    let real = built(&shape, &points[3..], 0.004, &mut dice);
    let mut text = tapes(&real, &points, 0.0, &mut dice);
    for (k, axes) in [(0, "xyz"), (1, "xz"), (2, "z")] {
        writeln!(text, "[held.h{k}]\nof = \"{}\"\naxes = \"{axes}\"", points[k]).expect("a line");
    }
    // The frame leans 0.5 degrees to the right and 0.3 forward of level.
    let turn = geometry::DMat3::from_quat(glam::DQuat::from_scaled_axis(DVec3::new(0.009, 0.005, 0.0)));
    let seen = |p: &str| turn.transpose() * at(&real, p);
    writeln!(text, "[height]").expect("a line");
    for (k, p) in points.iter().enumerate() {
        writeln!(text, "h{k} = {{ of = \"{p}\", reads = {} }}", (seen(p).z + 0.4) * 1e3).expect("a line");
    }
    writeln!(text, "[plumb]").expect("a line");
    for k in 3..points.len() {
        let way = seen(points[k]) - seen(points[0]);
        writeln!(
            text,
            "x{k} = {{ from = \"{}\", to = \"{}\", along = \"x\", reads = {} }}",
            points[0],
            points[k],
            way.x * 1e3
        )
        .expect("a line");
        writeln!(
            text,
            "y{k} = {{ from = \"{}\", to = \"{}\", along = \"y\", reads = {} }}",
            points[0],
            points[k],
            way.y * 1e3
        )
        .expect("a line");
    }
    let f = asked(&shape, &text);
    assert!(f.troubles.is_empty() && f.converged, "{:?}", f.troubles);
    assert_eq!((f.open_slides, f.open_turns), (0, 0));
    for p in &points[3..] {
        let got = f.place(p).expect("a place").at;
        assert!(got.distance(at(&real, p)) < 1e-8, "{p}: {got} {}", at(&real, p));
    }
    assert!(f.up.distance(turn.z_axis) < 1e-8, "{}", f.up);
}

#[test]
fn a_tape_on_the_faces_is_a_tape_between_centres() {
    let shape = demo("wren");
    // Rails of 2 in: outside to outside is 2 in more than the centres, inside to inside 2 in less.
    let text = |a: &str, b: &str, l: f64| {
        format!(
            "[sheet]\nunits = \"in\"\n[tape]\nd1 = {{ from = \"rail_front {a}\", to = \"rail_front~ {b}\", reads = {l} }}\n"
        )
    };
    for (a, b, l) in [
        ("outside", "outside", 20.0),
        ("inside", "inside", 16.0),
        ("left", "left", 18.0),
        ("top", "top", 18.0),
        ("right", "left", 16.0),
    ] {
        let f = asked(&shape, &text(a, b, l));
        let d = &f.readings[0];
        assert!((d.designed - l * 0.0254).abs() < 1e-12, "{a} {b}: {}", d.designed / 0.0254);
        // Nothing else checks a single tape; the points lie where it says.
        assert_eq!(d.fate, Fate::Unchecked);
    }
    // The hoop is round and leans inward at the harness: its outside is square to its axis, not along y.
    let f = asked(
        &shape,
        "[tape]\nd1 = { from = \"harness_end outside\", to = \"harness_end~ outside\", reads = 28 }\nd2 = { from = \"harness_end\", to = \"harness_end~\", reads = 27 }\n",
    );
    let hoop = &shape.tubes[shape.find("main_hoop").expect("a hoop")].chain;
    let lean = hoop.tangent(hoop.nearest(at(&shape, "harness_end")).0).y.abs();
    let more = f.readings[0].designed - f.readings[1].designed;
    assert!(lean > 0.05 && (more - 1.75 * 0.0254 * (1.0 - lean * lean).sqrt()).abs() < 1e-9, "{lean} {more}");
    // The corner of a bend is on no tube.
    let f = asked(&shape, "[tape]\nd1 = { from = \"main_waist outside\", to = \"main_waist~ outside\", reads = 29 }\n");
    assert!(f.troubles[0].what.contains("main_waist is on no tube"), "{:?}", f.troubles);
    // A face that looks along the tube is no face.
    let f = asked(
        &shape,
        "[tape]\nd1 = { from = \"rail_front front\", to = \"rail_rear\", reads = 90 }\nd2 = { from = \"rail_front\", to = \"rail_rear\", reads = 90 }\n",
    );
    assert!(f.troubles[0].what.contains("no front face") && f.readings[0].fate == Fate::Unusable);
    assert_eq!(f.readings[1].fate, Fate::Unchecked);
}

#[test]
fn a_misread_tape_is_found_and_left_out() {
    let shape = demo("wren");
    let mut dice = Dice(5);
    let real = built(&shape, &WREN, 0.004, &mut dice);
    let sound = tapes(&real, &WREN, 0.7, &mut dice);
    let line = sound.lines().find(|l| l.starts_with("t2_7 ")).expect("a line").to_owned();
    let l: f64 = line.rsplit("reads = ").next().and_then(|s| s.trim_end_matches(" }").parse().ok()).expect("a number");
    // A tape read from its 100 mm mark.
    let text = sound.replace(&line, &line.replace(&l.to_string(), &(l + 100.0).to_string()));
    let f = asked(&shape, &text);
    let wrong: Vec<&str> = f.readings.iter().filter(|r| r.fate == Fate::Wrong).map(|r| r.title.as_str()).collect();
    assert_eq!(wrong, ["tape t2_7"]);
    let r = f.readings.iter().find(|r| r.title == "tape t2_7").expect("it");
    assert!((r.reads - r.adjusted.expect("a figure") - 0.100).abs() < 0.004);
    for (a, b) in [("rail_front", "harness_end~"), ("rail_rear", "brace_rear")] {
        let sigma = f.distance_sigma(a, b).expect("known");
        let off = f.place(a).expect("a").at.distance(f.place(b).expect("b").at) - at(&real, a).distance(at(&real, b));
        assert!(off.abs() < 4.0 * sigma && sigma < 0.001, "{a} {b}: {off} {sigma}");
    }
}

#[test]
fn a_hoop_goes_with_what_was_measured_on_it() {
    let shape = demo("wren");
    // Its feet 3 mm back and its harness joints and brace joints too: it stands 3 mm back as a whole.
    let points = ["main_foot", "main_foot~", "harness_end", "harness_end~", "brace_rear", "brace_rear~"];
    let by = DVec3::new(-0.003, 0.001, 0.002);
    let mut m = Moved::default();
    for p in
        points.iter().chain(&["main_waist", "main_waist~", "main_shoulder", "main_shoulder~", "main_top", "main_top~"])
    {
        let r = refer(&shape.design, p);
        let place = shape.place(&r);
        m.put(&shape.design, r.id, r.twin, place + by, place);
    }
    let real = resolve_moved(shape.design.clone(), &m).expect("a shape");
    let all: Vec<&str> =
        points.iter().copied().chain(["rail_front", "rail_front~", "rail_rear", "rail_rear~"]).collect();
    let mut text = tapes(&real, &all, 0.0, &mut Dice(1));
    for p in ["rail_front", "rail_front~", "rail_rear", "rail_rear~"] {
        writeln!(text, "[held.{}]\nof = \"{p}\"", p.replace('~', "_")).expect("a line");
    }
    let f = asked(&shape, &text);
    assert!(f.standing.contains(&"main_hoop".to_owned()), "{:?}", f.standing);
    let again = resolve_moved(shape.design.clone(), &f.moved).expect("a shape");
    let hoop = |s: &Shape| s.tubes[s.find("main_hoop").expect("a hoop")].chain.corners.clone();
    for (got, want) in hoop(&again).iter().zip(hoop(&real)) {
        assert!(got.distance(want) < 1e-8, "{got} {want}");
    }
    // What sits on it and was not measured goes along: half way up a leg.
    let side = "side_rear";
    assert!(at(&again, side).distance(at(&real, side)) < 1e-8 && at(&again, side).distance(at(&shape, side)) > 1e-3);
    // The rails stayed where they are held.
    assert!(at(&again, "rail_front").distance(at(&shape, "rail_front")) < 1e-12);
}

#[test]
fn what_stands_is_said_or_seen() {
    let shape = demo("wren");
    let tape = "[tape]\nd1 = { from = \"rail_front\", to = \"rail_rear\", reads = 90 }\n";
    assert_eq!(asked(&shape, tape).standing, ["rail"]);
    let said = asked(&shape, &format!("[sheet]\nstanding = \"cross_44\"\n{tape}"));
    assert_eq!(said.standing, ["rail", "rail~", "cross_44"]);
    let ask = Ask { done: &["cross_8".to_owned()], tolerance: &|_| 0.003, tape: 0.001 };
    assert_eq!(fit(&shape, &read(tape, &shape), &ask).standing, ["cross_8"]);
    let f = asked(&shape, "");
    assert!(f.standing.is_empty() && f.places.is_empty() && f.next.is_empty() && f.checks.is_empty());
}

#[test]
fn distances_are_held_against_their_tolerance_with_their_uncertainty() {
    let shape = demo("wren");
    let held: String = ["rail_front", "rail_rear"].map(|p| format!("[held.{p}]\nof = \"{p}\"\n")).concat();
    let line = |l: f64, good: f64| {
        format!(
            "{held}[held.other]\nof = \"rail_front~\"\naxes = \"xz\"\n[tape]\nd1 = {{ from = \"rail_front\", to = \"rail_front~\", reads = {l}, good_to = {good} }}\n"
        )
    };
    // 3 mm are 0.118 in.
    for (l, good, want) in [
        (18.02, 0.02, Verdict::Within),
        (18.2, 0.02, Verdict::Over),
        (18.11, 0.02, Verdict::TooNear),
        (17.8, 0.02, Verdict::Over),
        (18.2, 0.2, Verdict::TooNear),
    ] {
        let f = asked(&shape, &line(l, good));
        let c = f.checks.iter().find(|c| c.of == Of::Width).expect("a width");
        assert_eq!(c.verdict, want, "{l} {good}: {c:?}");
        assert!((c.off() - (l - 18.0) * 0.0254).abs() < 1e-9 && (c.sigma - good * 0.0254).abs() < 1e-9);
    }
}

#[test]
fn a_gravity_reading_alone_leaves_the_rest_as_designed() {
    let shape = demo("gorse");
    let names: Vec<String> = shape.design.points.iter().map(|p| p.name.clone()).take(4).collect();
    let mut text = "[height]\n".to_owned();
    for (k, p) in names.iter().enumerate() {
        writeln!(text, "h{k} = {{ of = \"{p}\", reads = {} }}", (at(&shape, p).z + 0.3) * 1e3).expect("a line");
    }
    let f = asked(&shape, &text);
    assert!(f.troubles.is_empty());
    // Heights as designed: nothing moves, and what they do not tell is said.
    assert!(f.places.iter().all(|p| p.shift().length() < 1e-9));
    assert!(f.places.iter().all(|p| !p.loose.is_empty() || f.open_slides >= 2));
}
