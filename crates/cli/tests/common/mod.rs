//! The program as a person runs it, in a folder of the test's own.
#![allow(dead_code)]

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// Runs the program to its end.
pub fn run(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tubewright")).args(args).output().expect("the program starts")
}

/// What was printed.
pub fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// A folder of this test's own, empty.
pub fn folder(name: &str) -> PathBuf {
    let dir = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&dir);
    std::fs::create_dir_all(&dir).unwrap();
    dir
}
