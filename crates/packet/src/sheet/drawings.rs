//! The views' pages: one view to a sheet across, at a stated scale, with its main dimensions.

use geometry::DVec3;
use glam::DVec2;
use review::{Review, Text};
use shape::bodies::BodyKind;

use super::extent;
use super::layout::{BODY, SMALL, Sheets};
use super::page::{Anchor, Ink, Pen, THIN};
use super::rule;
use super::views::{self, Place, View};

/// Title of these sheets.
pub const TITLE: &str = "views";
/// Room for dimensions to the left of a view and below it, mm.
const LEFT: f64 = 34.0;
/// Below.
const BELOW: f64 = 26.0;
/// Step between two lines of dimensions, mm.
const STEP: f64 = 7.0;

/// Three views and a slanted one.
pub fn pages(s: &mut Sheets, r: &Review, t: &Text) {
    let views = [
        ("from the left", View::SIDE, Some(("length", "height"))),
        ("from above", View::TOP, Some(("length", "width"))),
        ("from ahead", View::FRONT, Some(("width", "height"))),
        ("from ahead, left and above", View::slant(), None),
    ];
    for (name, view, names) in views {
        s.start_across(TITLE);
        s.heading(&format!("Seen {name}"));
        let (room, left) = (s.bottom() - s.y, if names.is_some() { LEFT } else { 0.0 });
        let below = if names.is_some() { BELOW } else { 10.0 };
        let at = DVec2::new(s.left() + left, s.y + 2.0);
        let size = DVec2::new(s.width() - left - if names.is_some() { 14.0 } else { 0.0 }, room - below - 4.0);
        let place = views::place(r, view, at, size, true, names.is_some());
        views::draw(s.page(), r, &place);
        if let Some(names) = names {
            dimensions(s, r, &place, t, names);
            bar(s, r, place.scale);
        } else {
            let (x, y) = (s.left(), s.bottom() - 1.0);
            s.page().text(x, y, SMALL, "Not to scale.").ink(Ink::Grey);
        }
    }
}

/// A bar of a round length, and the scale.
fn bar(s: &mut Sheets, r: &Review, scale: f64) {
    /// Longest bar, mm.
    const LONGEST: f64 = 75.0;
    let (unit, word, lengths): (f64, _, &[u32]) = match r.shape.design.units {
        design::Units::Mm => (1e-3, "mm", &[1000, 500, 200, 100, 50, 20, 10]),
        design::Units::In => (0.0254, "in", &[40, 20, 10, 5, 2, 1]),
    };
    let y = s.bottom() - 2.6;
    let left = s.left();
    let fits = |n: &&u32| f64::from(**n) * unit * scale <= LONGEST;
    let Some(n) = lengths.iter().find(fits) else { return };
    let long = f64::from(*n) * unit * scale;
    let page = s.page();
    for k in 0..5 {
        let fill = if k % 2 == 0 { Ink::Black } else { Ink::Paper };
        let at = DVec2::new(left + long * f64::from(k) / 5.0, y);
        page.rect(at, DVec2::new(long / 5.0, 1.4), Some(fill), Some(Pen::new(Ink::Black, 0.2)));
    }
    let one = 1e3 / scale;
    let one = if (one - one.round()).abs() < 1e-6 { format!("{one:.0}") } else { format!("{one:.1}") };
    page.text(left + long + 2.0, y + 1.7, SMALL, format!("{n} {word} · drawn at 1 : {one}"));
}

/// A dimension between two places along the page, or up it; its words stand beyond it where they have no room on it.
fn dimension(s: &mut Sheets, from: DVec2, to: DVec2, text: String) {
    let along = (to - from).normalize_or_zero();
    let across = along.perp() * 1.3;
    let room = s.faces[0].width(&text, BODY) + 5.0 < from.distance(to);
    let page = s.page();
    page.line([from, to], THIN);
    for p in [from, to] {
        // A slanted tick, as on a drawing board.
        page.line([p - across - along * 1.3, p + across + along * 1.3], Pen::new(Ink::Black, 0.25));
    }
    let mid = (from + to) / 2.0;
    let (at, turn) = match (along.x.abs() > 0.5, room) {
        (true, true) => (mid - DVec2::Y, 0.0),
        (true, false) => (DVec2::new(from.x.max(to.x) + 3.0, mid.y + 1.0), 0.0),
        (false, true) => (mid - DVec2::X, -std::f64::consts::FRAC_PI_2),
        (false, false) => (DVec2::new(mid.x + 1.0, from.y.min(to.y) - 3.0), -std::f64::consts::FRAC_PI_2),
    };
    let anchor = if room { Anchor::Middle } else { Anchor::Left };
    page.text(at.x, at.y, BODY, text).anchor(anchor).turn(turn);
}

