//! `stock --take-in`: a list of steel into the design's rack.

use std::path::Path;
use std::process::ExitCode;

use design::{Document, Fate, Taken, csv, steel_list};
use review::Text;
use serde_json::json;

use crate::load;

/// Takes the list in, and tells line by line what became of it. Nothing is written if any line is wrong.
pub fn run(path: &Path, list: &Path, as_json: bool) -> Result<ExitCode, String> {
    let name = list.display().to_string();
    let design_text = app::files::text(path)?;
    let design_name = path.display().to_string();
    let in_list = |problems: &[design::Problem], text: &str| design::render(problems, &name, text);
    let mut document = Document::open(&design_text).map_err(|p| design::render(&p, &design_name, &design_text))?;
    let text = csv::text(&bytes(list)?).map_err(|p| in_list(&[p], ""))?;
    let table = csv::read(&text).map_err(|p| in_list(&p, &text))?;
    let steel = steel_list::read(&table, document.design()).map_err(|p| in_list(&p, &text))?;
    let taken = document.take_in(&steel).map_err(|e| design::render(&e.problems, &design_name, &e.text))?;
    let is_new = document.text() != design_text;
    if is_new {
        app::files::write(path, document.text().as_bytes())?;
    }
    if !steel.notes.is_empty() {
        eprintln!("{}", in_list(&steel.notes, &text));
    }
    if as_json {
        let notes: Vec<&str> = steel.notes.iter().map(|n| n.message.as_str()).collect();
        load::json(
            &json!({ "units": "SI: m", "design": design_name, "written": is_new, "rows": taken, "notes": notes }),
        )?;
        return Ok(ExitCode::SUCCESS);
    }
    let t = Text::new(document.design());
    let mut out = String::new();
    for row in &taken {
        out += &format!("line {}: {}: {}\n", row.line, stick(row, &t), fate(row));
        if let Some(look) = &row.look {
            out += &format!("  look: {look}\n");
        }
    }
    let count = |of: fn(&Fate) -> bool| taken.iter().filter(|r| of(&r.fate)).count();
    let added = count(|f| matches!(f, Fate::Added));
    let changed = count(|f| matches!(f, Fate::Changed(_)));
    out += &format!("{added} added, {changed} changed, {} already there", taken.len() - added - changed);
    out += &if is_new { format!("; written to {design_name}\n") } else { format!("; {design_name} is as it was\n") };
    load::print(&out);
    Ok(ExitCode::SUCCESS)
}

/// The bytes of a list; one that is too large is not read at all.
fn bytes(list: &Path) -> Result<Vec<u8>, String> {
    let size = std::fs::metadata(list).map_err(|e| app::files::cannot("read", list, &e))?.len();
    if size > csv::LARGEST as u64 {
        return Err(format!("error: {} has {size} bytes; a list has at most {}", list.display(), csv::LARGEST));
    }
    std::fs::read(list).map_err(|e| app::files::cannot("read", list, &e))
}

/// Which stick: `hoop 6000 mm, left bay`.
fn stick(row: &Taken, t: &Text) -> String {
    let mut out = format!("{} {}", row.section, t.fine(row.length));
    for (word, name) in [("", &row.place), ("from ", &row.supplier)] {
        if let Some(name) = name {
            out += &format!(", {word}{name}");
        }
    }
    out
}

fn fate(row: &Taken) -> String {
    match &row.fate {
        Fate::Added => match (row.count, row.ordered) {
            (Some(n), true) => format!("added, {n} on order"),
            (Some(n), false) => format!("added, {n} on hand"),
            (None, _) => "added, to be bought".to_owned(),
        },
        Fate::Changed(changes) => {
            let all: Vec<String> = changes.iter().map(|c| format!("{} {} -> {}", c.key, c.was, c.is)).collect();
            format!("changed: {}", all.join(", "))
        }
        Fate::There => "already there".to_owned(),
    }
}
