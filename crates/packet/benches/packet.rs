//! How long the packet of the demo design takes, on one core: `cargo bench -p packet`.

use std::sync::Arc;

use cutting::Detail;
use divan::{Bencher, black_box};
use packet::sheet::Identity;
use review::Review;

const TEXT: &str = include_str!("../../../examples/gorse.toml");

fn review() -> Review {
    let design = Arc::new(design::read(TEXT).expect("the demo reads").design);
    review::review(design, Detail::SHEET).expect("the demo reviews")
}

fn id() -> Identity {
    Identity {
        file: "gorse.toml".into(),
        hash: "0".repeat(64),
        skins: Vec::new(),
        date: "2026-01-01".into(),
        version: "0".into(),
        link: None,
    }
}

#[divan::bench(sample_count = 10)]
fn pdf(b: Bencher) {
    let r = review();
    b.bench(|| packet::sheet::pdf(black_box(&r), &id()));
}

#[divan::bench(sample_count = 10)]
fn exchange_files(b: Bencher) {
    let r = review();
    b.bench(|| packet::exchange::files(black_box(&r), &id()));
}

/// From the text of the file to every byte of the packet.
#[divan::bench(sample_count = 10)]
fn from_text_to_all_files() -> usize {
    packet::files(&review(), &id()).map_or(0, |f| f.len())
}

fn main() {
    divan::main();
}
