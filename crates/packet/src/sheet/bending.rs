//! What is bent, drawn: the blank with its marks, and the shape that comes of it.

use cutting::{BendPlan, Piece, WorkFrom};
use geometry::DVec3;
use glam::DVec2;
use review::Text;
use shape::Tube;

use super::layout::{SMALL, Sheets};
use super::page::{Anchor, Ink, LINE, Pen, RULE, THIN};

/// Height of both drawings, mm.
pub const HEIGHT: f64 = 58.0;
/// Height of the bent shape, mm.
const SHAPE: f64 = 34.0;

/// Draws them at the place in hand.
pub fn draw(s: &mut Sheets, p: &Piece, tube: &Tube, b: &BendPlan, t: &Text) {
    s.need(HEIGHT);
    blank(s, p, b, t);
    bent(s, tube, b);
    s.y += HEIGHT;
}

/// The blank before bending, its working end to the left: the stretch that each bend takes is tinted, each mark is a
/// full line.
fn blank(s: &mut Sheets, p: &Piece, b: &BendPlan, t: &Text) {
    let (x, y, w, h) = (s.left(), s.y + 9.0, s.width(), 5.0);
    let scale = w / p.lengths.blank;
    let (from, to) = match b.from {
        WorkFrom::Start => ("start", "end"),
        WorkFrom::End => ("end", "start"),
    };
    let at = |m: f64| x + m * scale;
    for bend in &b.bends {
        s.page().rect(DVec2::new(at(bend.start), y), DVec2::new(bend.arc * scale, h), Some(Ink::Tint), Some(RULE));
    }
    s.page().rect(DVec2::new(x, y), DVec2::new(w, h), None, Some(LINE));
    if b.grip_extra > 0.0 {
        let cut = at(b.grip_extra);
        s.page().line([DVec2::new(cut, y - 1.5), DVec2::new(cut, y + h + 1.5)], Pen::new(Ink::Alarm, 0.3).dashed(1.0));
    }
    let under = y + h + 3.6;
    let first = format!("{from}, into the clamp");
    let mut free = x + s.faces[0].width(&first, SMALL) + 2.0;
    let last = x + w - s.faces[0].width(to, SMALL) - 2.0;
    s.page().text(x, under, SMALL, first).ink(Ink::Grey);
    s.page().text(x + w, under, SMALL, to).ink(Ink::Grey).anchor(Anchor::Right);
    let mut over = x;
    for (k, bend) in b.bends.iter().enumerate() {
        let m = at(bend.mark);
        s.page().line([DVec2::new(m, y - 2.0), DVec2::new(m, y + h)], Pen::new(Ink::Accent, 0.4));
        // Numbers over the marks, lengths under them, each only where it has room: the table has them all.
        let number = (k + 1).to_string();
        let wide = s.faces[1].width(&number, SMALL) / 2.0;
        if m - wide > over {
            over = m + wide + 1.0;
            s.page().text(m, y - 2.8, SMALL, number).bold().anchor(Anchor::Middle);
        }
        let length = t.length(bend.mark);
        let wide = s.faces[0].width(&length, SMALL) / 2.0;
        if m - wide > free && m + wide < last {
            free = m + wide + 1.5;
            s.page().text(m, under, SMALL, length).anchor(Anchor::Middle);
        }
    }
}

/// The bent piece, seen so that its two ends lie level and its farthest corner stands up.
fn bent(s: &mut Sheets, tube: &Tube, b: &BendPlan) {
    let corners = &b.corners;
    let Some((first, last)) = corners.first().zip(corners.last()) else { return };
    // Ends at the same place leave the direction open: the first leg's will do.
    let right = (*last - *first).try_normalize().unwrap_or_else(|| tube.chain.first_tangent());
    let off = |c: &DVec3| {
        let d = *c - *first;
        d - right * d.dot(right)
    };
    let far = corners.iter().map(off).max_by(|a, b| a.length().total_cmp(&b.length())).unwrap_or(DVec3::ZERO);
    let Some(up) = far.try_normalize() else { return };
    let flat = |p: DVec3| DVec2::new((p - *first).dot(right), -(p - *first).dot(up));
    let n = 240;
    let line: Vec<DVec2> = (0..=n).map(|k| flat(tube.chain.point(tube.chain.length() * k as f64 / n as f64))).collect();
    let r = tube.outline.reach();
    let (lo, hi) = line.iter().fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |a, q| (a.0.min(*q - r), a.1.max(*q + r)));
    let span = hi - lo;
    let scale = ((s.width() - 20.0) / span.x).min((SHAPE - 6.0) / span.y);
    let middle = DVec2::new(s.left() + s.width() / 2.0, s.y + HEIGHT - SHAPE / 2.0 - 1.0);
    let put = |q: DVec2| middle + (q - (lo + hi) / 2.0) * scale;
    let line: Vec<DVec2> = line.into_iter().map(put).collect();
    let width = 2.0 * r * scale;
    let page = s.page();
    page.line(line.clone(), Pen::new(Ink::Black, width.max(0.6)));
    if width > 0.9 {
        page.line(line, Pen::new(Ink::Paper, width - 0.4));
    }
    // Corners, where the straight legs would meet, with the bends' numbers beside them.
    let corners: Vec<DVec2> = corners.iter().map(|c| put(flat(*c))).collect();
    page.line(corners.clone(), THIN.dashed(0.8));
    let mut taken: Vec<DVec2> = Vec::new();
    for (k, c) in corners.iter().enumerate().skip(1).take(b.bends.len()) {
        let away = (*c - middle).normalize_or_zero() * 3.4;
        let at = *c + away + DVec2::new(0.0, 0.9);
        if taken.iter().all(|q| q.distance(at) > 5.0) {
            taken.push(at);
            page.text(at.x, at.y, SMALL, k.to_string()).bold().anchor(Anchor::Middle);
        }
    }
}
