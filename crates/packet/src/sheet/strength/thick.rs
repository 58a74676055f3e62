//! Tubes drawn the thicker the more of something they have.

use design::TubeState;
use glam::DVec2;
use review::Review;

use super::super::page::{Anchor, Ink, Page, Pen};
use super::super::views::{self, Place};

/// Width of a tube that has none of it, mm.
const NONE: f64 = 0.15;
/// Width of a tube that has all of it, mm.
const ALL: f64 = 1.9;

/// The width for a part.
pub fn width(part: f64) -> f64 {
    NONE + (ALL - NONE) * part.clamp(0.0, 1.0)
}

/// Draws each tube by its part, 1 being all; what is over 1 in the alarm's ink with a light core.
pub fn frame(page: &mut Page, r: &Review, at: &Place, part: &dyn Fn(&str) -> Option<f64>) {
    let mut list: Vec<(usize, Option<f64>)> = (0..r.shape.tubes.len())
        .filter(|&i| r.shape.tubes[i].state != TubeState::Temporary)
        .map(|i| (i, part(&r.shape.tubes[i].name)))
        .collect();
    // The thickest last, so that no thin line runs over it.
    list.sort_by(|a, b| a.1.unwrap_or(0.0).total_cmp(&b.1.unwrap_or(0.0)));
    for (i, part) in list {
        let line = views::centreline(r, i, at);
        match part {
            None => page.line(line, Pen::new(Ink::Grey, NONE).dashed(0.8)),
            Some(p) if p > 1.0 => {
                page.line(line.clone(), Pen::new(Ink::Alarm, ALL));
                page.line(line, Pen::new(Ink::Paper, 0.5).dashed(1.0));
            }
            Some(p) => page.line(line, Pen::new(Ink::Black, width(p))),
        }
    }
}

/// What the widths mean, beside one another.
pub fn legend(page: &mut Page, at: DVec2, size: f64) {
    let mut x = at.x;
    for (part, words) in [(0.0, "0"), (0.25, "25"), (0.5, "50"), (0.75, "75"), (1.0, "100 %")] {
        page.line([DVec2::new(x, at.y - 0.8), DVec2::new(x + 5.0, at.y - 0.8)], Pen::new(Ink::Black, width(part)));
        page.text(x + 6.0, at.y, size, words).ink(Ink::Grey);
        x += 13.0;
    }
    page.line([DVec2::new(x + 3.0, at.y - 0.8), DVec2::new(x + 8.0, at.y - 0.8)], Pen::new(Ink::Alarm, ALL));
    page.line(
        [DVec2::new(x + 3.0, at.y - 0.8), DVec2::new(x + 8.0, at.y - 0.8)],
        Pen::new(Ink::Paper, 0.5).dashed(1.0),
    );
    page.text(x + 9.0, at.y, size, "over").ink(Ink::Grey);
}

/// Radius of a numbered disc, mm.
const DISC: f64 = 1.7;

/// Numbered discs at places, from 1 on. Those that would cover another stand beside
/// their place with a line to it. `off`: none stands on its place, which has a dot.
pub fn numbers(page: &mut Page, places: &[(DVec2, Ink)], off: bool) {
    let mut taken: Vec<DVec2> = Vec::new();
    let mut at: Vec<DVec2> = Vec::new();
    for (p, _) in places {
        // Rings round the place, each from straight up on, turn by turn to both sides.
        let ring = |k: usize| {
            let r = 2.2 * DISC * k as f64;
            (0..12 * k).map(move |i| {
                let step = std::f64::consts::TAU / (12 * k) as f64;
                let turn = step * i.div_ceil(2) as f64 * if i % 2 == 0 { 1.0 } else { -1.0 };
                *p + DVec2::new(turn.sin(), -turn.cos()) * r
            })
        };
        let spots = std::iter::once(*p).filter(|_| !off).chain((1..=8).flat_map(ring));
        let free = |q: &DVec2| {
            let clear = taken.iter().all(|o| o.distance(*q) > 2.2 * DISC);
            let dots = !off || places.iter().all(|o| o.0.distance(*q) > 1.6 * DISC);
            clear && dots
        };
        let spot = spots.into_iter().find(free).unwrap_or(*p);
        taken.push(spot);
        at.push(spot);
    }
    for ((p, ink), q) in places.iter().zip(&at) {
        if p.distance(*q) > DISC {
            page.line([*p, *q], Pen::new(*ink, 0.15));
        }
        if off || p.distance(*q) > DISC {
            page.circle(*p, 0.5, Some(*ink), None);
        }
    }
    for (k, ((_, ink), q)) in places.iter().zip(&at).enumerate() {
        page.circle(*q, DISC, Some(Ink::Paper), Some(Pen::new(*ink, 0.25)));
        page.text(q.x, q.y + 0.85, 2.3, (k + 1).to_string()).ink(*ink).bold().anchor(Anchor::Middle);
    }
}
