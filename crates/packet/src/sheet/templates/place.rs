//! Where templates stand on their pages: upright, or turned by 90 degrees where more of them fit so.

use std::f64::consts::FRAC_PI_2;

use glam::DVec2;

use super::super::layout::Sheets;
use super::super::page::{Page, Pen, Text};
use super::{RULES, TITLE, UPRIGHT, rules};

/// Room between two templates, mm.
const APART: f64 = 6.0;

/// Width that templates have on a page, mm.
pub fn width(s: &Sheets) -> f64 {
    s.width() - 2.0 - UPRIGHT
}

/// Height that they have on an empty page, mm.
pub fn height(s: &Sheets) -> f64 {
    s.bottom() - s.top() - RULES
}

/// A place on a page. What is drawn there is measured from the top left corner of the upright thing, y down.
#[derive(Clone, Copy)]
pub struct Spot {
    /// Top left corner of the place on the page, mm.
    corner: DVec2,
    /// Height of the upright thing if it is turned clockwise by a right angle: that side lies across the page.
    turned: Option<f64>,
}

impl Spot {
    fn put(&self, q: DVec2) -> DVec2 {
        match self.turned {
            None => self.corner + q,
            Some(height) => self.corner + DVec2::new(height - q.y, q.x),
        }
    }

    /// Joins points with a line.
    pub fn line(&self, page: &mut Page, points: impl IntoIterator<Item = DVec2>, pen: Pen) {
        page.line(points.into_iter().map(|q| self.put(q)).collect::<Vec<_>>(), pen);
    }

    /// A text.
    pub fn text<'a>(&self, page: &'a mut Page, at: DVec2, size: f64, text: &str) -> &'a mut Text {
        let at = self.put(at);
        page.text(at.x, at.y, size, text).turn(if self.turned.is_some() { FRAC_PI_2 } else { 0.0 })
    }
}

/// Templates stand beside one another while there is room.
#[derive(Default)]
pub struct Shelf {
    /// The page it is on, and where its templates begin, mm.
    page: usize,
    top: f64,
    /// How far it is filled, and its height, mm.
    filled: f64,
    high: f64,
}

impl Shelf {
    /// A place for something of some size: beside the last one, or below.
    pub fn place(&mut self, s: &mut Sheets, size: DVec2) -> Spot {
        let (room, most) = (width(s), height(s));
        let (upright, turned) = ((size, None), (DVec2::new(size.y, size.x), Some(size.y)));
        let abreast = |w: f64| ((room + APART) / (w + APART)).floor();
        let can_turn = size.y <= room && size.x <= most;
        let ways = match () {
            () if size.x > room && can_turn => vec![turned],
            // Turned where that sets more of them on a page.
            () if can_turn && abreast(size.y) * rows(most, size.x) > abreast(size.x) * rows(most, size.y) => {
                vec![turned, upright]
            }
            () => vec![upright],
        };
        let floor = s.bottom() - RULES;
        if self.page == s.pages.len() && self.high > 0.0 {
            for (size, turned) in &ways {
                if self.filled + APART + size.x <= room && self.top + size.y <= floor {
                    let x = s.left() + 1.0 + self.filled + APART;
                    self.filled += APART + size.x;
                    self.high = self.high.max(size.y);
                    s.y = s.y.max(self.top + self.high);
                    return Spot { corner: DVec2::new(x, self.top), turned: *turned };
                }
            }
        }
        let gap = if s.y > s.top() { APART } else { 0.0 };
        let (size, turned) = match ways.iter().find(|w| s.y + gap + w.0.y <= floor) {
            Some(way) => {
                s.y += gap;
                *way
            }
            None => {
                s.start(TITLE);
                rules::rules(s);
                ways[0]
            }
        };
        *self = Shelf { page: s.pages.len(), top: s.y, filled: size.x, high: size.y };
        s.y += size.y;
        Spot { corner: DVec2::new(s.left() + 1.0, self.top), turned }
    }
}

/// Shelves of some height on an empty page.
fn rows(most: f64, high: f64) -> f64 {
    ((most + APART) / (high + APART)).floor()
}
