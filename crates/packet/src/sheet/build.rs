//! What was measured on the car, and what it makes of the rest.

use review::{Review, Text, built};

use super::layout::{BODY, SMALL, Sheets};
use super::page::Ink;
use super::told::told;

/// A table each; nothing if nothing was measured.
pub fn pages(s: &mut Sheets, r: &Review, t: &Text) {
    let Some(b) = &r.built else { return };
    s.start("as built");
    s.heading("What stands, and what it makes of the rest");
    s.paragraph(&built::lead(b), BODY, Ink::Black);
    s.paragraph(built::CAUTION, BODY, Ink::Black);
    for f in r.findings.iter().filter(|f| f.answer == "build") {
        let measure = t.measure(f).map_or(String::new(), |m| format!(" ({m})"));
        s.paragraph(&format!("{}{measure}", f.what), SMALL, Ink::Black);
    }
    for sheet in built::sheets(r, b, t) {
        told(s, &sheet);
    }
}
