//! What tells that a page was printed at its true size: rules, and the square to measure first.

use glam::DVec2;

use super::super::layout::{SMALL, Sheets};
use super::super::page::{Ink, LINE};
use super::{RULES, SQUARE};

/// Begins another page, with its rules, if less than `height` is left above them.
pub fn need(s: &mut Sheets, title: &str, height: f64) {
    if s.y + height > s.bottom() - RULES {
        s.start(title);
        rules(s);
    }
}

/// 100 mm across and up, so that every page can be measured, and 4 in across.
pub fn rules(s: &mut Sheets) {
    let (x, right, y) = (s.left(), s.right(), s.bottom() - 1.0);
    let page = s.page();
    let (low, high) = (DVec2::new(x, y), DVec2::new(right, y - SQUARE));
    page.line([low, low + DVec2::new(SQUARE, 0.0)], LINE);
    page.line([high, high + DVec2::new(0.0, SQUARE)], LINE);
    for k in 0..=10 {
        let d = k as f64 * SQUARE / 10.0;
        let l = if k % 5 == 0 { 2.4 } else { 1.4 };
        page.line([DVec2::new(x + d, y), DVec2::new(x + d, y - l)], LINE);
        page.line([DVec2::new(right, y - d), DVec2::new(right - l, y - d)], LINE);
    }
    let inches = y - 4.6;
    page.line([DVec2::new(x, inches), DVec2::new(x + 4.0 * 25.4, inches)], LINE);
    for k in 0..=4 {
        let d = f64::from(k) * 25.4;
        page.line([DVec2::new(x + d, inches), DVec2::new(x + d, inches - 2.0)], LINE);
    }
    page.text(x + 4.0 * 25.4 + 2.0, inches + 0.6, SMALL, "4 in").ink(Ink::Grey);
    page.text(x + SQUARE + 3.4, y + 0.6, SMALL, "100 mm, and up the right: print at 100 %, measure this first");
}

/// The square that must measure right before anything is cut.
pub fn calibration(s: &mut Sheets) {
    let (x, y) = (s.left(), s.y + 2.0);
    let page = s.page();
    page.rect(DVec2::new(x, y), DVec2::splat(SQUARE), None, Some(LINE));
    for k in 1..10 {
        let d = k as f64 * 10.0;
        let l = if k == 5 { 4.0 } else { 2.0 };
        page.line([DVec2::new(x + d, y), DVec2::new(x + d, y + l)], LINE);
        page.line([DVec2::new(x, y + d), DVec2::new(x + l, y + d)], LINE);
    }
    // Four inches along the bottom.
    let four = 101.6;
    page.line([DVec2::new(x, y + SQUARE + 3.0), DVec2::new(x + four, y + SQUARE + 3.0)], LINE);
    for k in 0..=4 {
        let d = k as f64 * 25.4;
        page.line([DVec2::new(x + d, y + SQUARE + 1.5), DVec2::new(x + d, y + SQUARE + 4.5)], LINE);
    }
    page.text(x + 8.0, y + 40.0, 4.6, "Measure this first").bold();
    page.text(x + 8.0, y + 47.0, 3.2, "The square is 100 mm wide and 100 mm high.");
    page.text(x + 8.0, y + 52.0, 3.2, "The rule below it is 4 in long.");
    page.text(x + 8.0, y + 57.0, 3.2, "If not: print again at 100 %, not fitted to the page.");
    let (tx, w) = (x + SQUARE + 8.0, s.right() - x - SQUARE - 8.0);
    let words = [
        "Cut the template out along the bold line and wrap it round the outside of the tube, print outward, the arrow \
         pointing out of the tube. The two blue edges meet on the tube's scribe line. Tape it, then draw along the bold \
         edge. The paper stays on the piece, the tube beyond the edge goes.",
        "Cut the tube square to its wall along the bold line. The dashed line is where the outside would end if the \
         cut followed the other tube's surface through the wall: grind down to it outside after the cut, if the weld \
         wants it.",
        "Box tube: right, bottom and left name the middles of its faces as seen from start to end, the scribe line being \
         on top; short ticks show where the flats end.",
        "90, 180, 270: the turn from the scribe line, clockwise looking from start to end. On paper it rises to the right \
         at an end, to the left at a start.",
        "Every page that follows has 100 mm rules across and up: measure both on each.",
        "Where a tube is wider round than the page, its parts overlap by 10 mm: lay the dashed edges on the thin lines.",
        "Paper of 0.1 mm leaves a gap of about 0.3 mm where its edges should meet on a round tube: share it out.",
    ];
    let mut yy = y;
    for text in words {
        for l in s.faces[0].wrap(text, 3.2, w) {
            yy += 4.4;
            s.page().text(tx, yy, 3.2, l);
        }
        yy += 2.0;
    }
    s.y = (y + SQUARE + 10.0).max(yy + 4.0);
}
