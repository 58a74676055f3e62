//! Small drawings of one piece: from the side, and its ends as one faces them.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use cutting::{EndCut, Piece};
use geometry::Outline;
use glam::DVec2;
use shape::{End, Tube};

use super::layout::SMALL;
use super::page::{Anchor, BOLD, Ink, LINE, Page, Pen, THIN};

/// Points of a cross-section's outline.
const RING: usize = 96;

const SCRIBE: Pen = Pen::new(Ink::Accent, 0.3);

/// Where a set-up turns the tube to, as the sketch of an end shows it.
#[derive(Clone, Copy)]
pub struct Direction {
    /// Number of the set-up, from 1.
    pub number: usize,
    /// From the scribe line, rad.
    pub turn: f64,
    /// Whether it is the short side; otherwise the saw's axis, which comes twice round the tube.
    pub short: bool,
}

/// Directions nearer than this share a label, rad.
const TOGETHER: f64 = 0.45;

/// The end as one faces it: scribe line, and where each of its set-ups turns to. Turns run clockwise at a start, and
/// anticlockwise at an end, which is looked at against its tube's direction.
pub fn end_on(page: &mut Page, tube: &Tube, end: End, setups: usize, to: &[Direction], c: DVec2) {
    let r = 8.0;
    // Up on the page is the scribe line.
    let sense = if end == End::Start { 1.0 } else { -1.0 };
    let at = |turn: f64, d: f64| c + DVec2::new(sense * turn.sin(), -turn.cos()) * d;
    let k = r / tube.outline.reach();
    for (outline, pen) in [(&tube.outline, LINE), (&tube.bore, THIN)] {
        let around = outline.perimeter();
        let points: Vec<DVec2> = (0..RING)
            .map(|i| outline.point(outline.station(around * i as f64 / RING as f64)) * k)
            .map(|q| c + DVec2::new(sense * q.y, -q.x))
            .collect();
        page.area(points, None, Some(pen));
    }
    let edge = |turn: f64| {
        let dir = DVec2::new(turn.cos(), turn.sin());
        (0..RING)
            .map(|i| tube.outline.point(tube.outline.station(tube.outline.perimeter() * i as f64 / RING as f64)) * k)
            .map(|q| q.dot(dir))
            .fold(0.0, f64::max)
    };
    page.line([at(0.0, r - 1.5), at(0.0, r + 3.0)], Pen::new(Ink::Accent, 0.6));
    page.text(c.x, c.y - r - 4.0, SMALL, "scribe").ink(Ink::Accent).anchor(Anchor::Middle);
    // Clear of what may be written below.
    let low = |d: &&Direction| d.turn.cos() < -0.5 || (!d.short && d.turn.cos() > 0.5);
    let below = if to.iter().any(|d| low(&d)) { 9.6 } else { 5.0 };
    let words = format!("as you face the {}", end.word());
    page.text(c.x, c.y + r + below, 2.3, words).ink(Ink::Grey).anchor(Anchor::Middle);
    // Which side is which, where no other word stands.
    let names = match tube.outline {
        Outline::Circle { .. } => ["90", "270"],
        Outline::RoundRect { .. } => ["right", "left"],
    };
    for (turn, name) in [FRAC_PI_2, 3.0 * FRAC_PI_2].into_iter().zip(names) {
        let near = |d: &Direction| {
            let off = (d.turn - turn).cos();
            off > 0.6 || (!d.short && off < -0.6)
        };
        page.line([at(turn, edge(turn)), at(turn, edge(turn) + 1.2)], THIN);
        if !to.iter().any(near) {
            let q = at(turn, edge(turn) + 2.0) + DVec2::new(0.0, 0.8);
            page.text(q.x, q.y, 2.3, name).ink(Ink::Grey).anchor(beside(sense * turn.sin()));
        }
    }
    // The way that turns rise: up to the one there is, or a little way round.
    let first = to.first().map_or(0.0, |d| d.turn);
    let until = if to.len() == 1 { first } else { 1.2 };
    if until > 0.2 && !to.is_empty() {
        let n = (until / TAU * 60.0).ceil().max(2.0) as usize;
        let arc: Vec<DVec2> = (0..=n).map(|k| at(until * k as f64 / n as f64, r * 0.55)).collect();
        if let [.., before, tip] = arc[..] {
            let d = (tip - before).normalize_or_zero() * 1.3;
            page.line([tip - d + d.perp() * 0.5, tip, tip - d - d.perp() * 0.5], THIN);
        }
        page.line(arc, THIN);
    }
    let mut left: Vec<Direction> = to.to_vec();
    while !left.is_empty() {
        let one = left[0];
        let (group, rest) = left.into_iter().partition::<Vec<_>, _>(|d| (d.turn - one.turn).cos() > TOGETHER.cos());
        left = rest;
        for d in &group {
            page.line([c, at(d.turn, r + 3.0)], BOLD);
            if !d.short {
                page.line([c, at(d.turn + PI, r + 3.0)], BOLD);
            }
        }
        let word = match (setups, one.short) {
            (1, true) => "short".to_owned(),
            (1, false) => "saw".to_owned(),
            _ => group.iter().map(|d| d.number.to_string()).collect::<Vec<_>>().join(", "),
        };
        let x = sense * one.turn.sin();
        // Near the scribe line the word stands beside the line, clear of the other word.
        let (tip, anchor) = if one.turn.cos() > 0.8 {
            let out = if x < -1e-9 { -1.0 } else { 1.0 };
            (at(one.turn, r + 1.5) + DVec2::new(out * 1.5, 0.0), beside(out))
        } else {
            (at(one.turn, r + 4.0) + DVec2::new(0.0, if one.turn.cos() < -0.5 { 1.2 } else { 0.6 }), beside(x))
        };
        page.text(tip.x, tip.y, SMALL, word).bold().anchor(anchor);
    }
}

