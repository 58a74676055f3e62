//! How long the demo takes, part by part.

use std::path::Path;
use std::sync::Arc;

use divan::{Bencher, black_box};
use frame::{Frame, Hold, Loads};
use geometry::DVec3;
use strength::build;

fn main() {
    divan::main();
}

fn shape() -> shape::Shape {
    shape_with(2.5)
}

/// With joints covered from a wall of so many mm.
fn shape_with(least_wall: f64) -> shape::Shape {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/gorse.toml");
    let text = std::fs::read_to_string(path).expect("an example");
    let text = text.replace("\n[strength]\n", &format!("\n[strength]\nleast_wall = {least_wall}\n"));
    shape::resolve(Arc::new(design::read(&text).expect("valid").design)).expect("a shape")
}

#[divan::bench]
fn model(bencher: Bencher) {
    let s = shape();
    bencher.bench_local(|| build(black_box(&s), &[]));
}

#[divan::bench]
fn live(bencher: Bencher) {
    let s = shape();
    bencher.bench_local(|| strength::strength(black_box(&s), strength::Depth::Live));
}

#[divan::bench(args = [2.5, 1.5])]
fn welded_ends_and_six_cases(bencher: Bencher, least_wall: f64) {
    let s = shape_with(least_wall);
    let built = build(&s, &[]);
    let f = Frame::new(built.model.clone()).unwrap();
    let held = f.held(&Hold::fixed(0)).unwrap();
    let loads = Loads { field: DVec3::new(0.0, 3.0, -9.81), ..Loads::default() };
    let r = held.solve(&[loads]).unwrap().remove(0);
    let cases: Vec<(String, &frame::Response)> = (0..6).map(|k| (format!("case {k}"), &r)).collect();
    bencher.bench_local(|| strength::welded(black_box(&s), &built, &f, &cases));
}

#[divan::bench]
fn elements_and_order(bencher: Bencher) {
    let m = build(&shape(), &[]).model;
    bencher.with_inputs(|| m.clone()).bench_local_values(|m| Frame::new(m).unwrap());
}

#[divan::bench]
fn held(bencher: Bencher) {
    let f = Frame::new(build(&shape(), &[]).model).unwrap();
    bencher.bench_local(|| f.held(black_box(&Hold::fixed(0))).unwrap());
}

#[divan::bench]
fn ten_cases(bencher: Bencher) {
    let f = Frame::new(build(&shape(), &[]).model).unwrap();
    let held = f.held(&Hold::fixed(0)).unwrap();
    let cases: Vec<Loads> =
        (0..10).map(|k| Loads { field: DVec3::new(0.0, f64::from(k), -9.81), ..Loads::default() }).collect();
    bencher.bench_local(|| held.solve(black_box(&cases)).unwrap());
}
