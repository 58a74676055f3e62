//! Reading a design file, with its problems in words.

use std::io::Write;
use std::path::Path;
use std::sync::Arc;

use cutting::Detail;
use design::Design;
use review::Review;
use strength::Depth;

use app::skins::Hashes;

/// The text of a design file, and the design. Notes go to standard error.
pub fn design(path: &Path) -> Result<(String, Arc<Design>), String> {
    let text = app::files::text(path)?;
    let name = path.display().to_string();
    match design::read(&text) {
        Ok(reading) => {
            if !reading.notes.is_empty() {
                eprintln!("{}", design::render(&reading.notes, &name, &text));
            }
            Ok((text, Arc::new(reading.design)))
        }
        Err(problems) => Err(design::render(&problems, &name, &text)),
    }
}

/// The review of a design file with its skins, and with its measured sheet if there is one.
pub fn review(path: &Path, detail: Detail, depth: Depth) -> Result<(String, Review), String> {
    whole(path, detail, depth).map(|w| (w.0, w.2))
}

/// The same without the measured sheet.
pub fn alone(path: &Path, detail: Detail, depth: Depth) -> Result<(String, Review), String> {
    without_sheet(path, detail, depth).map(|w| (w.0, w.2))
}

/// The text of a design file, the files of its skins (each once) with the hashes of their bytes, and the review with the
/// measured sheet, if there is one.
pub fn whole(path: &Path, detail: Detail, depth: Depth) -> Result<(String, Hashes, Review), String> {
    let mut out = without_sheet(path, detail, depth)?;
    app::measured::beside(path, &mut out.2)?;
    Ok(out)
}

/// The same for the frame as built: its sheet must be there.
pub fn as_built(path: &Path, r: &Review, depth: Depth) -> Result<Review, String> {
    let made = app::made::beside(path, r)?;
    let start = format!("write a measured sheet to fill in with\n  tubewright build {} --start", path.display());
    match &r.built {
        None => Err(format!("error: nothing was measured yet; {start}")),
        Some(b) => review::built::whole(r, &made, depth).ok_or_else(|| match b.refused.first() {
            Some(why) => format!("error: the frame as built has no answers: {why}"),
            None => format!("error: the measured sheet places no point; {start}"),
        }),
    }
}

fn without_sheet(path: &Path, detail: Detail, depth: Depth) -> Result<(String, Hashes, Review), String> {
    let (text, design) = design(path)?;
    let (given, hashes) = app::curves::given(path, &design);
    let review = review::with_given(design, &given, &review::Made::default(), detail, depth)
        .map_err(|p| design::render(&p, &path.display().to_string(), &text))?;
    Ok((text, hashes, review))
}

/// Prints to standard output. A reader that has gone (as in `… | head`) ends the program quietly.
pub fn print(text: &str) {
    let mut out = std::io::stdout().lock();
    if out.write_all(text.as_bytes()).and_then(|()| out.flush()).is_err() {
        std::process::exit(0);
    }
}

/// Prints a value as JSON.
pub fn json<T: serde::Serialize>(value: &T) -> Result<(), String> {
    let mut text = serde_json::to_string_pretty(value).map_err(|e| format!("error: can't write JSON: {e}"))?;
    text.push('\n');
    print(&text);
    Ok(())
}
