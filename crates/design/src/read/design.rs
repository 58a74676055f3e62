//! `[design]`.

use super::fields::{Fields, Reader};
use crate::keys;
use crate::model::{Datum, Paper, Units};

/// What `[design]` says.
pub struct Header {
    /// Name.
    pub name: String,
    /// Paper.
    pub paper: Paper,
    /// Who made it.
    pub by: Option<String>,
    /// Note.
    pub note: Option<String>,
    /// Where heights are measured from.
    pub datum: Datum,
}

/// Paper of a file that does not say.
pub fn default_paper(units: Units) -> Paper {
    match units {
        Units::Mm => Paper::A4,
        Units::In => Paper::Letter,
    }
}

impl<'a> Reader<'a> {
    /// Reads `[design]`; `None` if it is missing or wrong.
    pub fn header(&mut self) -> Option<Header> {
        let node = self.root.get("design").filter(|n| n.get_ref().is_table())?;
        let f = self.open(node, &keys::DESIGN, "[design]".to_owned())?;
        // The reader has looked at the units already, to know them from the start; this only checks the word.
        let _ = self.choice(&f, "units");
        let name = self.text(&f, "name");
        if name.as_ref().is_some_and(|n| n.trim().is_empty()) {
            self.error(f.span_of("name"), "the design's name is empty", "no name", "every sheet bears it: write one");
        }
        let paper = match self.choice(&f, "paper") {
            Some("A4") => Paper::A4,
            Some(_) => Paper::Letter,
            None => default_paper(self.units),
        };
        let datum = if f.has("datum") { self.datum(&f) } else { Some(Datum::Z(0.0)) };
        let (by, note) = (self.text(&f, "by"), self.text(&f, "note"));
        Some(Header { name: name?, paper, by, note, datum: datum? })
    }

    fn datum(&mut self, f: &Fields<'a>) -> Option<Datum> {
        let d = self.table(f, "datum", "the datum".to_owned())?;
        let given = d.present(&["under", "over", "z"]);
        match given[..] {
            ["z"] => Some(Datum::Z(self.number(&d, "z")?)),
            [key] => {
                let tube = self.tube_at(d.get(key)?, d.at(key))?;
                Some(if key == "under" { Datum::Under(tube) } else { Datum::Over(tube) })
            }
            _ => {
                let (message, label) = match given[..] {
                    [] => ("the datum is not given", "measured from what?"),
                    _ => ("the datum is given more than once", "one too many"),
                };
                let span = given.get(1).map_or(d.span.clone(), |k| d.span_of(k));
                self.error(span, message, label, "write one of { under = \"tube\" }, { over = \"tube\" }, { z = 0 }");
                None
            }
        }
    }
}
