//! Boxes in space, and which of them come near each other: a tree, halved at the middle of its longest side.

use geometry::DVec3;

/// Boxes in a leaf at most.
const LEAF: usize = 4;

/// A box with sides along the axes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Bounds {
    pub lo: DVec3,
    pub hi: DVec3,
}

impl Bounds {
    /// That holds all points.
    pub fn of(points: &[DVec3]) -> Bounds {
        let mut b = Bounds { lo: DVec3::splat(f64::INFINITY), hi: DVec3::splat(f64::NEG_INFINITY) };
        for p in points {
            b.lo = b.lo.min(*p);
            b.hi = b.hi.max(*p);
        }
        b
    }

    /// Larger by `d` on each side.
    pub fn grown(&self, d: f64) -> Bounds {
        Bounds { lo: self.lo - d, hi: self.hi + d }
    }

    fn with(&self, o: &Bounds) -> Bounds {
        Bounds { lo: self.lo.min(o.lo), hi: self.hi.max(o.hi) }
    }

    fn meets(&self, o: &Bounds) -> bool {
        self.lo.cmple(o.hi).all() && o.lo.cmple(self.hi).all()
    }
}

/// A tree of boxes.
pub(crate) struct Boxes {
    all: Vec<Bounds>,
    order: Vec<u32>,
    /// Box, range in `order`, and the second child; the first follows its parent. A leaf has no second child.
    nodes: Vec<(Bounds, usize, usize, usize)>,
}

impl Boxes {
    pub fn new(all: Vec<Bounds>) -> Boxes {
        let mut b = Boxes { order: (0..all.len() as u32).collect(), all, nodes: Vec::new() };
        if !b.all.is_empty() {
            b.build(0, b.order.len());
        }
        b
    }

    fn build(&mut self, from: usize, to: usize) {
        let whole = self.order[from..to].iter().map(|&i| self.all[i as usize]).reduce(|a, b| a.with(&b));
        let Some(whole) = whole else { return };
        let me = self.nodes.len();
        self.nodes.push((whole, from, to, 0));
        if to - from > LEAF {
            let size = whole.hi - whole.lo;
            let axis = if size.x >= size.y && size.x >= size.z {
                0
            } else if size.y >= size.z {
                1
            } else {
                2
            };
            let middle = (from + to) / 2;
            let all = &self.all;
            let key = |i: &u32| all[*i as usize].lo[axis] + all[*i as usize].hi[axis];
            self.order[from..to].select_nth_unstable_by(middle - from, |a, b| key(a).total_cmp(&key(b)).then(a.cmp(b)));
            self.build(from, middle);
            self.nodes[me].3 = self.nodes.len();
            self.build(middle, to);
        }
    }

    /// Calls `f` with every box that meets a box.
    pub fn near(&self, what: &Bounds, mut f: impl FnMut(usize)) {
        let mut open = if self.nodes.is_empty() { Vec::new() } else { vec![0] };
        while let Some(k) = open.pop() {
            let (bounds, from, to, second) = &self.nodes[k];
            if !bounds.meets(what) {
                continue;
            }
            if *second == 0 {
                self.order[*from..*to]
                    .iter()
                    .map(|i| *i as usize)
                    .filter(|i| self.all[*i].meets(what))
                    .for_each(&mut f);
            } else {
                open.extend([*second, k + 1]);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_by_hand() {
        let mut seed = 7u64;
        let mut random = || {
            seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (seed >> 33) as f64 / (1u64 << 31) as f64
        };
        let mut bounds = || {
            let lo = DVec3::new(random(), random(), random());
            Bounds { lo, hi: lo + DVec3::new(random(), random(), random()) * 0.2 }
        };
        let all: Vec<Bounds> = (0..300).map(|_| bounds()).collect();
        let tree = Boxes::new(all.clone());
        for _ in 0..50 {
            let what = bounds();
            let mut found = Vec::new();
            tree.near(&what, |i| found.push(i));
            found.sort_unstable();
            assert_eq!(found, (0..300).filter(|&i| all[i].meets(&what)).collect::<Vec<_>>());
        }
        Boxes::new(Vec::new()).near(&bounds(), |_| panic!("nothing is near nothing"));
    }
}
