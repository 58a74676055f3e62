//! Surfaces of triangles, and distances from rounded convex bodies to them.

use crate::convex::{Convex, Core};
use crate::distance::{point_segment, segment_segment};
use glam::DVec3;
use parry3d_f64::bounding_volume::Aabb;
use parry3d_f64::partitioning::{Bvh, BvhBuildStrategy, BvhNode};

/// A triangle's corners.
pub type Corners = [DVec3; 3];

/// Triangles in a hierarchy of boxes.
#[derive(Clone)]
pub struct Surface {
    vertices: Vec<DVec3>,
    triangles: Vec<[u32; 3]>,
    boxes: Bvh,
}

impl std::fmt::Debug for Surface {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Surface of {} triangles", self.triangles.len())
    }
}

/// Where a body is nearest to a surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest {
    /// Distance from the body's core to the surface; 0 where the core meets it.
    pub core: f64,
    /// Distance from the body's own surface: `core` less its rounding.
    pub distance: f64,
    /// The place on the core.
    pub from: DVec3,
    /// The place on the surface.
    pub to: DVec3,
    /// The triangle.
    pub triangle: usize,
}

impl Surface {
    /// From corners and triangles, whose indices must be within the corners.
    pub fn new(vertices: Vec<DVec3>, triangles: Vec<[u32; 3]>) -> Surface {
        let leaves: Vec<Aabb> = triangles
            .iter()
            .map(|t| {
                let [a, b, c] = t.map(|i| vertices[i as usize]);
                Aabb::new(a.min(b).min(c), a.max(b).max(c))
            })
            .collect();
        let boxes = Bvh::from_leaves(BvhBuildStrategy::Binned, &leaves);
        Surface { vertices, triangles, boxes }
    }

    /// Corners.
    pub fn vertices(&self) -> &[DVec3] {
        &self.vertices
    }

    /// Triangles, as indices of corners.
    pub fn triangles(&self) -> &[[u32; 3]] {
        &self.triangles
    }

    /// Corners of a triangle.
    pub fn corners(&self, triangle: usize) -> Corners {
        self.triangles[triangle].map(|i| self.vertices[i as usize])
    }

    /// Unit normal of a triangle, to the side from which its corners run anticlockwise. Zero without area.
    pub fn normal(&self, triangle: usize) -> DVec3 {
        let [a, b, c] = self.corners(triangle);
        (b - a).cross(c - a).normalize_or_zero()
    }

    /// The place nearest to a body moved by `shift`, if the body's surface comes within `within` of it.
    pub fn nearest(&self, body: &Convex, shift: DVec3, within: f64) -> Option<Nearest> {
        let moved = moved(&body.core, shift);
        let (lo, hi) = Convex { core: moved.clone(), margin: 0.0 }.bounds();
        let limit = within + rounding(body);
        let gap = |node: &BvhNode, best: f64| {
            let d = box_gap(lo, hi, node);
            // The box of a tube that runs askew is far larger than the tube: ask the core itself before going in.
            if d < best { d.max(ball_gap(&moved, node)) } else { d }
        };
        let leaf = |i: u32, best: f64| {
            let t = self.corners(i as usize);
            if at_least(&moved, &t) >= best {
                return None;
            }
            let (d, from, to) = to_triangle(&moved, &t);
            Some((d, (from, to)))
        };
        let (triangle, (core, (from, to))) = self.boxes.find_best(limit, gap, leaf)?;
        Some(Nearest { core, distance: core - rounding(body), from, to, triangle: triangle as usize })
    }

    /// Triangles that the body comes within `within` of.
    pub fn near(&self, body: &Convex, within: f64) -> Vec<usize> {
        let (lo, hi) = Convex { core: body.core.clone(), margin: 0.0 }.bounds();
        let limit = within + rounding(body);
        self.boxes
            .leaves(|node: &BvhNode| box_gap(lo, hi, node) < limit && ball_gap(&body.core, node) < limit)
            .map(|i| i as usize)
            .filter(|&i| to_triangle(&body.core, &self.corners(i)).0 < limit)
            .collect()
    }
}

