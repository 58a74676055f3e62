//! `shape --curve`: a curve turned into legs and bends, and into a tube of the design.

use std::path::Path;
use std::process::ExitCode;

use cutting::Detail;
use design::units::{Quantity, parse_text};
use design::{Document, Units};
use review::curves::{self, Bent, Want};
use review::{Review, Text};
use serde_json::json;
use strength::Depth;

use crate::load;
use crate::table::table;

/// What is asked.
pub struct Asked<'a> {
    /// Name of the curve.
    pub curve: &'a str,
    /// Another die than the curve's.
    pub die: Option<&'a str>,
    /// Another tolerance, in the design's units.
    pub within: Option<&'a str>,
    /// Another number of bends than the fewest.
    pub bends: Option<usize>,
    /// Whether to write it into the design.
    pub write: bool,
    /// Name of the tube.
    pub tube: Option<&'a str>,
    /// Its section.
    pub section: Option<&'a str>,
}

/// Tells what becomes of a curve, and writes it down if asked.
pub fn run(path: &Path, as_json: bool, asked: &Asked<'_>) -> Result<ExitCode, String> {
    let (text, r) = load::review(path, Detail::LIVE, Depth::Live)?;
    let design = &r.shape.design;
    let error = |why: String| format!("error: {why}");
    let id = design.curves.iter().position(|c| c.name == asked.curve).ok_or_else(|| {
        let near = design::nearest(asked.curve, design.curves.iter().map(|c| c.name.as_str()));
        let near = near.map_or(String::new(), |n| format!("; did you mean `{n}`?"));
        format!("error: there is no curve `{}` in {}{near}", asked.curve, path.display())
    })?;
    let within = asked.within.map(|w| length(w, design.units)).transpose().map_err(error)?;
    let want = Want { die: asked.die, within, bends: asked.bends };
    let bent = curves::bend(&r.shape, &r.curves[id], want).map_err(error)?;
    let written = if asked.write { Some(write(path, &text, &r, &bent, asked)?) } else { None };
    if as_json {
        let mut told = json!({ "units": "SI: m, rad", "bent": bent });
        if let Some((tube, _)) = &written {
            told["written"] = json!(tube);
        }
        load::json(&told)?;
    } else {
        let t = Text::new(design);
        let mut out = String::new();
        for s in curves::sheets(&bent, &t) {
            let head: Vec<&str> = s.head.iter().map(String::as_str).collect();
            out += &format!("{}\n", s.title);
            out += &table(&head, &s.numbers, s.rows.into_iter().map(|(cells, _)| cells));
            if !s.note.is_empty() {
                out += &format!("{}\n", s.note);
            }
            out += "\n";
        }
        match &written {
            Some((tube, off)) => {
                out += &format!(
                    "Written to {} as tube {tube}: {} off, its corners rounded.\n",
                    path.display(),
                    t.fine(*off)
                );
            }
            None => out += &format!("{}\n", curves::CAUTION),
        }
        load::print(&out);
    }
    Ok(if bent.answer.fewest.is_some() { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

/// A length as somebody types it.
fn length(text: &str, units: Units) -> Result<f64, String> {
    let wrong = |why: String| format!("`--within {text}`: {why}");
    let read = parse_text(text, Quantity::Length, units).map_err(wrong)?.value;
    if read > 0.0 && read <= 1.0 { Ok(read) } else { Err(wrong("must be more than 0 and at most 1 m".into())) }
}

/// Writes the tube; its name, and how far its rounded corners leave it from the curve, m.
fn write(path: &Path, text: &str, r: &Review, bent: &Bent, asked: &Asked<'_>) -> Result<(String, f64), String> {
    let how = curves::Asked { tube: asked.tube, section: asked.section };
    let (edits, tube) = curves::edits(r, bent, how).map_err(|why| {
        let help = "name one: --section NAME";
        if why.contains("section") { format!("error: {why}\n{help}") } else { format!("error: {why}") }
    })?;
    let name = path.display().to_string();
    let mut document = Document::open(text).map_err(|p| design::render(&p, &name, text))?;
    document.apply_all(&edits).map_err(|e| design::render(&e.problems, &name, &e.text))?;
    let shape = shape::resolve(std::sync::Arc::new(document.design().clone()))
        .map_err(|p| design::render(&p, &name, document.text()))?;
    let off = curves::off(&shape, &r.curves, bent, &tube).unwrap_or(f64::NAN);
    app::files::write(path, document.text().as_bytes())?;
    Ok((tube, off))
}
