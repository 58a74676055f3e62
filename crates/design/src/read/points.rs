//! `[point]`.

use glam::DVec3;
use toml::de::DeValue;

use super::fields::{At, Fields, Node, Reader, clip};
use crate::keys::{self, COORDINATES, PLACE};
use crate::model::{Along, Place, Placement, Point};

const ALONG: [&str; 5] = ["at", "part", "x", "y", "z"];
const AXES: [&str; 3] = ["x", "y", "z"];

impl<'a> Reader<'a> {
    /// The points of the file.
    pub fn points(&mut self) -> Vec<Option<Point>> {
        let items = self.names.points.items.clone();
        items
            .into_iter()
            .map(|item| {
                let placement = self.placement(item.node, item.name)?;
                Some(Point { name: item.name.to_owned(), placement, span: item.span() })
            })
            .collect()
    }

    fn placement(&mut self, node: &'a Node<'a>, name: &str) -> Option<Placement> {
        let what = format!("point `{}`", clip(name));
        match node.get_ref() {
            DeValue::Array(_) => Some(Placement::At(self.triple_at(node, At::whole(&what), &COORDINATES)?)),
            DeValue::Table(_) => {
                let f = self.open(node, &keys::POINT_TABLE, what)?;
                match (f.has("on"), f.has("from")) {
                    (true, false) => self.on_tube(&f),
                    (false, true) => self.placed_from(&f),
                    (true, true) => {
                        let message = format!("{} has both `on` and `from`", f.what);
                        let help = "a point is on a tube or at an offset from another point: keep one";
                        self.error(f.span_of("from"), message, "one too many", help);
                        None
                    }
                    (false, false) => {
                        let message = format!("{} has neither `on` nor `from`", f.what);
                        let help =
                            "write [x, y, z], { on = \"tube\", part = 0.5 } or { from = \"point\", by = [x, y, z] }";
                        self.error(f.span.clone(), message, "not a place", help);
                        None
                    }
                }
            }
            _ => {
                let message = format!("{what} must be coordinates or a table");
                let help = "write [x, y, z], { on = \"tube\", part = 0.5 } or { from = \"point\", by = [x, y, z] }";
                self.error(node.span(), message, "not a place", help);
                None
            }
        }
    }

    fn on_tube(&mut self, f: &Fields<'a>) -> Option<Placement> {
        let tube = f.get("on").and_then(|node| self.tube_at(node, f.at("on")));
        let by = if f.has("by") { self.triple(f, "by") } else { Some(DVec3::ZERO) };
        let along = self.along(f);
        Some(Placement::On { tube: tube?, along: along?, by: by? })
    }

    /// Where along a tube, by one of `at`, `part`, `x`, `y`, `z`.
    pub fn along(&mut self, f: &Fields<'a>) -> Option<Along> {
        let given = f.present(&ALONG);
        let key = match given[..] {
            [key] => key,
            [] => {
                let message = format!("{} does not say where on the tube it is", f.what);
                let help =
                    "add one of at = distance from the start, part = 0.5, or x, y or z of a plane that it crosses";
                self.error(f.span.clone(), message, "one of `at`, `part`, `x`, `y`, `z` is missing", help);
                return None;
            }
            [_, second, ..] => {
                let names: Vec<String> = given.iter().map(|k| format!("`{k}`")).collect();
                let message = format!("{} has {}: one says where it is", f.what, names.join(" and "));
                self.error(f.span_of(second), message, "one too many", "keep one of them");
                return None;
            }
        };
        if f.has("pick") && !AXES.contains(&key) {
            let message = format!("`pick` of {} has nothing to pick from", f.what);
            self.error(f.span_of("pick"), message, format!("`{key}` gives one place"), "take `pick` out");
            return None;
        }
        let pick = self.whole(f, "pick");
        let value = self.number(f, key)?;
        Some(match AXES.iter().position(|a| *a == key) {
            Some(axis) => Along::Plane { axis, value, pick: pick.and_then(|p| usize::try_from(p).ok()) },
            None if key == "part" => Along::Part(value),
            None => Along::Length(value),
        })
    }

    fn placed_from(&mut self, f: &Fields<'a>) -> Option<Placement> {
        for key in f.present(&["at", "part", "x", "y", "z", "pick"]) {
            let message = format!("`{key}` of {} goes with `on`, not with `from`", f.what);
            self.error(f.span_of(key), message, "no meaning here", "an offset is by = [x, y, z]");
        }
        let point = f.get("from").and_then(|node| self.point_at(node, f.at("from")));
        if !f.has("by") {
            let message = format!("{} has no `by`", f.what);
            self.error(f.span.clone(), message, "how far from it?", "add by = [x, y, z]");
        }
        let by = self.triple(f, "by");
        Some(Placement::From { point: point?, by: by? })
    }

    /// A place: a point's name or coordinates.
    pub fn place(&mut self, f: &Fields<'a>, key: &str) -> Option<Place> {
        self.place_at(f.get(key)?, f.at(key))
    }

    /// The same at any place.
    pub fn place_at(&mut self, node: &'a Node<'a>, at: At<'_>) -> Option<Place> {
        match node.get_ref() {
            DeValue::String(_) => Some(Place::Point(self.point_at(node, at)?)),
            DeValue::Array(_) => Some(Place::At(self.triple_at(node, at, &COORDINATES)?)),
            _ => {
                self.wrong_type(node, at, &PLACE);
                None
            }
        }
    }
}
