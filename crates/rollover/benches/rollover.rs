//! How long rest attitudes take on one core: `cargo bench -p rollover`.

use divan::{Bencher, black_box};
use geometry::{Chain, DVec3, Frame};
use rollover::{HardBody, HardShape, Settings, UnderRunSettings, rollover, under_run};

/// A made-up buggy: two hoops, straight tubes between points round them, four wheels, an engine.
fn buggy(tubes: usize) -> Vec<HardBody> {
    let p = DVec3::new;
    let mut out = Vec::new();
    let mut push = |name: String, shape| out.push(HardBody { name, shape });
    for (name, x, top) in [("front hoop", 0.4, 0.85), ("main hoop", -0.35, 1.25)] {
        let c = [p(x, 0.45, 0.1), p(x, 0.38, top), p(x, -0.38, top), p(x, -0.45, 0.1)];
        let chain = Chain::new(&c, &[0.15, 0.15]).expect("a hoop");
        push(name.into(), HardShape::Bar { chain, radius: 0.0225 });
    }
    for i in 0..tubes - 2 {
        let at = |k: usize| {
            let t = k as f64 * 2.399_963;
            let z = 0.1 + 0.9 * ((k * 37 % 101) as f64 / 101.0);
            p(1.6 * t.cos(), 0.45 * t.sin(), z * (1.0 - 0.5 * t.cos().abs()))
        };
        if let Ok(chain) = Chain::new(&[at(i), at(i + 3)], &[]) {
            push(format!("tube {i}"), HardShape::Bar { chain, radius: 0.015 });
        }
    }
    for (name, x, y) in [("fl", 1.1, 0.7), ("fr", 1.1, -0.7), ("rl", -1.1, 0.7), ("rr", -1.1, -0.7)] {
        let shape = HardShape::Wheel { centre: p(x, y, 0.2), axle: DVec3::Y, radius: 0.3, width: 0.2, shoulder: 0.03 };
        push(name.into(), shape);
    }
    let centre = Frame { origin: p(-0.9, 0.0, 0.35), t: DVec3::X, u: DVec3::Y, v: DVec3::Z };
    push("engine".into(), HardShape::Block { centre, half: p(0.25, 0.25, 0.25) });
    out
}

#[divan::bench(args = [20, 150, 500])]
fn buggy_of_tubes(b: Bencher, tubes: usize) {
    let bodies = buggy(tubes);
    let s = Settings::new(DVec3::new(-0.2, 0.0, 0.4), 450.0);
    let r = rollover(&bodies, &s).expect("it rests somewhere");
    assert!(r.attitudes.len() > 4);
    b.bench(|| rollover(black_box(&bodies), &s));
}

/// Five lateral positions and the long edge, five heights each.
#[divan::bench]
fn edge_over_the_buggy(b: Bencher) {
    let bodies = buggy(150);
    let lateral = vec![-0.6, -0.3, 0.0, 0.3, 0.6];
    let s = UnderRunSettings { edge: [0.3, 0.9], heights: 5, lateral, ..UnderRunSettings::new(0.3) };
    assert_eq!(under_run(&bodies, &[], &s).expect("an answer").len(), 30);
    b.bench(|| under_run(black_box(&bodies), &[], &s));
}

#[divan::bench(args = [200, 2000, 20000])]
fn points_on_an_egg(b: Bencher, n: usize) {
    let points = (0..n).map(|i| {
        let z = 1.0 - (i as f64 + 0.5) * 2.0 / n as f64;
        let (s, c) = (i as f64 * 2.399_963).sin_cos();
        DVec3::new(1.5 * c * (1.0 - z * z).sqrt(), s * (1.0 - z * z).sqrt(), 0.8 * z)
    });
    let body = [HardBody { name: "egg".into(), shape: HardShape::Points(points.collect()) }];
    let s = Settings::new(DVec3::new(-0.2, 0.0, 0.1), 450.0);
    b.bench(|| rollover(black_box(&body), &s));
}

fn main() {
    divan::main();
}
