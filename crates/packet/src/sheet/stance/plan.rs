//! A stance from ahead, with the sides that it tips over; and from above, with what each wheel carries.

use glam::DVec2;
use review::Text;
use stance::{Edge, Side};

use super::super::labels::{self, Label};
use super::super::layout::{BODY, SMALL, Sheets};
use super::super::page::{Anchor, Ink, Pen};
use super::super::views::{self, Picture};
use super::ground::{self, Car};

/// From a contact to its words, mm.
const ASIDE: f64 = 6.5;

const THIN: Pen = Pen::new(Ink::Accent, 0.25);

/// From ahead, into a box of the page; returns the scale.
pub fn front(s: &mut Sheets, car: &Car, picture: &Picture, at: DVec2, size: DVec2) -> f64 {
    let view = car.front();
    let place = views::fit(car.bounds(&view), view, at + DVec2::new(2.0, 1.0), size - DVec2::new(4.0, 11.0), true);
    let y = ground::level(&place, &car.ground);
    car.riders(s.page(), &place, Pen::new(Ink::Pale, 0.15));
    for w in &car.stood.wheels {
        wheel(s, car, w, &place);
    }
    car.frame(s.page(), &place, picture, Some(Ink::Grey));
    ground::ground(s.page(), y, at.x, at.x + size.x);
    let Some(c) = car.stood.centre else { return place.scale };
    let p = DVec2::new(place.origin.x + c.y * place.scale, y - c.z * place.scale);
    s.page().line([p, DVec2::new(p.x, y)], THIN.dashed(1.5));
    for (side, sign, anchor) in [(Side::Right, -1.0, Anchor::Left), (Side::Left, 1.0, Anchor::Right)] {
        let Some(e) = edge(car, side) else { continue };
        let foot = DVec2::new(p.x + sign * e.distance * place.scale, y);
        s.page().line([p, foot], THIN);
        let down = -std::f64::consts::FRAC_PI_2;
        s.page().line(ground::arc(p, 7.0, down, down + sign * e.angle), THIN);
        let x = if sign < 0.0 { at.x } else { at.x + size.x };
        let word = if side == Side::Left { "left" } else { "right" };
        s.page().text(x, y + 6.0, BODY, format!("{word} {}", super::degrees(e.angle))).ink(Ink::Accent).anchor(anchor);
    }
    ground::centre(s.page(), p);
    place.scale
}

/// The edge of a side that it tips over soonest.
pub fn edge<'a>(car: &'a Car, side: Side) -> Option<&'a Edge> {
    let edges = car.stood.loads.as_ref().map_or(&car.stood.stand_edges, |l| &l.edges);
    edges.iter().filter(|e| e.side == side).min_by(|a, b| a.angle.total_cmp(&b.angle))
}

fn wheel(s: &mut Sheets, car: &Car, w: &stance::Standing, place: &views::Place) {
    let mut body = car.r.shape.bodies[w.body].clone();
    let moved = w.hub - body.centre;
    for (_, c) in &mut body.parts {
        if let geometry::convex::Core::Cylinder(f, ..) = &mut c.core {
            f.origin += moved;
        }
    }
    // Of what the tyre gives there is no more than a hint: it is drawn unloaded, cut off by the ground.
    views::draw_bodies(s.page(), &[body], place, Pen::new(Ink::Pale, 0.25));
}

/// From above, into a box of the page: contacts, loads, the polygon that it stands on.
pub fn above(s: &mut Sheets, car: &Car, t: &Text, at: DVec2, size: DVec2) {
    let view = car.above();
    let place = views::fit(car.bounds(&view), view, at + DVec2::new(4.0, 8.0), size - DVec2::new(8.0, 16.0), true);
    views::sketch(s.page(), car.r, &place, Pen::new(Ink::Pale, 0.2));
    for w in &car.stood.wheels {
        wheel(s, car, w, &place);
    }
    let stands: Vec<(&str, DVec2, Option<f64>)> = car
        .stood
        .wheels
        .iter()
        .map(|w| (w.name.as_str(), place.put(w.contact), w.load))
        .chain(car.stood.stands.iter().map(|f| (f.tube.as_str(), place.put(f.at), None)))
        .collect();
    // The polygon's edges run round it; each begins where the one before ended.
    let edges = car.stood.loads.as_ref().map_or(&car.stood.stand_edges, |l| &l.edges);
    for e in edges.iter().filter(|_| car.stood.stands.is_empty()) {
        let ends = e.wheels.each_ref().map(|n| stands.iter().find(|x| x.0 == n).map(|x| x.1));
        if let [Some(a), Some(b)] = ends {
            s.page().line([a, b], THIN.dashed(1.5));
        }
    }
    let middle = car.stood.centre.map(|c| place.origin + DVec2::new(-c.x, c.y) * place.scale);
    let mut words: [Vec<Label>; 2] = [Vec::new(), Vec::new()];
    for (name, p, load) in &stands {
        s.page().circle(*p, 0.7, Some(Ink::Black), None);
        let Some(load) = load else { continue };
        let up = middle.is_none_or(|m| p.y < m.y);
        let text = format!("{name} {}", t.load(*load));
        words[usize::from(!up)].push(Label { of: *p, text, ink: Ink::Black });
    }
    for (list, up) in words.into_iter().zip([true, false]) {
        let ys = list.iter().map(|l| l.of.y);
        let (y, turn) = if up {
            let y = ys.fold(f64::INFINITY, f64::min) - ASIDE;
            (y, y + 2.0)
        } else {
            let y = ys.fold(f64::NEG_INFINITY, f64::max) + ASIDE + 0.7 * BODY;
            (y, y - BODY - 1.0)
        };
        let long: f64 = list.iter().map(|l| s.faces[0].width(&l.text, BODY) + 4.0).sum();
        let font = if long < size.x { BODY } else { SMALL };
        labels::row(s, list, font, (turn, y), (at.x, at.x + size.x));
    }
    if let Some(m) = middle {
        ground::centre(s.page(), m);
    }
}
