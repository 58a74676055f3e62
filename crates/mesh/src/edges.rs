//! Open, crowded and turned edges.

use rustc_hash::FxHashMap;

use crate::Mesh;

/// What the edges of a mesh tell. Corners with equal coordinates count as one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Edges {
    /// With one triangle only: the rim of a sheet, or of a hole.
    pub open: usize,
    /// With three or more: sheets that meet.
    pub crowded: usize,
    /// Whose two triangles run along it the same way, so that their normals point to different sides.
    pub turned: usize,
}

pub fn count(mesh: &Mesh) -> Edges {
    let mut first: FxHashMap<[u64; 3], u32> = FxHashMap::default();
    first.reserve(mesh.vertices.len() / 4);
    // Adding 0 makes one of -0 and 0.
    let one: Vec<u32> = (0u32..)
        .zip(&mesh.vertices)
        .map(|(i, v)| *first.entry((*v + 0.0).to_array().map(f64::to_bits)).or_insert(i))
        .collect();
    // The lower corner, the higher one, and in the last bit whether the triangle runs from the higher to the lower. There
    // are far fewer than 2^31 corners.
    let mut sides: Vec<u64> = Vec::with_capacity(3 * mesh.triangles.len());
    for t in &mesh.triangles {
        let [a, b, c] = t.map(|v| u64::from(one[v as usize]));
        sides.extend([(a, b), (b, c), (c, a)].map(|(a, b)| (a.min(b) << 33) | (a.max(b) << 1) | u64::from(a > b)));
    }
    sides.sort_unstable();
    let mut out = Edges::default();
    for s in sides.chunk_by(|a, b| a >> 1 == b >> 1) {
        match s {
            [_] => out.open += 1,
            [a, b] => out.turned += usize::from(a == b),
            _ => out.crowded += 1,
        }
    }
    out
}
