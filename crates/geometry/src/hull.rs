//! Convex hull of points in space, by quickhull with exact predicates: a point is outside a triangle or it is not,
//! whatever the rounding, so flat faces with many points, repeated points and slivers can't break it.

use crate::DVec3;
use robust::{Coord3D, orient3d};

/// Why points have no solid hull.
#[derive(Clone, Debug, PartialEq)]
pub enum HullError {
    /// A coordinate is not a number, infinite, or beyond [`FARTHEST`].
    NotFinite {
        /// Which point.
        point: usize,
    },
    /// Fewer than four points.
    TooFew {
        /// How many there are.
        points: usize,
    },
    /// All points lie within [`FLAT`] of their size of one place, line or plane.
    Flat {
        /// Size: the longest edge of the box round them.
        size: f64,
        /// Their thickness.
        thickness: f64,
    },
}

impl std::fmt::Display for HullError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            HullError::NotFinite { point } => write!(f, "point {point} has a coordinate that is no usable number"),
            HullError::TooFew { points } => write!(f, "{points} points enclose no room: four are needed"),
            HullError::Flat { size, thickness } => {
                write!(f, "the points lie in one plane: {thickness} m thick, {size} m in size")
            }
        }
    }
}

impl std::error::Error for HullError {}

/// Points thinner than this part of their size are flat: a thousand times the rounding of the coordinates.
pub const FLAT: f64 = 1e-12;

/// Coordinates beyond this would overflow in the exact predicates.
pub const FARTHEST: f64 = 1e60;

/// Points whose box is smaller than this (m) have no hull: the predicates would underflow.
pub const SMALLEST: f64 = 1e-30;

/// A triangle of a hull.
#[derive(Clone, Debug)]
pub struct Triangle {
    /// Its points, anticlockwise seen from outside.
    pub points: [u32; 3],
    /// The triangle across the edge from point `i` to point `i + 1`.
    pub across: [u32; 3],
    /// Unit outward normal.
    pub normal: DVec3,
    /// Distance of its plane from the origin along the normal.
    pub offset: f64,
    /// False once a point outside it was added.
    pub alive: bool,
    /// How far rounding can move a distance from its plane.
    slack: f64,
    /// The first of the points outside it that it keeps; the others follow in [`Hull::after`].
    outside: u32,
    farthest: (f64, u32),
}

/// No point, or no triangle.
const NONE: u32 = u32::MAX;

/// A hull to which points can be added.
#[derive(Clone, Debug)]
pub struct Hull {
    /// All points that were offered, those inside too.
    pub points: Vec<DVec3>,
    /// All triangles, those that were replaced too.
    pub triangles: Vec<Triangle>,
    size: f64,
    stack: Vec<u32>,
    horizon: Vec<(u32, u32, u32)>,
    starts: Vec<u32>,
    after: Vec<u32>,
    orphans: Vec<u32>,
}

fn coord(p: DVec3) -> Coord3D<f64> {
    Coord3D { x: p.x, y: p.y, z: p.z }
}

impl Hull {
    /// The hull of points.
    pub fn new(points: Vec<DVec3>) -> Result<Hull, HullError> {
        let mut hull = Hull {
            points: Vec::new(),
            triangles: Vec::new(),
            size: 0.0,
            stack: Vec::new(),
            horizon: Vec::new(),
            starts: Vec::new(),
            after: Vec::new(),
            orphans: Vec::new(),
        };
        hull.renew(points)?;
        Ok(hull)
    }

    /// Makes it the hull of other points, in the memory that it has. After an error it is that of none.
    ///
    /// # Errors
    /// As [`Hull::new`].
    pub fn renew(&mut self, points: Vec<DVec3>) -> Result<(), HullError> {
        self.points.clear();
        self.triangles.clear();
        let usable = |p: &DVec3| p.is_finite() && p.abs().max_element() <= FARTHEST;
        if let Some(point) = points.iter().position(|p| !usable(p)) {
            return Err(HullError::NotFinite { point });
        }
        if points.len() < 4 {
            return Err(HullError::TooFew { points: points.len() });
        }
        let (lo, hi) = points.iter().fold((points[0], points[0]), |(l, h), p| (l.min(*p), h.max(*p)));
        let size = (hi - lo).max_element();
        let first = simplex(&points, size)?;
        (self.points, self.size) = (points, size);
        self.starts.clear();
        self.starts.resize(self.points.len(), NONE);
        self.after.clear();
        self.after.resize(self.points.len(), NONE);
        let [a, b, c, d] = first;
        for (corners, across) in
            [([a, b, c], [1, 2, 3]), ([b, a, d], [0, 3, 2]), ([c, b, d], [0, 1, 3]), ([a, c, d], [0, 2, 1])]
        {
            let t = self.triangle(corners, across);
            self.triangles.push(t);
        }
        for p in (0..self.points.len() as u32).filter(|i| !first.contains(i)) {
            self.share(p, 0);
        }
        let mut next = 0;
        while next < self.triangles.len() {
            let t = &self.triangles[next];
            if t.alive && t.outside != NONE {
                let p = t.farthest.1;
                self.raise(p, next as u32);
            }
            next += 1;
        }
        Ok(())
    }

