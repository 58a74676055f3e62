//! Going over, on the demo designs: each attitude laid on level ground by its rotation, and looked at afresh.

use std::sync::Arc;

use cutting::Detail;
use glam::{DQuat, DVec3};
use review::Review;
use shape::bodies::BodyKind;

fn load(name: &str) -> Review {
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap();
    read(&text)
}

fn read(text: &str) -> Review {
    let reading = design::read(text).unwrap_or_else(|p| panic!("{}", design::render(&p, "text", text)));
    review::review(Arc::new(reading.design), Detail::LIVE).unwrap()
}

#[test]
fn laid_on_the_ground_nothing_hard_is_below_it_and_rooms_are_where_they_are_said_to_be() {
    for name in ["gorse", "wren"] {
        let r = load(name);
        let answer = r.over.hard.rollover.as_ref().unwrap();
        let shares: f64 = answer.attitudes.iter().map(|a| a.share).sum();
        assert!((shares - 1.0).abs() < 1e-9, "{name}: shares add up to {shares}");
        let hard = review::over::bodies(&r.shape, false);
        assert!(hard.len() > r.shape.tubes.len());
        let body = review::over::tumbling(&r.shape, &r.laden).0;
        // By hand: wheels hang at droop, and weigh there.
        let hung: f64 = r
            .shape
            .bodies
            .iter()
            .filter(|b| b.kind == BodyKind::Wheel)
            .map(|b| {
                b.mass * r.shape.design.wheels.iter().find(|w| w.name == b.name.trim_end_matches('~')).unwrap().droop
            })
            .sum();
        let centre = r.laden.centre - DVec3::Z * hung / r.laden.mass;
        assert!(body.centre.distance(centre) < 1e-12);
        assert!(r.over.hung.centre.distance(centre) < 1e-12 && (r.over.hung.mass - r.laden.mass).abs() < 1e-9);
        let points = body.hull;
        for (a, room) in answer.attitudes.iter().zip(&r.over.hard.rooms) {
            let turn = DQuat::from_array(a.rotation);
            let height = |p: DVec3| (turn * (p - centre)).z + a.height;
            for p in &points {
                assert!(height(*p) > -1e-3, "{name}, {}: {} below the ground", room.words, -height(*p));
            }
            for c in a.contacts.iter().flat_map(|c| &c.at) {
                assert!(height(*c).abs() < 1e-3, "{name}, {}: a contact {} over the ground", room.words, height(*c));
            }
            for person in &room.people {
                let body =
                    r.shape.bodies.iter().find(|b| b.name == person.name && b.kind == BodyKind::Occupant).unwrap();
                for part in &person.parts {
                    // Many directions: the farthest places of a rounded body are all on its surface.
                    let lowest = body
                        .parts
                        .iter()
                        .filter(|p| p.0 == part.part)
                        .flat_map(|p| (0..2000).map(|k| p.1.farthest(direction(k))))
                        .map(height)
                        .fold(f64::INFINITY, f64::min);
                    // Two thousand directions miss the lowest place by up to 3 degrees.
                    assert!(lowest > part.hard - 1e-9 && lowest < part.hard + 2e-3, "{lowest} is not {}", part.hard);
                    assert!((height(part.at) - part.hard).abs() < 1e-9);
                    assert!(part.soft <= part.hard - r.over.soft + 1e-12);
                }
            }
        }
    }
}

/// Evenly spread over the sphere.
fn direction(k: u32) -> DVec3 {
    let z = 1.0 - 2.0 * (f64::from(k) + 0.5) / 2000.0;
    let a = f64::from(k) * std::f64::consts::PI * (3.0 - 5f64.sqrt());
    let r = (1.0 - z * z).sqrt();
    DVec3::new(r * a.cos(), r * a.sin(), z)
}

const BOX: &str = r#"
[design]
name = "Sedge"
[section.t]
shape = "round"
od = 40
wall = 3
material = "E355"
[point]
a = [1000, 500, 0]
b = [-1000, 500, 0]
c = [1000, 500, HIGH]
d = [-1000, 500, HIGH]
[tube.low]
section = "t"
path = ["a", "b"]
mirror = true
[tube.top]
section = "t"
path = ["c", "d"]
mirror = true
[mass.load]
at = [0, 0, 100]
kg = 400
[occupant.driver]
hip = [0, 0, 100]
stature = 1750
kg = 75
"#;

