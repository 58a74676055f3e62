//! What holds it while it is welded?

use review::{Review, Text, jigs};

use super::{finding, number, row, table, text};
use crate::wire::{Page, Word};

pub fn page(r: &Review, t: &Text) -> Page {
    let answer = jigs::jigs(r);
    let tables = jigs::sheets(r, &answer, t)
        .into_iter()
        .map(|s| {
            let head: Vec<&str> = s.head.iter().map(String::as_str).collect();
            let rows = s.rows.into_iter().enumerate().map(|(k, (cells, tubes))| {
                let cells = cells.into_iter().enumerate();
                let cells = cells.map(|(c, x)| if s.numbers.contains(&c) { number(x) } else { text(x) }).collect();
                row(k.to_string(), cells).tubes(tubes)
            });
            table(s.id, s.title, &head, rows.collect()).note(s.note)
        })
        .collect();
    let mut page =
        super::page(Word::Jigs, "What holds it while it is welded?", String::new(), tables, &[jigs::CAUTION]);
    page.findings = jigs::findings(&answer).map(|f| finding(r, t, Word::Jigs, f)).collect();
    page
}
