//! Published sets of loads: where they act, how large they are, what is told when places are missing.

use std::sync::Arc;

use geometry::DVec3;
use shape::Level;
use strength::{Answer, Depth, Solved, machine_table, strength};

/// Two hoops of legs and a level top, joined by two roof sides and two side bars, and two backstays.
fn cage(feet: &str, roles: [&str; 5], more: &str) -> String {
    let [main, front, brace, roof, side] = roles;
    format!(
        r#"
[design]
name = "Sedge"
[section.t]
shape = "round"
od = 40
wall = 3
material = "E355+N"
[point]
a = [0, 600, 0]
b = [0, 600, 1200]
c = [900, 600, 0]
d = [900, 600, 900]
e = [-800, 600, 0]
m = {{ on = "main_leg", part = 0.4 }}
n = {{ on = "front_leg", part = 0.5 }}
[tube.main_leg]
section = "t"
path = {feet}
mirror = true
role = "{main}"
[tube.main_top]
section = "t"
path = ["b", "b~"]
role = "{main}"
[tube.front_leg]
section = "t"
path = ["c", "d"]
mirror = true
role = "{front}"
[tube.front_top]
section = "t"
path = ["d", "d~"]
role = "{front}"
[tube.roof]
section = "t"
path = ["b", "d"]
mirror = true
role = "{roof}"
[tube.bar]
section = "t"
path = ["m", "n"]
mirror = true
role = "{side}"
[tube.stay]
section = "t"
path = ["b", "e"]
mirror = true
role = "{brace}"
{more}
"#
    )
}

const ROLES: [&str; 5] = ["main hoop", "Front Hoop", "rear brace", "roof side", "side bar"];
const ALL: &str = "[strength]\nsets = [\"student-frame\", \"touring-cage\", \"work-machine\"]\nmass = 1000\n";

fn answer(text: &str) -> Answer {
    let design = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "test", text))).design;
    strength(&shape::resolve(Arc::new(design)).expect("a shape"), Depth::Live)
}

fn case<'a>(a: &'a Answer, name: &str) -> &'a Solved {
    let names: Vec<&str> = a.cases.iter().map(|c| c.name.as_str()).collect();
    a.cases.iter().find(|c| c.name == name).unwrap_or_else(|| panic!("{name}: {names:?} {:?}", a.without))
}

/// The whole of the load: what the supports don't push back with.
fn load(c: &Solved) -> DVec3 {
    -c.reactions.iter().map(|r| r.force).sum::<DVec3>()
}

/// Where the load's line of action is: the moment about the origin, that the supports push back with.
fn moment(a: &Answer, c: &Solved) -> DVec3 {
    let at = |n: &str| a.nodes.iter().find(|x| x.0 == n).expect("a node").1;
    -c.reactions.iter().map(|r| at(&r.name).cross(r.force) + r.moment).sum::<DVec3>()
}

fn near(a: DVec3, b: DVec3) {
    assert!(a.distance(b) < 1e-6 * b.length().max(1.0), "{a} {b}");
}

#[test]
fn the_table_of_work_machines() {
    // EU 1322/2014, annex VII, table 8.1, worked at both borders: J to 0.1, N to 1.
    for (mass, lateral, energy, vertical, longitudinal) in [
        (1000.0, 6000.0, 731.0, 20000.0, 4800.0),
        (4630.0, 27780.0, 4965.0, 92600.0, 22224.0),
        (4630.0001, 27784.0, 4965.0, 92600.0, 22227.0),
        (10000.0, 70000.0, 13000.0, 200000.0, 56000.0),
        (59500.0, 595002.0, 120806.0, 1190000.0, 476002.0),
        (59500.0001, 595000.0, 120785.0, 1190000.0, 476000.0),
    ] {
        let t = machine_table(mass).expect("a row");
        let close = |a: f64, b: f64| assert!((a - b).abs() <= 0.5_f64.max(b * 1e-6), "{mass} kg: {a} {b}");
        close(t.lateral, lateral);
        close(t.energy, energy);
        close(t.vertical, vertical);
        close(t.longitudinal, longitudinal);
    }
    assert_eq!((machine_table(800.0), machine_table(f64::NAN)), (None, None));
}

