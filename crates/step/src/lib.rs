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
mod plate;
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
        let mut about = format!("plate {} mm, {}", p.thickness * 1e3, shape.design.materials[spec.material.0].name);
        let cut = p.holes.len() - p.whole_holes().len();
        if cut > 0 {
            about += &format!("; without {cut} holes that run into its edge or into others");
        }
        Solid { name: p.name.clone(), body: plate::plate(p, about), off: 0.0, own: None }
    }));
    out
}

/// The frame's file: every solid where it stands, in the frame's axes. What could not be made, and what is off by more
/// than [`EDGE`], is told in the description of the whole.
pub fn frame(shape: &Shape, solids: &[Solid]) -> String {
    let bodies: Vec<Body> = solids.iter().filter_map(|s| s.body.clone().ok()).collect();
    let mut about = String::from("frame");
    for s in solids {
        match &s.body {
            Err(why) => about += &format!("; without {}: {why}", s.name),
            Ok(_) if s.off > EDGE => about += &format!("; edges of {} within {:.1e} mm", s.name, s.off * 1e3),
            Ok(_) => {}
        }
    }
    write::many(&shape.design.name, &about, &bodies)
}

/// Each piece's own file, pieces in order: its start point at the origin, x along its first leg, its scribe line up.
/// `None` where there is no solid. Plates have none: they are in the frame's file.
pub fn each(solids: &[Solid]) -> Vec<Option<String>> {
    let pieces: Vec<(&Solid, DMat3, DVec3)> =
        solids.iter().filter_map(|s| s.own.map(|(turn, shift)| (s, turn, shift))).collect();
    pieces
        .into_par_iter()
        .map(|(s, turn, shift)| s.body.as_ref().ok().map(|b| write::one(&b.moved(turn, shift))))
        .collect()
}
