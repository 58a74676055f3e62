//! `stance`: how does it stand on its wheels?

use std::path::Path;
use std::process::ExitCode;

use cutting::Detail;
use design::MeasureKind;
use review::Text;
use serde_json::json;
use stance::{Crossing, Governed, Hub, LowPart, Meeting, Rule, Side, Stood};
use strength::Depth;

use crate::load;
use crate::table::table;

/// The lowest places that are listed; JSON has them all.
const LOWEST: usize = 6;

const CAUTION: &str = "A quasi-static, rigid argument: at speed, on soft ground and on worn tyres a car clears less and \
tips sooner. Local rules and a licensed engineer prevail.";

/// Prints every stance, the room of the wheels and the measures.
pub fn run(path: &Path, as_json: bool) -> Result<ExitCode, String> {
    let (_, r) = load::review(path, Detail::LIVE, Depth::Live)?;
    let s = &r.stance;
    if as_json {
        load::json(&json!({ "units": "SI: m, kg, N, rad", "stance": s, "findings": s.findings }))?;
        return Ok(ExitCode::SUCCESS);
    }
    let t = Text::new(&r.shape.design);
    let mut out = String::new();
    for stood in &s.stances {
        out += &stance(&t, stood);
    }
    if !s.rooms.is_empty() {
        out += "\nroom of the wheels through bump, droop and steer\n";
        out += &table(
            &["wheel", "nearest tube", &format!("distance {}", t.unit()), "at travel", "at steer"],
            &[2, 3, 4],
            s.rooms.iter().map(|room| {
                vec![
                    room.wheel.clone(),
                    room.tube.clone().unwrap_or_else(|| "none".into()),
                    if room.distance > 0.0 { t.length(room.distance) } else { "touches".into() },
                    t.length(room.travel),
                    t.angle(room.steer),
                ]
            }),
        );
    }
    if !s.measures.is_empty() {
        out += "\nmeasures\n";
        let value = |kind: MeasureKind, v: f64| match kind {
            MeasureKind::Angle => t.angle(v),
            MeasureKind::Distance => t.fine(v),
        };
        out += &table(
            &["measure", "stance", "value", "least", "most", ""],
            &[2, 3, 4],
            s.measures.iter().map(|m| {
                let limit = |v: Option<f64>| v.map_or(String::new(), |v| value(m.kind, v));
                vec![
                    m.name.clone(),
                    m.stance.clone().unwrap_or_default(),
                    m.value.map_or_else(|| "not taken".into(), |v| value(m.kind, v)),
                    limit(m.least),
                    limit(m.most),
                    match (m.within, m.least.or(m.most)) {
                        (Some(false), _) => "over its limits".into(),
                        (Some(true), Some(_)) => "within".into(),
                        _ => m.why.clone().unwrap_or_default(),
                    },
                ]
            }),
        );
    }
    if !s.findings.is_empty() {
        out += "\nfound\n";
        for f in &s.findings {
            let measured = t.measure(f).map_or(String::new(), |m| format!(": {m}"));
            out += &format!("  {}{measured}\n", f.what);
        }
    }
    out += &format!("\n{CAUTION}\n");
    load::print(out.trim_start());
    Ok(ExitCode::SUCCESS)
}

