//! What a valid file is read as.

mod common;

use common::{FULL, read_valid};
use design::*;
use glam::{DVec2, DVec3};

fn tube<'d>(d: &'d Design, name: &str) -> &'d Tube {
    d.tubes.iter().find(|t| t.name == name).unwrap()
}

fn point<'d>(d: &'d Design, name: &str) -> &'d Point {
    d.points.iter().find(|t| t.name == name).unwrap()
}

#[test]
fn quantities_become_si_once() {
    let d = read_valid(FULL);
    assert_eq!((d.units, d.paper, d.name.as_str()), (Units::In, Paper::A4, "Gorse"));
    assert_eq!(d.note.as_deref(), Some("first line\nsecond"));
    let own = &d.materials[0];
    assert_eq!((own.tensile_strength, own.youngs, own.shear, own.density), (490e6, 205e9, 80e9, 7840.0));
    assert_eq!(own.elongation, Some(0.225));
    // 1 ksi = 6.894757 MPa, NIST SP 811 appendix B.
    assert!((own.yield_strength / 351.6326e6 - 1.0).abs() < 1e-6);
    assert_eq!(d.sections[1].shape, SectionShape::Round { od: 0.04445, wall: 0.0024 });
    assert_eq!(
        d.sections[0].shape,
        SectionShape::Box { width: 0.0508, height: 0.0762, wall: 0.003048, corner: 0.00635 }
    );
    assert_eq!(d.sections[2].size.as_deref(), Some("1.5 x 0.095 in"));
    assert_eq!(point(&d, "top").placement, Placement::At(DVec3::new(-0.371475, 0.17145, 1.0668)));
    assert_eq!(d.masses[0].kg, 81.6466266);
    assert_eq!(d.occupants[0].stature, 1.778);
    assert_eq!(d.occupants[0].back, 25f64.to_radians());
    assert_eq!(d.rack.sticks[0].length, 6.096);
    assert_eq!((d.rack.sticks[0].count, d.rack.sticks[1].count), (Some(4), None));
    assert_eq!(d.rack.useful, 0.254);
    // A stick of 240 in for 61.5; ten feet at 3.4.
    assert!(d.rack.sticks[1].cost() == 61.5 && (d.rack.sticks[2].cost() - 34.0).abs() < 1e-12);
    assert_eq!(d.rack.sticks[1].cut_fee, 4.0);
    assert_eq!((d.rack.sticks[3].count, d.rack.sticks[3].ordered), (Some(2), true));
    assert_eq!((d.suppliers[0].delivery, d.rack.sticks[1].supplier), (35.0, Some(SupplierId(0))));
    assert_eq!(d.tubes[d.stages[0].until.id.0].name, "rail");
    let bench = d.stances.iter().find(|s| s.name == "bench").expect("it is there");
    let s = &bench.stands[3];
    assert_eq!((s.height, s.top, s.shim, s.foot, s.floor), (0.511175, true, 0.003175, 0.00635, -0.0015875));
    assert_eq!(s.section, Some(SectionId(0)));
    assert_eq!(d.rule_sets, ["good-practice", "rules/club.toml"]);
    assert_eq!((d.jig.bed, d.jig.ties), ([0.254, 0.2413, 0.2032], 2));
    assert_eq!((d.jig.clearance, d.jig.wrap), (0.000198437_5, 140f64.to_radians()));
    assert_eq!((tube(&d, "strut").splice, tube(&d, "rail").splice), (Some(0.1905), None));
    assert_eq!(d.limits.gap, 0.000396875);
    assert!(d.notcher.square_reads_90);
    assert_eq!(tube(&d, "rail").roll, 90f64.to_radians());
}

