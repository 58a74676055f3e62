//! Labels that keep clear of one another.

use glam::DVec2;

use super::layout::Sheets;
use super::page::{Anchor, Ink, Pen};

/// Between two labels of a row, mm.
const GAP: f64 = 3.0;

/// A label and the place that it is about.
pub struct Label {
    /// The place, mm.
    pub of: DVec2,
    /// The words.
    pub text: String,
    /// Colour of the words and of the line to the place.
    pub ink: Ink,
}

/// Sets labels in a row, their middles as near to the places that they are about as they have room, and joins each to its place
/// with a thin line. `y` is the row's base line; the lines end at `top`. Those that find no room are left out, the last first.
pub fn row(s: &mut Sheets, mut list: Vec<Label>, size: f64, (top, y): (f64, f64), (left, right): (f64, f64)) {
    let width = |s: &Sheets, l: &Label| s.faces[0].width(&l.text, size);
    let all = |s: &Sheets, list: &[Label]| list.iter().map(|l| width(s, l) + GAP).sum::<f64>() - GAP;
    while !list.is_empty() && all(s, &list) > right - left {
        list.pop();
    }
    list.sort_by(|a, b| a.of.x.total_cmp(&b.of.x));
    let widths: Vec<f64> = list.iter().map(|l| width(s, l)).collect();
    let mut at: Vec<f64> = list.iter().map(|l| l.of.x).collect();
    let mut edge = left;
    for (x, w) in at.iter_mut().zip(&widths) {
        *x = x.max(edge + w / 2.0);
        edge = *x + w / 2.0 + GAP;
    }
    let mut edge = right;
    for (x, w) in at.iter_mut().zip(&widths).rev() {
        *x = x.min(edge - w / 2.0);
        edge = *x - w / 2.0 - GAP;
    }
    for (l, x) in list.into_iter().zip(at) {
        let page = s.page();
        page.line([l.of, DVec2::new(l.of.x, top), DVec2::new(x, y - 0.85 * size)], Pen::new(l.ink, 0.15));
        plate(s, DVec2::new(x, y), size, &l.text, Anchor::Middle, l.ink);
    }
}

/// A text on bare paper, so that lines behind it do not run through it.
pub fn plate(s: &mut Sheets, at: DVec2, size: f64, text: &str, anchor: Anchor, ink: Ink) {
    let w = s.faces[0].width(text, size);
    let x = match anchor {
        Anchor::Left => at.x,
        Anchor::Middle => at.x - w / 2.0,
        Anchor::Right => at.x - w,
    };
    let page = s.page();
    let low = DVec2::new(x - 0.5, at.y - 0.85 * size);
    page.rect(low, DVec2::new(w + 1.0, 1.15 * size), Some(Ink::Paper), None);
    page.text(at.x, at.y, size, text).anchor(anchor).ink(ink);
}

/// A caution on every page from one on: between what stands on it and its foot.
pub fn caution(s: &mut Sheets, from: usize, text: &str) {
    use super::layout::{MARGIN, SMALL};
    for k in from..s.pages.len() {
        let room = s.pages[k].width - 2.0 * MARGIN;
        let line = s.faces[0].fit(text, SMALL, room);
        let y = s.pages[k].height - MARGIN - 4.2;
        s.pages[k].text(MARGIN, y, SMALL, line);
    }
}
