//! What is each piece?

use cutting::{EndCut, SetUp};
use review::text::counted;
use review::{Review, Text, ends, welds};

use super::{number, row, table, text};
use crate::wire::{Act, Page, Word};

const CAUTION: &str = "Cut one piece, hold it against the car, then cut the rest. Cutting, grinding and welding tube can blind, burn and \
kill: wear what your trade wears, and mind galvanised and oily tube.";

pub fn page(r: &Review, t: &Text) -> Page {
    let u = t.unit();
    let pieces = r.cutting.pieces.iter().map(|p| {
        let cells = vec![
            number(p.number.to_string()),
            text(&p.name),
            text(&p.section),
            number(t.length(p.lengths.blank)),
            number(t.length(p.lengths.over_long)),
            number(p.bends.as_ref().map_or(String::new(), |b| b.bends.len().to_string())),
            text(short(&p.ends[0], t)),
            text(short(&p.ends[1], t)),
        ];
        row(&p.name, cells).tube(&p.name).act(Some(Act::Piece { piece: p.name.clone() }))
    });
    let head =
        ["no", "piece", "section", &format!("blank {u}"), &format!("over long points {u}"), "bends", "start", "end"];
    let note = format!(
        "Rounded to {}. Angles from square; turn from the scribe line, clockwise looking from start to end.",
        t.step()
    );
    let mut lead = format!("{} to cut.", counted(r.cutting.pieces.len(), "piece"));
    let mut tables = vec![table("pieces", "Pieces, in fitting order", &head, pieces.collect()).note(note)];
    let mut cautions = vec![CAUTION];
    // Neither follows a dragged point.
    if let Some(a) = &r.ends {
        lead += &format!(" {} for their ends.", counted(a.setups.batches.len(), "set-up"));
        let mut setups = super::of_sheet(ends::setups(r, a, t)).folded();
        setups.note = format!("{}. {}", ends::summary(a).join(". "), setups.note);
        tables.push(setups);
        tables.push(super::of_sheet(ends::ways(r, a, t)).folded());
    }
    tables.extend(super::ways_in::tables(r, t));
    if let Some(a) = &r.welds {
        lead += &format!(" {}, {} in all.", counted(a.totals.welds, "weld"), t.length_unit(a.totals.length));
        tables.push(super::of_sheet(welds::list(a, t)).folded());
        tables.extend(welds::sums(r, a, t).map(|s| super::of_sheet(s).folded()));
        cautions.push(welds::CAUTION);
    }
    super::page(Word::Cutting, "What is each piece?", lead, tables, &cautions)
}

/// An end in a few words.
pub fn short(e: &EndCut, t: &Text) -> String {
    let mut parts: Vec<String> = e
        .setups
        .iter()
        .map(|s| match s {
            SetUp::Saw { angle, .. } if t.angle(*angle) == "0°" => "square".to_owned(),
            SetUp::Saw { angle, turn, .. } => format!("saw {} turn {}", t.angle(*angle), t.turn(*turn)),
            SetUp::HoleSaw { diameter, angle, turn, .. } => {
                format!("notch {} at {} turn {}", t.fine(*diameter), t.angle(*angle), t.turn(*turn))
            }
            SetUp::Template { .. } => "template".to_owned(),
        })
        .collect();
    if e.left_long > 0.0 {
        parts.push(format!("left {} long", t.length(e.left_long)));
    }
    if parts.is_empty() {
        parts.push("meets nothing".into());
    }
    parts.join(" + ")
}
