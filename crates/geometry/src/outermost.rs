//! Which of many points can be corners of their convex hull.

use glam::DVec3;
use parry3d_f64::transformation::try_convex_hull;

/// A point counts as inside only if it is deeper than this part of the whole's size: far above the rounding of planes.
const INSIDE: f64 = 1e-9;
/// So few points are not worth a closer look.
const FEW: usize = 64;

/// Points among which all corners of the convex hull are, in their order: those that lie inside the hull of the
/// extremes in some fixed directions are left out (Akl and Toussaint). All of them if they lie in a plane.
pub fn candidates(points: &[DVec3]) -> Vec<DVec3> {
    if points.len() <= FEW {
        return points.to_vec();
    }
    let extremes = extremes(points);
    let Some(planes) = planes(&extremes) else { return points.to_vec() };
    let size = extremes.iter().fold(0.0f64, |s, p| s.max(p.distance(extremes[0])));
    points.iter().filter(|p| planes.iter().any(|(n, d)| n.dot(**p) > d - INSIDE * size)).copied().collect()
}

fn extremes(points: &[DVec3]) -> Vec<DVec3> {
    let mut out: Vec<DVec3> = Vec::new();
    for x in -2i32..=2 {
        for y in -2i32..=2 {
            for z in -2i32..=2 {
                let d = DVec3::new(f64::from(x), f64::from(y), f64::from(z));
                if x.abs().max(y.abs()).max(z.abs()) < 2 {
                    continue;
                }
                let far = points.iter().max_by(|a, b| a.dot(d).total_cmp(&b.dot(d)));
                if let Some(p) = far.filter(|p| !out.contains(p)) {
                    out.push(*p);
                }
            }
        }
    }
    out
}

/// Planes of the facets of a hull, outward: unit normal and distance. `None` unless they bound a closed body that
/// holds its corners: the hull of flat points "succeeds" in the library.
fn planes(points: &[DVec3]) -> Option<Vec<(DVec3, f64)>> {
    let (v, t) = try_convex_hull(points).ok()?;
    let size = v.iter().fold(0.0f64, |s, p| s.max(p.distance(v[0])));
    let mut sides: Vec<(u32, u32)> = t.iter().flat_map(|&[a, b, c]| [(a, b), (b, c), (c, a)]).collect();
    let planes: Vec<(DVec3, f64)> = t
        .iter()
        .filter_map(|t| {
            let [a, b, c] = t.map(|i| v[i as usize]);
            let n = (b - a).cross(c - a).try_normalize()?;
            Some((n, n.dot(a).min(n.dot(b)).min(n.dot(c))))
        })
        .collect();
    sides.sort_unstable();
    let closed = sides.iter().all(|&(a, b)| sides.binary_search(&(b, a)).is_ok());
    let volume: f64 = t.iter().map(|t| t.map(|i| v[i as usize] - v[0])).map(|[a, b, c]| a.dot(b.cross(c)) / 6.0).sum();
    // Every corner lies behind every plane.
    let holds = v.iter().all(|p| planes.iter().all(|(n, d)| n.dot(*p) <= d + INSIDE * size));
    (planes.len() == t.len() && closed && holds && volume > INSIDE * size.powi(3)).then_some(planes)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sphere keeps all its points; a full block of a grid loses what is inside and keeps its corners; flat points stay.
    #[test]
    fn what_can_be_a_corner_remains() {
        let mut grid = Vec::new();
        for i in 0..10 {
            for j in 0..10 {
                for k in 0..10 {
                    grid.push(DVec3::new(f64::from(i), f64::from(j) * 0.3, f64::from(k) - 4.0));
                }
            }
        }
        let kept = candidates(&grid);
        assert_eq!(kept.len(), 1000 - 512, "what lies on the faces can't be told from corners");
        let ball: Vec<DVec3> = (0..500)
            .map(|i| {
                let z = 1.0 - (2.0 * f64::from(i) + 1.0) / 500.0;
                let (s, c) = (f64::from(i) * 2.399_963).sin_cos();
                DVec3::new(c, s, 0.0) * (1.0 - z * z).sqrt() + DVec3::Z * z
            })
            .collect();
        assert_eq!(candidates(&ball), ball);
        let mut full = ball.clone();
        full.extend(ball.iter().map(|p| *p * 0.5));
        assert_eq!(candidates(&full), ball);
        let flat: Vec<DVec3> = grid.iter().map(|p| DVec3::new(p.x, p.y, 0.0)).collect();
        assert_eq!(candidates(&flat), flat);
    }
}
