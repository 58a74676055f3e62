//! DXF: what is drawn where, and what is refused.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use drawing::{Drawing, Form, Span, Unit, dxf};
use glam::DVec3;
use proptest::prelude::*;

/// A file of pairs.
fn file(header: &[(i32, &str)], tables: &[(i32, &str)], blocks: &[(i32, &str)], entities: &[(i32, &str)]) -> String {
    let mut out = String::new();
    for (name, tags) in [("HEADER", header), ("TABLES", tables), ("BLOCKS", blocks), ("ENTITIES", entities)] {
        out += &format!("0\nSECTION\n2\n{name}\n");
        tags.iter().for_each(|(c, v)| out += &format!("{c}\n{v}\n"));
        out += "0\nENDSEC\n";
    }
    out + "0\nEOF\n"
}

fn drawn(entities: &[(i32, &str)]) -> Drawing {
    dxf::read(file(&[], &[], &[], entities).as_bytes()).unwrap()
}

fn spans(d: &Drawing) -> Vec<Span> {
    d.drawn
        .iter()
        .flat_map(|d| match &d.form {
            Form::Spans(s) => s.clone(),
            Form::Curve(_) => panic!("a curve"),
        })
        .collect()
}

fn near(a: DVec3, b: [f64; 3]) {
    assert!(a.distance(DVec3::from(b)) < 1e-9, "{a} is not {b:?}");
}

#[test]
fn lines_units_layers_and_what_is_left_out() {
    let text = file(
        &[(9, "$ACADVER"), (1, "AC1015"), (9, "$INSUNITS"), (70, "1")],
        &[(0, "LAYER"), (2, "off"), (70, "0"), (62, "-7"), (0, "LAYER"), (2, "frozen"), (70, "1"), (62, "7")],
        &[],
        &[
            (0, "LINE"),
            (8, "hoop"),
            (10, "1"),
            (20, "2"),
            (30, "3"),
            (11, "4.5e1"),
            (21, "-5"),
            (31, "6"),
            (0, "LINE"),
            (8, "off"),
            (10, "0"),
            (20, "0"),
            (11, "1"),
            (21, "1"),
            (0, "LINE"),
            (8, "frozen"),
            (10, "0"),
            (20, "0"),
            (11, "1"),
            (21, "1"),
            (0, "LINE"),
            (8, "a"),
            (67, "1"),
            (10, "0"),
            (20, "0"),
            (11, "1"),
            (21, "1"),
            (0, "TEXT"),
            (8, "a"),
            (1, "words"),
        ],
    );
    let d = dxf::read(text.replace('\n', "\r\n").as_bytes()).unwrap();
    assert_eq!(d.unit, Some(Unit::In));
    assert_eq!((d.drawn.len(), d.drawn[0].layer.as_str()), (1, "hoop"));
    near(spans(&d)[0].at(1.0), [45.0, -5.0, 6.0]);
    let counts: Vec<usize> = d.left_out.iter().map(|l| l.count).collect();
    assert_eq!(counts, [1, 1, 1, 1], "{:?}", d.left_out);
}

#[test]
fn arcs_lie_in_the_plane_of_their_normal() {
    // The reference's own rule: near z the plane's x is y × n, else z × n.
    let arc = |n: [&'static str; 3]| {
        drawn(&[
            (0, "ARC"),
            (8, "0"),
            (10, "10"),
            (20, "0"),
            (30, "5"),
            (40, "2"),
            (50, "0"),
            (51, "90"),
            (210, n[0]),
            (220, n[1]),
            (230, n[2]),
        ])
    };
    let s = spans(&arc(["0", "0", "1"]))[0];
    near(s.at(0.0), [12.0, 0.0, 5.0]);
    near(s.at(1.0), [10.0, 2.0, 5.0]);
    // Upside down: x runs to -x, and the arc the other way round as seen from above.
    let s = spans(&arc(["0", "0", "-1"]))[0];
    near(s.at(0.0), [-12.0, 0.0, -5.0]);
    near(s.at(1.0), [-10.0, 2.0, -5.0]);
    // Square to x: the plane's x is y, its y is z.
    let s = spans(&arc(["1", "0", "0"]))[0];
    near(s.at(0.0), [5.0, 12.0, 0.0]);
    near(s.at(1.0), [5.0, 10.0, 2.0]);
    // Through zero degrees.
    let s = spans(&drawn(&[(0, "ARC"), (8, "0"), (10, "0"), (20, "0"), (40, "1"), (50, "270"), (51, "45")]))[0];
    let Span::Arc { sweep, .. } = s else { panic!() };
    assert!((sweep - 135f64.to_radians()).abs() < 1e-12);
    let s = spans(&drawn(&[(0, "CIRCLE"), (8, "0"), (10, "0"), (20, "0"), (40, "1")]))[0];
    assert!((s.length() - TAU).abs() < 1e-12);
}

