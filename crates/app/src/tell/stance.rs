//! How does it stand on its wheels?

use design::MeasureKind;
use review::{Review, Text};
use stance::{Hub, Rule, Side, Stood};

use super::{held, number, row, table, text};
use crate::wire::{Act, Cell, Page, Row, Table, Word};

const CAUTION: &str = "A quasi-static, rigid argument: at speed, on soft ground and on worn tyres a car clears less and tips sooner. \
Local rules and a licensed engineer prevail.";

/// The lowest places that are listed.
const LOWEST: usize = 8;

pub fn page(r: &Review, t: &Text) -> Page {
    let mut tables = Vec::new();
    let many = r.stance.stances.len() > 1;
    for s in &r.stance.stances {
        let of = |what: &str| if many { format!("{what}, {}", s.name) } else { what.to_owned() };
        tables.extend(stood(t, s, &of));
    }
    tables.push(rooms(r, t));
    tables.push(measures(r, t));
    let first = r.stance.stances.iter().find_map(|s| {
        let (c, l) = (s.centre?, s.loads.as_ref()?);
        let tips = l.edges.iter().min_by(|a, b| a.angle.total_cmp(&b.angle))?;
        Some(format!(
            "{}: {} on board, centre of gravity {} over the ground; tips {} first, at {:.1}°.",
            s.name,
            t.mass(s.mass.mass),
            t.length_unit(c.z),
            side(tips.side),
            tips.angle.to_degrees()
        ))
    });
    super::page(Word::Stance, "How does it stand on its wheels?", first.unwrap_or_default(), tables, &[CAUTION])
}

fn stood(t: &Text, s: &Stood, of: &dyn Fn(&str) -> String) -> Vec<Table> {
    let u = t.unit();
    let mut facts: Vec<Row> = Vec::new();
    let mut fact = |what: &str, value: String| facts.push(row(what, vec![text(what), number(value)]));
    fact("on board", t.mass(s.mass.mass));
    if let Some(c) = s.centre {
        fact("centre of gravity over the ground", t.length_unit(c.z));
    }
    let degrees = |v: Option<f64>| v.map(f64::to_degrees).filter(|d| d.abs() > 0.05);
    if let Some(d) = degrees(s.nose_up) {
        fact(if d > 0.0 { "nose up" } else { "nose down" }, format!("{:.1}°", d.abs()));
    }
    if let Some(d) = degrees(s.left_up) {
        fact(if d > 0.0 { "left side up" } else { "right side up" }, format!("{:.1}°", d.abs()));
    }
    if let Some(l) = &s.loads {
        fact("wheelbase", t.length_unit(l.wheelbase));
        if let (Some(track), Some(f)) = (l.track, l.stability_factor) {
            fact("mean track", t.length_unit(track));
            fact("static stability factor T/2h", format!("{f:.3}"));
        }
        for e in &l.edges {
            fact(
                &format!("tips {}, over {} and {}", side(e.side), e.wheels[0], e.wheels[1]),
                format!("{:.1}°", e.angle.to_degrees()),
            );
        }
    }
    if s.angles_taken {
        for (what, a) in [("approach", &s.approach), ("departure", &s.departure), ("ramp breakover", &s.breakover)] {
            match a {
                Some(a) => fact(&format!("{what}, at {}", a.name), format!("{:.1}°", a.angle.to_degrees())),
                None => fact(what, "90° or more".to_owned()),
            }
        }
    }
    let rule = s.loads.as_ref().map_or("", |l| match l.rule {
        Rule::Statics => "Wheel loads by statics.",
        Rule::Springs => "Wheel loads from springs and tyres.",
        Rule::EqualRoll => "Wheel loads by moments; each axle takes half of the rolling moment.",
        Rule::EqualWheels => "Wheel loads as if all wheels were equally soft.",
    });
    let wheels = s.wheels.iter().map(|w| {
        let state = match w.state {
            Hub::Held | Hub::Sprung => "",
            Hub::Bump => "at the end of its bump",
            Hub::Droop => "at the end of its droop",
            Hub::Slack => "hangs",
            Hub::Lifted => "clear of the ground",
        };
        let cells = vec![
            text(&w.name),
            number(t.length(w.travel)),
            number(t.length(w.loaded)),
            w.load.map_or(Cell::NotChecked("not told".to_owned()), |l| number(t.load(l))),
            text(state),
        ];
        row(&w.name, cells)
    });
    let lowest = s.lowest.iter().take(LOWEST).map(|l| {
        let rides = if l.unsprung { "rides with a wheel" } else { "" };
        let cells = vec![
            text(&l.name),
            held(t.length(l.height), l.height < 0.0),
            number(t.length(l.at.x)),
            number(t.length(l.at.y)),
            text(rides),
        ];
        row(&l.name, cells).tube(&l.name).at(l.at)
    });
    let crossings = s.crossings.iter().map(|c| {
        let word = match (c.barred, c.over, c.least.is_some()) {
            (Some(_), ..) => "its tyres do not roll over",
            (None, true, true) => "gets over",
            (None, true, false) => "nothing to scrape",
            (None, false, _) => "scrapes",
        };
        let (least, name) = c.least.as_ref().map_or((number(""), String::new()), |m| {
            let short =
                if m.clearance > 0.0 { t.length(m.clearance) } else { format!("{} short", t.length(-m.clearance)) };
            (held(short, m.clearance <= 0.0), m.name.clone())
        });
        let act = Act::Drive { words: "drive over it".to_owned(), stance: s.name.clone(), over: c.obstacle.clone() };
        let verdict = if c.over { text(word) } else { Cell::Over(word.to_owned()) };
        row(&c.obstacle, vec![text(&c.obstacle), verdict, least, text(&name)]).tubes(Some(name)).act(Some(act))
    });
    let stands = s
        .stands
        .iter()
        .map(|f| row(&f.tube, vec![text(&f.tube), number(t.length(f.height)), number(t.length(f.gap))]).tube(&f.tube));
    vec![
        table("facts", of("As it stands"), &["", ""], facts).note(s.note.clone().unwrap_or_default()),
        table(
            "wheels",
            of("Wheels"),
            &["wheel", &format!("travel {u}"), &format!("loaded radius {u}"), "load", ""],
            wheels.collect(),
        )
        .note(rule),
        table("stands", of("Stands"), &["under", &format!("height {u}"), &format!("off by {u}")], stands.collect()),
        table(
            "lowest",
            of("Lowest places"),
            &["", &format!("over the ground {u}"), &format!("x {u}"), &format!("y {u}"), ""],
            lowest.collect(),
        ),
        table(
            "obstacles",
            of("Driving over"),
            &["obstacle", "", &format!("least clearance {u}"), "of"],
            crossings.collect(),
        ),
    ]
}

