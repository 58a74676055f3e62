//! Which stick does each piece come from?

use review::{Review, Text, steel};

use super::{number, row, table, text};
use crate::wire::{Page, Word};

pub fn page(r: &Review, t: &Text) -> Page {
    let u = t.unit();
    let currency = &r.shape.design.rack.currency;
    let mut tables = Vec::new();
    for s in &r.stock.sections {
        let rows = s.sticks.iter().map(|k| {
            let cuts = steel::cuts(k, |m| t.length(m));
            let cells = vec![
                text(&k.mark),
                number(t.length(k.length)),
                text(steel::from(k)),
                text(cuts.join(", ")),
                number(t.length(k.offcut)),
            ];
            row(&k.mark, cells).tubes(k.cuts.iter().map(|c| c.name.clone()))
        });
        let mut note = format!("{} of pieces.", t.length_unit(s.piece_length));
        if s.bound.is_some() {
            note += &format!(" {}.", sentence(&steel::proof(s, currency)));
        }
        let head =
            ["stick", &format!("length {u}"), "from", "pieces, in the order of cutting", &format!("left over {u}")];
        tables.push(
            table(&format!("sticks {}", s.section), format!("Section {}", s.section), &head, rows.collect()).note(note),
        );
    }
    let buy = r.stock.purchases.iter().map(|p| {
        let cells = vec![
            text(&p.section),
            number(t.length(p.length)),
            number(p.count.to_string()),
            number(format!("{:.2}", p.price)),
            number(format!("{:.2}", p.cost)),
        ];
        row(format!("{} {}", p.section, p.length), cells)
    });
    let head = ["section", &format!("length {u}"), "count", &format!("each, {currency}"), &format!("cost, {currency}")];
    tables.push(table("buy", "To buy", &head, buy.collect()));
    if let Some(reach) = &r.today {
        let lines = steel::reach_words(reach, &r.steel, currency, |m| t.length_unit(m));
        let rows = lines.iter().enumerate().map(|(k, l)| row(k.to_string(), vec![text(sentence(l))]));
        tables.insert(0, table("today", "How far today's steel goes", &[""], rows.collect()));
    }
    let lead = if r.stock.purchases.is_empty() {
        String::new()
    } else {
        format!("To be bought for {:.2} {currency}.", r.stock.cost)
    };
    let lead = if r.settled() {
        lead
    } else {
        let quick = "Planned quickly while the design or the rack changes; the full plan follows.";
        [lead.as_str(), quick].join(" ").trim().to_owned()
    };
    super::page(Word::Stock, "Which stick does each piece come from?", lead, tables, &[])
}

/// With a capital letter.
fn sentence(s: &str) -> String {
    let mut letters = s.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().collect::<String>() + letters.as_str())
}
