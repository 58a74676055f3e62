//! The frame in side view, in the ground's axes: x forward, y up.

use geometry::{DVec2, DVec3, Outline};
use shape::Shape;

use crate::flat::{hull, swept};
use crate::ground::Ground;
use crate::solids::{self, Part, Thing};
use crate::tree::{Area, Tree};

/// A part seen from the side: which one, and its shadow, a convex polygon with a rounding.
#[derive(Clone, Debug)]
pub(crate) struct Seen {
    pub thing: usize,
    pub part: usize,
    /// Its corners in [`View::corners`].
    corners: (u32, u32),
    /// Its rounding, m.
    pub margin: f64,
    /// A box that holds it; nothing if it is not on board.
    pub area: Area,
}

/// A tyre seen from the side.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Tyre {
    pub hub: DVec2,
    pub loaded: f64,
}

/// What the stances of a design have in common: its things, and their order in a tree.
pub(crate) struct Layout {
    pub things: Vec<Thing>,
    order: Vec<(usize, usize)>,
    tree: Tree,
}

impl Layout {
    pub fn new(shape: &Shape) -> Layout {
        let things = solids::things(shape);
        let (tree, order) = arranged(&things, &Ground::new(0.0, 0.0, 0.0));
        Layout { things, order, tree }
    }
}

/// A tree over the parts of things as one ground sees them, and the order that it wants them in.
fn arranged(things: &[Thing], ground: &Ground) -> (Tree, Vec<(usize, usize)>) {
    let all: Vec<(usize, usize)> =
        things.iter().enumerate().flat_map(|(i, t)| (0..t.parts.len()).map(move |k| (i, k))).collect();
    let mut corners = Vec::new();
    let areas: Vec<Area> = all
        .iter()
        .map(|&(i, k)| {
            corners.clear();
            let margin = shadow(&things[i].parts[k], ground, &mut corners);
            Area::round(&corners).grown(margin)
        })
        .collect();
    let (tree, order) = Tree::new(&areas);
    (tree, order.into_iter().map(|i| all[i as usize]).collect())
}

/// The side view of what counts.
pub(crate) struct View<'a> {
    things: &'a [Thing],
    skins: &'a [Thing],
    pub ground: Ground,
    /// In the trees' order.
    pub seen: Vec<Seen>,
    corners: Vec<DVec2>,
    /// A tree, and the number of things seen before its own.
    trees: [(Tree, usize); 2],
    /// A box round everything.
    pub area: Area,
}

impl<'a> View<'a> {
    /// `counts` tells which things are on board; all skins are.
    pub fn new(layout: &'a Layout, counts: &[bool], skins: &'a [Thing], ground: Ground) -> View<'a> {
        let (of_skins, order) = arranged(skins, &ground);
        let before = layout.things.len();
        let mut view = View {
            things: &layout.things,
            skins,
            ground,
            seen: Vec::with_capacity(layout.order.len() + order.len()),
            corners: Vec::with_capacity(4 * layout.order.len() + 2 * order.len()),
            trees: [(layout.tree.clone(), 0), (of_skins, layout.order.len())],
            area: Area::NOTHING,
        };
        let skinned = order.iter().map(|&(i, k)| (before + i, k));
        for (thing, part) in layout.order.iter().copied().chain(skinned) {
            let from = view.corners.len() as u32;
            let of = if thing < before { &layout.things[thing] } else { &skins[thing - before] };
            let margin = shadow(&of.parts[part], &ground, &mut view.corners);
            let corners = (from, view.corners.len() as u32);
            let area = if counts.get(thing).is_none_or(|c| *c) {
                Area::round(&view.corners[from as usize..]).grown(margin)
            } else {
                Area::NOTHING
            };
            view.area = view.area.with(area);
            view.seen.push(Seen { thing, part, corners, margin, area });
        }
        let seen = &view.seen;
        view.trees[0].0.refit(|i| seen[i].area);
        view
    }

    pub fn thing(&self, s: &Seen) -> &'a Thing {
        match s.thing.checked_sub(self.things.len()) {
            None => &self.things[s.thing],
            Some(i) => &self.skins[i],
        }
    }

    pub fn part(&self, s: &Seen) -> &'a Part {
        &self.thing(s).parts[s.part]
    }

    /// Shows every part in [`View::seen`] that boxes which `passes` lets through hold.
    pub fn walk<S>(&self, state: &mut S, passes: impl Fn(&S, &Area) -> bool, mut leaf: impl FnMut(&mut S, usize)) {
        for (tree, before) in &self.trees {
            tree.walk(state, &passes, |s, k| leaf(s, before + k));
        }
    }

    /// Corners of a shadow, anticlockwise.
    pub fn corners(&self, s: &Seen) -> &[DVec2] {
        &self.corners[s.corners.0 as usize..s.corners.1 as usize]
    }

    /// The farthest place of a part in a direction of the side view: in the frame's axes, and in the view.
    pub fn support(&self, s: &Seen, d: DVec2) -> (DVec3, DVec2) {
        let p = self.part(s).support(self.ground.direction(DVec3::new(d.x, 0.0, d.y)));
        (p, self.place(p))
    }

    /// A place in the view.
    fn place(&self, p: DVec3) -> DVec2 {
        place(&self.ground, p)
    }
}

