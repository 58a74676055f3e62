//! How each piece goes in, in fitting order.

use review::{Review, Text, ways_in, welds};

use super::layout::{BODY, Column, SMALL, Sheets, number, prose, tick, word};
use super::page::Ink;

/// The list, with a box to tick; those without a way after it.
pub fn pages(s: &mut Sheets, r: &Review, t: &Text) {
    if r.cutting.pieces.is_empty() {
        return;
    }
    let (ways, welds) = (ways_in::of(r), welds::of(r));
    s.start("way in");
    s.heading(&format!("How each piece goes in, {}", ways_in::order(r)));
    s.paragraph(ways_in::CAUTION, BODY, Ink::Black);
    for line in ways_in::summary(r, &ways) {
        s.paragraph(&ways_in::sentence(&line), BODY, Ink::Black);
    }
    s.paragraph(ways_in::HOW, SMALL, Ink::Grey);
    let list = ways_in::ways(r, &ways, &welds.welds, t);
    // A column of beads only if there are any.
    let beads = list.rows.iter().any(|row| row.0.last().is_some_and(|c| !c.is_empty()));
    let kept = list.head.len() - usize::from(!beads);
    let columns: Vec<Column> = std::iter::once(tick("in"))
        .chain(list.head[..kept].iter().enumerate().map(|(k, h)| match k {
            0 => number(h.as_str()),
            2 | 4 => prose(h.as_str()),
            _ => word(h.as_str()),
        }))
        .collect();
    let rows: Vec<Vec<String>> = list
        .rows
        .iter()
        .map(|(cells, _)| std::iter::once("1".to_owned()).chain(cells.iter().take(kept).cloned()).collect())
        .collect();
    s.table(&columns, &rows, SMALL);
    if let Some(list) = ways_in::without(r, &ways, t) {
        s.need(BEGUN);
        s.heading(&list.title);
        s.paragraph(&list.note, SMALL, Ink::Grey);
        let [turn, piece, blocked, help] = &list.head[..] else { return };
        let columns = [number(turn), word(piece), prose(blocked), prose(help)];
        let rows: Vec<Vec<String>> = list.rows.into_iter().map(|row| row.0).collect();
        s.table(&columns, &rows, SMALL);
    }
}

/// Room that a heading and the first rows of its table want together, mm.
const BEGUN: f64 = 40.0;
