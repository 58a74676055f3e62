//! Small drawings of one piece: from the side, and its ends as they are seen from start to end.

use std::f64::consts::TAU;

use cutting::{EndCut, Piece, SetUp};
use glam::DVec2;
use shape::Tube;

use super::layout::SMALL;
use super::page::{Anchor, BOLD, Ink, LINE, Page, Pen, THIN};

/// Points of a cross-section's outline.
const RING: usize = 96;

const SCRIBE: Pen = Pen::new(Ink::Accent, 0.3);

/// The end seen looking from start to end: scribe line and short side.
pub fn end_on(page: &mut Page, tube: &Tube, e: &EndCut, c: DVec2) {
    let r = 8.0;
    // Looking along the tube, angles run clockwise; up on the page is the scribe line.
    let at = |turn: f64, d: f64| c + DVec2::new(turn.sin(), -turn.cos()) * d;
    let k = r / tube.outline.reach();
    for (outline, pen) in [(&tube.outline, LINE), (&tube.bore, THIN)] {
        let around = outline.perimeter();
        let points: Vec<DVec2> = (0..RING)
            .map(|i| outline.point(outline.station(around * i as f64 / RING as f64)) * k)
            .map(|q| c + DVec2::new(q.y, -q.x))
            .collect();
        page.area(points, None, Some(pen));
    }
    page.line([at(0.0, r - 1.5), at(0.0, r + 3.0)], Pen::new(Ink::Accent, 0.6));
    page.text(c.x, c.y - r - 4.0, SMALL, "scribe").ink(Ink::Accent).anchor(Anchor::Middle);
    let turn = e.setups.iter().find_map(|s| match s {
        SetUp::Saw { angle, turn, .. } if *angle > 1e-4 => Some((*turn, true)),
        SetUp::HoleSaw { turn, angle, .. } => Some((*turn, *angle > 1e-3)),
        _ => None,
    });
    // Clear of what may be written below.
    let below = if turn.is_some_and(|(a, one)| a.cos() < -0.5 || !one) { 9.6 } else { 5.0 };
    page.text(c.x, c.y + r + below, 2.3, "looking from start to end").ink(Ink::Grey).anchor(Anchor::Middle);
    if let Some((turn, one)) = turn {
        // The arc of the turn, from the scribe line.
        let n = (turn / TAU * 60.0).ceil().max(1.0) as usize;
        let arc: Vec<DVec2> = (0..=n).map(|k| at(turn * k as f64 / n as f64, r * 0.55)).collect();
        if let [.., before, tip] = arc[..]
            && turn > 0.2
        {
            let d = (tip - before).normalize_or_zero() * 1.3;
            page.line([tip - d + d.perp() * 0.5, tip, tip - d - d.perp() * 0.5], THIN);
        }
        page.line(arc, THIN);
        page.line([c, at(turn, r + 3.0)], BOLD);
        let tip = at(turn, r + 4.0);
        let word = if one { "short" } else { "saw" };
        let anchor = if turn.sin() > 0.5 {
            Anchor::Left
        } else if turn.sin() < -0.5 {
            Anchor::Right
        } else {
            Anchor::Middle
        };
        // Near the scribe line the word stands beside the line, clear of the other word.
        let (tip, anchor) = if turn.cos() > 0.8 {
            let side = if turn.sin() < -1e-9 { -1.0 } else { 1.0 };
            (at(turn, r + 1.5) + DVec2::new(side * 1.5, 0.0), if side > 0.0 { Anchor::Left } else { Anchor::Right })
        } else {
            (tip + DVec2::new(0.0, if turn.cos() < -0.5 { 1.2 } else { 0.6 }), anchor)
        };
        page.text(tip.x, tip.y, SMALL, word).bold().anchor(anchor);
        if !one {
            page.line([c, at(turn + std::f64::consts::PI, r + 3.0)], BOLD);
        }
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
}
