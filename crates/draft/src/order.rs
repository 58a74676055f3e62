//! The order of the tubes: what others stand on comes first.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use crate::places::Frame;
use crate::{Told, count};

/// Puts tubes into an order in which each comes after those that its points lie on; else as drawn. Where tubes stand on
/// each other in a ring, one of them is placed by coordinates.
pub(crate) fn order(mut frame: Frame, told: &mut Told) -> Frame {
    let n = frame.tubes.len();
    let mut needs: Vec<Vec<usize>> = Vec::new();
    for (k, path) in frame.paths.iter().enumerate() {
        let mut v: Vec<usize> = path.iter().filter_map(|u| frame.nodes[u.node].on.map(|o| o.tube)).collect();
        v.retain(|h| *h != k);
        v.sort_unstable();
        v.dedup();
        needs.push(v);
    }
    let mut waits: Vec<usize> = needs.iter().map(Vec::len).collect();
    let mut frees: Vec<Vec<usize>> = vec![Vec::new(); n];
    for (k, v) in needs.iter().enumerate() {
        v.iter().for_each(|h| frees[*h].push(k));
    }
    let rank = |k: usize| Reverse((frame.tubes[k].tube.rank, k));
    let mut ready: BinaryHeap<_> = (0..n).filter(|k| waits[*k] == 0).map(rank).collect();
    // Those that may still wait, the first of the drawing last.
    let mut rest: Vec<usize> = (0..n).collect();
    rest.sort_by_key(|k| Reverse((frame.tubes[*k].tube.rank, *k)));
    let mut placed = vec![false; n];
    let mut order = Vec::with_capacity(n);
    let mut rings = 0;
    while order.len() < n {
        let k = match ready.pop() {
            Some(Reverse((_, k))) => k,
            None => {
                let Some(k) = std::iter::from_fn(|| rest.pop()).find(|k| !placed[*k]) else { break };
                // Its points no longer wait for what is not there yet.
                for u in &frame.paths[k] {
                    let node = &mut frame.nodes[u.node];
                    if node.on.is_some_and(|o| !placed[o.tube]) {
                        node.on = None;
                        rings += 1;
                    }
                }
                k
            }
        };
        if std::mem::replace(&mut placed[k], true) {
            continue;
        }
        order.push(k);
        for &g in &frees[k] {
            waits[g] = waits[g].saturating_sub(1);
            if waits[g] == 0 && !placed[g] {
                ready.push(Reverse((frame.tubes[g].tube.rank, g)));
            }
        }
    }
    if rings > 0 {
        told.guess(format!(
            "tubes stand on each other in a ring, so {} by coordinates, and will not move along",
            count(rings, "point is placed", "points are placed")
        ));
    }
    let mut new = vec![0; n];
    order.iter().enumerate().for_each(|(to, from)| new[*from] = to);
    for node in &mut frame.nodes {
        if let Some(o) = &mut node.on {
            o.tube = new[o.tube];
        }
        if let Some(c) = &mut node.corner {
            c.0 = new[c.0];
        }
    }
    let mut tubes: Vec<_> = frame.tubes.into_iter().map(Some).collect();
    let mut paths: Vec<_> = frame.paths.into_iter().map(Some).collect();
    Frame {
        tubes: order.iter().filter_map(|k| tubes[*k].take()).collect(),
        paths: order.iter().filter_map(|k| paths[*k].take()).collect(),
        nodes: frame.nodes,
    }
}