#[test]
fn references_lead_to_what_they_name() {
    let d = read_valid(FULL);
    let names: Vec<&str> = d.tubes.iter().map(|t| t.name.as_str()).collect();
    assert_eq!(names, ["rail", "hoop", "stay", "brace", "strut"]);
    let saddles = d.jig.saddles.as_ref().expect("they are there");
    assert_eq!(d.tube_name(&saddles[0].tube), "stay~");
    assert_eq!((saddles[0].at, &saddles[0].on), (SaddleAt::Start, &SaddleOn::Passing));
    assert!(matches!(&saddles[1].on, SaddleOn::Tube(t) if d.tube_name(t) == "rail"));
    assert_eq!(saddles[2].at, SaddleAt::Along(-0.3048));
    assert_eq!(saddles[2].on, SaddleOn::Flat(PlaneSpec::Plate { plate: PlateId(0), twin: true }));
    let hoop = tube(&d, "hoop");
    let path: Vec<String> = hoop.path.iter().map(|p| d.point_name(p)).collect();
    assert_eq!(path, ["foot", "shoulder", "top", "top~", "shoulder~", "foot~"]);
    assert_eq!(hoop.bend_radii, [6.0 * 254.0 / 10_000.0; 4]);
    assert_eq!(hoop.die, Some(DieId(0)));
    assert_eq!((&hoop.start.cut, hoop.start.to.len()), (&CutSpec::Cope, 0));
    // `to` alone is a cope.
    assert_eq!((&hoop.end.cut, d.tube_name(&hoop.end.to[0]).as_str()), (&CutSpec::Cope, "rail~"));
    let stay = tube(&d, "stay");
    assert_eq!(stay.state, TubeState::Provisional);
    assert_eq!(stay.start.cut, CutSpec::Plane(PlaneSpec::Plate { plate: PlateId(0), twin: true }));
    assert_eq!(tube(&d, "brace").state, TubeState::Temporary);
    let Placement::On { tube: on, along, by } = &point(&d, "stay_foot").placement else { panic!() };
    assert_eq!((d.tube_name(on).as_str(), *along), ("rail", Along::Length(-0.0762)));
    assert_eq!(*by, DVec3::new(0.0, 0.0, 0.0381));
    let Placement::On { along, .. } = &point(&d, "stay_top").placement else { panic!() };
    assert_eq!(*along, Along::Plane { axis: 2, value: 0.9144, pick: Some(1) });
    let materials: Vec<&str> = d.materials.iter().map(|m| m.name.as_str()).collect();
    assert_eq!(materials, ["own", "S355", "4130N", "S235"]);
    assert_eq!(d.plates[0].material, MaterialId(3));
    let PlateOutline::Flat { corners, .. } = &d.plates[0].outline else { panic!() };
    assert_eq!(corners[2], DVec2::new(0.1016, 0.0635));
    let Datum::Under(rail) = &d.datum else { panic!() };
    assert_eq!(d.tube_name(rail), "rail");
}

