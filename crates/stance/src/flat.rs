//! Convex polygons in side view.

use geometry::DVec2;

/// Corners nearer than this are one, m.
const ONE: f64 = 1e-12;

/// Corners of the convex hull, anticlockwise, in place; one or two if that is all there is.
pub(crate) fn hull(p: &mut Vec<DVec2>) {
    if p.len() < 2 {
        return;
    }
    p.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    p.dedup_by(|a, b| a.distance_squared(*b) < ONE * ONE);
    let n = p.len();
    if n < 3 {
        return;
    }
    // The chains are written behind the points, which are then taken away.
    let turn = |p: &mut Vec<DVec2>, base: usize, q: DVec2| {
        while p.len() >= base + 2 {
            let (a, b) = (p[p.len() - 2], p[p.len() - 1]);
            if (b - a).perp_dot(q - b) > 0.0 {
                break;
            }
            p.pop();
        }
        p.push(q);
    };
    for i in 0..n {
        let q = p[i];
        turn(p, n, q);
    }
    let base = p.len() - 1;
    for i in (0..n - 1).rev() {
        let q = p[i];
        turn(p, base, q);
    }
    p.pop();
    p.drain(..n);
}

/// Corners, anticlockwise, of all places that stand off a middle by no more than each of these ways, to both sides. Ways
/// without length count for nothing.
pub(crate) fn swept(mid: DVec2, ways: &mut [DVec2], out: &mut Vec<DVec2>) {
    for w in ways.iter_mut() {
        if w.y < 0.0 || w.y == 0.0 && w.x < 0.0 {
            *w = -*w;
        }
    }
    // By angle from the x axis, all within half a turn.
    let turned = |w: &DVec2| -w.x / (w.x.abs() + w.y);
    ways.sort_by(|a, b| turned(a).total_cmp(&turned(b)));
    let from = out.len();
    let mut at = mid - ways.iter().sum::<DVec2>();
    out.push(at);
    let mut last = DVec2::ZERO;
    for half in [1.0, -1.0] {
        for w in ways.iter().filter(|w| w.length_squared() > 0.25 * ONE * ONE) {
            let step = *w * (2.0 * half);
            at += step;
            // Along the last way no corner stands.
            if out.len() > from + 1
                && last.perp_dot(step).abs() <= ONE * (last.length() + step.length())
                && last.dot(step) > 0.0
            {
                out.pop();
            }
            out.push(at);
            last = step;
        }
    }
    if out.len() > from + 1 {
        // It comes back to where it began.
        out.pop();
    }
}

fn edges(p: &[DVec2]) -> impl Iterator<Item = (DVec2, DVec2)> + '_ {
    let n = match p.len() {
        0 | 1 => 0,
        n => n,
    };
    (0..n).map(move |i| (p[i], p[if i + 1 == n { 0 } else { i + 1 }]))
}

/// The widest gap across a line along an edge of the first, with the place of the second beyond it and its foot on the
/// edge, if it has one. A lower bound of the distance; of zero or less nothing but the sign counts.
fn apart(p: &[DVec2], q: &[DVec2]) -> (f64, Option<(DVec2, DVec2)>) {
    let mut best = (f64::NEG_INFINITY, None);
    for (a, b) in edges(p) {
        let along = b - a;
        // Outward of an anticlockwise polygon is to the right; a segment comes by both ways.
        let mut near = (f64::INFINITY, a);
        for &v in q {
            let gap = along.perp_dot(a - v);
            if gap < near.0 {
                near = (gap, v);
            }
        }
        let (gap, v) = near;
        let square = along.length_squared();
        if gap <= 0.0 {
            if gap > best.0 {
                best = (gap, None);
            }
        } else if best.0 <= 0.0 || gap * gap > best.0 * best.0 * square {
            let foot = along.dot(v - a);
            best = (gap / square.sqrt(), (foot >= 0.0 && foot <= square).then(|| (a + along * (foot / square), v)));
        }
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
    let (one, other) = (apart(p, q), apart(q, p));
    let gap = one.0.max(other.0);
    if gap >= enough {
        return (gap, p[0], q[0]);
    }
    // As far as a line keeps them apart they are, if the nearest place beyond it has its foot on the edge.
    match (one, other) {
        ((d, Some((a, b))), (e, _)) if d >= e && d > 0.0 => return (d, a, b),
        ((d, _), (e, Some((b, a)))) if e >= d && e > 0.0 => return (e, a, b),
        _ => {}
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
        let mut square = vec![v(0.0, 0.0), v(1.0, 1.0), v(1.0, 0.0), v(0.5, 0.5), v(0.0, 1.0), v(0.0, 0.0)];
        hull(&mut square);
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
