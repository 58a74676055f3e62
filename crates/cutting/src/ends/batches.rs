//! Ends that share a setting of a tool, and the order of settings with the fewest changes.

use design::Limits;
use shape::End;

use super::{EndProcess, Process};
use crate::setup::SetUp;

/// The machine that makes a cut, and the tool in it.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Tool {
    /// The saw.
    Saw,
    /// The notcher with a hole saw of a diameter, m.
    HoleSaw {
        /// Of the saw taken, or the one needed if the design lists none.
        diameter: f64,
    },
    /// The grinder.
    Grinder,
}

/// One cut in a batch.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Place {
    /// Piece.
    pub piece: String,
    /// End.
    pub end: End,
    /// Number of the cut among those of its end, from 0.
    pub cut: usize,
    /// Turn of the tube in the vice, rad: to its short side; where it is cut square, to the side that is up.
    pub turn: f64,
    /// Where the cut passes the tube's axis, m beyond the end point.
    pub at: f64,
}

/// Cuts that are made with one setting.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Batch {
    /// Machine and tool.
    pub tool: Tool,
    /// From square, rad: as rounded to the design's step.
    pub angle: f64,
    /// Distance between saw's and tube's axes, m: as rounded. Positive where the saw's axis lies to the left of the
    /// tube's for one who faces the end with the short side up: a twin's lies to the right.
    pub offset: f64,
    /// Cuts, in fitting order.
    pub places: Vec<Place>,
}

/// Batches in order, and how many changes of setting that takes.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Batches {
    /// In order.
    pub batches: Vec<Batch>,
    /// Changes of tool, of angle alone (or with the tool), of offset.
    pub changes: [usize; 3],
    /// What the changes weigh: 100, 10 and 1 each.
    pub cost: usize,
    /// No order weighs less.
    pub bound: usize,
}

/// What a change of tool, angle and offset weighs: how they compare at a notcher is common practice, no source.
const WEIGHTS: [usize; 3] = [100, 10, 1];

/// Settings up to this number on one machine are put in the best order by looking at all: 4,096 sets of 12.
const EXACT: usize = 12;

/// A setting in steps of rounding: tool, angle, offset. Two that are equal need no change.
type Key = [i64; 3];

/// Groups the chosen ways of all ends and orders the groups.
pub fn batches(ends: &[EndProcess], limits: &Limits) -> Batches {
    let step =
        |x: f64, s: f64| if s > 0.0 { (x / s).round() as i64 } else { (x / geometry::SAME_PLACE).round() as i64 };
    let mut groups: Vec<(Key, Batch)> = Vec::new();
    for e in ends {
        let Some(way) = e.simplest() else { continue };
        let place = |cut, turn, at| Place { piece: e.piece.clone(), end: e.end, cut, turn, at };
        let mut put = |tool: Tool, angle: f64, offset: f64, place: Place| {
            // A hole saw is itself to a micrometre; -2 and -1 are the grinder and the saw.
            let id = match tool {
                Tool::Saw => -1,
                Tool::Grinder => -2,
                Tool::HoleSaw { diameter } => step(diameter, 1e-6),
            };
            let key = [id, step(angle, limits.round_angle), step(offset, limits.round)];
            match groups.iter_mut().find(|g| g.0 == key) {
                Some(g) => g.1.places.push(place),
                None => {
                    let back = |n: i64, s: f64, x: f64| if s > 0.0 { n as f64 * s } else { x };
                    let (angle, offset) = (back(key[1], limits.round_angle, angle), back(key[2], limits.round, offset));
                    groups.push((key, Batch { tool, angle, offset, places: vec![place] }));
                }
            }
        };
        if way.process == Process::Template {
            put(Tool::Grinder, 0.0, 0.0, place(0, 0.0, 0.0));
        }
        for (k, c) in way.cuts.iter().enumerate() {
            match &c.setup {
                SetUp::Saw { angle, turn, .. } => put(Tool::Saw, *angle, 0.0, place(k, *turn, c.at)),
                SetUp::HoleSaw { diameter, saw, angle, turn, offset, offset_turn, .. } => {
                    let diameter = saw.map_or(*diameter, |s| s.od);
                    // About the axis out of the end, so that both ends of a tube are faced alike.
                    let left = (offset_turn - turn).sin() * if e.end == End::End { 1.0 } else { -1.0 };
                    let none = step(*offset, limits.round) == 0;
                    let (turn, offset) = match left < 0.0 && !none {
                        // Square to the tube there is no short side: turned over, the other side is the same setting.
                        true if step(*angle, limits.round_angle) == 0 => (turn + std::f64::consts::PI, *offset),
                        true => (*turn, -offset),
                        false => (*turn, *offset),
                    };
                    put(Tool::HoleSaw { diameter }, *angle, offset, place(k, turn, c.at));
                }
                SetUp::Template { .. } => put(Tool::Grinder, 0.0, 0.0, place(k, 0.0, 0.0)),
            }
        }
    }
    // The saw, the notcher and the grinder are machines of their own: a setting stays on each while another runs.
    let machine = |k: &Key| if k[0] < 0 { k[0] } else { 0 };
    let mut out = Batches { batches: Vec::new(), changes: [0; 3], cost: 0, bound: 0 };
    for m in [-1, 0, -2] {
        let mut here: Vec<(Key, Batch)> = groups.iter().filter(|g| machine(&g.0) == m).cloned().collect();
        here.sort_by_key(|g| g.0);
        let keys: Vec<Key> = here.iter().map(|g| g.0).collect();
        let order = if keys.len() <= EXACT { held_karp(&keys) } else { in_line(&keys) };
        for w in order.windows(2) {
            let c = change(&keys[w[0]], &keys[w[1]]);
            for k in 0..3 {
                out.changes[k] += c[k];
                out.cost += c[k] * WEIGHTS[k];
            }
        }
        out.bound += bound(&keys);
        out.batches.extend(order.iter().map(|&k| here[k].1.clone()));
    }
    out
}

