//! `cargo xtask test`: everything that must hold.

use crate::step::{self, cargo, root};
use crate::{licences, page, python};

/// Path of the built program.
pub fn program() -> String {
    let target = std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), Into::into);
    target.join("release").join(format!("tubewright{}", std::env::consts::EXE_SUFFIX)).display().to_string()
}

/// Runs all checks, in the order in which a failure is cheapest.
pub fn run() -> Result<(), String> {
    cargo("formatting", &["fmt", "--all", "--check"])?;
    licences::run()?;
    page::build()?;
    page::test()?;
    cargo("lints", &["clippy", "--release", "--workspace", "--all-targets", "--", "-D", "warnings"])?;
    cargo("building", &["build", "--release", "--workspace"])?;
    cargo("tests", &["test", "--release", "--workspace"])?;
    page::in_a_browser(&program())?;
    python::install()?;
    step::run_side_by_side(&python::python(), CHECKS)?;
    println!("\nAll checks passed.");
    Ok(())
}

/// Checks against independent programs, those that take longest first.
const CHECKS: &[(&str, &str)] = &[
    ("ways to cut an end, against the same kernel", "reference/processes.py"),
    ("ways in for every piece of the demo designs, walked in small steps", "reference/insertion.py"),
    ("end cuts against an exact CAD kernel", "reference/end_cuts.py"),
    ("what happens when they go over, from their files alone", "reference/rollover.py"),
    ("a load pushed past yielding, against a model by displacements", "reference/collapse.py"),
    ("every piece of the demo designs, from their files alone", "reference/demo.py"),
    ("networks of measurements against a general least squares", "reference/adjust.py"),
    ("how the demo designs stand, from their files alone", "reference/stance.py"),
    ("curves as legs and bends, sampled densely", "reference/curves.py"),
    ("tubes cut at both ends against the same kernel", "reference/both_ends.py"),
    ("drawings written by an independent library", "reference/import.py"),
    ("solids of pieces and frames read by the same kernel", "reference/step.py"),
    ("cutting plans against an integer programming solver", "reference/cutting_stock.py"),
    ("a workshop played through: frames built askew, measured, found again", "reference/built.py"),
    ("exchange files read by independent readers", "reference/exchange.py"),
    ("distances to skins beside a mesh library", "reference/skins.py"),
    ("rest attitudes against a mesh library and Qhull", "reference/rest_attitudes.py"),
    ("printed saddles read by a mesh library", "reference/saddles.py"),
    ("frames against textbook matrices and another solver", "reference/frames.py"),
    ("solver decks read by others", "reference/deck.py"),
    ("readings, stands and diagonals of the demo designs, from their files alone", "reference/jigs.py"),
    ("larger frames against textbook matrices and two solvers", "reference/frame_speed.py"),
    ("mass, centre and inertia of the demo designs, from their files alone", "reference/mass.py"),
];
