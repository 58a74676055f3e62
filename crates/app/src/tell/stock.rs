//! Which stick does each piece come from?

use review::{Review, Text};

use super::{number, row, table, text};
use crate::wire::{Page, Word};

pub fn page(r: &Review, t: &Text) -> Page {
    let u = t.unit();
    let currency = &r.shape.design.rack.currency;
    let mut tables = Vec::new();
    for s in &r.stock.sections {
        let rows = s.sticks.iter().map(|k| {
            let from = match (k.bought, &k.place) {
                (true, _) => "buy".to_owned(),
                (false, Some(p)) => p.clone(),
                (false, None) => "rack".to_owned(),
            };
            let cuts: Vec<String> = k.cuts.iter().map(|c| format!("{} {}", c.name, t.length(c.to - c.from))).collect();
            let cells = vec![
                text(&k.mark),
                number(t.length(k.length)),
                text(from),
                text(cuts.join(", ")),
                number(t.length(k.offcut)),
            ];
            row(&k.mark, cells).tubes(k.cuts.iter().map(|c| c.name.clone()))
        });
        let mut note = format!("{} of pieces.", t.length_unit(s.piece_length));
        if let Some(b) = &s.bound {
            note += &format!(" No plan uses fewer than {}", review::text::counted(b.sticks, "stick"));
            note += &if s.proven {
                "; none costs less.".to_owned()
            } else {
                format!("; none costs less than {:.2} {currency}, this one {:.2}.", b.cost, s.cost)
            };
        }
        let head = ["stick", &format!("length {u}"), "from", "pieces, in fitting order", &format!("left over {u}")];
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
    let lead = if r.stock.purchases.is_empty() {
        String::new()
    } else {
        format!("To be bought for {:.2} {currency}.", r.stock.cost)
    };
    super::page(Word::Stock, "Which stick does each piece come from?", lead, tables, &[])
}
