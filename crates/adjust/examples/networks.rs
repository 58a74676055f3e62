//! Makes networks of points at random, with noise, adjusts them and prints both as JSON for `reference/adjust.py`:
//! `networks COUNT SEED`. With the word `time` it prints how long a large one takes instead.

#[path = "../tests/common/mod.rs"]
mod common;

use std::time::Instant;

use adjust::chance::{chi2_quantile, chi2_up_to, normal_up_to};
use adjust::fit::{Pair, best_fit};
use adjust::{Answer, Blunders, Network, adjust};
use common::{Dice, beside, network};
use serde_json::{Value, json};

fn told(network: &Network, a: &Answer) -> Value {
    json!({
        "network": network,
        "points": a.points,
        "observations": a.observations,
        "levels": a.levels,
        "tilt": a.tilt,
        "freedom": a.freedom,
        "sum": a.sum,
        "global": a.global,
        "gains": a.next_distances(None, 0.0008, None),
    })
}

fn fit(d: &mut Dice) -> Value {
    let pairs: Vec<Pair> = (0..4 + d.below(20))
        .map(|_| Pair { measured: d.vector(), design: d.vector(), weight: 0.1 + d.roll() })
        .collect();
    json!({ "pairs": pairs, "fit": best_fit(&pairs).ok() })
}

fn time() {
    let mut d = Dice(99);
    for (n, mixed) in [(30, true), (100, true), (300, true), (300, false)] {
        let mut made = network(&mut d, n, mixed, 1.0);
        if n == 300 {
            // To 2,000 measurements; the first links of each point stay.
            let mut kept = 0;
            made.network.observations.retain(|o| {
                let adjust::Kind::Distance { from, to } = &o.kind else { return true };
                let number = |s: &str| s[1..].parse::<usize>().unwrap_or(0);
                kept += usize::from(number(to) - number(from) > 6);
                number(to) - number(from) <= 6
            });
        }
        let began = Instant::now();
        let a = adjust(&made.network, Blunders::Keep);
        let plain = began.elapsed().as_secs_f64();
        let began = Instant::now();
        let b = adjust(&made.network, Blunders::LeaveOut);
        let search = began.elapsed().as_secs_f64();
        let began = Instant::now();
        let gains = a.next_distances(None, 0.001, None).len();
        println!(
            "{n} points, {} measurements, freedom {}, loose {}: {:.1} ms in {} steps; search for errors {:.1} ms, {} left out; {gains} distances ranked {:.1} ms",
            made.network.observations.len(),
            a.freedom,
            a.loose.len(),
            plain * 1e3,
            a.convergence.steps,
            search * 1e3,
            b.blunders.len(),
            began.elapsed().as_secs_f64() * 1e3
        );
    }
}

fn main() {
    let arg = |i: usize| std::env::args().nth(i);
    if arg(1).as_deref() == Some("time") {
        return time();
    }
    let number = |i: usize| arg(i).and_then(|a| a.parse::<u64>().ok());
    let (count, seed) = (number(1).unwrap_or(60), number(2).unwrap_or(1));
    let mut d = Dice(seed);
    let networks: Vec<Value> = (0..count)
        .map(|i| {
            let n = 6 + d.below(14);
            let mut made = network(&mut d, n, i % 3 != 0, 1.0);
            if i % 2 == 0 {
                beside(&mut d, &mut made);
            }
            told(&made.network, &adjust(&made.network, Blunders::Keep))
        })
        .collect();
    let fits: Vec<Value> = (0..count).map(|_| fit(&mut d)).collect();
    let chances: Vec<Value> = (0..200)
        .map(|_| {
            let freedom = 1.0 + (d.roll() * d.roll() * 2000.0).floor();
            let (p, x) = (0.0005 + 0.999 * d.roll(), freedom * (0.3 + 1.7 * d.roll()));
            let z = 8.0 * d.roll() - 4.0;
            json!({
                "freedom": freedom, "p": p, "quantile": chi2_quantile(p, freedom),
                "x": x, "up_to": chi2_up_to(x, freedom), "z": z, "normal": normal_up_to(z),
            })
        })
        .collect();
    println!("{}", json!({ "networks": networks, "fits": fits, "chances": chances }));
}
