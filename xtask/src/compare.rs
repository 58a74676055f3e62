//! `cargo xtask compare`: how fast, against what.

use crate::python;
use crate::step::{self, cargo};

/// Times the answers on the demo design, then end cuts beside the CAD kernel's, as ratios in one run.
pub fn run() -> Result<(), String> {
    cargo("parse, shape, cutting, stock, review", &["bench", "--package", "review"])?;
    cargo("packet", &["bench", "--package", "packet"])?;
    python::install()?;
    step::run("end cuts beside an exact CAD kernel", &python::python(), &["reference/end_cuts.py"])
}
