//! Drawings as designs.

use design::{Design, Placement};
use draft::{Axis, Draft, Options, draft};
use drawing::{Drawing, Drawn, Form, Span, Unit};
use geometry::DVec3;

type P = [f64; 3];

fn v(p: P) -> DVec3 {
    DVec3::from(p)
}

fn line(a: P, b: P) -> Span {
    Span::Line { from: v(a), to: v(b) }
}

fn drawn(layer: &str, spans: Vec<Span>) -> Drawn {
    Drawn { layer: layer.into(), name: None, tags: Vec::new(), form: Form::Spans(spans), line: 1 }
}

/// A drawing of straight lines in mm.
fn lines(list: &[(&str, P, P)]) -> Drawing {
    let drawn = list.iter().map(|(l, a, b)| drawn(l, vec![line(*a, *b)])).collect();
    Drawing { unit: Some(Unit::Mm), drawn, ..Drawing::default() }
}

fn made(d: &Drawing, options: &Options) -> (Draft, Design) {
    let out = draft(d, options).unwrap();
    let reading =
        design::read(&out.text).unwrap_or_else(|p| panic!("{}\n{}", out.text, design::render(&p, "t", &out.text)));
    (out, reading.design)
}

fn plain() -> Options<'static> {
    Options::new("Test", "test.dxf")
}

fn tube<'d>(d: &'d Design, name: &str) -> &'d design::Tube {
    d.tubes
        .iter()
        .find(|t| t.name == name)
        .unwrap_or_else(|| panic!("{name}: {:?}", d.tubes.iter().map(|t| &t.name).collect::<Vec<_>>()))
}

/// A ladder: two rails, two rungs, a post on each rail's middle.
fn ladder() -> Vec<(&'static str, P, P)> {
    vec![
        ("rail", [-900.0, 300.0, 0.0], [900.0, 300.0, 0.0]),
        ("rail", [900.0, -300.0, 0.0], [-900.0, -300.0, 0.0]),
        ("cross", [500.0, -300.0, 0.0], [500.0, 300.0, 0.0]),
        ("cross", [-500.0, 300.0, 0.0], [-500.0, -300.0, 0.0]),
        ("post", [0.0, 300.0, 0.0], [0.0, 250.0, 700.0]),
        ("post", [0.0, -300.0, 0.0], [0.0, -250.0, 700.0]),
    ]
}

#[test]
fn a_ladder_is_half_written_and_hangs_together() {
    let (out, d) = made(&lines(&ladder()), &plain());
    assert_eq!((out.tubes, out.mirrored), (4, 2), "{}", out.text);
    assert!(tube(&d, "rail").mirror && tube(&d, "post").mirror && !tube(&d, "cross_1").mirror);
    let rung = tube(&d, "cross_1");
    let on = &d.points[rung.path[0].id.0];
    let Placement::On { along: design::Along::Plane { axis: 0, value, .. }, .. } = &on.placement else {
        panic!("{on:?}")
    };
    assert!((value - 0.5).abs() < 1e-12);
    assert!(rung.path[1].twin && rung.path[0].id == rung.path[1].id);
    // The post stands in the middle of its rail.
    let foot = &d.points[tube(&d, "post").path[0].id.0];
    assert!(matches!(&foot.placement, Placement::On { along: design::Along::Part(p), .. } if *p == 0.5), "{foot:?}");
    assert!(out.guessed.iter().any(|g| g.contains("size of 3 sections")), "{:?}", out.guessed);
    // Both sides, if that is wanted.
    let (both, _) = made(&lines(&ladder()), &Options { one_by_one: true, ..plain() });
    assert_eq!((both.tubes, both.mirrored), (6, 0));
}

