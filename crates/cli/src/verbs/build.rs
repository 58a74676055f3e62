//! `build`: where are we? What was measured, and what it makes of the rest.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use cutting::Detail;
use review::{Text, built, jigs};
use strength::Depth;

use crate::load;
use crate::table::{table, wrap};

/// A cell that is wider than this is broken, characters.
const WIDE: usize = 44;

/// Prints what follows from the measured sheet; with `start`, writes a sheet to fill in instead.
pub fn run(path: &Path, as_json: bool, sheet: Option<PathBuf>, start: bool) -> Result<ExitCode, String> {
    let (_, mut r) = load::alone(path, Detail::SHEET, Depth::Live)?;
    let sheet = sheet.unwrap_or_else(|| app::measured::sheet_of(path));
    let t = Text::new(&r.shape.design);
    if start {
        if sheet.exists() {
            return Err(format!("error: {} is there already; it is left as it is", sheet.display()));
        }
        let text = built::to_fill_in(&r, &jigs::of(&r), &t);
        app::files::write(&sheet, text.as_bytes())?;
        load::print(&format!(
            "wrote {}: fill it in on the car, then\n  tubewright build {}\n",
            sheet.display(),
            path.display()
        ));
        return Ok(ExitCode::SUCCESS);
    }
    if !sheet.exists() {
        return Err(format!(
            "error: there is no measured sheet {}; write one to fill in with\n  tubewright build {} --start",
            sheet.display(),
            path.display()
        ));
    }
    let made = app::made::beside(path, &r)?;
    app::measured::lay(&sheet, &mut r, &made)?;
    let Some(b) = r.built.clone() else { return Err("error: the sheet could not be laid over the design".to_owned()) };
    if !b.problems.is_empty() {
        eprintln!("{}", design::render(&b.problems, &sheet.display().to_string(), &b.measured.source));
    }
    let code = if r.findings.iter().any(|f| f.answer == "build" && f.level == shape::Level::Mend) {
        ExitCode::from(1)
    } else {
        ExitCode::SUCCESS
    };
    if as_json {
        load::json(&*b)?;
        return Ok(code);
    }
    let mut out = built::lead(&b);
    out.push('\n');
    for f in r.findings.iter().filter(|f| f.answer == "build" && !f.what.starts_with("in the measured sheet")) {
        out += &format!("\n  {}\n", f.what);
        if let Some(m) = t.measure(f) {
            out += &format!("    {m}\n");
        }
        if let Some(h) = &f.help {
            out += &format!("    {h}\n");
        }
    }
    for s in built::sheets(&r, &b, &t) {
        out += &format!("\n{}\n", s.title);
        let head: Vec<&str> = s.head.iter().map(String::as_str).collect();
        let broken = |c: &String| wrap(&c.split(' ').map(str::to_owned).collect::<Vec<_>>(), " ", WIDE);
        out += &table(&head, &s.numbers, s.rows.iter().map(|(cells, _)| cells.iter().map(broken).collect()));
        out += &format!("{}\n", s.note);
    }
    out += &format!("\n{}\n", built::CAUTION);
    load::print(&out);
    Ok(code)
}