#[test]
fn loads_act_where_the_clauses_say() {
    let a = answer(&cage("[\"a\", \"b\"]", ROLES, ALL));
    // Student racing: kN at the hoops' tops on the centre plane.
    for (x, along) in [(1.0, "forward"), (-1.0, "rearward")] {
        for (y, side) in [(1.0, "left"), (-1.0, "right")] {
            for (hoop, top) in [("main", DVec3::new(0.0, 0.0, 1.2)), ("front", DVec3::new(0.9, 0.0, 0.9))] {
                let c = case(&a, &format!("student-frame: {hoop} hoop, down, {along}, {side}"));
                let force = DVec3::new(6e3 * x, 5e3 * y, -9e3);
                near(load(c), force);
                near(moment(&a, c), top.cross(force));
                assert_eq!((c.wanted.most, c.reactions.len()), (Some(0.025), 4));
                assert!(c.reactions.iter().all(|r| r.moment.length() < 1e-6));
            }
        }
    }
    // The bar's ends are 480 and 450 up: its middle.
    let c = case(&a, "student-frame: side impact, bar~");
    near(load(c), DVec3::Y * 7e3);
    near(moment(&a, c), DVec3::new(0.45, -0.6, 0.465).cross(DVec3::Y * 7e3));
    // Touring: 75 N and 35 N for each kg of 1000 + 150.
    let c = case(&a, "touring-cage: main rollbar, down");
    near(load(c), DVec3::Z * -86250.0);
    near(moment(&a, c), DVec3::ZERO);
    assert_eq!((c.wanted.most, c.reactions.len()), (Some(0.05), 6));
    let c = case(&a, "touring-cage: main rollbar, sideways from the left");
    near(load(c), DVec3::Y * -40250.0);
    let c = case(&a, "touring-cage: front leg, right");
    let f = load(c);
    assert!((f.length() - 40250.0).abs() < 1e-3 && f.y > 0.0 && f.x < 0.0);
    assert!((f.y / -f.z - 25f64.to_radians().tan()).abs() < 1e-9 && (f.x / f.z - 5f64.to_radians().tan()).abs() < 1e-9);
    near(moment(&a, c), DVec3::new(0.9, -0.6, 0.9).cross(f));
    // Work machine of 1000 kg; the roof's side slopes from 1200 to 900, its middle is 450 ahead.
    let c = case(&a, "work-machine: sideways from the left");
    near(load(c), DVec3::Y * -6000.0);
    near(moment(&a, c), DVec3::new(0.45, 0.6, 1.05).cross(DVec3::Y * -6000.0));
    let p = c.published.as_ref().expect("published");
    assert!((p.energy.expect("energy") - 731.0).abs() < 0.1);
    near(load(case(&a, "work-machine: down")), DVec3::Z * -20000.0);
    near(load(case(&a, "work-machine: along, rearward")), DVec3::X * -4800.0);
    // Each says where it comes from and how its places were found.
    for p in a.cases.iter().map(|c| c.published.as_ref().expect("published")) {
        assert!(!p.clause.is_empty() && p.places.contains("role") && p.places.contains("held at"), "{p:?}");
    }
    assert!(a.cases.iter().all(|c| c.residual < 1e-9));
}

#[test]
fn the_elastic_share_of_the_energy_goes_with_the_square() {
    let a = answer(&cage("[\"a\", \"b\"]", ROLES, ALL));
    let c = case(&a, "work-machine: sideways from the left");
    let p = c.published.as_ref().expect("published");
    // Five equal forces: their mean way. Half of force by way, at the factor at which the first tube yields.
    let moved = |n: &str| c.motions[a.nodes.iter().position(|x| x.0 == n).expect("a node")][1];
    let way: f64 = (1..=5).map(|k| moved(&format!("place {k} of roof"))).sum::<f64>() / 5.0;
    let by_hand = 0.5 * 6000.0 * -way / c.used[0].stress.utilisation.powi(2);
    assert!((p.elastic.expect("a share") / by_hand - 1.0).abs() < 1e-9);
    let told = a.findings.iter().filter(|f| f.what.contains("not answered without `--collapse`")).count();
    assert_eq!(told, 2, "{:?}", a.findings);
    assert!(
        !a.findings
            .iter()
            .any(|f| f.level == Level::Mend && f.what.contains("work-machine: sideways from the left: the use"))
    );
}

