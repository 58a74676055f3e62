//! Room and ways out against closed forms, and bad input.

mod common;

use common::shape;
use geometry::DVec3;
use shape::openings::{Fault, Opening};
use shape::room::{Room, room};
use shape::{Level, Value};

/// A cage of two square hoops and a brace, 1.2 m high, template driver in the middle.
const CAGE: &str = r#"
[limits]
padding = 10
[occupant.driver]
hip = [0, 0, 200]
figure = "template"
percentile = 95
back = 0
[point]
ma = [-300, 500, 0]
mb = [-300, 500, 1200]
fa = [600, 500, 0]
fb = [600, 500, 1200]
foot = [-1200, 400, 0]
bt = [-300, 300, 1200]
[tube.main_post]
section = "t"
path = ["ma", "mb"]
mirror = true
[tube.main]
section = "t"
path = ["mb", "mb~"]
role = "Main hoop, top"
[tube.front_post]
section = "t"
path = ["fa", "fb"]
mirror = true
[tube.front]
section = "t"
path = ["fb", "fb~"]
role = "front hoop"
[tube.brace]
section = "t"
path = ["bt", "foot"]
mirror = true
role = "rear brace"
"#;

fn says<'a>(r: &'a Room, what: &str) -> &'a shape::Finding {
    r.findings.iter().find(|f| f.what.contains(what)).unwrap_or_else(|| panic!("no \"{what}\" in {:#?}", r.findings))
}

fn near(a: f64, b: f64, within: f64) {
    assert!((a - b).abs() <= within, "{a} is not {b}");
}

#[test]
fn helmets_and_bodies_have_their_distances() {
    let r = room(&shape(CAGE));
    let d = &r.occupants[0];
    // Helmet: centre at 200 + 490 + 280 = 970, radius 150; the main tube's middle is 300 back and 230 up.
    let helmet = d.near.iter().find(|n| n.part == "helmet").unwrap();
    assert_eq!(helmet.tube, "main");
    let away = 0.3f64.hypot(0.23);
    near(helmet.distance, away - 0.15 - 0.01905, 1e-9);
    near(helmet.padded, helmet.distance - 0.01, 1e-12);
    let place = DVec3::new(-0.3 + 0.3 / away * 0.01905, 0.0, 1.2 - 0.23 / away * 0.01905);
    assert!(helmet.at.distance(place) < 1e-9, "{}", helmet.at);
    assert!(d.near.windows(2).all(|w| w[0].distance <= w[1].distance));
    // The line between the tops lies 19.05 over the tubes' middles.
    assert_eq!(d.lines.len(), 3);
    near(d.lines[0].distance, 1.21905 - 0.97 - 0.15, 1e-9);
    // From the main top to the foot: (-300, 1219.05) to (-1200, 0), by twice a triangle's area over its base.
    let twice = 0.9 * (1.21905 - 0.97) + 1.21905 * 0.3;
    near(d.lines[1].distance, twice / 0.9f64.hypot(1.21905) - 0.15, 1e-9);
    assert!(d.lines[1].foot && d.lines[1].other == "brace");
    assert!(r.findings.is_empty(), "{:#?}", r.findings);
}

#[test]
fn limits_are_held_and_say_where_they_come_from() {
    let r = room(&shape(&CAGE.replace("padding = 10", "padding = 10\nbody = 250\nhelmet = 100")));
    let f = says(&r, "the padding of main comes too near the helmet of driver");
    assert_eq!((f.level, f.source.as_deref(), f.limit), (Level::Mend, Some("limits.body"), Some(Value::Length(0.25))));
    let f = says(&r, "comes near the line from the top of main to the top of front");
    assert!(f.level == Level::Look && f.source.as_deref().unwrap().contains("F.5.6"));
    let r = room(&shape(&CAGE.replace("hip = [0, 0, 200]", "hip = [0, 0, 400]")));
    let f = says(&r, "the helmet of driver stands out over the line");
    // Its centre is under the line by 49 mm only.
    let Some(Value::Length(d)) = f.measured else { panic!() };
    near(d, 1.21905 - 1.17 - 0.15, 1e-9);
    assert_eq!(f.level, Level::Mend);
}

