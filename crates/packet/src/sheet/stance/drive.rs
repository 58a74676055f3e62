//! Driving over obstacles: the car where it comes nearest to the road, and its clearance along the way.

use glam::DVec2;
use review::{Review, Text};
use shape::Level;
use stance::{Crossing, Step, Way, way};

use super::super::cover;
use super::super::labels::{self, Label};
use super::super::layout::{BODY, SMALL, Sheets};
use super::super::over::under;
use super::super::page::{Anchor, Ink, Pen, RULE, THIN};
use super::super::views::{self, Picture, Place, View};
use super::ground::Car;

/// Least and greatest height of the drawing, mm.
const DRAWN: [f64; 2] = [40.0, 62.0];
/// Height of the curve, mm.
const CURVE: f64 = 22.0;
/// Height of all that belongs to one obstacle but its drawing, mm.
const REST: f64 = 60.0;
/// Steps of the curve.
const STEPS: usize = 180;
/// Road shown before and behind the car, m.
const ROAD: f64 = 0.5;

/// A block for each obstacle, in the stance that clears it least.
pub fn pages(s: &mut Sheets, r: &Review, t: &Text, cars: &[Car], picture: &Picture) {
    let count = r.shape.design.obstacles.len();
    if count == 0 {
        return;
    }
    s.start(super::TITLE);
    s.heading("Driving over");
    let text = "Slowly, both axles on the road, the frame rigid. Drawn in the stance that clears it least, where it comes nearest (or \
         touches first); forward is to the left. The curve: least clearance at each place of the front axle.";
    s.paragraph(text, SMALL, Ink::Grey);
    // Two to a page.
    let drawn = ((s.bottom() - s.y) / 2.0 - REST).clamp(DRAWN[0], DRAWN[1]);
    for k in 0..count {
        s.need(drawn + REST);
        obstacle(s, r, t, (cars, picture), k, drawn);
    }
}

/// Worse before better: not climbed, scraping, then by clearance.
fn rank(c: &Crossing) -> f64 {
    match (&c.barred, &c.least) {
        (Some(_), _) => f64::NEG_INFINITY,
        (None, Some(m)) => m.clearance,
        (None, None) => f64::INFINITY,
    }
}

fn obstacle(s: &mut Sheets, r: &Review, t: &Text, (cars, picture): (&[Car], &Picture), k: usize, drawn: f64) {
    let o = &r.shape.design.obstacles[k];
    let all: Vec<(&Car, &Crossing)> = cars.iter().filter_map(|c| Some((c, c.stood.crossings.get(k)?))).collect();
    let Some((car, c)) = all.iter().copied().min_by(|a, b| rank(a.1).total_cmp(&rank(b.1))) else {
        s.paragraph(&format!("{}: not driven over, no stance stands on two axles.", o.name), BODY, Ink::Black);
        return;
    };
    let least = c.least.as_ref();
    let short = !c.over || least.is_some_and(|m| m.clearance < o.clearance);
    s.y += BODY * 1.8;
    let (left, y) = (s.left(), s.y);
    if short {
        cover::mark(s.page(), if c.over { Level::Look } else { Level::Mend }, DVec2::new(left, y - 2.7));
    }
    let head = format!("{}, {}: {}", o.name, car.stood.name, told(c, t));
    let ink = if short { Ink::Alarm } else { Ink::Black };
    let room = s.width() - 40.0;
    let head = s.faces[1].fit(&head, BODY, room);
    s.page().text(left + if short { 5.0 } else { 0.0 }, y, BODY, head).bold().ink(ink);
    if o.clearance > 0.0 {
        let text = format!("wanted ≥ {}", t.length_unit(o.clearance));
        let x = s.right();
        s.page().text(x, y, SMALL, text).ink(ink).anchor(Anchor::Right);
    }
    let others: Vec<String> = all
        .iter()
        .filter(|(other, _)| other.stood.name != car.stood.name)
        .map(|(other, c)| format!("{}: {}", other.stood.name, told(c, t)))
        .collect();
    s.y += 1.0;
    let number = r.stance.stances.iter().position(|x| x.name == car.stood.name);
    let way = number.and_then(|n| way(&r.shape, &r.stance, n, k, STEPS));
    match way {
        Some(w) => {
            let top = s.y;
            drawing(s, car, c, t, picture, &w, (top, drawn));
            curve(s, &w, t, o.clearance, top + drawn + 12.0);
            s.y = top + drawn + 12.0 + CURVE + 8.0;
        }
        None => s.paragraph("Its tyres do not climb it, so there is no way to draw.", BODY, Ink::Black),
    }
    if !others.is_empty() {
        s.paragraph(&format!("In other stances: {}.", others.join("; ")), SMALL, Ink::Grey);
    }
    s.y += 1.0;
    let (l, r, y) = (s.left(), s.right(), s.y);
    s.page().line([DVec2::new(l, y), DVec2::new(r, y)], RULE);
}

