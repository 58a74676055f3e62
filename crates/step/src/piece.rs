//! A piece as a solid: its sides, leg by leg and bend by bend, and the faces of its two ends.

use cutting::Piece;
use cutting::profile::EndRays;
use geometry::{DVec3, Frame, Segment};
use shape::{End, Tube};

use crate::brep::{Body, Curve, Face, Surface, Use, reversed};
use crate::end::{self, EndFaces};
use crate::ring::Ring;

/// Legs between two bends that are shorter than this are none, m.
const NO_LEG: f64 = 1e-9;
/// What must be left between an end's cut and the bend or the cut before it, m.
const LEFT: f64 = 1e-6;

/// An edge that is farther off than this makes no solid, m: a hundredth of a millimetre, a tenth of what a shop works to.
const FARTHEST: f64 = 1e-5;

/// A piece's solid, and how far its edges may be off, m.
pub fn piece(p: &Piece, t: &Tube, rays: &[EndRays; 2]) -> Result<(Body, f64), String> {
    if p.ends.iter().any(|e| e.profile.open) {
        return Err("part of an end meets nothing: there is no such cut".to_owned());
    }
    let segments: Vec<usize> = (0..t.chain.segments.len())
        .filter(|&k| k == 0 || k + 1 == t.chain.segments.len() || t.chain.segments[k].length() > NO_LEG)
        .collect();
    let about = format!("{}, {}", p.section, p.material);
    let mut body = Body { name: p.name.clone(), about, ..Body::default() };
    let ends = [end::end(&mut body, &rays[0], t, End::Start)?, end::end(&mut body, &rays[1], t, End::End)?];
    let room = if segments.len() == 1 {
        ends[0].reach.0 + ends[1].reach.0 + t.chain.length() > LEFT
    } else {
        End::BOTH.iter().all(|e| ends[*e as usize].reach.0 + t.end_leg(*e) > LEFT)
    };
    if !room {
        return Err("a cut reaches into a bend, or through the other end".to_owned());
    }
    for (ring, outline) in [t.outline, t.bore].into_iter().enumerate() {
        sides(&mut body, t, &segments, &Ring::new(outline), ring, &ends);
    }
    let off = ends[0].off.max(ends[1].off);
    if off > FARTHEST {
        return Err(format!("an edge would be {:.2} mm off", off * 1e3));
    }
    match body.flaw() {
        Some(why) => Err(why),
        None => Ok((body, off)),
    }
}

/// The curve round one part of a ring at a frame.
fn round(f: &Frame, ring: &Ring, part: usize, from: DVec3, to: DVec3) -> Curve {
    match ring.parts[part].bow() {
        Some((centre, r)) => {
            let centre = f.place(centre);
            Curve::Ellipse { centre, normal: f.t, x: (from - centre).normalize_or_zero(), a: r, b: r }
        }
        None => Curve::Line { from, along: (to - from).normalize_or_zero() },
    }
}

/// The line that a place of the section runs along through a segment.
fn run(seg: &Segment, from: DVec3, to: DVec3) -> Curve {
    match *seg {
        Segment::Arc { centre, axis, .. } => {
            let centre = centre + axis * (from - centre).dot(axis);
            let d = from - centre;
            let (a, x) = (d.length(), d.normalize_or_zero());
            Curve::Ellipse { centre, normal: axis, x, a, b: a }
        }
        Segment::Leg { .. } => Curve::Line { from, along: (to - from).normalize_or_zero() },
    }
}

fn swept(seg: &Segment, f: &Frame, ring: &Ring, part: usize) -> Surface {
    let own = &ring.parts[part];
    match (*seg, own.bow()) {
        (Segment::Arc { centre, axis, start, radius, sweep }, Some((_, r))) => {
            // Its seam lies opposite the middle of the bend.
            let (s, c) = (sweep / 2.0).sin_cos();
            let x = -(start * c + axis.cross(start) * s);
            Surface::Torus { centre, axis, x, ring: radius, tube: r }
        }
        _ => own.swept(ring, f),
    }
}

/// All side faces along one ring: the outside (0) or the bore (1).
fn sides(body: &mut Body, t: &Tube, segments: &[usize], ring: &Ring, which: usize, ends: &[EndFaces; 2]) {
    let n = ring.parts.len();
    // At the start, at the seams between segments, at the end: the path along each part and the place where it starts.
    let mut paths: Vec<Vec<Vec<Use>>> = vec![ends[0].sides[which].clone()];
    let mut corners: Vec<Vec<usize>> = vec![ends[0].corners[which].clone()];
    for &k in &segments[1..] {
        let f = t.frames[k];
        let at: Vec<usize> = ring.parts.iter().map(|p| body.place(f.place(ring.at(p.from)))).collect();
        let path = (0..n)
            .map(|j| {
                let (a, b) = (at[j], at[(j + 1) % n]);
                let curve = round(&f, ring, j, body.places[a], body.places[b]);
                vec![body.edge(a, b, curve)]
            })
            .collect();
        paths.push(path);
        corners.push(at);
    }
    paths.push(ends[1].sides[which].clone());
    corners.push(ends[1].corners[which].clone());
    for (i, &k) in segments.iter().enumerate() {
        let seg = &t.chain.segments[k];
        let lines: Vec<Use> = (0..n)
            .map(|j| {
                let (a, b) = (corners[i][j], corners[i + 1][j]);
                let curve = run(seg, body.places[a], body.places[b]);
                body.edge(a, b, curve)
            })
            .collect();
        for j in 0..n {
            let mut bound = paths[i][j].clone();
            bound.push(lines[(j + 1) % n]);
            bound.extend(reversed(&paths[i + 1][j]));
            bound.push(lines[j].back());
            // The bore's faces look to the axis.
            let outside = which == 0;
            if !outside {
                bound = reversed(&bound);
            }
            let surface = swept(seg, &t.frames[k], ring, j);
            body.faces.push(Face { surface, same: outside, bounds: vec![bound] });
        }
    }
}
