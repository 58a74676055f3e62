//! The piece list, the cutting plan as bars, and what to buy.

use cutting::{EndCut, Piece, SetUp};
use glam::DVec2;
use review::{Review, Text, steel};

use super::build;
use super::ends::sentence;
use super::layout::{BODY, SMALL, Sheets, number, prose, word};
use super::page::{Anchor, Ink, LINE, THIN};

/// All pieces in fitting order.
pub fn pieces(s: &mut Sheets, r: &Review, t: &Text) {
    s.start("piece list");
    s.heading(&format!("Pieces in fitting order; lengths in {}", t.unit_word()));
    // What was measured has the last word on pieces that are not cut yet.
    let built = r.cutting.pieces.iter().any(|p| build::change(r, &p.name).is_some());
    let rows: Vec<Vec<String>> = r
        .cutting
        .pieces
        .iter()
        .map(|p| {
            let mut row = vec![
                p.number.to_string(),
                p.name.clone(),
                p.section.clone(),
                t.length(p.lengths.over_long),
                t.cut(p.lengths.blank),
                short(&p.ends[0], t),
                short(&p.ends[1], t),
                p.bends.as_ref().map_or(String::new(), |b| b.bends.len().to_string()),
                sticks_of(r, p, t),
                format!("{:.2}", t.mass_number(p.mass)),
            ];
            if built {
                row.push(build::change(r, &p.name).map_or(String::new(), |c| t.cut(c.now)));
            }
            row
        })
        .collect();
    let mut columns = vec![
        number("no."),
        word("piece"),
        word("section"),
        number("over long"),
        number("blank"),
        prose("start"),
        prose("end"),
        number("bends"),
        word("stick"),
        number(t.mass_unit()),
    ];
    if built {
        columns.push(number("as built"));
    }
    s.table(&columns, &rows, SMALL);
    if built {
        let note = "As built: cut it to this over its long points instead, with ends as the chapter \u{201c}as built\u{201d} has them.";
        s.paragraph(note, BODY, Ink::Black);
    }
}

/// The stick that a piece comes from; of a joined one both, and what each gives.
fn sticks_of(r: &Review, p: &Piece, t: &Text) -> String {
    let places = steel::places(&r.stock, &p.name);
    match &places[..] {
        [] => "-".to_owned(),
        [(k, _)] => k.mark.clone(),
        parts => {
            let each = parts.iter().map(|(k, c)| format!("{} {}", k.mark, t.length(c.to - c.from)));
            format!("joined: {}", each.collect::<Vec<_>>().join(" + "))
        }
    }
}

/// An end in a few words.
fn short(e: &EndCut, t: &Text) -> String {
    let mut parts: Vec<String> = e
        .setups
        .iter()
        .map(|x| match x {
            SetUp::Saw { angle, .. } if t.angle(*angle) == "0°" => "square".to_owned(),
            SetUp::Saw { angle, turn, .. } => format!("saw {} turn {}", t.angle(*angle), t.turn(*turn)),
            SetUp::HoleSaw { angle, turn, .. } => format!("notch {} turn {}", t.angle(*angle), t.turn(*turn)),
            SetUp::Template { .. } => "template".to_owned(),
        })
        .collect();
    if parts.is_empty() {
        parts.push("meets nothing".into());
    }
    if e.left_long > 0.0 {
        parts.push(format!("{} long", t.length(e.left_long)));
    }
    parts.join(", ")
}

/// Sticks as bars.
pub fn sticks(s: &mut Sheets, r: &Review, t: &Text) {
    s.start("cutting plan");
    s.heading("Which stick each piece comes from");
    let longest = r.stock.sections.iter().flat_map(|p| &p.sticks).map(|k| k.length).fold(0.1, f64::max);
    let scale = s.width() / longest;
    for plan in &r.stock.sections {
        s.need(24.0);
        s.y += 6.0;
        let (x, y) = (s.left(), s.y);
        let proof = review::steel::proof(plan, &r.shape.design.rack.currency);
        let bound = if proof.is_empty() { proof } else { format!("; {proof}") };
        let line = format!(
            "{}, {} of pieces, {:.0} % used{bound}",
            count(plan.sticks.len()),
            t.length_unit(plan.piece_length),
            100.0 * plan.yielded
        );
        let w = s.faces[1].width(&plan.section, BODY) + 3.0;
        let line = s.faces[0].fit(&line, SMALL, s.width() - w);
        s.page().text(x, y, BODY, plan.section.clone()).bold();
        s.page().text(x + w, y, SMALL, line).ink(Ink::Grey);
        for k in &plan.sticks {
            bar(s, r, k, scale, t);
        }
        for &u in &plan.unplaced {
            let line = format!("no stick for {}: {}", r.steel.wanted[u].name, t.length_unit(r.steel.wanted[u].length));
            s.paragraph(&line, BODY, Ink::Alarm);
        }
    }
    let note = format!(
        "Kerf {} for every cut, {} trimmed off each stick first. Pieces are cut from the left in this order: that of fitting, but \
         where two share a cut. The dotted \
         part is left over.",
        t.fine(r.shape.design.rack.kerf),
        t.fine(r.shape.design.rack.trim)
    );
    s.paragraph(&note, SMALL, Ink::Grey);
    buy(s, r, t);
}