#[test]
fn without_roles_the_lines_are_not_checked_and_it_says_which() {
    let r = room(&shape(&CAGE.replace("role = \"rear brace\"", "")));
    let f = says(&r, "were not held against the line from the main hoop's top to the foot of its rear brace");
    assert_eq!(f.level, Level::NotChecked);
    assert!(f.help.as_deref().unwrap().contains("`rear brace`"));
    assert_eq!(r.occupants[0].lines.len(), 1);
    let r = room(&shape(&CAGE.replace("role =", "note =")));
    assert!(
        says(&r, "lines between hoop tops")
            .help
            .as_deref()
            .unwrap()
            .contains("`main hoop`, `front hoop`, `rear brace`")
    );
    let r = room(&shape(CAGE.split("[point]").next().unwrap().split("[occupant").next().unwrap()));
    assert!(r.findings.is_empty(), "nobody, nothing to say: {:#?}", r.findings);
}

#[test]
fn what_can_not_be_is_said() {
    let person = CAGE.replace("figure = \"template\"\n", "");
    let r = room(&shape(&person.replace("back = 0", "back = 0\nhelmet = 450")));
    says(&r, "the helmet of driver is larger than helmets are");
    let r = room(&shape(&person.replace("back = 0", "back = 0\nhelmet = 150")));
    says(&r, "the helmet of driver is smaller than the head in it");
    let r = room(&shape(&person.replace("back = 0", "back = 0\nhands = [1500, 200, 500]")));
    let Some(Value::Length(d)) = says(&r, "the hands of driver do not reach").measured else { panic!() };
    assert!(d > 0.5 && r.occupants[0].hands_missing == Some(d));
    let r = room(&shape(&person.replace("hip = [0, 0, 200]", "hip = [0, 3000, 200]")));
    let f = says(&r, "driver sits wholly outside the frame");
    let Some(Value::Length(d)) = f.measured else { panic!() };
    assert!(d > 2.5 && f.level == Level::Mend, "{d}");
}

/// The cage is 1200 high and a tube's radius more: someone who sits on its floor reaches out by a limb at most, someone on
/// its roof has the helmet outside and the seat within.
#[test]
fn a_helmet_or_trunk_outside_must_be_mended_and_a_foot_looked_at() {
    let at = |hip: &str| room(&shape(&CAGE.replace("hip = [0, 0, 200]", &format!("hip = {hip}"))));
    assert!(at("[0, 0, 200]").findings.iter().all(|f| !f.what.contains("wholly outside")));
    let r = at("[0, 0, 1000]");
    let f = says(&r, "the helmet of driver is wholly outside the frame");
    assert_eq!(f.level, Level::Mend);
    // Its trunk reaches out, too, and is not wholly outside.
    let r = at("[0, 0, 1600]");
    assert_eq!(says(&r, "driver sits wholly outside the frame").level, Level::Mend);
    let r = at("[0, 450, 200]");
    assert_eq!(says(&r, "of driver reaches outside the frame").level, Level::Look);
}

/// The same cage with its brace from the top forward and down.
#[test]
fn forward_braces_ask_for_the_helmet_ahead_of_the_hoops_rear_face() {
    let forward = CAGE.replace("[-1200,", "[600,");
    assert_ne!(forward, CAGE);
    let r = room(&shape(&forward));
    let face = r.occupants[0].rear_face.as_ref().unwrap();
    // The hoop's legs stand at x = -300, their rear face half a tube behind; the helmet reaches back to -150.
    near(face.distance, 0.3 + 0.01905 - 0.15, 1e-9);
    assert!(
        r.findings.iter().all(|f| !f.what.contains("rear brace") && !f.what.contains("rear face")),
        "{:#?}",
        r.findings
    );
    let r = room(&shape(&forward.replace("hip = [0, 0, 200]", "hip = [-200, 0, 200]")));
    let f = says(&r, "the helmet of driver reaches behind the rear face of main, whose braces run forward");
    assert_eq!(f.source.as_deref(), Some("Formula SAE Rules 2026, F.5.6"));
    assert!(room(&shape(CAGE)).occupants[0].rear_face.is_none());
}

