//! Ways out: what the ground leaves of them, and whether a person passes.

use geometry::DVec3;
use glam::DVec2;
use review::Review;
use review::over::{AttitudeRoom, Fits, WayOut};
use rollover::Attitude;

use super::super::layout::Sheets;
use super::super::page::{Ink, Page, Pen};
use super::super::views::Place;

/// Edges of openings.
const EDGE: Pen = Pen::new(Ink::Grey, 0.2);
/// An ellipse through which a person passes.
const PASSES: Pen = Pen::new(Ink::Black, 0.45);
/// One through which nobody does: broken, and crossed out.
const FAILS: Pen = Pen::new(Ink::Alarm, 0.45).dashed(1.0);
/// Points of an ellipse.
const RIM: usize = 48;

/// All openings, dashed, and what is left of each, as areas.
pub fn areas(page: &mut Page, r: &Review, room: &AttitudeRoom, place: &Place) {
    for w in &room.ways {
        for piece in &w.left {
            page.area(piece.iter().map(|p| place.put(*p)).collect::<Vec<_>>(), Some(Ink::Tint), None);
        }
    }
    for o in &r.shape.openings {
        for piece in &o.clear {
            let points: Vec<DVec2> = piece.iter().map(|p| place.put(o.place(*p))).collect();
            page.area(points, None, Some(EDGE.dashed(1.2)));
        }
    }
}

/// The ellipse of the widest way out.
pub fn ellipses(page: &mut Page, room: &AttitudeRoom, place: &Place) {
    if let Some((w, f)) = room.ways.first().and_then(|w| Some((w, w.fits.as_ref()?))) {
        ellipse(page, f, w.passes, &|p| place.put(p));
    }
}

fn ellipse(page: &mut Page, f: &Fits, passes: bool, put: &dyn Fn(DVec3) -> DVec2) {
    let rim: Vec<DVec2> = (0..RIM).map(|k| put(f.rim(std::f64::consts::TAU * k as f64 / RIM as f64))).collect();
    page.area(rim, None, Some(if passes { PASSES } else { FAILS }));
    if !passes {
        for side in [1.0, -1.0] {
            let d = (f.half[0] + f.half[1] * side) * std::f64::consts::FRAC_1_SQRT_2;
            page.line([put(f.centre - d), put(f.centre + d)], FAILS);
        }
    }
}

/// A way out seen square on, up as it lies: what is clear of it dashed, what is left of it as an area.
pub fn inset(s: &mut Sheets, r: &Review, a: &Attitude, w: &WayOut, at: DVec2, size: DVec2) {
    let Some(o) = r.shape.openings.iter().find(|o| o.name == w.opening) else { return };
    let normal = o.frame.t;
    let along = |d: DVec3| (d - normal * normal.dot(d)).try_normalize();
    // Where it lies level there is no up in it; forward then points up the page.
    let level = normal.dot(a.normal).abs() > 0.98;
    let Some(up) = along(if level { DVec3::X } else { -a.normal }) else { return };
    let right = up.cross(normal);
    let flat = |p: DVec3| DVec2::new(p.dot(right), -p.dot(up));
    let all = o.clear.iter().flatten().map(|p| flat(o.place(*p)));
    let (lo, hi) = all.fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |(a, b), p| (a.min(p), b.max(p)));
    if !lo.is_finite() {
        return;
    }
    let scale = (size / (hi - lo).max(DVec2::splat(1e-3))).min_element();
    let put = |p: DVec3| at + DVec2::new(size.x, size.y) / 2.0 + (flat(p) - (lo + hi) / 2.0) * scale;
    let page = s.page();
    for piece in &w.left {
        page.area(piece.iter().map(|p| put(*p)).collect::<Vec<_>>(), Some(Ink::Tint), Some(EDGE));
    }
    for piece in &o.clear {
        let points: Vec<DVec2> = piece.iter().map(|p| put(o.place(*p))).collect();
        page.area(points, None, Some(EDGE.dashed(1.2)));
    }
    if let Some(f) = &w.fits {
        ellipse(page, f, w.passes, &put);
    }
}