/// A line of dimensions: places along the page from left to right (or from the top), and what to call each gap.
type Row = (Vec<(f64, f64)>, Vec<String>);

fn dimensions(s: &mut Sheets, r: &Review, at: &Place, t: &Text, names: (&str, &str)) {
    let view = at.view;
    let to = |d: DVec3| extent::frame(r, d);
    let lo = DVec2::new(-to(-view.right), -to(view.up));
    let hi = DVec2::new(to(view.right), to(-view.up));
    let (a, b) = (at.origin + lo * at.scale, at.origin + hi * at.scale);
    // Wheels may reach below the frame and beyond it.
    let wheels: Vec<DVec2> = r
        .shape
        .bodies
        .iter()
        .filter(|b| b.kind == BodyKind::Wheel)
        .flat_map(|b| &b.parts)
        .flat_map(|(_, c)| <[DVec3; 2]>::from(c.bounds()))
        .map(|p| at.put(p))
        .collect();
    let low = wheels.iter().map(|p| p.y).fold(b.y, f64::max);
    let left = wheels.iter().map(|p| p.x).fold(a.x, f64::min);
    let witness = Pen::new(Ink::Pale, 0.15);
    let mut y = low + STEP;
    if let Some((places, texts)) = wheels_apart(r, at, t) {
        for (x, from) in &places {
            s.page().line([DVec2::new(*x, *from), DVec2::new(*x, y + 1.5)], witness);
        }
        for (w, text) in places.windows(2).zip(texts) {
            dimension(s, DVec2::new(w[0].0, y), DVec2::new(w[1].0, y), text);
        }
        y += STEP;
    }
    for x in [a.x, b.x] {
        s.page().line([DVec2::new(x, b.y + 1.0), DVec2::new(x, y + 1.5)], witness);
    }
    let whole = format!("frame {} {}", names.0, t.length_unit(hi.x - lo.x));
    dimension(s, DVec2::new(a.x, y), DVec2::new(b.x, y), whole);
    let mut x = left - STEP;
    if view.up == DVec3::Z {
        let zero = at.origin.y - r.shape.datum * at.scale;
        rule::draw(s.page(), r.shape.design.units, t, at.scale, (x, zero), (a.y, b.y), &[]);
        x -= 2.0 * STEP;
    }
    for y in [a.y, b.y] {
        s.page().line([DVec2::new(a.x - 1.0, y), DVec2::new(x - 1.5, y)], witness);
    }
    dimension(s, DVec2::new(x, b.y), DVec2::new(x, a.y), format!("{} {}", names.1, t.length_unit(hi.y - lo.y)));
    let z = at.origin.y - r.shape.datum * at.scale;
    // A datum far from the frame has no room on the sheet.
    if view.up == DVec3::Z && z > s.top() && z < s.bottom() {
        s.page().line(
            [DVec2::new(x + 2.0 * STEP + 1.0, z), DVec2::new(b.x + 4.0, z)],
            Pen::new(Ink::Accent, 0.25).dashed(3.0),
        );
        s.page().text(b.x + 5.0, z + 0.9, SMALL, "datum").ink(Ink::Accent);
    }
}

/// Wheelbase, or the front wheels' track, along the page: the wheels' centres, and how far apart they stand.
fn wheels_apart(r: &Review, at: &Place, t: &Text) -> Option<Row> {
    let right = at.view.right;
    let lengthwise = right.x.abs() > 0.5;
    let name = if lengthwise { "wheelbase" } else { "front track" };
    let wheels = || r.shape.bodies.iter().filter(|b| b.kind == BodyKind::Wheel).map(|b| b.centre);
    let front = wheels().map(|c| c.x).fold(f64::NEG_INFINITY, f64::max);
    let mut list: Vec<DVec3> = wheels().filter(|c| lengthwise || c.x > front - ONE_AXLE).collect();
    list.sort_by(|a, b| a.dot(right).total_cmp(&b.dot(right)));
    list.dedup_by(|b, a| (*a - *b).dot(right).abs() < ONE_AXLE);
    let apart = |w: &[DVec3]| format!("{name} {}", t.length_unit((w[1] - w[0]).dot(right)));
    let texts: Vec<String> = list.windows(2).map(apart).collect();
    (!texts.is_empty()).then(|| (list.iter().map(|c| at.put(*c).into()).collect(), texts))
}

/// Wheels whose centres stand within this along the car count as on one axle, m.
const ONE_AXLE: f64 = 0.02;