#[test]
fn ends_that_miss_are_brought_together_and_told() {
    let mut l = ladder();
    l[4].1 = [0.4, 300.3, -0.5];
    l[5].1 = [0.4, -300.3, -0.5];
    let (out, d) = made(&lines(&l), &plain());
    assert_eq!(out.tubes, 4, "{}", out.text);
    let foot = &d.points[tube(&d, "post").path[0].id.0];
    assert!(matches!(&foot.placement, Placement::On { by, .. } if *by == DVec3::ZERO), "{foot:?}");
    assert!(out.done.iter().any(|g| g.contains("0.583 mm")), "{:?}", out.done);
    // Two ends of one side alone, nearly at one place.
    let two = lines(&[("a", [0.0, 0.0, 0.0], [1000.0, 0.0, 0.0]), ("a", [1000.6, 0.0, 0.0], [1000.0, 0.0, 800.0])]);
    let (out, d) = made(&two, &Options { one_by_one: true, ..plain() });
    assert_eq!(tube(&d, "a_1").path[1].id, tube(&d, "a_2").path[0].id, "{}", out.text);
    assert_eq!(out.points, 3);
    let (out, _) = made(&two, &Options { one_by_one: true, within: 1e-4, ..plain() });
    assert_eq!(out.points, 4, "farther apart than asked for");
}

#[test]
fn crossings_are_split_and_the_thicker_runs_through() {
    let d =
        lines(&[("thin", [0.0, 0.0, 0.0], [1000.0, 1000.0, 0.0]), ("thick", [0.0, 1000.0, 0.2], [1000.0, 0.0, 0.2])]);
    let sizes = vec![("thin".into(), "25 x 2 mm".into()), ("thick".into(), "40 x 2 mm".into())];
    let (out, d) = made(&d, &Options { sizes, one_by_one: true, ..plain() });
    assert_eq!(out.tubes, 3, "{}", out.text);
    assert_eq!(d.tubes[0].name, "thick", "what others stand on comes first");
    let (a, b) = (tube(&d, "thin_1"), tube(&d, "thin_2"));
    assert_eq!(a.path[1].id, b.path[0].id);
    assert!(matches!(&d.points[a.path[1].id.0].placement, Placement::On { .. }));
    assert!(out.guessed.iter().any(|g| g.contains("crossing split")), "{:?}", out.guessed);
}

#[test]
fn braces_that_cross_on_the_centre_plane_do_not_break_symmetry() {
    let mut l = ladder();
    l.push(("brace", [500.0, 300.0, 0.0], [-500.0, -300.0, 0.0]));
    l.push(("brace", [500.0, -300.0, 0.0], [-500.0, 300.0, 0.0]));
    let (out, d) = made(&lines(&l), &plain());
    // One brace whole, the other in two: none of the three has a twin, all else has.
    assert_eq!((out.tubes, out.mirrored), (7, 2), "{}", out.text);
    assert!(d.tubes.iter().filter(|t| t.section.0 == 3).all(|t| !t.mirror));
}

#[test]
fn a_line_in_pieces_is_one_tube_unless_something_runs_through() {
    let mut l = vec![
        ("rail", [0.0, 0.0, 0.0], [500.0, 0.0, 0.0]),
        ("rail", [1200.0, 0.0, 0.0], [500.0, 0.0, 0.0]),
        ("rail", [1200.0, 0.0, 0.0], [2000.0, 0.0, 0.0]),
        ("post", [500.0, 0.0, 0.0], [500.0, 0.0, 600.0]),
    ];
    let options = Options { one_by_one: true, ..plain() };
    let (out, d) = made(&lines(&l), &options);
    assert_eq!(out.tubes, 2, "{}", out.text);
    assert!(matches!(&d.points[tube(&d, "post").path[0].id.0].placement, Placement::On { .. }));
    let (out, _) = made(&lines(&l), &Options { as_drawn: true, ..options.clone() });
    assert_eq!(out.tubes, 4);
    // A post that runs through: the two pieces beside it end on it.
    l[3].1 = [500.0, 0.0, -300.0];
    let (out, _) = made(&lines(&l), &options);
    assert_eq!(out.tubes, 3, "{}", out.text);
}

