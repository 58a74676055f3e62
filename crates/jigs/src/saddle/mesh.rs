//! A closed surface of triangles.

use std::collections::BTreeMap;

use geometry::DVec3;

/// Triangles that run anticlockwise seen from outside.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub struct Mesh {
    /// Corners, m.
    pub points: Vec<DVec3>,
    /// Indices of corners.
    pub triangles: Vec<[u32; 3]>,
}

impl Mesh {
    /// Volume enclosed, m³; positive if the surface faces outward.
    pub fn volume(&self) -> f64 {
        let Some(o) = self.points.first().copied() else { return 0.0 };
        let p = |i: u32| self.points[i as usize] - o;
        self.triangles.iter().map(|t| p(t[0]).dot(p(t[1]).cross(p(t[2]))) / 6.0).sum()
    }

    /// Least and greatest coordinates.
    pub fn bounds(&self) -> (DVec3, DVec3) {
        self.points.iter().fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |(a, b), p| (a.min(*p), b.max(*p)))
    }

    /// Whether it closes: each edge is run once in each direction, no triangle is without area, and the volume is more than nothing.
    ///
    /// # Errors
    ///
    /// What is wrong, in one sentence.
    pub fn check(&self) -> Result<(), String> {
        if self.triangles.is_empty() {
            return Err("nothing is left of it".to_owned());
        }
        if self.points.iter().any(|p| !p.is_finite()) {
            return Err("one of its corners is at no place".to_owned());
        }
        let mut runs = BTreeMap::<(u32, u32), i32>::new();
        for t in &self.triangles {
            let [a, b, c] = t.map(|i| self.points[i as usize]);
            if (b - a).cross(c - a).length() <= 0.0 {
                return Err("one of its faces has no area".to_owned());
            }
            for k in 0..3 {
                *runs.entry((t[k], t[(k + 1) % 3])).or_default() += 1;
            }
        }
        if runs.iter().any(|(&(a, b), &n)| n != 1 || runs.get(&(b, a)) != Some(&1)) {
            return Err("its surface does not close".to_owned());
        }
        if self.volume() <= 0.0 {
            return Err("its surface is inside out".to_owned());
        }
        Ok(())
    }

    /// The same, each corner moved.
    pub fn moved(&self, f: impl Fn(DVec3) -> DVec3) -> Mesh {
        Mesh { points: self.points.iter().map(|&p| f(p)).collect(), triangles: self.triangles.clone() }
    }
}
