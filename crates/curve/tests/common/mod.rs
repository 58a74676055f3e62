//! Curves to try, made at random from a seed or by formula.
#![allow(dead_code)]

use curve::Die;
use geometry::{Chain, DVec3};

/// SplitMix64 (Steele, Lea and Flood 2014), from memory.
pub struct Dice(pub u64);

impl Dice {
    pub fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn between(&mut self, a: f64, b: f64) -> f64 {
        a + (b - a) * self.roll()
    }

    pub fn unit(&mut self) -> DVec3 {
        loop {
            let v = DVec3::new(self.between(-1., 1.), self.between(-1., 1.), self.between(-1., 1.));
            if v.length() > 0.1 && v.length() < 1.0 {
                return v.normalize();
            }
        }
    }
}

pub fn die(radius: f64, between: f64) -> Die {
    Die { radius, between, ends: [0.0; 2], most: 170.0_f64.to_radians() }
}

/// A chain of that many bends of 12 to 110 degrees about any axes, straights of 0.1 to 0.5 m.
pub fn chain(d: &mut Dice, bends: usize, radius: f64) -> Chain {
    let turns: Vec<f64> = (0..bends).map(|_| d.between(12.0, 110.0).to_radians()).collect();
    let back = |k: usize| if k == 0 || k > bends { 0.0 } else { radius * (turns[k - 1] / 2.0).tan() };
    let mut corners = vec![DVec3::new(d.between(-1., 1.), d.between(-1., 1.), d.between(-1., 1.))];
    let mut way = d.unit();
    for k in 0..=bends {
        let length = back(k) + d.between(0.1, 0.5) + back(k + 1);
        corners.push(corners[k] + way * length);
        if k < bends {
            let axis = way.cross(d.unit()).normalize();
            way = geometry_turn(way, axis, turns[k]);
        }
    }
    Chain::new(&corners, &vec![radius; bends]).unwrap()
}

fn geometry_turn(v: DVec3, axis: DVec3, angle: f64) -> DVec3 {
    let (s, c) = angle.sin_cos();
    v * c + axis.cross(v) * s + axis * axis.dot(v) * (1.0 - c)
}

/// Places along a chain, no farther apart than a step.
pub fn sampled(c: &Chain, step: f64) -> Vec<DVec3> {
    let n = (c.length() / step).ceil() as usize;
    (0..=n).map(|i| c.point(c.length() * i as f64 / n as f64)).collect()
}

/// Points of a curve by its parameter from 0 to 1.
pub fn by(n: usize, f: impl Fn(f64) -> [f64; 3]) -> Vec<DVec3> {
    (0..n).map(|i| DVec3::from(f(i as f64 / (n - 1) as f64))).collect()
}
