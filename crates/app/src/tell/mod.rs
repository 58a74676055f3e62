//! The answers in words and tables, in the design's units.

mod build;
mod cutting;
mod jigs;
mod rollover;
mod shape;
mod stance;
mod stock;
mod strength;
mod ways_in;

use ::shape::{Finding, Level};
use geometry::DVec3;
use review::{Review, Text};

use crate::view::Standing;
use crate::wire::{Act, Cell, FindingText, Page, Row, SheetIs, Table, Word};

/// All answers there are.
pub fn pages(r: &Review, s: &Standing) -> Vec<Page> {
    let t = Text::new(&r.shape.design);
    let mut pages = vec![
        shape::page(r, &t),
        stance::page(r, &t),
        rollover::page(r, &t),
        strength::page(r, &t),
        cutting::page(r, &t),
        stock::page(r, &t),
    ];
    pages.extend(jigs::page(r, &t));
    // What takes too long to follow a trial stands as it was.
    if s.trial.is_none() {
        pages.extend(build::page(r, &s.sheet, s.before.as_ref(), &t));
    }
    // What is not laid says so itself, or stands as it was.
    let told = |p: &Page| p.word != Word::Build || s.sheet.is == SheetIs::Laid;
    for f in &r.findings {
        let Some(page) = pages.iter_mut().find(|p| named(p.word) == home(f.answer) && told(p)) else { continue };
        let found = finding(r, &t, page.word, f);
        page.findings.push(found);
    }
    for p in pages.iter_mut().filter(|p| told(p)) {
        p.lead = lead(p);
    }
    pages
}

/// The answer to [`Word::Build`] as it is now, for the time in which the next is worked out; `None` if nothing is laid.
pub fn built(r: &Review) -> Option<Page> {
    let t = Text::new(&r.shape.design);
    let mut page = build::laid(r, r.built.as_ref()?, &t);
    page.findings.extend(r.findings.iter().filter(|f| f.answer == "build").map(|f| finding(r, &t, Word::Build, f)));
    page.lead = lead(&page);
    Some(page)
}

/// The word under which an answer's findings stand: room and rule sets are of the frame itself.
fn home(answer: &str) -> &str {
    match answer {
        "room" | "rules" => "shape",
        own => own,
    }
}

/// A word as findings write it.
pub fn named(word: Word) -> &'static str {
    match word {
        Word::Shape => "shape",
        Word::Stance => "stance",
        Word::Rollover => "rollover",
        Word::Strength => "strength",
        Word::Cutting => "cutting",
        Word::Stock => "stock",
        Word::Jigs => "jigs",
        Word::Build => "build",
    }
}

fn level(l: Level) -> &'static str {
    match l {
        Level::Mend => "mend",
        Level::Look => "look",
        Level::NotChecked => "not-checked",
        Level::Note => "note",
    }
}

fn finding(r: &Review, t: &Text, word: Word, f: &Finding) -> FindingText {
    let source = &r.shape.design.source;
    FindingText {
        level: level(f.level).to_owned(),
        word,
        what: f.what.clone(),
        measure: t.measure(f),
        // Findings are written for the terminal, too.
        help: f.help.as_ref().map(|h| h.replace("`--collapse`", "the button below")),
        tubes: f.tubes.clone(),
        at: f.at.map(|p| p.to_array()),
        line: f.span.as_ref().map(|s| line(source, s.start)),
    }
}

/// The line of a byte in a text, from 1.
pub fn line(text: &str, at: usize) -> u32 {
    1 + text.as_bytes().iter().take(at).filter(|b| **b == b'\n').count() as u32
}

/// What is over, what to look at, what was not checked; and what the page had to say itself.
fn lead(p: &Page) -> String {
    let count = |l: &str| p.findings.iter().filter(|f| f.level == l).count();
    let parts: Vec<String> = [
        (count("mend"), "must be mended", "must be mended"),
        (count("look"), "is worth a look", "are worth a look"),
        (count("not-checked"), "was not checked", "were not checked"),
    ]
    .into_iter()
    .filter(|c| c.0 > 0)
    .map(|(n, one, more)| match n {
        1 => format!("one thing {one}"),
        n => format!("{n} things {more}"),
    })
    .collect();
    let mut first = if parts.is_empty() {
        "Nothing was found that must be mended or looked at.".to_owned()
    } else {
        let mut s = parts.join(", ");
        s.replace_range(..1, &s[..1].to_uppercase());
        s + "."
    };
    if !p.lead.is_empty() {
        first = format!("{first} {}", p.lead);
    }
    first
}

