//! How long each answer takes on the demo design, on one core: `cargo bench -p review`.

use std::sync::Arc;

use cutting::Detail;
use design::Design;
use divan::{Bencher, black_box};
use shape::Shape;

const TEXT: &str = include_str!("../../../examples/gorse.toml");

fn design() -> Arc<Design> {
    Arc::new(design::read(TEXT).expect("the demo reads").design)
}

fn shape() -> Shape {
    shape::resolve(design()).expect("the demo resolves")
}

#[divan::bench]
fn parse() -> usize {
    design::read(black_box(TEXT)).map_or(0, |r| r.design.tubes.len())
}

#[divan::bench]
fn resolve(b: Bencher) {
    let d = design();
    b.bench(|| shape::resolve(black_box(d.clone())));
}

#[divan::bench]
fn contacts_and_joints(b: Bencher) {
    let s = shape();
    b.bench(|| black_box(&s).findings());
}

#[divan::bench]
fn all_end_cuts_live(b: Bencher) {
    let s = shape();
    b.bench(|| cutting::cut(black_box(&s), Detail::LIVE));
}

#[divan::bench]
fn all_end_cuts_sheet(b: Bencher) {
    let s = shape();
    b.bench(|| cutting::cut(black_box(&s), Detail::SHEET));
}

#[divan::bench]
fn going_over(b: Bencher) {
    let s = shape();
    let laden = shape::mass::laden(&s);
    b.bench(|| review::over::over(black_box(&s), &laden));
}

#[divan::bench]
fn standing(b: Bencher) {
    let s = shape();
    b.bench(|| stance::stand(black_box(&s)));
}

/// As the review does it: side by side.
#[divan::bench]
fn standing_beside_going_over(b: Bencher) {
    let s = shape();
    let laden = shape::mass::laden(&s);
    b.bench(|| rayon::join(|| stance::stand(black_box(&s)), || review::over::over(black_box(&s), &laden)));
}

#[divan::bench]
fn strength_live(b: Bencher) {
    let s = shape();
    b.bench(|| strength::strength(black_box(&s), strength::Depth::Live));
}

/// Every load of the demo, the car in each of its rest attitudes among them.
#[divan::bench]
fn strength_live_with_rests(b: Bencher) {
    let s = shape();
    let over = review::over::over(&s, &shape::mass::laden(&s)).0;
    let attitudes = review::over::lying(&s, &over);
    b.bench(|| strength::lying(black_box(&s), strength::Depth::Live, &attitudes));
}

#[divan::bench]
fn strength_full(b: Bencher) {
    let s = shape();
    b.bench(|| strength::strength(black_box(&s), strength::Depth::Full));
}

#[divan::bench]
fn stock_plan(b: Bencher) {
    let r = review::review(design(), Detail::LIVE).expect("the demo reviews");
    let settings = stock::Settings { limit: stock::Settings::LIVE, ..r.steel.settings.clone() };
    b.bench(|| stock::plan(black_box(&r.steel.wanted), &r.steel.sticks, &settings));
}

#[divan::bench]
fn stock_plan_full(b: Bencher) {
    let r = review::review(design(), Detail::LIVE).expect("the demo reviews");
    let settings = stock::Settings { limit: stock::Settings::FULL, ..r.steel.settings.clone() };
    b.bench(|| stock::plan(black_box(&r.steel.wanted), &r.steel.sticks, &settings));
}

#[divan::bench]
fn whole_review(b: Bencher) {
    let d = design();
    b.bench(|| review::review(black_box(d.clone()), Detail::LIVE));
}

fn main() {
    divan::main();
}
