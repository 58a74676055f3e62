//! Each load: how the frame moves, and which tubes it uses.

use geometry::DVec3;
use glam::DVec2;
use review::{Review, Text};
use strength::Solved;

use super::super::labels;
use super::super::layout::{BODY, SMALL, Sheets};
use super::super::page::{Anchor, Ink, Pen};
use super::super::views::{self, Place, View};
use super::{factor, motion, percent, thick};

/// At most so many loads are drawn: those that use a tube most.
const DRAWN: usize = 24;
/// To a page.
const ROWS: usize = 3;
/// Least and greatest height of a picture, mm.
const HIGH: [f64; 2] = [32.0, 60.0];
/// Over a picture, mm, with [`ABOVE`] lines of what carries the load or is published of it.
const HEAD: f64 = 12.0;
/// See [`HEAD`]: more lines move the picture down.
const ABOVE: usize = 2;
/// Lines of words under it.
const LINES: usize = 6;
/// Where its columns begin and the last one ends, as parts of the width: the middle one has the longest words.
const COLUMNS: [f64; 4] = [0.0, 0.32, 0.7, 1.0];
const STEP: f64 = SMALL * 1.36;
/// Paper round a drawing, for what moves out of its outline and for arrows, mm.
const ROUND: f64 = 4.5;
/// Between both pictures, mm.
const GAP: f64 = 4.0;
/// Of the largest force, N, a moment, N m, smaller than this part is rounding.
const NOTHING: f64 = 1e-9;
/// The ground is drawn so much wider than what touches it, to each side, mm.
const WIDER: f64 = 6.0;
/// Longest and shortest arrow, mm.
const ARROW: [f64; 2] = [11.0, 4.0];

const DRAWN_AS: Pen = Pen::new(Ink::Grey, 0.15);
const MOVED: Pen = Pen::new(Ink::Black, 0.3);
const LOAD: Pen = Pen::new(Ink::Accent, 0.5);
const PUSH: Pen = Pen::new(Ink::Grey, 0.4);

/// The loads, in the file's order, three to a page.
pub fn pages(s: &mut Sheets, r: &Review, t: &Text) {
    let mut list: Vec<usize> = (0..r.strength.cases.len()).collect();
    let part = |k: usize| r.strength.cases[k].used.first().map_or(0.0, |u| u.stress.utilisation);
    if list.is_empty() {
        return;
    }
    list.sort_by(|&a, &b| part(b).total_cmp(&part(a)));
    let left_out = list.len().saturating_sub(DRAWN);
    list.truncate(DRAWN);
    list.sort_unstable();
    s.start(super::TITLE);
    s.heading("Load by load");
    let mut text = "Left: thin as drawn, bold as it moves, many times too large; blue arrows push as the load says, grey ones are what \
                    holds it. Right: the thicker a tube, the more of its limit it uses; numbers stand where the five most used are \
                    used most."
        .to_owned();
    if left_out > 0 {
        text += &format!(" {left_out} loads that use tubes less are not drawn.");
    }
    s.paragraph(&text, SMALL, Ink::Grey);
    let (x, y) = (s.left() + s.width() / 2.0 + GAP / 2.0, s.y + 2.6);
    thick::legend(s.page(), DVec2::new(x, y), SMALL);
    s.y += 4.0;
    let words = STEP * LINES as f64 + 4.0;
    // The last line of a page is the caution's.
    let high = ((s.bottom() - 2.0 * SMALL - s.y) / ROWS as f64 - words - HEAD).clamp(HIGH[0], HIGH[1]);
    for k in list {
        let c = &r.strength.cases[k];
        let from = published(c).unwrap_or_else(|| format!("carried by {}", c.carried));
        let above = s.faces[0].wrap(&from, SMALL, s.width());
        let head = HEAD + STEP * above.len().saturating_sub(ABOVE) as f64;
        s.need(head + high + words - 4.0);
        one(s, r, t, c, above, [head, high]);
        s.y += head + high + words;
    }
}