/// What lies round a body's core as [`to_triangle`] takes it. A cylinder is its axis with its radius all round: its ends
/// count as rounded, which errs on the near side.
fn rounding(body: &Convex) -> f64 {
    match body.core {
        Core::Cylinder(_, _, r) => body.margin + r,
        _ => body.margin,
    }
}

fn moved(core: &Core, by: DVec3) -> Core {
    match *core {
        Core::Segment(a, b) => Core::Segment(a + by, b + by),
        Core::Block(f, h) => Core::Block(f.at(f.origin + by), h),
        Core::Cylinder(f, half, r) => Core::Cylinder(f.at(f.origin + by), half, r),
    }
}

fn box_gap(lo: DVec3, hi: DVec3, node: &BvhNode) -> f64 {
    (node.mins() - hi).max(lo - node.maxs()).max(DVec3::ZERO).length()
}

/// A quick distance that the one from a core to a triangle is no less than: across the triangle's plane, and for a block
/// along its own directions.
fn at_least(core: &Core, t: &Corners) -> f64 {
    let n = (t[1] - t[0]).cross(t[2] - t[0]).normalize_or_zero();
    match *core {
        Core::Segment(a, b) => {
            let (a, b) = ((a - t[0]).dot(n), (b - t[0]).dot(n));
            if a * b > 0.0 { a.abs().min(b.abs()) } else { 0.0 }
        }
        Core::Cylinder(..) => 0.0,
        Core::Block(f, h) => {
            let p = t.map(|p| f.local(p));
            let (lo, hi) = (p[0].min(p[1]).min(p[2]), p[0].max(p[1]).max(p[2]));
            let across = (f.origin - t[0]).dot(n).abs() - DVec3::new(f.t.dot(n), f.u.dot(n), f.v.dot(n)).abs().dot(h);
            (lo - h).max(-h - hi).max(DVec3::ZERO).length().max(across)
        }
    }
}

/// Distance from a core to the ball round a node's box; less than zero where they meet.
fn ball_gap(core: &Core, node: &BvhNode) -> f64 {
    let (lo, hi) = (node.mins(), node.maxs());
    let centre = (lo + hi) / 2.0;
    let d = match *core {
        Core::Segment(a, b) => point_segment(centre, a, b).0,
        Core::Cylinder(f, half, _) => point_segment(centre, f.origin - f.t * half, f.origin + f.t * half).0,
        Core::Block(f, h) => (f.local(centre).abs() - h).max(DVec3::ZERO).length(),
    };
    d - (hi - lo).length() / 2.0
}

/// Distance from a core to a triangle, with the nearest places on each. Of a cylinder it
/// is that to its axis.
pub fn to_triangle(core: &Core, t: &Corners) -> (f64, DVec3, DVec3) {
    match *core {
        Core::Segment(a, b) => segment_triangle(a, b, t),
        Core::Cylinder(f, half, _) => segment_triangle(f.origin - f.t * half, f.origin + f.t * half, t),
        Core::Block(f, h) => {
            // In the block's own directions.
            let local = t.map(|p| f.local(p));
            let (d, p, q) = block_triangle(h, &local);
            let back = |p: DVec3| f.origin + f.t * p.x + f.u * p.y + f.v * p.z;
            (d, back(p), back(q))
        }
    }
}

