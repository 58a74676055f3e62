//! A convex block less convex cutters that do not meet, as one closed surface.
//!
//! A corner is where three planes meet. It is named by them and computed from them once, so that all faces that share it
//! have the very same point: the surface closes without any tolerance.

use std::collections::BTreeMap;

use geometry::{DMat3, DVec2, DVec3};

use super::ear;
use super::mesh::Mesh;

/// A half-space: where `n · p` is at most `d`. `n` is a unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Half {
    /// Unit normal, outward.
    pub n: DVec3,
    /// Distance of its plane from the origin along the normal.
    pub d: f64,
}

impl Half {
    /// The half-space under a point of its plane.
    pub fn under(at: DVec3, n: DVec3) -> Half {
        Half { n, d: n.dot(at) }
    }

    fn over(&self, p: DVec3) -> f64 {
        self.n.dot(p) - self.d
    }
}

/// Half of the first square of a plane, m: farther than any saddle reaches.
const FAR: f64 = 10.0;
/// Labels of the first square's edges; none is left of a bounded face.
const OUTER: usize = usize::MAX - 4;
/// Corners of three planes whose normals span less than this are no corners: two of them are parallel.
const FLAT: f64 = 1e-9;

type Key = [usize; 3];

/// A convex polygon: corners, each with the plane on which the edge to the next corner lies.
type Polygon = Vec<(DVec3, usize)>;

struct Planes(Vec<Half>);

impl Planes {
    /// A large square in a plane, anticlockwise seen from outside.
    fn square(&self, k: usize) -> Polygon {
        let h = self.0[k];
        let u = h.n.any_orthonormal_vector();
        let v = h.n.cross(u);
        let at = |x: f64, y: f64| h.n * h.d + (u * x + v * y) * FAR;
        vec![(at(-1.0, -1.0), OUTER), (at(1.0, -1.0), OUTER + 1), (at(1.0, 1.0), OUTER + 2), (at(-1.0, 1.0), OUTER + 3)]
    }

    /// What of a polygon lies within a half-space.
    fn clip(&self, p: &Polygon, k: usize) -> Polygon {
        let h = self.0[k];
        let mut out = Vec::with_capacity(p.len() + 1);
        for i in 0..p.len() {
            let ((a, label), (b, _)) = (p[i], p[(i + 1) % p.len()]);
            let (da, db) = (h.over(a), h.over(b));
            let cross = || a + (b - a) * (da / (da - db));
            match (da <= 0.0, db <= 0.0) {
                (true, true) => out.push((a, label)),
                (true, false) => out.extend([(a, label), (cross(), k)]),
                (false, true) => out.push((cross(), label)),
                (false, false) => {}
            }
        }
        if out.len() < 3 { Vec::new() } else { out }
    }

    fn clip_all(&self, p: Polygon, by: &[usize], but: usize) -> Polygon {
        by.iter().filter(|&&k| k != but).fold(p, |p, &k| if p.is_empty() { p } else { self.clip(&p, k) })
    }

    /// Corners of a polygon in a plane, by name.
    fn keys(own: usize, p: &Polygon) -> Vec<Key> {
        let n = p.len();
        (0..n)
            .map(|i| {
                let mut k = [own, p[(i + n - 1) % n].1, p[i].1];
                k.sort_unstable();
                k
            })
            .collect()
    }

    fn corner(&self, key: Key) -> Option<DVec3> {
        if key[2] >= OUTER {
            return None;
        }
        let [a, b, c] = key.map(|k| self.0[k]);
        let m = DMat3::from_cols(a.n, b.n, c.n).transpose();
        (m.determinant().abs() > FLAT).then(|| m.inverse() * DVec3::new(a.d, b.d, c.d))
    }
}