fn text(s: impl Into<String>) -> Cell {
    Cell::Text(s.into())
}

fn number(s: impl Into<String>) -> Cell {
    Cell::Number(minus(s.into()))
}

/// A number with the sign that print has; nothing is not less than nothing.
fn minus(s: String) -> String {
    match s.strip_prefix('-') {
        Some(rest) if !rest.starts_with(|c: char| c.is_ascii_digit()) => s,
        Some(rest) if !rest.contains(|c: char| ('1'..='9').contains(&c)) => rest.to_owned(),
        Some(rest) => format!("\u{2212}{rest}"),
        None => s,
    }
}

/// A number that is over its limit, or within.
fn held(s: impl Into<String>, over: bool) -> Cell {
    if over { Cell::Over(s.into()) } else { Cell::Number(s.into()) }
}

fn row(key: impl Into<String>, cells: Vec<Cell>) -> Row {
    Row { key: key.into(), cells, tubes: Vec::new(), at: None, act: None }
}

impl Row {
    fn tube(mut self, name: impl Into<String>) -> Row {
        self.tubes.push(name.into());
        self
    }

    fn tubes(mut self, names: impl IntoIterator<Item = String>) -> Row {
        self.tubes.extend(names);
        self
    }

    fn at(mut self, p: DVec3) -> Row {
        self.at = Some(p.to_array());
        self
    }

    fn act(mut self, act: Option<Act>) -> Row {
        self.act = act;
        self
    }
}

fn table(key: &str, title: impl Into<String>, columns: &[&str], rows: Vec<Row>) -> Table {
    Table {
        key: key.to_owned(),
        title: title.into(),
        note: String::new(),
        columns: columns.iter().map(|c| (*c).to_owned()).collect(),
        rows,
        folded: false,
    }
}

/// A sheet of an answer as a table.
fn of_sheet(s: review::jigs::Sheet) -> Table {
    let head: Vec<&str> = s.head.iter().map(String::as_str).collect();
    let rows = s.rows.into_iter().enumerate().map(|(k, (cells, tubes))| {
        let cells = cells.into_iter().enumerate();
        let cells = cells.map(|(c, x)| if s.numbers.contains(&c) { number(x) } else { text(x) }).collect();
        row(k.to_string(), cells).tubes(tubes)
    });
    table(s.id, s.title, &head, rows.collect()).note(s.note)
}

impl Table {
    fn folded(mut self) -> Table {
        self.folded = true;
        self
    }

    fn note(mut self, note: impl Into<String>) -> Table {
        self.note = note.into();
        self
    }
}

/// Only tables that say something.
fn filled(tables: Vec<Table>) -> Vec<Table> {
    tables.into_iter().filter(|t| !t.rows.is_empty()).collect()
}

fn page(word: Word, question: &str, lead: String, tables: Vec<Table>, cautions: &[&str]) -> Page {
    Page {
        word,
        question: question.to_owned(),
        lead,
        findings: Vec::new(),
        tables: filled(tables),
        cautions: cautions.iter().map(|c| (*c).to_owned()).collect(),
        method: named(word).to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_finding_has_a_page() {
        // A person outside the frame, over a rule set that is not there.
        let text =
            include_str!("../../../../examples/wren.toml").replace("[limits]", "[rules]\nsets = [\"none\"]\n[limits]");
        let mut design = design::read(&text).expect("a design").design;
        design.occupants[0].hip = design::Place::At(::geometry::DVec3::new(0.0, 3.0, 3.0));
        let given = review::Given { rules: vec![("none".into(), Err("it is not there".into()))], ..Default::default() };
        let made = review::Made::default();
        let design = std::sync::Arc::new(design);
        let r = review::with_given(design, &given, &made, ::cutting::Detail::LIVE, ::strength::Depth::Live)
            .expect("answers");
        for answer in ["room", "rules"] {
            assert!(r.findings.iter().any(|f| f.answer == answer), "{answer}");
        }
        let words = [
            Word::Shape,
            Word::Stance,
            Word::Rollover,
            Word::Strength,
            Word::Cutting,
            Word::Stock,
            Word::Jigs,
            Word::Build,
        ];
        for f in &r.findings {
            assert!(words.iter().any(|w| named(*w) == home(f.answer)), "{}", f.answer);
        }
    }
}
