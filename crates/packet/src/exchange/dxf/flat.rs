//! Flat drawings, in millimetres at 1:1, with a light polyline for every line.

use design::units::Unit;
use geometry::DVec3;

use super::tags::{Tags, plain};
use super::{Setting, file};
use crate::exchange::flat::{Drawing, Layer, bounds};

/// Colours of the layers by the form's index: black or white, red, grey, blue.
fn colour(layer: Layer) -> &'static str {
    match layer {
        Layer::CutOutside => "7",
        Layer::CutInside => "1",
        Layer::Contact => "8",
        Layer::Mark | Layer::Note => "5",
    }
}

/// Writes a drawing, in millimetres.
pub fn write(d: &Drawing) -> String {
    let (lo, hi) = bounds(d);
    let at = |p: glam::DVec2| DVec3::new(p.x, p.y, 0.0) * 1e-3;
    let own = Layer::ALL.iter().map(|l| (l.name(), colour(*l)));
    let layers: Vec<(&str, &str)> = std::iter::once(("0", "7")).chain(own).collect();
    let set = Setting { unit: Unit::Mm, layers: &layers, adds: &[], bounds: (at(lo), at(hi)) };
    file(&set, |t| entities(t, d))
}

fn entities(t: &mut Tags, d: &Drawing) {
    for l in &d.lines {
        t.entity("LWPOLYLINE", l.layer.name(), "AcDbPolyline");
        t.tag(90, &l.points.len().to_string());
        t.tag(70, if l.closed { "1" } else { "0" });
        for p in &l.points {
            t.number(10, p.x);
            t.number(20, p.y);
        }
    }
    for c in &d.circles {
        t.entity("CIRCLE", c.layer.name(), "AcDbCircle");
        t.number(10, c.centre.x);
        t.number(20, c.centre.y);
        t.number(30, 0.0);
        t.number(40, c.radius);
    }
    for n in &d.notes {
        t.entity("TEXT", n.layer.name(), "AcDbText");
        t.number(10, n.at.x);
        t.number(20, n.at.y);
        t.number(30, 0.0);
        t.number(40, n.height);
        t.tag(1, &plain(&n.words));
        t.tag(100, "AcDbText");
    }
}
