//! `cargo xtask demo`: the main job on the demo design.

use crate::step::{self, cargo, root, say};

/// Builds the program, checks the demo design, writes its packet, and says how to open the page.
pub fn run() -> Result<(), String> {
    crate::page::build()?;
    cargo("building tubewright (a few minutes the first time)", &["build", "--release", "--package", "tubewright"])?;
    let program = crate::test::program();
    step::run("checking the demo design", &program, &["check", "examples/gorse.toml"])?;
    step::run("writing its packet", &program, &["packet", "examples/gorse.toml", "--out", "out/gorse"])?;
    say(&format!("done: open {}", root().join("out/gorse/packet.pdf").display()));
    say(&format!("the page: {program} open examples/gorse.toml"));
    Ok(())
}
