//! What hangs low.

use geometry::DVec3;
use serde::Serialize;
use shape::Shape;

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
