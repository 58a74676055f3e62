//! What is written is read back as the same design.

mod common;

use common::{FULL, read_valid, without_spans};
use design::units::{Decimal, Unit};
use design::*;
use glam::{DVec2, DVec3};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;

fn assert_round_trip(design: &Design) {
    let text = write(design);
    let again = read_valid(&text);
    assert_eq!(without_spans(&again), without_spans(design), "{text}");
    assert_eq!(write(&again), text);
}

#[test]
fn full_and_starters_come_back() {
    assert_round_trip(&read_valid(FULL));
    assert_round_trip(&read_valid(&starter(Units::Mm)));
    assert_round_trip(&read_valid(&starter(Units::In)));
}

#[test]
fn builtin_materials_keep_their_order() {
    // A copy of a built-in one that is defined, unused, and stands between: positions must not shift.
    let text = "[design]\nname = \"x\"\n[material.S355]\nyield = 355\ntensile = 470\nelongation = 20\n\
                [section.a]\nsize = \"38 x 2.5 mm\"\nmaterial = \"E355\"\n\
                [section.b]\nsize = \"38 x 2.5 mm\"\nmaterial = \"S355\"\n\
                [section.c]\nsize = \"38 x 2.5 mm\"\nmaterial = \"4130N\"\n";
    let mut design = read_valid(text);
    assert_round_trip(&design);
    design.materials[0] = builtin_material("S355").unwrap().clone();
    assert_round_trip(&design);
    design.sections.swap(0, 2);
    assert_round_trip(&design);
}

fn length() -> impl Strategy<Value = f64> {
    prop_oneof![
        (-400_000i32..400_000).prop_map(|n| f64::from(n) * 0.01 / 1000.0),
        (-20_000i32..20_000).prop_map(|n| f64::from(n) * 254.0 / 640_000.0),
        -10.0f64..10.0,
    ]
}

fn positive() -> impl Strategy<Value = f64> {
    length().prop_map(|x| x.abs().max(1e-3))
}

fn vector() -> impl Strategy<Value = DVec3> {
    (length(), length(), length()).prop_map(|(x, y, z)| DVec3::new(x, y, z))
}

/// What comes of reading so many hundredths of a degree.
fn angle(hundredths: std::ops::Range<i32>) -> impl Strategy<Value = f64> {
    hundredths.prop_map(|n| Decimal::parse(&format!("{}e-2", n)).unwrap().to_si(Unit::Degree))
}

fn text() -> impl Strategy<Value = String> {
    prop_oneof!["[a-z ]{1,20}", "\\PC{1,20}", "[\"'\\\\\n\t#=a]{1,10}"]
}

/// The names' indices and some numbers; the structure is made valid in [`build`].
#[derive(Clone, Debug)]
struct Seed {
    inches: bool,
    name: String,
    note: Option<String>,
    points: Vec<DVec3>,
    offsets: Vec<(usize, bool, DVec3)>,
    tubes: Vec<TubeSeed>,
    on: Vec<(usize, bool, f64, u8, DVec3)>,
    sections: Vec<(bool, f64, f64, usize, bool)>,
    material: (f64, f64, f64, Option<f64>, String),
    die: (f64, f64, Option<f64>),
    radius: f64,
    price: f64,
    kg: f64,
}

#[derive(Clone, Debug)]
struct TubeSeed {
    first: usize,
    inner: usize,
    section: usize,
    mirror: bool,
    state: u8,
    roll: f64,
    radii: Vec<f64>,
    cut: u8,
    gap: Option<f64>,
    role: Option<String>,
}

fn tube_seed() -> impl Strategy<Value = TubeSeed> {
    (
        (0usize..100, 0usize..4, 0usize..100, any::<bool>(), 0u8..3),
        (angle(-36_000..36_000), vec(positive(), 4), 0u8..6, option::of(0.0f64..0.01), option::of(text())),
    )
        .prop_map(|((first, inner, section, mirror, state), (roll, radii, cut, gap, role))| TubeSeed {
            first,
            inner,
            section,
            mirror,
            state,
            roll,
            radii,
            cut,
            gap,
            role,
        })
}

fn seed() -> impl Strategy<Value = Seed> {
    (
        (any::<bool>(), text(), option::of(text()), vec(vector(), 8..20)),
        vec((0usize..100, any::<bool>(), vector()), 0..5),
        vec(tube_seed(), 1..8),
        vec((0usize..100, any::<bool>(), length(), 0u8..5, vector()), 0..6),
        vec((any::<bool>(), 0.02f64..0.1, 0.001f64..0.009, 0usize..100, any::<bool>()), 1..5),
        (1e8f64..5e8, 5e8f64..9e8, 1.1e9f64..3e11, option::of(0.0f64..1.0), text()),
        (positive(), angle(100..17_000), option::of(angle(1000..17_000))),
        (positive(), 0.0f64..1e5, 0.1f64..1e3),
    )
        .prop_map(|((inches, name, note, points), offsets, tubes, on, sections, material, die, rest)| Seed {
            inches,
            name,
            note,
            points,
            offsets,
            tubes,
            on,
            sections,
            material,
            die,
            radius: rest.0,
            price: rest.1,
            kg: rest.2,
        })
}

