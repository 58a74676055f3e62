//! The weld list with its totals, in the order of tacking.

use review::welds::{self, Welds};
use review::{Review, Text};

use super::ends::sentence;
use super::layout::{BODY, Column, SMALL, Sheets, number, prose, tick, word};
use super::page::Ink;

/// The list.
pub fn pages(s: &mut Sheets, r: &Review, a: &Welds, t: &Text) {
    if a.welds.is_empty() {
        return;
    }
    s.start("welds");
    s.heading("Welds, in the order of tacking");
    s.paragraph(welds::CAUTION, BODY, Ink::Black);
    for line in welds::summary(r, a, t) {
        s.paragraph(&sentence(&line), BODY, Ink::Black);
    }
    s.paragraph(welds::HOW, SMALL, Ink::Grey);
    let mut heads = vec![String::new()];
    heads.extend(welds::head(t));
    let list = welds::rows(a);
    // What to mind has no room beside the numbers: a star leads to the table below.
    let minds: Vec<String> = list.iter().map(|row| welds::row_mind(row, t)).collect();
    let columns: Vec<Column> = [tick("tack"), tick("weld")]
        .into_iter()
        .chain(heads[..MIND].iter().enumerate().map(|(k, h)| match k {
            0 | 3..=7 => number(h),
            2 => prose(h),
            _ => word(h),
        }))
        .collect();
    let starred = |k: usize| format!("{}{}", list[k].number, if minds[k].is_empty() { "" } else { " *" });
    let rows: Vec<Vec<String>> = (0..list.len())
        .map(|k| {
            let boxes = if list[k].twin.is_some() { "2" } else { "1" }.to_owned();
            let mut cells = vec![boxes.clone(), boxes, starred(k)];
            cells.extend(welds::cells(&list[k], t).into_iter().take(MIND - 1));
            cells
        })
        .collect();
    s.table(&columns, &rows, SMALL);
    let rows: Vec<Vec<String>> = (0..list.len())
        .filter(|&k| !minds[k].is_empty())
        .map(|k| vec![list[k].number.to_string(), list[k].words(), minds[k].clone()])
        .collect();
    if rows.is_empty() {
        return;
    }
    s.need(BEGUN);
    s.heading("* To mind at these");
    s.table(
        &[
            number(""),
            word("weld"),
            prose("what; shares are of its line; a pair without a word on which side asks for the same on both"),
        ],
        &rows,
        SMALL,
    );
}

/// Column of the list that holds what to mind, its number counted too.
const MIND: usize = 10;

/// Room that a heading and the first rows of its table want together, mm.
const BEGUN: f64 = 32.0;
