//! What is bent, drawn: the blank with its marks, and the shape that comes of it.

use cutting::{BendPlan, Piece, WorkFrom};
use geometry::DVec3;
use glam::DVec2;
use review::Text;
use shape::Tube;

use super::layout::{BODY, SMALL, Sheets};
use super::page::{Anchor, Ink, LINE, Pen, RULE, THIN};

/// Height of both drawings, mm.
const HEIGHT: f64 = 58.0;
/// Height of the bent shape, mm.
const SHAPE: f64 = 34.0;

/// Height of a bend's row, mm.
const ROW: f64 = 5.0;
/// Height of a line of words, mm.
const STEP: f64 = 4.3;

/// What is said over the table, in lines.
pub fn words(s: &Sheets, b: &BendPlan, t: &Text) -> Vec<String> {
    let (from, to) = ends(b);
    let die = b.die.as_deref().map_or(String::new(), |d| format!(" on die {d}"));
    let extra = match b.grip_extra > 0.0 {
        true => format!("; the first {} are for the clamp, cut them off afterwards", t.length_unit(b.grip_extra)),
        false => String::new(),
    };
    let radius = b.bends.first().map_or(String::new(), |x| format!(", centreline radius {}", t.fine(x.radius)));
    let text = format!(
        "Bend{die}{radius}. The {from} goes into the clamp first. Marks are all from the blank's {from}{extra}. After the \
         last bend {} stay straight to the {to} point. cw and ccw: clockwise and anticlockwise, looking from the {from} \
         along the tube.",
        t.length_unit(b.last_straight)
    );
    s.faces[0].wrap(&text, BODY, s.width())
}

/// Height of all that is drawn here, mm.
pub fn height(b: &BendPlan, words: &[String]) -> f64 {
    6.0 + STEP * words.len() as f64 + ROW * b.bends.len() as f64 + HEIGHT
}

/// The words, the table, both drawings.
pub fn draw(s: &mut Sheets, p: &Piece, tube: &Tube, b: &BendPlan, words: &[String], t: &Text) {
    for line in words {
        s.y += STEP;
        let (x, y) = (s.left(), s.y - 1.3);
        s.page().text(x, y, BODY, line.clone());
    }
    table(s, b, t);
    s.need(HEIGHT);
    blank(s, p, b, t);
    bent(s, tube, b);
    s.y += HEIGHT + 2.0;
}

/// The end in the clamp and the other one.
fn ends(b: &BendPlan) -> (&'static str, &'static str) {
    match b.from {
        WorkFrom::Start => ("start", "end"),
        WorkFrom::End => ("end", "start"),
    }
}

/// Columns and their shares of the width: lengths have their decimals beside them if there are any.
const COLUMNS: [(&str, f64); 8] = [
    ("bend", 0.045),
    ("mark", 0.19),
    ("straight before", 0.115),
    ("turn the tube", 0.12),
    ("angle", 0.08),
    ("set", 0.12),
    ("scribe line is", 0.2),
    ("wall out / in", 0.13),
];

fn table(s: &mut Sheets, b: &BendPlan, t: &Text) {
    let (left, width) = (s.left(), s.width());
    let x = |k: usize| left + COLUMNS[..k].iter().map(|c| c.1).sum::<f64>() * width;
    s.y += 4.0;
    let y = s.y;
    for (k, c) in COLUMNS.iter().enumerate() {
        s.page().text(x(k), y, SMALL, c.0).ink(Ink::Grey);
    }
    for (i, bend) in b.bends.iter().enumerate() {
        s.need(ROW);
        s.y += ROW;
        let y = s.y;
        let set = bend
            .setting
            .map_or("-".to_owned(), |v| format!("{}{}", t.angle(v.set), if v.extrapolated { " guess" } else { "" }));
        // Turns of the plan run clockwise from start to end; here they are seen along the feed.
        let sense = if b.from == WorkFrom::Start { 1.0 } else { -1.0 };
        let side = match t.handed(-sense * bend.outside).as_str() {
            "0°" => "outside".to_owned(),
            "180°" => "inside".to_owned(),
            side => format!("{side} of outside"),
        };
        let straight = if i == 0 { bend.start } else { bend.straight };
        let cells = [
            (i + 1).to_string(),
            t.cut(bend.mark),
            t.length(straight),
            // The bender's plane stays: to have the next bend on the tube's other side the tube is turned back to it.
            if i == 0 { "-".into() } else { t.handed(-bend.rotation) },
            t.angle(bend.angle),
            set,
            side,
            format!("{} / {}", t.fine_number(bend.walls[0]), t.fine_number(bend.walls[1])),
        ];
        for (k, c) in cells.into_iter().enumerate() {
            let strong = matches!(k, 1 | 3 | 4 | 5);
            let c = s.faces[usize::from(strong)].fit(&c, BODY, COLUMNS[k].1 * width - 1.0);
            s.page().text(x(k), y, BODY, c).bold = strong;
        }
    }
}

/// The blank before bending, its working end to the left: the stretch that each bend takes is tinted, each mark is a
/// full line.
fn blank(s: &mut Sheets, p: &Piece, b: &BendPlan, t: &Text) {
    let (x, y, w, h) = (s.left(), s.y + 9.0, s.width(), 5.0);
    let scale = w / p.lengths.blank;
    let (from, to) = ends(b);
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
