//! Polygons cut by a line.

use glam::DVec2;

use crate::polygon::signed_area;

/// What stays of a simple polygon on the side of a line where `normal · p ≥ offset` (the normal of any
/// length): none, one or several pieces, running
/// the same way. A hollow polygon may fall into several. Corners on the line count as beyond it.
pub fn half_plane(p: &[DVec2], normal: DVec2, offset: f64) -> Vec<Vec<DVec2>> {
    let n = p.len();
    let height: Vec<f64> = p.iter().map(|c| normal.dot(*c) - offset).collect();
    let stays: Vec<bool> = height.iter().map(|h| *h > 0.0).collect();
    if n > 0 && stays.iter().all(|s| *s) {
        return vec![p.to_vec()];
    }
    let Some(first) = (0..n).find(|&i| !stays[i] && stays[(i + 1) % n]) else { return Vec::new() };
    // Runs of corners that stay, each from where the outline comes over the line to where it goes back.
    let along = normal.perp();
    let mut runs: Vec<Vec<DVec2>> = Vec::new();
    let crossing = |i: usize, j: usize| p[i].lerp(p[j], (height[i] / (height[i] - height[j])).clamp(0.0, 1.0));
    for k in 0..n {
        let (i, j) = ((first + k) % n, (first + k + 1) % n);
        match (stays[i], stays[j]) {
            (false, true) => runs.push(vec![crossing(i, j), p[j]]),
            (true, true) => runs.last_mut().into_iter().for_each(|r| r.push(p[j])),
            (true, false) => runs.last_mut().into_iter().for_each(|r| r.push(crossing(i, j))),
            (false, false) => {}
        }
    }
    // Along the line, places where the outline comes and goes take turns: the k-th of one belongs to the k-th of the other.
    let order = |place: &dyn Fn(&Vec<DVec2>) -> DVec2| {
        let mut o: Vec<usize> = (0..runs.len()).collect();
        o.sort_by(|&a, &b| along.dot(place(&runs[a])).total_cmp(&along.dot(place(&runs[b]))));
        o
    };
    let comes = order(&|r| r[0]);
    let goes = order(&|r| r[r.len() - 1]);
    let mut next = vec![0; runs.len()];
    for (c, g) in comes.iter().zip(&goes) {
        next[*g] = *c;
    }
    let mut used = vec![false; runs.len()];
    let mut out = Vec::new();
    for i in 0..runs.len() {
        let (mut k, mut piece) = (i, Vec::new());
        while !used[k] {
            used[k] = true;
            piece.extend_from_slice(&runs[k]);
            k = next[k];
        }
        piece.dedup();
        if piece.len() > 2 && signed_area(&piece) != 0.0 {
            out.push(piece);
        }
    }
    out
}