#[test]
fn a_line_in_pieces_is_held_to_the_tolerance() {
    let rail = |y: f64, bow: f64| {
        let at = |k: usize| [k as f64 * 500.0, y, bow * (1.0 - (k as f64 / 2.0 - 1.0).powi(2))];
        (0..4).map(|k| ("rail", at(k), at(k + 1))).collect::<Vec<_>>()
    };
    let options = Options { within: 6e-3, ..plain() };
    // Bowed by 2 mm on one side, by 3 on the other: two rails, and told how far the pieces were off.
    let mut l = rail(300.0, 2.0);
    l.extend(rail(-300.0, -3.0));
    let (out, _) = made(&lines(&l), &options);
    assert_eq!((out.tubes, out.mirrored), (1, 1), "{}", out.text);
    assert!(out.guessed.iter().any(|g| g.contains("3.00 mm")), "{:?}", out.guessed);
    // Ten pieces that each go on straight to 0.11 degrees, and bow by 12 mm in all.
    let mut at = [[0.0, 0.0, 0.0]; 11];
    for k in 1..11 {
        let (s, c) = (0.0019 * k as f64).sin_cos();
        at[k] = [at[k - 1][0] + 500.0 * c, 0.0, at[k - 1][2] + 500.0 * s];
    }
    let camber: Vec<(&str, P, P)> = at.windows(2).map(|w| ("rail", w[0], w[1])).collect();
    let (out, _) = made(&lines(&camber), &Options { one_by_one: true, ..options.clone() });
    assert_eq!(out.tubes, 10, "{}", out.text);
    // By 40 mm, each piece still nearly straight on: that is no straight tube.
    let (out, _) = made(&lines(&rail(0.0, 40.0)), &Options { one_by_one: true, ..options });
    assert_eq!(out.tubes, 4, "{}", out.text);
}

#[test]
fn lines_and_arcs_make_a_bent_tube_either_way_round() {
    let r = 120.0;
    let arc = |centre: P, start: P, axis: P| Span::Arc {
        centre: v(centre),
        axis: v(axis),
        start: v(start),
        sweep: 90f64.to_radians(),
    };
    let parts = [
        line([0.0, 0.0, 0.0], [0.0, 0.0, 600.0]),
        arc([0.0, -r, 600.0], [0.0, r, 0.0], [1.0, 0.0, 0.0]),
        line([0.0, -r, 720.0], [0.0, -900.0, 720.0]),
        arc([-r, -900.0, 720.0], [r, 0.0, 0.0], [0.0, 0.0, -1.0]),
        line([-r, -1020.0, 720.0], [-800.0, -1020.0, 720.0]),
    ];
    for order in [[0, 1, 2, 3, 4], [4, 2, 0, 1, 3], [1, 3, 0, 2, 4]] {
        for flip in 0..32 {
            let spans = order.map(|k| if flip >> k & 1 == 1 { parts[k].reversed() } else { parts[k] });
            let d = Drawing {
                unit: Some(Unit::Mm),
                drawn: spans.iter().map(|s| drawn("hoop", vec![*s])).collect(),
                ..Drawing::default()
            };
            let (out, design) = made(&d, &Options { one_by_one: true, ..plain() });
            assert_eq!(out.tubes, 1, "{order:?} {flip}");
            let t = tube(&design, "hoop");
            assert_eq!(t.path.len(), 4);
            let at = |k: usize| match design.points[t.path[k].id.0].placement {
                Placement::At(p) => p,
                _ => panic!(),
            };
            let corners: Vec<DVec3> =
                if at(0).z < 0.1 { (0..4).map(at).collect() } else { (0..4).rev().map(at).collect() };
            let want = [[0.0, 0.0, 0.0], [0.0, 0.0, 0.72], [0.0, -1.02, 0.72], [-0.8, -1.02, 0.72]];
            for (c, w) in corners.iter().zip(want) {
                assert!(c.distance(v(w)) < 1e-8, "{c} {w:?}");
            }
            assert!(t.bend_radii.iter().all(|r| (r - 0.12).abs() < 1e-9), "{:?}", t.bend_radii);
        }
    }
}

