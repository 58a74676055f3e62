//! The Python side: packages that the reference checks compare with, in an environment of their own.

use std::path::PathBuf;
use std::process::Command;

use crate::step::{root, run, say};

/// Debian packages that the CAD kernel's bindings load, with a file that shows they are there.
const LIBRARIES: [(&str, &str); 2] = [("libgl1", "libGL.so.1"), ("libx11-6", "libX11.so.6")];

fn env() -> PathBuf {
    root().join("target/reference-env")
}

/// The environment's interpreter.
pub fn python() -> String {
    env().join("bin/python").display().to_string()
}

/// Installs what the reference checks need, if it is not there yet.
pub fn install() -> Result<(), String> {
    say("installing what the reference checks need");
    let known = Command::new("ldconfig").arg("-p").output().map(|o| String::from_utf8_lossy(&o.stdout).into_owned());
    let known = known.unwrap_or_default();
    let mut missing: Vec<&str> = LIBRARIES.iter().filter(|l| !known.contains(l.1)).map(|l| l.0).collect();
    // A solver that is a program of its own.
    if Command::new("ccx").arg("-v").output().is_err() {
        missing.push("calculix-ccx");
    }
    if !missing.is_empty() {
        let mut args = vec!["install", "-y", "-q"];
        args.extend(&missing);
        run("package lists", "apt-get", &["update", "-q"])?;
        run("system libraries", "apt-get", &args)?;
    }
    let stamp = env().join("installed.txt");
    let wanted = std::fs::read_to_string(root().join("reference/requirements.txt"))
        .map_err(|e| format!("can't read reference/requirements.txt: {e}"))?;
    if std::fs::read_to_string(&stamp).is_ok_and(|s| s == wanted) {
        println!("   already there");
        return Ok(());
    }
    let dir = env().display().to_string();
    run("a Python environment", "python3", &["-m", "venv", &dir])?;
    run("Python packages", &python(), &["-m", "pip", "install", "--quiet", "-r", "reference/requirements.txt"])?;
    std::fs::write(&stamp, wanted).map_err(|e| format!("can't write {}: {e}", stamp.display()))
}
