//! The figures of stances.

use design::MeasureKind;
use glam::DVec2;
use review::{Review, Text};
use stance::{Governed, Side};

use super::super::layout::{BODY, Column, SMALL, Sheets, number, word};
use super::super::page::{Anchor, Ink, Pen, RULE};
use super::ground::Car;
use super::{degrees, plan};

/// What stands beside a figure that is less than wanted.
const SHORT: &str = "short";

/// One row for each stance.
pub fn stances(s: &mut Sheets, r: &Review, t: &Text) {
    let want = &r.shape.design.room;
    let text = "Clearance: of the lowest place that rides with the frame. Approach, departure, breakover: of ramps. Tips: the side tilt at \
         which the centre of gravity stands over the edge. T/2h: static stability factor.";
    s.paragraph(text, SMALL, Ink::Grey);
    let columns: [Column; 12] = [
        word("stance"),
        number("on board"),
        number("centre over ground"),
        number("front axle"),
        number("rear axle"),
        number("clearance"),
        number("approach"),
        number("departure"),
        number("breakover"),
        number("tips left"),
        number("tips right"),
        number("T/2h"),
    ];
    let mark = |short: bool, text: String| if short { format!("{text} {SHORT}") } else { text };
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (k, stood) in r.stance.stances.iter().enumerate() {
        let Some(car) = Car::new(r, k) else {
            let mut row = vec![stood.name.clone(), t.mass(stood.mass.mass), "no ground".into()];
            row.resize(columns.len(), String::new());
            rows.push(row);
            continue;
        };
        let loads = stood.loads.as_ref();
        let axle = |last: bool| {
            let a = loads.and_then(|l| if last { l.axles.last() } else { l.axles.first() });
            a.and_then(|a| a.share).map_or("-".into(), |share| format!("{:.1} %", 100.0 * share))
        };
        let ramp = |g: &Option<Governed>, wanted: f64| match g {
            _ if !stood.angles_taken => "-".into(),
            Some(g) => mark(g.angle < wanted, degrees(g.angle)),
            None => "90° or more".to_owned(),
        };
        let tip = |side: Side| {
            plan::edge(&car, side)
                .map_or("-".into(), |e| mark(!stood.wheels.is_empty() && e.angle < want.tilt, degrees(e.angle)))
        };
        let low = stood.lowest.first().map_or("-".into(), |l| {
            mark(l.height < if stood.stands.is_empty() { want.clearance } else { 0.0 }, t.length_unit(l.height))
        });
        rows.push(vec![
            stood.name.clone(),
            t.mass(stood.mass.mass),
            stood.centre.map_or("-".into(), |c| t.length_unit(c.z)),
            axle(false),
            axle(true),
            low,
            ramp(&stood.approach, want.approach),
            ramp(&stood.departure, want.departure),
            ramp(&stood.breakover, want.breakover),
            tip(Side::Left),
            tip(Side::Right),
            loads.and_then(|l| l.stability_factor).map_or("-".into(), |f| format!("{f:.3}")),
        ]);
    }
    let at_least = |v: f64, text: String| if v > 0.0 { format!("≥ {text}") } else { "-".to_owned() };
    let mut wanted = vec!["wanted".to_owned(), String::new(), String::new(), String::new(), String::new()];
    wanted.push(at_least(want.clearance, t.length_unit(want.clearance)));
    wanted
        .extend([want.approach, want.departure, want.breakover, want.tilt, want.tilt].map(|v| at_least(v, degrees(v))));
    wanted.push(String::new());
    rows.push(wanted);
    s.table(&columns, &rows, BODY);
}

/// Every measure, with what is wanted.
pub fn measures(s: &mut Sheets, r: &Review, t: &Text) {
    let list = &r.stance.measures;
    if list.is_empty() {
        return;
    }
    s.heading("Measures");
    let value = |kind: MeasureKind, v: f64| match kind {
        MeasureKind::Angle => degrees(v),
        MeasureKind::Distance => t.fine(v),
    };
    let rows: Vec<Vec<String>> = list
        .iter()
        .map(|m| {
            let limit = |v: Option<f64>| v.map_or(String::new(), |v| value(m.kind, v));
            let verdict = match (m.value, m.least, m.most) {
                (None, ..) => format!("not taken: {}", m.why.as_deref().unwrap_or("no value")),
                (Some(v), Some(l), _) if m.within == Some(false) && v < l => {
                    format!("short by {}", value(m.kind, l - v))
                }
                (Some(v), _, Some(h)) if m.within == Some(false) => format!("over by {}", value(m.kind, v - h)),
                (_, None, None) => String::new(),
                _ => "within".into(),
            };
            vec![
                m.name.clone(),
                m.stance.clone().unwrap_or_else(|| "any".into()),
                m.value.map_or("-".into(), |v| value(m.kind, v)),
                limit(m.least),
                limit(m.most),
                verdict,
            ]
        })
        .collect();
    let columns =
        [word("measure"), word("stance"), number("value"), number("at least"), number("at most"), word("it is")];
    s.table(&columns, &rows, BODY);
}