/// One load, with the lines under its name, and the heights over and of its pictures.
fn one(s: &mut Sheets, r: &Review, t: &Text, c: &Solved, above: Vec<String>, [head, high]: [f64; 2]) {
    let (left, right, top) = (s.left(), s.right(), s.y);
    let (says, over) = (c.verdict(), !c.over().is_empty());
    let width = s.faces[1].width(&c.name, BODY);
    s.page().text(left, top + 4.0, BODY, &*c.name).bold();
    let ink = if over { Ink::Alarm } else { Ink::Black };
    let says_wide = s.faces[1].width(&says, BODY);
    s.page().text(right, top + 4.0, BODY, &*says).bold().ink(ink).anchor(Anchor::Right);
    if over {
        super::super::cover::mark(s.page(), shape::Level::Mend, DVec2::new(right - says_wide - 5.0, top + 1.3));
    }
    let what = about(c, t);
    let what = s.faces[0].fit(&what, SMALL, right - left - width - says_wide - 12.0);
    s.page().text(left + width + 3.0, top + 4.0, SMALL, what).ink(Ink::Grey);
    for (k, line) in above.into_iter().enumerate() {
        s.page().text(left, top + 8.0 + STEP * k as f64, SMALL, line).ink(Ink::Grey);
    }
    let size = DVec2::new((s.width() - GAP) / 2.0, high);
    let at = [DVec2::new(left, top + head), DVec2::new(left + size.x + GAP, top + head)];
    let round = DVec2::splat(ROUND);
    // A car that lies is drawn as it lies.
    let view = if c.lies { View::lying(c.field) } else { View::slant() };
    let fitted = |at: DVec2, size: DVec2| views::place(r, view, at + round, size - 2.0 * round, false, false);
    let times = motion::times(r, c);
    // As far as arrows reach out of the box, the drawing shrinks.
    let first = fitted(at[0], size);
    let tails = arrows(c, &first).into_iter().map(|a| a.tail);
    let [lo, hi] = tails.fold([DVec2::INFINITY, DVec2::NEG_INFINITY], |[l, h], p| [l.min(p), h.max(p)]);
    let (low, beyond) = ((at[0] - lo).max(DVec2::ZERO), (hi - at[0] - size).max(DVec2::ZERO));
    let shrunk = |at: DVec2| fitted(at + low, (size - low - beyond).max(size / 2.0));
    moves(s, r, c, &shrunk(at[0]), times);
    uses(s, r, c, &shrunk(at[1]));
    let y = top + head + high + 2.0;
    let across = s.width();
    let column = |s: &mut Sheets, k: usize, lines: Vec<(String, String, Ink)>| {
        let (x, wide) = (left + across * COLUMNS[k], across * (COLUMNS[k + 1] - COLUMNS[k]) - 4.0);
        for (i, (what, value, ink)) in lines.into_iter().take(LINES).enumerate() {
            let y = y + STEP * (i as f64 + 1.0);
            let room = wide - s.faces[0].width(&value, SMALL) - 2.0;
            let what = s.faces[0].fit(&what, SMALL, room);
            s.page().text(x, y, SMALL, what).ink(ink);
            s.page().text(x + wide, y, SMALL, value).ink(ink).anchor(Anchor::Right);
        }
    };
    column(s, 0, way(c, t, times));
    column(s, 1, used(c, t));
    column(s, 2, held(c, t));
}

/// What pushes, in a few words.
fn about(c: &Solved, t: &Text) -> String {
    let mut out: Vec<String> = Vec::new();
    let g = c.field / strength::GRAVITY;
    if g != DVec3::ZERO {
        out.push(format!("{} g {}", trim(g.length(), 2), towards(g)));
    }
    let pushing: Vec<&strength::Act> = c.acts.iter().filter(|a| a.force != DVec3::ZERO).collect();
    match pushing.as_slice() {
        [] => {}
        [one] => out.push(format!("{} {} {}", t.force(one.force.length()), t.force_unit(), towards(one.force))),
        list => out.push(format!("{} forces, the largest {} {}", list.len(), t.force(largest(list)), t.force_unit())),
    }
    let turning: Vec<DVec3> = c.acts.iter().map(|a| a.moment).filter(|m| *m != DVec3::ZERO).collect();
    if let Some(m) = turning.iter().max_by(|a, b| a.length().total_cmp(&b.length())) {
        let unit = t.moment_unit();
        out.push(match turning.len() {
            1 => format!("a couple ({}) {unit}", three(*m, |x| t.moment(x))),
            n => format!("{n} couples, the largest {} {unit}", t.moment(m.length())),
        });
    }
    out.join(", ")
}

/// A vector's parts.
fn three(v: DVec3, one: impl Fn(f64) -> String) -> String {
    v.to_array().map(one).join(", ")
}

fn largest(list: &[&strength::Act]) -> f64 {
    list.iter().map(|a| a.force.length()).fold(0.0, f64::max)
}

fn trim(x: f64, places: usize) -> String {
    let s = format!("{x:.places$}");
    if s.contains('.') { s.trim_end_matches('0').trim_end_matches('.').to_owned() } else { s }
}

