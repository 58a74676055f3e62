//! What holds it while it is welded?

use review::{Review, Text, jigs};

use super::{number, row, table, text};
use crate::wire::{Page, Word};

/// The page; none while nobody has worked it out.
pub fn page(r: &Review, t: &Text) -> Option<Page> {
    let sheets = jigs::sheets(r, r.jigs.as_ref()?, t).into_iter().map(|s| {
        let head: Vec<&str> = s.head.iter().map(String::as_str).collect();
        let rows = s.rows.into_iter().enumerate().map(|(k, (cells, tubes))| {
            let cells = cells.into_iter().enumerate();
            let cells = cells.map(|(c, x)| if s.numbers.contains(&c) { number(x) } else { text(x) }).collect();
            row(k.to_string(), cells).tubes(tubes)
        });
        table(s.id, s.title, &head, rows.collect()).note(s.note)
    });
    let question = "What holds it while it is welded?";
    Some(super::page(Word::Jigs, question, String::new(), sheets.collect(), &[jigs::CAUTION]))
}
