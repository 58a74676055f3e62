//! An answer's table that terminal and page have too.

use review::jigs::Sheet;

use super::layout::{SMALL, Sheets, number, prose, word};
use super::page::Ink;

/// Room that a heading and the first rows of its table want together, mm.
const BEGUN: f64 = 40.0;

/// What is longer than this in a table's first column is no name, letters.
const NAME: usize = 28;

/// Its heading, its remark, its rows.
pub fn told(s: &mut Sheets, sheet: &Sheet) {
    s.need(BEGUN);
    s.heading(&sheet.title);
    if !sheet.note.is_empty() {
        s.paragraph(&sheet.note, SMALL, Ink::Grey);
    }
    let columns: Vec<_> = sheet
        .head
        .iter()
        .enumerate()
        .map(|(k, h)| match k {
            k if sheet.numbers.contains(&k) => number(h.as_str()),
            // Names stay in one piece; a clause may be a sentence.
            0 if sheet.rows.iter().all(|row| row.0.first().is_none_or(|c| c.chars().count() <= NAME)) => {
                word(h.as_str())
            }
            _ => prose(h.as_str()),
        })
        .collect();
    let rows: Vec<Vec<String>> = sheet.rows.iter().map(|row| row.0.clone()).collect();
    s.table(&columns, &rows, SMALL);
}
