//! Meshes of plates, with their holes.

use std::collections::HashSet;
use std::f64::consts::TAU;

use geometry::DVec2;
use shape::Plate;
use spade::{ConstrainedDelaunayTriangulation, Point2, Triangulation};

use super::{Body, Fineness};

/// The mesh of a plate. A hole that runs into the plate's edge or into a hole before it is left out: it stands in the
/// flat drawing, but the two together are no hole.
pub fn plate(p: &Plate, fine: Fineness) -> Body {
    let mut body = Body { name: p.name.clone(), ..Body::default() };
    let mut loops = vec![p.corners.clone()];
    loops.extend(p.whole_holes().iter().map(|&(c, d)| {
        let corner = |k: usize| c + DVec2::from_angle(TAU * k as f64 / fine.round as f64) * (0.5 * d);
        (0..fine.round).map(corner).collect()
    }));
    let Some((points, faces)) = triangles(&loops) else { return body };
    let n = points.len() as u32;
    for h in [p.faces.0, p.faces.1] {
        body.points.extend(points.iter().map(|c| p.place(*c, h)));
    }
    let edges: HashSet<(u32, u32)> = faces.iter().flat_map(|t| sides(*t)).collect();
    for t in faces {
        body.triangles.extend([[t[0], t[2], t[1]], t.map(|i| i + n)]);
        // An edge that no other triangle shares is the rim's.
        for (a, b) in sides(t).into_iter().filter(|(a, b)| !edges.contains(&(*b, *a))) {
            body.triangles.extend([[a, b, b + n], [a, b + n, a + n]]);
        }
    }
    body
}

fn sides(t: [u32; 3]) -> [(u32, u32); 3] {
    [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])]
}

/// Anticlockwise triangles of what an odd number of loops go round, and the points that they refer to. `None` for
/// loops that span no area.
fn triangles(loops: &[Vec<DVec2>]) -> Option<(Vec<DVec2>, Vec<[u32; 3]>)> {
    // The triangulation takes no numbers so small that their products are lost; they are nothing here.
    let whole = |v: f64| if v.abs() < spade::MIN_ALLOWED_VALUE { 0.0 } else { v };
    let mut places = Vec::new();
    let mut rims = Vec::new();
    for ring in loops {
        let first = places.len();
        places.extend(ring.iter().map(|c| Point2::new(whole(c.x), whole(c.y))));
        rims.extend((0..ring.len()).map(|k| [first + k, first + (k + 1) % ring.len()]));
    }
    // A rim that can't be kept has been seen to cross another one: the outline is simple and its holes lie clear.
    let net = ConstrainedDelaunayTriangulation::<_>::try_bulk_load_cdt(places, rims, |_| {}).ok()?;
    // From outside inward: a step over a rim goes from out to in or back.
    let mut within: Vec<Option<bool>> = vec![None; net.num_all_faces()];
    let outer = net.outer_face().fix();
    within[outer.index()] = Some(false);
    let mut todo: Vec<_> = net.convex_hull().map(|e| if e.face().fix() == outer { e } else { e.rev() }).collect();
    while let Some(e) = todo.pop() {
        let over = e.rev();
        let (here, there) = (within[e.face().fix().index()], over.face().fix().index());
        if within[there].is_none() {
            within[there] = here.map(|w| w != e.is_constraint_edge());
            todo.extend([over.next(), over.prev()]);
        }
    }
    let faces = net
        .inner_faces()
        .filter(|f| within[f.fix().index()] == Some(true))
        .map(|f| f.vertices().map(|v| v.fix().index() as u32))
        .collect();
    Some((net.vertices().map(|v| DVec2::new(v.position().x, v.position().y)).collect(), faces))
}
