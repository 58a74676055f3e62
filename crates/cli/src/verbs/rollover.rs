//! `rollover`: what happens when it goes over?

use std::path::Path;
use std::process::ExitCode;
use std::sync::atomic::{AtomicU32, Ordering};

use cutting::Detail;
use review::Text;
use review::over::{self, Case, Tumbled};
use rollover::under_run::{UnderRun, UnderRunEnd};
use rollover::{Attitude, Kind, Side};
use serde_json::json;
use shape::openings::FLAT;
use strength::Depth;

use crate::load;
use crate::table::{table, wrap};

/// What every answer of this kind must say.
const CAUTION: &str = "Rest attitudes are a quasi-static argument on rigid bodies, tumbles those of one rigid body: neither is a \
crash test.\nLocal rules and a licensed engineer prevail.\n";

/// Prints rest attitudes, paths and what is left of people's room; tumbles if they are wanted.
pub fn run(path: &Path, as_json: bool, tumbles: Option<Option<u32>>) -> Result<ExitCode, String> {
    let (_, r) = load::review(path, Detail::LIVE, Depth::Live)?;
    let tumbled = match tumbles {
        Some(runs) => Some(tumble_it(&r, runs.unwrap_or(r.shape.design.rollover.tumbles))?),
        None => None,
    };
    let edge = over::edge_over_nose(&r);
    if as_json {
        let (tumbles, parts) = tumbled.map_or((None, None), |t| (Some(t.tumbles), Some(t.parts)));
        load::json(&json!({
            "units": "SI: m, kg, rad, J", "over": r.over, "tumbles": tumbles, "tumble_parts": parts,
            "under_run": edge.as_ref().ok(), "caution": CAUTION,
        }))?;
        return Ok(ExitCode::SUCCESS);
    }
    let t = Text::new(&r.shape.design);
    let mut out = String::new();
    match &r.over.whole {
        None => case(&t, &r.over.hard, "", &mut out),
        Some(whole) => {
            case(&t, &r.over.hard, "what gives way has given way", &mut out);
            out.push('\n');
            case(&t, whole, "everything holds", &mut out);
        }
    }
    out.push('\n');
    match &edge {
        Ok(ways) => edges(&t, ways, &mut out),
        Err(e) => out += &format!("an edge over the nose was not followed: {e}\n"),
    }
    if let Some(tumbled) = &tumbled {
        out.push('\n');
        told(&t, &r, tumbled, &mut out);
    }
    out.push('\n');
    for f in r.findings.iter().filter(|f| f.answer == "rollover") {
        let measure = t.measure(f).map_or(String::new(), |m| format!(": {m}"));
        out += &format!("{}{measure}\n", f.what);
    }
    out += CAUTION;
    load::print(&out);
    Ok(ExitCode::SUCCESS)
}

fn case(t: &Text, case: &Case, head: &str, out: &mut String) {
    if !head.is_empty() {
        *out += &format!("{head}:\n");
    }
    let Some(answer) = &case.rollover else {
        *out += &format!("no rest attitudes: {}\n", case.refused.as_deref().unwrap_or("for an unknown reason"));
        return;
    };
    let number = |k: usize| format!("{}", k + 1);
    *out += &table(
        &[
            "no",
            "it rests",
            "share",
            "on",
            &format!("centre {}", t.unit()),
            &format!("margin {}", t.unit()),
            "to leave",
            &format!("nearest to hard ground {}", t.unit()),
            &format!("to soft {}", t.unit()),
            "way out",
        ],
        &[0, 2, 4, 5, 6, 8],
        answer.attitudes.iter().zip(&case.rooms).enumerate().map(|(k, (a, room))| {
            let on: Vec<String> = a.contacts.iter().map(|c| c.body.clone()).collect();
            let nearest = |soft: bool| {
                over::nearest(&room.people, soft)
                    .map_or(String::new(), |(who, p)| format!("{} ({}'s {})", t.length(p.over(soft)), who.name, p.part))
            };
            vec![
                number(k),
                format!("{}{}", room.words, manner(a)),
                format!("{:.1} %", 100.0 * a.share),
                wrap(&on, ", ", 40),
                t.length(a.height),
                a.margin.map_or(String::new(), |m| t.length(m)),
                least_energy(t, a),
                nearest(false),
                nearest(true),
                way_out(t, room),
            ]
        }),
    );
    *out += "share: of all attitudes in which it may be dropped; centre: height of the centre of gravity over the ground;\n";
    *out += "margin: how far that may move before it tips on; to leave: energy over the lowest edge.\n\n";
    let wheels = case.rooms.iter().any(|m| m.words.contains("on its wheels"));
    for p in &answer.paths {
        let way = match p.side {
            Side::Left => "over its left side",
            Side::Right => "over its right side",
            Side::Nose => "over its nose",
            Side::Tail => "over its tail",
        };
        let mut words = format!("{way}, across {}", p.over.join(" and "));
        for s in &p.steps {
            let needed = if s.needed > 0.5 { format!("{}, then ", t.energy(s.needed)) } else { String::new() };
            // Between two rests it lies so for a moment.
            let past = || {
                let words = over::attitude_words(s.normal);
                let words = if wheels { words } else { words.replace("on its wheels", "upright") };
                format!("past {words}")
            };
            let at = s.attitude.map_or_else(past, |a| format!("no {}, {}", number(a), case.rooms[a].words));
            words += &format!(": {needed}{at}");
        }
        *out += &format!("{words}; rests as no {}\n", number(p.rests));
    }
    if let Some(holds) = answer.sensitivity.holds {
        *out += &format!("\nThis list stands as long as the centre of gravity is known to {}.\n", t.fine(holds));
    }
}

