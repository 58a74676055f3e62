//! How does each piece go in?

use review::{Review, Text, jigs, ways_in};

use super::{number, row, table, text};
use crate::wire::{Act, Table};

/// Those without a way, and all; nothing while nobody has worked it out.
pub fn tables(r: &Review, t: &Text) -> Vec<Table> {
    let Some(ways) = &r.ways_in else { return Vec::new() };
    let welds = r.welds.as_ref().map_or(&[][..], |w| &w.welds);
    let without = ways_in::without(r, ways, t).map(told);
    let mut all = told(ways_in::ways(r, ways, welds, t));
    let summary: Vec<String> = ways_in::summary(r, ways).iter().map(|l| ways_in::sentence(l) + ".").collect();
    all.note = format!("{} {} {}", summary.join(" "), ways_in::HOW, ways_in::CAUTION);
    std::iter::once(all).chain(without).collect()
}

/// A sheet as a table, whose rows open their piece.
fn told(s: jigs::Sheet) -> Table {
    let head: Vec<&str> = s.head.iter().map(String::as_str).collect();
    let rows = s.rows.into_iter().map(|(cells, tubes)| {
        let cells = cells.into_iter().enumerate();
        let cells = cells.map(|(c, x)| if s.numbers.contains(&c) { number(x) } else { text(x) }).collect();
        let piece = tubes.first().cloned().unwrap_or_default();
        row(&piece, cells).tubes(tubes).act(Some(Act::Piece { piece: piece.clone() }))
    });
    table(s.id, s.title, &head, rows.collect()).note(s.note)
}
