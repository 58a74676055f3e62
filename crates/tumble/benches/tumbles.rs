//! How long a hundred tumbles take on one core: `cargo bench -p tumble`.

use divan::{Bencher, black_box};
use glam::{DMat3, DVec3};
use tumble::{Body, Ranges, Start};

/// A hull of a car's size, with so many points.
fn car(points: usize) -> Body {
    let mut rng = fastrand::Rng::with_seed(7);
    let hull = (0..points).map(|_| {
        let p = DVec3::new(rng.f64() - 0.5, rng.f64() - 0.5, rng.f64() - 0.5).normalize_or_zero();
        p * DVec3::new(1.6, 0.9, 0.7)
    });
    Body {
        hull: hull.collect(),
        centre: DVec3::new(-0.1, 0.0, -0.1),
        mass: 700.0,
        inertia: DMat3::from_diagonal(DVec3::new(180.0, 500.0, 600.0)),
        up: DVec3::Z,
        room: Vec::new(),
    }
}

#[divan::bench(args = [100, 400])]
fn a_hundred_tumbles(b: Bencher, points: usize) {
    let body = car(points);
    let ranges =
        Ranges { speed: [3.0, 20.0], spin: [1.0, 8.0], friction: [0.4, 0.9], slope: [0.0, 0.35], bounce: [0.0, 0.3] };
    b.bench_local(|| {
        (0..100).map(|k| tumble::one(&body, &Start::draw(&ranges, 1, black_box(k))).unwrap().time).sum::<f64>()
    });
}

fn main() {
    divan::main();
}
