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

/// The review of a design file with its skins.
pub fn review(path: &Path, detail: Detail, depth: Depth) -> Result<(String, Review), String> {
    whole(path, detail, depth).map(|w| (w.0, w.2))
}

/// The text of a design file, the files of its skins (each once) with the hashes of their bytes, and the review.
pub fn whole(path: &Path, detail: Detail, depth: Depth) -> Result<(String, Hashes, Review), String> {
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
