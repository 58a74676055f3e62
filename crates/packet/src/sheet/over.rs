//! Going over: the car in each rest attitude with people and ground, and the ways into them.

use geometry::DVec3;
use glam::DVec2;
use review::over::{PartRoom, PersonRoom};
use review::{Review, Text};
use rollover::{Attitude, Kind, Side};
use shape::bodies::{Body, BodyKind};

use super::layout::{BODY, SMALL, Sheets};
use super::page::{Anchor, Ink, Page, Pen};
use super::views::{self, Place, View};

/// Title of these sheets.
pub const TITLE: &str = "rollover";

const CAUTION: &str = "A quasi-static argument on rigid bodies: not a crash test. It does not say whether anything holds. \
Local rules and a licensed engineer prevail.";

/// Attitudes that are reached less often than this are listed, not drawn.
const RARE: f64 = 0.002;

/// Pictures side by side.
const ACROSS: usize = 2;
/// Height of a picture, mm.
const HIGH: f64 = 54.0;
/// Lines of words under it, mm.
const WORDS: f64 = 22.5;

/// The sheets; none where there are no rest attitudes.
pub fn pages(s: &mut Sheets, r: &Review, t: &Text) {
    let case = &r.over.hard;
    let Some(answer) = &case.rollover else { return };
    let hung = hung(r);
    s.start(TITLE);
    s.heading("On its wheels, its sides, its roof: how it rests");
    s.paragraph(
        "Each way that the car comes to rest, with all that is hard: wheels hanging, tubes, masses with extents. The share is of all \
         attitudes in which it may be dropped. Blue: people, and the least height of theirs over hard ground, and over ground that \
         has sunk under what it rests on; dashed: ways out. A way out is what lies over the ground, with room outside as deep as a \
         person is wide; its size is that of the largest ellipse of a person's proportions in it.",
        SMALL,
        Ink::Grey,
    );
    let width = (s.width() - 6.0) / ACROSS as f64;
    let drawn: Vec<usize> = (0..answer.attitudes.len()).filter(|&k| answer.attitudes[k].share >= RARE).collect();
    for row in drawn.chunks(ACROSS) {
        s.need(HIGH + WORDS + 6.0);
        let y = s.y + 2.0;
        for (column, &k) in row.iter().enumerate() {
            let at = DVec2::new(s.left() + (width + 6.0) * column as f64, y);
            attitude(s, &hung, t, k, at, width);
        }
        s.y = y + HIGH + WORDS;
    }
    let rare = answer.attitudes.len() - drawn.len();
    if rare > 0 {
        s.paragraph(&format!("{rare} more, each under {:.1} %.", 100.0 * RARE), SMALL, Ink::Grey);
    }
    ways(s, &hung);
    if let Some(holds) = answer.sensitivity.holds {
        let text = format!("The list stands as long as the centre of gravity is known to {}.", t.fine(holds));
        s.paragraph(&text, BODY, Ink::Black);
    }
    s.paragraph(CAUTION, BODY, Ink::Black);
}

/// The car with its wheels where they hang.
fn hung(r: &Review) -> Review {
    let mut r = r.clone();
    let design = r.shape.design.clone();
    for b in r.shape.bodies.iter_mut().filter(|b| b.kind == BodyKind::Wheel) {
        let wheel = design.wheels.iter().find(|w| w.name == b.name.trim_end_matches('~'));
        let down = DVec3::NEG_Z * wheel.map_or(0.0, |w| w.droop);
        b.centre += down;
        for (_, c) in &mut b.parts {
            if let geometry::convex::Core::Cylinder(f, ..) = &mut c.core {
                f.origin += down;
            }
        }
    }
    r
}

/// From its side, or from ahead where it lies on a side.
fn view(a: &Attitude) -> View {
    let eye = if a.normal.y.abs() > 0.7 { DVec3::X } else { DVec3::Y };
    View::upright(-a.normal, eye)
}

fn people(r: &Review) -> Vec<Body> {
    r.shape.bodies.iter().filter(|b| b.kind == BodyKind::Occupant).cloned().collect()
}