#[test]
fn reversed_tubes_and_inches_change_nothing() {
    let text = cage("[\"a\", \"b\"]", ROLES, ALL);
    let (a, b) = (answer(&text), answer(&cage("[\"b\", \"a\"]", ROLES, ALL).replace("part = 0.4", "part = 0.6")));
    // The same in inches, all lengths 25.4 times as large in the file's numbers.
    let inches = text
        .replace("name = \"Sedge\"", "name = \"Sedge\"\nunits = \"in\"")
        .replace("od = 40\nwall = 3", "od = \"40 mm\"\nwall = \"3 mm\"");
    let inches = ["600", "1200", "900", "-800"].iter().fold(inches, |t, n| {
        t.replace(&format!("[{n},"), &format!("[\"{n} mm\","))
            .replace(&format!(", {n},"), &format!(", \"{n} mm\","))
            .replace(&format!(", {n}]"), &format!(", \"{n} mm\"]"))
    });
    let i = answer(&inches.replace("mass = 1000", "mass = \"1000 kg\""));
    assert_eq!(a.cases.len(), 8 + 2 + 5 + 5);
    for other in [&b, &i] {
        assert_eq!(a.cases.len(), other.cases.len());
        for (x, y) in a.cases.iter().zip(&other.cases) {
            assert_eq!(x.name, y.name);
            assert!((x.moved.by.length() / y.moved.by.length() - 1.0).abs() < 1e-8, "{}", x.name);
            let u = |c: &Solved| c.used[0].stress.utilisation;
            assert!((u(x) / u(y) - 1.0).abs() < 1e-8, "{}", x.name);
        }
    }
    // A design that is its own mirror image: left and right alike.
    let way = |n: &str| case(&a, &format!("work-machine: {n}")).moved.by.length();
    assert!((way("sideways from the left") / way("sideways from the right") - 1.0).abs() < 1e-9);
}

#[test]
fn the_mass_is_the_designs_own_if_none_is_given() {
    let mass = "[mass.ballast]\nat = [0, 0, 300]\nkg = 5000\n";
    let sets = "[strength]\nsets = [\"touring-cage\"]\n";
    let text = cage("[\"a\", \"b\"]", ROLES, &format!("{mass}{sets}"));
    let design = design::read(&text).expect("a design").design;
    let laden = shape::mass::laden(&shape::resolve(Arc::new(design)).expect("a shape")).mass;
    assert!(laden > 5000.0);
    near(load(case(&answer(&text), "touring-cage: main rollbar, down")), DVec3::Z * (-75.0 * (laden + 150.0)));
}

#[test]
fn missing_places_are_named_with_the_way_to_give_them() {
    let without = |a: &Answer, name: &str, words: &str| {
        let n = a.without.iter().find(|n| n.name == name).unwrap_or_else(|| panic!("{name}: {:?}", a.without));
        assert!(n.why.contains(words), "{}", n.why);
        assert!(!n.help.is_empty());
    };
    let none = answer(&cage("[\"a\", \"b\"]", ["", "", "", "", ""], ALL));
    assert!(none.cases.is_empty());
    for n in ["student-frame: main hoop", "touring-cage: main rollbar, down", "work-machine: sideways"] {
        without(&none, n, "no tube has the role `main hoop`");
    }
    let f = none.findings.iter().find(|f| f.what.contains("no tube has the role `main hoop`")).expect("a finding");
    assert_eq!(f.level, Level::NotChecked);
    let front = answer(&cage("[\"a\", \"b\"]", ["main hoop", "", "rear brace", "", ""], ALL));
    without(&front, "student-frame: side impact", "no tube has the role `front hoop`");
    without(&front, "touring-cage: front leg", "no tube has the role `front hoop`");
    // The main hoop is all that a work machine needs: its corner is loaded, and that is said.
    let p = case(&front, "work-machine: sideways from the left").published.as_ref().expect("published");
    assert!(p.places.contains("no tube there having the role `roof side`"), "{}", p.places);
    let brace = answer(&cage("[\"a\", \"b\"]", ["main hoop", "front hoop", "", "", ""], ALL));
    without(&brace, "touring-cage: front leg", "no brace or backstay joins the main hoop");
    without(&brace, "student-frame: side impact", "no tube between the hoops has the role `side`");
    without(&brace, "student-frame: front bulkhead", "role `bulkhead`");
    let light = answer(&cage("[\"a\", \"b\"]", ROLES, &ALL.replace("1000", "700")));
    without(&light, "work-machine: down", "its table begins over 800 kg, and the mass is strength.mass, 700 kg");
}

