//! The sheets of stance and rollover: one for each answer, their numbers the answers', within the margins, and plain words where
//! there is nothing to draw.

mod common;

use common::{assert_clean, gorse, identity, review_of, sheets, texts};
use packet::sheet::layout::MARGIN;
use packet::sheet::page::{Item, Page};
use packet::sheet::{over, stance as sheet};
use review::{Review, Text};
use stance::GRAVITY;

/// Pens and half a letter over the margin, mm.
const OVER: f64 = 1.0;

fn wren() -> Review {
    review_of(include_str!("../../../examples/wren.toml"))
}

/// The words of all pages of a title that hold a word.
fn on<'a>(pages: &'a [Page], title: &str, word: &str) -> Vec<&'a str> {
    let of = |p: &&Page| p.title == title && texts(p).any(|t| t.text == word);
    pages.iter().filter(of).flat_map(texts).map(|t| t.text.as_str()).collect()
}

/// All words of a title, in one.
fn all(pages: &[Page], title: &str) -> String {
    pages.iter().filter(|p| p.title == title).flat_map(texts).map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ")
}

fn degrees(rad: f64) -> String {
    format!("{:.1}°", rad.to_degrees())
}

#[test]
fn each_stance_has_a_sheet_with_its_numbers() {
    for r in [gorse(), wren()] {
        let (pages, t) = (sheets(&r), Text::new(&r.shape.design));
        assert!(r.stance.stances.len() >= 3);
        // As a scale of the shop shows it; the pound is 0.453 592 37 kg by definition.
        let scale = |load: f64| match r.shape.design.units {
            design::Units::Mm => format!("{:.1} kg", load / GRAVITY),
            design::Units::In => format!("{:.1} lb", load / GRAVITY / 0.453_592_37),
        };
        for s in &r.stance.stances {
            let words = on(&pages, sheet::TITLE, &format!("Stance: {}", s.name));
            let has = |w: &str| words.iter().any(|x| x.contains(w));
            let must = |w: String| assert!(has(&w), "{}: {w} is not on its sheet: {words:?}", s.name);
            must(t.mass(s.mass.mass));
            must(t.length_unit(s.centre.expect("it has a ground").z));
            let low = &s.lowest[0];
            must(format!("lowest: {}", low.name));
            must(t.length_unit(low.height));
            for (g, word) in [(&s.approach, "approach"), (&s.departure, "departure"), (&s.breakover, "breakover")] {
                if let Some(g) = g {
                    must(format!("{word} {} on {}", degrees(g.angle), g.name));
                } else if s.angles_taken {
                    must("90° or more".into());
                }
            }
            if let Some(l) = &s.loads {
                for (a, name) in l.axles.iter().zip(["front axle", "rear axle"]) {
                    let (load, share) = (a.load.unwrap(), a.share.unwrap());
                    must(format!("{name} {} · {:.1} %", scale(load), 100.0 * share));
                }
                for e in &l.edges {
                    must(degrees(e.angle));
                }
                must(format!("{:.3}", l.stability_factor.unwrap()));
                for w in &s.wheels {
                    must(format!("{} {}", w.name, scale(w.load.unwrap())));
                }
            }
        }
    }
}

#[test]
fn stances_and_measures_are_compared() {
    let r = gorse();
    let (pages, t) = (sheets(&r), Text::new(&r.shape.design));
    let words = on(&pages, sheet::TITLE, "How it stands: all stances");
    for s in &r.stance.stances {
        assert!(words.contains(&s.name.as_str()), "{}", s.name);
        assert!(words.contains(&t.length_unit(s.lowest[0].height).as_str()), "{}", s.name);
    }
    for m in &r.stance.measures {
        let at = words.iter().position(|w| *w == m.name).expect("each measure has a row");
        assert!(words[at..].contains(&"within"), "{}", m.name);
    }
    // Over a limit it says so in words.
    let text = include_str!("../../../examples/gorse.toml").replace("least = 120", "least = 125");
    let r = review_of(&text);
    let pages = sheets(&r);
    let words = on(&pages, sheet::TITLE, "How it stands: all stances");
    let short = words.iter().filter(|w| w.starts_with("short by")).count();
    let over = r.stance.measures.iter().filter(|m| m.within == Some(false)).count();
    assert!(over > 0 && short == over, "{short} {over}");
}

