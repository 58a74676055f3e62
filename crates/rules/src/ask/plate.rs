//! Plates under the feet of tubes.

use geometry::polygon;
use shape::{End, Plate, Shape};

use crate::roles::feet;
use crate::{Figure, Held};

/// A foot that ends this near a plate's face stands on it, m: root gaps and the slant of an end are less.
const ON: f64 = 0.01;

/// Each foot of a tube.
pub fn held(shape: &Shape, tube: usize, area: Option<f64>, thickness: Option<f64>, holes: Option<usize>) -> Vec<Held> {
    let t = &shape.tubes[tube];
    let mut out = Vec::new();
    for (end, at) in feet(shape, tube) {
        let foot = format!("foot at its {}", if end == End::Start { "start" } else { "end" });
        let Some(p) = shape.plates.iter().find(|p| stands(p, at)) else {
            out.push(Held::not_checked(vec![t.name.clone()], foot, "no plate lies under it").at(at));
            continue;
        };
        let names = || vec![t.name.clone(), p.name.clone()];
        let mut add = |what: &str, h: Option<(Figure, Figure)>| {
            out.extend(h.map(|(v, l)| Held::least(names(), what, v, l).at(at)));
        };
        add("area of the plate", area.map(|l| (Figure::Area(polygon::signed_area(&p.corners).abs()), Figure::Area(l))));
        add("thickness of the plate", thickness.map(|l| (Figure::Length(p.thickness), Figure::Length(l))));
        add("holes in the plate", holes.map(|l| (Figure::Count(p.holes.len()), Figure::Count(l))));
    }
    out
}

fn stands(p: &Plate, at: geometry::DVec3) -> bool {
    let d = at - p.frame.origin;
    let (x, h) = (geometry::DVec2::new(d.dot(p.frame.u), d.dot(p.frame.v)), d.dot(p.frame.t));
    h > p.faces.0 - ON && h < p.faces.1 + ON && polygon::contains(&p.corners, x)
}
