//! Labels that keep clear of one another.

use glam::DVec2;

use super::layout::Sheets;
use super::page::{Anchor, Ink, Pen};

/// Between two labels of a row, mm.
const GAP: f64 = 3.0;

/// A label and the place that it is about.
pub struct Label {
    /// The place, mm.
    pub of: DVec2,
    /// The words.
    pub text: String,
    /// Colour of the words and of the line to the place.
    pub ink: Ink,
}

/// Sets labels in a row, their middles as near to the places that they are about as they have room, and joins each to its place
/// with a thin line. `y` is the row's base line; the lines end at `top`. Those that find no room are left out, the last first.
pub fn row(s: &mut Sheets, mut list: Vec<Label>, size: f64, (top, y): (f64, f64), (left, right): (f64, f64)) {
    let width = |s: &Sheets, l: &Label| s.faces[0].width(&l.text, size);
    let all = |s: &Sheets, list: &[Label]| list.iter().map(|l| width(s, l) + GAP).sum::<f64>() - GAP;
    while !list.is_empty() && all(s, &list) > right - left {
        list.pop();
    }
    list.sort_by(|a, b| a.of.x.total_cmp(&b.of.x));
    let widths: Vec<f64> = list.iter().map(|l| width(s, l)).collect();
    let wanted: Vec<f64> = list.iter().map(|l| l.of.x).collect();
    let at = apart(&wanted, &widths, left, right);
    for (l, x) in list.into_iter().zip(at) {
        let page = s.page();
        // From above, or from below.
        let end = if l.of.y < y { y - 0.85 * size } else { y + 0.3 * size };
        page.line([l.of, DVec2::new(l.of.x, top), DVec2::new(x, end)], Pen::new(l.ink, 0.15));
        plate(s, DVec2::new(x, y), size, &l.text, Anchor::Middle, l.ink);
    }
}

/// Middles of things of given widths side by side, in order, as near to where they are wanted as they have room: the sum of
/// the squares of how far they are moved is the least.
fn apart(wanted: &[f64], widths: &[f64], left: f64, right: f64) -> Vec<f64> {
    // How far each one's middle stands from the first one's where they all touch.
    let mut offset = vec![0.0];
    for w in widths.windows(2) {
        offset.push(offset[offset.len() - 1] + (w[0] + w[1]) / 2.0 + GAP);
    }
    // Pools of things that touch: their mean and how many they are.
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for (x, o) in wanted.iter().zip(&offset) {
        let mut pool = (x - o, 1);
        while let Some(last) = pools.last().copied().filter(|l| l.0 > pool.0) {
            pools.pop();
            let n = last.1 + pool.1;
            pool = ((last.0 * last.1 as f64 + pool.0 * pool.1 as f64) / n as f64, n);
        }
        pools.push(pool);
    }
    let free = pools.into_iter().flat_map(|(x, n)| std::iter::repeat_n(x, n));
    let (Some(first), Some(last)) = (widths.first(), widths.last()) else { return Vec::new() };
    let end = right - last / 2.0 - offset[offset.len() - 1];
    free.zip(&offset).map(|(x, o)| x.min(end).max(left + first / 2.0) + o).collect()
}

/// A text on bare paper, so that lines behind it do not run through it.
pub fn plate(s: &mut Sheets, at: DVec2, size: f64, text: &str, anchor: Anchor, ink: Ink) {
    let w = s.faces[0].width(text, size);
    let x = match anchor {
        Anchor::Left => at.x,
        Anchor::Middle => at.x - w / 2.0,
        Anchor::Right => at.x - w,
    };
    let page = s.page();
    let low = DVec2::new(x - 0.5, at.y - 0.85 * size);
    page.rect(low, DVec2::new(w + 1.0, 1.15 * size), Some(Ink::Paper), None);
    page.text(at.x, at.y, size, text).anchor(anchor).ink(ink);
}

/// A caution on every page from one on: between what stands on it and its foot.
pub fn caution(s: &mut Sheets, from: usize, text: &str) {
    use super::layout::{MARGIN, SMALL};
    for k in from..s.pages.len() {
        let room = s.pages[k].width - 2.0 * MARGIN;
        let line = s.faces[0].fit(text, SMALL, room);
        let y = s.pages[k].height - MARGIN - 4.2;
        s.pages[k].text(MARGIN, y, SMALL, line);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_move_no_farther_than_they_must() {
        // Alone where they are wanted; two that collide share the move; the edge holds.
        assert_eq!(apart(&[10.0, 50.0], &[10.0, 10.0], 0.0, 100.0), [10.0, 50.0]);
        assert_eq!(apart(&[50.0, 50.0], &[10.0, 10.0], 0.0, 100.0), [43.5, 56.5]);
        assert_eq!(apart(&[0.0, 2.0, 99.0], &[10.0, 10.0, 10.0], 0.0, 100.0), [5.0, 18.0, 95.0]);
        assert!(apart(&[], &[], 0.0, 1.0).is_empty());
    }
}
