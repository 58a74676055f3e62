//! `[curve.NAME]`.

use super::fields::{Fields, Reader, clip};
use super::room::is_outside;
use crate::keys::{self, Kind};
use crate::model::{Curve, CurvePoints, DieId, Place, Span};

/// How far a tube may be from its curve where the file does not say, m: what the eye does not see on a frame; common
/// practice, no source.
pub const DEFAULT_WITHIN: f64 = 0.005;

impl<'a> Reader<'a> {
    /// The curves of the file.
    pub fn curves(&mut self) -> Vec<Option<Curve>> {
        let items = self.names.curves.items.clone();
        items
            .into_iter()
            .map(|item| {
                let f = self.open(item.node, &keys::CURVE, format!("curve `{}`", clip(item.name)))?;
                self.curve(&f, item.name, item.span())
            })
            .collect()
    }

    fn curve(&mut self, f: &Fields<'a>, name: &str, span: Span) -> Option<Curve> {
        let places = if f.has("points") { Some(self.places(f)) } else { None };
        let file = self.text(f, "file");
        let straight = self.choice(f, "line") == Some("straight");
        let within = self.number(f, "within").unwrap_or(DEFAULT_WITHIN);
        // A name that leads nowhere has been told.
        let die = f.get("die").map(|node| self.name_at(node, f.at("die"), Kind::Die));
        let mirror = self.flag(f, "mirror").unwrap_or(false);
        let note = self.text(f, "note");
        let points = match (places, f.has("file")) {
            (Some(_), true) => {
                let message = format!("{} has both `points` and `file`", f.what);
                self.error(f.span_of("file"), message, "a second line", "keep the one that is meant");
                return None;
            }
            (None, false) => {
                let message = format!("{} runs through nothing", f.what);
                let help = "add points = [[x, y, z], ...], or file = \"line.csv\"";
                self.error(f.span.clone(), message, "no `points`, no `file`", help);
                return None;
            }
            (Some(places), false) => CurvePoints::Places(places?),
            (None, true) => CurvePoints::File(file?),
        };
        if let CurvePoints::File(path) = &points
            && is_outside(path)
        {
            let message = format!("the file of {} is not in the design's folder", f.what);
            let help = "put it beside the design file or in a folder there, and name it from there: \"lines/roof.csv\"";
            self.error(f.span_of("file"), message, "not a path from the design's folder", help);
            return None;
        }
        let die = match die {
            Some(named) => Some(DieId(named?.0)),
            None => None,
        };
        Some(Curve { name: name.to_owned(), points, straight, within, die, mirror, note, span })
    }

    fn places(&mut self, f: &Fields<'a>) -> Option<Vec<Place>> {
        let nodes = self.list(f, "points")?;
        let read: Vec<Option<Place>> =
            nodes.iter().enumerate().map(|(i, n)| self.place_at(n, f.at("points").nth(i))).collect();
        read.into_iter().collect()
    }
}