#[test]
fn obstacles_are_driven_over_and_scraping_is_said() {
    let r = gorse();
    let (pages, t) = (sheets(&r), Text::new(&r.shape.design));
    let words = all(&pages, sheet::TITLE);
    for (k, o) in r.shape.design.obstacles.iter().enumerate() {
        let all = r.stance.stances.iter().filter_map(|s| Some((s, s.crossings.get(k)?.least.as_ref()?)));
        let (s, m) = all.min_by(|a, b| a.1.clearance.total_cmp(&b.1.clearance)).expect("it gets over");
        let head = format!("{}, {}: least {} at {}", o.name, s.name, t.length_unit(m.clearance), m.name);
        assert!(words.contains(&head), "{head}");
    }
    let text = include_str!("../../../examples/gorse.toml")
        .replace("hump = { length = 3700, height = 100 }", "hump = { length = 1500, height = 330 }")
        .replace("kerb = 120", "kerb = 700");
    let r = review_of(&text);
    let pages = sheets(&r);
    assert_clean(&pages);
    let words = all(&pages, sheet::TITLE);
    let c = &r.stance.stances.iter().find(|s| s.name == "bottomed").unwrap().crossings;
    let (least, first) = (c[0].least.as_ref().unwrap(), c[0].first_touch.as_ref().unwrap());
    let t = Text::new(&r.shape.design);
    assert!(least.clearance < 0.0);
    let told =
        format!("scrapes, by up to {} on {}, first on {}", t.length_unit(-least.clearance), least.name, first.name);
    assert!(words.contains(&told), "{told}");
    assert!(words.contains(&format!("{} touches first here", first.name)));
    assert!(words.contains("yard_kerb, laden: the tyres do not climb it"));
}

#[test]
fn each_rest_is_told_with_its_way_out() {
    // Rests in which another part is nearest over soft ground than over hard.
    let mut apart = 0;
    for r in [gorse(), wren()] {
        let (pages, t) = (sheets(&r), Text::new(&r.shape.design));
        let words = all(&pages, over::TITLE);
        let answer = r.over.hard.rollover.as_ref().expect("the demos rest somewhere");
        for (k, (a, room)) in answer.attitudes.iter().zip(&r.over.hard.rooms).enumerate() {
            let must = |w: String| assert!(words.contains(&w), "no {}: {w}", k + 1);
            must(format!("{}  {}", k + 1, room.words));
            must(format!("{:.1} %", 100.0 * a.share));
            must(format!("centre {} up", t.length_unit(a.height)));
            // The least of all parts of all people, for each ground by itself.
            let parts = || room.people.iter().flat_map(|p| &p.parts);
            let hard = parts().map(|p| p.hard).fold(f64::INFINITY, f64::min);
            let soft = parts().map(|p| p.soft).fold(f64::INFINITY, f64::min);
            must(format!("{} over hard: ", t.length_unit(hard)));
            must(format!("{} over soft: ", t.length_unit(soft)));
            let first = parts().min_by(|a, b| a.hard.total_cmp(&b.hard)).expect("somebody sits in it");
            apart += usize::from(t.length(first.soft) != t.length(soft));
            let w = &room.ways[0];
            must(format!("out: {}, {} x {}", w.opening, t.length(w.ellipse[0]), t.length_unit(w.ellipse[1])));
            // What is left lies over the ground, and so does the ellipse.
            let ground = a.normal.dot(a.foot);
            let deep = |p: geometry::DVec3| a.normal.dot(p) - ground;
            for p in w.left.iter().flatten() {
                assert!(deep(*p) < 1e-9, "no {}: {} is under the ground", k + 1, w.opening);
            }
            let f = w.fits.as_ref().expect("something is left");
            for j in 0..32 {
                assert!(deep(f.rim(f64::from(j) * 0.2)) < 1e-9);
            }
            for (half, long) in f.half.iter().zip(w.ellipse) {
                assert!((2.0 * half.length() - long).abs() < 1e-9);
            }
        }
        for p in &answer.paths {
            assert!(words.contains(&format!("rests {}, no {}", r.over.hard.rooms[p.rests].words, p.rests + 1)));
            let needed: f64 = p.steps.iter().map(|s| s.needed).sum();
            assert!(p.steps.len() > 3 || words.contains(&format!("+{}", t.energy(needed))), "{needed}");
        }
    }
    assert!(apart > 0, "no rest tells both parts apart");
}

#[test]
fn a_way_out_that_nobody_passes_is_crossed_out() {
    let text = include_str!("../../../examples/gorse.toml")
        .replace("breakover = 11\n", "breakover = 11\nopening = [900, 1200]\n");
    let r = review_of(&text);
    assert!(r.over.hard.rooms.iter().all(|room| room.ways.iter().all(|w| !w.passes)));
    let pages = sheets(&r);
    assert_clean(&pages);
    assert!(all(&pages, over::TITLE).contains("no way out: "));
}

#[test]
fn the_edge_over_the_nose_is_drawn() {
    let r = gorse();
    let words = all(&sheets(&r), over::TITLE);
    let ways = review::over::edge_over_nose(&r).expect("it stands on wheels");
    for w in &ways {
        if let rollover::under_run::UnderRunEnd::Catches(m) = &w.end {
            assert!(words.contains(&format!("catches on {} (", m.body)), "{}", m.body);
        }
        if let Some(m) = &w.meets {
            assert!(words.contains(&format!("meets {}", m.room)), "{}", m.room);
        }
    }
    assert!(words.contains("across its whole width"));
}

