//! Weight against what it buys, and tubes that are missed least.

use glam::DVec2;
use review::Text;
use strength::{Advice, Loss, Smaller};

use super::super::layout::{Column, SMALL, Sheets, number, prose};
use super::super::page::{Anchor, Ink, Pen};
use super::chart::Chart;
use super::percent;

/// Height of the chart, mm.
const CHART: f64 = 84.0;
/// What is lower stands at the chart's lower edge, %.
const LOWEST: f64 = 0.05;
/// Tubes named in the chart.
const NAMED: usize = 12;
/// Tubes told as missed least, and one size smaller.
const LEAST: usize = 8;

/// The sheet.
pub fn page(s: &mut Sheets, t: &Text, v: &Advice) {
    let l = &v.ledger;
    if l.rows.is_empty() {
        return;
    }
    s.start(super::TITLE);
    s.heading("What the weight buys");
    if l.rows.iter().any(|r| r.buys.is_some()) {
        let text = "Each dot is a tube, with its twin if it has one: across what it weighs, up the most that the frame would lose \
                    without it, of its stiffness in torsion, in bending, or of what is left to its largest use. Low and to the right: \
                    much steel for little.";
        s.paragraph(text, SMALL, Ink::Grey);
        chart(s, t, v);
    }
    let held: Vec<&str> = l.rows.iter().filter(|r| r.buys.is_none()).map(|r| r.tube.as_str()).collect();
    if !held.is_empty() {
        let text = format!("Without any one of these the frame, or a load, has no hold: {}.", held.join(", "));
        s.paragraph(&text, SMALL, Ink::Grey);
    }
    missed(s, t, v);
    smaller(s, t, v);
    let text = "A tube that these loads miss little may be there for others, for a person, or for a rule.";
    s.paragraph(text, SMALL, Ink::Black);
}

fn chart(s: &mut Sheets, t: &Text, v: &Advice) {
    let most = |b: &[f64]| 100.0 * b.iter().fold(0.0f64, |m, x| m.max(*x));
    let dots: Vec<(&str, DVec2)> = v
        .ledger
        .rows
        .iter()
        .filter_map(|r| Some((r.tube.as_str(), DVec2::new(t.mass_number(r.mass), most(r.buys.as_ref()?)))))
        .collect();
    let top = dots.iter().fold(DVec2::ZERO, |m, d| m.max(d.1));
    let low = dots.iter().fold(top, |m, d| m.min(d.1)).max(DVec2::new(0.0, LOWEST));
    let at = DVec2::new(s.left(), s.y + 3.0);
    let words = [format!("mass, {}", t.mass_unit()), "would be lost without it, %".to_owned()];
    let size = DVec2::new(s.width(), CHART);
    let chart = Chart::by_decades(s, at, size, [low, top], [&words[0], &words[1]]);
    let per = |d: &DVec2| d.y / d.x;
    // Named: the first to go, the heaviest, and those that buy most.
    let mut named: Vec<usize> =
        (0..dots.len()).filter(|&k| v.ledger.first_to_go.iter().any(|n| n == dots[k].0)).collect();
    let mut by_use: Vec<usize> = (0..dots.len()).collect();
    by_use.sort_by(|&a, &b| per(&dots[b].1).total_cmp(&per(&dots[a].1)));
    for k in (0..4).chain(by_use.into_iter().take(4)) {
        if k < dots.len() && !named.contains(&k) {
            named.push(k);
        }
    }
    named.truncate(NAMED);
    let mut boxes: Vec<(DVec2, DVec2)> = Vec::new();
    for (name, d) in &dots {
        let first = v.ledger.first_to_go.iter().any(|n| n == name);
        let p = chart.put(*d);
        s.page().circle(p, 0.8, Some(if first { Ink::Accent } else { Ink::Black }), None);
        boxes.push((p - 0.9, p + 0.9));
    }
    for k in named {
        let (name, d) = dots[k];
        let p = chart.put(d);
        let wide = s.faces[0].width(name, SMALL);
        // Right of the dot, left of it, above, below: where nothing stands.
        let spots = [(1.8, 0.9), (-1.8 - wide, 0.9), (-wide / 2.0, -1.8), (-wide / 2.0, 3.6)];
        let rect = |(x, y): (f64, f64)| (p + DVec2::new(x, y - SMALL * 0.8), p + DVec2::new(x + wide, y + SMALL * 0.2));
        let free = |r: &(DVec2, DVec2)| {
            boxes.iter().all(|b| !(r.0.cmplt(b.1).all() && b.0.cmplt(r.1).all()))
                && r.1.x < s.right()
                && r.0.x > s.left()
        };
        let Some(spot) = spots.into_iter().find(|q| free(&rect(*q))) else { continue };
        boxes.push(rect(spot));
        let ink = if v.ledger.first_to_go.iter().any(|n| n == name) { Ink::Accent } else { Ink::Grey };
        s.page().text(p.x + spot.0, p.y + spot.1, SMALL, name).ink(ink);
    }
    s.y += CHART + 3.0;
    let y = s.y;
    let text = format!("Blue, the first to go, as they buy least for their mass: {}", v.ledger.first_to_go.join(", "));
    let (x, text) = (s.left(), s.faces[0].fit(&text, SMALL, s.width()));
    s.page().circle(DVec2::new(x + 0.8, y - 0.9), 0.8, Some(Ink::Accent), Some(Pen::new(Ink::Accent, 0.1)));
    s.page().text(x + 3.0, y, SMALL, text).anchor(Anchor::Left);
    s.y += 3.0;
}