#[test]
fn bulges_are_arcs() {
    // A half circle to the right of its chord (bulge 1), then a straight, then a quarter to the left.
    let q = (PI / 8.0).tan();
    let q = format!("-{q}");
    let d = drawn(&[
        (0, "LWPOLYLINE"),
        (8, "0"),
        (90, "99999999"),
        (70, "0"),
        (38, "7"),
        (10, "0"),
        (20, "0"),
        (42, "1"),
        (10, "2"),
        (20, "0"),
        (10, "4"),
        (20, "0"),
        (42, &q),
        (10, "5"),
        (20, "-1"),
    ]);
    let s = spans(&d);
    assert_eq!(s.len(), 3);
    near(s[0].at(0.5), [1.0, -1.0, 7.0]);
    near(s[1].at(0.5), [3.0, 0.0, 7.0]);
    let Span::Arc { centre, sweep, .. } = s[2] else { panic!() };
    near(centre, [4.0, -1.0, 7.0]);
    assert!((sweep - FRAC_PI_2).abs() < 1e-12);
    near(s[2].at(0.0), [4.0, 0.0, 7.0]);
    near(s[2].at(1.0), [5.0, -1.0, 7.0]);
    // Closed: one span more.
    let closed = drawn(&[
        (0, "LWPOLYLINE"),
        (8, "0"),
        (70, "1"),
        (10, "0"),
        (20, "0"),
        (10, "2"),
        (20, "0"),
        (10, "2"),
        (20, "1"),
    ]);
    assert_eq!(spans(&closed).len(), 3);
}

#[test]
fn old_polylines_in_space_and_flat() {
    let d = drawn(&[
        (0, "POLYLINE"),
        (8, "0"),
        (70, "8"),
        (0, "VERTEX"),
        (8, "0"),
        (70, "32"),
        (10, "1"),
        (20, "2"),
        (30, "3"),
        (0, "VERTEX"),
        (8, "0"),
        (70, "32"),
        (10, "4"),
        (20, "5"),
        (30, "6"),
        (0, "SEQEND"),
        (0, "LINE"),
        (8, "0"),
        (10, "0"),
        (20, "0"),
        (11, "1"),
        (21, "1"),
    ]);
    assert_eq!(d.drawn.len(), 2);
    near(spans(&d)[0].at(1.0), [4.0, 5.0, 6.0]);
    let flat = drawn(&[
        (0, "POLYLINE"),
        (8, "0"),
        (70, "0"),
        (30, "9"),
        (0, "VERTEX"),
        (10, "0"),
        (20, "0"),
        (42, "1"),
        (0, "VERTEX"),
        (10, "2"),
        (20, "0"),
        (0, "SEQEND"),
    ]);
    near(spans(&flat)[0].at(0.5), [1.0, -1.0, 9.0]);
}

#[test]
fn blocks_are_put_where_they_are_inserted() {
    let blocks = [
        (0, "BLOCK"),
        (8, "0"),
        (2, "bay"),
        (10, "1"),
        (20, "0"),
        (30, "0"),
        (0, "LINE"),
        (8, "0"),
        (10, "1"),
        (20, "0"),
        (30, "0"),
        (11, "2"),
        (21, "0"),
        (31, "0"),
        (0, "ARC"),
        (8, "own"),
        (10, "2"),
        (20, "1"),
        (30, "0"),
        (40, "1"),
        (50, "270"),
        (51, "360"),
        (0, "ENDBLK"),
        (8, "0"),
        (0, "BLOCK"),
        (8, "0"),
        (2, "outer"),
        (10, "0"),
        (20, "0"),
        (30, "0"),
        (0, "INSERT"),
        (8, "0"),
        (2, "bay"),
        (10, "0"),
        (20, "0"),
        (30, "0"),
        (50, "90"),
        (0, "ENDBLK"),
        (8, "0"),
    ];
    let read = |entities: &[(i32, &str)]| dxf::read(file(&[], &[], &blocks, entities).as_bytes()).unwrap();
    // Twice as large, mirrored in x: arcs stay arcs.
    let d = read(&[
        (0, "INSERT"),
        (8, "left"),
        (2, "outer"),
        (10, "10"),
        (20, "20"),
        (30, "30"),
        (41, "-2"),
        (42, "2"),
        (43, "2"),
    ]);
    assert_eq!(d.drawn.iter().map(|d| d.layer.as_str()).collect::<Vec<_>>(), ["left", "own"]);
    let s = spans(&d);
    near(s[0].at(0.0), [10.0, 20.0, 30.0]);
    near(s[0].at(1.0), [10.0, 22.0, 30.0]);
    // In the block the arc goes from (2, 0) to (3, 1) about (2, 1); less the base, turned by a quarter, mirrored, doubled.
    near(s[1].at(0.0), [10.0, 22.0, 30.0]);
    near(s[1].at(1.0), [12.0, 24.0, 30.0]);
    near(s[1].at(0.5), [10.0 + 2.0 - 2f64.sqrt(), 20.0 + 2.0 + 2f64.sqrt(), 30.0]);
    // Drawn out of shape, it is no arc any more.
    let d = read(&[(0, "INSERT"), (8, "a"), (2, "bay"), (10, "0"), (20, "0"), (41, "3")]);
    let Form::Curve(p) = &d.drawn[1].form else { panic!() };
    near(p[0], [3.0, 0.0, 0.0]);
    near(p[p.len() - 1], [6.0, 1.0, 0.0]);
    // An array.
    let d =
        read(&[(0, "INSERT"), (8, "a"), (2, "bay"), (10, "0"), (20, "0"), (70, "3"), (71, "2"), (44, "5"), (45, "7")]);
    assert_eq!(d.drawn.len(), 12);
    near(spans(&d)[10].at(0.0), [10.0, 7.0, 0.0]);
    let d = read(&[(0, "INSERT"), (8, "a"), (2, "nowhere"), (10, "0"), (20, "0")]);
    assert!(d.drawn.is_empty() && d.left_out[0].what.contains("nowhere"));
}

