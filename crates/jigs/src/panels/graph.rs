//! The frame as a graph: joints, and the parts of tubes between them.

use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

use design::TubeState;
use shape::Shape;

/// Ways that differ by less than this are as long as one another: a micrometre, m.
const AS_LONG: f64 = 1e-6;
/// Joints nearer than this along a tube are at one place of it: a tenth of a millimetre, under what can be marked out, m.
const ONE_PLACE: f64 = 1e-4;
/// Longest way round a panel, in sides: with more it has no six corners to speak of.
const MOST_SIDES: usize = 16;

pub(super) struct Graph {
    /// Of each joint: neighbours, how far, by which tube.
    to: Vec<Vec<(usize, f64, usize)>>,
}

/// Ways from one joint: how far each other is, and the one before it.
struct Ways {
    far: Vec<f64>,
    before: Vec<usize>,
}

impl Graph {
    pub fn new(shape: &Shape) -> Graph {
        let mut edges = BTreeMap::<(usize, usize), (f64, usize)>::new();
        let permanent = |k: usize| shape.tubes[k].state == TubeState::Permanent;
        for k in (0..shape.tubes.len()).filter(|&k| permanent(k)) {
            let mut on: Vec<(f64, usize)> = Vec::new();
            for (i, j) in shape.joints.iter().enumerate() {
                on.extend(j.members.iter().filter(|m| m.tube == k).map(|m| (m.station, i)));
            }
            on.sort_by(|a, b| a.0.total_cmp(&b.0));
            // Joints above and below one place of a tube stand side by side: each is next to what comes before and after.
            let groups: Vec<&[(f64, usize)]> = on.chunk_by(|a, b| b.0 - a.0 < ONE_PLACE).collect();
            let mut side = |a: usize, b: usize| {
                if a != b {
                    let far = shape.joints[a].at.distance(shape.joints[b].at);
                    edges.entry((a.min(b), a.max(b))).or_insert((far, k));
                }
            };
            for (i, g) in groups.iter().enumerate() {
                for (n, a) in g.iter().enumerate() {
                    let after = groups.get(i + 1).copied().unwrap_or(&[]);
                    g[n + 1..].iter().chain(after).for_each(|b| side(a.1, b.1));
                }
            }
        }
        let mut to = vec![Vec::new(); shape.joints.len()];
        for (&(a, b), &(far, k)) in &edges {
            to[a].push((b, far, k));
            to[b].push((a, far, k));
        }
        Graph { to }
    }

    /// The tube along a side.
    pub fn tube(&self, a: usize, b: usize) -> usize {
        self.to[a].iter().find(|e| e.0 == b).map_or(0, |e| e.2)
    }

    fn side(&self, a: usize, b: usize) -> f64 {
        self.to[a].iter().find(|e| e.0 == b).map_or(f64::INFINITY, |e| e.1)
    }

    /// Length round a cycle.
    pub fn round(&self, cycle: &[usize]) -> f64 {
        (0..cycle.len()).map(|i| self.side(cycle[i], cycle[(i + 1) % cycle.len()])).sum()
    }

    /// Shortest ways from a joint (Dijkstra); of two as long the one by way of the lower number.
    fn ways(&self, from: usize) -> Ways {
        let n = self.to.len();
        let (mut far, mut before) = (vec![f64::INFINITY; n], vec![usize::MAX; n]);
        let mut heap = BinaryHeap::new();
        far[from] = 0.0;
        heap.push((std::cmp::Reverse(0u64), from));
        while let Some((std::cmp::Reverse(d), i)) = heap.pop() {
            // The bits of numbers that are not negative order as they do.
            if d > far[i].to_bits() {
                continue;
            }
            for &(j, side, _) in &self.to[i] {
                let way = far[i] + side;
                if way < far[j] - AS_LONG
                    || (way < far[j] + AS_LONG && before[j] != usize::MAX && i < before[j] && j != from)
                {
                    if way < far[j] {
                        far[j] = way;
                        heap.push((std::cmp::Reverse(way.to_bits()), j));
                    }
                    before[j] = i;
                }
            }
        }
        Ways { far, before }
    }

    /// Cycles in which no way through the graph is shorter than the way round.
    pub fn isometric(&self) -> Vec<Vec<usize>> {
        let n = self.to.len();
        let all: Vec<Ways> = (0..n).map(|i| self.ways(i)).collect();
        let mut seen = BTreeSet::<Vec<usize>>::new();
        let mut out = Vec::new();
        for (w, ways) in all.iter().enumerate() {
            let path = |mut i: usize| {
                let mut p = vec![i];
                while i != w && p.len() <= MOST_SIDES && ways.before[i] != usize::MAX {
                    i = ways.before[i];
                    p.push(i);
                }
                (i == w).then_some(p)
            };
            for a in 0..n {
                if !ways.far[a].is_finite() {
                    continue;
                }
                for &(b, side, _) in self.to[a].iter().filter(|e| e.0 > a) {
                    // The side must lie across from w: neither of its ends is on the way to the other.
                    if (ways.far[a] - ways.far[b]).abs() > side - AS_LONG && ways.before[a] == b || ways.before[b] == a
                    {
                        continue;
                    }
                    let (Some(mut p), Some(q)) = (path(a), path(b)) else { continue };
                    // From a to w, then from w to b.
                    p.extend(q.iter().rev().skip(1));
                    let mut key = p.clone();
                    key.sort_unstable();
                    if key.windows(2).any(|k| k[0] == k[1])
                        || p.len() > MOST_SIDES
                        || p.len() < 4
                        || seen.contains(&key)
                    {
                        continue;
                    }
                    if self.is_isometric(&p, &all) {
                        seen.insert(key);
                        out.push(p);
                    }
                }
            }
        }
        out
    }

    fn is_isometric(&self, p: &[usize], all: &[Ways]) -> bool {
        let total = self.round(p);
        let mut at = vec![0.0];
        for w in p.windows(2) {
            at.push(at[at.len() - 1] + self.side(w[0], w[1]));
        }
        (0..p.len()).all(|i| {
            (i + 1..p.len()).all(|j| {
                let way = at[j] - at[i];
                all[p[i]].far[p[j]] > way.min(total - way) - AS_LONG
            })
        })
    }
}