/// How one crossing goes, in words.
fn told(c: &Crossing, t: &Text) -> String {
    match (&c.barred, &c.least) {
        (Some(_), _) => "the tyres do not climb it".to_owned(),
        (None, Some(m)) if !c.over => {
            let first = c.first_touch.as_ref().map_or(String::new(), |f| format!(", first on {}", f.name));
            format!("scrapes, by up to {} on {}{first}", t.length_unit(-m.clearance), m.name)
        }
        (None, Some(m)) => format!("least {} at {}", t.length_unit(m.clearance), m.name),
        (None, None) => "nothing comes near".to_owned(),
    }
}

/// The car turned as it stands on the road, on a page where `road` puts places of the road.
fn turned(car: &Car, w: &Way, step: &Step, scale: f64, road: &dyn Fn(DVec2) -> DVec2) -> Place {
    let g = &car.ground;
    let stands = w.hubs[0] - w.hubs[1];
    let now = step.front - step.rear;
    let (sin, cos) = stands.perp_dot(now).atan2(stands.dot(now)).sin_cos();
    let view = View { right: -(g.forward * cos - g.normal * sin), up: g.forward * sin + g.normal * cos };
    let hub = g.forward * w.hubs[0].x + g.normal * (w.hubs[0].y + g.height);
    Place { view, scale, origin: road(step.front) - view.flat(hub) * scale }
}

/// Height of the road as drawn, m.
fn height(road: &[DVec2], x: f64) -> f64 {
    road.windows(2)
        .filter(|w| w[1].x > w[0].x && w[0].x <= x && x <= w[1].x)
        .map(|w| w[0].y + (w[1].y - w[0].y) * (x - w[0].x) / (w[1].x - w[0].x))
        .fold(f64::NEG_INFINITY, f64::max)
}

fn drawing(s: &mut Sheets, car: &Car, c: &Crossing, t: &Text, picture: &Picture, w: &Way, (top, drawn): (f64, f64)) {
    let Some(step) = w.told.as_ref().or(w.steps.first()) else { return };
    // Bounds of the turned car in the road's axes: page metres are (-along, -up).
    let flat = turned(car, w, step, 1.0, &|p| -p);
    let (lo, hi) = car.bounds(&flat.view);
    let (lo, hi) = (lo + flat.origin, hi + flat.origin);
    let (lo, hi) = (lo - DVec2::new(ROAD, 0.0), hi + DVec2::new(ROAD, 0.0));
    let seen: Vec<f64> = w.road.iter().filter(|p| (-p.x) >= lo.x && (-p.x) <= hi.x).map(|p| -p.y).collect();
    let ends = [height(&w.road, -lo.x), height(&w.road, -hi.x)].map(|h| -h);
    let low = seen.into_iter().chain(ends).filter(|h| h.is_finite()).fold(-step.front.y.min(step.rear.y), f64::max);
    let hi = DVec2::new(hi.x, low);
    let at = DVec2::new(s.left(), top + 2.0);
    let size = DVec2::new(s.width(), drawn - 3.0);
    let frame = views::fit((lo, hi), car.side(), at, size, true);
    let road = |p: DVec2| frame.origin - p * frame.scale;
    let place = turned(car, w, step, frame.scale, &road);
    car.riders(s.page(), &place, Pen::new(Ink::Pale, 0.15));
    for (hub, r) in [(step.front, w.hubs[0].y), (step.rear, w.hubs[1].y)] {
        s.page().circle(road(hub), r * frame.scale, None, Some(Pen::new(Ink::Grey, 0.3)));
    }
    car.frame(s.page(), &place, picture, None);
    // The road across the sheet, with a hatch below.
    let (left, right) = (s.left(), s.right());
    let along = |x: f64| (frame.origin.x - x) / frame.scale;
    let mut line: Vec<DVec2> = w.road.iter().map(|p| road(*p)).filter(|p| p.x > left && p.x < right).collect();
    // The road runs on level beyond what was asked for.
    let end = |x: f64| {
        let h = height(&w.road, along(x));
        let level = if along(x) < 0.0 { w.road.first() } else { w.road.last() }.map_or(0.0, |p| p.y);
        DVec2::new(x, frame.origin.y - if h.is_finite() { h } else { level } * frame.scale)
    };
    // Forward is to the left: the line begins at the right.
    line.insert(0, end(right));
    line.push(end(left));
    s.page().line(line, Pen::new(Ink::Black, 0.4));
    let mut x = left + 2.0;
    while x < right {
        let p = end(x);
        s.page().line([p, p + DVec2::new(-1.4, 1.6)], Pen::new(Ink::Grey, 0.15));
        x += 3.0;
    }
    let foot = at.y + size.y + 1.0;
    let mut words = Vec::new();
    let met = c.first_touch.as_ref().filter(|_| !c.over).or(c.least.as_ref());
    if let Some(m) = met {
        let (a, b) = (place.put(m.at), road(m.road));
        let touches = !c.over;
        let ink = if touches { Ink::Alarm } else { Ink::Accent };
        s.page().line([a, b], Pen::new(ink, 0.5));
        for p in [a, b] {
            s.page().circle(p, 0.8, Some(ink), None);
        }
        if touches {
            under::cross(s.page(), a);
        }
        let text = if touches {
            format!("{} touches first here", m.name)
        } else {
            format!("{}: {} clear", m.name, t.length_unit(m.clearance))
        };
        words.push(Label { of: if a.y > b.y { a } else { b }, text, ink });
    }
    let rear = Label {
        of: road(DVec2::new(step.rear.x, height(&w.road, step.rear.x))),
        text: "rear axle".into(),
        ink: Ink::Grey,
    };
    let way = if step.front.x < 0.0 { "before" } else { "past" };
    let text = format!("front axle {} {way} its foot", t.length_unit(step.front.x.abs()));
    let front = Label { of: road(DVec2::new(step.front.x, height(&w.road, step.front.x))), text, ink: Ink::Grey };
    words.extend([front, rear].into_iter().filter(|l| l.of.is_finite()));
    labels::row(s, words, BODY, (foot + 1.5, foot + 6.5), (left, right));
    let one = (1e3 / frame.scale).round();
    s.page().text(right, top + 3.0, SMALL, format!("1 : {one}")).ink(Ink::Grey).anchor(Anchor::Right);
}