/// A frame of a tetrahedron: within its box, but outside of it.
#[test]
fn within_the_box_of_the_tubes_may_be_outside_the_frame() {
    let tubes = ["a b", "a c", "a d", "b c", "b d", "c d"].map(|p| {
        let (a, b) = p.split_once(' ').unwrap();
        format!("[tube.{a}{b}]\nsection = \"t\"\npath = [\"{a}\", \"{b}\"]\n")
    });
    let text = |hip: &str| {
        let head = "[occupant.driver]\nfigure = \"template\"\npercentile = 50\nback = 0\n";
        let points = "[point]\na = [-3000, 0, 0]\nb = [3000, -3000, 0]\nc = [3000, 3000, 0]\nd = [2000, 0, 4000]\n";
        format!("{head}hip = {hip}\n{points}{}", tubes.concat())
    };
    let within = room(&shape(&text("[1500, 0, 500]")));
    assert!(within.findings.iter().all(|f| !f.what.contains("outside")), "{:#?}", within.findings);
    let f = room(&shape(&text("[-2000, 0, 500]")));
    let f = says(&f, "the helmet of driver is wholly outside the frame");
    let Some(Value::Length(d)) = f.measured else { panic!() };
    // Its centre at z = 1270 against the face through a, d and the two legs: the slope of 4000 on 5000 over x = -2000.
    let slope = 4.0f64 / 5.0;
    assert!(d > (1.27 - slope) / slope.hypot(1.0) - 0.1 && d < 2.0, "{d}");
}

fn opening(points: &str, keys: &str) -> (Opening, Room) {
    let names: Vec<String> = (0..points.lines().count()).map(|i| format!("\"p{i}\"")).collect();
    let list: String = points.lines().enumerate().map(|(i, l)| format!("p{i} = {l}\n")).collect();
    let s = shape(&format!(
        "{CAGE}[opening.out]\nedge = [{}]\n{keys}\n[tube.z]\nsection = \"t\"\npath = [\"z0\", \"z1\"]\n[tube.z.start]\ncut = \"square\"\n",
        names.join(", ")
    )
    .replace("[point]\n", &format!("[point]\nz0 = [-3000, 0, 0]\nz1 = [-3000, 0, 100]\n{list}")));
    let r = room(&s);
    (s.openings[0].clone(), r)
}

const PERSON: [f64; 2] = [0.33, 0.58];
const WINDOW: &str = "[1000, 500, 400]\n[1800, 500, 400]\n[1800, 500, 1100]\n[1000, 500, 1100]";

#[test]
fn the_ground_takes_its_part_of_an_opening() {
    let (o, _) = opening(WINDOW, "inset = 50");
    let whole = o.passage(None, PERSON);
    near(whole.area, 0.7 * 0.6, 1e-12);
    assert!(whole.passes && whole.missing == [0.0; 2]);
    // 600 high, 700 wide: askew a little, larger than 600 / 580 upright in it.
    assert!(whole.person.unwrap().scale > 0.6 / 0.58);
    // On its side: the ground is the plane z = 900 with air below, or above.
    let under = o.passage(Some((DVec3::new(9.0, 9.0, 0.9), DVec3::NEG_Z)), PERSON);
    near(under.area, 0.7 * 0.45, 1e-12);
    assert!(under.passes, "lying down: 450 high, 700 wide");
    let over = o.passage(Some((DVec3::new(9.0, 9.0, 0.9), DVec3::Z)), PERSON);
    near(over.area, 0.7 * 0.15, 1e-12);
    assert!(!over.passes);
    near(over.person.unwrap().scale, 0.15 / 0.33, 1e-3);
    near(over.missing[0], 0.33 - 0.15, 1e-3);
    near(over.missing[1], 0.58 * (1.0 - 0.15 / 0.33), 1e-3);
    // Flat on the ground, both ways, and quite under it.
    let lid = (DVec3::new(0.0, 0.6, 0.0), DVec3::NEG_Y);
    assert_eq!(o.passage(Some(lid), PERSON).area, whole.area);
    let buried = o.passage(Some((DVec3::new(0.0, 0.4, 0.0), DVec3::NEG_Y)), PERSON);
    assert!(buried.area == 0.0 && !buried.passes && buried.person.is_none());
    assert_eq!(buried.missing, PERSON);
}

