//! Flat drawings, in millimetres at 1:1, with a light polyline for every line.

use geometry::DVec3;

use super::tags::{Tags, plain};
use super::{MILLIMETRES, Setting, file};
use crate::exchange::flat::{Drawing, WRITING, bounds};

/// Layers and their colours by the form's index: black or white, grey, blue.
const LAYERS: [(&str, &str); 4] = [("0", "7"), ("cut", "7"), ("contact", "8"), ("mark", "5")];

/// Writes a drawing, in millimetres.
pub fn write(d: &Drawing) -> String {
    let (lo, hi) = bounds(d);
    let at = |p: glam::DVec2| DVec3::new(p.x, p.y, 0.0);
    let set = Setting { units: MILLIMETRES, layers: &LAYERS, adds: &[], bounds: (at(lo), at(hi)) };
    file(&set, |t| entities(t, d))
}

fn entities(t: &mut Tags, d: &Drawing) {
    for l in &d.lines {
        t.entity("LWPOLYLINE", l.layer, "AcDbPolyline");
        t.tag(90, &l.points.len().to_string());
        t.tag(70, if l.closed { "1" } else { "0" });
        for p in &l.points {
            t.number(10, p.x);
            t.number(20, p.y);
        }
    }
    for c in &d.circles {
        t.entity("CIRCLE", c.layer, "AcDbCircle");
        t.number(10, c.centre.x);
        t.number(20, c.centre.y);
        t.number(30, 0.0);
        t.number(40, c.radius);
    }
    for n in &d.notes {
        t.entity("TEXT", "mark", "AcDbText");
        t.number(10, n.at.x);
        t.number(20, n.at.y);
        t.number(30, 0.0);
        t.number(40, WRITING);
        t.tag(1, &plain(&n.words));
        t.tag(100, "AcDbText");
    }
}
