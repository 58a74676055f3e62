//! How a frame's tubes lie when its nodes have moved: many times what they really do.

use geometry::DVec3;
use review::Review;
use strength::{Bar, Shaped, Solved};

use super::super::views;

/// Points along a straight stretch that bends.
const STEPS: usize = 10;

/// The largest motion is drawn this long beside the frame's size.
const SHOWN: f64 = 0.06;

/// How many times motions are drawn: 1, 2, 3 or 5 times a power of ten.
pub fn times(r: &Review, c: &Solved) -> f64 {
    views::round_times(shown(r, c.moved.by.length()))
}

/// How many times a largest motion, m, is drawn to be seen well beside the frame; 0 if nothing moves.
pub fn shown(r: &Review, most: f64) -> f64 {
    let nodes = &r.strength.nodes;
    let lo = nodes.iter().fold(DVec3::INFINITY, |m, n| m.min(n.1));
    let hi = nodes.iter().fold(DVec3::NEG_INFINITY, |m, n| m.max(n.1));
    let times = SHOWN * lo.distance(hi) / most;
    if times.is_finite() { times } else { 0.0 }
}

/// Where a straight part's axis lies with motions so many times as large, as a cubic between its ends.
pub fn part(p: &Shaped, times: f64) -> Vec<DVec3> {
    let along = p.at[1] - p.at[0];
    let slope = [0, 1].map(|k| p.turn[k].cross(along));
    (0..=STEPS)
        .map(|i| {
            let x = i as f64 / STEPS as f64;
            let end = x * x * (3.0 - 2.0 * x);
            let by = p.by[0] * (1.0 - end)
                + p.by[1] * end
                + slope[0] * (x * (1.0 - x) * (1.0 - x))
                + slope[1] * (x * x * (x - 1.0));
            // What it is stretched by goes evenly along it.
            let stretch = (p.by[1] - p.by[0]).dot(along) / along.length_squared();
            p.at[0] + along * x + (by + along * (stretch * (x - end))) * times
        })
        .collect()
}

