//! Flat faces of a hull: its triangles merged where they lie in one plane.

use crate::{DVec3, Hull};

/// A flat face with straight edges.
#[derive(Clone, Debug, PartialEq)]
pub struct Facet {
    /// Unit outward normal.
    pub normal: DVec3,
    /// Distance of its plane from the origin along the normal.
    pub offset: f64,
    /// Corners (points of the hull), anticlockwise seen from outside; none in the middle of a straight edge.
    pub corners: Vec<u32>,
    /// The facet across the edge from corner `i` to corner `i + 1`.
    pub across: Vec<u32>,
}

/// Merges triangles whose corners lie within `tolerance` of the plane of the largest of them. A sliver between two
/// faces goes to the larger.
pub fn facets(hull: &Hull, tolerance: f64) -> Vec<Facet> {
    let at = |i: u32| hull.points[i as usize];
    let mut order: Vec<(f64, u32)> = hull
        .alive()
        .map(|(i, t)| {
            let [a, b, c] = t.points.map(at);
            ((b - a).cross(c - a).length_squared(), i)
        })
        .collect();
    order.sort_unstable_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
    let mut of = vec![u32::MAX; hull.triangles.len()];
    // The groups one after the other, and where each starts.
    let mut grouped: Vec<u32> = Vec::with_capacity(order.len());
    let mut starts: Vec<usize> = Vec::with_capacity(order.len() + 1);
    for &(_, seed) in &order {
        if of[seed as usize] != u32::MAX {
            continue;
        }
        let id = starts.len() as u32;
        starts.push(grouped.len());
        of[seed as usize] = id;
        let (normal, offset) = (hull.triangles[seed as usize].normal, hull.triangles[seed as usize].offset);
        let mut k = grouped.len();
        grouped.push(seed);
        while k < grouped.len() {
            for j in hull.triangles[grouped[k] as usize].across {
                if of[j as usize] != u32::MAX {
                    continue;
                }
                let t = &hull.triangles[j as usize];
                // A body thinner than the tolerance is flat long before; the sign keeps its two sides apart.
                let faces = t.normal.dot(normal) > 0.0 || t.normal == DVec3::ZERO;
                let flush = || t.points.iter().all(|p| (at(*p).dot(normal) - offset).abs() <= tolerance);
                if faces && flush() {
                    of[j as usize] = id;
                    grouped.push(j);
                }
            }
            k += 1;
        }
    }
    starts.push(grouped.len());
    starts
        .windows(2)
        .enumerate()
        .map(|(id, w)| {
            let group = &grouped[w[0]..w[1]];
            let seed = &hull.triangles[group[0] as usize];
            let (corners, across) = rim(hull, group, id as u32, &of, tolerance);
            Facet { normal: seed.normal, offset: seed.offset, corners, across }
        })
        .collect()
}

/// The edges of a group of triangles in order, straight ones in one piece.
fn rim(hull: &Hull, group: &[u32], id: u32, of: &[u32], tolerance: f64) -> (Vec<u32>, Vec<u32>) {
    if let [one] = group {
        let t = &hull.triangles[*one as usize];
        let first = (0..3).min_by_key(|k| t.points[*k]).unwrap_or(0);
        let order = [first, (first + 1) % 3, (first + 2) % 3];
        return (order.map(|k| t.points[k]).to_vec(), order.map(|k| of[t.across[k] as usize]).to_vec());
    }
    let mut edges: Vec<(u32, u32, u32)> = Vec::with_capacity(group.len() + 2);
    for &i in group {
        let t = &hull.triangles[i as usize];
        for k in 0..3 {
            let other = of[t.across[k] as usize];
            if other != id {
                edges.push((t.points[k], t.points[(k + 1) % 3], other));
            }
        }
    }
    edges.sort_unstable();
    let mut corners = Vec::new();
    let mut across = Vec::new();
    let Some(&(start, mut next, first)) = edges.first() else { return (corners, across) };
    corners.push(start);
    across.push(first);
    while next != start && corners.len() <= edges.len() {
        let Ok(k) = edges.binary_search_by(|e| e.0.cmp(&next)) else { break };
        corners.push(next);
        across.push(edges[k].2);
        next = edges[k].1;
    }
    let n = corners.len();
    let at = |k: usize| hull.points[corners[k % n] as usize];
    let mut keep: Vec<bool> = vec![true; n];
    let mut left = n;
    for k in 0..n {
        let before = (1..n).map(|d| (k + n - d) % n).find(|&j| keep[j]).unwrap_or(k);
        let (a, b, c) = (at(before), at(k), at(k + 1));
        let along = (c - a).normalize_or_zero();
        // An edge shorter than the tolerance has no direction that means anything.
        let straight = across[before] == across[k] && (b - a).cross(along).length() <= tolerance;
        if left > 3 && (straight || (b - a).length() <= tolerance) {
            keep[k] = false;
            left -= 1;
        }
    }
    let pick = |v: &[u32]| v.iter().zip(&keep).filter(|(_, k)| **k).map(|(x, _)| *x).collect();
    (pick(&corners), pick(&across))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_of_many_points_has_six_faces_of_four_corners() {
        let turn = glam::DQuat::from_euler(glam::EulerRot::XYZ, 0.3, 1.1, -0.7);
        let points = (0..64)
            .map(|i| turn * DVec3::new((i % 4) as f64, (i / 4 % 4) as f64 * 0.7, (i / 16) as f64 * 2.0) + DVec3::X)
            .collect();
        let hull = Hull::new(points).unwrap();
        let faces = facets(&hull, 1e-9 * hull.size());
        assert_eq!(faces.len(), 6);
        for (i, f) in faces.iter().enumerate() {
            assert_eq!((f.corners.len(), f.across.len()), (4, 4));
            for &j in &f.across {
                assert!(faces[j as usize].across.contains(&(i as u32)));
            }
        }
    }
}