#[test]
fn what_the_frame_carries_is_read_in_both_units() {
    let d = read_valid(FULL);
    let mounts: Vec<(Carried, Vec<String>)> =
        d.mounts.iter().map(|m| (m.of, m.at.iter().map(|p| d.point_name(p)).collect())).collect();
    let points = |names: &[&str]| names.iter().map(|n| (*n).to_owned()).collect::<Vec<_>>();
    assert_eq!(mounts[0], (Carried::Mass(MassId(0)), points(&["rail_rear", "rail_rear~"])));
    assert_eq!(mounts[1], (Carried::Occupant(OccupantId(0)), points(&["mid"])));
    assert_eq!(mounts[2], (Carried::Wheel(WheelId(0)), points(&["stay_foot", "stay_top"])));
    let names: Vec<&str> = d.mounts.iter().map(|m| d.carried_name(m.of)).collect();
    assert_eq!(names, ["engine", "driver", "rear"]);

    let corner = &d.loads[0];
    // A pound-force is 4.448 221 615 260 5 N, a foot 0.3048 m, an inch 0.0254 m: by definition.
    const LBF: f64 = 4.4482216152605;
    assert_eq!(corner.forces[0].force, DVec3::new(0.0, 667.233242289075, -1500.0));
    assert_eq!(corner.forces[0].moment, DVec3::new(27.11635896662801, 0.0, -80.0));
    assert_eq!(corner.forces[1].moment, DVec3::ZERO);
    assert_eq!(d.point_name(&corner.forces[1].at), "foot~");
    assert_eq!((corner.forces[2].force, corner.forces[2].moment.x), (DVec3::ZERO, 6.779089741657002));
    assert_eq!(d.tube_name(&corner.spread[0].along), "rail~");
    assert!((corner.spread[0].force.y / (100.5 * LBF) - 1.0).abs() < 1e-15);
    assert_eq!(corner.g, DVec3::new(0.0, 0.8, -1.0));
    assert_eq!(corner.held.iter().map(|h| h.along).collect::<Vec<_>>(), [[true; 3], [true, false, true], [false; 3]]);
    assert_eq!(corner.held.iter().map(|h| h.turns).collect::<Vec<_>>(), [false, false, true]);
    assert_eq!((corner.most, corner.utilisation, corner.buckling), (Some(0.0381), 0.67, 3.0));
    assert_eq!(corner.collapse, 0.254);
    assert_eq!(corner.note.as_deref(), Some("both wheels"));
    let twist = &d.loads[1];
    assert_eq!((twist.held[0].by.z, twist.held[1].by.z), (0.00635, -0.00635));
    assert_eq!((twist.most, twist.utilisation, twist.buckling, twist.g), (None, 1.0, 1.0, DVec3::ZERO));
    assert_eq!(&FULL[twist.span.clone()], "[load.twist]");

    let s = &d.strength;
    assert_eq!(s.sets, [LoadSet::WorkMachine, LoadSet::StudentFrame]);
    assert_eq!((s.mass, s.rest, s.modes, s.drop, s.least_wall), (Some(680.388555), 1.5, 12, 0.5, 1.5e-3));
    let rig = s.rig.as_ref().unwrap();
    let names: Vec<String> = rig.front.iter().chain(&rig.rear).map(|p| d.point_name(p)).collect();
    assert_eq!(names, ["rail_front", "rail_front~", "rail_rear", "rail_rear~"]);

    let text = "[design]\nname = \"x\"\n[section.s]\nsize = \"38 x 2.5 mm\"\nmaterial = \"E355\"\n\
                [point]\na = [0, 0, 0]\nb = [0, 0, 1000]\n[tube.t]\nsection = \"s\"\npath = [\"a\", \"b\"]\n\
                [load.l]\nforces = [{ at = \"b\", force = [\"300 lbf\", 0, -1500], moment = [0, \"60 lbf ft\", 80] }]\n\
                held = [{ at = \"a\", by = [0, 0, 5] }]\nmost = 25\n[strength]\nmass = 700\n";
    let d = read_valid(text);
    let l = &d.loads[0];
    assert_eq!(l.forces[0].force, DVec3::new(1334.46648457815, 0.0, -1500.0));
    assert_eq!(l.forces[0].moment, DVec3::new(0.0, 81.34907689988403, 80.0));
    assert_eq!((l.held[0].by, l.held[0].along, l.most), (DVec3::new(0.0, 0.0, 0.005), [true; 3], Some(0.025)));
    assert_eq!((d.strength.mass, d.strength.modes, d.strength.rest), (Some(700.0), 6, 0.0));
    assert_eq!((d.strength.drop, &d.strength.rig, &d.strength.sets[..]), (0.0, &None, &[][..]));
    assert_eq!(d.strength.least_wall, 2.5e-3);
}

#[test]
fn a_name_that_several_bear_is_the_mass_then_the_person() {
    let text = "[design]\nname = \"x\"\n[point]\np = [0, 1, 0]\n[wheel.a]\nat = \"p\"\nradius = 1\nwidth = 1\nkg = 1\n\
                [occupant.a]\nhip = \"p\"\npercentile = 50\n[mount.m]\nof = \"a\"\nat = [\"p\"]\n";
    assert_eq!(read_valid(text).mounts[0].of, Carried::Occupant(OccupantId(0)));
    let text = format!("{text}[mass.a]\nat = \"p\"\nkg = 1\n");
    assert_eq!(read_valid(&text).mounts[0].of, Carried::Mass(MassId(0)));
}

#[test]
fn places_in_the_text_are_those_of_the_definitions() {
    let d = read_valid(FULL);
    assert_eq!(&*d.source, FULL);
    assert_eq!(&FULL[tube(&d, "stay").span.clone()], "[tube.stay]");
    assert_eq!(&FULL[tube(&d, "stay").path_span.clone()], "[ \"stay_foot\", \"stay_top\" ]");
    assert_eq!(&FULL[tube(&d, "hoop").path[3].span.clone()], "\"top~\"");
    assert_eq!(&FULL[point(&d, "mid").span.clone()], "mid = { on = \"rail~\", part = 0.5 }");
    assert_eq!(&FULL[d.rack.sticks[1].span.clone()], "[[rack.stick]]");
    assert_eq!(&FULL[tube(&d, "strut").end.span.clone().unwrap()], "{ cut = \"square\" }");
}