/// What must be changed between two settings.
fn change(a: &Key, b: &Key) -> [usize; 3] {
    std::array::from_fn(|k| (a[k] != b[k]) as usize)
}

fn weight(a: &Key, b: &Key) -> usize {
    change(a, b).iter().zip(WEIGHTS).map(|(c, w)| c * w).sum()
}

/// The order of least weight: the lightest way through each set of settings that ends at each of them.
fn held_karp(keys: &[Key]) -> Vec<usize> {
    let n = keys.len();
    if n == 0 {
        return Vec::new();
    }
    let mut best = vec![vec![(usize::MAX, usize::MAX); n]; 1 << n];
    for (k, b) in (0..n).map(|k| (k, 1usize << k)) {
        best[b][k] = (0, usize::MAX);
    }
    for set in 1..1usize << n {
        for last in (0..n).filter(|l| set & (1 << l) != 0) {
            let here = best[set][last].0;
            if here == usize::MAX {
                continue;
            }
            for next in (0..n).filter(|l| set & (1 << l) == 0) {
                let to = set | 1 << next;
                let cost = here + weight(&keys[last], &keys[next]);
                if cost < best[to][next].0 {
                    best[to][next] = (cost, last);
                }
            }
        }
    }
    let mut set = (1usize << n) - 1;
    let mut at = (0..n).min_by_key(|&k| best[set][k].0).unwrap_or(0);
    let mut order = vec![at];
    while best[set][at].1 != usize::MAX {
        let before = best[set][at].1;
        set &= !(1 << at);
        at = before;
        order.push(at);
    }
    order.reverse();
    order
}

/// Sorted by tool, angle and offset; each tool's angles are then turned round where that keeps an angle or an offset.
fn in_line(keys: &[Key]) -> Vec<usize> {
    let mut order: Vec<usize> = Vec::new();
    let mut left: Vec<usize> = (0..keys.len()).collect();
    // The nearest setting next; among equals the one in sorted order.
    while !left.is_empty() {
        let next = match order.last() {
            None => 0,
            Some(&last) => {
                // An angle that the next tool also needs is kept for last: it costs nothing to leave it till then.
                let shared = |k: usize| {
                    keys.iter().any(|o| o[0] != keys[k][0] && o[1] == keys[k][1]) && keys[k][1] != keys[last][1]
                };
                (0..left.len())
                    .min_by_key(|&i| (weight(&keys[last], &keys[left[i]]), shared(left[i]), keys[left[i]]))
                    .unwrap_or(0)
            }
        };
        order.push(left.remove(next));
    }
    order
}

/// A weight that no order goes below. Each change of tool, angle or offset leads to one more setting at most, and so on for
/// pairs of tool and angle; a lighter change can't stand for a heavier.
fn bound(keys: &[Key]) -> usize {
    let count = |f: &dyn Fn(&Key) -> Key| {
        let mut v: Vec<Key> = keys.iter().map(f).collect();
        v.sort_unstable();
        v.dedup();
        v.len()
    };
    if keys.is_empty() {
        return 0;
    }
    let tools = count(&|k| [k[0], 0, 0]);
    let pairs = count(&|k| [k[0], k[1], 0]);
    let (angles, offsets) = (count(&|k| [0, k[1], 0]), count(&|k| [0, 0, k[2]]));
    let a = (pairs - tools).max(angles - 1);
    let o = (keys.len() - 1).saturating_sub(tools - 1 + a).max(offsets - 1);
    WEIGHTS[0] * (tools - 1) + WEIGHTS[1] * a + WEIGHTS[2] * o
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn cost(keys: &[Key], order: &[usize]) -> usize {
        order.windows(2).map(|w| weight(&keys[w[0]], &keys[w[1]])).sum()
    }

    fn permutations(n: usize) -> Vec<Vec<usize>> {
        if n == 0 {
            return vec![Vec::new()];
        }
        permutations(n - 1)
            .into_iter()
            .flat_map(|p| {
                (0..n).map(move |at| {
                    let mut q = p.clone();
                    q.insert(at, n - 1);
                    q
                })
            })
            .collect()
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(60) })]
        /// Against every order of up to six settings; the bound is under the best of them.
        #[test]
        fn no_order_is_lighter(set in prop::collection::btree_set((0..3i64, 0..3i64, 0..3i64), 1..=6)) {
            let keys: Vec<Key> = set.into_iter().map(|(a, b, c)| [a, b, c]).collect();
            let order = held_karp(&keys);
            let mut seen = order.clone();
            seen.sort_unstable();
            prop_assert_eq!(seen, (0..keys.len()).collect::<Vec<_>>());
            let least = permutations(keys.len()).iter().map(|p| cost(&keys, p)).min().unwrap();
            prop_assert_eq!(cost(&keys, &order), least);
            prop_assert!(bound(&keys) <= least);
            prop_assert!(cost(&keys, &in_line(&keys)) >= least);
        }
    }
}
