//! `start` and `end` of a tube.

use glam::DVec3;

use super::fields::{Fields, Reader};
use crate::keys::Kind;
use crate::model::{CutSpec, EndSpec, PlaneSpec, Span, TubeId, TubeRef};

const AXES: [&str; 3] = ["x", "y", "z"];

impl<'a> Reader<'a> {
    /// Reads one end of the tube of that name.
    pub fn end_spec(&mut self, f: &Fields<'a>, span: Span, tube: &str, id: TubeId) -> Option<EndSpec> {
        let to = if f.has("to") { self.to(f, tube, id) } else { Some(Vec::new()) };
        let plane = if f.has("plane") { self.plane(f, "plane").map(Some) } else { Some(None) };
        let gap = self.number(f, "gap");
        let long = self.number(f, "long").unwrap_or(0.0);
        let word = self.choice(f, "cut");
        if word.is_none() && f.has("cut") {
            return None;
        }
        self.check_companions(f, word);
        let (to, plane) = (to?, plane?);
        let cut = match word {
            Some("cope") => CutSpec::Cope,
            Some("mitre") => CutSpec::Mitre,
            Some("square") => CutSpec::Square,
            Some(_) => CutSpec::Plane(plane?),
            None => match plane {
                Some(plane) => CutSpec::Plane(plane),
                None if to.is_empty() => CutSpec::ByOrder,
                None => CutSpec::Cope,
            },
        };
        if cut == CutSpec::Mitre && to.len() > 1 {
            let message = format!("{} is mitred with {} tubes", f.what, to.len());
            let help = "name one, or cut = \"cope\" to cut it to all of them";
            self.error(f.span_of("to"), message, "a mitre is with one", help);
            return None;
        }
        Some(EndSpec { cut, to, gap, long, span: Some(span) })
    }

    /// What goes with which cut.
    fn check_companions(&mut self, f: &Fields<'a>, word: Option<&str>) {
        let plane_cut = word == Some("plane") || (word.is_none() && f.has("plane"));
        if f.has("to") && (word == Some("square") || plane_cut) {
            let message =
                format!("{} has `to`, but is cut {}", f.what, if plane_cut { "on a plane" } else { "square" });
            self.error(f.span_of("to"), message, "for a cope or a mitre", "take `to` out, or change `cut`");
        }
        if let Some(word) = word.filter(|w| *w != "plane")
            && f.has("plane")
        {
            let message = format!("{} has a `plane`, but cut = \"{word}\"", f.what);
            self.error(f.span_of("plane"), message, "for cut = \"plane\"", "take `plane` out, or change `cut`");
        }
        if word == Some("plane") && !f.has("plane") {
            let message = format!("{} is cut on a plane, but has no `plane`", f.what);
            let help = "add plane = { z = … } or { x = … }, { y = … }, { point = …, normal = […] }, { plate = … }";
            self.error(f.span_of("cut"), message, "which plane?", help);
        }
    }

    fn to(&mut self, f: &Fields<'a>, tube: &str, id: TubeId) -> Option<Vec<TubeRef>> {
        let nodes = self.list(f, "to")?;
        let mut out: Vec<TubeRef> = Vec::new();
        let mut good = true;
        for (i, node) in nodes.iter().enumerate() {
            let Some(found) = self.tube_at(node, f.at("to").nth(i)) else {
                good = false;
                continue;
            };
            if found.id == id && !found.twin {
                let message = format!("{} is cut to `{tube}`, which is the tube itself", f.what);
                self.error(node.span(), message, "this tube", "name the tube that it meets");
                good = false;
            } else if out.iter().any(|t| (t.id, t.twin) == (found.id, found.twin)) {
                let message = format!("{} names the same tube twice", f.what);
                self.error(node.span(), message, "a second time", "take it out");
                good = false;
            } else {
                out.push(found);
            }
        }
        good.then_some(out)
    }

    /// The plane at this key.
    pub fn plane(&mut self, f: &Fields<'a>, key: &str) -> Option<PlaneSpec> {
        let p = self.table(f, key, format!("the plane at {}", f.what))?;
        let given = p.present(&["x", "y", "z", "point", "plate"]);
        let key = match given[..] {
            [key] => key,
            [] => {
                let help = "write { z = … }, { x = … }, { y = … }, { point = …, normal = […] } or { plate = … }";
                self.error(p.span.clone(), format!("{} is not given", p.what), "which plane?", help);
                return None;
            }
            [_, second, ..] => {
                let message = format!("{} is given twice", p.what);
                self.error(p.span_of(second), message, "one too many", "keep one of them");
                return None;
            }
        };
        if p.has("normal") && key != "point" {
            let message = format!("{} has a `normal`, which goes with `point`", p.what);
            self.error(p.span_of("normal"), message, "no meaning here", "take it out");
            return None;
        }
        match key {
            "point" => {
                if !p.has("normal") {
                    let message = format!("{} has a point but no `normal`", p.what);
                    self.error(p.span.clone(), message, "which way does it face?", "add normal = [x, y, z]");
                }
                let point = p.get("point").and_then(|n| self.point_at(n, p.at("point")));
                let normal = self.direction(&p, "normal");
                Some(PlaneSpec::Point { point: point?, normal: normal? })
            }
            "plate" => {
                let (plate, twin) = self.plate_at(p.get("plate")?, p.at(Kind::Plate.table()))?;
                Some(PlaneSpec::Plate { plate, twin })
            }
            _ => {
                let axis = AXES.iter().position(|a| *a == key)?;
                Some(PlaneSpec::Axis { axis, value: self.number(&p, key)? })
            }
        }
    }

    /// A direction that is not zero.
    pub fn direction(&mut self, f: &Fields<'a>, key: &str) -> Option<DVec3> {
        /// Shorter than this its square is lost in an f64.
        const SHORTEST: f64 = 1e-100;
        let direction = self.triple(f, key)?;
        if direction.abs().max_element() < SHORTEST {
            let message = format!("{} has no direction", f.at(key));
            self.error(f.span_of(key), message, "all zero", "one of the three must not be 0");
            return None;
        }
        Some(direction)
    }
}