fn place(ground: &Ground, p: DVec3) -> DVec2 {
    DVec2::new(ground.forward.dot(p), ground.over(p))
}

/// A part's shadow, `docs/methods/stance.md`: adds its corners, and tells its rounding.
fn shadow(part: &Part, ground: &Ground, out: &mut Vec<DVec2>) -> f64 {
    let side = |d: DVec3| DVec2::new(ground.forward.dot(d), ground.normal.dot(d));
    match part {
        Part::Corners(c) => {
            let mut corners: Vec<DVec2> = c.iter().map(|&p| place(ground, p)).collect();
            hull(&mut corners);
            out.append(&mut corners);
            0.0
        }
        Part::Edge(a, b) => {
            let (a, b) = (place(ground, *a), place(ground, *b));
            out.push(a);
            if a != b {
                out.push(b);
            }
            0.0
        }
        Part::Leg { frame, length, outline, .. } => {
            let (fx, fy, r) = match *outline {
                Outline::Circle { r } => (0.0, 0.0, r),
                Outline::RoundRect { half_x, half_y, r } => (half_x - r, half_y - r, r),
            };
            // A flat disc square to the axis is an ellipse from the side; a stadium of the same extents holds it.
            let margin = r * ground.left.dot(frame.t).abs().min(1.0);
            let axis = side(frame.t);
            let across = axis.perp().normalize_or_zero() * (r - margin);
            let along = axis * (0.5 * *length);
            let mid = place(ground, frame.origin) + along;
            if fx == 0.0 && fy == 0.0 {
                swept(mid, &mut [along, across], out);
            } else {
                swept(mid, &mut [along, across, side(frame.u) * fx, side(frame.v) * fy], out);
            }
            margin
        }
    }
}

#[cfg(test)]
mod tests {
    use geometry::{Frame, Outline};

    use super::*;

    /// Rows of points on the surface lie in the shadow, and touch it from within on every side.
    #[test]
    fn shadows_hold_their_parts_and_no_more() {
        for (k, outline) in [
            Outline::Circle { r: 0.02 },
            Outline::RoundRect { half_x: 0.03, half_y: 0.02, r: 0.005 },
            Outline::RoundRect { half_x: 0.03, half_y: 0.02, r: 0.0 },
        ]
        .into_iter()
        .enumerate()
        {
            for i in 0..200 {
                let f = |n: f64| (f64::from(i) * n + k as f64).sin();
                let mut t = DVec3::new(f(1.3), f(2.1), f(3.7));
                match i {
                    0 => t = DVec3::Y,
                    1 => t = DVec3::X,
                    2 => t = DVec3::Z,
                    _ => {}
                }
                let frame = Frame::new(DVec3::new(f(5.0), 0.3, 0.4), t, DVec3::new(f(0.7), f(0.3), 1.1))
                    .or_else(|| Frame::new(DVec3::ZERO, t, DVec3::X))
                    .unwrap();
                let ground = Ground::new(0.1, 0.2 * f(0.9), 0.1 * f(1.9));
                let part = Part::Leg { frame, length: 0.4, outline, from: 0.0 };
                let mut corners = Vec::new();
                let margin = shadow(&part, &ground, &mut corners);
                let mut again = corners.clone();
                hull(&mut again);
                assert_eq!(corners.len(), again.len(), "{corners:?} {again:?}");
                for a in 0..360 {
                    let d = DVec2::from_angle(f64::from(a).to_radians());
                    let p = part.support(ground.direction(DVec3::new(d.x, 0.0, d.y)));
                    let reach = place(&ground, p).dot(d);
                    let held = corners.iter().map(|c| c.dot(d)).fold(f64::NEG_INFINITY, f64::max) + margin;
                    assert!(held > reach - 1e-12, "{i}: {held} {reach}");
                    // A stadium stands out of an ellipse by a tenth of the radius at most.
                    assert!(held < reach + 0.1 * 0.02 + 1e-12, "{i}: {held} {reach}");
                }
            }
        }
    }
}
