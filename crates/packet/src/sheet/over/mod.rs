//! Going over: the car in each rest attitude with people and ground, and the ways into them.

mod openings;
mod strip;
mod tumbles;
pub mod under;

use geometry::DVec3;
use glam::DVec2;
use review::{Review, Text};
use rollover::{Attitude, Kind, Rollover};
use shape::bodies::{Body, BodyKind};

use super::labels;
use super::layout::{BODY, SMALL, Sheets};
use super::page::{Anchor, Ink, Page, Pen};
use super::views::{self, Place, View};

/// Title of these sheets.
pub const TITLE: &str = "rollover";

/// What every sheet of this kind must say.
pub const CAUTION: &str = "Quasi-static arguments and rigid tumbles are no crash test; whether anything holds is not told. \
Local rules and a licensed engineer prevail.";

/// Attitudes that are reached less often than this are listed, not drawn.
const RARE: f64 = 0.002;

/// Pictures side by side.
const ACROSS: usize = 2;
/// Least and greatest height of a picture, mm.
const HIGH: [f64; 2] = [42.0, 56.0];
/// Lines of words under it, mm.
const WORDS: f64 = 29.5;
/// Width of a way out seen square on, mm.
const INSET: f64 = 24.0;

/// The sheets; in plain words why there are none where there are no rest attitudes.
pub fn pages(s: &mut Sheets, r: &Review, t: &Text) {
    let from = s.pages.len();
    let case = &r.over.hard;
    s.start(TITLE);
    s.heading("On its wheels, its sides, its roof: how it rests");
    match &case.rollover {
        Some(answer) => {
            let hung = hung(r);
            attitudes(s, &hung, t, answer);
            tumbles::table(s, r, t, answer);
            strip::ways(s, &hung, t);
            if let Some(holds) = answer.sensitivity.holds {
                let text =
                    format!("The list of rests stands as long as the centre of gravity is known to {}.", t.fine(holds));
                s.paragraph(&text, BODY, Ink::Black);
            }
        }
        None => {
            let why = case.refused.as_deref().unwrap_or("there is nothing hard");
            s.paragraph(&format!("Not worked out: {why}."), BODY, Ink::Black);
        }
    }
    under::pages(s, r, t, Some(&review::over::edge_over_nose(r)));
    labels::caution(s, from, CAUTION);
}

/// What is not there to be drawn, in plain words.
fn absent(s: &mut Sheets, r: &Review) {
    if r.shape.design.occupants.is_empty() {
        s.paragraph("Nobody sits in it ([occupant.NAME]): no room over the ground is drawn.", BODY, Ink::Black);
    } else if r.shape.openings.is_empty() {
        s.paragraph("No way out is given ([opening.NAME]): none is drawn.", BODY, Ink::Black);
    }
}