    /// Size of the points it was made from: the longest edge of the box round them.
    pub fn size(&self) -> f64 {
        self.size
    }

    /// Distance of a point from a triangle's plane, positive outside; exactly the right sign, or zero.
    fn height(&self, t: &Triangle, p: DVec3) -> f64 {
        let a = self.points[t.points[0] as usize];
        let h = t.normal.dot(p - a);
        if h.abs() > t.slack {
            return h;
        }
        let [a, b, c] = t.points.map(|i| coord(self.points[i as usize]));
        let side = -orient3d(a, b, c, coord(p));
        if side > 0.0 {
            h.max(f64::MIN_POSITIVE)
        } else if side < 0.0 {
            h.min(-f64::MIN_POSITIVE)
        } else {
            0.0
        }
    }

    fn triangle(&self, corners: [u32; 3], across: [u32; 3]) -> Triangle {
        let [a, b, c] = corners.map(|i| self.points[i as usize]);
        let cross = (b - a).cross(c - a);
        let length = cross.length();
        let normal = if length > 0.0 { cross / length } else { DVec3::ZERO };
        // Rounding of the normal grows as the triangle gets thin. Sixteen units in the last place cover the cross
        // product, the division and the dot product.
        let slack = 16.0 * f64::EPSILON * (b - a).length() * (c - a).length() / length * (4.0 * self.size)
            + 16.0 * f64::EPSILON * a.abs().max_element();
        let slack = if slack.is_finite() { slack } else { f64::INFINITY };
        Triangle {
            points: corners,
            across,
            normal,
            offset: normal.dot(a),
            alive: true,
            slack,
            outside: NONE,
            farthest: (0.0, 0),
        }
    }

    /// Gives a point to the first of the triangles from `from` on that it lies outside of.
    fn share(&mut self, p: u32, from: usize) {
        let at = self.points[p as usize];
        for i in from..self.triangles.len() {
            let h = self.height(&self.triangles[i], at);
            if h > 0.0 {
                let t = &mut self.triangles[i];
                self.after[p as usize] = t.outside;
                t.outside = p;
                if h > t.farthest.0 {
                    t.farthest = (h, p);
                }
                return;
            }
        }
    }

    /// Adds a point that is expected to lie outside a triangle. Returns its number, or `None` if it does not.
    pub fn insert(&mut self, p: DVec3, near: u32) -> Option<u32> {
        let t = &self.triangles[near as usize];
        if !t.alive || !p.is_finite() || self.height(t, p) <= 0.0 {
            return None;
        }
        let id = self.points.len() as u32;
        self.points.push(p);
        self.starts.push(NONE);
        self.after.push(NONE);
        self.raise(id, near);
        Some(id)
    }

    /// A triangle that a point lies outside of, looked for uphill from the newest; `None` if it lies inside.
    pub fn seen_from(&self, p: DVec3) -> Option<u32> {
        let rough = |i: u32| {
            let t = &self.triangles[i as usize];
            t.normal.dot(p) - t.offset
        };
        let mut at = self.triangles.iter().rposition(|t| t.alive)? as u32;
        let mut h = rough(at);
        // Uphill there may be a top that does not see it; then all are asked.
        while h <= 0.0 {
            let Some((next, higher)) = self.triangles[at as usize]
                .across
                .into_iter()
                .map(|j| (j, rough(j)))
                .max_by(|a, b| a.1.total_cmp(&b.1))
                .filter(|b| b.1 > h)
            else {
                break;
            };
            (at, h) = (next, higher);
        }
        let sees = |t: &Triangle| t.alive && self.height(t, p) > 0.0;
        if sees(&self.triangles[at as usize]) {
            return Some(at);
        }
        self.triangles.iter().position(sees).map(|i| i as u32)
    }

