//! What there is to say of how the car stands.

use design::units::{Quantity, show};
use design::{MeasureKind, Stance};
use geometry::DVec3;
use shape::finding::less;
use shape::{Finding, Level, Shape, Value};

use crate::ground;
use crate::loads::{Edge, Side};
use crate::measure::Taken;
use crate::room::Room;
use crate::solids::Kind;
use crate::wheels::Hub;
use crate::{Governed, Stood};

const ANSWER: &str = "stance";

/// Wheels or stands that stand off the fitted plane by less than this, m, are taken to be on it: a millimetre, less than
/// a tyre's pressure settles.
const UNEVEN: f64 = 1e-3;

fn finding(level: Level, stance: &Stood, what: String) -> Finding {
    Finding::new(level, ANSWER, format!("{}: {what}", stance.name))
}

/// With the tube it is about, if it is one.
fn about(f: Finding, kind: Kind, name: &str) -> Finding {
    if kind == Kind::Tube { f.tubes([name]) } else { f }
}

pub(crate) fn no_ground(s: &Stood, out: &mut Vec<Finding>) {
    let (what, help) = match s.wheels.len() {
        0 => ("there are no wheels, so there is no ground", "draw the wheels, or put the frame on stands in a stance"),
        1 | 2 => ("two wheels or fewer hold no ground", "draw the other wheels, with `mirror = true` for pairs"),
        _ => ("its wheels stand on one line and hold no ground", "draw the other axle's wheels"),
    };
    out.push(finding(Level::NotChecked, s, what.to_owned()).help(help));
}

pub(crate) fn no_stands(s: &Stood, why: String, out: &mut Vec<Finding>) {
    let help = "put three stands or more under tubes that run along over them";
    out.push(finding(Level::NotChecked, s, why).help(help));
}

/// How hubs and tyres settled.
pub(crate) fn settling(shape: &Shape, stance: &Stance, s: &Stood, restless: bool, out: &mut Vec<Finding>) {
    if restless {
        let what = "its springs find no rest: hubs are taken as drawn";
        let help = "look at the springs' rates, at how far they hang free, and at bump and droop";
        out.push(finding(Level::NotChecked, s, what.to_owned()).help(help));
    }
    for w in &s.wheels {
        let d = &shape.design.wheels[w.id.0];
        if stance.springs && d.spring.is_none() {
            let what = format!("{} has no spring: its hub is held where it is drawn", w.name);
            let help = "give it `spring = { rate = …, free = … }`";
            out.push(finding(Level::NotChecked, s, what).at(w.hub).help(help));
        }
        let (what, help) = match w.state {
            Hub::Held | Hub::Sprung => continue,
            Hub::Bump => {
                (format!("{} has risen as far as it can under the load", w.name), "a stiffer spring, or less load")
            }
            Hub::Droop => (format!("{} has dropped as far as it can", w.name), "a softer spring there, or more droop"),
            Hub::Slack => (
                format!("{} hangs: its spring would have to pull", w.name),
                "look at where the mass is, and at the springs",
            ),
            Hub::Lifted => {
                (format!("{} is clear of the ground", w.name), "look at where the mass is, and at the springs")
            }
        };
        out.push(finding(Level::Look, s, what).at(w.hub).measured(Value::Length(w.travel)).help(help));
    }
    for w in s.wheels.iter().filter(|w| w.loaded <= 0.0) {
        let what = format!("the tyre of {} is squashed flat", w.name);
        out.push(finding(Level::Look, s, what).at(w.hub).help("look at its `tyre_rate` and `loaded`"));
    }
    hanging(shape, s, out);
    if let Some(loads) = &s.loads {
        if loads.axles.len() < 2 {
            let what = "it stands on one axle: ramp angles and obstacles are not checked";
            out.push(finding(Level::NotChecked, s, what.to_owned()).help("draw the other axle's wheels"));
        }
        let outside = loads.edges.iter().any(|e| e.distance < 0.0);
        for w in s.wheels.iter().filter(|w| !outside && w.load.is_some_and(|l| l < 0.0)) {
            let what = format!("{} would have to pull on the ground", w.name);
            out.push(finding(Level::Look, s, what).at(w.contact).help("look at where the mass is"));
        }
    }
}

