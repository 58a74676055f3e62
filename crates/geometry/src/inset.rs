//! Polygons whose edges move inward.

use glam::DVec2;

use crate::polygon::signed_area;

/// Corners nearer than this part of the outline's size are one; edges that turn by less are one.
const SAME: f64 = 1e-10;

/// A simple polygon with every edge moved inward by a distance, mitred at its corners: anticlockwise pieces, none if
/// nothing is left. The edges move all at once; where one vanishes it is dropped, and where a hollow corner meets an
/// edge the outline falls in two.
pub fn inset(p: &[DVec2], distance: f64) -> Vec<Vec<DVec2>> {
    let mut start = p.to_vec();
    if signed_area(&start) < 0.0 {
        start.reverse();
    }
    let size = p.iter().map(|c| (*c - p[0]).length()).fold(0.0, f64::max);
    let mut out = Vec::new();
    let mut todo = vec![(start, distance.max(0.0))];
    // Each event drops an edge or splits a piece, so there are fewer than three for each corner; the cap is for
    // outlines that rounding keeps from settling: those count as having nothing left.
    let mut events = 8 * p.len() + 64;
    while let Some((piece, left)) = todo.pop() {
        let piece = tidy(piece, size * SAME);
        if piece.len() < 3 || signed_area(&piece) <= (size * SAME).powi(2) {
            continue;
        }
        let Some(speed) = speeds(&piece) else { continue };
        let (when, split) = first_event(&piece, &speed, size * SAME);
        let step = when.min(left);
        let moved: Vec<DVec2> = piece.iter().zip(&speed).map(|(c, v)| *c + *v * step).collect();
        if when >= left {
            let moved = tidy(moved, size * SAME);
            if moved.len() > 2 && signed_area(&moved) > (size * SAME).powi(2) {
                out.push(moved);
            }
            continue;
        }
        if events == 0 {
            return Vec::new();
        }
        events -= 1;
        let n = moved.len();
        match split {
            Some((corner, edge)) => {
                let walk = |from: usize, to: usize| {
                    let count = (to + n - from) % n + 1;
                    (0..count).map(move |k| (from + k) % n)
                };
                todo.push((walk(corner, edge).map(|i| moved[i]).collect(), left - step));
                let mut other = vec![moved[corner]];
                other.extend(walk((edge + 1) % n, (corner + n - 1) % n).map(|i| moved[i]));
                todo.push((other, left - step));
            }
            None => todo.push((moved, left - step)),
        }
    }
    out
}

/// Without corners that coincide, lie on a straight line, or stick out as a spike without width.
fn tidy(mut p: Vec<DVec2>, near: f64) -> Vec<DVec2> {
    loop {
        let n = p.len();
        let idle = (0..n).find(|&i| {
            let (a, b, c) = (p[(i + n - 1) % n], p[i], p[(i + 1) % n]);
            let (ab, bc) = (b - a, c - b);
            ab.length() <= near || ab.perp_dot(bc).abs() <= near * (ab.length() + bc.length())
        });
        match idle {
            Some(i) if n > 2 => {
                p.remove(i);
            }
            _ => return p,
        }
    }
}

fn inward(p: &[DVec2], i: usize) -> DVec2 {
    (p[(i + 1) % p.len()] - p[i]).normalize_or_zero().perp()
}

/// How fast each corner moves if the edges move at one.
fn speeds(p: &[DVec2]) -> Option<Vec<DVec2>> {
    let n = p.len();
    (0..n)
        .map(|i| {
            let (a, b) = (inward(p, (i + n - 1) % n), inward(p, i));
            let v = (a + b) / (1.0 + a.dot(b));
            v.is_finite().then_some(v)
        })
        .collect()
}

/// When the first edge vanishes or a hollow corner meets an edge; then also which corner and which edge.
fn first_event(p: &[DVec2], speed: &[DVec2], near: f64) -> (f64, Option<(usize, usize)>) {
    let n = p.len();
    let next = |i: usize| (i + 1) % n;
    let mut best = (f64::INFINITY, None);
    for i in 0..n {
        let along = p[next(i)] - p[i];
        let rate = (speed[next(i)] - speed[i]).dot(along.normalize_or_zero());
        let when = -along.length() / rate;
        if rate < 0.0 && when < best.0 {
            best = (when, None);
        }
    }
    for i in 0..n {
        let before = (i + n - 1) % n;
        if (p[i] - p[before]).perp_dot(p[next(i)] - p[i]) >= 0.0 {
            continue;
        }
        for j in (0..n).filter(|&j| j != i && j != before) {
            let normal = inward(p, j);
            let height = normal.dot(p[i] - p[j]);
            let when = height / (1.0 - speed[i].dot(normal));
            if height < -near || !when.is_finite() || when < -near || when >= best.0 {
                continue;
            }
            let when = when.max(0.0);
            let (a, b) = (p[j] + speed[j] * when, p[next(j)] + speed[next(j)] * when);
            let along = -normal.perp();
            let s = along.dot(p[i] + speed[i] * when - a);
            if s >= -near && s <= along.dot(b - a) + near {
                best = (when, Some((i, j)));
            }
        }
    }
    best
}