#[test]
fn twins_are_mirror_images() {
    let (_, r) = opening(WINDOW, "inset = 50\nmirror = true\nclosed = \"breaks\"");
    assert_eq!(r.openings.len(), 2);
    assert_eq!(r.openings[1].name, "out~");
    near(r.openings[0].area, r.openings[1].area, 1e-12);
    near(r.openings[0].person.unwrap().scale, r.openings[1].person.unwrap().scale, 1e-6);
    assert_eq!(r.openings[1].closure, design::Closure::Breaks);
}

#[test]
fn openings_that_are_none_are_said() {
    let (o, r) = opening("[0, 500, 400]\n[800, 500, 400]\n[800, 600, 1100]\n[0, 500, 1100]", "");
    says(&r, "opening out is not flat");
    near(o.off, 0.025, 0.001);
    let (o, r) = opening("[0, 500, 400]\n[800, 500, 400]\n[0, 500, 1100]\n[800, 500, 1100]", "");
    assert_eq!(o.fault, Some(Fault::Crossed));
    assert_eq!(says(&r, "the edge of opening out crosses itself").level, Level::Mend);
    assert!(!o.passage(None, PERSON).passes);
    let (o, r) = opening("[0, 500, 400]\n[800, 500, 400]\n[1200, 500, 400]", "");
    assert_eq!(o.fault, Some(Fault::Line));
    says(&r, "the corners of opening out lie on one line");
    let round: Vec<String> = (0..300)
        .map(|i| (f64::from(i) * std::f64::consts::TAU / 300.0).sin_cos())
        .map(|(s, c)| format!("[{:.3}, 500, {:.3}]", 400.0 * c, 600.0 + 400.0 * s))
        .collect();
    let (o, r) = opening(&round.join("\n"), "");
    assert_eq!(o.fault, Some(Fault::Crowded));
    says(&r, "opening out has more than 200 corners");
    let (_, r) = opening(WINDOW, "inset = 250");
    let f = says(&r, "a person does not pass through opening out");
    let Some(Value::Length(w)) = f.measured else { panic!() };
    // 300 x 200 are left: 300 over 580 upright, a little more askew, less than 200 over 330.
    assert!(w > 0.33 * 0.3 / 0.58 && w < 0.2 && f.source.as_deref() == Some("limits.opening"), "{w}");
    let (o, r) = opening(WINDOW, "inset = 400");
    assert!(o.clear.is_empty());
    assert_eq!(says(&r, "a person does not pass").measured, Some(Value::Length(0.0)));
}

/// The window with a tube from one place to another.
fn barred(from: &str, to: &str, keys: &str, tube: &str) -> (Vec<Opening>, Room) {
    let list: String = WINDOW.lines().enumerate().map(|(i, l)| format!("p{i} = {l}\n")).collect();
    let s = shape(
        &format!(
            "{CAGE}[opening.out]\nedge = [\"p0\", \"p1\", \"p2\", \"p3\"]\n{keys}\n[tube.z]\nsection = \"t\"\npath = [\"z0\", \"z1\"]\n{tube}\n[tube.z.start]\ncut = \"square\"\n"
        )
        .replace("[point]\n", &format!("[point]\nz0 = {from}\nz1 = {to}\n{list}")),
    );
    let r = room(&s);
    (s.openings.clone(), r)
}

fn told(r: &Room) -> Vec<&str> {
    r.findings.iter().filter(|f| f.what.contains("across opening")).map(|f| f.what.as_str()).collect()
}

/// The tubes of the cage are 38.1 mm across.
const TUBE: f64 = 0.0381;