#[test]
fn a_roof_that_is_too_low_is_said_so_and_one_that_gives_way_too() {
    let words = |r: &Review| {
        r.findings.iter().filter(|f| f.answer == "rollover").map(|f| (f.level, f.what.clone())).collect::<Vec<_>>()
    };
    let low = words(&read(&BOX.replace("HIGH", "800")));
    assert!(low.iter().any(|w| w.1 == "on its roof the helmet of driver touches hard ground"), "{low:?}");
    let high = words(&read(&BOX.replace("HIGH", "1300")));
    assert!(high.iter().all(|w| !w.1.contains("on its roof")), "{high:?}");
    // Without wheels it stands upright on its tubes.
    assert!(read(&BOX.replace("HIGH", "1300")).over.hard.rooms.iter().any(|a| a.words == "upright"));
    // Just high enough for hard ground.
    let r = read(&BOX.replace("HIGH", "1300"));
    let roof = r.over.hard.rooms.iter().find(|a| a.words == "on its roof").unwrap();
    let spare = roof.people[0].parts[0].hard;
    let just = format!("{}", 1300.0 - spare * 1e3 + 20.0);
    let soft = words(&read(&BOX.replace("HIGH", &just)));
    assert!(soft.iter().any(|w| w.1 == "on its roof the helmet of driver touches soft ground"), "{soft:?}");
    // A roof that is not hard is no roof, but in the case that everything holds.
    let text = BOX.replace("HIGH", "1300").replace("path = [\"c\", \"d\"]", "path = [\"c\", \"d\"]\nhard = false");
    let text = text.replace("kg = 400", "kg = 400\nsize = [500, 500, 300]");
    let r = read(&text);
    assert!(words(&r).iter().any(|w| w.1.starts_with("on its roof") && w.1.contains("hard ground")), "{:?}", words(&r));
    let whole = r.over.whole.as_ref().unwrap();
    let roof = whole.rooms.iter().find(|a| a.words == "on its roof").unwrap();
    assert!((roof.people[0].parts[0].hard - spare).abs() < 1e-9);
}

#[test]
fn what_cannot_be_worked_out_is_said_and_the_rest_still_comes() {
    let r = read("[design]\nname = \"x\"\n");
    assert!(r.over.hard.rollover.is_none());
    assert!(r.findings.iter().any(|f| f.what.contains("rollover")), "{:?}", r.findings);
    // One tube and a mass far away.
    let text = BOX.replace("HIGH", "800").replace("at = [0, 0, 100]", "at = [0, 0, 9000]");
    let r = read(&text);
    assert!(r.findings.iter().any(|f| f.what.contains("outside of everything hard")), "{:?}", r.findings);
    assert!(!r.cutting.pieces.is_empty());
}

#[test]
fn a_way_out_needs_room_outside_it() {
    let hatch = "[opening.hatch]\nedge = [\"c\", \"d\", \"d~\", \"c~\"]\ninset = 20\n";
    let window = "[opening.window]\nedge = [\"a\", \"b\", \"d\", \"c\"]\ninset = 20\n";
    let base = BOX.replace("HIGH", "1300");
    let on_roof = |text: &str| {
        let r = read(text);
        let k = r.over.hard.rooms.iter().position(|a| a.words == "on its roof").unwrap();
        let words: Vec<String> = r.findings.iter().map(|f| f.what.clone()).collect();
        (r.over.hard.rooms[k].ways.clone(), words)
    };
    // A hatch in the roof is whole, and useless, when the car lies on it.
    let (ways, words) = on_roof(&format!("{base}{hatch}"));
    assert!(!ways[0].passes && (ways[0].raised - 0.33).abs() < 1e-9, "{ways:?}");
    let nobody = "on its roof nobody gets out: the widest way is through hatch";
    assert!(words.iter().any(|w| w == nobody), "{words:?}");
    // A window in the side is not: upside down it is as clear as upright, 1960 by 1260 mm, so an ellipse of the proportions
    // 330 by 580 that fills its height is 1260 long and lies along it no less.
    let (ways, words) = on_roof(&format!("{base}{hatch}{window}"));
    assert!(ways[0].opening == "window" && ways[0].passes && ways[0].raised < 1e-9, "{ways:?}");
    assert!((ways[0].area - 1.96 * 1.26).abs() < 1e-9, "{ways:?}");
    assert!(words.iter().all(|w| !w.starts_with("on its roof nobody")), "{words:?}");
    // Through a panel that must break is said apart.
    let (_, words) = on_roof(&format!("{base}{window}closed = \"breaks\"\n"));
    assert!(words.iter().any(|w| w.contains("only way out is through a panel that must break")), "{words:?}");
    // One that is not flat is judged in a plane that it does not lie in, and counts behind flat ones: here a corner is drawn
    // in by 100, so all four lie 25 off their best plane.
    let bent = window.replace("\"d\"", "\"bent\"");
    let bent = format!("{base}{bent}").replacen("[point]", "[point]\nbent = { from = \"d\", by = [0, -100, 0] }", 1);
    let (ways, words) = on_roof(&bent);
    assert!(ways[0].passes && (ways[0].off - 0.025).abs() < 1e-3, "{ways:?}");
    let guess = "on its roof the only way out is through window, judged in a plane that it does not lie in";
    assert!(words.iter().any(|w| w == guess), "{words:?}");
    assert!(words.iter().any(|w| w.starts_with("opening window is not flat: a person passes it")), "{words:?}");
    let flat = format!("{bent}[opening.other]\nedge = [\"a\", \"b\", \"d\", \"c\"]\ninset = 200\n");
    let (ways, words) = on_roof(&flat);
    assert!(ways[0].opening == "other" && ways[1].ellipse[0] > ways[0].ellipse[0], "{ways:?}");
    assert!(words.iter().all(|w| w != guess), "{words:?}");
    // None given is not none checked.
    let (_, words) = on_roof(&base);
    assert!(words.iter().any(|w| w.starts_with("no way out is given")), "{words:?}");
}