#[test]
fn a_mirrored_bent_hoop_is_its_own_image() {
    let h = |y: f64, z: f64| [-200.0, y, z];
    let spans = vec![
        line(h(500.0, 0.0), h(500.0, 900.0)),
        Span::Arc {
            centre: v(h(350.0, 900.0)),
            axis: DVec3::X,
            start: v([0.0, 150.0, 0.0]),
            sweep: 90f64.to_radians(),
        },
        line(h(350.0, 1050.0), h(-350.0, 1050.0)),
        Span::Arc {
            centre: v(h(-350.0, 900.0)),
            axis: DVec3::X,
            start: v([0.0, 0.0, 150.0]),
            sweep: 90f64.to_radians(),
        },
        line(h(-500.0, 900.0), h(-500.0, 0.0)),
    ];
    let mut d = lines(&ladder());
    d.drawn.push(drawn("hoop", spans));
    let (out, design) = made(&d, &plain());
    let t = tube(&design, "hoop");
    assert!(!t.mirror && t.path.len() == 4, "{}", out.text);
    assert!(t.path[0].id == t.path[3].id && t.path[1].id == t.path[2].id && t.path[3].twin && t.path[2].twin);
}

#[test]
fn other_axes_units_and_centre_planes() {
    // The same ladder with y up, lengthwise in z, 5 m off to the side, in inches.
    let to = |p: P| [p[1] / 25.4 + 200.0, p[2] / 25.4, p[0] / 25.4];
    let moved: Vec<(&str, P, P)> = ladder().into_iter().map(|(l, a, b)| (l, to(a), to(b))).collect();
    let mut d = lines(&moved);
    d.unit = None;
    let up = Some(Axis { axis: 1, negative: false });
    let (out, design) = made(&d, &Options { up, unit: Some(Unit::In), ..plain() });
    assert_eq!((out.tubes, out.mirrored), (4, 2), "{}", out.text);
    assert_eq!(design.units, design::Units::In);
    assert!(tube(&design, "rail").mirror);
    let Placement::At(p) = design.points[tube(&design, "rail").path[0].id.0].placement else { panic!() };
    assert!((p.y - 0.3).abs() < 1e-8 && p.z.abs() < 1e-8 && (p.x.abs() - 0.9).abs() < 1e-8, "{p}");
    // Without a word about the unit: 71 across can't be mm, and is taken for inches.
    let (out, _) = made(&d, &Options { up, ..plain() });
    assert!(out.guessed.iter().any(|g| g.contains("1 in")), "{:?}", out.guessed);
    // Forward said: no guess about it, and it points there.
    let back = Axis::from_word("-x").unwrap();
    let (out, design) = made(&lines(&ladder()), &Options { forward: Some(back), ..plain() });
    let Placement::At(p) = design.points[tube(&design, "rail").path[0].id.0].placement else { panic!() };
    assert!(!out.guessed.iter().any(|g| g.contains("forward")) && p.y > 0.0, "{:?}", out.guessed);
    assert!(draft(&d, &Options { up, forward: up, ..plain() }).unwrap_err().contains("forward"));
}

#[test]
fn a_flowing_line_goes_to_the_fewest_bends_of_the_die() {
    // An arc of 400 mm radius and 60 degrees between legs, as 40 short lines.
    let mut points = vec![[-500.0, 0.0, 0.0]];
    points.extend((0..=40).map(|k| {
        let a = 60f64.to_radians() * k as f64 / 40.0;
        [400.0 * a.sin(), 400.0 - 400.0 * a.cos(), 0.0]
    }));
    let end = points[points.len() - 1];
    let (s, c) = 60f64.to_radians().sin_cos();
    points.push([end[0] + 500.0 * c, end[1] + 500.0 * s, 0.0]);
    let spans = points.windows(2).map(|w| line(w[0], w[1])).collect();
    let d = Drawing { unit: Some(Unit::Mm), drawn: vec![drawn("roof", spans)], ..Drawing::default() };
    let (out, design) = made(&d, &Options { radii: vec![("roof".into(), 0.135)], one_by_one: true, ..plain() });
    let t = tube(&design, "roof");
    assert!(t.path.len() >= 3 && t.bend_radii.iter().all(|r| *r == 0.135), "{}", out.text);
    assert!(out.text.contains("mm off the drawing"), "{}", out.text);
    // Without a die it stays a curve, and the file can be read.
    let (out, design) = made(&d, &Options { one_by_one: true, ..plain() });
    assert_eq!((out.tubes, out.curves, design.curves.len()), (0, 1, 1));
}