    /// Replaces all triangles that see a point by those that join it to their rim.
    fn raise(&mut self, id: u32, near: u32) {
        let p = self.points[id as usize];
        let mut orphans = std::mem::take(&mut self.orphans);
        orphans.clear();
        self.horizon.clear();
        self.stack.clear();
        self.stack.push(near);
        self.triangles[near as usize].alive = false;
        while let Some(i) = self.stack.pop() {
            let mut q = std::mem::replace(&mut self.triangles[i as usize].outside, NONE);
            while q != NONE {
                orphans.push(q);
                q = self.after[q as usize];
            }
            let (corners, across) = (self.triangles[i as usize].points, self.triangles[i as usize].across);
            for k in 0..3 {
                let j = across[k] as usize;
                if !self.triangles[j].alive {
                    continue;
                }
                if self.height(&self.triangles[j], p) > 0.0 {
                    self.triangles[j].alive = false;
                    self.stack.push(j as u32);
                } else {
                    self.horizon.push((corners[k], corners[(k + 1) % 3], j as u32));
                }
            }
        }
        // A neighbour that died after it was looked at was never on the rim: with exact signs it is found dead or
        // outside at each look, so the rim is one closed loop.
        let first = self.triangles.len() as u32;
        for (k, &(a, _, _)) in self.horizon.iter().enumerate() {
            self.starts[a as usize] = first + k as u32;
        }
        for k in 0..self.horizon.len() {
            let (a, b, outer) = self.horizon[k];
            let t = self.triangle([a, b, id], [outer, self.starts[b as usize], 0]);
            self.triangles.push(t);
            let o = &mut self.triangles[outer as usize];
            for e in 0..3 {
                if o.points[e] == b && o.points[(e + 1) % 3] == a {
                    o.across[e] = first + k as u32;
                }
            }
        }
        for k in 0..self.horizon.len() {
            let after = self.triangles[first as usize + k].across[1];
            self.triangles[after as usize].across[2] = first + k as u32;
        }
        for &q in orphans.iter().filter(|q| **q != id) {
            self.share(q, first as usize);
        }
        self.orphans = orphans;
    }

    /// Those of many points that are corners of their hull, in their order; all of them if they enclose no room.
    pub fn corners(points: Vec<DVec3>) -> Vec<DVec3> {
        let Ok(hull) = Hull::new(points.clone()) else { return points };
        let mut on = vec![false; points.len()];
        hull.alive().for_each(|(_, t)| t.points.iter().for_each(|p| on[*p as usize] = true));
        points.into_iter().zip(on).filter(|(_, on)| *on).map(|(p, _)| p).collect()
    }

    /// Normals and offsets of its triangles whose planes rounding can't have moved by more than `within` (m). The plane of a
    /// sliver is noise: those thinner than some 4e-14 m² / `within` on a body of metres are left out, and their neighbours'
    /// planes bound the body there.
    pub fn planes(&self, within: f64) -> impl Iterator<Item = (DVec3, f64)> + '_ {
        self.triangles.iter().filter(move |t| t.alive && t.slack <= within).map(|t| (t.normal, t.offset))
    }

    /// The triangles of the hull, by number.
    pub fn alive(&self) -> impl Iterator<Item = (u32, &Triangle)> {
        self.triangles.iter().enumerate().filter(|(_, t)| t.alive).map(|(i, t)| (i as u32, t))
    }
}

