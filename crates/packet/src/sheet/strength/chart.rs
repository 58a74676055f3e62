//! Axes of a chart with round figures.

use glam::DVec2;

use super::super::layout::{SMALL, Sheets};
use super::super::page::{Anchor, Ink, Pen, RULE, THIN};

/// Figures along an axis keep this far apart, mm.
const APART: f64 = 14.0;

/// A chart.
pub struct Chart {
    /// Lower left corner, mm.
    origin: DVec2,
    /// What is there.
    low: DVec2,
    /// mm of paper to a unit, or to a decade.
    scale: DVec2,
    /// Whether equal ratios are equally far apart.
    decades: bool,
}

/// 1, 2 or 5 times a power of ten, at least as large as wanted.
pub fn step(least: f64) -> f64 {
    if !(least.is_finite() && least > 0.0) {
        return 1.0;
    }
    let decade = 10f64.powf(least.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|k| k * decade).find(|s| *s >= least * (1.0 - 1e-9)).unwrap_or(10.0 * decade)
}

/// A figure with as many places as its step needs.
fn figure(v: f64, step: f64) -> String {
    let places = (-step.log10().floor()).clamp(0.0, 9.0) as usize;
    format!("{v:.places$}")
}

/// 1, 2 and 5 times powers of ten from one at most as large as `low` to one at least as large as `high`.
fn decades(low: f64, high: f64) -> Vec<f64> {
    let most = step(high.max(low));
    let mut all = vec![most];
    // Twelve decades are more than any paper shows.
    while all[all.len() - 1] > low * (1.0 + 1e-9) && all.len() < 36 {
        let last = all[all.len() - 1];
        let lead = (last / 10f64.powf(last.log10().floor() + 1e-9).max(f64::MIN_POSITIVE)).round();
        all.push(if lead == 5.0 { last * 0.4 } else { last * 0.5 });
    }
    all.reverse();
    all
}

impl Chart {
    /// Draws axes from 0 on in a box of the page up to the largest values, with what they measure.
    pub fn new(s: &mut Sheets, at: DVec2, size: DVec2, most: DVec2, words: [&str; 2]) -> Chart {
        let (origin, room) = paper(at, size);
        let most = DVec2::new(if most.x > 0.0 { most.x } else { 1.0 }, if most.y > 0.0 { most.y } else { 1.0 });
        let steps = DVec2::new(step(most.x * APART / room.x), step(most.y * 0.6 * APART / room.y));
        let ends = (most / steps - 1e-9).ceil() * steps;
        let c = Chart { origin, low: DVec2::ZERO, scale: room / ends, decades: false };
        let ticks = |end: f64, step: f64| -> Vec<(f64, String)> {
            (0..=(end / step).round() as usize).map(|k| (k as f64 * step, figure(k as f64 * step, step))).collect()
        };
        c.axes(s, at, [ticks(ends.x, steps.x), ticks(ends.y, steps.y)], ends, words);
        c
    }

    /// As [`Chart::new`], between the least and the largest values, equal ratios equally far apart.
    pub fn by_decades(s: &mut Sheets, at: DVec2, size: DVec2, [low, high]: [DVec2; 2], words: [&str; 2]) -> Chart {
        let (origin, room) = paper(at, size);
        let least = |v: f64| if v > 0.0 { v } else { 1.0 };
        let (x, y) = (decades(least(low.x), least(high.x)), decades(least(low.y), least(high.y)));
        let ends = |v: &[f64]| (v[0], v[v.len() - 1].max(2.0 * v[0]));
        let ((x0, x1), (y0, y1)) = (ends(&x), ends(&y));
        let scale = DVec2::new(room.x / (x1 / x0).log10(), room.y / (y1 / y0).log10());
        let c = Chart { origin, low: DVec2::new(x0, y0), scale, decades: true };
        let ticks = |v: Vec<f64>| v.into_iter().map(|k| (k, figure(k, k))).collect();
        c.axes(s, at, [ticks(x), ticks(y)], DVec2::new(x1, y1), words);
        c
    }

    fn axes(&self, s: &mut Sheets, at: DVec2, [x, y]: [Vec<(f64, String)>; 2], ends: DVec2, words: [&str; 2]) {
        let (origin, corner) = (self.origin, self.put(ends));
        for (v, figure) in x {
            let x = self.put(DVec2::new(v, self.low.y)).x;
            s.page().line([DVec2::new(x, origin.y), DVec2::new(x, corner.y)], RULE);
            s.page().text(x, origin.y + 4.0, SMALL, figure).ink(Ink::Grey).anchor(Anchor::Middle);
        }
        for (v, figure) in y {
            let y = self.put(DVec2::new(self.low.x, v)).y;
            s.page().line([DVec2::new(origin.x, y), DVec2::new(corner.x, y)], RULE);
            s.page().text(origin.x - 1.5, y + 0.9, SMALL, figure).ink(Ink::Grey).anchor(Anchor::Right);
        }
        let axes = Pen::new(Ink::Black, 0.3);
        s.page().line([DVec2::new(origin.x, corner.y), origin, DVec2::new(corner.x, origin.y)], axes);
        s.page().text(corner.x, origin.y + 8.0, SMALL, words[0]).anchor(Anchor::Right);
        s.page().text(at.x, at.y, SMALL, words[1]);
    }

    /// A place on the page. By decades what is below the least stands there.
    pub fn put(&self, v: DVec2) -> DVec2 {
        let v = match self.decades {
            false => v - self.low,
            true => {
                let of = v.max(self.low) / self.low;
                DVec2::new(of.x.log10(), of.y.log10())
            }
        };
        self.origin + v * self.scale * DVec2::new(1.0, -1.0)
    }

    /// A dashed line up from the axis at a value, to another, with words at its head.
    pub fn mark(&self, s: &mut Sheets, x: f64, y: f64, words: &str, ink: Ink) {
        let (low, high) = (self.put(DVec2::new(x, 0.0)), self.put(DVec2::new(x, y)));
        s.page().line([low, high], Pen { ink, ..THIN.dashed(1.0) });
        super::cases::beside(s, high, words, ink);
    }
}

/// Where the axes meet in a box of the page, and the room that they span.
fn paper(at: DVec2, size: DVec2) -> (DVec2, DVec2) {
    let left = 12.0;
    let room = DVec2::new(size.x - left - 4.0, size.y - 14.0);
    (DVec2::new(at.x + left, at.y + 4.0 + room.y), room)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_and_never_less_than_wanted() {
        for (least, want) in [(0.03, 0.05), (0.1, 0.1), (1.1, 2.0), (5.1, 10.0), (0.0, 1.0), (f64::NAN, 1.0)] {
            assert!((step(least) - want).abs() < 1e-12, "{least}: {}", step(least));
        }
        assert_eq!(decades(0.3, 4.0), [0.2, 0.5, 1.0, 2.0, 5.0]);
        assert_eq!(decades(1.0, 1.0), [1.0]);
        assert_eq!((figure(0.4, 0.2).as_str(), figure(150.0, 50.0).as_str()), ("0.4", "150"));
    }
}