/// The wheel that does not reach the ground, where held wheels fit no plane.
fn hanging(shape: &Shape, s: &Stood, out: &mut Vec<Finding>) {
    let standing: Vec<_> = s.wheels.iter().filter(|w| w.state != Hub::Lifted).collect();
    let highest = standing.iter().map(|w| w.gap).fold(0.0, f64::max);
    if standing.len() < 4 || highest < UNEVEN {
        return;
    }
    // Of wheels that stand equally high the one farther from the centre of gravity carries less.
    let away = |c: DVec3| (c - s.mass.centre).truncate().length();
    let Some(w) = standing
        .iter()
        .filter(|w| w.gap > highest - 0.1 * UNEVEN)
        .max_by(|a, b| away(a.contact).total_cmp(&away(b.contact)))
    else {
        return;
    };
    let rest: Vec<DVec3> = standing.iter().filter(|x| x.name != w.name).map(|x| x.contact).collect();
    let gap = ground::plane(&rest).map_or(w.gap, |g| g.over(w.contact));
    let shown = show(gap, Quantity::Length, shape.design.units);
    let what = format!("{} hangs {shown} over the plane that the other wheels stand on", w.name);
    let help = "look at hub heights and loaded radii; heights are from the plane that fits all wheels best";
    out.push(finding(Level::Look, s, what).at(w.contact).measured(Value::Length(gap)).help(help));
}

fn tips(edge: &Edge) -> &'static str {
    match edge.side {
        Side::Front => "forward",
        Side::Rear => "backward",
        Side::Left => "to the left",
        Side::Right => "to the right",
    }
}

/// What is said of a stance that has a ground.
pub(crate) fn stance(shape: &Shape, s: &Stood, out: &mut Vec<Finding>) {
    let room = &shape.design.room;
    for e in s.loads.iter().flat_map(|l| &l.edges).chain(&s.stand_edges) {
        if less(e.distance, 0.0) {
            let what = format!(
                "the centre of gravity is past the line from {} to {}: it tips {}",
                e.wheels[0],
                e.wheels[1],
                tips(e)
            );
            let f = finding(Level::Mend, s, what).at(s.mass.centre).measured(Value::Length(-e.distance));
            out.push(f.help("move mass, or what it stands on"));
        } else if s.stand_edges.is_empty() && matches!(e.side, Side::Left | Side::Right) && less(e.angle, room.tilt) {
            let what = format!("it tips {} over {} and {} sooner than wanted", tips(e), e.wheels[0], e.wheels[1]);
            let f = finding(Level::Mend, s, what).measured(Value::Angle(e.angle));
            out.push(f.limit(Value::Angle(room.tilt), "limits.tilt").help("lower the mass, or widen the track"));
        }
    }
    let uneven = s.stands.iter().max_by(|a, b| a.gap.abs().total_cmp(&b.gap.abs()));
    if let Some(f) = uneven.filter(|f| f.gap.abs() > UNEVEN) {
        let way = if f.gap > 0.0 { "low" } else { "high" };
        let what = format!("the stand under {} is too {way} for the others", f.tube);
        let f = finding(Level::Look, s, what).tubes([f.tube.clone()]).at(f.at).measured(Value::Length(f.gap.abs()));
        out.push(f.help("heights are from the plane that fits all stands best"));
    }
    under_ground(shape, s, out);
    if !s.stands.is_empty() {
        return;
    }
    let low = s.lowest.iter().find(|l| !l.unsprung);
    if let Some(low) = low.filter(|l| !less(l.height, 0.0) && less(l.height, room.clearance)) {
        let what = format!("{} runs nearer to the ground than wanted", low.name);
        let f = about(finding(Level::Look, s, what), low.kind, &low.name).at(low.at);
        out.push(
            f.measured(Value::Length(low.height))
                .limit(Value::Length(room.clearance), "limits.clearance")
                .help("raise it, or let the car stand higher"),
        );
    }
    for (angle, word, limit, key) in [
        (&s.approach, "approach", room.approach, "limits.approach"),
        (&s.departure, "departure", room.departure, "limits.departure"),
        (&s.breakover, "ramp breakover", room.breakover, "limits.breakover"),
    ] {
        if let Some(a) = angle.as_ref().filter(|a| less(a.angle, limit)) {
            out.push(short(s, a, word, limit, key));
        }
    }
    for (c, o) in s.crossings.iter().zip(&shape.design.obstacles) {
        let named = &c.obstacle;
        if c.barred.is_some() {
            let what = format!(
                "its tyres do not roll over {named}: a face there is too steep, or as high as their loaded radius"
            );
            out.push(finding(Level::Look, s, what).help("a lower step, or larger wheels"));
            continue;
        }
        let Some(m) = c.first_touch.as_ref().filter(|_| !c.over).or(c.least.as_ref()) else { continue };
        let (what, measured) = if !c.over {
            let least = c.least.as_ref().map_or(0.0, |l| l.clearance);
            (format!("{} scrapes on {named}", m.name), (least < 0.0).then_some(Value::Length(-least)))
        } else if less(m.clearance, o.clearance) {
            (format!("{} comes nearer to {named} than wanted", m.name), Some(Value::Length(m.clearance)))
        } else {
            continue;
        };
        let mut f = about(finding(Level::Look, s, what), m.kind, &m.name).at(m.at);
        if let Some(v) = measured {
            f = f.measured(v);
        }
        if c.over {
            f = f.limit(Value::Length(o.clearance), format!("obstacle.{named}.clearance"));
        }
        let units = shape.design.units;
        let [front, on, up] = [m.front_axle, m.road.x, m.road.y].map(|v| show(v, Quantity::Length, units));
        out.push(f.help(format!("there the front axle is {front} past its foot; it is met {on} along and {up} up")));
    }
}

