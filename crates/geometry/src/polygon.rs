//! Planar polygons.

use glam::DVec2;

/// Whether a point lies inside: crossed an odd number of times by a line that leaves it. On an edge it may be either.
pub fn contains(p: &[DVec2], q: DVec2) -> bool {
    let crossed = edges(p).filter(|(a, b)| {
        // One end counts, so that a corner at the same height is crossed once.
        (a.y > q.y) != (b.y > q.y) && q.x < a.x + (b.x - a.x) * (q.y - a.y) / (b.y - a.y)
    });
    crossed.count() % 2 == 1
}

/// Area of a simple polygon; positive if it runs anticlockwise (x to the right, y up).
pub fn signed_area(p: &[DVec2]) -> f64 {
    0.5 * edges(p).map(|(a, b)| a.perp_dot(b)).sum::<f64>()
}

/// Centre of area. `None` for a polygon without area.
pub fn centroid(p: &[DVec2]) -> Option<DVec2> {
    let area = signed_area(p);
    let sum = edges(p).map(|(a, b)| (a + b) * a.perp_dot(b)).fold(DVec2::ZERO, |s, x| s + x);
    let c = sum / (6.0 * area);
    c.is_finite().then_some(c)
}

/// Second moments (∫x², ∫y², ∫xy) of area about the origin, counted positive for either direction of running.
pub fn second_moments(p: &[DVec2]) -> (f64, f64, f64) {
    let (mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0);
    for (a, b) in edges(p) {
        let c = a.perp_dot(b);
        xx += c * (a.x * a.x + a.x * b.x + b.x * b.x) / 12.0;
        yy += c * (a.y * a.y + a.y * b.y + b.y * b.y) / 12.0;
        xy += c * (a.x * b.y + 2.0 * a.x * a.y + 2.0 * b.x * b.y + b.x * a.y) / 24.0;
    }
    let sign = signed_area(p).signum();
    (xx * sign, yy * sign, xy * sign)
}

/// Whether two edges of the polygon cross or touch other than at a shared corner.
pub fn crosses_itself(p: &[DVec2]) -> bool {
    let n = p.len();
    let side = |a: DVec2, b: DVec2, c: DVec2| (b - a).perp_dot(c - a);
    for i in 0..n {
        for j in i + 2..n {
            if i == 0 && j == n - 1 {
                continue;
            }
            let (a, b, c, d) = (p[i], p[(i + 1) % n], p[j], p[(j + 1) % n]);
            if side(a, b, c) * side(a, b, d) <= 0.0 && side(c, d, a) * side(c, d, b) <= 0.0 {
                return true;
            }
        }
    }
    false
}

/// The edges in order: each corner with the next.
pub fn edges(p: &[DVec2]) -> impl Iterator<Item = (DVec2, DVec2)> + '_ {
    (0..p.len()).map(|i| (p[i], p[(i + 1) % p.len()]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rectangle_has_its_handbook_values() {
        let p = [DVec2::new(0.0, 0.0), DVec2::new(3.0, 0.0), DVec2::new(3.0, 2.0), DVec2::new(0.0, 2.0)];
        assert_eq!(signed_area(&p), 6.0);
        assert_eq!(centroid(&p), Some(DVec2::new(1.5, 1.0)));
        let (xx, yy, xy) = second_moments(&p);
        assert!((xx - 2.0 * 27.0 / 3.0).abs() < 1e-12);
        assert!((yy - 3.0 * 8.0 / 3.0).abs() < 1e-12);
        assert!((xy - 9.0).abs() < 1e-12);
        let mut back = p;
        back.reverse();
        assert_eq!(second_moments(&back), (xx, yy, xy));
        assert!(!crosses_itself(&p));
        assert!(crosses_itself(&[p[0], p[2], p[1], p[3]]));
    }
}
