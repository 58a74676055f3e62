//! A stance from its side: heights, lowest places, ramp angles.

use glam::DVec2;
use review::Text;
use stance::{Low, Standing};

use super::super::labels::{self, Label};
use super::super::layout::{BODY, Sheets};
use super::super::page::{Ink, Pen};
use super::super::rule;
use super::super::views::{self, Picture, Place};
use super::ground::{self, Car};

/// Room for the rule of heights, mm.
const RULE: f64 = 18.0;
/// Room beside the car for the angles' lines, mm.
const BESIDE: f64 = 12.0;
/// Room below the ground for two rows of labels, mm.
pub const BELOW: f64 = 18.0;
/// Lowest places that are pointed out.
const PLACES: usize = 4;
/// Lowest places nearer to each other than this along the car are pointed out once, m.
const ONE_PLACE: f64 = 0.25;
/// Radius of the arcs of angles, mm.
const ARC: f64 = 9.0;

const TANGENT: Pen = Pen::new(Ink::Accent, 0.3);

/// Draws it into a box of the page; returns the scale.
pub fn draw(s: &mut Sheets, car: &Car, t: &Text, picture: &Picture, at: DVec2, size: DVec2) -> f64 {
    let view = car.side();
    let place = views::fit(
        car.bounds(&view),
        view,
        at + DVec2::new(RULE + BESIDE, 2.0),
        DVec2::new(size.x - RULE - 2.0 * BESIDE, size.y - BELOW - 2.0),
        true,
    );
    let (left, right) = (at.x + RULE, at.x + size.x);
    let y = ground::level(&place, &car.ground);
    car.riders(s.page(), &place, Pen::new(Ink::Pale, 0.15));
    for w in &car.stood.wheels {
        let hub = place.put(w.hub);
        s.page().circle(hub, w.loaded.max(0.0) * place.scale, None, Some(Pen::new(Ink::Grey, 0.3)));
        s.page().circle(hub, 0.5, Some(Ink::Grey), None);
    }
    car.frame(s.page(), &place, picture, None);
    ground::ground(s.page(), y, left, right);
    stands(s, car, &place, y);
    let mut marks = Vec::new();
    if let Some(c) = car.stood.centre {
        let p = ground::beside(&place, &car.ground, c.x, c.z);
        s.page().line([DVec2::new(left, p.y), p], Pen::new(Ink::Accent, 0.2).dashed(2.0));
        s.page().line([p, DVec2::new(p.x, y)], Pen::new(Ink::Accent, 0.2).dashed(2.0));
        ground::centre(s.page(), p);
        marks.push((c.z, t.length(c.z)));
    }
    let top = place.put(car.ground.normal * car.ground.height).y - height(car, &place) * place.scale;
    let units = car.r.shape.design.units;
    rule::draw(s.page(), units, t, place.scale, (left, y), (top, y), &marks);
    let angles = ramps(s, car, &place, y);
    below(s, car, t, (&place, y), angles, (left, right));
    place.scale
}

/// Height of the car over the ground, m.
fn height(car: &Car, place: &Place) -> f64 {
    -car.bounds(&place.view).0.y - car.ground.height
}

/// Stands as trestles under the tubes that rest on them.
fn stands(s: &mut Sheets, car: &Car, place: &Place, y: f64) {
    for f in &car.stood.stands {
        let top = place.put(f.at);
        let foot = |side: f64| DVec2::new(top.x + side * 3.5, y);
        for side in [-1.0, 1.0] {
            s.page().line([top + DVec2::X * side, foot(side)], Pen::new(Ink::Grey, 0.3));
        }
        s.page().line([top - DVec2::X * 2.5, top + DVec2::X * 2.5], Pen::new(Ink::Grey, 0.5));
    }
}

/// The first and the last axle's wheels.
fn ends<'a>(car: &'a Car) -> Option<[&'a Standing; 2]> {
    let loads = car.stood.loads.as_ref()?;
    let of = |a: &stance::Axle| car.stood.wheels.iter().find(|w| a.wheels.contains(&w.name));
    Some([of(loads.axles.first()?)?, of(loads.axles.last()?)?])
}

