//! `jigs`: what holds it while it is welded?

use std::path::Path;
use std::process::ExitCode;

use cutting::Detail;
use review::{Text, jigs};
use strength::Depth;

use crate::load;
use crate::table::sheet;

/// A cell that is wider than this is broken, characters.
const WIDE: usize = 40;

/// Prints stands, places, readings, bevels, diagonals and saddles; with a folder, writes the saddles there.
pub fn run(path: &Path, as_json: bool, saddles: Option<&Path>) -> Result<ExitCode, String> {
    let (_, r) = load::review(path, Detail::SHEET, Depth::Live)?;
    let answer = jigs::of(&r);
    if let Some(folder) = saddles {
        let files = packet::exchange::stl::saddles(&answer);
        for f in &files {
            app::files::write(&folder.join(&f.path), &f.bytes)?;
        }
        load::print(&format!("{} in {}\n", review::text::counted(files.len(), "saddle"), folder.display()));
        return Ok(ExitCode::SUCCESS);
    }
    if as_json {
        load::json(&*answer)?;
        return Ok(ExitCode::SUCCESS);
    }
    let t = Text::new(&r.shape.design);
    let mut out = String::new();
    for s in jigs::sheets(&r, &answer, &t) {
        out += &sheet(&s, ", ", WIDE);
    }
    for f in jigs::findings(&answer) {
        out += &format!("\n{}", f.what);
        if let Some(h) = &f.help {
            out += &format!(": {h}");
        }
    }
    out += &format!("\n\n{}\n", jigs::CAUTION);
    load::print(out.trim_start());
    Ok(ExitCode::SUCCESS)
}