/// A direction in words where it is one of the axes, otherwise its parts.
fn towards(v: DVec3) -> String {
    let d = v.normalize_or_zero();
    for (axis, [minus, plus]) in DVec3::AXES.into_iter().zip([["back", "forward"], ["right", "left"], ["down", "up"]]) {
        let along = d.dot(axis);
        if along.abs() > 1.0 - 1e-6 {
            return if along > 0.0 { plus } else { minus }.to_owned();
        }
    }
    let part = |x: f64| trim(if x.abs() < 5e-3 { 0.0 } else { x }, 2);
    format!("along ({}, {}, {})", part(d.x), part(d.y), part(d.z))
}

fn published(c: &Solved) -> Option<String> {
    let p = c.published.as_ref()?;
    Some(format!("{}; scales with {}; accepted: {}", p.clause, p.scales, p.accepts))
}

/// The left picture.
fn moves(s: &mut Sheets, r: &Review, c: &Solved, at: &Place, times: f64) {
    if c.lies {
        ground(s, c, at);
    }
    views::sketch(s.page(), r, at, DRAWN_AS);
    for b in &r.strength.bars {
        let line: Vec<DVec2> = motion::axis(r, c, b, times).into_iter().map(|p| at.put(p)).collect();
        s.page().line(line, MOVED);
    }
    for a in arrows(c, at) {
        a.draw(s);
    }
    let p = at.put(c.moved.at + c.moved.by * times);
    s.page().circle(p, 0.9, Some(Ink::Accent), None);
}

/// The ground under a car that lies, as wide as what touches it and some more.
fn ground(s: &mut Sheets, c: &Solved, at: &Place) {
    let touching: Vec<DVec2> = c.reactions.iter().map(|x| at.put(x.at)).collect();
    let y = touching.iter().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
    let (lo, hi) = touching.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), p| (l.min(p.x), h.max(p.x)));
    if !y.is_finite() {
        return;
    }
    let (from, to) = (lo - WIDER, hi + WIDER);
    s.page().line([DVec2::new(from, y), DVec2::new(to, y)], Pen::new(Ink::Black, 0.3));
    let mut x = from + 2.0;
    while x < to {
        s.page().line([DVec2::new(x, y), DVec2::new(x - 1.4, y + 1.4)], Pen::new(Ink::Grey, 0.15));
        x += 3.0;
    }
}

/// An arrow whose tip is where a force pushes; the longer, the larger the force is.
struct Arrow {
    tip: DVec2,
    /// The same as the tip if it points at the eye, or away from it.
    tail: DVec2,
    pen: Pen,
}

/// What holds the frame, and then what the load pushes with.
fn arrows(c: &Solved, at: &Place) -> Vec<Arrow> {
    let held = c.reactions.iter().map(|x| (x.at, x.force, PUSH));
    let all: Vec<(DVec3, DVec3, Pen)> = held.chain(c.acts.iter().map(|a| (a.at, a.force, LOAD))).collect();
    let most = all.iter().map(|x| x.1.length()).fold(0.0, f64::max);
    let mut out = Vec::new();
    for (tip, force, pen) in all {
        let part = force.length() / most;
        if !part.is_finite() || part < 1e-6 {
            continue;
        }
        let (tip, flat) = (at.put(tip), at.view.flat(force));
        let seen = flat.length() / force.length();
        let long = if seen < 0.15 { 0.0 } else { ((ARROW[0] * part).max(ARROW[1]) * seen).max(2.8) };
        out.push(Arrow { tip, tail: tip - flat.normalize_or_zero() * long, pen });
    }
    out
}

impl Arrow {
    fn draw(&self, s: &mut Sheets) {
        let (p, pen) = (self.tip, self.pen);
        let Some(d) = (p - self.tail).try_normalize() else {
            s.page().circle(p, 1.1, None, Some(pen));
            s.page().circle(p, 0.4, Some(pen.ink), None);
            return;
        };
        s.page().line([self.tail, p - d * 1.2], pen);
        let (back, side) = (p - d * 2.6, d.perp() * 0.95);
        s.page().area([p, back + side, back - side], Some(pen.ink), None);
    }
}

