//! How long skins take: Gorse's own panels, and a body of a million triangles.

use std::sync::Arc;

use divan::{Bencher, black_box};
use mesh::Mesh;
use shape::Shape;
use shape::skins::distances;

const TEXT: &str = include_str!("../../../examples/gorse.toml");
const BODY: &[u8] = include_bytes!("../../../examples/gorse/body.obj");
const SIDES: u32 = 1000;
const ROWS: u32 = 500;

fn gorse() -> Shape {
    shape::resolve(Arc::new(design::read(TEXT).expect("the demo reads").design)).expect("the demo resolves")
}

/// A million triangles of a long ball about the frame, some of it within, as a binary STL in millimetres.
fn million() -> Vec<u8> {
    let at = |i: u32, j: u32| {
        let (s, c) = (std::f64::consts::PI * f64::from(i) / f64::from(ROWS)).sin_cos();
        let (y, z) = (std::f64::consts::TAU * f64::from(j % SIDES) / f64::from(SIDES)).sin_cos();
        // Hammered all over, as a scan is.
        let r = 1.0 + 0.01 * (f64::from(i) * 0.7).sin() * (f64::from(j % SIDES) * 1.3).cos();
        [1900.0 * c, 800.0 * r * s * y, 300.0 + 900.0 * r * s * z]
    };
    let mut out = vec![0; 80];
    out.extend((2 * SIDES * ROWS).to_le_bytes());
    for i in 0..ROWS {
        for j in 0..SIDES {
            let (a, b, c, d) = (at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1));
            for t in [[a, b, c], [a, c, d]] {
                out.extend([0; 12]);
                t.iter().flatten().for_each(|v| out.extend((*v as f32).to_le_bytes()));
                out.extend([0; 2]);
            }
        }
    }
    out
}

/// Gorse with one mesh as each of its skins, taken whole and once.
fn with(mesh: Mesh) -> Shape {
    let mut shape = gorse();
    let mut design = (*shape.design).clone();
    design.skins.truncate(1);
    design.skins[0].parts.clear();
    shape.design = Arc::new(design);
    shape.with_skins(&[Ok(mesh)])
}

fn mesh(bytes: &[u8]) -> Mesh {
    mesh::read(bytes).expect("it reads")
}

#[divan::bench]
fn gorse_read_and_place(b: Bencher) {
    let design = gorse().design;
    b.bench(|| {
        let m = mesh(black_box(BODY));
        shape::skins::place(&design, &[Ok(m.clone()), Ok(m)])
    });
}

#[divan::bench]
fn gorse_distances(b: Bencher) {
    let m = mesh(BODY);
    let s = gorse().with_skins(&[Ok(m.clone()), Ok(m)]);
    b.bench(|| distances(black_box(&s)));
}

#[divan::bench(sample_count = 5)]
fn million_read(b: Bencher) {
    let bytes = million();
    b.bench(|| mesh(black_box(&bytes)));
}

#[divan::bench(sample_count = 5)]
fn million_edges(b: Bencher) {
    let m = mesh(&million());
    b.bench(|| black_box(&m).edges());
}

#[divan::bench(sample_count = 5)]
fn million_place(b: Bencher) {
    let m = [Ok(mesh(&million()))];
    let design = with(mesh(BODY)).design;
    b.bench(|| shape::skins::place(black_box(&design), &m));
}

#[divan::bench(sample_count = 10)]
fn million_distances(b: Bencher) {
    let s = with(mesh(&million()));
    b.bench(|| distances(black_box(&s)));
}

#[divan::bench(sample_count = 10)]
fn million_stand(b: Bencher) {
    let s = with(mesh(&million()));
    b.bench(|| stance::stand(black_box(&s)));
}

fn main() {
    divan::main();
}