#[test]
fn tumbles_stand_on_the_sheets_where_they_were_run() {
    let mut r = gorse();
    assert!(all(&sheets(&r), over::TITLE).contains("Tumbles were not run"));
    let tumble = |r: &Review| review::over::tumble_it(r, 60, &|_| {}, &false.into()).expect("it tumbles");
    let x = tumble(&r);
    assert_eq!(x, tumble(&r), "the same seed, the same tumbles");
    let n = f64::from(x.tumbles.runs);
    r.over.tumbled = Some(x.clone());
    let pages = sheets(&r);
    assert_clean(&pages);
    let words = all(&pages, over::TITLE);
    for count in x.tumbles.ended.iter().filter(|c| **c > 0) {
        let p = f64::from(*count) / n;
        // docs/methods/tumble.md: sqrt(n (1 - n/N)) / N.
        let error = (f64::from(*count) * (1.0 - p)).sqrt() / n;
        let told = format!("{:.1} ± {:.1} %", 100.0 * p, 100.0 * error);
        assert!(words.contains(&told), "{told}");
    }
    assert!(words.contains("60 random tumbles, seed 1"));
    let files = packet::exchange::files(&r, &identity()).unwrap();
    let json = files.iter().find(|f| f.path == "packet.json").expect("there is a packet.json");
    let json: serde_json::Value = serde_json::from_slice(&json.bytes).unwrap();
    assert_eq!(json["rollover"]["tumbled"]["tumbles"]["runs"], 60);
}

#[test]
fn the_json_holds_stance_and_rollover() {
    let r = gorse();
    let files = packet::exchange::files(&r, &identity()).unwrap();
    let json = files.iter().find(|f| f.path == "packet.json").expect("there is a packet.json");
    let json: serde_json::Value = serde_json::from_slice(&json.bytes).unwrap();
    assert!(json["units"].as_str().is_some_and(|u| u.contains("N, J")));
    let stances = json["stance"]["stances"].as_array().expect("stances");
    assert_eq!(stances.len(), r.stance.stances.len());
    assert_eq!(json["stance"]["measures"].as_array().map(Vec::len), Some(r.stance.measures.len()));
    let cases = json["strength"]["cases"].as_array().expect("load cases");
    assert_eq!(cases.len(), r.strength.cases.len());
    for (told, c) in cases.iter().zip(&r.strength.cases) {
        assert_eq!(told["used"][0]["tube"], c.used[0].tube);
        // The reader rounds the last digit.
        let most = told["used"][0]["stress"]["utilisation"].as_f64().expect("a number");
        assert!((most - c.used[0].stress.utilisation).abs() < 1e-12, "{most}");
    }
    let answer = r.over.hard.rollover.as_ref().unwrap();
    let rests = json["rollover"]["hard"]["rollover"]["attitudes"].as_array().expect("rests");
    assert_eq!(rests.len(), answer.attitudes.len());
    for (k, a) in answer.attitudes.iter().enumerate() {
        let same = |v: &serde_json::Value, want: f64| v.as_f64().is_some_and(|v| (v - want).abs() < 1e-12);
        assert!(same(&rests[k]["share"], a.share));
        let way = &json["rollover"]["hard"]["rooms"][k]["ways"][0];
        assert!(same(&way["area"], r.over.hard.rooms[k].ways[0].area));
        assert!(way["left"].as_array().is_some_and(|l| !l.is_empty()));
    }
    assert!(json["under_run"].as_array().is_some_and(|w| !w.is_empty()));
    assert!(json["not_checked"].as_array().unwrap().iter().all(|n| n != "rollover"));
}

#[test]
fn nothing_runs_into_the_margins_and_every_sheet_has_its_caution() {
    for r in [gorse(), wren()] {
        let mut seen = [0, 0];
        for p in sheets(&r).iter() {
            let (k, caution) = match p.title.as_str() {
                sheet::TITLE => (0, sheet::CAUTION),
                over::TITLE => (1, over::CAUTION),
                _ => continue,
            };
            seen[k] += 1;
            assert!(texts(p).any(|t| t.text == caution), "a sheet of {} has no caution, or a cut one", p.title);
            for item in &p.items {
                if let Item::Path { points, .. } = item {
                    for q in points {
                        let inside = q.x > MARGIN - OVER
                            && q.x < p.width - MARGIN + OVER
                            && q.y > MARGIN - OVER
                            && q.y < p.height - MARGIN;
                        assert!(inside, "{}: a line runs to {q}", p.title);
                    }
                }
            }
            for t in texts(p) {
                let [a, b] = common::extent(&common::faces(), t);
                assert!(a.x > MARGIN - OVER && b.x < p.width - MARGIN + OVER && a.y > MARGIN - OVER, "{:?}", t.text);
            }
        }
        assert!(seen[0] > 3 && seen[1] > 2, "{seen:?}");
    }
}