fn attitude(s: &mut Sheets, r: &Review, t: &Text, k: usize, at: DVec2, width: f64) {
    let (Some(answer), room) = (&r.over.hard.rollover, &r.over.hard.rooms[k]) else { return };
    let a = &answer.attitudes[k];
    let place = views::place(r, view(a), at + DVec2::new(2.0, 2.0), DVec2::new(width - 4.0, HIGH - 8.0), true, false);
    views::draw(s.page(), r, &place);
    let mine = people(r);
    views::draw_bodies(s.page(), &mine, &place, Pen::new(Ink::Accent, 0.25));
    for o in &r.shape.openings {
        for piece in &o.clear {
            let points: Vec<DVec2> = piece.iter().map(|p| place.put(o.place(*p))).collect();
            s.page().area(points, None, Some(Pen::new(Ink::Accent, 0.2).dashed(1.2)));
        }
    }
    let y = ground(s.page(), a, &place, at.x, width);
    let worst = room.people.iter().flat_map(|p| p.parts.first().map(|q| (p, q)));
    let worst: Option<(&PersonRoom, &PartRoom)> = worst.min_by(|x, y| x.1.hard.total_cmp(&y.1.hard));
    if let Some((_, part)) = worst {
        let p = place.put(part.at);
        let ink = if part.hard <= 0.0 { Ink::Alarm } else { Ink::Accent };
        s.page().line([p, DVec2::new(p.x, y)], Pen::new(ink, 0.3).dashed(1.0));
        s.page().circle(p, 0.5, Some(ink), None);
        s.page().text(p.x + 1.0, y - 0.8, SMALL, t.length(part.hard)).ink(ink);
    }
    let x = at.x + 1.0;
    let mut line = at.y + HIGH + 1.5;
    let head = format!("{}  {}{}", k + 1, room.words, manner(a));
    s.page().text(x, line, BODY, head).bold();
    s.page().text(at.x + width, line, BODY, format!("{:.1} %", 100.0 * a.share)).anchor(Anchor::Right);
    let mut tell = |s: &mut Sheets, text: String| {
        line += SMALL * 1.4;
        let text = s.faces[0].fit(&text, SMALL, width - 2.0);
        s.page().text(x, line, SMALL, text).ink(Ink::Grey);
    };
    let on: Vec<&str> = a.contacts.iter().map(|c| c.body.as_str()).collect();
    tell(s, format!("on {}", on.join(", ")));
    let margin = a.margin.map_or(String::new(), |m| format!("; margin {}", t.length_unit(m)));
    tell(s, format!("centre of gravity {} over the ground{margin}", t.length_unit(a.height)));
    let least = a.edges.iter().min_by(|a, b| a.energy.total_cmp(&b.energy));
    if let Some(e) = least {
        let to = e.leads_to.map_or(String::new(), |n| format!(", to no {}", n + 1));
        tell(s, format!("{:.0} J to leave it over {}{to}", e.energy, e.over.join(" and ")));
    }
    if let Some((who, part)) = worst {
        let hard = t.length_unit(part.hard);
        tell(s, format!("{}'s {} {hard} over hard ground, {} over soft", who.name, part.part, t.length(part.soft)));
    }
    if let Some(w) = room.ways.first() {
        let size = format!("{} x {}", t.length(w.ellipse[0]), t.length_unit(w.ellipse[1]));
        let text = if w.passes {
            format!("way out: {}, {size} clear", w.opening)
        } else {
            format!("no way out: {}, {size}", w.opening)
        };
        tell(s, text);
    }
}

fn manner(a: &Attitude) -> &'static str {
    match (a.kind, a.marginal) {
        (Kind::Flat, true) => ", marginal",
        (Kind::Flat, false) => "",
        (Kind::Rocks, _) => ", rocking",
        (Kind::Rolls, _) => ", rolling",
    }
}

/// The ground under an attitude, hatched; its height on the page.
fn ground(page: &mut Page, a: &Attitude, place: &Place, x: f64, width: f64) -> f64 {
    let y = place.put(a.foot).y;
    let pen = Pen::new(Ink::Black, 0.35);
    page.line([DVec2::new(x, y), DVec2::new(x + width, y)], pen);
    let mut at = x + 2.0;
    while at < x + width {
        page.line([DVec2::new(at, y), DVec2::new(at - 1.6, y + 1.6)], Pen::new(Ink::Grey, 0.15));
        at += 3.0;
    }
    y
}