/// The widest way out, or how far it is from one.
fn way_out(t: &Text, room: &over::AttitudeRoom) -> String {
    room.ways.first().map_or(String::new(), |w| {
        let size = format!("{} x {}", t.length(w.ellipse[0]), t.length(w.ellipse[1]));
        let flat = if w.off > FLAT { " (not flat)" } else { "" };
        if w.passes { format!("{}{flat} {size}", w.opening) } else { format!("none: {} {size}", w.opening) }
    })
}

/// How it rests, where it is not flat on the ground.
fn manner(a: &Attitude) -> &'static str {
    match (a.kind, a.marginal) {
        (Kind::Rocks, _) if a.shallow => " (rocks, hardly)",
        (Kind::Flat, false) => "",
        (Kind::Flat, true) => " (marginal)",
        (Kind::Rocks, _) => " (rocks)",
        (Kind::Rolls, _) => " (rolls)",
    }
}

fn least_energy(t: &Text, a: &Attitude) -> String {
    let least = a.edges.iter().map(|e| e.energy).fold(f64::INFINITY, f64::min);
    if least.is_finite() { t.energy(least) } else { String::new() }
}

/// The ways of an edge over the nose, from below to above at each place.
fn edges(t: &Text, ways: &[UnderRun], out: &mut String) {
    *out += "an edge that comes over the nose, as it stands on its wheels:\n";
    let unit = t.unit();
    let head = [
        &format!("left {unit}"),
        &format!("height {unit}"),
        "it",
        "steepest",
        &format!("led up {unit}"),
        &format!("over helmets {unit}"),
        "meets",
    ];
    *out += &table(
        &head.map(|h| -> &str { h }),
        &[0, 1, 3, 4, 5],
        ways.iter().map(|w| {
            vec![
                w.lateral.map_or("whole width".to_owned(), |y| t.length(y)),
                t.length(w.height),
                match &w.end {
                    UnderRunEnd::Passes => "passes over".to_owned(),
                    UnderRunEnd::Catches(m) => format!("catches on {}", m.body),
                },
                w.steepest.as_ref().map_or(String::new(), |m| t.angle(m.slope)),
                t.length(w.led_up),
                w.helmet.as_ref().map_or(String::new(), |h| t.length(h.gap)),
                w.meets.as_ref().map_or("nobody".to_owned(), |m| m.room.clone()),
            ]
        }),
    );
    *out += "It keeps its height unless it is led upward, and catches where it would stick by friction. What it does to what it\n\
             catches on is not worked out.\n";
}

/// Throws it, with its progress on standard error.
pub fn tumble_it(r: &review::Review, runs: u32) -> Result<Tumbled, String> {
    let last = AtomicU32::new(0);
    let tell = |done: u32| {
        let part = (u64::from(done) * 20 / u64::from(runs.max(1))) as u32;
        if last.fetch_max(part, Ordering::Relaxed) < part {
            eprintln!("tumbles: {done} of {runs}");
        }
    };
    over::tumble_it(r, runs, &tell, &false.into()).map_err(|e| format!("error: {e}: give masses, wheels and tubes"))
}

fn told(t: &Text, r: &review::Review, tumbled: &Tumbled, out: &mut String) {
    let tumbles = &tumbled.tumbles;
    let share = |count: u32| {
        let [share, error] = tumbled.share(count);
        vec![count.to_string(), format!("{:.1} ± {:.1} %", 100.0 * share, 100.0 * error)]
    };
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (k, (count, room)) in tumbles.ended.iter().zip(&r.over.hard.rooms).enumerate() {
        rows.push([vec![(k + 1).to_string(), room.words.clone()], share(*count)].concat());
    }
    for (words, count) in [("in no rest attitude", tumbles.elsewhere), ("still moving after 15 s", tumbles.moving)] {
        if count > 0 {
            rows.push([vec![String::new(), words.to_owned()], share(count)].concat());
        }
    }
    *out +=
        &format!("{} tumbles, seed {}, {:.1} quarter turns each:\n", tumbles.runs, tumbles.seed, tumbles.quarter_turns);
    *out += &table(&["no", "it ended", "times", "share"], &[0, 2, 3], rows);
    let touched = |count: u32, soft: bool| {
        let list = tumbled.touched(soft);
        let list: Vec<String> = list.into_iter().map(|(who, part, n)| format!("{who}'s {part} {n}")).collect();
        let who = if list.is_empty() { String::new() } else { format!(": {}", wrap(&list, ", ", 90)) };
        format!("{count} times{who}")
    };
    *out += &format!("hard ground came into somebody's room {}\n", touched(tumbles.touched, false));
    *out += &format!("ground {} soft would have {}\n", t.length_unit(r.over.soft), touched(tumbles.touched_soft, true));
}