#[test]
fn what_would_take_all_memory_is_refused() {
    let mut blocks = Vec::new();
    let names: Vec<String> = (0..12).map(|k| format!("b{k}")).collect();
    for k in 0..12 {
        blocks.extend([(0, "BLOCK"), (2, names[k].as_str()), (10, "0"), (20, "0")]);
        if k == 0 {
            blocks.extend([(0, "LINE"), (8, "0"), (10, "0"), (20, "0"), (11, "1"), (21, "0")]);
        } else {
            blocks.extend([(0, "INSERT"), (2, names[k - 1].as_str()), (10, "0"), (20, "0"), (70, "10"), (71, "10")]);
        }
        blocks.push((0, "ENDBLK"));
    }
    let insert =
        |name: &'static str, n: &'static str| vec![(0, "INSERT"), (2, name), (10, "0"), (20, "0"), (70, n), (71, n)];
    for (b, e) in [
        (&blocks[..], insert("b11", "1")),
        (&blocks[..], insert("b0", "2000000000")),
        (&blocks[..], insert("b0", "9223372036854775807")),
    ] {
        let e = dxf::read(file(&[], &[], b, &e).as_bytes()).unwrap_err();
        assert!(e.what.contains("no frame"), "{e}");
    }
    let own =
        [(0, "BLOCK"), (2, "a"), (10, "0"), (20, "0"), (0, "INSERT"), (2, "a"), (10, "0"), (20, "0"), (0, "ENDBLK")];
    let e = dxf::read(file(&[], &[], &own, &insert("a", "1")).as_bytes()).unwrap_err();
    assert!(e.what.contains("inside itself"), "{e}");
    // An empty block a billion times, and a spline that says it has a billion knots.
    let empty = [(0, "BLOCK"), (2, "a"), (10, "0"), (20, "0"), (0, "ENDBLK")];
    assert!(dxf::read(file(&[], &[], &empty, &insert("a", "40000")).as_bytes()).is_err());
    let spline =
        [(0, "SPLINE"), (8, "0"), (71, "3"), (72, "1000000000"), (73, "1000000000"), (40, "0"), (10, "0"), (20, "0")];
    let d = dxf::read(file(&[], &[], &[], &spline).as_bytes()).unwrap();
    assert!(d.drawn.is_empty() && d.left_out[0].what.contains("control points"), "{:?}", d.left_out);
}