/// The room of every wheel.
pub fn rooms(s: &mut Sheets, r: &Review, t: &Text) {
    let list = &r.stance.rooms;
    if list.is_empty() {
        return;
    }
    s.heading("Room of the wheels, through bump, droop and steer");
    let rows: Vec<Vec<String>> = list
        .iter()
        .map(|room| {
            vec![
                room.wheel.clone(),
                room.tube.clone().unwrap_or_else(|| "no tube".into()),
                if room.distance > 0.0 { t.length_unit(room.distance) } else { "touches".into() },
                t.length_unit(room.travel),
                t.angle(room.steer),
                if room.touches.is_empty() { "-".into() } else { room.touches.join(", ") },
            ]
        })
        .collect();
    let columns = [
        word("wheel"),
        word("nearest tube"),
        number("distance"),
        number("hub raised"),
        number("steered left"),
        word("touches"),
    ];
    s.table(&columns, &rows, BODY);
}

/// Lines of the figures beside a drawing, mm.
const LINE: f64 = 4.9;

/// The figures of one stance: what, how much, and what is wanted.
pub fn figures(s: &mut Sheets, car: &Car, t: &Text, at: DVec2, width: f64) {
    let want = &car.r.shape.design.room;
    let stood = car.stood;
    let wheels = stood.stands.is_empty();
    let angle = degrees;
    let mut rows: Vec<(String, String, String, bool)> = Vec::new();
    let mut tell = |what: String, value: String, wanted: String, short: bool| rows.push((what, value, wanted, short));
    tell("on board".into(), t.mass(stood.mass.mass), String::new(), false);
    if let Some(c) = stood.centre {
        tell("centre of gravity over the ground".into(), t.length_unit(c.z), String::new(), false);
    }
    let least = |v: f64, text: String| if v > 0.0 { format!("≥ {text}") } else { String::new() };
    if let Some(l) = stood.lowest.first() {
        let limit = if wheels { least(want.clearance, t.length_unit(want.clearance)) } else { String::new() };
        tell(
            format!("lowest: {}", l.name),
            t.length_unit(l.height),
            limit,
            l.height < if wheels { want.clearance } else { 0.0 },
        );
    }
    if let Some(l) = stood.people.first().filter(|l| l.height < 0.0) {
        tell(format!("lowest of people: the {} of {}", l.part, l.person), t.length_unit(l.height), String::new(), true);
    }
    for (g, name, wanted) in [
        (&stood.approach, "approach", want.approach),
        (&stood.departure, "departure", want.departure),
        (&stood.breakover, "ramp breakover", want.breakover),
    ] {
        if !stood.angles_taken {
            continue;
        }
        match g {
            Some(g) => {
                tell(format!("{name}: {}", g.name), angle(g.angle), least(wanted, angle(wanted)), g.angle < wanted)
            }
            None => tell(name.into(), "90° or more".into(), least(wanted, angle(wanted)), false),
        }
    }
    for (side, name) in
        [(Side::Left, "left"), (Side::Right, "right"), (Side::Front, "forward"), (Side::Rear, "backward")]
    {
        if let Some(e) = plan::edge(car, side) {
            let sideways = wheels && matches!(side, Side::Left | Side::Right);
            let limit = if sideways { least(want.tilt, angle(want.tilt)) } else { String::new() };
            tell(format!("tips {name} at"), angle(e.angle), limit, sideways && e.angle < want.tilt);
        }
    }
    if let Some(l) = &stood.loads {
        tell("wheelbase".into(), t.length_unit(l.wheelbase), String::new(), false);
        if let (Some(track), Some(f)) = (l.track, l.stability_factor) {
            tell("mean track T".into(), t.length_unit(track), String::new(), false);
            tell("static stability factor T/2h".into(), format!("{f:.3}"), String::new(), false);
        }
    }
    for f in &stood.stands {
        tell(format!("stand under {}", f.tube), t.length_unit(f.height), String::new(), false);
    }
    let mut y = at.y + 3.0;
    let (right, middle) = (at.x + width, at.x + width - 20.0);
    s.page().text(right, y, SMALL, "wanted").ink(Ink::Grey).anchor(Anchor::Right);
    for (what, value, wanted, short) in rows {
        if y + LINE > s.bottom() - 2.0 {
            break;
        }
        s.page().line([DVec2::new(at.x, y + 1.4), DVec2::new(right, y + 1.4)], RULE);
        y += LINE;
        let ink = if short { Ink::Alarm } else { Ink::Black };
        let room = middle - at.x - s.faces[1].width(&value, BODY) - 7.0;
        let what = s.faces[0].fit(&what, BODY, room);
        s.page().text(at.x + 4.5, y, BODY, what).ink(ink);
        s.page().text(middle, y, BODY, value).bold().ink(ink).anchor(Anchor::Right);
        if short {
            super::super::cover::mark(s.page(), shape::Level::Mend, DVec2::new(at.x, y - 2.6));
        }
        let wanted = if short { format!("{wanted} {SHORT}") } else { wanted };
        s.page().text(right, y, SMALL, wanted).ink(ink).anchor(Anchor::Right);
    }
    s.page().line([DVec2::new(at.x, y + 1.4), DVec2::new(right, y + 1.4)], Pen::new(Ink::Black, 0.3));
}