#[test]
fn what_is_left_out_has_its_default() {
    let d = read_valid("design = { name = \"x\" }");
    assert_eq!((d.units, d.paper, &d.datum), (Units::Mm, Paper::A4, &Datum::Z(0.0)));
    let half_degree = 0.5f64.to_radians();
    assert_eq!(
        d.limits,
        Limits { gap: 0.0, fit: 0.001, touch: 0.005, round: 0.0005, round_angle: half_degree, welded: WeldedClass::B }
    );
    assert_eq!((&d.rack, &d.notcher), (&Rack::default(), &Notcher::default()));
    assert!(d.tubes.is_empty() && d.materials.is_empty());
    let d = read_valid("design = { name = \"x\", units = \"in\" }");
    assert_eq!((d.paper, d.limits.round), (Paper::Letter, 0.0254 / 16.0));
    let text = "design = { name = \"x\" }\n[section.a]\nshape = \"box\"\nwidth = 50\nheight = 80\nwall = 3\nmaterial = \"S355\"\n\
                [material.m]\nyield = 300\ntensile = 400\n[occupant.o]\nhip = [0, 0, 0]\nstature = 1780\nkg = 80\n";
    let d = read_valid(text);
    assert_eq!(d.sections[0].shape, SectionShape::Box { width: 0.05, height: 0.08, wall: 0.003, corner: 0.006 });
    let m = &d.materials[0];
    assert_eq!((m.youngs, m.poisson, m.shear, m.density), (210e9, 0.3, 210e9 / 2.6, 7850.0));
    let o = &d.occupants[0];
    assert_eq!((o.back, o.thigh, o.knee, o.helmet), (15f64.to_radians(), 10f64.to_radians(), 120f64.to_radians(), 0.3));
}

#[test]
fn the_order_of_the_file_is_the_order_of_fitting() {
    // Names whose alphabet runs the other way, and an end with a header ahead of its tube's.
    let text = "design = { name = \"x\" }\n[section.s]\nsize = \"38 x 2.5 mm\"\nmaterial = \"E355\"\n\
                [point]\nz = [0, 0, 0]\ny = [0, 0, 1]\nx = [0, 1, 1]\n\
                [tube.zebra]\nsection = \"s\"\npath = [\"z\", \"y\"]\n\
                [tube.yak]\nsection = \"s\"\npath = [\"x\", \"y\"]\n\
                [tube.ant]\nsection = \"s\"\npath = [\"x\", \"z\"]\n";
    let d = read_valid(text);
    assert_eq!(d.points.iter().map(|p| p.name.as_str()).collect::<Vec<_>>(), ["z", "y", "x"]);
    assert_eq!(d.tubes.iter().map(|p| p.name.as_str()).collect::<Vec<_>>(), ["zebra", "yak", "ant"]);
}

#[test]
fn remarks_are_made_on_what_has_no_effect() {
    let text = "design = { name = \"x\" }\n[section.s]\nsize = \"38 x 2.5 mm\"\nmaterial = \"E355\"\n\
                [section.idle]\nsize = \"38 x 2.5 mm\"\nmaterial = \"E355\"\n[material.idle]\nyield = 300\ntensile = 400\n\
                [die.idle]\nod = 38\nradius = 120\n[point]\na = [0, 0, 0]\nb = [0, 0, 1]\n\
                [tube.t]\nsection = \"s\"\npath = [\"a\", \"b\"]\nroll = 10\nbend_radius = 100\n\
                [rack]\nkerf = 2\n[[rack.stick]]\nsection = \"s\"\nlength = 6000\n";
    let reading = read(text).unwrap();
    assert!(reading.notes.iter().all(|n| n.severity == Severity::Note && n.span.is_some() && n.help.is_some()));
    let messages: Vec<&str> = reading.notes.iter().map(|n| n.message.as_str()).collect();
    assert_eq!(
        messages,
        [
            "section `idle` is not used",
            "material `idle` is not used",
            "die `idle` is not used",
            "`roll` of tube `t` does nothing: its section is round",
            "`bend_radius` of tube `t` does nothing: it has no inner points",
            "stick 1 of [rack] can be bought, but has no price: plans count it as free",
        ]
    );
    assert!(render(&reading.notes, "x.toml", text).starts_with("note: section `idle` is not used"));
    assert_eq!(read(FULL).unwrap().notes, []);
}

