//! What holds it while it is welded: stands, places, readings, bevels, diagonals, saddles.

use review::{Review, Text, jigs};

use super::layout::{BODY, Sheets};
use super::page::Ink;
use super::told::told;

/// All of it, a table each.
pub fn pages(s: &mut Sheets, r: &Review, t: &Text) {
    s.start("set-up");
    s.heading("What holds it while it is welded");
    s.paragraph(jigs::CAUTION, BODY, Ink::Black);
    let answer = jigs::of(r);
    for f in jigs::findings(&answer) {
        s.paragraph(&f.what, BODY, Ink::Black);
    }
    for mut sheet in jigs::sheets(r, &answer, t) {
        if sheet.id == "panels" {
            // Room for a pencil.
            sheet.head.push("read".to_owned());
            sheet.rows.iter_mut().for_each(|(cells, _)| cells.push("________".to_owned()));
        }
        told(s, &sheet);
    }
}
