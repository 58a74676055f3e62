//! The page: built before the program that holds it, tested alone and in a browser.

use std::path::PathBuf;
use std::process::Command;

use crate::step::{root, run, say};

fn web() -> PathBuf {
    root().join("web")
}

fn npm(what: &str, args: &[&str]) -> Result<(), String> {
    run(what, "npm", &[&["--prefix", "web"], args].concat())
}

/// Installs what the page is built with, if it is not there yet, and builds it.
pub fn build() -> Result<(), String> {
    if Command::new("npm").arg("--version").output().is_err() {
        return Err("the page needs Node 20 or newer with npm; install it, and run this again".to_owned());
    }
    let stamp = web().join("node_modules/.installed");
    let wanted = std::fs::read_to_string(web().join("package-lock.json"))
        .map_err(|e| format!("can't read web/package-lock.json: {e}"))?;
    if std::fs::read_to_string(&stamp).is_ok_and(|s| s == wanted) {
        say("the page's packages are already there");
    } else {
        npm("installing what the page is built with", &["ci", "--no-audit", "--no-fund"])?;
        std::fs::write(&stamp, wanted).map_err(|e| format!("can't write {}: {e}", stamp.display()))?;
    }
    npm("building the page", &["run", "build"])
}

/// The page's own tests.
pub fn test() -> Result<(), String> {
    npm("tests of the page", &["test"])
}

/// The whole in a browser, with the program that was built.
pub fn in_a_browser(program: &str) -> Result<(), String> {
    if Command::new("chromium").arg("--version").output().is_err() {
        run("package lists", "apt-get", &["update", "-q"])?;
        run("a browser", "apt-get", &["install", "-y", "-q", "chromium"])?;
    }
    run("the page in a browser", "node", &["web/e2e/run.mjs", program])
}
