//! `packet`: the documents and exchange files for the shop.

use std::path::Path;
use std::process::ExitCode;

use app::{files, skins::sha256};
use cutting::Detail;
use packet::sheet::Identity;
use serde_json::json;
use strength::Depth;

use crate::load;

/// Writes the packet.
pub fn run(
    path: &Path,
    out: &Path,
    as_json: bool,
    tumbles: Option<Option<u32>>,
    collapse: bool,
    link: Option<String>,
    built: bool,
) -> Result<ExitCode, String> {
    let say = |what: &str| eprintln!("{what}");
    if link.as_ref().is_some_and(|l| !l.contains(packet::sheet::code::PIECE)) {
        return Err(format!("error: the link must say where the piece's name goes: {}", packet::sheet::code::PIECE));
    }
    say(&format!("working out {}", path.display()));
    let (text, hashes, mut r) = load::whole(path, Detail::SHEET, if collapse { Depth::Collapse } else { Depth::Full })?;
    let made = app::made::beside(path, &r)?;
    if made != review::Made::default() {
        r.made(&made);
    }
    if built {
        r = load::as_built(path, &r, Depth::Full)?;
    }
    if let Some(runs) = tumbles {
        let runs = runs.unwrap_or(r.shape.design.rollover.tumbles);
        r.over.tumbled = Some(super::rollover::tumble_it(&r, runs)?);
    }
    let id = Identity {
        file: path.file_name().map_or_else(|| path.display().to_string(), |n| n.to_string_lossy().into_owned()),
        hash: sha256(text.as_bytes()),
        skins: hashes,
        date: files::today(),
        version: env!("CARGO_PKG_VERSION").to_owned(),
        link,
    };
    say(&format!("drawing the sheets of {}", review::text::counted(r.cutting.pieces.len(), "piece")));
    let list = packet::files(&r, &id).map_err(|e| format!("error: {e}"))?;
    for f in &list {
        files::write(&out.join(&f.path), &f.bytes)?;
    }
    let code = if r.must_mend() { ExitCode::from(1) } else { ExitCode::SUCCESS };
    if as_json {
        let names: Vec<&str> = list.iter().map(|f| f.path.as_str()).collect();
        load::json(&json!({ "folder": out.display().to_string(), "files": names, "must_mend": r.must_mend() }))?;
        return Ok(code);
    }
    load::print(&format!("{} files in {}; start with packet.pdf\n", list.len(), out.display()));
    if let Some(f) = list.iter().find(|f| f.path == packet::exchange::WITHOUT_SOLID) {
        let lines = String::from_utf8_lossy(&f.bytes);
        let names: Vec<&str> = lines.lines().map(|l| l.split(':').next().unwrap_or(l)).collect();
        eprintln!("Without a solid (STEP): {}; {} says why", names.join(", "), f.path);
    }
    if r.must_mend() {
        eprintln!("Something must be mended before anything is cut: see `tubewright check {}`", path.display());
    }
    Ok(code)
}