/// So many sticks.
fn count(n: usize) -> String {
    match n {
        0 => "no stick".to_owned(),
        1 => "1 stick".to_owned(),
        n => format!("{n} sticks"),
    }
}

/// Step of the lines under a bar, mm.
const STEP: f64 = 3.5;

fn bar(s: &mut Sheets, r: &Review, k: &stock::StickPlan, scale: f64, t: &Text) {
    s.need(14.0);
    s.y += 3.0;
    let (x, y, h) = (s.left(), s.y + 3.0, 6.0);
    let from = review::steel::from(k);
    let head = format!("{} · {} · {from} · left over {}", k.mark, t.length_unit(k.length), t.length_unit(k.offcut));
    s.page().text(x, y - 1.0, SMALL, head);
    let end = x + k.length * scale;
    s.page().rect(DVec2::new(x, y), DVec2::new(end - x, h), None, Some(THIN.dashed(0.8)));
    // Whether a bar had no room for all that is to be known of a piece.
    let mut short = false;
    let mut list = Vec::new();
    for c in &k.cuts {
        let (a, b) = (x + c.from * scale, x + c.to * scale);
        s.page().rect(DVec2::new(a, y), DVec2::new(b - a, h), Some(Ink::Tint), Some(LINE));
        // The number stays where the name has no room.
        let number = r.cutting.pieces.iter().find(|p| p.name == c.name).map(|p| p.number.to_string());
        let part = c.part.map_or(String::new(), |k| format!(", part {k} of 2"));
        let full = number.as_ref().map_or(c.name.clone(), |n| format!("{n} {}", c.name)) + &part;
        let room = b - a - 1.0;
        let mut name = s.faces[0].fit(&full, SMALL * 0.85, room);
        short |= name != full;
        let number = number.map(|n| c.part.map_or(n.clone(), |k| format!("{n}, {k}/2")));
        if let Some(n) = number.filter(|n| name.chars().count() < n.len() + 4 && name != full) {
            name = n;
        }
        let (length, exact) = (t.length(c.to - c.from), t.cut(c.to - c.from));
        let (fits, exact_fits) = (s.faces[0].width(&length, SMALL) < b - a, s.faces[0].width(&exact, SMALL) < room);
        short |= !exact_fits;
        let how = match (c.turned, c.nested > 0.0) {
            (true, true) => ", end first, shares the cut before it",
            (true, false) => ", end first",
            (false, true) => ", shares the cut before it",
            (false, false) => "",
        };
        short |= !how.is_empty();
        list.push(format!("{full}: {exact}{how}"));
        let length = if exact_fits { exact } else { length };
        let page_y = y + 2.6;
        if name.chars().count() > 1 {
            s.page().text((a + b) / 2.0, page_y, SMALL * 0.85, name).anchor(Anchor::Middle);
        }
        if fits {
            s.page().text((a + b) / 2.0, page_y + 2.7, SMALL * 0.85, length).ink(Ink::Grey).anchor(Anchor::Middle);
        }
    }
    s.y = y + h + 1.0;
    if short {
        for line in whole(s, &list) {
            s.need(STEP);
            s.y += STEP;
            let (x, y) = (s.left(), s.y - 0.6);
            s.page().text(x, y, SMALL, line);
        }
    }
}

/// Items in lines as wide as the page, each item whole on one line.
fn whole(s: &Sheets, items: &[String]) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for item in items {
        match lines.last_mut() {
            Some(line) if s.faces[0].width(&format!("{line} · {item}"), SMALL) <= s.width() => {
                line.push_str(" · ");
                line.push_str(item);
            }
            _ => lines.push(item.clone()),
        }
    }
    lines.iter().flat_map(|l| s.faces[0].wrap(l, SMALL, s.width())).collect()
}

/// Room that a heading and the first rows of its table want together, mm.
const BEGUN: f64 = 32.0;

