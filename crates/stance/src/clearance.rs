//! What hangs low.

use geometry::DVec3;
use serde::Serialize;
use shape::Shape;
use shape::bodies::BodyKind;

use crate::ground::Ground;
use crate::solids::{Kind, Thing, farthest_of};

/// The lowest place of a tube, plate, mass or skin.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Low {
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// Height over the ground, m.
    pub height: f64,
    /// Where, in the frame's axes, m.
    pub at: DVec3,
    /// Distance along the tube from its start, m.
    pub station: Option<f64>,
    /// Whether it rides with a wheel: it is no part of the running clearance.
    pub unsprung: bool,
}

/// Lowest places of everything that counts, lowest first.
pub(crate) fn lowest<'t>(shape: &Shape, things: impl Iterator<Item = &'t Thing>, ground: &Ground) -> Vec<Low> {
    let down = -ground.normal;
    let mut out: Vec<Low> = things
        .map(|t| {
            let (at, station) = match t.tube {
                Some(i) => {
                    let (at, station) = farthest_of(&shape.tubes[i], down);
                    (at, Some(station))
                }
                None => {
                    let places = t.parts.iter().map(|p| p.support(down));
                    let at = places.max_by(|a, b| a.dot(down).total_cmp(&b.dot(down))).unwrap_or_default();
                    (at, None)
                }
            };
            Low { name: t.name.clone(), kind: t.kind, height: ground.over(at), at, station, unsprung: t.unsprung }
        })
        .collect();
    out.sort_by(|a, b| a.height.total_cmp(&b.height));
    out
}

/// The lowest place of a part of a person.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LowPart {
    /// The person's name.
    pub person: String,
    /// The part: `foot`, `hips` …
    pub part: &'static str,
    /// Height over the ground, m.
    pub height: f64,
    /// Where, in the frame's axes, m.
    pub at: DVec3,
}

/// Of everybody on board every part, the lowest first.
pub(crate) fn people(shape: &Shape, aboard: impl Fn(usize) -> bool, ground: &Ground) -> Vec<LowPart> {
    let mut out: Vec<LowPart> = Vec::new();
    for (_, b) in shape.bodies.iter().enumerate().filter(|(i, b)| b.kind == BodyKind::Occupant && aboard(*i)) {
        let from = out.len();
        for (part, solid) in &b.parts {
            let at = solid.farthest(-ground.normal);
            let low = LowPart { person: b.name.clone(), part, height: ground.over(at), at };
            match out[from..].iter_mut().find(|l| l.part == *part) {
                Some(l) if low.height < l.height => *l = low,
                Some(_) => {}
                None => out.push(low),
            }
        }
    }
    out.sort_by(|a, b| a.height.total_cmp(&b.height));
    out
}
