//! `[plate.NAME]`.

use glam::DVec2;
use toml::de::DeValue;

use super::fields::{Fields, Node, Reader, clip};
use super::paths::SAME_PLACE;
use crate::keys::{self, FLAT, Value};
use crate::model::{Hole, HoleAt, Plate, PlateOutline, PlateSide, PointRef, Span};

/// No plate has more corners or holes.
const MOST_ITEMS: usize = 2000;
/// Directions whose angle has a smaller sine than this don't span a plane: rounding of the file's decimals can't matter
/// as much.
const PARALLEL: f64 = 1e-6;

impl<'a> Reader<'a> {
    /// The plates of the file.
    pub fn plates(&mut self) -> Vec<Option<Plate>> {
        let items = self.names.plates.items.clone();
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::PLATE, format!("plate `{}`", clip(item.name)))?;
                self.plate(&f, item.name, item.span())
            })
            .collect()
    }

    fn plate(&mut self, f: &Fields<'a>, name: &str, span: Span) -> Option<Plate> {
        let thickness = self.number(f, "thickness");
        let material = self.material_at(f, "material");
        let outline = self.outline(f);
        let side = match self.choice(f, "side") {
            Some("above") => PlateSide::Above,
            Some(_) => PlateSide::Below,
            None => PlateSide::Centred,
        };
        let flat = f.get("outline").is_none_or(|n| n.get_ref().is_table());
        let holes = if f.has("holes") { self.holes(f, flat) } else { Some(Vec::new()) };
        let mirror = self.flag(f, "mirror").unwrap_or(false);
        let note = self.text(f, "note");
        Some(Plate {
            name: name.to_owned(),
            thickness: thickness?,
            material: material?,
            outline: outline?,
            side,
            holes: holes?,
            mirror,
            note,
            span,
        })
    }

    fn outline(&mut self, f: &Fields<'a>) -> Option<PlateOutline> {
        let node = f.get("outline")?;
        match node.get_ref() {
            DeValue::Array(_) => self.corner_points(f),
            DeValue::Table(_) => self.flat_outline(f),
            _ => {
                self.wrong_type(node, f.at("outline"), &f.table.key("outline")?.value);
                None
            }
        }
    }

    fn few_enough(&mut self, f: &Fields<'a>, key: &str, n: usize) -> bool {
        if n > MOST_ITEMS {
            let message = format!("{} has {n} items", f.at(key));
            let help = "check that it is what you mean; a plate is drawn with fewer";
            self.error(f.span_of(key), message, format!("at most {MOST_ITEMS} are read"), help);
        }
        n <= MOST_ITEMS
    }

    fn corner_points(&mut self, f: &Fields<'a>) -> Option<PlateOutline> {
        let nodes = self.list(f, "outline")?;
        if !self.few_enough(f, "outline", nodes.len()) {
            return None;
        }
        let found: Vec<Option<PointRef>> =
            nodes.iter().enumerate().map(|(i, n)| self.point_at(n, f.at("outline").nth(i))).collect();
        let corners: Vec<PointRef> = found.into_iter().collect::<Option<_>>()?;
        let mut seen = std::collections::HashSet::new();
        if let Some(again) = corners.iter().find(|c| !seen.insert((c.id, c.twin))) {
            let message = format!("the outline of {} comes to the same point twice", f.what);
            let help = "an outline closes by itself and does not cross itself: take one out";
            self.error(again.span.clone(), message, "a second time", help);
            return None;
        }
        Some(PlateOutline::Points(corners))
    }

    fn flat_outline(&mut self, f: &Fields<'a>) -> Option<PlateOutline> {
        let o = self.table(f, "outline", format!("the outline of {}", f.what))?;
        let origin = o.get("origin").and_then(|n| self.point_at(n, o.at("origin")));
        let x = self.direction(&o, "x");
        let y = self.direction(&o, "y");
        let corners = self.corners(&o);
        let (x, y, corners) = (x?, y?, corners?);
        if x.normalize().cross(y.normalize()).length() < PARALLEL {
            let message = format!("`x` and `y` of {} have the same direction", o.what);
            self.error(o.span_of("y"), message, "along `x`", "give two directions that span the plate");
            return None;
        }
        Some(PlateOutline::Flat { origin: origin?, x, y, corners })
    }

    fn corners(&mut self, o: &Fields<'a>) -> Option<Vec<DVec2>> {
        let nodes = self.list(o, "corners")?;
        if !self.few_enough(o, "corners", nodes.len()) {
            return None;
        }
        let found: Vec<Option<DVec2>> =
            nodes.iter().enumerate().map(|(i, n)| self.pair_at(n, o.at("corners").nth(i), &FLAT)).collect();
        let corners: Vec<DVec2> = found.into_iter().collect::<Option<_>>()?;
        for (i, node) in nodes.iter().enumerate() {
            let next = corners[(i + 1) % corners.len()];
            if corners[i].distance(next) < SAME_PLACE {
                let message = format!("{} has two corners in the same place", o.what);
                self.error(
                    node.span(),
                    message,
                    "the next one is here too",
                    "an outline closes by itself: take one out",
                );
                return None;
            }
        }
        let twice_area: f64 = (0..corners.len()).map(|i| corners[i].perp_dot(corners[(i + 1) % corners.len()])).sum();
        if twice_area.abs() < SAME_PLACE * SAME_PLACE {
            let message = format!("{} has no area", o.what);
            self.error(o.span_of("corners"), message, "all on a line", "check the corners and their order");
            return None;
        }
        Some(corners)
    }

    fn holes(&mut self, f: &Fields<'a>, flat: bool) -> Option<Vec<Hole>> {
        let nodes = self.list(f, "holes")?;
        if !self.few_enough(f, "holes", nodes.len()) {
            return None;
        }
        let holes: Vec<Option<Hole>> = nodes.iter().enumerate().map(|(i, n)| self.hole(f, n, i, flat)).collect();
        holes.into_iter().collect()
    }

    fn hole(&mut self, plate: &Fields<'a>, node: &'a Node<'a>, i: usize, flat: bool) -> Option<Hole> {
        let f = self.open(node, &keys::HOLE, format!("hole {} of {}", i + 1, plate.what))?;
        let d = self.number(&f, "d");
        let at = f.get("at").and_then(|node| match node.get_ref() {
            DeValue::String(_) => Some(HoleAt::Point(self.point_at(node, f.at("at"))?)),
            DeValue::Array(_) if !flat => {
                let message = format!("{} has flat coordinates, but the outline is given by points", f.what);
                let help = "name a point here, or give the outline as { origin = …, x = …, y = …, corners = … }";
                self.error(node.span(), message, "counted from where?", help);
                None
            }
            DeValue::Array(_) => Some(HoleAt::Flat(self.pair_at(node, f.at("at"), &FLAT)?)),
            _ => {
                let value: &'static Value = &f.table.key("at")?.value;
                self.wrong_type(node, f.at("at"), value);
                None
            }
        });
        Some(Hole { at: at?, d: d? })
    }
}