#[test]
fn several_errors_are_told_at_once_in_the_order_of_the_file() {
    let text = FULL
        .replace("wall = 0.12", "wall = -1")
        .replace("die = \"big\"", "die = \"bgi\"")
        .replace("shoulder = [-14,", "shoulder = [nan,")
        .replace("square_reads = 90", "square_read = 90")
        .replace("kerf = \"3/32\"", "kerf = \"3/32 kg\"");
    let problems = read(&text).unwrap_err();
    let lines: Vec<&str> = problems.iter().map(|p| &text[p.span.clone().unwrap()]).collect();
    assert_eq!(lines, ["-1", "nan", "\"bgi\"", "square_read", "\"3/32 kg\"", "\"bgi\""]);
}

#[test]
fn curves_are_read() {
    let d = read_valid(FULL);
    let [roof, nose] = &d.curves[..] else { panic!("two curves") };
    let CurvePoints::Places(places) = &roof.points else { panic!("{:?}", roof.points) };
    assert!(matches!(&places[0], Place::Point(p) if d.point_name(p) == "top"));
    assert_eq!(places[1], Place::At(DVec3::new(0.254, 0.3175, 1.016)));
    assert_eq!((places.len(), roof.straight, roof.within, roof.mirror), (4, true, 0.003175, true));
    assert_eq!(roof.die.map(|id| d.dies[id.0].name.as_str()), Some("big"));
    assert_eq!(roof.note.as_deref(), Some("as drawn on the wall"));
    assert_eq!(nose.points, CurvePoints::File("lines/nose.csv".into()));
    assert_eq!((nose.straight, nose.within, nose.die, nose.mirror), (false, 0.005, None, false));
}

#[test]
fn what_holds_the_frame_is_asked_for_in_a_way_that_can_be_built() {
    let text = |tubes: &str, jig: &str| {
        format!(
            "[design]\nname = \"x\"\n[section.a]\nsize = \"38 x 2.5 mm\"\nmaterial = \"E355\"\n\
             [point]\np = [0, 0, 0]\nq = [0, 0, 500]\nr = [0, 800, 500]\n\
             [tube.one]\nsection = \"a\"\npath = [\"p\", \"q\"]\n{tubes}\n\
             [tube.two]\nsection = \"a\"\npath = [\"q\", \"r\"]\n{jig}\n"
        )
    };
    let d = read_valid(&text("temporary = true\nout_after = \"two\"", ""));
    assert_eq!(d.tubes[0].out_after.as_ref().map(|t| t.id), Some(TubeId(1)));
    assert_eq!(d.jig, Jig::default());
    assert_eq!(read_valid(&text("", "[jig]\nsaddles = []")).jig.saddles, Some(vec![]));
    let wrong = |tubes: &str, jig: &str| {
        let problems = read(&text(tubes, jig)).expect_err("refused");
        problems.iter().map(|p| p.message.clone()).collect::<Vec<_>>().join("; ")
    };
    assert!(wrong("out_after = \"two\"", "").contains("not temporary"));
    assert!(wrong("temporary = true\nout_after = \"one\"", "").contains("before it is in"));
    assert!(wrong("", "[jig]\nclearance = 4.5\nwall = 4").contains("more than its wall"));
    assert!(wrong("", "[jig]\nbed = [0, 180, 180]").contains("bed"));
    for (saddle, word) in [
        ("tube = \"one\"", "no place"),
        ("tube = \"one\", end = \"start\", at = 20", "two places"),
        ("tube = \"one\", at = 20", "sits on nothing"),
        ("tube = \"one\", at = 20, on = \"one\"", "tube that it holds"),
        ("tube = \"one\", at = 20, on = \"two\", flat = { z = 0 }", "on a tube and on a flat"),
        ("tube = \"three\", end = \"start\"", "names tube `three`, which is not there"),
    ] {
        let words = wrong("", &format!("[jig]\nsaddles = [{{ {saddle} }}]"));
        assert!(words.contains(word), "{words}");
    }
    let bent =
        text("", "").replace("path = [\"q\", \"r\"]", "path = [\"p\", \"q\", \"r\"]\nbend_radius = 100\nsplice = 300");
    let words = read(&bent).expect_err("refused")[0].message.clone();
    assert!(words.contains("is bent and has a `splice`"), "{words}");
}
