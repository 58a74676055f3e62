//! A load pushed past yielding: what it carries against how far it has gone, hinge by hinge.

use glam::DVec2;
use review::{Review, Text};
use strength::{Crushed, Hinge, Solved};

use super::super::layout::{BODY, SMALL, Sheets, number, prose};
use super::super::page::{Ink, Pen};
use super::super::views::{self, View};
use super::chart::Chart;
use super::{factor, thick};

/// Height of the chart, and of the picture, mm.
const CHART: f64 = 88.0;
/// See [`CHART`].
const PICTURE: f64 = 78.0;
/// Hinges told, drawn and listed.
const HINGES: usize = 24;
const CURVE: Pen = Pen::new(Ink::Black, 0.6);

/// The sheet of one load.
pub fn page(s: &mut Sheets, r: &Review, t: &Text, c: &Solved, x: &Crushed) {
    s.start(super::TITLE);
    s.heading(&format!("Pushed past yielding: {}", c.name));
    s.paragraph(&words(t, c, x), BODY, Ink::Black);
    let text = format!(
        "Large motions; steel that yields over the section, by axial force, bending and torsion together, and no harder after it. No \
         fracture, no dented wall, no weld that tears: what is left out makes it weaker. Across: the way of {}; up: what the load \
         is multiplied with.",
        x.told
    );
    s.paragraph(&text, SMALL, Ink::Grey);
    curve(s, t, x);
    let at = DVec2::new(s.left(), s.y + 2.0);
    let place = views::place(r, View::slant(), at, DVec2::new(s.width(), PICTURE), false, false);
    views::sketch(s.page(), r, &place, Pen::new(Ink::Grey, 0.25));
    let at: Vec<(DVec2, Ink)> = x.hinges.iter().take(HINGES).map(|h| (place.put(h.at), Ink::Accent)).collect();
    let comes = x.entry.as_ref().and_then(|e| r.shape.tubes.iter().position(|u| u.name == e.tube));
    if let Some(i) = comes {
        let line = views::centreline(r, i, &place);
        s.page().line(line, Pen::new(Ink::Alarm, 0.9));
    }
    thick::numbers(s.page(), &at, false);
    s.y += PICTURE + 4.0;
    table(s, t, x);
}

fn words(t: &Text, c: &Solved, x: &Crushed) -> String {
    let mut out = String::new();
    for clause in review::pushed(t, c, x) {
        let mut letters = clause.chars();
        let first = letters.next().map_or(String::new(), |c| c.to_uppercase().collect());
        out += &format!("{first}{}. ", letters.as_str());
    }
    if !x.slender.is_empty() {
        let list: Vec<String> = x.slender.iter().map(|(n, [a, b])| format!("{n} ({a:.0}, most {b:.0})")).collect();
        out += &format!(
            "Walls that may dent before the hinge has turned far (diameter over wall, EN 1993-1-1 class 1): {}.",
            list.join(", ")
        );
    }
    out.trim_end().to_owned()
}

fn curve(s: &mut Sheets, t: &Text, x: &Crushed) {
    // Along the axis figures stand in the design's unit.
    let per = if t.unit() == "mm" { 1e3 } else { 1.0 / 0.0254 };
    let most = x.curve.iter().fold(DVec2::ZERO, |m, p| m.max(DVec2::new(p[0] * per, p[1])));
    let at = DVec2::new(s.left(), s.y + 3.0);
    let along = format!("way, {}", t.unit());
    let size = DVec2::new(s.width(), CHART);
    let chart = Chart::new(s, at, size, most * DVec2::new(1.0, 1.15), [&along, "times the load"]);
    let line: Vec<DVec2> = x.curve.iter().map(|p| chart.put(DVec2::new(p[0] * per, p[1]))).collect();
    s.page().line(line.clone(), CURVE);
    if let (false, Some(end)) = (x.whole, line.last()) {
        super::cases::beside(s, *end, "not known beyond", Ink::Grey);
    }
    let height = |way: f64| {
        let after = x.curve.windows(2).find(|w| w[0][0] <= way && way <= w[1][0]);
        after.map_or(0.0, |w| w[0][1] + (w[1][1] - w[0][1]) * (way - w[0][0]) / (w[1][0] - w[0][0]).max(1e-300))
    };
    for (name, e) in [("drop", &x.drop), ("published energy", &x.energy)] {
        if let Some((energy, Some(way))) = e {
            let words = format!("{name}: {}", t.energy(*energy));
            chart.mark(s, way * per, 0.35 * height(*way), &words, Ink::Grey);
        }
    }
    if let Some(e) = &x.entry {
        let words = format!("{} at the {} of {}", e.tube, e.part, e.person);
        chart.mark(s, e.travel * per, 0.6 * e.factor, &words, Ink::Alarm);
        let p = chart.put(DVec2::new(e.travel * per, e.factor));
        s.page().circle(p, 0.9, Some(Ink::Alarm), None);
    }
    if let Some(y) = &x.yields {
        let p = chart.put(DVec2::new(y.travel * per, y.factor));
        s.page().circle(p, 0.8, Some(Ink::Paper), Some(Pen::new(Ink::Black, 0.3)));
        super::cases::beside(s, p + DVec2::Y * 2.0, &format!("first yields: {}", y.tube), Ink::Black);
    }
    let on = |h: &Hinge| (chart.put(DVec2::new(h.travel * per, h.factor)), Ink::Accent);
    let places: Vec<(DVec2, Ink)> = x.hinges.iter().take(HINGES).map(on).collect();
    thick::numbers(s.page(), &places, true);
    s.y += CHART + 3.0;
}

fn table(s: &mut Sheets, t: &Text, x: &Crushed) {
    if x.hinges.is_empty() {
        s.paragraph("No hinge comes that far.", BODY, Ink::Black);
        return;
    }
    let row = |(k, h): (usize, &Hinge)| {
        let [a, b, c] = h.at.to_array().map(|v| t.length(v));
        vec![(k + 1).to_string(), h.tube.clone(), format!("{a}, {b}, {c}"), factor(h.factor), t.fine(h.travel)]
    };
    let rows: Vec<Vec<String>> = x.hinges.iter().take(HINGES).enumerate().map(row).collect();
    let columns = [number("hinge"), prose("in"), prose("at x, y, z as drawn"), number("times the load"), number("way")];
    s.table(&columns, &rows, SMALL);
    if x.hinges.len() > HINGES {
        s.paragraph(&format!("{} hinges more come after them.", x.hinges.len() - HINGES), SMALL, Ink::Grey);
    }
}
