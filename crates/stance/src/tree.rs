//! A tree of boxes in side view.

use geometry::DVec2;

/// A box in side view; nothing at all if its corners are the wrong way round.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Area {
    pub lo: DVec2,
    pub hi: DVec2,
}

impl Area {
    pub const NOTHING: Area = Area { lo: DVec2::INFINITY, hi: DVec2::NEG_INFINITY };

    /// The box round places.
    pub fn round(places: &[DVec2]) -> Area {
        places.iter().fold(Area::NOTHING, |a, p| Area { lo: a.lo.min(*p), hi: a.hi.max(*p) })
    }

    pub fn grown(self, by: f64) -> Area {
        Area { lo: self.lo - by, hi: self.hi + by }
    }

    pub fn with(self, other: Area) -> Area {
        Area { lo: self.lo.min(other.lo), hi: self.hi.max(other.hi) }
    }

    /// Square of the distance to another box; zero where they overlap.
    pub fn gap_squared(&self, other: &Area) -> f64 {
        (other.lo - self.hi).max(self.lo - other.hi).max(DVec2::ZERO).length_squared()
    }

    /// The least dot product of a place with a direction.
    pub fn least(&self, d: DVec2) -> f64 {
        let x = if d.x > 0.0 { self.lo.x } else { self.hi.x };
        let y = if d.y > 0.0 { self.lo.y } else { self.hi.y };
        d.x * x + d.y * y
    }

    pub fn is_nothing(&self) -> bool {
        self.lo.x > self.hi.x
    }
}

/// Most boxes under one leaf.
const LEAF: usize = 4;

#[derive(Clone, Copy, Debug)]
struct Node {
    area: Area,
    /// The node after this one and all under it.
    next: u32,
    /// Boxes of a leaf; none of any other.
    from: u32,
    to: u32,
}

/// Nodes in the order of a walk: each before those under it, the lower half first.
#[derive(Clone, Debug, Default)]
pub(crate) struct Tree {
    nodes: Vec<Node>,
}

impl Tree {
    /// A tree over boxes, and the order that it wants them in.
    pub fn new(areas: &[Area]) -> (Tree, Vec<u32>) {
        let mut order: Vec<u32> = (0..areas.len() as u32).collect();
        let mut tree = Tree { nodes: Vec::with_capacity(areas.len()) };
        if !areas.is_empty() {
            tree.split(areas, &mut order, 0);
        }
        (tree, order)
    }

    fn split(&mut self, areas: &[Area], order: &mut [u32], from: usize) -> Area {
        let me = self.nodes.len();
        let count = order.len();
        self.nodes.push(Node { area: Area::NOTHING, next: 0, from: 0, to: 0 });
        let mids = order.iter().map(|&i| &areas[i as usize]).filter(|a| !a.is_nothing()).map(|a| a.lo + a.hi);
        let spread = mids.fold(Area::NOTHING, |m, p| Area { lo: m.lo.min(p), hi: m.hi.max(p) });
        let area = if count <= LEAF {
            (self.nodes[me].from, self.nodes[me].to) = (from as u32, (from + count) as u32);
            order.iter().fold(Area::NOTHING, |a, &i| a.with(areas[i as usize]))
        } else {
            let wide = spread.hi.x - spread.lo.x > spread.hi.y - spread.lo.y;
            let key = |i: u32| {
                let a = &areas[i as usize];
                if wide { a.lo.x + a.hi.x } else { a.lo.y + a.hi.y }
            };
            let half = count / 2;
            order.select_nth_unstable_by(half, |&a, &b| key(a).total_cmp(&key(b)));
            let (low, high) = order.split_at_mut(half);
            let first = self.split(areas, low, from);
            first.with(self.split(areas, high, from + half))
        };
        self.nodes[me].area = area;
        self.nodes[me].next = self.nodes.len() as u32;
        area
    }

    /// The same tree over boxes that have moved, in the order that it wanted.
    pub fn refit(&mut self, areas: impl Fn(usize) -> Area) {
        for i in (0..self.nodes.len()).rev() {
            let n = self.nodes[i];
            let area = if n.to > n.from {
                (n.from..n.to).fold(Area::NOTHING, |a, k| a.with(areas(k as usize)))
            } else {
                let first = self.nodes[i + 1];
                first.area.with(self.nodes[first.next as usize].area)
            };
            self.nodes[i].area = area;
        }
    }

    /// Shows every box under nodes that `passes` lets through.
    pub fn walk<S>(&self, state: &mut S, passes: impl Fn(&S, &Area) -> bool, mut leaf: impl FnMut(&mut S, usize)) {
        let mut i = 0;
        while let Some(n) = self.nodes.get(i) {
            if !passes(state, &n.area) {
                i = n.next as usize;
                continue;
            }
            for k in n.from..n.to {
                leaf(state, k as usize);
            }
            i += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_walk_finds_every_box_that_a_plain_look_finds() {
        let mut seed = 7u64;
        let mut random = || {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 11) as f64 / (1u64 << 53) as f64
        };
        for n in [0usize, 1, 2, 5, 63, 400] {
            let mut areas: Vec<Area> = (0..n)
                .map(|_| {
                    let p = DVec2::new(4.0 * random(), random());
                    Area { lo: p, hi: p + DVec2::new(random(), random()) * 0.1 }
                })
                .collect();
            if n > 5 {
                areas[3] = Area::NOTHING;
            }
            let (mut tree, order) = Tree::new(&areas);
            let mut sorted = order.clone();
            sorted.sort_unstable();
            assert!(sorted.into_iter().eq(0..n as u32));
            for shift in [DVec2::ZERO, DVec2::new(0.7, -0.3)] {
                let moved: Vec<Area> = order
                    .iter()
                    .map(|&i| areas[i as usize])
                    .map(|a| Area { lo: a.lo + shift, hi: a.hi + shift })
                    .collect();
                tree.refit(|i| moved[i]);
                let look = Area { lo: DVec2::new(1.0, 0.2), hi: DVec2::new(1.8, 0.5) };
                let mut found = Vec::new();
                let near = |a: &Area| a.gap_squared(&look) < 0.01;
                tree.walk(&mut found, |_, a| near(a), |f, i| f.extend(near(&moved[i]).then_some(i)));
                let plain: Vec<usize> = (0..n).filter(|&i| near(&moved[i])).collect();
                assert_eq!(found, plain);
            }
        }
    }
}