/// Distance from a segment to a triangle, with the nearest places on each.
pub fn segment_triangle(a: DVec3, b: DVec3, t: &Corners) -> (f64, DVec3, DVec3) {
    let n = (t[1] - t[0]).cross(t[2] - t[0]);
    let (ha, hb) = ((a - t[0]).dot(n), (b - t[0]).dot(n));
    // Whether a point of the plane lies within the triangle.
    let inside = |p: DVec3| (0..3).all(|i| (t[(i + 1) % 3] - t[i]).cross(p - t[i]).dot(n) >= 0.0);
    if ha * hb <= 0.0 && ha != hb {
        let p = a + (b - a) * (ha / (ha - hb));
        if inside(p) {
            return (0.0, p, p);
        }
    }
    let mut best = (f64::INFINITY, a, t[0]);
    let area = n.length_squared();
    if area > 0.0 {
        for (p, h) in [(a, ha), (b, hb)] {
            let d = h.abs() / area.sqrt();
            let foot = p - n * (h / area);
            if d < best.0 && inside(foot) {
                best = (d, p, foot);
            }
        }
    }
    for i in 0..3 {
        let (c, d) = (t[i], t[(i + 1) % 3]);
        let (dist, f, g) = segment_segment(a, b, c, d);
        if dist < best.0 {
            best = (dist, a + (b - a) * f, c + (d - c) * g);
        }
    }
    best
}

/// Whether a segment meets a block about the origin with these half extents, and where first.
fn segment_in_block(h: DVec3, a: DVec3, b: DVec3) -> Option<DVec3> {
    let (mut from, mut to) = (0.0f64, 1.0f64);
    let d = b - a;
    for k in 0..3 {
        if d[k] == 0.0 {
            if a[k].abs() > h[k] {
                return None;
            }
        } else {
            let (s, e) = ((-h[k] - a[k]) / d[k], (h[k] - a[k]) / d[k]);
            from = from.max(s.min(e));
            to = to.min(s.max(e));
        }
    }
    (from <= to).then(|| a + d * from)
}

fn block_triangle(h: DVec3, t: &Corners) -> (f64, DVec3, DVec3) {
    for i in 0..3 {
        if let Some(p) = segment_in_block(h, t[i], t[(i + 1) % 3]) {
            return (0.0, p, p);
        }
    }
    let mut best = (f64::INFINITY, DVec3::ZERO, t[0]);
    for &p in t {
        let q = p.clamp(-h, h);
        let d = q.distance(p);
        if d < best.0 {
            best = (d, q, p);
        }
    }
    for k in 0..3 {
        let (i, j) = ((k + 1) % 3, (k + 2) % 3);
        for signs in 0..4 {
            let mut a = DVec3::ZERO;
            a[k] = -h[k];
            a[i] = if signs & 1 == 0 { h[i] } else { -h[i] };
            a[j] = if signs & 2 == 0 { h[j] } else { -h[j] };
            let mut b = a;
            b[k] = h[k];
            let new = segment_triangle(a, b, t);
            if new.0 < best.0 {
                best = new;
            }
        }
    }
    best
}

