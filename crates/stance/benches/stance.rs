//! How long the stance of the demo design takes: `cargo bench -p stance`.

use std::sync::Arc;

use divan::{Bencher, black_box};

const TEXT: &str = include_str!("../../../examples/gorse.toml");

#[divan::bench]
fn stand(b: Bencher) {
    let design = Arc::new(design::read(TEXT).expect("the demo reads").design);
    let shape = shape::resolve(design).expect("the demo resolves");
    b.bench(|| stance::stand(black_box(&shape)));
}

fn main() {
    divan::main();
}
