//! Running other programs, and saying so.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

/// The root of the repository.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().map(Path::to_path_buf).unwrap_or_default()
}

/// Says what comes next.
pub fn say(what: &str) {
    println!("\n── {what}");
}

/// Runs a command in the root, with its output shown; an error says which one failed.
pub fn run(what: &str, program: &str, args: &[&str]) -> Result<(), String> {
    say(what);
    println!("   {program} {}", args.join(" "));
    let start = Instant::now();
    let status = Command::new(program)
        .args(args)
        .current_dir(root())
        .status()
        .map_err(|e| format!("can't start {program}: {e}"))?;
    println!("   {:.0} s", start.elapsed().as_secs_f64());
    if status.success() { Ok(()) } else { Err(format!("{what}: {program} ended with {status}")) }
}

/// Runs cargo, the one that runs this.
pub fn cargo(what: &str, args: &[&str]) -> Result<(), String> {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".into());
    run(what, &cargo, args)
}