/// Where a bar's axis lies with motions so many times as large. A rigid motion of both ends is followed exactly, if small;
/// what is left bends as a cubic, which leaves out the sag under a load of its own and shear.
pub fn axis(r: &Review, c: &Solved, bar: &Bar, times: f64) -> Vec<DVec3> {
    let chain = &r.shape.tubes[bar.tube].chain;
    let [from, to] = bar.along;
    let length = to - from;
    let ends = bar.along.map(|s| (chain.point(s), chain.tangent(s)));
    // A rigid arm joins each end to its node.
    let moves = [0, 1].map(|k| {
        let u = &c.motions[bar.nodes[k]];
        let (by, turn) = (DVec3::new(u[0], u[1], u[2]), DVec3::new(u[3], u[4], u[5]));
        (by + turn.cross(ends[k].0 - r.strength.nodes[bar.nodes[k]].1), turn)
    });
    let mean = (moves[0].1 + moves[1].1) / 2.0;
    let rigid = |p: DVec3| moves[0].0 + mean.cross(p - ends[0].0);
    let left = moves[1].0 - rigid(ends[1].0);
    let slope = [0, 1].map(|k| (moves[k].1 - mean).cross(ends[k].1) * length);
    (0..=STEPS)
        .map(|i| {
            let x = i as f64 / STEPS as f64;
            let p = chain.point(from + length * x);
            let bent = left * (x * x * (3.0 - 2.0 * x))
                + slope[0] * (x * (1.0 - x) * (1.0 - x))
                + slope[1] * (x * x * (x - 1.0));
            p + (rigid(p) + bent) * times
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use cutting::Detail;

    use super::*;

    fn gorse() -> Review {
        let text = include_str!("../../../../../examples/gorse.toml");
        review::review(Arc::new(design::read(text).unwrap().design), Detail::LIVE).unwrap()
    }

    #[test]
    fn bars_end_where_their_nodes_carry_them() {
        let r = gorse();
        let mut beside = 0;
        for c in &r.strength.cases {
            for b in &r.strength.bars {
                let line = axis(&r, c, b, 7.0);
                let chain = &r.shape.tubes[b.tube].chain;
                for (k, got) in [(0, line[0]), (1, line[STEPS])] {
                    let (u, at) = (c.motions[b.nodes[k]], r.strength.nodes[b.nodes[k]].1);
                    let end = chain.point(b.along[k]);
                    let by = DVec3::new(u[0], u[1], u[2]) + DVec3::new(u[3], u[4], u[5]).cross(end - at);
                    assert!(got.distance(end + by * 7.0) < 1e-12, "{} {}", c.name, r.shape.tubes[b.tube].name);
                    beside += usize::from(end.distance(at) > 1e-6);
                }
            }
        }
        assert!(beside > 0, "no bar ends beside its node");
    }

    #[test]
    fn a_part_of_a_mode_ends_where_it_is_carried_and_turns_as_its_ends() {
        let r = gorse();
        let deep = strength::strength(&r.shape, strength::Depth::Full);
        let v = &deep.vibration[0];
        let mut tubes: Vec<usize> = v.shape.iter().map(|p| p.tube).collect();
        tubes.dedup();
        assert!(tubes.len() > 3);
        let largest = v.shape.iter().flat_map(|p| p.by).map(DVec3::length).fold(0.0, f64::max);
        assert!(largest > 0.99, "the largest motion of a node is 1 m: {largest}");
        for p in &v.shape {
            let line = part(p, 0.1);
            for (k, got) in [(0, line[0]), (1, line[STEPS])] {
                assert!(got.distance(p.at[k] + p.by[k] * 0.1) < 1e-12);
            }
            // A part that goes as a rigid body stays straight.
            let turn = DVec3::new(0.1, -0.3, 0.2);
            let rigid = Shaped { by: p.at.map(|q| turn.cross(q)), turn: [turn; 2], ..*p };
            for (i, got) in part(&rigid, 1.0).into_iter().enumerate() {
                let q = p.at[0].lerp(p.at[1], i as f64 / STEPS as f64);
                assert!(got.distance(q + turn.cross(q)) < 1e-12);
            }
        }
    }

    #[test]
    fn a_frame_that_moves_as_a_whole_keeps_its_shape_bends_too() {
        let r = gorse();
        let (by, turn) = (DVec3::new(0.002, -0.001, 0.003), DVec3::new(0.004, 0.001, -0.003));
        let mut c = r.strength.cases[0].clone();
        for (u, (_, p)) in c.motions.iter_mut().zip(&r.strength.nodes) {
            let d = by + turn.cross(*p);
            *u = [d.x, d.y, d.z, turn.x, turn.y, turn.z];
        }
        for b in &r.strength.bars {
            let chain = &r.shape.tubes[b.tube].chain;
            for (i, got) in axis(&r, &c, b, 10.0).into_iter().enumerate() {
                let p = chain.point(b.along[0] + (b.along[1] - b.along[0]) * i as f64 / STEPS as f64);
                assert!(got.distance(p + (by + turn.cross(p)) * 10.0) < 1e-11);
            }
        }
    }

    #[test]
    fn a_straight_bar_bends_as_a_cantilever_does() {
        // Under a force F at its tip a cantilever without shear deformation goes by F s² (3 L - s) / 6EI.
        let r = gorse();
        let straight = |b: &&Bar| {
            let chain = &r.shape.tubes[b.tube].chain;
            let span = chain.point(b.along[0]).distance(chain.point(b.along[1]));
            let on = |k: usize| chain.point(b.along[k]).distance(r.strength.nodes[b.nodes[k]].1) < 1e-9;
            (span - (b.along[1] - b.along[0])).abs() < 1e-9 && on(0) && on(1)
        };
        let b = r.strength.bars.iter().find(straight).unwrap();
        let chain = &r.shape.tubes[b.tube].chain;
        let l = b.along[1] - b.along[0];
        let t = chain.tangent(b.along[0]);
        let side = t.any_orthonormal_vector();
        let mut c = r.strength.cases[0].clone();
        let (tip, turn) = (side * (l * l * l / 3.0), t.cross(side) * (l * l / 2.0));
        c.motions[b.nodes[0]] = [0.0; 6];
        c.motions[b.nodes[1]] = [tip.x, tip.y, tip.z, turn.x, turn.y, turn.z];
        for (i, got) in axis(&r, &c, b, 1.0).into_iter().enumerate() {
            let s = l * i as f64 / STEPS as f64;
            let want = chain.point(b.along[0] + s) + side * (s * s * (3.0 * l - s) / 6.0);
            assert!(got.distance(want) < 1e-12, "{i}: {}", got.distance(want));
        }
    }
}