fn attitudes(s: &mut Sheets, hung: &Review, t: &Text, answer: &Rollover) {
    let [wide, long] = hung.shape.design.room.opening;
    let soft = t.length_unit(hung.over.soft);
    let text = format!(
        "Each way that the car comes to rest, with all that is hard: wheels hanging, tubes, masses with extents. The share is of all \
         attitudes in which it may be dropped. Blue: people, and the least height of theirs over hard ground; over soft ground what \
         it rests on has sunk by up to {soft}. Grey areas: what the ground leaves of the ways out (dashed), with room outside as deep as \
         a person is wide. Beside the words the widest one, seen square on, with the largest ellipse of a person's proportions in it; \
         a person passes from {} x {} on.",
        t.length(wide),
        t.length_unit(long)
    );
    s.paragraph(&text, SMALL, Ink::Grey);
    absent(s, hung);
    let width = (s.width() - 6.0) / ACROSS as f64;
    let drawn: Vec<usize> = (0..answer.attitudes.len()).filter(|&k| answer.attitudes[k].share >= RARE).collect();
    // Three rows to a page.
    let high = ((s.bottom() - s.y) / 3.0 - WORDS - 2.0).clamp(HIGH[0], HIGH[1]);
    for row in drawn.chunks(ACROSS) {
        s.need(high + WORDS + 1.0);
        let y = s.y + 1.0;
        for (column, &k) in row.iter().enumerate() {
            let at = DVec2::new(s.left() + (width + 6.0) * column as f64, y);
            attitude(s, hung, t, k, at, DVec2::new(width, high));
        }
        s.y = y + high + WORDS;
    }
    let rare = answer.attitudes.len() - drawn.len();
    if rare > 0 {
        s.paragraph(&format!("{rare} more, each under {:.1} %, are not drawn.", 100.0 * RARE), SMALL, Ink::Grey);
    }
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

pub(super) fn people(r: &Review) -> Vec<Body> {
    r.shape.bodies.iter().filter(|b| b.kind == BodyKind::Occupant).cloned().collect()
}

fn attitude(s: &mut Sheets, r: &Review, t: &Text, k: usize, at: DVec2, size: DVec2) {
    let (width, high) = (size.x, size.y);
    let (Some(answer), room) = (&r.over.hard.rollover, &r.over.hard.rooms[k]) else { return };
    let a = &answer.attitudes[k];
    let place = views::place(
        r,
        View::lying(a.normal),
        at + DVec2::new(2.0, 2.0),
        DVec2::new(width - 4.0, high - 8.0),
        true,
        false,
    );
    openings::areas(s.page(), r, room, &place);
    views::draw(s.page(), r, &place);
    openings::ellipses(s.page(), room, &place);
    let mine = people(r);
    views::draw_bodies(s.page(), &mine, &place, Pen::new(Ink::Accent, 0.25));
    let y = ground(s.page(), a, &place, at.x, width);
    if let Some((_, part)) = review::over::nearest(&room.people, false) {
        let p = place.put(part.at);
        let ink = if part.hard <= 0.0 { Ink::Alarm } else { Ink::Accent };
        s.page().line([p, DVec2::new(p.x, y)], Pen::new(ink, 0.3).dashed(1.0));
        s.page().circle(p, 0.5, Some(ink), None);
        // Beside the line, on the side where the page has more room.
        let (x, anchor) = if p.x < at.x + width / 2.0 { (p.x - 1.2, Anchor::Right) } else { (p.x + 1.2, Anchor::Left) };
        labels::plate(s, DVec2::new(x, y - 1.0), SMALL, &t.length(part.hard), anchor, ink);
    }
    let x = at.x + 1.0;
    let mut line = at.y + high + 1.5;
    let head = format!("{}  {}{}", k + 1, room.words, manner(a));
    s.page().text(x, line, BODY, head).bold();
    s.page().text(at.x + width, line, BODY, format!("{:.1} %", 100.0 * a.share)).anchor(Anchor::Right);
    let inset = room.ways.first().map_or(0.0, |w| {
        openings::inset(s, r, a, w, DVec2::new(at.x + width - INSET, line + 1.6), DVec2::new(INSET, WORDS - 7.0));
        INSET + 2.0
    });
    let mut tell = |s: &mut Sheets, text: String| {
        line += SMALL * 1.4;
        let text = s.faces[0].fit(&text, SMALL, width - 2.0 - inset);
        s.page().text(x, line, SMALL, text).ink(Ink::Grey);
    };
    let on: Vec<&str> = a.contacts.iter().map(|c| c.body.as_str()).collect();
    tell(s, format!("on {}", on.join(", ")));
    let margin = a.margin.map_or(String::new(), |m| format!(", margin {}", t.length_unit(m)));
    tell(s, format!("centre {} up{margin}", t.length_unit(a.height)));
    let least = a.edges.iter().min_by(|a, b| a.energy.total_cmp(&b.energy));
    if let Some(e) = least {
        let to = e.leads_to.map_or(String::new(), |n| format!(" to no {}", n + 1));
        tell(s, format!("{} to leave it{to} over {}", t.energy(e.energy), e.over.join(", ")));
    }
    for (soft, ground) in [(false, "hard"), (true, "soft")] {
        if let Some((who, part)) = review::over::nearest(&room.people, soft) {
            let by = t.length_unit(part.over(soft));
            tell(s, format!("{by} over {ground}: {}'s {}", who.name, part.part));
        }
    }
    if let Some(w) = room.ways.first() {
        let size = format!("{} x {}", t.length(w.ellipse[0]), t.length_unit(w.ellipse[1]));
        let closed = match w.closure {
            design::Closure::Breaks => " (a panel must break)",
            _ => "",
        };
        let flat = if w.off > shape::openings::FLAT { " (not flat: a guess)" } else { "" };
        tell(
            s,
            if w.passes {
                format!("out: {}, {size}{closed}{flat}", w.opening)
            } else {
                format!("no way out: {}, {size}", w.opening)
            },
        );
    }
}

pub(super) fn manner(a: &Attitude) -> &'static str {
    match (a.kind, a.marginal) {
        (Kind::Rocks, _) if a.shallow => ", hardly rocking",
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