fn heads(v: &Advice, first: &[Column<'static>]) -> (Vec<Column<'static>>, Vec<usize>) {
    let ours: Vec<usize> = ["torsion", "bending"].iter().filter_map(|n| v.aims.iter().position(|a| a == n)).collect();
    let mut columns = first.to_vec();
    columns
        .extend(ours.iter().map(|&k| number(if v.aims[k] == "torsion" { "torsion loses" } else { "bending loses" })));
    columns.extend([number("any loses"), number("use then")]);
    (columns, ours)
}

fn lost(v: &[f64], ours: &[usize], used: Option<f64>) -> Vec<String> {
    let mut row: Vec<String> = ours.iter().map(|&k| percent(v[k])).collect();
    row.push(percent(v.iter().fold(0.0f64, |m, x| m.max(*x))));
    row.push(used.map_or("-".to_owned(), percent));
    row
}

fn missed(s: &mut Sheets, t: &Text, v: &Advice) {
    let rows: Vec<(&Loss, &Vec<f64>)> =
        v.losses.iter().filter_map(|l| Some((l, l.losses.as_ref()?))).take(LEAST).collect();
    if rows.is_empty() {
        return;
    }
    s.heading("Missed least for their mass");
    let (columns, ours) = heads(v, &[prose("without"), prose("twin"), number("mass")]);
    let rows: Vec<Vec<String>> = rows
        .into_iter()
        .map(|(l, losses)| {
            let mut row = vec![l.tube.clone(), if l.twin { "too" } else { "" }.to_owned(), t.mass(l.mass)];
            row.extend(lost(losses, &ours, l.used));
            row
        })
        .collect();
    s.table(&columns, &rows, SMALL);
}

fn smaller(s: &mut Sheets, t: &Text, v: &Advice) {
    let most = |x: &Smaller| x.losses.iter().fold(0.0f64, |m, y| m.max(*y)) / x.saved;
    let mut all: Vec<(&Loss, &Smaller)> = v.losses.iter().filter_map(|l| Some((l, l.smaller.as_ref()?))).collect();
    if all.is_empty() {
        return;
    }
    all.sort_by(|a, b| most(a.1).total_cmp(&most(b.1)));
    s.heading("One size smaller: those that lose least for what they save");
    let (columns, ours) = heads(v, &[prose("tube"), prose("twin"), prose("as"), number("saves")]);
    let rows: Vec<Vec<String>> = all
        .into_iter()
        .take(LEAST)
        .map(|(l, x)| {
            let twin = if l.twin { "too" } else { "" }.to_owned();
            let mut row = vec![l.tube.clone(), twin, x.size.clone(), t.mass(x.saved)];
            row.extend(lost(&x.losses, &ours, x.used));
            row
        })
        .collect();
    s.table(&columns, &rows, SMALL);
}