fn stance(t: &Text, s: &Stood) -> String {
    let mut out = format!("\n{}: {} on board", s.name, t.mass(s.mass.mass));
    let Some(centre) = s.centre else { return out + ", no ground to stand on\n" };
    out += &format!(", centre of gravity {} over the ground", t.length_unit(centre.z));
    let tilt = |v: Option<f64>, up: &str, down: &str| match v.map(f64::to_degrees) {
        Some(d) if d > 0.05 => format!(", {up} {d:.1}°"),
        Some(d) if d < -0.05 => format!(", {down} {:.1}°", -d),
        _ => String::new(),
    };
    out += &tilt(s.nose_up, "nose up", "nose down");
    out += &tilt(s.left_up, "left side up", "right side up");
    out += "\n";
    if let Some(l) = &s.loads {
        out += &format!("  wheelbase {}", t.length_unit(l.wheelbase));
        for (a, name) in l.axles.iter().zip(axle_names(l.axles.len())) {
            if let (Some(load), Some(share)) = (a.load, a.share) {
                out += &format!("; {name} {} ({:.1} %)", t.load(load), 100.0 * share);
            }
        }
        out += "\n";
        if let (Some(track), Some(f)) = (l.track, l.stability_factor) {
            out += &format!("  mean track {}, static stability factor T/2h {f:.3}\n", t.length_unit(track));
        }
        let edges: Vec<String> = l
            .edges
            .iter()
            .map(|e| {
                format!("{} {:.1}° (over {} and {})", side(e.side), e.angle.to_degrees(), e.wheels[0], e.wheels[1])
            })
            .collect();
        out += &format!("  tips: {}\n", edges.join("; "));
        out += &match l.rule {
            Rule::Statics => "  wheel loads by statics\n".to_owned(),
            Rule::Springs => "  wheel loads from springs and tyres\n".to_owned(),
            Rule::EqualRoll => "  wheel loads by moments; each axle takes half of the rolling moment\n".to_owned(),
            Rule::EqualWheels => "  wheel loads as if all wheels were equally soft\n".to_owned(),
        };
        out += &table(
            &["wheel", &format!("travel {}", t.unit()), &format!("loaded radius {}", t.unit()), "load", ""],
            &[1, 2, 3],
            s.wheels.iter().map(|w| {
                vec![
                    w.name.clone(),
                    t.length(w.travel),
                    t.length(w.loaded),
                    w.load.map_or("not told".into(), |l| t.load(l)),
                    match w.state {
                        Hub::Held | Hub::Sprung => "",
                        Hub::Bump => "at the end of its bump",
                        Hub::Droop => "at the end of its droop",
                        Hub::Slack => "hangs",
                        Hub::Lifted => "clear of the ground",
                    }
                    .into(),
                ]
            }),
        );
    }
    out += &table(
        &["stand under", &format!("height {}", t.unit()), &format!("off by {}", t.unit())],
        &[1, 2],
        s.stands.iter().map(|f| vec![f.tube.clone(), t.length(f.height), t.length(f.gap)]),
    );
    if s.angles_taken {
        let angle = |word: &str, a: &Option<Governed>| match a {
            Some(a) => format!("{word} {:.1}° ({})", a.angle.to_degrees(), a.name),
            None => format!("{word} 90° or more"),
        };
        out += &format!(
            "  {}, {}, {}\n",
            angle("approach", &s.approach),
            angle("departure", &s.departure),
            angle("ramp breakover", &s.breakover)
        );
    }
    out += &table(
        &["lowest", &format!("over the ground {}", t.unit()), "x", "y", "along it", ""],
        &[1, 2, 3, 4],
        s.lowest
            .iter()
            .take(LOWEST)
            .map(|l| {
                vec![
                    l.name.clone(),
                    t.length(l.height),
                    t.length(l.at.x),
                    t.length(l.at.y),
                    l.station.map_or(String::new(), |d| t.length(d)),
                    if l.unsprung { "rides with a wheel".into() } else { String::new() },
                ]
            })
            .chain(lowest_of_people(s).into_iter().map(|l| {
                let name = format!("{} of {}", l.part, l.person);
                vec![name, t.length(l.height), t.length(l.at.x), t.length(l.at.y), String::new(), "a person".into()]
            })),
    );
    out += &table(
        &[
            "obstacle",
            "",
            &format!("least {}", t.unit()),
            "between",
            "front axle past its foot",
            "on the road",
            "height there",
        ],
        &[2, 4, 5, 6],
        s.crossings.iter().map(|c| crossing(t, c)),
    );
    out
}

/// Each person's lowest part, and every other one under the ground.
fn lowest_of_people(s: &Stood) -> Vec<&LowPart> {
    let first = |i: usize, l: &LowPart| s.people[..i].iter().all(|m| m.person != l.person);
    s.people.iter().enumerate().filter(|(i, l)| l.height < 0.0 || first(*i, l)).map(|(_, l)| l).collect()
}

fn crossing(t: &Text, c: &Crossing) -> Vec<String> {
    let place = |m: &Meeting| {
        let distance =
            if m.clearance > 0.0 { t.length(m.clearance) } else { format!("{} short", t.length(-m.clearance)) };
        vec![distance, m.name.clone(), t.length(m.front_axle), t.length(m.road.x), t.length(m.road.y)]
    };
    let word = match (c.barred, c.over, c.least.is_some()) {
        (Some(_), ..) => "its tyres do not roll over",
        (None, true, true) => "gets over",
        (None, true, false) => "nothing to scrape",
        (None, false, _) => "scrapes",
    };
    let mut row = vec![c.obstacle.clone(), word.to_owned()];
    row.extend(c.least.as_ref().map_or(vec![String::new(); 5], place));
    row
}

fn axle_names(n: usize) -> Vec<String> {
    (0..n)
        .map(|i| match i {
            0 => "front axle".to_owned(),
            _ if i + 1 == n => "rear axle".to_owned(),
            _ => format!("axle {}", i + 1),
        })
        .collect()
}

fn side(s: Side) -> &'static str {
    match s {
        Side::Left => "left",
        Side::Right => "right",
        Side::Front => "forward",
        Side::Rear => "backward",
    }
}