#[test]
fn corners_of_a_polyline_are_bent_where_a_die_is_known() {
    let spans = vec![
        line([0.0, 0.0, 0.0], [0.0, 0.0, 800.0]),
        line([0.0, 0.0, 800.0], [0.0, 700.0, 900.0]),
        line([0.0, 700.0, 900.0], [0.0, 760.0, 900.0]),
    ];
    let d = Drawing { unit: Some(Unit::Mm), drawn: vec![drawn("bar", spans)], ..Drawing::default() };
    let (out, _) = made(&d, &Options { one_by_one: true, ..plain() });
    assert_eq!(out.tubes, 3, "three straight tubes that meet: {}", out.text);
    let (out, design) = made(&d, &Options { one_by_one: true, radii: vec![("bar".into(), 0.12)], ..plain() });
    assert_eq!(out.tubes, 1, "{}", out.text);
    assert_eq!(tube(&design, "bar").path.len(), 4);
}

#[test]
fn a_hoop_with_another_fillet_keeps_its_corners() {
    for r in [60.0, 200.0] {
        let h = |y: f64, z: f64| [0.0, y, z];
        let arc = |y: f64, start: P| Span::Arc {
            centre: v(h(y, 1100.0 - r)),
            axis: DVec3::X,
            start: v(start),
            sweep: 90f64.to_radians(),
        };
        let spans = vec![
            line(h(400.0, 0.0), h(400.0, 1100.0 - r)),
            arc(400.0 - r, [0.0, r, 0.0]),
            line(h(400.0 - r, 1100.0), h(r - 400.0, 1100.0)),
            arc(r - 400.0, [0.0, 0.0, r]),
            line(h(-400.0, 1100.0 - r), h(-400.0, 0.0)),
        ];
        let d = Drawing { unit: Some(Unit::Mm), drawn: vec![drawn("hoop", spans)], ..Drawing::default() };
        let (out, design) = made(&d, &Options { radii: vec![("hoop".into(), 0.135)], ..plain() });
        let t = tube(&design, "hoop");
        assert_eq!((t.path.len(), t.path[3].twin), (4, true), "{}", out.text);
        let corner = &design.points[t.path[1].id.0];
        assert!(matches!(corner.placement, Placement::At(p) if p.distance(v([0.0, 0.4, 1.1])) < 1e-8), "{corner:?}");
        assert!(out.guessed.iter().any(|g| g.contains("another radius")), "{:?}", out.guessed);
    }
}

#[test]
fn names_of_the_shop_are_not_given_again() {
    let shop = design::starter(design::Units::Mm);
    let with = design::read(&shop).unwrap().design;
    let mut l = ladder();
    l.push(("Hoop", [-200.0, 300.0, 0.0], [-200.0, 300.0, 800.0]));
    // The rail is the shop's; another size of hoop than the shop's, on a die of its own.
    let options = Options {
        with: Some((&with, &shop)),
        sizes: vec![("Hoop".into(), "50 x 3 mm".into())],
        radii: vec![("Hoop".into(), 0.15)],
        one_by_one: true,
        ..plain()
    };
    let (out, d) = made(&lines(&l), &options);
    assert!(out.text.contains("[section.hoop]") && out.text.contains("[section.hoop_2]"), "{}", out.text);
    assert_eq!(
        d.sections[tube(&d, "rail_1").section.0].span,
        d.sections.iter().find(|s| s.name == "rail").unwrap().span
    );
    assert_eq!(d.sections[tube(&d, "hoop_2").section.0].name, "hoop_2");
}

#[test]
fn a_line_drawn_along_a_bent_tube_is_left_out() {
    let mut d = lines(&ladder());
    let h = |y: f64, z: f64| [-200.0, y, z];
    let corners = [h(300.0, 0.0), h(300.0, 900.0), h(-300.0, 900.0), h(-300.0, 0.0)];
    d.drawn.push(drawn("HOOP 1.75x.12", corners.windows(2).map(|w| line(w[0], w[1])).collect()));
    for y in [300.0, -300.0] {
        d.drawn.push(drawn("HOOP 1.75x.12", vec![line(h(y, 0.0), h(y, 650.0))]));
        d.drawn.push(drawn("brace", vec![line(h(y, 400.0), h(y, 100.0))]));
    }
    let (out, design) = made(&d, &Options { radii: vec![("HOOP 1.75x.12".into(), 0.15)], ..plain() });
    assert_eq!((out.tubes, out.mirrored), (5, 2), "{}", out.text);
    assert!(out.guessed.iter().any(|g| g.contains("4 lines that lie all along")), "{:?}", out.guessed);
    // The size in the layer's name is the section's, in its own unit, and not a part of what it is called.
    assert_eq!(tube(&design, "hoop").path.len(), 4);
    assert!(out.text.contains("od = \"1.75 in\"") && out.text.contains("[die.hoop]"), "{}", out.text);
}

