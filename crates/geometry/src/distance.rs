//! Distances between lines and segments.

use glam::DVec3;

/// Nearest places of two infinite lines through `p` and `q` along units `d` and `e`: distances along each from its
/// point. `None` if they are parallel.
pub fn line_line(p: DVec3, d: DVec3, q: DVec3, e: DVec3) -> Option<(f64, f64)> {
    let w = q - p;
    let c = d.dot(e);
    let sine2 = d.cross(e).length_squared();
    if sine2.sqrt() < crate::PARALLEL {
        return None;
    }
    let (wd, we) = (w.dot(d), w.dot(e));
    let s = (wd - we * c) / sine2;
    Some((s, s * c - we))
}

/// Distance from a point to a segment, and how far along (0 to 1) the nearest place is.
pub fn point_segment(p: DVec3, a: DVec3, b: DVec3) -> (f64, f64) {
    let ab = b - a;
    let len2 = ab.length_squared();
    let f = if len2 > 0.0 { ((p - a).dot(ab) / len2).clamp(0.0, 1.0) } else { 0.0 };
    ((a + ab * f - p).length(), f)
}

/// Distance between two segments, and how far along each (0 to 1) the nearest places are.
pub fn segment_segment(a: DVec3, b: DVec3, c: DVec3, d: DVec3) -> (f64, f64, f64) {
    let (ab, cd) = (b - a, d - c);
    let mut best = (f64::INFINITY, 0.0, 0.0);
    let mut offer = |f: f64, g: f64| {
        let dist = (a + ab * f - c - cd * g).length();
        if dist < best.0 {
            best = (dist, f, g);
        }
    };
    if let (Some(u), Some(w)) = (ab.try_normalize(), cd.try_normalize())
        && let Some((s, t)) = line_line(a, u, c, w)
    {
        let (f, g) = (s / ab.length(), t / cd.length());
        if (0.0..=1.0).contains(&f) && (0.0..=1.0).contains(&g) {
            offer(f, g);
        }
    }
    // Otherwise an end of one of them is nearest.
    offer(0.0, point_segment(a, c, d).1);
    offer(1.0, point_segment(b, c, d).1);
    offer(point_segment(c, a, b).1, 0.0);
    offer(point_segment(d, a, b).1, 1.0);
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn skew_crossing_parallel_and_pointlike() {
        let (x, y, z) = (DVec3::X, DVec3::Y, DVec3::Z);
        let (d, f, g) = segment_segment(-x, x, z * 0.5 - y, z * 0.5 + y);
        assert!((d - 0.5).abs() < 1e-15 && (f - 0.5).abs() < 1e-15 && (g - 0.5).abs() < 1e-15);
        assert_eq!(segment_segment(DVec3::ZERO, x, y, x + y).0, 1.0);
        assert_eq!(segment_segment(DVec3::ZERO, x, x * 3.0, x * 4.0).0, 2.0);
        assert_eq!(segment_segment(z, z, DVec3::ZERO, DVec3::ZERO).0, 1.0);
    }

    #[test]
    fn nearest_places_of_lines_are_square_to_both() {
        let (p, d) = (DVec3::new(0.3, 1.0, -2.0), DVec3::new(1.0, 2.0, 0.5).normalize());
        let (q, e) = (DVec3::new(-1.0, 0.4, 0.1), DVec3::new(-0.3, 1.0, 0.9).normalize());
        let (s, t) = line_line(p, d, q, e).unwrap();
        let gap = (q + e * t) - (p + d * s);
        assert!(gap.dot(d).abs() < 1e-14 && gap.dot(e).abs() < 1e-14);
        assert_eq!(line_line(p, d, q, d), None);
    }
}
