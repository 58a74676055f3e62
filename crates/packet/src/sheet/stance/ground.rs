//! A car on its ground, drawn: the ground, wheels, what rides along, the centre of gravity.

use geometry::{Convex, DVec3};
use glam::DVec2;
use review::Review;
use shape::bodies::{Body, BodyKind};
use stance::{Ground, Stood};

use super::super::page::{Ink, Page, Pen};
use super::super::views::{self, Picture, Place, View};

/// Lines off by less than this on paper are where they belong, mm: half the width of a bold line.
const OFF: f64 = 0.25;

/// Dashes of what is seen through the frame, mm.
const DASH: f64 = 1.0;

/// Edges of panels that are drawn at most: what a sheet can show.
const MOST: usize = 5000;

/// A stance that has a ground.
pub struct Car<'a> {
    /// All answers.
    pub r: &'a Review,
    /// The stance.
    pub stood: &'a Stood,
    /// Its ground.
    pub ground: Ground,
    /// What is on board, without wheels.
    pub bodies: Vec<Body>,
}

impl<'a> Car<'a> {
    /// The car in a stance, by its number; `None` without a ground.
    pub fn new(r: &'a Review, number: usize) -> Option<Car<'a>> {
        let stood = r.stance.stances.get(number)?;
        let ground = stood.ground?;
        let design = &r.shape.design;
        let left: Vec<String> = design.stances.get(number)?.without.iter().map(|w| design.rider_name(w)).collect();
        let rides = |b: &&Body| b.kind != BodyKind::Wheel && !left.contains(&b.name);
        Some(Car { r, stood, ground, bodies: r.shape.bodies.iter().filter(rides).cloned().collect() })
    }

    /// From its left side: forward is to the left.
    pub fn side(&self) -> View {
        View { right: -self.ground.forward, up: self.ground.normal }
    }

    /// From ahead: its left is to the right.
    pub fn front(&self) -> View {
        View { right: self.ground.left, up: self.ground.normal }
    }

    /// From above: forward is to the left.
    pub fn above(&self) -> View {
        View { right: -self.ground.forward, up: -self.ground.left }
    }

    /// How far everything drawn reaches, least and greatest place on the page, m.
    pub fn bounds(&self, view: &View) -> (DVec2, DVec2) {
        let panels = self.panels(view);
        let reach = |d: DVec3| {
            let tubes = self.r.shape.tubes.iter().map(|t| t.extent(d));
            let plates = self.r.shape.plates.iter().flat_map(|p| p.corners.iter().map(|c| p.place(*c, 0.0).dot(d)));
            let convex = |c: &Convex| c.farthest(d).dot(d);
            let bodies = self.bodies.iter().flat_map(|b| &b.parts).map(|(_, c)| convex(c));
            let wheels = self.stood.wheels.iter().flat_map(|w| {
                let moved = w.hub - self.r.shape.bodies[w.body].centre;
                self.r.shape.bodies[w.body].parts.iter().map(move |(_, c)| convex(c) + moved.dot(d))
            });
            let skins = panels.iter().flatten().map(|p| p.dot(d));
            tubes.chain(plates).chain(bodies).chain(wheels).chain(skins).fold(f64::NEG_INFINITY, f64::max)
        };
        let (lo, hi) =
            (DVec2::new(-reach(-view.right), -reach(view.up)), DVec2::new(reach(view.right), reach(-view.up)));
        // The ground belongs to it where it is seen edge on.
        let up = view.up.dot(self.ground.normal) > 0.5;
        let floor = -self.ground.height;
        let hi = if up { DVec2::new(hi.x, hi.y.max(floor)) } else { hi };
        if lo.is_finite() && hi.is_finite() { (lo, hi) } else { (DVec2::ZERO, DVec2::ONE) }
    }

    /// Draws the frame: from a picture if that is the same but for a turn on the page, else looked at anew.
    pub fn frame(&self, page: &mut Page, at: &Place, known: &Picture, ink: Option<Ink>) {
        let eye = at.view.eye();
        let deep = |d: DVec3| self.r.shape.tubes.iter().map(|t| t.extent(d)).fold(0.0, f64::max);
        if known.off(&at.view) * deep(eye).max(deep(-eye)) * at.scale < OFF {
            known.put(page, at, ink);
        } else {
            Picture::new(self.r, at.view, at.scale).put(page, at, ink);
        }
    }

    /// Edges of body panels that may be on their outline.
    fn panels(&self, view: &View) -> Vec<[DVec3; 2]> {
        let eye = view.eye();
        let list = self.r.shape.skins.list.iter();
        list.flat_map(|skin| {
            // A panel that rides with a wheel has moved with its hub.
            let wheel = skin.rides.and_then(|id| self.stood.wheels.iter().find(|w| w.id == id));
            let shift = DVec3::Z * wheel.map_or(0.0, |w| w.travel);
            (0..skin.parts.len()).flat_map(move |k| skin.outline(k, eye).map(move |e| e.map(|p| p + shift)))
        })
        .take(MOST)
        .collect()
    }

    /// Draws what rides along, as outlines: panels, and dashed what lies inside the frame and would be hidden by it.
    pub fn riders(&self, page: &mut Page, at: &Place, pen: Pen) {
        for e in self.panels(&at.view) {
            page.line(e.map(|p| at.put(p)), pen);
        }
        views::draw_bodies(page, &self.bodies, at, pen.dashed(DASH));
    }
}

/// Where a place forward of the origin and over the ground stands, in side view.
pub fn beside(at: &Place, g: &Ground, forward: f64, height: f64) -> DVec2 {
    at.origin - DVec2::new(forward, height + g.height) * at.scale
}

/// The page's height of the ground, seen edge on.
pub fn level(at: &Place, g: &Ground) -> f64 {
    at.origin.y - g.height * at.scale
}

/// The ground from `left` to `right`, hatched below.
pub fn ground(page: &mut Page, y: f64, left: f64, right: f64) {
    page.line([DVec2::new(left, y), DVec2::new(right, y)], Pen::new(Ink::Black, 0.4));
    let mut x = left + 2.0;
    while x < right {
        page.line([DVec2::new(x, y), DVec2::new((x - 1.6).max(left), y + 1.6)], Pen::new(Ink::Grey, 0.15));
        x += 3.0;
    }
}

/// Size of the mark of a centre of gravity, mm.
const MARK: f64 = 2.2;

/// The mark of a centre of gravity: a circle of which two opposite quarters are filled.
pub fn centre(page: &mut Page, at: DVec2) {
    page.circle(at, MARK, Some(Ink::Paper), None);
    for k in [0.0, 2.0] {
        let mut quarter = vec![at];
        quarter.extend(
            (0..=12).map(|j| at + DVec2::from_angle(std::f64::consts::FRAC_PI_2 * (k + f64::from(j) / 12.0)) * MARK),
        );
        page.area(quarter, Some(Ink::Accent), None);
    }
    page.circle(at, MARK, None, Some(Pen::new(Ink::Accent, 0.3)));
}

/// Part of a circle as points: about a place, from an angle to another, rad, anticlockwise on paper as seen.
pub fn arc(at: DVec2, radius: f64, from: f64, to: f64) -> Vec<DVec2> {
    (0..=24)
        .map(|k| from + (to - from) * f64::from(k) / 24.0)
        .map(|a| at + DVec2::new(a.cos(), -a.sin()) * radius)
        .collect()
}
