//! Frames and pieces as true solids in ISO 10303-21 files: planes, cylinders, tori, and edges that are lines, circles,
//! ellipses or splines within a nanometre. See `docs/methods/step.md`.

pub mod brep;
mod cells;
mod end;
mod faces;
mod lines;
mod meet;
mod part21;
mod piece;
mod ring;
pub mod spline;
mod wall;
mod write;

use cutting::profile::EndRays;
use cutting::{Cutting, plan, solids};
use geometry::{DMat3, DVec3};
use rayon::prelude::*;
use shape::{End, Shape};

pub use brep::Body;
pub use end::EDGE;

/// A piece or plate as a solid, or why there is none.
#[derive(Clone, Debug)]
pub struct Solid {
    /// Name of the piece or plate.
    pub name: String,
    /// The solid in the frame's axes.
    pub body: Result<Body, String>,
    /// Farthest that an edge lies from the exact one where it was looked at, m.
    pub off: f64,
    /// Of a piece: its own axes, turned and moved out of the frame's.
    own: Option<(DMat3, DVec3)>,
}

/// All pieces, then all plates, in order. Provisional tubes are no pieces.
pub fn all(shape: &Shape, cutting: &Cutting) -> Vec<Solid> {
    let plans = plan::plan(shape);
    let hosts = solids::all(shape, &plans);
    let mut out: Vec<Solid> = cutting
        .pieces
        .par_iter()
        .map(|p| {
            let t = &shape.tubes[p.tube];
            let rays = End::BOTH.map(|e| EndRays::new(shape, t, e, &plans[p.tube][e as usize], &hosts));
            let (body, off) = match piece::piece(p, t, &rays) {
                Ok((b, off)) => (Ok(b), off),
                Err(why) => (Err(why), 0.0),
            };
            // Along its first leg, scribe line up.
            let f = t.frames[0];
            let turn = DMat3::from_cols(f.t, f.u.cross(f.t), f.u).transpose();
            Solid { name: p.name.clone(), body, off, own: Some((turn, -(turn * f.origin))) }
        })
        .collect();
    out.extend(shape.plates.iter().map(|p| {
        let spec = &shape.design.plates[p.id.0];
        let about = format!("plate {} mm, {}", p.thickness * 1e3, shape.design.materials[spec.material.0].name);
        Solid { name: p.name.clone(), body: piece::plate(p, about), off: 0.0, own: None }
    }));
    out
}

/// The frame's file: every solid where it stands, in the frame's axes.
pub fn frame(shape: &Shape, solids: &[Solid]) -> String {
    let bodies: Vec<Body> = solids.iter().filter_map(|s| s.body.clone().ok()).collect();
    write::many(&shape.design.name, "frame", &bodies)
}

/// A piece's own file: its start point at the origin, x along its first leg, its scribe line up. `None` if there is no
/// solid. A plate's is where the plate stands.
pub fn alone(solid: &Solid) -> Option<String> {
    let body = solid.body.as_ref().ok()?;
    Some(match solid.own {
        Some((turn, shift)) => write::one(&body.moved(turn, shift)),
        None => write::one(body),
    })
}