fn rooms(r: &Review, t: &Text) -> Table {
    let u = t.unit();
    let rows = r.stance.rooms.iter().map(|room| {
        let distance =
            if room.distance > 0.0 { number(t.length(room.distance)) } else { Cell::Over("touches".to_owned()) };
        let tube = room.tube.clone().unwrap_or_else(|| "none".into());
        let cells =
            vec![text(&room.wheel), text(&tube), distance, number(t.length(room.travel)), number(t.angle(room.steer))];
        row(&room.wheel, cells).tubes(room.tube.clone())
    });
    let head = ["wheel", "nearest tube", &format!("distance {u}"), "at travel", "at steer"];
    table("rooms", "Room of the wheels through bump, droop and steer", &head, rows.collect())
}

fn measures(r: &Review, t: &Text) -> Table {
    let value = |kind: MeasureKind, v: f64| match kind {
        MeasureKind::Angle => t.angle(v),
        MeasureKind::Distance => t.fine(v),
    };
    let rows = r.stance.measures.iter().map(|m| {
        let limit = |v: Option<f64>| number(v.map_or(String::new(), |v| value(m.kind, v)));
        let read = match (m.value, m.within) {
            (Some(v), Some(false)) => held(value(m.kind, v), true),
            (Some(v), _) => number(value(m.kind, v)),
            (None, _) => Cell::NotChecked(m.why.clone().unwrap_or_else(|| "not taken".to_owned())),
        };
        row(
            &m.name,
            vec![text(&m.name), text(m.stance.clone().unwrap_or_default()), read, limit(m.least), limit(m.most)],
        )
    });
    table("measures", "Measures", &["measure", "stance", "value", "least", "most"], rows.collect())
}

fn side(s: Side) -> &'static str {
    match s {
        Side::Left => "left",
        Side::Right => "right",
        Side::Front => "forward",
        Side::Rear => "backward",
    }
}