const BARE: &str = r#"
[design]
name = "Bare"
[section.t]
shape = "round"
od = 38
wall = 2.5
material = "S355"
[point]
a = [0, 300, 300]
b = [900, 300, 300]
c = [400, 0, 800]
[tube.rail]
section = "t"
path = ["a", "b"]
mirror = true
[tube.leg]
section = "t"
path = ["a", "c"]
mirror = true
[tube.brace]
section = "t"
path = ["b", "c"]
mirror = true
"#;

const WHEELS: &str = r#"
[wheel.front]
at = [900, 500, 250]
radius = 250
width = 150
kg = 10
mirror = true
"#;

const REAR: &str = r#"
[wheel.rear]
at = [-100, 0, 260]
radius = 260
width = 150
kg = 12
"#;

/// Without wheels, on one axle, on three wheels, without people or ways out: there is a packet, and it says why.
#[test]
fn what_can_not_be_drawn_is_said() {
    let says = |text: &str, title: &str, want: &[&str]| {
        let pages = sheets(&review_of(text));
        assert_clean(&pages);
        let words = all(&pages, title);
        for w in want {
            assert!(words.contains(w), "{w} in {words}");
        }
    };
    says(BARE, sheet::TITLE, &["there are no wheels, so there is no ground"]);
    says(BARE, over::TITLE, &["Nobody sits in it", "Not worked out: it stands on no wheels"]);
    let one = format!("{BARE}{WHEELS}");
    says(&one, sheet::TITLE, &["two wheels or fewer hold no ground"]);
    let three = format!("{BARE}{WHEELS}{REAR}");
    says(&three, sheet::TITLE, &["Stance: drawn", "front axle"]);
    // It tips over slanting edges: half a track over the height would promise too much.
    assert!(!all(&sheets(&review_of(&three)), sheet::TITLE).contains("static stability factor T/2h"));
    let seated = format!("{three}[occupant.one]\nhip = [300, 0, 400]\nstature = 1700\nkg = 70\nback = 20\n");
    says(&seated, over::TITLE, &["No way out is given"]);
}

/// Ground at a steep slant, three axles, a car far from its origin, names as long as they may be, many stances.
#[test]
fn odd_stances_stay_on_the_paper() {
    let four = WHEELS.to_owned() + &REAR.replace("at = [-100, 0, 260]", "at = [-100, 480, 260]\nmirror = true");
    let slant = format!(
        "{BARE}{four}[stance.on_a_bank]\nwheels = [{{ wheel = \"front\", hub = 160 }}, {{ wheel = \"rear\", hub = -90, radius = 200 }}]\n\
         [stance.on_stands_with_a_name_as_long_as_names_may_be_]\nstands = [{{ under = \"rail\", x = 100, height = 300 }}, \
         {{ under = \"rail\", x = 800, height = 520 }}, {{ under = \"rail~\", x = 100, height = 300 }}]\n"
    );
    let six =
        format!("{BARE}{four}{}", four.replace("front", "third").replace("rear", "fourth").replace("[900,", "[450,"));
    let far = slant
        .replace("[0, 300, 300]", "[90000, 300, 5300]")
        .replace("[900, 300, 300]", "[90900, 300, 5300]")
        .replace("[400, 0, 800]", "[90400, 0, 5800]")
        .replace("[900, 500, 250]", "[90900, 500, 5250]")
        .replace("[-100, 480, 260]", "[89900, 480, 5260]")
        .replace("x = 100,", "x = 90100,")
        .replace("x = 800,", "x = 90800,");
    let wide = slant.replace("at = [-100, 480, 260]", "at = [-100, 2480, 260]");
    for (name, text) in [("slant", slant), ("six", six), ("far", far), ("wide", wide)] {
        let r = review_of(&text);
        let obstacles = "[obstacle.ditch]\nprofile = [[0, 0], [300, -200], [900, -200], [1200, 0]]\nclearance = 40\n\
             [obstacle.bump]\nhump = { length = 300, height = 60 }\n";
        let driven = review_of(&format!("{text}{obstacles}"));
        for r in [r, driven] {
            let pages = sheets(&r);
            let faults = common::faults(&pages);
            assert!(faults.is_empty(), "{name}: {}", faults.join("\n"));
            let sheets = pages.iter().filter(|p| p.title == sheet::TITLE).flat_map(texts);
            let stood = r.stance.stances.iter().filter(|s| s.ground.is_some()).count();
            assert_eq!(sheets.filter(|t| t.text.starts_with("Stance: ")).count(), stood, "{name}");
        }
    }
}