#[test]
fn splines_and_ellipses_are_followed() {
    // A Bezier curve of degree 3 by its definition.
    let d = drawn(&[
        (0, "SPLINE"),
        (8, "0"),
        (70, "8"),
        (71, "3"),
        (40, "0"),
        (40, "0"),
        (40, "0"),
        (40, "0"),
        (40, "1"),
        (40, "1"),
        (40, "1"),
        (40, "1"),
        (10, "0"),
        (20, "0"),
        (30, "0"),
        (10, "1"),
        (20, "2"),
        (30, "0"),
        (10, "3"),
        (20, "2"),
        (30, "1"),
        (10, "4"),
        (20, "0"),
        (30, "2"),
    ]);
    let Form::Curve(p) = &d.drawn[0].form else { panic!() };
    let c = [[0., 0., 0.], [1., 2., 0.], [3., 2., 1.], [4., 0., 2.]].map(DVec3::from);
    for (k, q) in p.iter().enumerate() {
        let (t, u) = (k as f64 / (p.len() - 1) as f64, 1.0 - k as f64 / (p.len() - 1) as f64);
        let want = c[0] * u * u * u + c[1] * (3.0 * u * u * t) + c[2] * (3.0 * u * t * t) + c[3] * t * t * t;
        near(*q, want.to_array());
    }
    // A quarter circle as a rational curve: every place is at its radius.
    let w = (0.5f64).sqrt().to_string();
    let d = drawn(&[
        (0, "SPLINE"),
        (8, "0"),
        (71, "2"),
        (40, "0"),
        (40, "0"),
        (40, "0"),
        (40, "1"),
        (40, "1"),
        (40, "1"),
        (41, "1"),
        (41, &w),
        (41, "1"),
        (10, "5"),
        (20, "0"),
        (30, "0"),
        (10, "5"),
        (20, "5"),
        (30, "0"),
        (10, "0"),
        (20, "5"),
        (30, "0"),
    ]);
    let Form::Curve(p) = &d.drawn[0].form else { panic!() };
    assert!(p.iter().all(|q| (q.length() - 5.0).abs() < 1e-9));
    // Half an ellipse, upside down.
    let half = PI.to_string();
    let d = drawn(&[
        (0, "ELLIPSE"),
        (8, "0"),
        (10, "1"),
        (20, "0"),
        (30, "0"),
        (11, "4"),
        (21, "0"),
        (31, "0"),
        (40, "0.5"),
        (41, "0"),
        (42, &half),
        (210, "0"),
        (220, "0"),
        (230, "-1"),
    ]);
    let Form::Curve(p) = &d.drawn[0].form else { panic!() };
    near(p[p.len() / 2], [1.0, -2.0, 0.0]);
    near(p[p.len() - 1], [-3.0, 0.0, 0.0]);
    // One that is round is an arc.
    let d = drawn(&[
        (0, "ELLIPSE"),
        (8, "0"),
        (10, "0"),
        (20, "0"),
        (30, "0"),
        (11, "0"),
        (21, "3"),
        (31, "0"),
        (40, "1"),
        (41, "0"),
        (42, &half),
    ]);
    let s = spans(&d)[0];
    near(s.at(0.0), [0.0, 3.0, 0.0]);
    near(s.at(0.5), [-3.0, 0.0, 0.0]);
}

#[test]
fn what_is_wrong_is_told_with_its_line() {
    for (text, line, word) in [
        ("", None, "ENTITIES"),
        ("hello", Some(1), "code"),
        ("0\nSECTION\n2\nENTITIES\n0\nLINE\n10\nabc\n20\n0\n11\n1\n21\n1\n0\nENDSEC\n0\nEOF\n", Some(8), "number"),
        ("0\nSECTION\n2\nENTITIES\n0\nLINE\n10\n1\n20\n0\n0\nENDSEC\n0\nEOF\n", Some(6), "11"),
        ("0\nSECTION\n2\nENTITIES\n0\nLINE\n10\ninf\n", Some(8), "number"),
        ("0\nSECTION\n2", Some(3), "ends"),
        ("Some Binary DXF\r\n\x1a\0\x00", None, "binary"),
    ] {
        let e = dxf::read(text.as_bytes()).unwrap_err();
        assert_eq!((e.line, e.what.contains(word)), (line, true), "{text:?}: {e}");
    }
}

proptest! {
    #[test]
    fn any_bytes_give_a_drawing_or_words(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        let _ = dxf::read(&bytes);
        let _ = drawing::obj::read(&bytes);
    }

    #[test]
    fn any_pairs_give_a_drawing_or_words(
        tags in prop::collection::vec((prop::sample::select(vec![0, 2, 8, 9, 10, 11, 20, 21, 30, 40, 41, 42, 50, 51, 60, 62, 70, 71, 210, 220, 230, 1000, 1001]),
            prop::sample::select(vec!["SECTION", "ENDSEC", "ENTITIES", "BLOCKS", "HEADER", "LINE", "ARC", "SPLINE", "INSERT", "BLOCK", "ENDBLK",
                "POLYLINE", "LWPOLYLINE", "VERTEX", "SEQEND", "ELLIPSE", "CIRCLE", "a", "0", "1", "-1", "1e300", "-1e308", "3", "1e-320", "nan", "$INSUNITS"])), 0..60)
    ) {
        let text: String = tags.iter().map(|(c, v)| format!("{c}\n{v}\n")).collect();
        let _ = dxf::read(text.as_bytes());
        let _ = dxf::read(format!("0\nSECTION\n2\nENTITIES\n{text}").as_bytes());
    }
}
