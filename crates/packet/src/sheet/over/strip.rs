//! The ways into the rests, as strips of small pictures.

use geometry::DVec3;
use glam::DVec2;
use review::{Review, Text};
use rollover::Side;
use shape::bodies::{Body, BodyKind};

use super::super::layout::{BODY, SMALL, Sheets};
use super::super::page::{Anchor, Ink, Pen};
use super::super::views::{self, View};
use super::people;

/// Width of a small picture, mm.
const SMALL_WIDE: f64 = 34.0;
/// Its height.
const SMALL_HIGH: f64 = 24.0;
/// Between two.
const GAP: f64 = 15.0;

/// Room for a strip's name and where it ends, mm.
const NAME_WIDE: f64 = 82.0;

/// The ways from the wheels over each side, nose and tail, as strips.
pub fn ways(s: &mut Sheets, r: &Review, t: &Text) {
    let Some(answer) = &r.over.hard.rollover else { return };
    if answer.paths.is_empty() {
        return;
    }
    s.need(SMALL_HIGH + 26.0);
    s.heading("From its wheels, over each edge");
    let text = "Step by step until it rests. Over an arrow the energy that the step takes from the attitude before to its crest, under \
                it what is set free from there down.";
    s.paragraph(text, SMALL, Ink::Grey);
    let hard = review::over::tumbling(&r.shape, &r.laden).0.hull;
    let most = ((s.width() + GAP) / (SMALL_WIDE + GAP)).floor() as usize;
    // Strips stand side by side where there is room.
    let mut used = f64::INFINITY;
    for p in &answer.paths {
        let name = match p.side {
            Side::Left => "over its left side",
            Side::Right => "over its right side",
            Side::Nose => "over its nose",
            Side::Tail => "over its tail",
        };
        let rests = &r.over.hard.rooms[p.rests].words;
        let eye = if matches!(p.side, Side::Left | Side::Right) { DVec3::X } else { DVec3::Y };
        // The first picture, then a picture for each step, the last of them if there are too many.
        let from = answer.attitudes[p.from].normal;
        let mut steps: Vec<(DVec3, f64, f64)> = vec![(from, 0.0, 0.0)];
        steps.extend(p.steps.iter().map(|q| (q.normal, q.needed, q.released)));
        while steps.len() > most {
            let gone = steps.remove(1);
            steps[1].1 += gone.1;
            steps[1].2 += gone.2;
        }
        let wide = (steps.len() as f64 * (SMALL_WIDE + GAP)).max(NAME_WIDE);
        if used + wide > s.width() + GAP {
            if used.is_finite() {
                s.y += SMALL_HIGH + 1.0;
            }
            s.need(SMALL_HIGH + 16.0);
            s.y += BODY * 1.8;
            used = 0.0;
        }
        let (left, y) = (s.left() + used, s.y);
        used += wide;
        s.page().text(left, y, BODY, name).bold();
        let rest = format!("rests {rests}, no {}", p.rests + 1);
        s.page().text(left + NAME_WIDE / 2.0, y, SMALL, rest).ink(Ink::Grey);
        let top = s.y + 1.5;
        for (k, (normal, needed, free)) in steps.iter().enumerate() {
            let at = DVec2::new(left + k as f64 * (SMALL_WIDE + GAP), top);
            let view = View::upright(-*normal, eye);
            let size = DVec2::new(SMALL_WIDE - 2.0, SMALL_HIGH - 2.0);
            let place = views::place(r, view, at + DVec2::ONE, size, true, false);
            views::sketch(s.page(), r, &place, Pen::new(Ink::Grey, 0.15));
            let wheels: Vec<Body> = r.shape.bodies.iter().filter(|b| b.kind == BodyKind::Wheel).cloned().collect();
            views::draw_bodies(s.page(), &wheels, &place, Pen::new(Ink::Pale, 0.15));
            views::draw_bodies(s.page(), &people(r), &place, Pen::new(Ink::Accent, 0.15));
            let low = hard.iter().map(|p| p.dot(*normal)).fold(f64::NEG_INFINITY, f64::max);
            let y = place.put(*normal * low).y;
            s.page().line([DVec2::new(at.x, y), DVec2::new(at.x + SMALL_WIDE, y)], Pen::new(Ink::Black, 0.3));
            if k > 0 {
                let mid = at + DVec2::new(-GAP / 2.0, SMALL_HIGH / 2.0);
                let pen = Pen::new(Ink::Black, 0.25);
                s.page().line([mid - DVec2::X * 5.0, mid + DVec2::X * 5.0], pen);
                s.page().line([mid + DVec2::new(3.6, -1.0), mid + DVec2::X * 5.0, mid + DVec2::new(3.6, 1.0)], pen);
                for (energy, y) in [(*needed, mid.y - 1.6), (-*free, mid.y + 3.6)] {
                    if energy.abs() > 0.5 {
                        let sign = if energy > 0.0 { "+" } else { "" };
                        s.page().text(mid.x, y, SMALL, format!("{sign}{}", t.energy(energy))).anchor(Anchor::Middle);
                    }
                }
            }
        }
    }
    s.y += SMALL_HIGH + 3.0;
}