/// The block less the cutters. A cutter may reach beyond the block without end.
///
/// # Errors
///
/// One sentence: two cutters meet inside the block, nothing is left, or the surface does not close.
pub fn carve(block: &[Half], cutters: &[Vec<Half>]) -> Result<Mesh, String> {
    let mut all = Planes(block.to_vec());
    let body: Vec<usize> = (0..block.len()).collect();
    let tools: Vec<Vec<usize>> = cutters
        .iter()
        .map(|c| {
            let from = all.0.len();
            all.0.extend(c);
            (from..all.0.len()).collect()
        })
        .collect();
    let all = all;
    // Faces that cutters leave in the block, still facing out of the cutter.
    let inner: Vec<Vec<(usize, Polygon)>> = tools
        .iter()
        .map(|t| {
            let face = |&k: &usize| (k, all.clip_all(all.clip_all(all.square(k), t, k), &body, k));
            t.iter().map(face).filter(|f| !f.1.is_empty()).collect()
        })
        .collect();
    for (i, faces) in inner.iter().enumerate() {
        for (j, t) in tools.iter().enumerate() {
            if i != j && faces.iter().any(|(_, f)| !all.clip_all(f.clone(), t, usize::MAX).is_empty()) {
                return Err("two of its hollows meet".to_owned());
            }
        }
    }
    let mut build = Build { planes: &all, index: BTreeMap::new(), mesh: Mesh::default() };
    for &f in &body {
        let whole = all.clip_all(all.square(f), &body, f);
        if whole.is_empty() {
            continue;
        }
        let taken: Vec<Polygon> =
            tools.iter().map(|t| all.clip_all(whole.clone(), t, f)).filter(|p| !p.is_empty()).collect();
        build.face(f, block[f].n, &edges(f, &whole, &taken))?;
    }
    for (k, p) in inner.iter().flatten() {
        let keys = Planes::keys(*k, p);
        let n = keys.len();
        let back: Vec<(Key, Key)> = (0..n).map(|i| (keys[(i + 1) % n], keys[i])).filter(|e| e.0 != e.1).collect();
        build.face(*k, -all.0[*k].n, &back)?;
    }
    let mesh = build.mesh;
    mesh.check()?;
    Ok(mesh)
}

/// Edges round what is left of a face once polygons are taken from it.
fn edges(own: usize, whole: &Polygon, taken: &[Polygon]) -> Vec<(Key, Key)> {
    let named: Vec<Vec<Key>> = taken.iter().map(|p| Planes::keys(own, p)).collect();
    let keys = Planes::keys(own, whole);
    let sides: Vec<usize> = whole.iter().map(|v| v.1).collect();
    let mut out = Vec::new();
    for i in 0..whole.len() {
        let next = (i + 1) % whole.len();
        let along = whole[next].0 - whole[i].0;
        // What is taken of this edge: how far along, from which corner, to which.
        let mut gone: Vec<(f64, Key, Key)> = Vec::new();
        for (p, k) in taken.iter().zip(&named) {
            for j in (0..p.len()).filter(|&j| p[j].1 == sides[i]) {
                gone.push(((p[j].0 - whole[i].0).dot(along), k[j], k[(j + 1) % p.len()]));
            }
        }
        gone.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut from = keys[i];
        for (_, a, b) in gone {
            if from != a {
                out.push((from, a));
            }
            from = b;
        }
        if from != keys[next] {
            out.push((from, keys[next]));
        }
    }
    for (p, k) in taken.iter().zip(&named) {
        for j in (0..p.len()).filter(|&j| !sides.contains(&p[j].1)) {
            out.push((k[(j + 1) % p.len()], k[j]));
        }
    }
    out
}

struct Build<'a> {
    planes: &'a Planes,
    index: BTreeMap<Key, u32>,
    mesh: Mesh,
}

