//! How the frame swings at its lowest natural frequencies, and how it gives way where it buckles.

use geometry::DVec3;
use glam::DVec2;
use review::Review;
use strength::{Shaped, Solved};

use super::super::layout::{BODY, SMALL, Sheets};
use super::super::page::{Ink, Pen};
use super::super::views::{self, Place, View};
use super::{factor, motion};

/// Frequencies that are drawn.
const LOWEST: usize = 3;
/// Loads whose buckling is drawn at most: those that come nearest to what they want.
const DRAWN: usize = 12;
/// Pictures side by side of frequencies, and of loads.
const ACROSS: [usize; 2] = [3, 2];
/// Between them, mm.
const GAP: f64 = 6.0;
/// Height of a picture, over it, and under it, mm.
const HIGH: f64 = 44.0;
const HEAD: f64 = 5.0;
const FOOT: f64 = 10.0;
/// Paper round a drawing for what moves out of its outline, mm.
const ROUND: f64 = 4.0;

const DRAWN_AS: Pen = Pen::new(Ink::Grey, 0.15);
const MOVED: Pen = Pen::new(Ink::Black, 0.3);
const PICKED: Pen = Pen::new(Ink::Accent, 0.8);

/// One picture.
struct Mode<'a> {
    name: String,
    value: String,
    over: bool,
    tube: &'a (String, f64),
    /// Of what the tube has that share.
    of: &'static str,
    shape: &'a [Shaped],
}

/// The lowest natural frequencies.
pub fn frequencies(s: &mut Sheets, r: &Review) {
    let list: Vec<Mode<'_>> = r
        .strength
        .vibration
        .iter()
        .take(LOWEST)
        .enumerate()
        .filter_map(|(k, v)| {
            let (name, value) = (format!("frequency {}", k + 1), format!("{:.2} Hz", v.frequency));
            let tube = v.tubes.first()?;
            Some(Mode { name, value, over: false, tube, of: "of its energy", shape: &v.shape })
        })
        .collect();
    if list.is_empty() {
        return;
    }
    s.need(HEAD + HIGH + FOOT + 24.0);
    s.heading("How it swings");
    let text = "Thin as drawn, bold as it swings, so large only to be seen: how far it really goes is not known. Blue: the tube with \
                most of the energy.";
    pictures(s, r, text, &list, ACROSS[0]);
}

/// The lowest way to buckle of each load that wants a factor, and of the load with the least.
pub fn buckling(s: &mut Sheets, r: &Review) {
    let all: Vec<(&Solved, &strength::Buckles)> =
        r.strength.cases.iter().filter_map(|c| Some((c, c.buckling.as_ref()?))).collect();
    let least = all.iter().map(|x| x.1.factor).fold(f64::INFINITY, f64::min);
    let mut chosen: Vec<usize> =
        (0..all.len()).filter(|&k| all[k].0.wanted.buckling > 0.0 || all[k].1.factor == least).collect();
    // The worst of those that want a factor first; one that wants none, by its factor alone.
    let room = |k: &usize| {
        let (c, b) = all[*k];
        if c.wanted.buckling > 0.0 { b.factor / c.wanted.buckling } else { b.factor }
    };
    chosen.sort_by(|a, b| room(a).total_cmp(&room(b)));
    let left_out = chosen.len().saturating_sub(DRAWN);
    chosen.truncate(DRAWN);
    chosen.sort_unstable();
    let list: Vec<Mode<'_>> = chosen
        .into_iter()
        .map(|k| {
            let (c, b) = all[k];
            let under = b.factor < c.wanted.buckling;
            let wanted = match c.wanted.buckling {
                0.0 => String::new(),
                w => format!(", {} wanted: {}", factor(w), if under { "under" } else { "within" }),
            };
            let value = format!("buckles at {} times the load{wanted}", factor(b.factor));
            Mode { name: c.name.clone(), value, over: under, tube: &b.tube, of: "of the bending", shape: &b.shape }
        })
        .collect();
    if list.is_empty() {
        return;
    }
    s.start(super::TITLE);
    s.heading("How it buckles");
    let mut text = "The first way to give way if each load grows, with what it must be multiplied with. Thin as drawn, bold as it \
                    buckles, so large only to be seen. Blue: the tube that bends most. A straight, elastic frame: one as welded \
                    gives way sooner."
        .to_owned();
    if left_out > 0 {
        text += &format!(" {left_out} loads farther from buckling are not drawn.");
    }
    pictures(s, r, &text, &list, ACROSS[1]);
}

fn pictures(s: &mut Sheets, r: &Review, text: &str, list: &[Mode<'_>], across: usize) {
    s.paragraph(text, SMALL, Ink::Grey);
    s.y += 2.0;
    let wide = (s.width() - GAP * (across - 1) as f64) / across as f64;
    for row in list.chunks(across) {
        // The last line of a page is the caution's.
        s.need(HEAD + HIGH + FOOT + 2.0 * SMALL);
        let top = s.y;
        for (k, m) in row.iter().enumerate() {
            one(s, r, m, DVec2::new(s.left() + (wide + GAP) * k as f64, top), wide);
        }
        s.y = top + HEAD + HIGH + FOOT;
    }
}

fn one(s: &mut Sheets, r: &Review, m: &Mode<'_>, at: DVec2, wide: f64) {
    let ink = if m.over { Ink::Alarm } else { Ink::Black };
    let name = s.faces[1].fit(&m.name, BODY, wide);
    s.page().text(at.x, at.y + 3.5, BODY, name).bold();
    let round = DVec2::splat(ROUND);
    let from = at + DVec2::new(0.0, HEAD) + round;
    let place = views::place(r, View::slant(), from, DVec2::new(wide, HIGH) - 2.0 * round, false, false);
    views::sketch(s.page(), r, &place, DRAWN_AS);
    let times = motion::shown(r, most(m.shape));
    let picked = |p: &&Shaped| r.shape.tubes[p.tube].name == m.tube.0;
    // The picked tube last, so that no thin line runs over it.
    for p in m.shape.iter().filter(|p| !picked(p)) {
        draw(s, p, &place, times, MOVED);
    }
    for p in m.shape.iter().filter(picked) {
        draw(s, p, &place, times, PICKED);
    }
    let under = at.y + HEAD + HIGH;
    s.page().text(at.x, under + 1.5, SMALL, &*m.value).ink(ink);
    let words = format!("{}: {:.0} % {}", m.tube.0, 100.0 * m.tube.1, m.of);
    let words = s.faces[0].fit(&words, SMALL, wide);
    s.page().text(at.x, under + 1.5 + SMALL * 1.36, SMALL, words).ink(Ink::Accent);
}

/// The largest motion of an end.
fn most(shape: &[Shaped]) -> f64 {
    shape.iter().flat_map(|p| p.by).map(DVec3::length).fold(0.0, f64::max)
}

fn draw(s: &mut Sheets, p: &Shaped, at: &Place, times: f64, pen: Pen) {
    let line: Vec<DVec2> = motion::part(p, times).into_iter().map(|q| at.put(q)).collect();
    s.page().line(line, pen);
}
