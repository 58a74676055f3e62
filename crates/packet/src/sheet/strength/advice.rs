//! Tubes that would help: where they run, and what they gain for what they weigh.

use glam::DVec2;
use review::{Review, Text};
use strength::{Advice, PushedBrace};

use super::super::layout::{Column, SMALL, Sheets, number, prose};
use super::super::page::{Ink, Pen};
use super::super::views::{self, View};
use super::{percent, thick};

/// Braces told for each aim.
const BEST: usize = 2;
/// Most of them.
const MOST: usize = 16;
/// Height of the picture, mm.
const HIGH: f64 = 92.0;

/// The sheet.
pub fn pages(s: &mut Sheets, r: &Review, t: &Text, v: &Advice) {
    if v.looked_at == 0 {
        return;
    }
    let mut shown = v.shown(BEST);
    shown.truncate(MOST);
    s.start(super::TITLE);
    s.heading("Tubes that would help most for their weight");
    let out = &v.left_out;
    let text = format!(
        "Straight tubes of {} between joints, each tried exactly: {} of them. Left out: {} too short, {} too long, {} where tubes are, \
         {} close beside one, {} under 15° to one, {} through people, {} through wheels and masses, {} through ways out. Dashed, \
         with the twin where one is meant; mass and gain are then of both. Stiffness: what it gains against a load. Use: the largest \
         of all tubes under all loads, of its limit, with it.",
        v.section,
        v.looked_at,
        out.short,
        out.long,
        out.taken,
        out.parallel,
        out.sharp,
        out.person,
        out.thing,
        out.opening
    );
    s.paragraph(&text, SMALL, Ink::Grey);
    if shown.is_empty() {
        s.paragraph("None of them gains anything.", SMALL, Ink::Black);
        return;
    }
    let at = DVec2::new(s.left(), s.y + 1.0);
    let place = views::place(r, View::slant(), at, DVec2::new(s.width(), HIGH), false, false);
    views::sketch(s.page(), r, &place, Pen::new(Ink::Grey, 0.3));
    let nodes = &r.strength.nodes;
    let mut places: Vec<(DVec2, Ink)> = Vec::new();
    for &i in &shown {
        for (k, pair) in v.braces[i].nodes.iter().enumerate() {
            let line = pair.map(|n| place.put(nodes[n].1));
            s.page().line(line, Pen::new(Ink::Accent, 0.7).dashed(1.6));
            if k == 0 {
                places.push((line[0].lerp(line[1], 0.5), Ink::Accent));
            }
        }
    }
    thick::numbers(s.page(), &places, false);
    s.y += HIGH + 4.0;
    table(s, t, v, &shown);
    tried(s, t, v);
}

fn table(s: &mut Sheets, t: &Text, v: &Advice, shown: &[usize]) {
    // Torsion and bending have columns of their own; of the loads only the one that gains most for its mass.
    let ours: Vec<usize> = ["torsion", "bending"].iter().filter_map(|n| v.aims.iter().position(|a| a == n)).collect();
    let mut columns: Vec<Column> =
        vec![number("no"), prose("from"), prose("to"), prose("twin"), number("length"), number("mass")];
    columns.extend(ours.iter().map(|&k| number(if v.aims[k] == "torsion" { "torsion" } else { "bending" })));
    columns.extend([number("use then"), prose("best for")]);
    let rows: Vec<Vec<String>> = shown
        .iter()
        .enumerate()
        .map(|(k, &i)| {
            let b = &v.braces[i];
            let (best, worth) = v.best_for(i);
            let mut row = vec![
                (k + 1).to_string(),
                b.joins[0].clone(),
                b.joins[1].clone(),
                if b.twin { "yes" } else { "" }.to_owned(),
                t.length_unit(b.length),
                t.mass(b.mass),
            ];
            row.extend(ours.iter().map(|&k| format!("{:+.1} %", 100.0 * b.gains[k])));
            row.push(b.used.map_or("-".to_owned(), percent));
            let per = worth * t.mass_number(1.0).recip();
            row.push(format!("{best}, {:.1} % a {}", 100.0 * per, t.mass_unit()));
            row
        })
        .collect();
    s.table(&columns, &rows, SMALL);
    if let Some(n) = &v.now {
        let text =
            format!("The largest use without them: {} of its limit, {} under {}.", percent(n.part), n.tube, n.load);
        s.paragraph(&text, SMALL, Ink::Black);
    }
}

/// Braces tried in collapse.
fn tried(s: &mut Sheets, t: &Text, v: &Advice) {
    if v.pushed.is_empty() {
        return;
    }
    s.heading("Tried past yielding: how many times the load is carried at most");
    let row = |p: &PushedBrace| {
        vec![
            p.load.clone(),
            p.joins[0].clone(),
            p.joins[1].clone(),
            if p.twin { "yes" } else { "" }.to_owned(),
            t.mass(p.mass),
            format!("{:.3}", p.without),
            format!("{:.3}", p.with),
            if p.whole { "to the end" } else { "not to the end" }.to_owned(),
        ]
    };
    let rows: Vec<Vec<String>> = v.pushed.iter().map(row).collect();
    let columns = [
        prose("load"),
        prose("from"),
        prose("to"),
        prose("twin"),
        number("mass"),
        number("without"),
        number("with"),
        prose("followed"),
    ];
    s.table(&columns, &rows, SMALL);
}
