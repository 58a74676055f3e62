//! Where are we? What was measured on the car, and what it makes of the rest.

use design::Design;
use design::measured::Tool;
use fit::Fate;
use review::built::{self, Built};
use review::{Review, Text};

use super::{number, row, table, text};
use crate::wire::{Act, Cell, FindingText, Page, Row, SheetHead, SheetIs, Word};

const QUESTION: &str = "Where are we?";

/// The page; none while the first is being worked out.
pub fn page(r: &Review, sheet: &SheetHead, before: Option<&Page>, t: &Text) -> Option<Page> {
    match sheet.is {
        SheetIs::None => {
            let lead = "Nothing was measured on the car yet. Once something is, this page says where every point really is, what that \
                        makes of the pieces still to be cut, and which distance to take next.";
            Some(super::page(Word::Build, QUESTION, lead.to_owned(), Vec::new(), &[]))
        }
        SheetIs::Laying => before.cloned(),
        SheetIs::Laid => r.built.as_ref().map(|b| laid(r, b, t)),
        SheetIs::Unreadable => {
            let lead = "Nothing of what was measured is used until the sheet can be read.";
            let mut page = super::page(Word::Build, QUESTION, lead.to_owned(), Vec::new(), &[]);
            page.findings = sheet.problems.iter().map(|p| unread(&sheet.file, p)).collect();
            Some(page)
        }
    }
}

fn unread(file: &str, p: &crate::wire::ProblemText) -> FindingText {
    let line = p.line.map_or(String::new(), |l| format!(", line {l}"));
    FindingText {
        level: "mend".to_owned(),
        word: Word::Build,
        what: format!("{file}{line}: {}", p.what),
        measure: (!p.text.is_empty()).then(|| format!("`{}`", p.text)),
        help: p.help.clone().or_else(|| Some("mend it in an editor".to_owned())),
        tubes: Vec::new(),
        at: None,
        line: None,
    }
}

/// The page of a sheet that is laid, without its findings.
pub fn laid(r: &Review, b: &Built, t: &Text) -> Page {
    // Readings are told as the sheet has them, which may be in another unit than the design.
    let read = match b.measured.units == r.shape.design.units {
        true => Text::new(&r.shape.design),
        false => Text::new(&Design { units: b.measured.units, ..(*r.shape.design).clone() }),
    };
    let sheets = built::sheets(r, b, t).into_iter().map(|s| {
        let head: Vec<&str> = s.head.iter().map(String::as_str).collect();
        let rows = s.rows.into_iter().enumerate().map(|(k, (cells, tubes))| {
            let cells = match s.id {
                "readings" => with_units(cells, b, k, &read),
                "changes" => was_now(cells),
                _ => cells,
            };
            let cells: Vec<Cell> = cells
                .into_iter()
                .enumerate()
                .map(|(c, x)| match x.as_str() {
                    "over" | "wrong, left out" => Cell::Over(x),
                    "not checked" | "too near to tell" | "nothing checks it" => Cell::NotChecked(x),
                    _ if s.numbers.contains(&c) => number(x),
                    _ => text(x),
                })
                .collect();
            let row = row(k.to_string(), cells).tubes(tubes);
            match s.id {
                "readings" => reading(row, b, k),
                "off" => match b.fit.places.get(k) {
                    Some(p) => row.at(p.at),
                    None => row,
                },
                _ => row,
            }
        });
        table(s.id, s.title, &head, rows.collect()).note(s.note)
    });
    let lead = if b.fit.readings.is_empty() {
        "The sheet is begun; nothing is read from it yet.".to_owned()
    } else {
        built::lead(b)
    };
    super::page(Word::Build, QUESTION, lead, sheets.collect(), &[built::CAUTION])
}

/// A reading with its full kind, and its figures with the sheet's unit.
fn with_units(mut cells: Vec<String>, b: &Built, k: usize, read: &Text) -> Vec<String> {
    let Some((x, entry)) = b.fit.readings.get(k).zip(b.measured.readings.get(k)) else { return cells };
    let show = |v: f64| match () {
        () if !v.is_finite() => "-".to_owned(),
        () if x.tool.is_angle() => format!("{:.2}°", v.to_degrees()),
        () => read.fine(v),
    };
    let left = x.adjusted.map_or(f64::NAN, |a| x.reads - a);
    let figures = [x.reads, x.designed, x.adjusted.unwrap_or(f64::NAN), left].map(show);
    if let [title, _, reads, designed, fits, off, ..] = &mut cells[..] {
        *title = format!("{} {}", kind(entry.tool), entry.name);
        [*reads, *designed, *fits, *off] = figures;
    }
    cells
}

/// A kind of reading, as the buttons that take it say.
fn kind(tool: Tool) -> &'static str {
    match tool {
        Tool::Tape => "tape",
        Tool::LevelTape => "level tape",
        Tool::Height => "height",
        Tool::Rise => "rise",
        Tool::PlumbX => "plumb, fore-aft",
        Tool::PlumbY => "plumb, sideways",
        Tool::String => "string",
        Tool::Finder => "angle finder",
        Tool::Bevel => "bevel gauge",
    }
}

/// A bend of a piece that changes stands under the columns of its ends: said in one sentence instead.
fn was_now(mut cells: Vec<String>) -> Vec<String> {
    if let [piece, what, .., was, now] = &mut cells[..]
        && piece.is_empty()
    {
        *what = format!("{what}: was {was}; now {}", now.trim_start_matches("→ "));
        was.clear();
        now.clear();
    }
    cells
}

/// A reading's row, with what can be done with it.
fn reading(row: Row, b: &Built, k: usize) -> Row {
    let Some((x, entry)) = b.fit.readings.get(k).zip(b.measured.readings.get(k)) else { return row };
    let (table, name) = (entry.tool.table().to_owned(), entry.name.clone());
    let used = x.fate != Fate::LeftOut;
    Row { key: x.title.clone(), ..row.act(Some(Act::Reading { table, name, used })) }
}