impl Build<'_> {
    fn point(&mut self, key: Key) -> Result<u32, String> {
        if let Some(&i) = self.index.get(&key) {
            return Ok(i);
        }
        let p = self.planes.corner(key).ok_or("one of its faces has no end")?;
        let i = self.mesh.points.len() as u32;
        self.mesh.points.push(p);
        self.index.insert(key, i);
        Ok(i)
    }

    /// Adds a plane face from the edges round it.
    fn face(&mut self, _own: usize, normal: DVec3, edges: &[(Key, Key)]) -> Result<(), String> {
        let mut next = BTreeMap::new();
        for &(a, b) in edges {
            if next.insert(a, b).is_some() {
                return Err("two of its hollows touch".to_owned());
            }
        }
        let u = normal.any_orthonormal_vector();
        let v = normal.cross(u);
        let mut loops: Vec<Vec<(DVec2, u32)>> = Vec::new();
        while let Some((&first, _)) = next.first_key_value() {
            let mut ring = Vec::new();
            let mut at = first;
            while let Some(to) = next.remove(&at) {
                let i = self.point(at)?;
                let p = self.mesh.points[i as usize];
                ring.push((DVec2::new(p.dot(u), p.dot(v)), i));
                at = to;
            }
            if at != first {
                return Err("the edge of a face does not close".to_owned());
            }
            loops.push(ring);
        }
        self.mesh.triangles.extend(ear::triangles(loops)?);
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cuboid(lo: DVec3, hi: DVec3) -> Vec<Half> {
        let mut out = Vec::new();
        for (a, axis) in DVec3::AXES.into_iter().enumerate() {
            out.push(Half { n: axis, d: hi[a] });
            out.push(Half { n: -axis, d: -lo[a] });
        }
        out
    }

    fn at(x: f64, y: f64, z: f64) -> DVec3 {
        DVec3::new(x, y, z)
    }

    /// Corners less edges plus faces.
    fn euler(m: &Mesh) -> i64 {
        m.points.len() as i64 - 3 * m.triangles.len() as i64 / 2 + m.triangles.len() as i64
    }

    #[test]
    fn a_plain_block_is_a_ball_with_its_volume() {
        let m = carve(&cuboid(at(-0.01, 0.0, 0.003), at(0.04, 0.02, 0.033)), &[]).unwrap();
        assert_eq!((m.points.len(), m.triangles.len(), euler(&m)), (8, 12, 2));
        assert!((m.volume() - 0.05 * 0.02 * 0.03).abs() < 1e-15);
    }

    #[test]
    fn holes_notches_and_pits_are_taken_off_exactly() {
        let block = cuboid(DVec3::ZERO, at(0.1, 0.06, 0.04));
        let through = cuboid(at(0.01, -1.0, 0.01), at(0.02, 1.0, 0.015));
        let notch = cuboid(at(0.03, -1.0, 0.03), at(0.05, 1.0, 1.0));
        let corner = cuboid(at(0.09, 0.05, -1.0), at(1.0, 1.0, 1.0));
        let pit = cuboid(at(0.07, 0.02, 0.035), at(0.08, 0.03, 1.0));
        let m = carve(&block, &[through, notch, corner, pit]).unwrap();
        let gone = 0.01 * 0.06 * 0.005 + 0.02 * 0.06 * 0.01 + 0.01 * 0.01 * 0.04 + 0.01 * 0.01 * 0.005;
        assert!((m.volume() - (0.1 * 0.06 * 0.04 - gone)).abs() < 1e-15);
        assert_eq!(euler(&m), 0, "one hole goes through");
        assert_eq!(m.check(), Ok(()));
    }

    #[test]
    fn a_cutter_that_splits_the_block_leaves_two_balls() {
        let m = carve(&cuboid(DVec3::ZERO, at(0.1, 0.1, 0.1)), &[cuboid(at(0.04, -1.0, -1.0), at(0.06, 1.0, 1.0))]);
        let m = m.unwrap();
        assert_eq!(euler(&m), 4);
        assert!((m.volume() - 0.08 * 0.01).abs() < 1e-15);
    }

    #[test]
    fn cutters_that_meet_or_leave_nothing_are_refused() {
        let block = cuboid(DVec3::ZERO, DVec3::splat(0.1));
        let a = cuboid(DVec3::splat(0.02), DVec3::splat(0.05));
        let b = cuboid(DVec3::splat(0.04), DVec3::splat(0.2));
        assert!(carve(&block, &[a.clone(), b]).is_err());
        assert!(carve(&block, &[a.clone(), cuboid(DVec3::splat(0.03), DVec3::splat(0.04))]).is_err());
        assert!(carve(&block, &[cuboid(DVec3::splat(-1.0), DVec3::splat(1.0))]).is_err());
        assert!(carve(&a[..5], &[]).is_err(), "no bounded block");
    }
}
