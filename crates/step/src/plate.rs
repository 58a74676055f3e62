//! Plates as solids.

use geometry::{DVec2, DVec3, Frame};
use shape::Plate;

use crate::brep::{Body, Curve, Face, Surface, Use, reversed};

/// A plate: its two faces, its edges, its holes. A hole that runs into the plate's edge or into a hole before it is left
/// out, as in meshes: the two together are no hole.
pub fn plate(p: &Plate, about: String) -> Result<Body, String> {
    let mut body = Body { name: p.name.clone(), about, ..Body::default() };
    let f = p.frame;
    let heights = [p.faces.0, p.faces.1];
    let mut bounds: [Vec<Vec<Use>>; 2] = [Vec::new(), Vec::new()];
    // Corners go anticlockwise seen from above.
    let n = p.corners.len();
    let at = heights.map(|h| p.corners.iter().map(|&c| body.place(p.place(c, h))).collect::<Vec<usize>>());
    let round = [0, 1].map(|s| (0..n).map(|k| body.line(at[s][k], at[s][(k + 1) % n])).collect::<Vec<Use>>());
    let up: Vec<Use> = (0..n).map(|k| body.line(at[0][k], at[1][k])).collect();
    for k in 0..n {
        let bound = vec![round[0][k], up[(k + 1) % n], round[1][k].back(), up[k].back()];
        let along = p.corners[(k + 1) % n] - p.corners[k];
        let normal = spatial(&f, -along.perp()).normalize_or_zero();
        let surface = Surface::Plane { origin: body.places[at[0][k]], normal };
        body.faces.push(Face { surface, same: true, bounds: vec![bound] });
    }
    bounds[0].push(reversed(&round[0]));
    bounds[1].push(round[1].clone());
    for (centre, d) in p.whole_holes() {
        let r = d / 2.0;
        let ends = [DVec2::new(r, 0.0), DVec2::new(-r, 0.0)];
        let at = heights.map(|h| ends.map(|e| body.place(p.place(centre + e, h))));
        let half = [0, 1].map(|s| {
            [0, 1].map(|k| {
                let c = p.place(centre, heights[s]);
                let x = spatial(&f, ends[k]).normalize_or_zero();
                body.edge(at[s][k], at[s][1 - k], Curve::Ellipse { centre: c, normal: f.t, x, a: r, b: r })
            })
        });
        let up = [0, 1].map(|k| body.line(at[0][k], at[1][k]));
        for k in 0..2 {
            let bound = vec![half[0][k], up[1 - k], half[1][k].back(), up[k].back()];
            // Halves run from x or from -x by way of y or -y: the seam lies on the other side.
            let x = spatial(&f, DVec2::new(0.0, if k == 0 { -1.0 } else { 1.0 }));
            let surface = Surface::Cylinder { origin: p.place(centre, heights[0]), axis: f.t, x, r };
            body.faces.push(Face { surface, same: false, bounds: vec![reversed(&bound)] });
        }
        bounds[0].push(vec![half[0][0], half[0][1]]);
        bounds[1].push(vec![half[1][1].back(), half[1][0].back()]);
    }
    let [below, above] = bounds;
    for (bounds, h, normal) in [(below, heights[0], -f.t), (above, heights[1], f.t)] {
        let surface = Surface::Plane { origin: p.place(DVec2::ZERO, h), normal };
        body.faces.push(Face { surface, same: true, bounds });
    }
    match body.flaw() {
        Some(why) => Err(why),
        None => Ok(body),
    }
}

/// A direction of the flat in space.
fn spatial(f: &Frame, d: DVec2) -> DVec3 {
    f.u * d.x + f.v * d.y
}