#[test]
fn tubes_on_each_other_in_a_ring_are_told() {
    let d = lines(&[
        ("a", [0.0, 0.0, 0.0], [1000.0, 300.0, 0.0]),
        ("a", [700.0, 210.0, 0.0], [500.0, 900.0, 0.0]),
        ("a", [560.0, 693.0, 0.0], [300.0, 90.0, 0.0]),
    ]);
    // The third lands on the second and the first; the second on the first: no ring yet.
    let (out, _) = made(&d, &Options { one_by_one: true, ..plain() });
    assert!(!out.guessed.iter().any(|g| g.contains("ring")));
    // Three that each end on the next: from beyond one corner of a triangle to its next corner.
    let (h, l) = (200.0, 900.0);
    let bar = |turn: f64| {
        let (s, c) = turn.to_radians().sin_cos();
        let at = |x: f64, y: f64| [c * x - s * y, s * x + c * y, 0.0];
        ("a", at(-l, -h), at(3f64.sqrt() * h, -h))
    };
    let (out, d) = made(&lines(&[bar(0.0), bar(120.0), bar(240.0)]), &Options { one_by_one: true, ..plain() });
    assert_eq!(out.tubes, 3, "{}", out.text);
    assert!(out.guessed.iter().any(|g| g.contains("ring, so 1 point")), "{:?}", out.guessed);
    assert_eq!(d.points.iter().filter(|p| matches!(p.placement, Placement::On { .. })).count(), 2);
}

#[test]
fn what_can_not_become_a_frame_is_told() {
    let empty = Drawing::default();
    assert!(draft(&empty, &plain()).unwrap_err().contains("no lines"));
    let point = lines(&[("a", [1.0, 1.0, 1.0], [1.0, 1.0, 1.0])]);
    assert!(draft(&point, &plain()).unwrap_err().contains("one place"));
    let far = lines(&[("a", [0.0, 0.0, 0.0], [1e300, 0.0, 0.0])]);
    assert!(draft(&far, &plain()).is_err());
    let one = lines(&ladder());
    let sizes = vec![("rial".into(), "40 x 2 mm".into())];
    assert!(draft(&one, &Options { sizes, ..plain() }).unwrap_err().contains("did you mean `rail`"));
    let sizes = vec![("rail".into(), "forty".into())];
    assert!(draft(&one, &Options { sizes, ..plain() }).unwrap_err().contains("forty"));
    let layers = vec!["hop".to_owned()];
    assert!(draft(&one, &Options { layers, ..plain() }).unwrap_err().contains("hop"));
    let radii = vec![("rail".into(), 0.001)];
    assert!(draft(&one, &Options { radii, ..plain() }).is_err());
}

#[test]
fn names_and_comments_of_any_words_make_a_file() {
    let mut d = lines(&ladder());
    for (k, x) in d.drawn.iter_mut().enumerate() {
        x.layer = ["Öbere \"Rohre\"\n[tube.x]", "45x2.5", "\u{1F6B2}"][k / 2].into();
        x.name = Some(["rail", "Rail", "a\nb = 1", "", "~", "x".repeat(200).as_str()][k].to_owned());
    }
    let name = "a\n\"b\" \\ [c] \u{200b}\u{1}'";
    let options = Options { one_by_one: true, ..Options::new(name, "x\n[y]\u{0}") };
    let (out, design) = made(&d, &options);
    assert_eq!(out.tubes, 6, "{}", out.text);
    assert_eq!(design.name, name);
}
