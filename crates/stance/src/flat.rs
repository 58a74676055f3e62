//! Convex polygons in side view.

use geometry::DVec2;

/// Corners of the convex hull, anticlockwise; one or two if that is all there is.
pub(crate) fn hull(mut p: Vec<DVec2>) -> Vec<DVec2> {
    /// Corners nearer than this are one, m.
    const ONE: f64 = 1e-12;
    p.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    p.dedup_by(|a, b| a.distance_squared(*b) < ONE * ONE);
    if p.len() < 3 {
        return p;
    }
    let mut out: Vec<DVec2> = Vec::with_capacity(2 * p.len());
    let turn = |out: &mut Vec<DVec2>, base: usize, q: DVec2| {
        while out.len() >= base + 2 {
            let (a, b) = (out[out.len() - 2], out[out.len() - 1]);
            if (b - a).perp_dot(q - b) > 0.0 {
                break;
            }
            out.pop();
        }
        out.push(q);
    };
    for &q in &p {
        turn(&mut out, 0, q);
    }
    let base = out.len() - 1;
    for &q in p.iter().rev().skip(1) {
        turn(&mut out, base, q);
    }
    out.pop();
    out
}

fn edges(p: &[DVec2]) -> impl Iterator<Item = (DVec2, DVec2)> + '_ {
    let n = match p.len() {
        0 | 1 => 0,
        n => n,
    };
    (0..n).map(move |i| (p[i], p[(i + 1) % n]))
}

/// The widest gap across a line along an edge of the first: a lower bound of the distance; zero or less says nothing.
fn apart(p: &[DVec2], q: &[DVec2]) -> f64 {
    let mut best = f64::NEG_INFINITY;
    for (a, b) in edges(p) {
        let out = (b - a).perp().normalize_or_zero();
        // Outward of an anticlockwise polygon is to the right; a segment comes by both ways.
        let gap = q.iter().map(|v| out.dot(a - *v)).fold(f64::INFINITY, f64::min);
        best = best.max(gap);
    }
    best
}

/// A place and the nearest of a segment.
fn nearest(v: DVec2, a: DVec2, b: DVec2) -> DVec2 {
    let ab = b - a;
    let len = ab.length_squared();
    let f = if len > 0.0 { ((v - a).dot(ab) / len).clamp(0.0, 1.0) } else { 0.0 };
    a + ab * f
}

/// Distance between two convex polygons (one or two corners will do), and the nearest places; zero where they overlap. A
/// distance that is certainly `enough` may be told short, as long as it is not told less than that.
pub(crate) fn distance(p: &[DVec2], q: &[DVec2], enough: f64) -> (f64, DVec2, DVec2) {
    let gap = apart(p, q).max(apart(q, p));
    if gap >= enough {
        return (gap, p[0], q[0]);
    }
    if gap <= 0.0 && p.len() + q.len() > 2 && (p.len() > 2 || q.len() > 2 || gap < 0.0) {
        // No line along an edge parts them: they overlap, or touch.
        return (0.0, p[0], q[0]);
    }
    let mut best = (f64::INFINITY, p[0], q[0]);
    let mut offer = |a: DVec2, b: DVec2| {
        let d = a.distance_squared(b);
        if d < best.0 {
            best = (d, a, b);
        }
    };
    let vertices = |p: &[DVec2], q: &[DVec2], offer: &mut dyn FnMut(DVec2, DVec2)| {
        for &v in p {
            if q.len() == 1 {
                offer(v, q[0]);
            }
            for (a, b) in edges(q) {
                offer(v, nearest(v, a, b));
            }
        }
    };
    vertices(p, q, &mut offer);
    vertices(q, p, &mut |a, b| offer(b, a));
    (best.0.sqrt(), best.1, best.2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn v(x: f64, y: f64) -> DVec2 {
        DVec2::new(x, y)
    }

    #[test]
    fn hulls_and_distances_of_squares_segments_and_places() {
        let square = hull(vec![v(0.0, 0.0), v(1.0, 1.0), v(1.0, 0.0), v(0.5, 0.5), v(0.0, 1.0), v(0.0, 0.0)]);
        assert_eq!(square, [v(0.0, 0.0), v(1.0, 0.0), v(1.0, 1.0), v(0.0, 1.0)]);
        assert_eq!(distance(&square, &[v(2.0, 0.5)], 9.0).0, 1.0);
        assert_eq!(distance(&square, &[v(2.0, 2.0)], 9.0).0, 2.0f64.sqrt());
        assert_eq!(distance(&square, &[v(-1.0, -0.5), v(2.0, -0.5)], 9.0).0, 0.5);
        assert_eq!(distance(&square, &[v(0.5, -0.5), v(0.5, 2.0)], 9.0).0, 0.0);
        assert_eq!(distance(&square, &[v(0.4, 0.4)], 9.0).0, 0.0);
        assert_eq!(distance(&[v(0.0, 0.0)], &[v(3.0, 4.0)], 9.0).0, 5.0);
        assert_eq!(distance(&[v(0.0, 0.0), v(1.0, 0.0)], &[v(2.0, 0.0), v(3.0, 0.0)], 9.0).0, 1.0);
        assert_eq!(distance(&[v(0.0, 0.0), v(2.0, 0.0)], &[v(1.0, -1.0), v(1.0, 1.0)], 9.0).0, 0.0);
        let far = distance(&square, &[v(2.0, 0.5)], 0.5).0;
        assert!((0.5..=1.0).contains(&far));
    }
}