#[test]
fn a_tube_across_a_way_out_leaves_what_is_beside_it() {
    // Upright in the middle of 800 x 700: on each side 400 less half a tube.
    let (o, r) = barred("[1400, 500, 300]", "[1400, 500, 1300]", "", "");
    near(r.openings[0].area, 0.7 * (0.8 - TUBE), 1e-9);
    assert_eq!(o[0].clear.len(), 2);
    let f = says(&r, "z runs across opening out: what is left beside it counts as the way out");
    assert!(f.level == Level::Look && f.tubes == ["z"] && f.at.unwrap().distance(DVec3::new(1.4, 0.5, 0.75)) < 1e-9);
    assert!(r.openings[0].passes);
    // With less room beside it nobody passes. The opening is mirrored, the tube is not.
    let (o, r) = barred("[1300, 500, 300]", "[1500, 500, 1200]", "inset = 50\nmirror = true", "");
    let f = says(&r, "z runs across opening out: no way out is left");
    assert!(f.level == Level::Mend && f.help.is_some());
    assert_eq!((r.openings[0].passes, r.openings[1].passes, told(&r).len()), (false, true, 1));
    assert!(o[1].across.is_empty());
    // Both mirrored; and corner to corner.
    let (_, r) = barred("[1000, 500, 400]", "[1800, 500, 1100]", "mirror = true", "mirror = true");
    assert_eq!(told(&r).len(), 2, "{:?}", told(&r));
    says(&r, "z~ runs across opening out~");
    near(r.openings[0].area, r.openings[1].area, 1e-12);
    // Square through its plane.
    let (_, r) = barred("[1400, 300, 750]", "[1400, 700, 750]", "", "");
    assert_eq!(told(&r).len(), 1);
}

#[test]
fn tubes_beside_a_way_out_are_not_across_it() {
    let beside = [
        // Along an edge: on it, off it by a tube, within the inset.
        ("[1000, 500, 400]", "[1800, 500, 400]", "", ""),
        ("[900, 500, 438]", "[1900, 500, 438]", "", ""),
        ("[1000, 500, 490]", "[1800, 500, 490]", "inset = 100", ""),
        // Before and behind its plane by more than half a tube, and beside its edge.
        ("[1400, 530, 300]", "[1400, 530, 1300]", "", ""),
        ("[1400, 470, 300]", "[1400, 470, 1300]", "", ""),
        ("[900, 500, 300]", "[900, 500, 1300]", "", ""),
        // From a corner inward, at 45 degrees to the plane.
        ("[1800, 500, 1100]", "[1400, 100, 700]", "", ""),
        ("[1400, 500, 300]", "[1400, 500, 1300]", "", "temporary = true"),
    ];
    for (from, to, keys, tube) in beside {
        let (o, r) = barred(from, to, keys, tube);
        assert!(told(&r).is_empty() && o[0].across.is_empty(), "{from} {to}: {:?}", told(&r));
        assert!(r.openings[0].passes && o[0].clear.len() == 1, "{from} {to}");
    }
}

#[test]
fn people_in_people_and_in_things() {
    let with = |more: &str| room(&shape(&format!("{CAGE}{more}")));
    let found = |r: &Room| r.findings.iter().filter(|f| f.what.contains(" is in ")).count();
    assert_eq!(found(&with("")), 0);
    // A block round the middle of the trunk, one that touches its back by 10 mm and one by 60 mm: the template is 200 mm thick
    // at hip and shoulders, its trunk 490 long from a hip at the height of 200.
    let block =
        |x: f64, size: f64| format!("[mass.box]\nat = [{x}, 0, 450]\nkg = 5\nsize = [{size}, {size}, {size}]\n");
    let r = with(&block(0.0, 200.0));
    let f = says(&r, "the trunk of driver is in box");
    assert_eq!(f.level, Level::Mend);
    assert_eq!(f.measured, Some(Value::Length(0.1)));
    assert_eq!(found(&with(&block(-190.0, 200.0))), 0);
    let r = with(&block(-140.0, 200.0));
    let f = says(&r, "the trunk of driver is in box");
    assert_eq!(f.level, Level::Look);
    let Some(Value::Length(d)) = f.measured else { panic!() };
    near(d, 0.06, 1e-9);
    // Another person: in the same seat, and beside.
    let mate =
        |y: f64| format!("[occupant.mate]\nhip = [0, {y}, 200]\nfigure = \"template\"\npercentile = 95\nback = 0\n");
    let r = with(&mate(0.0));
    assert_eq!((says(&r, " of driver is in the ").level, found(&r)), (Level::Mend, 1));
    assert_eq!(found(&with(&mate(310.0))), 0);
    assert_eq!(found(&with(&mate(250.0))), 1);
}