#[test]
fn a_bulkhead_of_four_corners() {
    let more = format!(
        "{}[tube.belts]\nsection = \"t\"\npath = [\"h\", \"h~\"]\nrole = \"harness tube\"\n{ALL}",
        [
            ("up", "f", "g", true),
            ("low", "f", "f~", false),
            ("top", "g", "g~", false),
            ("to_d", "g", "d", true),
            ("to_c", "f", "c", true)
        ]
        .map(|(n, a, b, m)| {
            let role = if n.starts_with("to") { "support" } else { "front bulkhead" };
            format!("[tube.{n}]\nsection = \"t\"\npath = [\"{a}\", \"{b}\"]\nmirror = {m}\nrole = \"{role}\"\n")
        })
        .concat()
    );
    let text = cage("[\"a\", \"b\"]", ROLES, &more).replace(
        "[point]\n",
        "[point]\nf = [1500, 300, 100]\ng = [1500, 300, 500]\nh = { on = \"main_leg\", part = 0.7 }\n",
    );
    let a = answer(&text);
    let c = case(&a, "student-frame: front bulkhead, rearward");
    near(load(c), DVec3::X * -150e3);
    near(moment(&a, c), DVec3::new(1.5, 0.0, 0.3).cross(DVec3::X * -150e3));
    let c = case(&a, "student-frame: front bulkhead, off axis, right");
    near(load(c), DVec3::new(-120e3, -10.5e3, 0.0));
}

#[test]
fn an_energy_case_is_pushed_to_its_plastic_load() {
    // Two portals that share the push of 6 M = 6000 N in proportion, feet that turn: sway at H = Σ 2 Mp / h (plastic theory, as
    // in Neal; formula from memory), Mp = 355 MPa (60³ - 52³)/6 mm³. The frame stands 60 mm askew by then, and no more than
    // hinges at the four corners carry it.
    let text = include_str!("portals.toml");
    let design = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "portals.toml", text))).design;
    let shape = shape::resolve(Arc::new(design)).expect("a shape");
    let a = strength(&shape, Depth::Collapse);
    let mp = 355e6 * (0.060f64.powi(3) - 0.052f64.powi(3)) / 6.0;
    let sway = 2.0 * mp / 1.2 + 2.0 * mp / 1.1;
    for side in ["left", "right"] {
        let x = case(&a, &format!("work-machine: sideways from the {side}")).crushed.as_ref().expect("pushed");
        let at = x.curve.windows(2).find(|w| w[1][0] >= 0.07).expect("so far")[1];
        assert!((at[1] * 6000.0 / sway - 1.0).abs() < 0.03, "{side}: {} N, not {sway} N", at[1] * 6000.0);
        // Each corner once by its leg and once by its beam at most, whatever the cut.
        assert!((4..=8).contains(&x.hinges.len()), "{:?}", x.hinges);
        // The energy: 13000 (M/10000)^1.25 J, and the way at which the work comes to it.
        let (energy, way) = x.energy.expect("asked for");
        assert!((energy - 13000.0 * 0.1f64.powf(1.25)).abs() < 1e-6);
        let way = way.expect("taken up");
        let before = x.curve.iter().rfind(|p| p[0] <= way).unwrap();
        let after = x.curve.iter().find(|p| p[0] >= way).unwrap();
        assert!(before[2] <= energy && after[2] >= energy);
    }
}
