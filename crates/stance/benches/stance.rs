//! How long the stance of the demo design takes, on one core: `cargo bench -p stance`.

use std::sync::Arc;

use design::Design;
use divan::{Bencher, black_box};

const TEXT: &str = include_str!("../../../examples/gorse.toml");
const BODY: &[u8] = include_bytes!("../../../examples/gorse/body.obj");

fn bench(b: Bencher, less: fn(&mut Design)) {
    let mut design = design::read(TEXT).expect("the demo reads").design;
    less(&mut design);
    let shape = shape::resolve(Arc::new(design)).expect("the demo resolves");
    b.bench(|| stance::stand(black_box(&shape)));
}

#[divan::bench]
fn everything(b: Bencher) {
    bench(b, |_| {});
}

#[divan::bench]
fn everything_with_its_panels(b: Bencher) {
    let design = design::read(TEXT).expect("the demo reads").design;
    let meshes = vec![mesh::read(BODY).map_err(|e| e.0); design.skins.len()];
    let shape = shape::resolve(Arc::new(design)).expect("the demo resolves").with_skins(&meshes);
    b.bench(|| stance::stand(black_box(&shape)));
}

#[divan::bench]
fn without_obstacles(b: Bencher) {
    bench(b, |d| d.obstacles.clear());
}

#[divan::bench]
fn one_stance_without_obstacles(b: Bencher) {
    bench(b, |d| {
        d.obstacles.clear();
        d.stances.truncate(1);
    });
}

#[divan::bench]
fn wheels_held_straight_ahead(b: Bencher) {
    bench(b, |d| {
        d.obstacles.clear();
        d.wheels.iter_mut().for_each(|w| w.steer = 0.0);
    });
}

fn main() {
    divan::main();
}
