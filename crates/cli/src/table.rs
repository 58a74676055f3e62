//! Plain tables for the terminal.

use comfy_table::{CellAlignment, ContentArrangement, Table, presets};

/// A table with a header, nothing if it has no rows; columns named in `right` (by position) are set to the right, as numbers are.
pub fn table(header: &[&str], right: &[usize], rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let mut rows = rows.into_iter().peekable();
    if rows.peek().is_none() {
        return String::new();
    }
    let mut t = Table::new();
    t.load_style(presets::NOTHING);
    t.set_content_arrangement(ContentArrangement::Disabled);
    t.set_header(header.to_vec());
    for row in rows {
        t.add_row(row);
    }
    for &i in right {
        if let Some(c) = t.column_mut(i) {
            c.set_cell_alignment(CellAlignment::Right);
        }
    }
    let lines: Vec<String> = t.lines().map(|l| l.trim_end().to_owned()).collect();
    let width = lines.iter().map(|l| l.chars().count()).max().unwrap_or(0);
    let mut out = String::new();
    for (i, line) in lines.iter().enumerate() {
        out += &format!("{line}\n");
        if i == 0 {
            out += &format!(" {}\n", "─".repeat(width.saturating_sub(1)));
        }
    }
    out
}

/// A sheet of an answer: its title, its table with cells broken at `joint` where they are wider than `width`, its note.
pub fn sheet(s: &review::jigs::Sheet, joint: &str, width: usize) -> String {
    let head: Vec<&str> = s.head.iter().map(String::as_str).collect();
    let broken = |c: &String| wrap(&c.split(joint).map(str::to_owned).collect::<Vec<_>>(), joint, width);
    let mut out = format!("\n{}\n", s.title);
    out += &table(&head, &s.numbers, s.rows.iter().map(|(cells, _)| cells.iter().map(broken).collect()));
    if !s.note.is_empty() {
        out += &format!("{}\n", s.note);
    }
    out
}

/// Items joined by `joint`, in lines of at most `width` characters.
pub fn wrap(items: &[String], joint: &str, width: usize) -> String {
    let mut lines = vec![String::new()];
    for (i, item) in items.iter().enumerate() {
        let text = if i + 1 < items.len() { format!("{item}{joint}") } else { item.clone() };
        let last = lines.len() - 1;
        if !lines[last].is_empty() && lines[last].chars().count() + text.trim_end().chars().count() > width {
            lines.push(text);
        } else {
            lines[last].push_str(&text);
        }
    }
    lines.iter().map(|l| l.trim_end()).collect::<Vec<_>>().join("\n")
}
