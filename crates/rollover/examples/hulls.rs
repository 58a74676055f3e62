//! Makes bodies of points at random, with and without many points in one plane, asks for their rest attitudes and
//! prints both as JSON for `reference/rest_attitudes.py`: `hulls COUNT SEED BIG`. The last three have BIG points.

use std::time::Instant;

use geometry::DVec3;
use glam::DQuat;
use rollover::{HardBody, HardShape, Settings, rollover};
use serde_json::json;

/// Numbers from 0 to 1, the same from the same seed (splitmix64).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn vector(&mut self) -> DVec3 {
        DVec3::new(self.roll(), self.roll(), self.roll()) * 2.0 - 1.0
    }

    fn on_ball(&mut self) -> DVec3 {
        loop {
            let v = self.vector();
            if v.length() > 0.1 && v.length() < 1.0 {
                return v.normalize();
            }
        }
    }
}

const KINDS: [&str; 6] = ["cloud", "egg", "box", "lattice", "prism", "big"];

fn points(kind: &str, n: usize, d: &mut Dice) -> Vec<DVec3> {
    let stretch = DVec3::new(0.3 + d.roll(), 0.3 + d.roll(), 0.3 + d.roll());
    let raw: Vec<DVec3> = match kind {
        "cloud" => (0..n).map(|_| d.vector()).collect(),
        "box" => {
            let corner = |i: usize, bit: usize| if i & bit == 0 { 1.0 } else { -1.0 };
            (0..8).map(|i| DVec3::new(corner(i, 1), corner(i, 2), corner(i, 4))).collect()
        }
        "lattice" => {
            (0..n).map(|_| ((d.vector() + 1.0) * 2.0).floor() / 2.0 - 0.75).chain([DVec3::ZERO, DVec3::ONE]).collect()
        }
        "prism" => {
            let sides = 3 + n % 9;
            let at = |k: usize| std::f64::consts::TAU * (k / 2) as f64 / sides as f64;
            (0..2 * sides).map(|k| DVec3::new(at(k).cos(), at(k).sin(), if k % 2 == 0 { 1.0 } else { -1.0 })).collect()
        }
        _ => (0..n).map(|_| d.on_ball()).collect(),
    };
    let turn = DQuat::from_axis_angle(d.on_ball(), d.roll() * 3.0);
    let shift = d.vector() * 2.0;
    raw.into_iter().map(|p| turn * (p * stretch) + shift).collect()
}

fn main() {
    let arg = |i: usize| std::env::args().nth(i).and_then(|a| a.parse::<usize>().ok());
    let (count, seed, big) = (arg(1).unwrap_or(240), arg(2).unwrap_or(1), arg(3).unwrap_or(2000));
    let mut d = Dice(seed as u64);
    let mut cases = Vec::new();
    for i in 0..count + 3 {
        let kind = if i < count { KINDS[i % 5] } else { KINDS[5] };
        let n = if i < count { 5 + (d.roll() * 60.0) as usize } else { big };
        let points = points(kind, n, &mut d);
        // Somewhere inside: a mean of the points with weights.
        let (mut sum, mut centre) = (0.0, DVec3::ZERO);
        for p in &points {
            let w = d.roll() + 0.02;
            sum += w;
            centre += *p * w;
        }
        centre /= sum;
        let body = [HardBody { name: kind.into(), shape: HardShape::Points(points.clone()) }];
        let began = Instant::now();
        let answer = rollover(&body, &Settings::new(centre, 1.0));
        let seconds = began.elapsed().as_secs_f64();
        let case = match answer {
            Ok(a) => json!({ "kind": kind, "points": points, "centre": centre, "seconds": seconds, "answer": a }),
            Err(e) => json!({ "kind": kind, "points": points, "centre": centre, "error": e.to_string() }),
        };
        cases.push(case);
    }
    println!("{}", json!(cases));
}
