//! `[opening.NAME]` and `[skin.NAME]`.

use glam::DVec3;

use super::fields::{Fields, Reader, clip};
use crate::keys;
use crate::model::*;

/// Metres to one unit of a mesh.
pub const MESH_UNITS: [(&str, f64); 5] = [("mm", 0.001), ("cm", 0.01), ("m", 1.0), ("in", 0.0254), ("ft", 0.3048)];

/// Whether a path leads nowhere in the design's folder, as far as its words tell.
pub fn is_outside(path: &str) -> bool {
    let mut parts = std::path::Path::new(path).components();
    path.trim().is_empty()
        || parts.any(|c| !matches!(c, std::path::Component::Normal(_) | std::path::Component::CurDir))
}

impl<'a> Reader<'a> {
    /// The openings of the file.
    pub fn openings(&mut self) -> Vec<Option<Opening>> {
        let items = self.names.openings.items.clone();
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::OPENING, format!("opening `{}`", clip(item.name)))?;
                let edge = self.list(&f, "edge").and_then(|nodes| {
                    let read: Vec<Option<PointRef>> =
                        nodes.iter().enumerate().map(|(i, n)| self.point_at(n, f.at("edge").nth(i))).collect();
                    read.into_iter().collect::<Option<Vec<_>>>()
                });
                let inset = self.number(&f, "inset").unwrap_or(0.0);
                let closure = match self.choice(&f, "closed") {
                    Some("breaks") => Closure::Breaks,
                    Some(_) => Closure::Lifts,
                    None => Closure::Open,
                };
                let mirror = self.flag(&f, "mirror").unwrap_or(false);
                let note = self.text(&f, "note");
                let name = item.name.to_owned();
                Some(Opening { name, edge: edge?, inset, closure, mirror, note, span: item.span() })
            })
            .collect()
    }

    /// The skins of the file.
    pub fn skins(&mut self) -> Vec<Option<Skin>> {
        let items = self.names.skins.items.clone();
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::SKIN, format!("skin `{}`", clip(item.name)))?;
                self.skin(&f, item.name, item.span())
            })
            .collect()
    }

    fn skin(&mut self, f: &Fields<'a>, name: &str, span: Span) -> Option<Skin> {
        let file = self.text(f, "file");
        if file.as_deref().is_some_and(is_outside) {
            let message = format!("the file of {} is not in the design's folder", f.what);
            let help =
                "put the mesh beside the design file or in a folder there, and name it from there: \"body/nose.stl\"";
            self.error(f.span_of("file"), message, "not a path from the design's folder", help);
            return None;
        }
        let word = self.choice(f, "unit");
        let unit = MESH_UNITS.iter().find(|u| Some(u.0) == word).map(|u| u.1);
        let at = self.triple(f, "at").unwrap_or(DVec3::ZERO);
        let turn = self.triple(f, "turn").unwrap_or(DVec3::ZERO);
        let mirror = self.flag(f, "mirror").unwrap_or(false);
        let hard = self.flag(f, "hard").unwrap_or(false);
        let gap = self.number(f, "gap").unwrap_or(0.0);
        let rides = match f.get("rides") {
            Some(node) => Some(WheelId(self.name_at(node, f.at("rides"), keys::Kind::Wheel)?.0)),
            None => None,
        };
        let parts = if f.has("parts") {
            let nodes = self.list(f, "parts")?;
            let mut parts = Vec::with_capacity(nodes.len());
            for (i, node) in nodes.iter().enumerate() {
                match node.get_ref().as_str() {
                    Some(text) => parts.push(text.to_owned()),
                    None => {
                        self.wrong_type(node, f.at("parts").nth(i), &keys::Value::Text);
                        return None;
                    }
                }
            }
            parts
        } else {
            Vec::new()
        };
        Some(Skin { name: name.to_owned(), file: file?, unit: unit?, at, turn, mirror, hard, gap, rides, parts, span })
    }
}