/// How a word is anchored beside a drawing: to the right of it, to the left, or over it.
fn beside(x: f64) -> Anchor {
    match x {
        x if x > 0.5 => Anchor::Left,
        x if x < -0.5 => Anchor::Right,
        _ => Anchor::Middle,
    }
}

/// The piece from the side, its two ends to one scale and its middle left out if it is long.
pub fn side(page: &mut Page, p: &Piece, tube: &Tube, at: DVec2, size: DVec2) {
    // Along the page the tube's length, up the page its scribe line: fibres from 90 to 270 degrees are seen.
    let od = tube.outline.reach() * 2.0;
    let reach = |e: &EndCut| (e.profile.long - e.profile.short).max(od * 0.3);
    let scale = (size.y / (od * 1.9)).min(size.x * 0.36 / reach(&p.ends[0]).max(reach(&p.ends[1])) / 1.6);
    let mid = at.y + size.y / 2.0;
    let edge = |e: &EndCut, x: f64, sign: f64| -> Vec<DVec2> {
        let seen = |f: &cutting::Fibre| {
            let q = tube.outline.point(tube.outline.station(f.round));
            let s = f.outer.max(f.inner) - e.profile.long;
            (q, DVec2::new(x + sign * s * scale, mid - q.x * scale))
        };
        // The near half (v towards the reader) from top to bottom.
        let mut near: Vec<(DVec2, DVec2)> = e.profile.fibres.iter().map(seen).filter(|f| f.0.y >= -1e-12).collect();
        near.sort_by(|a, b| b.0.x.total_cmp(&a.0.x));
        near.into_iter().map(|f| f.1).collect()
    };
    let far = |e: &EndCut, x: f64, sign: f64| -> Vec<DVec2> {
        let mut list: Vec<(f64, DVec2)> = e
            .profile
            .fibres
            .iter()
            .filter_map(|f| {
                let q = tube.outline.point(tube.outline.station(f.round));
                let s = f.outer.max(f.inner) - e.profile.long;
                (q.y <= 1e-12).then_some((q.x, DVec2::new(x + sign * s * scale, mid - q.x * scale)))
            })
            .collect();
        list.sort_by(|a, b| b.0.total_cmp(&a.0));
        list.into_iter().map(|f| f.1).collect()
    };
    let (x0, x1) = (at.x + 4.0, at.x + size.x - 4.0);
    let (a, b) = (edge(&p.ends[0], x0, -1.0), edge(&p.ends[1], x1, 1.0));
    let mut body = a.clone();
    body.extend(b.iter().rev());
    page.area(body, Some(Ink::Tint), None);
    page.line(far(&p.ends[0], x0, -1.0), THIN);
    page.line(far(&p.ends[1], x1, 1.0), THIN);
    let gap = 5.0;
    let middle = 0.5 * (x0 + x1);
    for pick in [0usize, 1] {
        let get = |v: &Vec<DVec2>| if pick == 0 { v.first().copied() } else { v.last().copied() };
        if let (Some(l), Some(r)) = (get(&a), get(&b)) {
            page.line([l, DVec2::new(middle - gap, l.y)], BOLD);
            page.line([DVec2::new(middle + gap, r.y), r], BOLD);
        }
    }
    page.line(a, BOLD);
    page.line(b, BOLD);
    // The middle left out.
    for x in [middle - gap, middle + gap] {
        let h = od * scale / 2.0;
        let wave: Vec<DVec2> = (0..=12)
            .map(|k| k as f64 / 12.0)
            .map(|f| DVec2::new(x + 1.0 * (f * TAU).sin(), mid - h + 2.0 * h * f))
            .collect();
        page.line(wave, THIN);
    }
    page.rect(
        DVec2::new(middle - gap + 1.2, mid - od * scale / 2.0 - 0.5),
        DVec2::new(2.0 * gap - 2.4, od * scale + 1.0),
        Some(Ink::Paper),
        None,
    );
    // The scribe line stands on top.
    let line = |e: &EndCut, x: f64, sign: f64| {
        let f = &e.profile.fibres[0];
        let q = tube.outline.point(tube.outline.station(0.0));
        DVec2::new(x + sign * (f.outer - e.profile.long) * scale, mid - q.x * scale)
    };
    page.line([line(&p.ends[0], x0, -1.0), DVec2::new(middle - gap, line(&p.ends[0], x0, -1.0).y)], SCRIBE);
    page.line([DVec2::new(middle + gap, line(&p.ends[1], x1, 1.0).y), line(&p.ends[1], x1, 1.0)], SCRIBE);
    page.text(middle, mid - od * scale / 2.0 - 1.2, SMALL, "scribe line").ink(Ink::Accent).anchor(Anchor::Middle);
    let y = mid + od * scale / 2.0 + 4.0;
    page.text(x0, y, SMALL, "start").ink(Ink::Grey);
    page.text(x1, y, SMALL, "end").ink(Ink::Grey).anchor(Anchor::Right);
    let near = match tube.outline {
        Outline::Circle { .. } => "seen from 90°",
        Outline::RoundRect { .. } => "seen from the right",
    };
    page.text(middle, y, SMALL, near).ink(Ink::Grey).anchor(Anchor::Middle);
}
