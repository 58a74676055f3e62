//! What holds it while it is welded?

use review::{Review, Text, jigs};

use crate::wire::{Page, Word};

/// The page; none while nobody has worked it out.
pub fn page(r: &Review, t: &Text) -> Option<Page> {
    let sheets = jigs::sheets(r, r.jigs.as_ref()?, t).into_iter().map(super::of_sheet);
    let question = "What holds it while it is welded?";
    Some(super::page(Word::Jigs, question, String::new(), sheets.collect(), &[jigs::CAUTION]))
}