fn buy(s: &mut Sheets, r: &Review, t: &Text) {
    let currency = &r.shape.design.rack.currency;
    if !r.stock.purchases.is_empty() {
        s.need(BEGUN);
        s.heading(&format!("To buy; lengths in {}", t.unit_word()));
        let mut rows: Vec<Vec<String>> = r
            .stock
            .purchases
            .iter()
            .map(|p| {
                vec![
                    p.section.clone(),
                    p.supplier.clone().unwrap_or_default(),
                    t.length(p.length),
                    p.count.to_string(),
                    format!("{:.2}", p.price),
                    format!("{:.2}", p.cost),
                ]
            })
            .collect();
        // Whatever the total holds has a line of its own.
        let charge = |what: &str, by: &str, cost: f64| {
            let empty = String::new;
            vec![what.to_owned(), by.to_owned(), empty(), empty(), empty(), format!("{cost:.2}")]
        };
        for p in r.stock.purchases.iter().filter(|p| p.cut_fees > 0.0) {
            rows.push(charge(&format!("cuts of {}", p.section), p.supplier.as_deref().unwrap_or(""), p.cut_fees));
        }
        rows.extend(r.stock.deliveries.iter().map(|d| charge("delivery", &d.supplier, d.cost)));
        rows.push(vec![
            "total".into(),
            String::new(),
            String::new(),
            r.stock.purchases.iter().map(|p| p.count).sum::<usize>().to_string(),
            currency.clone(),
            format!("{:.2}", r.stock.cost),
        ]);
        let columns = [word("what"), word("from"), number("length"), number("count"), number("each"), number("cost")];
        s.table(&columns, &rows, BODY);
    }
    for p in &r.stock.problems {
        s.paragraph(&steel::problem_words(&r.shape.design, p, |m| t.length_unit(m)), BODY, Ink::Alarm);
    }
    today(s, r, t);
    remains(s, r, t);
}

/// How far the steel goes that is here today, and which stages of the build can be cut whole from it.
fn today(s: &mut Sheets, r: &Review, t: &Text) {
    let Some(reach) = &r.today else { return };
    s.need(BEGUN);
    s.heading("How far today's steel goes");
    let currency = &r.shape.design.rack.currency;
    for line in steel::reach_words(reach, &r.steel, currency, |m| t.length_unit(m)) {
        s.paragraph(&sentence(&line), BODY, Ink::Black);
    }
    if reach.stages.len() < 2 {
        return;
    }
    let piece = |end: usize| {
        let last = end.checked_sub(1).and_then(|k| reach.order.get(k)).map(|k| &r.steel.wanted[*k]);
        last.map_or("-".to_owned(), |p| format!("{} {}", p.order, p.name))
    };
    let rows: Vec<Vec<String>> = reach
        .stages
        .iter()
        .map(|x| vec![x.name.clone(), piece(x.end), if x.whole { "yes" } else { "no" }.to_owned()])
        .collect();
    s.table(&[word("stage"), word("up to piece"), word("whole from today's steel")], &rows, BODY);
}

/// Pieces of tube shorter than this are scrap, m, in a design in mm and in one in inches: too short to be held in a saw,
/// common practice, no source.
const SCRAP: [f64; 2] = [0.1, 4.0 * 0.0254];

/// What stands in the rack afterwards: whole sticks and offcuts.
fn remains(s: &mut Sheets, r: &Review, t: &Text) {
    let whole = r.stock.rack.iter().filter(|u| u.left > 0).map(|u| {
        let place = u.place.clone().unwrap_or_else(|| "rack".into());
        vec![u.section.clone(), t.length(u.length), u.left.to_string(), format!("whole, {place}")]
    });
    let scrap = SCRAP[usize::from(r.shape.design.units == design::Units::In)];
    let offcuts = r.stock.sections.iter().flat_map(|p| {
        let long = p.offcuts.iter().filter(|o| o.length >= scrap);
        long.map(|o| vec![p.section.clone(), t.length(o.length), "1".into(), format!("left of stick {}", o.mark)])
    });
    let rows: Vec<Vec<String>> = whole.chain(offcuts).collect();
    if rows.is_empty() {
        return;
    }
    s.need(BEGUN);
    s.heading(&format!("What remains; lengths in {}", t.unit_word()));
    s.table(&[word("section"), number("length"), number("count"), prose("where")], &rows, BODY);
    s.paragraph(&format!("Offcuts under {} are not listed.", t.length_unit(scrap)), SMALL, Ink::Grey);
}