/// A valid design from a seed.
fn build(seed: &Seed) -> Design {
    let mut d = read_valid(&starter(if seed.inches { Units::In } else { Units::Mm }));
    (d.tubes, d.points, d.dies, d.rack.sticks, d.notcher) = (vec![], vec![], vec![], vec![], Notcher::default());
    d.name = format!("n{}", seed.name);
    d.note = seed.note.clone();
    let (yield_strength, tensile_strength, youngs, elongation, source) = seed.material.clone();
    let builtins = builtin_materials();
    d.materials = vec![Material {
        name: "own".to_owned(),
        yield_strength,
        tensile_strength,
        youngs,
        elongation,
        source,
        ..builtins[0].clone()
    }];
    d.sections = Vec::new();
    for (i, (round, across, wall, material, sized)) in seed.sections.iter().enumerate() {
        let material = match material % (builtins.len() + 1) {
            0 => 0,
            n => {
                let found = d.materials[1..].iter().position(|m| m.name == builtins[n - 1].name);
                found.map_or_else(
                    || {
                        d.materials.push(builtins[n - 1].clone());
                        d.materials.len() - 1
                    },
                    |at| at + 1,
                )
            }
        };
        let size = &builtin_sections()[(across * 1e6) as usize % builtin_sections().len()];
        let shape = match (sized, round) {
            (true, _) => size.shape,
            (_, true) => SectionShape::Round { od: *across, wall: *wall },
            _ => SectionShape::Box { width: *across, height: across * 1.5, wall: *wall, corner: wall * 1.1 },
        };
        d.sections.push(Section {
            name: format!("s{i}"),
            shape,
            size: sized.then(|| size.name.clone()),
            material: MaterialId(material),
            span: 0..0,
        });
    }
    let at = |p: &DVec3, i: usize| *p + DVec3::new(i as f64 * 30.0, 100.0, 0.0);
    let point = |i: usize, placement| Point { name: format!("p-{i}"), placement, span: 0..0 };
    d.points = seed.points.iter().enumerate().map(|(i, p)| point(i, Placement::At(at(p, i)))).collect();
    let fixed = d.points.len();
    for (from, twin, by) in &seed.offsets {
        let from = PointRef { id: PointId(from % d.points.len()), twin: *twin, span: 0..0 };
        d.points.push(point(d.points.len(), Placement::From { point: from, by: *by }));
    }
    let (radius, got, max_angle) = seed.die;
    d.dies = vec![Die {
        name: "die".to_owned(),
        od: 0.0381,
        radius: radius + 0.1,
        grip: radius,
        between: 0.0,
        max_angle,
        offset: -radius,
        tests: vec![TestBend { set: got * 1.0, got }],
        span: 0..0,
    }];
    for (i, t) in seed.tubes.iter().enumerate() {
        let section = SectionId(t.section % d.sections.len());
        let round = matches!(d.sections[section.0].shape, SectionShape::Round { .. });
        let count = 2 + if round { t.inner } else { 0 };
        let path =
            (0..count).map(|k| PointRef { id: PointId((t.first + k) % fixed), twin: t.first % 3 == 0, span: 0..0 });
        let radii = if t.inner % 2 == 0 { vec![t.radii[0]; 4] } else { t.radii.clone() };
        let to =
            |n: usize| -> Vec<TubeRef> { (0..n).map(|k| TubeRef { id: TubeId(k), twin: false, span: 0..0 }).collect() };
        let others = i.min(2);
        let (cut, to) = match t.cut {
            1 => (CutSpec::Cope, to(others)),
            2 => (CutSpec::Mitre, to(others.min(1))),
            3 => (CutSpec::Square, vec![]),
            4 => (CutSpec::Plane(PlaneSpec::Axis { axis: i % 3, value: t.radii[1] }), vec![]),
            5 => {
                let point = PointRef { id: PointId(0), twin: true, span: 0..0 };
                (CutSpec::Plane(PlaneSpec::Point { point, normal: DVec3::new(t.radii[1], -1.0, 0.0) }), vec![])
            }
            _ => (CutSpec::ByOrder, vec![]),
        };
        d.tubes.push(Tube {
            name: format!("t{i}"),
            section,
            path: path.collect(),
            bend_radii: radii[..count - 2].iter().map(|r| r + 0.1).collect(),
            die: None,
            mirror: t.mirror,
            start: EndSpec { cut, to, gap: t.gap, long: 0.0, span: None },
            end: EndSpec { long: t.gap.unwrap_or(0.0), ..EndSpec::default() },
            roll: t.roll,
            state: [TubeState::Permanent, TubeState::Temporary, TubeState::Provisional][usize::from(t.state)],
            splice: None,
            out_after: None,
            hard: !t.mirror,
            role: t.role.clone(),
            note: None,
            span: 0..0,
            path_span: 0..0,
        });
    }
    // A straight one may be spliced; a temporary one goes after a later one.
    let last = TubeRef { id: TubeId(d.tubes.len() - 1), twin: false, span: 0..0 };
    for (i, t) in d.tubes.iter_mut().enumerate() {
        t.splice = (t.path.len() == 2 && t.mirror).then_some(seed.radius);
        t.out_after = (t.state == TubeState::Temporary && i < last.id.0).then(|| last.clone());
    }
    for (tube, twin, value, kind, by) in &seed.on {
        let id = TubeId(tube % d.tubes.len());
        let tube = TubeRef { id, twin: *twin && d.tubes[id.0].mirror, span: 0..0 };
        let along = match kind {
            0 => Along::Length(*value),
            1 => Along::Part(value.abs() / 1000.0),
            n => Along::Plane { axis: usize::from(*n) - 2, value: *value, pick: (*value > 0.0).then_some(2) },
        };
        d.points.push(point(d.points.len(), Placement::On { tube, along, by: *by }));
    }
    d.datum = if seed.inches {
        Datum::Z(seed.radius)
    } else {
        Datum::Over(TubeRef { id: TubeId(0), twin: false, span: 0..0 })
    };
    d.plates = vec![Plate {
        name: "plate".to_owned(),
        thickness: 0.003,
        material: MaterialId(0),
        outline: PlateOutline::Flat {
            origin: PointRef { id: PointId(0), twin: false, span: 0..0 },
            x: DVec3::new(seed.radius, 0.0, 1.0),
            y: DVec3::Y,
            corners: vec![DVec2::ZERO, DVec2::new(seed.radius, 0.0), DVec2::new(0.1, 0.2)],
        },
        side: PlateSide::Below,
        holes: vec![Hole { at: HoleAt::Flat(DVec2::new(0.01, seed.radius)), d: 0.008 }],
        mirror: true,
        note: seed.note.clone(),
        span: 0..0,
    }];
    d.masses = vec![Mass {
        name: "mass".to_owned(),
        at: Place::At(DVec3::new(seed.radius, 1.0, 0.0)),
        kg: seed.kg,
        size: DVec3::splat(seed.radius),
        mirror: true,
        hard: false,
        note: None,
        span: 0..0,
    }];
    d.wheels = vec![Wheel {
        name: "wheel".to_owned(),
        at: Place::At(DVec3::new(seed.radius, 1.0, 0.0)),
        radius: seed.radius,
        loaded: 0.97 * seed.radius,
        width: 0.2,
        kg: seed.kg,
        bump: 0.0,
        droop: seed.radius,
        steer: 0.0,
        spring: Some(Spring { rate: 1e4 * seed.radius, free: -seed.radius }),
        tyre_rate: Some(1e5 * seed.radius),
        mirror: true,
        span: 0..0,
    }];
    d.stances = vec![Stance {
        name: "low".to_owned(),
        wheels: vec![StanceWheel { wheel: WheelId(0), hub: -seed.radius, radius: Some(seed.radius), loaded: None }],
        stands: vec![],
        without: vec![RiderRef { id: RiderId::Mass(MassId(0)), twin: true, span: 0..0 }],
        part: vec![(MassId(0), seed.radius.fract())],
        wheels_off: false,
        springs: seed.inches,
        note: seed.note.clone(),
        span: 0..0,
    }];
    d.measures = vec![Measure {
        name: "high".to_owned(),
        from: Measured::Tube(TubeRef { id: TubeId(0), twin: false, span: 0..0 }),
        to: Measured::Plane(PlaneSpec::Axis { axis: 2, value: seed.radius }),
        kind: MeasureKind::Distance,
        along: Some(2),
        least: Some(-seed.radius),
        most: Some(seed.radius),
        note: None,
        span: 0..0,
    }];
    d.room.body = seed.radius.fract();
    strength(&mut d, seed);
    d.rollover.friction = [0.1, seed.radius.fract() + 0.1];
    d.rack.sticks = vec![Stick {
        section: SectionId(0),
        length: 6.0,
        count: Some(3),
        price: seed.price,
        place: None,
        ordered: seed.inches,
        per: Per::Stick,
        cut_fee: 0.0,
        supplier: None,
        span: 0..0,
    }];
    d.rack.sticks.push(Stick {
        count: None,
        ordered: false,
        per: if seed.inches { Per::Foot } else { Per::Metre },
        cut_fee: seed.price / 7.0,
        supplier: Some(SupplierId(0)),
        ..d.rack.sticks[0].clone()
    });
    d.rack.useful = seed.radius;
    d.limits.welded = if seed.inches { WeldedClass::D } else { WeldedClass::A };
    let name = || "yard".to_owned();
    d.suppliers = vec![Supplier { name: name(), delivery: seed.price, note: Some(name()), span: 0..0 }];
    let until = TubeRef { id: TubeId(0), twin: false, span: 0..0 };
    let stand = |top, floor| Stand {
        under: until.clone(),
        x: 0.25,
        height: seed.radius,
        top,
        shim: 0.003,
        foot: 0.0,
        floor,
        section: top.then_some(SectionId(0)),
    };
    let bench = Stance {
        name: "bench".into(),
        stands: vec![stand(true, -0.004), stand(false, 0.0), stand(true, 0.002)],
        wheels: Vec::new(),
        springs: false,
        ..d.stances[0].clone()
    };
    d.stances.push(bench);
    d.rule_sets = seed.note.iter().map(|_| "own rules.toml".to_owned()).collect();
    d.jig.bed[1] = seed.radius.clamp(0.02, 10.0);
    d.jig.wrap = 100f64.to_radians();
    d.jig.ties = usize::from(seed.inches);
    let on = [
        SaddleOn::Passing,
        SaddleOn::Flat(PlaneSpec::Axis { axis: 2, value: seed.radius }),
        SaddleOn::Flat(PlaneSpec::Point {
            point: PointRef { id: PointId(0), twin: true, span: 0..0 },
            normal: DVec3::new(0.0, 1.0, seed.radius),
        }),
    ];
    let at = [SaddleAt::End, SaddleAt::Start, SaddleAt::Along(-seed.radius)];
    let wish = |(on, at)| SaddleWish { tube: until.clone(), at, on, span: 0..0 };
    d.jig.saddles = seed.note.is_some().then(|| on.into_iter().zip(at).map(wish).collect());
    d.stages = vec![Stage { name: "lower".into(), until, note: None, span: 0..0 }];
    d
}

