//! Points from a text of numbers: x, y, z in each line.

use glam::DVec3;

use crate::MOST_POINTS;

/// Reads points. A line holds three numbers, with commas, semicolons, tabs or blanks between them (with semicolons a decimal
/// comma is read too); `#` begins a comment; empty lines and one heading of words before the first numbers are passed over. `unit` is one unit of the text in m.
///
/// # Errors
/// What is wrong, with the number of the line.
pub fn points(text: &str, unit: f64) -> Result<Vec<DVec3>, String> {
    let mut out = Vec::new();
    let mut heading = false;
    for (i, line) in text.trim_start_matches('\u{feff}').lines().enumerate() {
        let line = line.split('#').next().unwrap_or_default().trim();
        if line.is_empty() {
            continue;
        }
        let cells = cells(line);
        let numbers: Vec<Option<f64>> = cells.iter().map(|c| number(c, line)).collect();
        if out.is_empty() && !heading && numbers.iter().all(Option::is_none) {
            heading = true;
            continue;
        }
        let wrong = |what: String| Err(format!("line {}: {what}", i + 1));
        if let Some(k) = numbers.iter().position(|n| n.is_none_or(|n| !n.is_finite())) {
            let cell: String = cells[k].chars().take(20).collect();
            return wrong(format!("`{cell}` is no number"));
        }
        let [Some(x), Some(y), Some(z)] = numbers[..] else {
            return wrong(format!("{} where x, y and z are wanted", counted(numbers.len())));
        };
        if out.len() == MOST_POINTS {
            return wrong(format!("more than {MOST_POINTS} points"));
        }
        out.push(DVec3::new(x, y, z) * unit);
    }
    Ok(out)
}

/// A number; where semicolons part the cells, a comma may stand for its point.
fn number(cell: &str, line: &str) -> Option<f64> {
    if line.contains(';') { cell.replace(',', ".").parse().ok() } else { cell.parse().ok() }
}

fn counted(n: usize) -> String {
    if n == 1 { "one number".to_owned() } else { format!("{n} numbers") }
}

/// The cells of a line: by semicolons if it has any, else by commas, else by blanks. One separator at its end is none.
fn cells(line: &str) -> Vec<&str> {
    let by = |c: char| line.trim_end_matches(c).split(c).map(str::trim).collect();
    match (line.contains(';'), line.contains(',')) {
        (true, _) => by(';'),
        (false, true) => by(','),
        (false, false) => line.split_whitespace().collect(),
    }
}
