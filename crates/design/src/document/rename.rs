//! Names, changed in every place that uses them.

use toml_edit::{Item, Value};

use super::{Document, check_new_name, entries, order, out_of_step, parse};
use crate::model::*;
use crate::problem::Problem;

impl Document {
    /// The text with a point renamed.
    pub(super) fn rename_point(&self, name: &str, to: &str) -> Result<String, Vec<Problem>> {
        let point = self.point(name)?;
        if point.name == to {
            return Ok(self.text().to_owned());
        }
        check_new_name("point", to, self.design().points.iter().map(|p| p.name.as_str()))?;
        let id = self.design().points.iter().position(|p| p.name == point.name);
        let uses = point_uses(self.design()).into_iter().filter(|r| Some(r.id.0) == id);
        let text = self.spliced(uses.map(|r| (r.span.clone(), twin_name(to, r.twin))).collect());
        rename_entry(&text, "point", &point.name, to)
    }

    /// The text with a tube renamed.
    pub(super) fn rename_tube(&self, name: &str, to: &str) -> Result<String, Vec<Problem>> {
        let tube = self.tube(name)?;
        if tube.name == to {
            return Ok(self.text().to_owned());
        }
        check_new_name("tube", to, self.design().tubes.iter().map(|t| t.name.as_str()))?;
        let id = self.design().tubes.iter().position(|t| t.name == tube.name);
        let uses = tube_uses(self.design()).into_iter().filter(|r| Some(r.id.0) == id);
        let text = self.spliced(uses.map(|r| (r.span.clone(), twin_name(to, r.twin))).collect());
        rename_entry(&text, "tube", &tube.name, to)
    }

    /// The text with quoted names replaced.
    fn spliced(&self, mut names: Vec<(Span, String)>) -> String {
        names.sort_by_key(|(span, _)| span.start);
        let mut out = String::with_capacity(self.text().len());
        let mut done = 0;
        for (span, name) in names {
            let quote = if self.text()[span.start..].starts_with('\'') { '\'' } else { '"' };
            out.push_str(&self.text()[done..span.start]);
            out.extend([quote]);
            out.push_str(&name);
            out.extend([quote]);
            done = span.end;
        }
        out.push_str(&self.text()[done..]);
        out
    }
}

/// Renames a key of a table, and keeps its place.
fn rename_entry(text: &str, table: &str, name: &str, to: &str) -> Result<String, Vec<Problem>> {
    let mut doc = parse(text)?;
    let item = doc.get_mut(table).ok_or_else(out_of_step)?;
    let mut names: Vec<String> = entries(item).map(|(key, _)| key.to_owned()).collect();
    match item {
        Item::Table(table) => {
            let (old, value) = table.remove_entry(name).ok_or_else(out_of_step)?;
            table.insert_formatted(&renamed(&old, to), value);
        }
        Item::Value(Value::InlineTable(table)) => {
            let (old, value) = table.remove_entry(name).ok_or_else(out_of_step)?;
            table.insert_formatted(&renamed(&old, to), value);
        }
        _ => return Err(out_of_step()),
    }
    for n in names.iter_mut().filter(|n| *n == name) {
        *n = to.to_owned();
    }
    order::reorder(item, &names)?;
    Ok(doc.to_string())
}

fn renamed(old: &toml_edit::Key, to: &str) -> toml_edit::Key {
    toml_edit::Key::new(to).with_leaf_decor(old.leaf_decor().clone()).with_dotted_decor(old.dotted_decor().clone())
}

/// Every reference to a point in a design.
pub(super) fn point_uses(design: &Design) -> Vec<&PointRef> {
    let mut uses = Vec::new();
    for point in &design.points {
        if let Placement::From { point, .. } = &point.placement {
            uses.push(point);
        }
    }
    for tube in &design.tubes {
        uses.extend(&tube.path);
        for end in [&tube.start, &tube.end] {
            if let CutSpec::Plane(PlaneSpec::Point { point, .. }) = &end.cut {
                uses.push(point);
            }
        }
    }
    for plate in &design.plates {
        match &plate.outline {
            PlateOutline::Points(points) => uses.extend(points),
            PlateOutline::Flat { origin, .. } => uses.push(origin),
        }
        for hole in &plate.holes {
            if let HoleAt::Point(point) = &hole.at {
                uses.push(point);
            }
        }
    }
    let places = design.masses.iter().map(|m| &m.at);
    let places = places.chain(design.wheels.iter().map(|w| &w.at)).chain(design.occupants.iter().map(|o| &o.hip));
    let places = places.chain(design.occupants.iter().filter_map(|o| o.hands.as_ref()));
    for place in places {
        if let Place::Point(point) = place {
            uses.push(point);
        }
    }
    for curve in &design.curves {
        if let CurvePoints::Places(places) = &curve.points {
            uses.extend(places.iter().filter_map(|p| if let Place::Point(point) = p { Some(point) } else { None }));
        }
    }
    for opening in &design.openings {
        uses.extend(&opening.edge);
    }
    for measured in design.measures.iter().flat_map(|m| [&m.from, &m.to]) {
        if let Measured::Point(point) | Measured::Plane(PlaneSpec::Point { point, .. }) = measured {
            uses.push(point);
        }
    }
    uses.extend(design.jig.saddles.iter().flatten().filter_map(|s| match &s.on {
        SaddleOn::Flat(PlaneSpec::Point { point, .. }) => Some(point),
        _ => None,
    }));
    uses.extend(design.mounts.iter().flat_map(|m| &m.at));
    for load in &design.loads {
        uses.extend(load.forces.iter().map(|f| &f.at).chain(load.held.iter().map(|h| &h.at)));
    }
    uses.extend(design.strength.rig.iter().flat_map(|r| r.front.iter().chain(&r.rear)));
    uses
}

/// Every reference to a tube in a design.
pub(super) fn tube_uses(design: &Design) -> Vec<&TubeRef> {
    let mut uses = Vec::new();
    if let Datum::Under(tube) | Datum::Over(tube) = &design.datum {
        uses.push(tube);
    }
    for point in &design.points {
        if let Placement::On { tube, .. } = &point.placement {
            uses.push(tube);
        }
    }
    for tube in &design.tubes {
        uses.extend(tube.start.to.iter().chain(&tube.end.to).chain(&tube.out_after));
    }
    for saddle in design.jig.saddles.iter().flatten() {
        uses.push(&saddle.tube);
        if let SaddleOn::Tube(host) = &saddle.on {
            uses.push(host);
        }
    }
    uses.extend(design.stances.iter().flat_map(|s| &s.stands).map(|s| &s.under));
    for measured in design.measures.iter().flat_map(|m| [&m.from, &m.to]) {
        if let Measured::Tube(tube) = measured {
            uses.push(tube);
        }
    }
    uses.extend(design.loads.iter().flat_map(|l| &l.spread).map(|s| &s.along));
    uses.extend(design.stages.iter().map(|s| &s.until));
    uses
}
