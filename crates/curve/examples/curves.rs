//! Turns curves into legs and arcs and prints both as JSON for `reference/curves.py`: `curves COUNT SEED`. With the word
//! `time` it prints how long some take instead.

#[path = "../tests/common/mod.rs"]
mod common;

use std::f64::consts::TAU;
use std::time::Instant;

use common::{Dice, by, chain, die, sampled};
use curve::{Die, Line, Run, solve};
use geometry::DVec3;
use serde_json::{Value, json};

struct Case {
    name: String,
    points: Vec<DVec3>,
    run: Run,
    die: Die,
    within: f64,
}

fn cases(count: usize, seed: u64) -> Vec<Case> {
    let mut d = Dice(seed);
    let mut out = Vec::new();
    let mut add = |name: &str, points: Vec<DVec3>, run: Run, die: Die, within: f64| {
        out.push(Case { name: name.to_owned(), points, run, die, within });
    };
    let clamped = |radius: f64| Die { ends: [0.12, 0.12], most: 120.0_f64.to_radians(), ..die(radius, 0.05) };
    add(
        "arc",
        by(200, |t| [t.mul_add(1.6, -0.8).sin(), t.mul_add(1.6, -0.8).cos(), 0.3]),
        Run::Smooth,
        die(0.1, 0.03),
        0.005,
    );
    add("s", by(200, |t| [2.0 * t, 0.2 * (6.0 * t).sin(), 0.0]), Run::Smooth, clamped(0.1), 0.005);
    add(
        "helix",
        by(200, |t| [0.5 * (6.0 * t).cos(), 0.5 * (6.0 * t).sin(), 0.8 * t]),
        Run::Smooth,
        clamped(0.12),
        0.006,
    );
    add("few", by(6, |t| [1.5 * t, 0.3 * (4.0 * t).sin(), 0.4 * t * t]), Run::Smooth, clamped(0.1), 0.004);
    add("corner", by(3, |t| [t, (t - 0.5).abs(), 0.0]), Run::Straight, die(0.15, 0.0), 0.02);
    add("round", by(61, |t| [0.4 * (TAU * t).cos(), 0.4 * (TAU * t).sin(), 0.0]), Run::Smooth, die(0.1, 0.02), 0.01);
    for k in 0..count {
        if k % 3 == 0 {
            let c = chain(&mut d, 1 + k % 6, 0.1);
            add(&format!("chain {k}"), sampled(&c, 0.005), Run::Smooth, die(0.1, 0.05), 0.0005);
        } else {
            let a: Vec<f64> = (0..12).map(|_| d.between(-0.12, 0.12)).collect();
            let wave = |t: f64, k: usize| {
                (1..=3).map(|i| a[4 * k + i] * (i as f64 * 3.0 * t + a[4 * k] * 20.0).sin()).sum::<f64>()
            };
            let points = by(40, |t| [1.8 * t + wave(t, 0), wave(t, 1), wave(t, 2)]);
            let die = Die { radius: d.between(0.06, 0.2), ..clamped(0.1) };
            add(&format!("wave {k}"), points, Run::Smooth, die, d.between(0.002, 0.02));
        }
    }
    out
}

fn main() {
    let arg = |i: usize| std::env::args().nth(i);
    let number = |i: usize, or: u64| arg(i).and_then(|a| a.parse().ok()).unwrap_or(or);
    let timed = arg(1).as_deref() == Some("time");
    let cases = if timed { cases(12, 1) } else { cases(number(1, 60) as usize, number(2, 1)) };
    let mut told: Vec<Value> = Vec::new();
    for c in &cases {
        let Ok(line) = Line::new(&c.points, c.run) else { continue };
        let began = Instant::now();
        let a = solve(&line, &c.die, c.within);
        let took = began.elapsed().as_secs_f64();
        if timed {
            let tries: Vec<String> = a.tries.iter().map(|t| format!("{}: {:.3}", t.bends, t.deviation * 1e3)).collect();
            println!(
                "{} ({} points, within {:.1} mm): {:.0} ms, at least {}, fewest {:?}; {}",
                c.name,
                c.points.len(),
                c.within * 1e3,
                took * 1e3,
                a.proved,
                a.fewest.map(|k| a.tries[k].bends),
                tries.join(", ")
            );
        }
        told.push(
            json!({ "name": c.name, "points": c.points, "run": c.run, "die": c.die, "within": c.within, "answer": a }),
        );
    }
    if !timed {
        println!("{}", json!(told));
    }
}
