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

/// The sides of all triangles, those that run between the same two corners next to one another.
#[derive(Clone, Debug, Default)]
pub struct Sides(Vec<(u64, u32)>);

/// Sides between the same two corners.
#[derive(Clone, Copy, Debug)]
pub struct Edge<'a> {
    /// Its corners. Of corners with equal coordinates the first one stands for all.
    pub corners: [u32; 2],
    sides: &'a [(u64, u32)],
}

impl Edge<'_> {
    /// The triangles that meet there, and for each which of its corners is the one off the edge.
    pub fn triangles(&self) -> impl ExactSizeIterator<Item = (usize, usize)> + Clone {
        self.sides.iter().map(|&(_, i)| (i as usize / 3, (i as usize + 2) % 3))
    }
}

impl Sides {
    pub(crate) fn of(mesh: &Mesh) -> Sides {
        let mut first: FxHashMap<[u64; 3], u32> = FxHashMap::default();
        first.reserve(mesh.vertices.len() / 4);
        // Adding 0 makes one of -0 and 0.
        let one: Vec<u32> = (0u32..)
            .zip(&mesh.vertices)
            .map(|(i, v)| *first.entry((*v + 0.0).to_array().map(f64::to_bits)).or_insert(i))
            .collect();
        // The lower corner, the higher one, and in the last bit whether the triangle runs from the higher to the lower.
        // There are far fewer than 2^31 corners.
        let mut sides: Vec<(u64, u32)> = Vec::with_capacity(3 * mesh.triangles.len());
        for t in &mesh.triangles {
            let [a, b, c] = t.map(|v| u64::from(one[v as usize]));
            for (a, b) in [(a, b), (b, c), (c, a)] {
                let key = (a.min(b) << 33) | (a.max(b) << 1) | u64::from(a > b);
                sides.push((key, sides.len() as u32));
            }
        }
        sides.sort_unstable();
        Sides(sides)
    }

    /// Every edge, by its corners.
    pub fn edges(&self) -> impl Iterator<Item = Edge<'_>> {
        self.0.chunk_by(|a, b| a.0 >> 1 == b.0 >> 1).map(|sides| {
            let key = sides[0].0;
            Edge { corners: [(key >> 33) as u32, (key >> 1) as u32], sides }
        })
    }

    /// What they tell.
    pub fn count(&self) -> Edges {
        let mut out = Edges::default();
        for e in self.edges() {
            match e.sides {
                [_] => out.open += 1,
                [a, b] => out.turned += usize::from(a.0 & 1 == b.0 & 1),
                _ => out.crowded += 1,
            }
        }
        out
    }
}