/// Width of a small picture, mm.
const SMALL_WIDE: f64 = 30.0;
/// Its height.
const SMALL_HIGH: f64 = 20.0;
/// Between two.
const GAP: f64 = 6.0;

/// Room for a strip's name and where it ends, mm.
const NAME_WIDE: f64 = 84.0;

/// The ways from the wheels over each side, nose and tail, as strips.
fn ways(s: &mut Sheets, r: &Review) {
    let Some(answer) = &r.over.hard.rollover else { return };
    if answer.paths.is_empty() {
        return;
    }
    s.need(SMALL_HIGH + 26.0);
    s.heading("From its wheels, over each edge");
    let hard = review::over::tumbling(&r.shape, &r.laden).0.hull;
    let most = ((s.width() + GAP) / (SMALL_WIDE + GAP)).floor() as usize;
    // Strips stand side by side where there is room.
    let mut used = f64::INFINITY;
    for p in &answer.paths {
        let name = match p.side {
            Side::Left => "over its left side",
            Side::Right => "over its right side",
            Side::Nose => "over its nose",
            Side::Tail => "over its tail",
        };
        let rests = &r.over.hard.rooms[p.rests].words;
        let eye = if matches!(p.side, Side::Left | Side::Right) { DVec3::X } else { DVec3::Y };
        // The first picture, then a picture for each step, the last of them if there are too many.
        let from = answer.attitudes[p.from].normal;
        let mut steps: Vec<(DVec3, f64)> = vec![(from, 0.0)];
        steps.extend(p.steps.iter().map(|q| (q.normal, q.needed)));
        while steps.len() > most {
            let gone = steps.remove(1);
            steps[1].1 += gone.1;
        }
        let wide = (steps.len() as f64 * (SMALL_WIDE + GAP)).max(NAME_WIDE);
        if used + wide > s.width() + GAP {
            if used.is_finite() {
                s.y += SMALL_HIGH + 1.0;
            }
            s.need(SMALL_HIGH + 16.0);
            s.y += BODY * 1.8;
            used = 0.0;
        }
        let (left, y) = (s.left() + used, s.y);
        used += wide + GAP;
        s.page().text(left, y, BODY, name).bold();
        let rest = format!("rests {rests}, no {}", p.rests + 1);
        s.page().text(left + NAME_WIDE / 2.0, y, SMALL, rest).ink(Ink::Grey);
        let top = s.y + 1.5;
        for (k, (normal, needed)) in steps.iter().enumerate() {
            let at = DVec2::new(left + k as f64 * (SMALL_WIDE + GAP), top);
            let view = View::upright(-*normal, eye);
            let size = DVec2::new(SMALL_WIDE - 2.0, SMALL_HIGH - 2.0);
            let place = views::place(r, view, at + DVec2::ONE, size, true, false);
            views::sketch(s.page(), r, &place, Pen::new(Ink::Grey, 0.15));
            let wheels: Vec<Body> = r.shape.bodies.iter().filter(|b| b.kind == BodyKind::Wheel).cloned().collect();
            views::draw_bodies(s.page(), &wheels, &place, Pen::new(Ink::Pale, 0.15));
            views::draw_bodies(s.page(), &people(r), &place, Pen::new(Ink::Accent, 0.15));
            let low = hard.iter().map(|p| p.dot(*normal)).fold(f64::NEG_INFINITY, f64::max);
            let y = place.put(*normal * low).y;
            s.page().line([DVec2::new(at.x, y), DVec2::new(at.x + SMALL_WIDE, y)], Pen::new(Ink::Black, 0.3));
            if k > 0 {
                let mid = at + DVec2::new(-GAP / 2.0, SMALL_HIGH / 2.0);
                let pen = Pen::new(Ink::Black, 0.25);
                s.page().line([mid - DVec2::X * 2.4, mid + DVec2::X * 2.4], pen);
                s.page().line([mid + DVec2::new(1.0, -1.0), mid + DVec2::X * 2.4, mid + DVec2::new(1.0, 1.0)], pen);
                if *needed > 0.5 {
                    s.page().text(mid.x, mid.y - 1.8, SMALL, format!("{needed:.0} J")).anchor(Anchor::Middle);
                }
            }
        }
    }
    s.y += SMALL_HIGH + 3.0;
}