/// Lines tangent to the tyres, with their angles.
fn ramps(s: &mut Sheets, car: &Car, place: &Place, y: f64) -> Vec<Label> {
    let mut words = Vec::new();
    let Some([front, rear]) = ends(car) else { return words };
    let forward = |w: &Standing| car.ground.place(w.hub).x;
    for (angle, w, sign, word) in
        [(&car.stood.approach, front, 1.0, "approach"), (&car.stood.departure, rear, -1.0, "departure")]
    {
        let Some(a) = angle else { continue };
        // Where the line meets the ground; ahead is to the left of the page.
        let foot = DVec2::new(
            ground::beside(place, &car.ground, forward(w) + sign * w.loaded * (a.angle / 2.0).tan(), 0.0).x,
            y,
        );
        let way = DVec2::new(-sign * a.angle.cos(), -a.angle.sin());
        let there = place.put(a.at);
        let reach = (there - foot).dot(way).max(ARC) + 7.0;
        s.page().line([foot, foot + way * reach], TANGENT);
        s.page().circle(there, 0.8, Some(Ink::Accent), None);
        let (from, to) =
            if sign > 0.0 { (std::f64::consts::PI - a.angle, std::f64::consts::PI) } else { (0.0, a.angle) };
        s.page().line(ground::arc(foot, ARC, from, to), TANGENT);
        let half = ground::arc(foot, ARC, from, to)[12];
        words.push(Label {
            of: half,
            text: format!("{word} {} on {}", super::degrees(a.angle), a.name),
            ink: Ink::Accent,
        });
    }
    if let Some(b) = &car.stood.breakover {
        let there = place.put(b.at);
        for (w, sign) in [(front, -1.0), (rear, 1.0)] {
            let g = car.ground.place(b.at);
            let angle = seen(sign * (g.x - forward(w)), g.z, w.loaded);
            let foot = ground::beside(place, &car.ground, forward(w) + sign * w.loaded * (angle / 2.0).tan(), 0.0);
            s.page().line([DVec2::new(foot.x, y), there], TANGENT);
        }
        s.page().circle(there, 0.8, Some(Ink::Accent), None);
        let text = format!("breakover {} on {}", super::degrees(b.angle), b.name);
        words.push(Label { of: there, text, ink: Ink::Accent });
    }
    words
}

/// The angle with the ground of a line from a place, `x` beyond the hub and `z` over the ground, that touches the tyre from below.
fn seen(x: f64, z: f64, loaded: f64) -> f64 {
    let d = x.hypot(loaded - z);
    (loaded / d).min(1.0).asin() - (loaded - z).atan2(x)
}

/// The lowest places that are told: each name and each stretch of the car once.
pub fn lowest<'a>(car: &'a Car) -> Vec<&'a Low> {
    let mut out: Vec<&Low> = Vec::new();
    for l in &car.stood.lowest {
        let near = |o: &&Low| {
            o.name.trim_end_matches('~') == l.name.trim_end_matches('~')
                || (car.ground.place(o.at).x - car.ground.place(l.at).x).abs() < ONE_PLACE
        };
        if out.len() < PLACES && !out.iter().any(near) {
            out.push(l);
        }
    }
    out
}

/// Two rows of labels below the ground: lowest places; axles and angles.
fn below(s: &mut Sheets, car: &Car, t: &Text, (place, y): (&Place, f64), angles: Vec<Label>, span: (f64, f64)) {
    let mut first = Vec::new();
    for l in lowest(car) {
        let of = place.put(l.at);
        s.page().area([of, of + DVec2::new(-1.0, 1.7), of + DVec2::new(1.0, 1.7)], Some(Ink::Black), None);
        first.push(Label { of, text: format!("{}: {}", l.name, t.length_unit(l.height)), ink: Ink::Black });
    }
    let mut second = Vec::new();
    if let Some(loads) = &car.stood.loads {
        for (a, name) in loads.axles.iter().zip(super::axle_names(loads.axles.len())) {
            let (Some(load), Some(share)) = (a.load, a.share) else { continue };
            let of = DVec2::new(ground::beside(place, &car.ground, a.station, 0.0).x, y);
            let text = format!("{name} {} · {:.1} %", t.load(load), 100.0 * share);
            second.push(Label { of, text, ink: Ink::Black });
        }
    }
    second.extend(angles);
    // The lines of the lower row go behind the words of the upper one.
    labels::row(s, second, BODY, (y + 10.0, y + 14.5), span);
    labels::row(s, first, BODY, (y + 2.5, y + 8.0), span);
}
