//! All loads in one table.

use review::{Review, Text};
use strength::Solved;

use super::super::layout::{Column, SMALL, Sheets, number, prose, word};
use super::super::page::Ink;
use super::{factor, percent};

/// Most rows: what is beyond them stands in `packet.json`.
const ROWS: usize = 200;

/// The table, and what could not be worked out.
pub fn table(s: &mut Sheets, r: &Review, t: &Text) {
    let a = &r.strength;
    let text = format!(
        "Elastic, small motions, shear and torsion counted. Use: stress, √(σ² + 3τ²) from axial force, bending, shear and torsion \
         together, as a part of the yield strength (EN 1993-1-1, 6.2.1), where that is most; limits are the design's own. Buckles: \
         what the load must be multiplied with for the straight frame to give way. Ways in {}.",
        t.unit()
    );
    s.paragraph(&text, SMALL, Ink::Grey);
    let rows: Vec<Vec<String>> = a.cases.iter().take(ROWS).map(|c| row(c, t)).collect();
    let columns: [Column; 9] = [
        prose("load"),
        prose("most used"),
        number("use"),
        number("limit"),
        prose("moves most"),
        number("by"),
        number("limit"),
        number("buckles at"),
        word("it is"),
    ];
    if !rows.is_empty() {
        s.table(&columns, &rows, SMALL);
    }
    if a.cases.len() > ROWS {
        let text = format!("{} loads more stand in packet.json.", a.cases.len() - ROWS);
        s.paragraph(&text, SMALL, Ink::Grey);
    }
    if !a.without.is_empty() {
        s.heading("Loads that were not worked out");
        let rows: Vec<Vec<String>> =
            a.without.iter().take(ROWS).map(|n| vec![n.name.clone(), n.why.clone(), n.help.clone()]).collect();
        s.table(&[word("load"), prose("why"), prose("what helps")], &rows, SMALL);
    }
}

fn row(c: &Solved, t: &Text) -> Vec<String> {
    let used = c.used.first();
    let buckles = match &c.buckling {
        Some(b) => factor(b.factor),
        None if c.buckling_known => "never".to_owned(),
        None => "-".to_owned(),
    };
    let limit = if c.by_energy() { "-".to_owned() } else { format!("{:.0} %", 100.0 * c.wanted.utilisation) };
    vec![
        c.name.clone(),
        used.map_or("-".to_owned(), |u| u.tube.clone()),
        used.map_or("-".to_owned(), |u| percent(u.stress.utilisation)),
        limit,
        c.moved.name.clone(),
        t.fine_number(c.moved.by.length()),
        c.wanted.most.map_or("-".to_owned(), |m| t.fine_number(m)),
        buckles,
        c.verdict(),
    ]
}
