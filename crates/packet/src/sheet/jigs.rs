//! What holds it while it is welded: stands, places, readings, bevels, diagonals, saddles.

use review::{Review, Text, jigs};

use super::layout::{BODY, SMALL, Sheets, number, prose, word};
use super::page::Ink;

/// All of it, a table each.
pub fn pages(s: &mut Sheets, r: &Review, t: &Text) {
    s.start("set-up");
    s.heading("What holds it while it is welded");
    s.paragraph(jigs::CAUTION, BODY, Ink::Black);
    let answer = jigs::of(r);
    for f in jigs::findings(&answer) {
        s.paragraph(&f.what, BODY, Ink::Black);
    }
    for sheet in jigs::sheets(r, &answer, t) {
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
                0 => word(h.as_str()),
                _ => prose(h.as_str()),
            })
            .collect();
        let rows: Vec<Vec<String>> = sheet.rows.iter().map(|row| row.0.clone()).collect();
        s.table(&columns, &rows, SMALL);
    }
}

/// Room that a heading and the first rows of its table want together, mm.
const BEGUN: f64 = 40.0;