/// What lies under the plane that it stands on, deepest first, how deep: things in one finding, and each person in one.
fn under_ground(shape: &Shape, s: &Stood, out: &mut Vec<Finding>) {
    let depth = |height: f64| show((-height * 1e4).round() / 1e4, Quantity::Length, shape.design.units);
    let listed = |rest: Vec<String>| if rest.is_empty() { String::new() } else { format!("; and {}", rest.join(", ")) };
    let help =
        if s.stands.is_empty() { "raise it, or let the car stand higher" } else { "raise it, or use higher stands" };
    let things: Vec<_> = s.lowest.iter().filter(|l| less(l.height, 0.0)).collect();
    if let Some((first, rest)) = things.split_first() {
        let rest = listed(rest.iter().map(|l| format!("{} by {}", l.name, depth(l.height))).collect());
        let what = format!("{} is under the ground, by {}{rest}", first.name, depth(first.height));
        let tubes = things.iter().filter(|l| l.kind == Kind::Tube).map(|l| l.name.clone());
        out.push(finding(Level::Mend, s, what).tubes(tubes).at(first.at).help(help));
    }
    let under: Vec<_> = s.people.iter().filter(|l| less(l.height, 0.0)).collect();
    let mut named: Vec<&str> = Vec::new();
    for first in &under {
        if named.contains(&first.person.as_str()) {
            continue;
        }
        named.push(&first.person);
        let rest = under.iter().filter(|l| l.person == first.person && l.part != first.part);
        let rest = listed(rest.map(|l| format!("the {} by {}", l.part, depth(l.height))).collect());
        let what =
            format!("the {} of {} is under the ground, by {}{rest}", first.part, first.person, depth(first.height));
        out.push(finding(Level::Mend, s, what).at(first.at).help("raise the seat, or let the car stand higher"));
    }
}

fn short(s: &Stood, a: &Governed, word: &str, limit: f64, key: &str) -> Finding {
    let f = finding(Level::Mend, s, format!("the {word} angle is less than wanted: {} is in the way", a.name));
    about(f, a.kind, &a.name)
        .at(a.at)
        .measured(Value::Angle(a.angle))
        .limit(Value::Angle(limit), key)
        .help("raise it, bring the wheels nearer to it, or let the car stand higher")
}

pub(crate) fn rooms(rooms: &[Room], out: &mut Vec<Finding>) {
    for r in rooms {
        for t in &r.touches {
            let what = format!("{} touches {t} on its way through bump, droop and steer", r.wheel);
            let f = Finding::new(Level::Mend, ANSWER, what).tubes([t.clone()]).at(r.at);
            out.push(f.help("move the tube, or give the wheel less travel or steer"));
        }
    }
}

pub(crate) fn measures(shape: &Shape, taken: &[Taken], out: &mut Vec<Finding>) {
    for t in taken {
        let place = t.stance.as_ref().map_or(String::new(), |s| format!(" ({s})"));
        let span = shape.design.measures.iter().find(|m| m.name == t.name).map(|m| m.span.clone());
        let value = |v: f64| if t.kind == MeasureKind::Angle { Value::Angle(v) } else { Value::Length(v) };
        let mut f = match (t.value, &t.why, t.within) {
            (Some(v), _, Some(false)) => {
                let (word, limit, key) = match (t.least, t.most) {
                    (Some(l), _) if v < l => ("less", l, "least"),
                    (_, Some(m)) => ("more", m, "most"),
                    _ => continue,
                };
                Finding::new(Level::Mend, ANSWER, format!("{} is {word} than wanted{place}", t.name))
                    .measured(value(v))
                    .limit(value(limit), format!("measure.{}, {key}", t.name))
            }
            (_, Some(why), _) => {
                Finding::new(Level::NotChecked, ANSWER, format!("{} can't be measured{place}: {why}", t.name))
            }
            _ => continue,
        };
        f.span = span;
        out.push(f);
    }
}

/// Skins that are not there to be counted: the rest of what is said of them is said of their shape.
pub(crate) fn skins(shape: &Shape, out: &mut Vec<Finding>) {
    let there = |id: usize| shape.skins.list.iter().any(|s| s.id == id);
    let all = shape.design.skins.iter().enumerate();
    let names: Vec<&str> = all.filter(|(i, _)| !there(*i)).map(|(_, s)| s.name.as_str()).collect();
    if !names.is_empty() {
        let what =
            format!("not counted in clearances, ramp angles and obstacles, without their meshes: {}", names.join(", "));
        out.push(Finding::new(Level::NotChecked, ANSWER, what).help("look at the files of these skins"));
    }
}