/// Distance from a point to a triangle, with the nearest place on it.
pub fn point_triangle(p: DVec3, t: &Corners) -> (f64, DVec3) {
    let n = (t[1] - t[0]).cross(t[2] - t[0]);
    let area = n.length_squared();
    if area > 0.0 && (0..3).all(|i| (t[(i + 1) % 3] - t[i]).cross(p - t[i]).dot(n) >= 0.0) {
        let h = (p - t[0]).dot(n);
        return (h.abs() / area.sqrt(), p - n * (h / area));
    }
    (0..3).fold((f64::INFINITY, t[0]), |best, i| {
        let (a, b) = (t[i], t[(i + 1) % 3]);
        let (d, f) = point_segment(p, a, b);
        if d < best.0 { (d, a + (b - a) * f) } else { best }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Frame;
    use glam::{DMat3, DQuat};
    use parry3d_f64::math::Pose;
    use parry3d_f64::{query, shape};

    /// Numbers between -1 and 1, the same ones every time (a linear congruence after Knuth).
    fn numbers() -> impl FnMut() -> f64 {
        let mut x = 1u64;
        move || {
            x = x.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (x >> 11) as f64 / (1u64 << 52) as f64 - 1.0
        }
    }

    /// Cores and triangles of many proportions: distances against GJK of a general-purpose library, and the places
    /// told are as far apart as told and lie on both.
    #[test]
    fn distances_agree_with_a_general_purpose_library() {
        let mut r = numbers();
        let (mut apart, mut meeting) = (0, 0);
        for k in 0..20_000 {
            let mut v = |s: f64| DVec3::new(r(), r(), r()) * s;
            let size = [0.05, 0.5, 2.0][k % 3];
            let c = v(1.0);
            let t = [c + v(size), c + v(size), c + v(size)];
            let (a, b) = (v(1.0), v(1.0));
            let h = v(0.4).abs() + 0.01;
            let f = Frame::new(v(0.5), v(1.0), v(1.0)).unwrap();
            let tri = shape::Triangle::new(t[0], t[1], t[2]);
            for block in [false, true] {
                let (mine, other) = if block {
                    let m: DMat3 = f.rotation();
                    let pose = Pose::from_parts(f.origin, DQuat::from_mat3(&m));
                    let d = query::distance(&pose, &shape::Cuboid::new(h), &Pose::IDENTITY, &tri).unwrap();
                    (to_triangle(&Core::Block(f, h), &t), d.distance)
                } else {
                    let d =
                        query::distance(&Pose::IDENTITY, &shape::Segment::new(a, b), &Pose::IDENTITY, &tri).unwrap();
                    (to_triangle(&Core::Segment(a, b), &t), d.distance)
                };
                // The library's own tolerance is about the root of double rounding near contact.
                assert!((mine.0 - other).abs() < 1e-6, "{k} {block}: {} {other}", mine.0);
                assert!((mine.1.distance(mine.2) - mine.0).abs() < 1e-12);
                let core = if block { Core::Block(f, h) } else { Core::Segment(a, b) };
                assert!(at_least(&core, &t) <= mine.0 + 1e-12, "{k} {block}");
                assert!(point_triangle(mine.2, &t).0 < 1e-9, "{k}");
                if block {
                    assert!((f.local(mine.1).abs() - h).max_element() < 1e-12, "{k}");
                } else {
                    assert!(point_segment(mine.1, a, b).0 < 1e-12, "{k}");
                }
                if mine.0 > 0.0 { apart += 1 } else { meeting += 1 }
            }
        }
        assert!(apart > 10_000 && meeting > 1_000, "{apart} {meeting}");
    }

    /// The hierarchy gives what asking every triangle gives.
    #[test]
    fn the_nearest_of_many_is_the_nearest() {
        let mut r = numbers();
        let mut v = |s: f64| DVec3::new(r(), r(), r()) * s;
        for n in [1usize, 2, 3, 7, 400] {
            let vertices: Vec<DVec3> = (0..n)
                .flat_map(|_| {
                    let c = v(2.0);
                    [c + v(0.2), c + v(0.2), c + v(0.2)]
                })
                .collect();
            let s = Surface::new(vertices, (0..n as u32).map(|i| [3 * i, 3 * i + 1, 3 * i + 2]).collect());
            for _ in 0..50 {
                let (body, shift) = (Convex::capsule(v(1.0), v(1.0), 0.03), v(0.5));
                let core = moved(&body.core, shift);
                let all = (0..n).map(|i| to_triangle(&core, &s.corners(i)).0).fold(f64::INFINITY, f64::min);
                let got = s.nearest(&body, shift, f64::MAX).unwrap();
                assert_eq!(got.core, all);
                assert_eq!(got.distance, all - 0.03);
                assert!(s.nearest(&body, shift, got.distance - 1e-12).is_none());
                let near = s.near(&body, 0.2);
                let want = (0..n).filter(|&i| to_triangle(&body.core, &s.corners(i)).0 < 0.23).count();
                assert_eq!(near.len(), want);
            }
        }
    }
}