fn curve(s: &mut Sheets, w: &Way, t: &Text, wanted: f64, top: f64) {
    let (Some(first), Some(last)) = (w.steps.first(), w.steps.last()) else { return };
    let told = w.told.iter();
    let mut all: Vec<&Step> = w.steps.iter().chain(told).collect();
    all.sort_by(|a, b| a.front.x.total_cmp(&b.front.x));
    let most = all.iter().map(|x| x.clearance).fold(wanted, f64::max).max(1e-3);
    let least = all.iter().map(|x| x.clearance).fold(0.0, f64::min);
    let (left, right) = (s.left() + 20.0, s.right());
    let x = |front: f64| right - (front - first.front.x) / (last.front.x - first.front.x).max(1e-6) * (right - left);
    let y = |c: f64| top + CURVE * (most - c) / (most - least).max(1e-6);
    let figure = |s: &mut Sheets, v: f64, text: String, ink: Ink| {
        s.page().text(left - 2.0, y(v) + 0.9, SMALL, text).ink(ink).anchor(Anchor::Right);
    };
    s.page().line([DVec2::new(left, y(0.0)), DVec2::new(right, y(0.0))], Pen::new(Ink::Black, 0.3));
    s.page().line([DVec2::new(left, top), DVec2::new(left, top + CURVE)], THIN);
    // Where it would be in the road the area is hatched.
    let mut run = Vec::new();
    for step in &all {
        run.push(DVec2::new(x(step.front.x), y(step.clearance)));
        if step.clearance < 0.0 {
            let p = DVec2::new(x(step.front.x), y(step.clearance));
            s.page().line([p, DVec2::new(p.x, y(0.0))], Pen::new(Ink::Alarm, 0.25));
        }
    }
    s.page().line(run, Pen::new(Ink::Black, 0.35));
    let far = |a: f64, b: f64| (y(a) - y(b)).abs() > 3.2;
    figure(s, most, t.length(most), Ink::Grey);
    if far(most, 0.0) {
        figure(s, 0.0, format!("0 {}", t.unit()), Ink::Grey);
    }
    if wanted > 0.0 && far(wanted, 0.0) && far(wanted, most) {
        s.page()
            .line([DVec2::new(left, y(wanted)), DVec2::new(right, y(wanted))], Pen::new(Ink::Grey, 0.2).dashed(1.5));
        figure(s, wanted, "wanted".into(), Ink::Grey);
    }
    let ink = |c: f64| if c <= 0.0 { Ink::Alarm } else { Ink::Accent };
    if let Some(step) = all.iter().min_by(|a, b| a.clearance.total_cmp(&b.clearance)) {
        let p = DVec2::new(x(step.front.x), y(step.clearance));
        s.page().circle(p, 0.9, Some(ink(step.clearance)), None);
        let text = format!("{} {}", step.name, t.length_unit(step.clearance));
        let half = s.faces[0].width(&text, SMALL) / 2.0 + 1.0;
        // Above the curve, where there is more room than below it.
        let at = DVec2::new(p.x.clamp(left + half, right - half), p.y - 2.6);
        labels::plate(s, at, SMALL, &text, Anchor::Middle, ink(step.clearance));
    }
    let foot = top + CURVE + 4.2;
    s.page().text(right, foot, SMALL, "before it").ink(Ink::Grey).anchor(Anchor::Right);
    s.page().text(left, foot, SMALL, "past it").ink(Ink::Grey);
    let zero = x(0.0);
    if zero > left + 30.0 && zero < right - 30.0 {
        s.page().line([DVec2::new(zero, top + CURVE), DVec2::new(zero, top + CURVE + 1.4)], THIN);
        s.page().text(zero, foot, SMALL, "front axle at its foot").ink(Ink::Grey).anchor(Anchor::Middle);
    }
}
