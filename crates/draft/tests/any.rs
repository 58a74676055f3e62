//! Any drawing gives a design file that can be read, or words.

use draft::{Options, draft, table};
use drawing::{Drawing, Drawn, Form, Span};
use geometry::DVec3;
use proptest::prelude::*;

/// Places on a coarse lattice: everything meets, overlaps and lies on everything else.
fn place() -> impl Strategy<Value = DVec3> {
    (-3..=3, -3..=3, 0..=2).prop_map(|(x, y, z)| DVec3::new(x as f64, y as f64, z as f64) * 200.0)
}

fn span() -> impl Strategy<Value = Span> {
    prop_oneof![
        4 => (place(), place()).prop_map(|(from, to)| Span::Line { from, to }),
        1 => (place(), 0..3usize, prop::sample::select(vec![0.5, 60.0, 200.0]), 0..4, prop::sample::select(vec![0.3, 90.0, 180.0, 270.0, 360.0]))
            .prop_map(|(centre, axis, radius, quarter, sweep): (DVec3, usize, f64, i32, f64)| {
                let axes = [DVec3::X, DVec3::Y, DVec3::Z];
                let (a, b) = (axes[(axis + 1) % 3], axes[(axis + 2) % 3]);
                let start = [a, b, -a, -b][quarter as usize] * radius;
                Span::Arc { centre, axis: axes[axis], start, sweep: sweep.to_radians() }
            }),
    ]
}

fn form() -> impl Strategy<Value = Form> {
    prop_oneof![
        6 => prop::collection::vec(span(), 1..2).prop_map(Form::Spans),
        1 => prop::collection::vec(place(), 2..6).prop_map(|p| {
            Form::Spans(p.windows(2).map(|w| Span::Line { from: w[0], to: w[1] }).collect())
        }),
        1 => prop::collection::vec(place(), 0..5).prop_map(Form::Curve),
    ]
}

fn drawing() -> impl Strategy<Value = Drawing> {
    let layer = prop::sample::select(vec!["a", "45x2.5", "50x80x3", ""]);
    let tags = prop::sample::select(vec!["temporary", "provisional", "permanent"]);
    let one = (layer, form(), prop::option::of(prop::sample::select(vec!["t", "t~", "u"])), tags).prop_map(
        |(layer, form, name, state)| Drawn {
            layer: layer.into(),
            name: name.map(str::to_owned),
            tags: vec![("state".into(), state.into())],
            form,
            line: 1,
        },
    );
    (prop::collection::vec(one, 0..24), any::<bool>(), any::<bool>()).prop_map(|(mut drawn, ours, twice)| {
        if twice {
            // Its own mirror image, so that there is symmetry to be found.
            let over = |p: DVec3| DVec3::new(p.x, -p.y, p.z);
            let images: Vec<Drawn> = drawn
                .iter()
                .map(|d| {
                    let form = match &d.form {
                        Form::Curve(p) => Form::Curve(p.iter().map(|p| over(*p)).collect()),
                        Form::Spans(s) => Form::Spans(
                            s.iter()
                                .map(|s| match *s {
                                    Span::Line { from, to } => Span::Line { from: over(from), to: over(to) },
                                    Span::Arc { centre, axis, start, sweep } => {
                                        Span::Arc { centre: over(centre), axis: -over(axis), start: over(start), sweep }
                                    }
                                })
                                .collect(),
                        ),
                    };
                    Drawn { form, ..d.clone() }
                })
                .collect();
            drawn.extend(images);
        }
        Drawing { drawn, ours, ..Drawing::default() }
    })
}

fn held(d: &Drawing, options: &Options) {
    match draft(d, options) {
        Ok(out) => {
            if let Err(p) = design::read(&out.text) {
                panic!("{}\n{}", design::render(&p, "any.toml", &out.text), out.text);
            }
        }
        Err(words) => assert!(!words.is_empty()),
    }
}

fn options() -> Options<'static> {
    Options { unit: Some(drawing::Unit::Mm), ..Options::new("any", "any.dxf") }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn of_lines_on_a_lattice(
        d in drawing(),
        as_drawn: bool,
        one_by_one: bool,
        within in prop::sample::select(vec![1e-6, 1e-3, 0.05]),
    ) {
        held(&d, &Options { as_drawn, one_by_one, within, ..options() });
    }

    #[test]
    fn of_any_table(
        text in "[a-z0-9,;\t\n\"#.-]{0,200}",
        head in prop::sample::select(vec!["", "x1,y1,z1,x2,y2,z2\n", "line,x,y,z\n", "from,to\n", "name,x,y,z\n"]),
    ) {
        let _ = table::read(&[&format!("{head}{text}")]);
    }
}

proptest! {
    // Each flowing line takes a good part of a second.
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn of_bent_lines_on_a_die(mut d in drawing(), radius in prop::sample::select(vec![0.03, 0.1])) {
        d.drawn.truncate(10);
        let radii = d.drawn.first().filter(|x| x.layer != "50x80x3").map(|x| (x.layer.clone(), radius));
        held(&d, &Options { radii: radii.into_iter().collect(), ..options() });
    }
}
