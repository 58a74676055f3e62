//! Takes the built page into the program, if it is there.

use std::fmt::Write;
use std::path::{Path, PathBuf};

fn main() {
    let dist = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../web/dist");
    println!("cargo:rerun-if-changed={}", dist.display());
    let mut files = Vec::new();
    walk(&dist, &mut files);
    files.sort();
    let mut out = String::from("/// Names and bytes.\nstatic ASSETS: &[(&str, &[u8])] = &[\n");
    for f in files {
        println!("cargo:rerun-if-changed={}", f.display());
        let name = f.strip_prefix(&dist).unwrap_or(&f).to_string_lossy().replace('\\', "/");
        let _ = writeln!(out, "    ({name:?}, include_bytes!({:?})),", f.display().to_string());
    }
    out += "];\n";
    let to = PathBuf::from(std::env::var_os("OUT_DIR").unwrap_or_default()).join("assets.rs");
    if let Err(e) = std::fs::write(&to, out) {
        println!("cargo:warning=can't write {}: {e}", to.display());
    }
}

fn walk(dir: &Path, files: &mut Vec<PathBuf>) {
    let Ok(list) = std::fs::read_dir(dir) else { return };
    for entry in list.flatten() {
        let path = entry.path();
        if path.is_dir() {
            walk(&path, files);
        } else {
            files.push(path);
        }
    }
}