/// Mounts, loads and settings from a seed.
fn strength(d: &mut Design, seed: &Seed) {
    let point = |id: usize, twin| PointRef { id: PointId(id), twin, span: 0..0 };
    let (r, twin) = (seed.radius, seed.inches);
    d.mounts = [Carried::Mass(MassId(0)), Carried::Wheel(WheelId(0))]
        .into_iter()
        .enumerate()
        .map(|(i, of)| Mount { name: format!("m{i}"), of, at: vec![point(i, twin), point(2, twin)], span: 0..0 })
        .collect();
    let v = seed.points[0] * 1e5 + DVec3::X;
    d.loads = vec![Load {
        name: "load".to_owned(),
        forces: vec![
            PointForce { at: point(0, twin), force: v, moment: DVec3::ZERO },
            PointForce { at: point(1, false), force: DVec3::ZERO, moment: seed.points[1] },
            PointForce { at: point(2, true), force: seed.points[2], moment: v / 3.0 },
        ],
        spread: vec![SpreadForce { along: TubeRef { id: TubeId(0), twin: false, span: 0..0 }, force: v / 7.0 }],
        g: seed.points[3],
        held: vec![
            Held { at: point(3, twin), along: [twin, !twin, true], turns: !twin, by: DVec3::Z * r },
            Held { at: point(4, twin), along: [false; 3], turns: true, by: DVec3::ZERO },
        ],
        most: twin.then_some(r),
        utilisation: r.min(100.0),
        buckling: r,
        collapse: r / 2.0,
        note: seed.note.clone(),
        span: 0..0,
    }];
    d.strength = Strength {
        sets: LoadSet::ALL[..seed.points.len() % 4].to_vec(),
        mass: twin.then_some(seed.kg),
        rest: r.min(100.0),
        rig: (!twin).then(|| Rig { front: [point(0, false), point(0, true)], rear: [point(1, false), point(1, true)] }),
        modes: seed.points.len() as u32,
        drop: r.min(100.0),
        least_wall: r.clamp(0.5e-3, 5e-3),
    };
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_valid_design_comes_back(seed in seed()) {
        assert_round_trip(&build(&seed));
    }
}