/// Four points that enclose room, the first three anticlockwise seen from away from the fourth.
fn simplex(points: &[DVec3], size: f64) -> Result<[u32; 4], HullError> {
    let flat = |thickness: f64| HullError::Flat { size, thickness };
    if size < SMALLEST {
        return Err(flat(size));
    }
    let most = |f: &dyn Fn(DVec3) -> f64| {
        let mut best = (0, f64::NEG_INFINITY);
        for (i, p) in points.iter().enumerate() {
            let v = f(*p);
            if v > best.1 {
                best = (i, v);
            }
        }
        best
    };
    let (ia, _) = most(&|p| -p.x - 0.3 * p.y - 0.1 * p.z);
    let a = points[ia];
    let (ib, d) = most(&|p| p.distance(a));
    if d <= FLAT * size {
        return Err(flat(d));
    }
    let along = (points[ib] - a) / d;
    let (ic, d) = most(&|p| (p - a).cross(along).length());
    if d <= FLAT * size {
        return Err(flat(d));
    }
    let normal = (points[ib] - a).cross(points[ic] - a).normalize_or_zero();
    let (id, d) = most(&|p| (p - a).dot(normal).abs());
    if d <= FLAT * size {
        return Err(flat(d));
    }
    let side = orient3d(coord(a), coord(points[ib]), coord(points[ic]), coord(points[id]));
    // Shewchuk's sign: positive where the fourth point lies below the first three, which is inside.
    if side > 0.0 {
        Ok([ia as u32, ib as u32, ic as u32, id as u32])
    } else if side < 0.0 {
        Ok([ia as u32, ic as u32, ib as u32, id as u32])
    } else {
        Err(flat(d))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn checked(points: Vec<DVec3>) -> Hull {
        let hull = Hull::new(points).unwrap();
        let mut corners = std::collections::BTreeSet::new();
        let mut faces = 0;
        for (i, t) in hull.alive() {
            faces += 1;
            corners.extend(t.points);
            for p in &hull.points {
                assert!(hull.height(t, *p) <= 0.0);
            }
            for k in 0..3 {
                let o = &hull.triangles[t.across[k] as usize];
                assert!(o.alive && o.across.contains(&i));
            }
        }
        assert_eq!(faces, 2 * corners.len() - 4, "Euler");
        hull
    }

    #[test]
    fn grids_balls_and_repeats() {
        let mut grid = Vec::new();
        for i in 0..125 {
            let p = DVec3::new((i % 5) as f64, (i / 5 % 5) as f64, (i / 25) as f64) * 0.1;
            grid.extend([p, p]);
        }
        checked(grid.clone());
        let turn = glam::DQuat::from_euler(glam::EulerRot::XYZ, 0.3, 1.1, -0.7);
        checked(grid.iter().map(|p| turn * *p + DVec3::splat(7.0)).collect());
        let ball: Vec<DVec3> = (0..400)
            .map(|i| {
                let z = 1.0 - (i as f64 + 0.5) / 200.0;
                let (s, c) = (i as f64 * 2.399963).sin_cos();
                DVec3::new(c * (1.0 - z * z).sqrt(), s * (1.0 - z * z).sqrt(), z)
            })
            .collect();
        let hull = checked(ball);
        assert_eq!(hull.alive().count(), 796, "all 400 are corners");
    }

    #[test]
    fn planes_of_slivers_are_left_out() {
        // Rods with rings at many places along them, turned: corners in one line but for rounding.
        let mut wrong = 0;
        for turned in 0..40 {
            let turn = glam::DQuat::from_euler(glam::EulerRot::XYZ, 0.37 * f64::from(turned), 1.1, -0.7);
            let at = |rod: DVec3, k: u32, s: f64| {
                let (sin, cos) = (std::f64::consts::TAU * f64::from(k) / 24.0).sin_cos();
                turn * (rod + DVec3::new(s, 0.02 * cos, 0.02 * sin))
            };
            let rods = [DVec3::ZERO, DVec3::Y, DVec3::new(0.0, 0.2, 0.9)];
            let stations = [0.0, 0.1, 0.33, 0.7, 1.3];
            let points: Vec<DVec3> = rods
                .into_iter()
                .flat_map(|rod| stations.into_iter().flat_map(move |s| (0..24).map(move |k| (rod, k, s))))
                .map(|(rod, k, s)| at(rod, k, s))
                .collect();
            let hull = checked(points);
            let middle = turn * DVec3::new(0.65, 0.4, 0.3);
            wrong += hull.alive().filter(|(_, t)| t.normal.dot(middle) > t.offset - 0.2).count();
            let planes: Vec<_> = hull.planes(1e-6).collect();
            for (n, d) in &planes {
                assert!(hull.points.iter().all(|p| n.dot(*p) <= d + 1e-6));
                assert!(n.dot(middle) < d - 0.2, "the middle is deep inside");
            }
            // Nothing of the surface is lost: just beyond every face that is one a place is outside.
            for (_, t) in hull.alive().filter(|(_, t)| t.slack <= 1e-6) {
                let face = t.points.iter().map(|p| hull.points[*p as usize]).sum::<DVec3>() / 3.0;
                assert!(planes.iter().any(|(n, d)| n.dot(face + t.normal * 1e-5) > *d));
            }
        }
        assert!(wrong > 0, "no sliver's plane is wrong: these rods show nothing");
    }

    #[test]
    fn corners_remain_in_order_and_flat_points_all() {
        let grid =
            |depth: i32| (0..100 * depth).map(|i| DVec3::new((i % 10).into(), (i / 10 % 10).into(), (i / 100).into()));
        let kept = Hull::corners(grid(10).collect());
        assert!(kept.iter().all(|p| p.to_array().iter().all(|x| [0.0, 9.0].contains(x))));
        assert_eq!((kept.len(), kept[0], kept[7]), (8, DVec3::ZERO, DVec3::splat(9.0)));
        assert_eq!(Hull::corners(grid(1).collect()).len(), 100);
    }

    #[test]
    fn no_room() {
        let p = DVec3::new;
        assert_eq!(Hull::new(vec![]).unwrap_err(), HullError::TooFew { points: 0 });
        let bad = vec![p(0., 0., 0.), p(1., f64::NAN, 0.), p(0., 1., 0.), p(0., 0., 1.)];
        assert_eq!(Hull::new(bad).unwrap_err(), HullError::NotFinite { point: 1 });
        for flat in [
            vec![p(1., 2., 3.); 5],
            (0..9).map(|i| p(0.1, 0.2, 0.3) * i as f64).collect(),
            (0..9).map(|i| p(0.1 * i as f64, (i * i) as f64 * 0.1, 0.7)).collect(),
        ] {
            assert!(matches!(Hull::new(flat), Err(HullError::Flat { .. })));
        }
    }
}
