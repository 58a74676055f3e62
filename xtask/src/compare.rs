//! `cargo xtask compare`: how fast, against what.

use crate::python;
use crate::step::{self, cargo};

/// Times the answers on the demo design, then statics, reading, rest attitudes and end cuts beside other programs, as ratios in
/// one run.
pub fn run() -> Result<(), String> {
    cargo("parse, shape, cutting, stock, review", &["bench", "--package", "review"])?;
    cargo("packet", &["bench", "--package", "packet"])?;
    cargo("rollover", &["bench", "--package", "rollover"])?;
    python::install()?;
    step::run("statics of frames beside other solvers", &python::python(), &["reference/frame_speed.py"])?;
    step::run("reading a design beside general TOML parsers", &python::python(), &["reference/parse.py"])?;
    step::run("rest attitudes beside a mesh library and Qhull", &python::python(), &["reference/rest_attitudes.py"])?;
    step::run("end cuts beside an exact CAD kernel", &python::python(), &["reference/end_cuts.py"])
}