/// The right picture.
fn uses(s: &mut Sheets, r: &Review, c: &Solved, at: &Place) {
    // Where energy is asked for, a tube may yield: shown by its yield strength.
    let limit = if c.by_energy() { 1.0 } else { c.wanted.utilisation };
    let part = |name: &str| c.used.iter().find(|u| u.tube == name).map(|u| u.stress.utilisation / limit);
    thick::frame(s.page(), r, at, &part);
    let ink = |u: f64| if u > limit { Ink::Alarm } else { Ink::Accent };
    let places: Vec<(DVec2, Ink)> = c.used.iter().take(5).map(|u| (at.put(u.at), ink(u.stress.utilisation))).collect();
    thick::numbers(s.page(), &places, false);
}

fn way(c: &Solved, t: &Text, times: f64) -> Vec<(String, String, Ink)> {
    let by = c.moved.by;
    let mut out = vec![
        ("moves most".to_owned(), t.fine(by.length()), Ink::Black),
        (c.moved.name.clone(), String::new(), Ink::Black),
    ];
    let parts = by.to_array().map(|x| t.fine_number(x));
    let drawn = format!("drawn {times:.0} times");
    out.push((format!("x {}, y {}, z {}", parts[0], parts[1], parts[2]), drawn, Ink::Grey));
    if let Some(m) = c.wanted.most {
        let over = by.length() > m;
        let ink = if over { Ink::Alarm } else { Ink::Grey };
        out.push(("limit".to_owned(), format!("{}, {}", t.fine(m), if over { "over" } else { "within" }), ink));
    }
    match &c.buckling {
        Some(b) => {
            let under = b.factor < c.wanted.buckling;
            let ink = if under { Ink::Alarm } else { Ink::Black };
            out.push((format!("buckles: {}", b.tube.0), format!("at {} times", factor(b.factor)), ink));
            let word = if under { "under" } else { "within" };
            out.push(("wanted".to_owned(), format!("{}, {word}", factor(c.wanted.buckling)), Ink::Grey));
        }
        None if c.buckling_known => {
            out.push(("nothing is pressed: can't buckle".to_owned(), String::new(), Ink::Black))
        }
        None => out.push(("buckling not checked".to_owned(), String::new(), Ink::Black)),
    }
    out
}

fn used(c: &Solved, t: &Text) -> Vec<(String, String, Ink)> {
    if !c.told() {
        return vec![("out of balance: not told".to_owned(), String::new(), Ink::Black)];
    }
    let limit = c.wanted.utilisation;
    let mut out: Vec<(String, String, Ink)> = c
        .used
        .iter()
        .take(5)
        .enumerate()
        .map(|(k, u)| {
            let over = !c.by_energy() && u.stress.utilisation > limit;
            let what = format!("{} {}, {} from its start", k + 1, u.tube, t.length(u.station));
            (what, percent(u.stress.utilisation), if over { Ink::Alarm } else { Ink::Black })
        })
        .collect();
    if !c.by_energy() {
        out.push(("limit".to_owned(), format!("{:.0} %", 100.0 * limit), Ink::Grey));
    }
    out
}

/// What holds it, the largest first.
fn held(c: &Solved, t: &Text) -> Vec<(String, String, Ink)> {
    let mut list: Vec<_> = c.reactions.iter().collect();
    list.sort_by(|a, b| b.force.length().total_cmp(&a.force.length()));
    let head = (format!("pushed back, {}", t.force_unit()), "x, y, z".to_owned(), Ink::Grey);
    let one = |name: &str, f: DVec3| (name.to_owned(), three(f, |v| t.force(v)), Ink::Black);
    // A moment is told under its force, while there is room for all.
    let most = list.iter().map(|x| x.force.length()).fold(0.0, f64::max);
    let turns = |x: &&strength::Reaction| x.moment.length() > NOTHING * most;
    let with_moments = list.len() + list.iter().filter(|x| turns(x)).count() < LINES;
    let mut out = vec![head];
    if list.len() < LINES {
        for x in &list {
            out.push(one(&x.name, x.force));
            if with_moments && turns(x) {
                let words = format!("  and turned, {}", t.moment_unit());
                out.push((words, three(x.moment, |v| t.moment(v)), Ink::Grey));
            }
        }
    } else {
        out.extend(list.iter().take(LINES - 2).map(|x| one(&x.name, x.force)));
        let rest: DVec3 = list[LINES - 2..].iter().map(|x| x.force).sum();
        out.push(one(&format!("{} more, together", list.len() - (LINES - 2)), rest));
    }
    out
}

/// A text beside a place, on paper.
pub fn beside(s: &mut Sheets, p: DVec2, text: &str, ink: Ink) {
    labels::plate(s, p + DVec2::new(2.4, 0.9), SMALL, text, Anchor::Left, ink);
}
