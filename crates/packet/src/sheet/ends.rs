//! Cut these ends: a tool is set once, and all ends that need that setting follow.

use cutting::ends::batches::{Batch, Tool};
use glam::DVec2;
use review::ends::{self, Ends, PlaceText};
use review::{Review, Text};

use super::layout::{BODY, SMALL, Sheets};
use super::page::{Anchor, Ink, RULE, THIN};

/// Width of the column of settings, mm.
const SET: f64 = 30.0;
/// Ends beside one another.
const ACROSS: usize = 2;
/// Between them, mm.
const GAP: f64 = 4.0;
/// Step of lines, mm.
const STEP: f64 = 4.2;
/// Side of a box to tick, mm.
const BOX: f64 = 2.6;
/// Room that a tool's heading and its first setting want together, mm.
const BEGUN: f64 = 24.0;

/// All set-ups in order.
pub fn pages(s: &mut Sheets, r: &Review, a: &Ends, t: &Text) {
    if a.setups.batches.is_empty() {
        return;
    }
    s.start("cut these ends");
    s.heading("Cut these ends, set-up by set-up");
    for line in ends::summary(a) {
        s.paragraph(&sentence(&line), BODY, Ink::Black);
    }
    s.paragraph(&format!("{} {}", ends::how_to_read(t), ends::CAUTION), SMALL, Ink::Grey);
    // As wide as the widest number wants.
    let places = a.setups.batches.iter().flat_map(|b| b.places.iter().map(move |p| ends::place(r, a, b, p, t)));
    let head = s.faces[0].width(&format!("back {}", t.unit()), SMALL);
    let back = places.map(|p| s.faces[1].width(&p.back, SMALL)).fold(head, f64::max) + 3.0;
    let mut last: Option<Tool> = None;
    for (number, b) in (1..).zip(&a.setups.batches) {
        if last != Some(b.tool) {
            tool(s, b, back, t);
            last = Some(b.tool);
        }
        batch(s, r, a, (number, b), back, t);
    }
}

/// A line of a summary as a sentence.
pub fn sentence(line: &str) -> String {
    let mut out = line.to_owned();
    if let Some(first) = line.chars().next().filter(char::is_ascii) {
        out.replace_range(..1, &first.to_uppercase().to_string());
    }
    out + "."
}

fn tool(s: &mut Sheets, b: &Batch, back: f64, t: &Text) {
    s.need(BEGUN);
    s.y += 7.0;
    let (x, y, right) = (s.left(), s.y, s.right());
    s.page().text(x, y, BODY * 1.2, sentence(&ends::tool(b, t)).trim_end_matches('.')).bold();
    let column = (s.width() - SET) / ACROSS as f64;
    if b.tool != Tool::Grinder {
        for k in 0..ACROSS {
            let edge = right - (ACROSS - 1 - k) as f64 * column - if k + 1 < ACROSS { GAP } else { 0.0 };
            s.page().text(edge - back, y, SMALL, "turn").ink(Ink::Grey).anchor(Anchor::Right);
            s.page().text(edge, y, SMALL, format!("back {}", t.unit())).ink(Ink::Grey).anchor(Anchor::Right);
        }
    }
    s.y += 1.5;
}

fn batch(s: &mut Sheets, r: &Review, a: &Ends, (number, b): (usize, &Batch), back: f64, t: &Text) {
    let places: Vec<PlaceText> = b.places.iter().map(|p| ends::place(r, a, b, p, t)).collect();
    let setting = ends::setting(b, &r.shape.design, t);
    let left = s.faces[1].wrap(&setting, BODY, SET - 9.0);
    let lines = places.len().div_ceil(ACROSS).max(left.len());
    // A set-up stands together, unless it is longer than a page.
    s.need((lines as f64 * STEP + 3.0).min(s.bottom() - s.top()));
    let column = (s.width() - SET) / ACROSS as f64;
    let (l, e, y) = (s.left(), s.right(), s.y);
    s.page().line([DVec2::new(l, y), DVec2::new(e, y)], RULE);
    s.page().text(l, y + STEP, SMALL, number.to_string()).ink(Ink::Grey);
    for (k, line) in left.into_iter().enumerate() {
        s.page().text(l + 7.0, y + STEP * (k as f64 + 1.0), BODY, line).bold();
    }
    s.y += 0.6;
    for row in places.chunks(ACROSS) {
        s.need(STEP);
        s.y += STEP;
        for (k, p) in row.iter().enumerate() {
            let width = column - if k + 1 < ACROSS { GAP } else { 0.0 };
            end(s, p, (l + SET + k as f64 * column, width), back);
        }
    }
    // The settings may be longer than the ends.
    s.y = s.y.max(y + STEP * lines.min(3) as f64) + 1.6;
}

/// Room for a turn, mm.
const TURN: f64 = 10.0;

/// An end with its box to tick, so wide from `x` on; its last number takes `back` of that.
fn end(s: &mut Sheets, p: &PlaceText, (x, width): (f64, f64), back: f64) {
    let y = s.y;
    s.page().rect(DVec2::new(x, y - 2.4), DVec2::splat(BOX), None, Some(THIN));
    let edge = x + width;
    let words = format!("{} {} {}", p.number, p.piece, p.end);
    let taken = if p.back.is_empty() { 0.0 } else { back + if p.turn.is_empty() { 0.0 } else { TURN } };
    let words = s.faces[0].fit(&words, SMALL, width - BOX - 1.5 - taken);
    let page = s.page();
    page.text(x + BOX + 1.5, y, SMALL, words);
    if !p.turn.is_empty() {
        page.text(edge - back, y, SMALL, p.turn.clone()).anchor(Anchor::Right);
    }
    if !p.back.is_empty() {
        page.text(edge, y, SMALL, p.back.clone()).bold().anchor(Anchor::Right);
    }
}