const WHEELS: &str = "\n[wheel.f]\nat = [900, 700, 0]\nradius = 300\nwidth = 180\nkg = 15\nmirror = true\n\
[wheel.r]\nat = [-900, 700, 0]\nradius = 300\nwidth = 180\nkg = 15\nmirror = true\n";

fn edge_of(text: &str) -> Result<Vec<rollover::UnderRun>, String> {
    review::over::edge_over_nose(&read(text))
}

#[test]
fn an_edge_over_an_open_nose_meets_the_driver_and_a_bar_stops_it() {
    let open = format!("{}{WHEELS}[rollover]\nedge = [600, 1000]\n", BOX.replace("HIGH", "1300"));
    let ways = edge_of(&open).unwrap();
    let middle: Vec<_> = ways.iter().filter(|w| w.lateral == Some(0.0)).collect();
    // Heights are over the ground, 300 mm under the hubs: 600 to 1000 are 300 to 700 over the rails, where the driver is.
    assert!(middle.iter().all(|w| w.meets.as_ref().is_some_and(|m| m.room.starts_with("driver's"))), "{middle:#?}");
    // A bar across the front at the lowest edge's height: the edge runs level into its foremost side, a wall.
    let bar = open
        .replace("[tube.low]", "e = [950, 500, 300]\n[tube.bar]\nsection = \"t\"\npath = [\"e\", \"e~\"]\n[tube.low]");
    let ways = edge_of(&bar).unwrap();
    let low = ways.iter().find(|w| w.lateral == Some(0.0) && (w.height - 0.6).abs() < 1e-9).unwrap();
    assert!(matches!(&low.end, rollover::under_run::UnderRunEnd::Catches(m) if m.body == "bar"), "{low:#?}");
    assert!((low.steepest.as_ref().unwrap().slope.to_degrees() - 90.0).abs() < 1e-6, "{low:#?}");
    assert!(low.meets.is_none(), "{low:#?}");
    // Without wheels it has no height, and says so.
    assert!(edge_of(&BOX.replace("HIGH", "1300")).is_err());
    let says = |text: &str, words: &str| read(text).findings.iter().any(|f| f.what.starts_with(words));
    assert!(says(&open, "an edge that comes over the nose meets driver's"));
    assert!(says(&bar, "an edge that comes over the nose catches on bar"));
    let lone = format!("{}[rollover]\nedge = [600, 1000]\n", BOX.replace("HIGH", "1300"));
    assert!(says(&lone, "an edge over the nose was not followed: it stands on no wheels"));
    // Not asked for, not followed.
    let quiet = open.replace("edge = [600, 1000]", "soft = 50");
    assert!(read(&quiet).edge.is_none() && !says(&quiet, "an edge"));
}

#[test]
fn a_hard_skin_holds_the_car_up_and_a_soft_one_only_while_it_holds() {
    // A roof panel half a metre over the tubes.
    let stl = "solid a\nfacet normal 0 0 1\nouter loop\nvertex 900 450 1800\nvertex -900 450 1800\nvertex -900 -450 1800\nendloop\nendfacet\n\
               facet normal 0 0 1\nouter loop\nvertex 900 450 1800\nvertex -900 -450 1800\nvertex 900 -450 1800\nendloop\nendfacet\nendsolid a\n";
    let room = |hard: bool, whole: bool| {
        let text =
            format!("{}[skin.roof]\nfile = \"roof.stl\"\nunit = \"mm\"\nhard = {hard}\n", BOX.replace("HIGH", "1300"));
        let design = Arc::new(design::read(&text).unwrap().design);
        let r = review::with_skins(design, &[Ok(mesh::read(stl.as_bytes()).unwrap())], Detail::LIVE).unwrap();
        let case = if whole { r.over.whole.clone().unwrap() } else { r.over.hard.clone() };
        let roof = case.rooms.iter().find(|a| a.words == "on its roof").unwrap();
        roof.people[0].parts[0].hard
    };
    // The tubes' tops are at 1320 mm, the panel at 1800.
    assert!((room(true, false) - room(false, false) - 0.480).abs() < 1e-9);
    assert!((room(false, true) - room(true, false)).abs() < 1e-9);
}
