//! A rule of heights beside a drawing, as a surface gauge stands on a shop floor.

use design::Units;
use glam::DVec2;
use review::Text;

use super::layout::SMALL;
use super::page::{Anchor, Ink, Page, Pen, THIN};

/// A height marked on the rule, and its words.
pub type Mark = (f64, String);

/// Figures keep this far from a mark's, mm.
const APART: f64 = 3.4;

/// Draws the rule at `x`, its zero at `zero`, from `top` to `bottom` of the page (mm), for a drawing of so many mm to a metre;
/// with marks in the accent's ink in place of the figures beside them.
pub fn draw(
    page: &mut Page,
    units: Units,
    t: &Text,
    scale: f64,
    (x, zero): (f64, f64),
    (top, bottom): (f64, f64),
    marks: &[Mark],
) {
    let step = match units {
        Units::Mm => 0.05,
        Units::In => 2.0 * 0.0254,
    };
    let y = |m: f64| zero - m * scale;
    let height = |y: f64| (zero - y) / scale;
    let (lo, hi) = ((height(bottom) / step - 1e-9).floor() as i64, (height(top) / step).ceil() as i64);
    // Label as often as the figures have room.
    let every = [2, 4, 5, 10, 20, 100].into_iter().find(|n| *n as f64 * step * scale > 5.0).unwrap_or(1000);
    if hi - lo > 2000 {
        return;
    }
    page.line([DVec2::new(x, y(lo as f64 * step)), DVec2::new(x, y(hi as f64 * step))], THIN);
    for k in lo..=hi {
        let at = y(k as f64 * step);
        let long = k % every == 0;
        if !long && step * scale < 1.0 {
            continue;
        }
        page.line([DVec2::new(x - if long { 2.4 } else { 1.2 }, at), DVec2::new(x, at)], THIN);
        if long && marks.iter().all(|m| (y(m.0) - at).abs() > APART) {
            let figure = t.length(k as f64 * step);
            page.text(x - 3.0, at + 0.9, SMALL, figure).ink(Ink::Grey).anchor(Anchor::Right);
        }
    }
    for (m, words) in marks {
        let at = y(*m);
        page.line([DVec2::new(x - 3.4, at), DVec2::new(x + 1.0, at)], Pen::new(Ink::Accent, 0.5));
        page.text(x - 4.2, at + 1.0, SMALL, words.clone()).ink(Ink::Accent).bold().anchor(Anchor::Right);
    }
}
