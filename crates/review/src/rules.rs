//! Rule sets that the design names, held against it: findings and tables that terminal, page and packet share. Method:
//! `docs/methods/rules.md`.

use ::rules::{Answer, Facts, Figure, Held, LoadFact, Report, State};
use design::rules::{Known, RuleSet};
use serde::Serialize;
use shape::{Finding, Level, Value};

use crate::jigs::Sheet;
use crate::text::counted;
use crate::{Review, Text};

/// A set by the name that the design gives it, or why there is none.
pub type Named = (String, Result<RuleSet, String>);

/// What came of one.
#[derive(Clone, Debug, Serialize)]
pub struct Told {
    /// The name that the design gives it.
    pub set: String,
    /// Its report.
    pub report: Option<Report>,
    /// Why there is none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

/// Holds all sets against a review.
pub fn hold(r: &Review, sets: &[Named]) -> Vec<Told> {
    if sets.is_empty() {
        return Vec::new();
    }
    let facts = Facts { room: Some(&r.room), loads: loads(r), mass: mass(r) };
    let one = |(name, set): &Named| match set {
        Ok(set) => Told { set: name.clone(), report: Some(::rules::report(&r.shape, set, &facts)), why: None },
        Err(why) => Told { set: name.clone(), report: None, why: Some(why.clone()) },
    };
    sets.iter().map(one).collect()
}

/// What loads of published sets go with.
fn mass(r: &Review) -> f64 {
    r.shape.design.strength.mass.unwrap_or(r.laden.mass)
}

fn loads(r: &Review) -> Vec<LoadFact> {
    let one = |c: &strength::Solved| {
        let crushed = c.crushed.as_ref();
        let last = |x: &strength::Crushed| x.curve.last().map_or(0.0, |p| p[2]);
        LoadFact {
            name: c.name.clone(),
            moved: Some(c.moved.by.length()),
            worst: c.used.first().map(|u| (u.stress.utilisation, u.tube.clone())),
            buckling: c.buckling.as_ref().map(|b| b.factor),
            force: Some(c.acts.iter().map(|a| a.force).sum::<geometry::DVec3>().length()),
            energy: crushed.filter(|x| x.whole).map(|x| x.entry.as_ref().map_or_else(|| last(x), |e| e.work)),
            energy_at_least: c.published.as_ref().and_then(|p| p.elastic),
        }
    };
    r.strength.cases.iter().map(one).collect()
}

/// A figure with its unit.
pub fn figure(f: Figure, t: &Text) -> String {
    let inches = t.unit() == "in";
    let trimmed = |v: f64, places: usize| {
        let text = format!("{v:.places$}");
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
    };
    match f {
        Figure::Length(v) => t.shown(Value::Length(v)),
        Figure::Angle(v) => t.shown(Value::Angle(v)),
        Figure::Factor(v) => trimmed(v, 3),
        Figure::Count(n) => n.to_string(),
        Figure::Energy(v) => t.shown(Value::Energy(v)),
        Figure::Force(v) => format!("{} {}", t.force(v), t.force_unit()),
        Figure::Stress(v) if inches => format!("{} ksi", trimmed(v / 6.894_757e6, 1)),
        Figure::Stress(v) => format!("{} MPa", trimmed(v / 1e6, 1)),
        Figure::Area(v) if inches => format!("{} in²", trimmed(v / 0.0254f64.powi(2), 4)),
        Figure::Area(v) => format!("{} mm²", trimmed(v * 1e6, 1)),
        Figure::SecondMoment(v) if inches => format!("{} in⁴", trimmed(v / 0.0254f64.powi(4), 5)),
        Figure::SecondMoment(v) => format!("{} mm⁴", trimmed(v * 1e12, 1)),
    }
}

/// How a figure is known, in words for the one who reads it.
pub fn known(k: Known) -> &'static str {
    match k {
        Known::Text => "read in the text",
        Known::SecondHand => "second hand: a quotation of it was read",
        Known::Memory => "from memory: a hint, no more",
        Known::Own => "your own rule",
    }
}

/// What is said of a set before anything else.
pub fn caution(t: &Told) -> String {
    match (&t.report, &t.why) {
        (Some(r), _) => {
            let note = r.note.as_ref().map_or(String::new(), |n| format!(" {n}"));
            format!("{}{note}", r.caution())
        }
        (None, why) => format!("{} was not used: {}", t.set, why.as_deref().unwrap_or("it is not there")),
    }
}

/// How many rules are how, in words.
pub fn summary(r: &Report) -> String {
    let count = |s: State| r.answers.iter().filter(|a| a.state == s).count();
    format!("{} over, {} within, {} not checked", count(State::Over), count(State::Within), count(State::NotChecked))
}

/// How a rule is met, in the tool's words; what is from memory is never more than a hint.
pub fn state(a: &Answer) -> &'static str {
    match (a.state, a.known) {
        (State::Within, Known::Memory) => "hint: within",
        (State::Over, Known::Memory) => "hint: over",
        (State::Within, _) => "within",
        (State::Over, _) => "over",
        (State::NotChecked, _) => "not checked",
    }
}

/// What decides of a rule: the one that is over by most as a part of its limit, else what is nearest to it.
fn decides(a: &Answer) -> Option<&Held> {
    let part = |h: &Held| match (h.measured, h.limit) {
        (Some(m), Some(l)) => {
            let (m, l) = (m.number(), l.number());
            // Of a limit of nothing what counts is how far it is passed.
            let by = if h.largest { m - l } else { l - m };
            by / l.abs().max(1e-3)
        }
        _ => f64::NEG_INFINITY,
    };
    a.held.iter().filter(|h| h.state == a.state).max_by(|x, y| part(x).total_cmp(&part(y)))
}

/// Names in a line: all up to four, else the first three and how many more.
fn few(names: &[String]) -> String {
    if names.len() <= 4 {
        return names.join(", ");
    }
    format!("{} and {} more", names[..3].join(", "), names.len() - 3)
}

/// What was measured and held against what.
fn measured(h: &Held, t: &Text) -> [String; 2] {
    let limit = h
        .limit
        .map_or(String::new(), |l| format!("{} {}", if h.largest { "at most" } else { "at least" }, figure(l, t)));
    [h.measured.map_or_else(|| "-".to_owned(), |m| figure(m, t)), limit]
}

/// Rules that are over, one each; and one for all that could not be measured.
pub(crate) fn findings(r: &Review, all: &[Told], t: &Text) -> Vec<Finding> {
    let mut out = Vec::new();
    for told in all {
        let Some(report) = &told.report else {
            let what = format!("rules {} were not used: {}", told.set, told.why.as_deref().unwrap_or("not there"));
            let help = match told.set.ends_with(".toml") {
                true => "a set is used whole or not at all: docs/rule-sets.md explains its file".to_owned(),
                false => {
                    format!("write the name of a built-in set ({}), or a file beside the design", built_in_names())
                }
            };
            out.push(Finding::new(Level::Mend, "rules", what).help(help));
            continue;
        };
        for a in report.answers.iter().filter(|a| a.state == State::Over) {
            let Some(h) = decides(a) else { continue };
            let over: Vec<&Held> = a.held.iter().filter(|h| h.state == State::Over).collect();
            let mut tubes: Vec<String> = Vec::new();
            for name in over.iter().flat_map(|h| &h.of) {
                if r.shape.find(name).is_some() && !tubes.contains(name) {
                    tubes.push(name.clone());
                }
            }
            let [m, l] = measured(h, t);
            let level = match a.known {
                Known::Memory => Level::Note,
                Known::SecondHand => Level::Look,
                Known::Text | Known::Own => Level::Mend,
            };
            let hint = if a.known == Known::Memory { "hint: " } else { "" };
            let of = few(&h.of);
            let more = if over.len() > 1 { format!(" ({} in all)", over.len()) } else { String::new() };
            let what = format!("{hint}{}: {}: {} of {of} {m}, {l}{more}", a.clause, a.says, h.what);
            let help = format!(
                "{}, {}; {}. The current text of {} prevails",
                report.set,
                report.edition,
                known(a.known),
                report.whose
            );
            let mut f = Finding::new(level, "rules", what).tubes(tubes).help(help);
            f.at = h.at;
            out.push(f);
        }
        let open: Vec<&Answer> = report.answers.iter().filter(|a| a.state == State::NotChecked).collect();
        if let Some(first) = open.first() {
            let why = decides(first).and_then(|h| h.why.clone()).unwrap_or_default();
            let what = format!(
                "{}: {} of {} not checked, such as {}: {why}",
                report.set,
                open.len(),
                counted(report.answers.len(), "rule"),
                first.clause
            );
            out.push(
                Finding::new(Level::NotChecked, "rules", what)
                    .help("`tubewright check FILE --rules` lists all of them"),
            );
        }
    }
    out
}

/// Names of the built-in sets.
pub fn built_in_names() -> String {
    ::rules::sets::BUILT_IN.iter().map(|s| s.0).collect::<Vec<_>>().join(", ")
}

/// A table for each set: every rule with what decides of it.
pub fn sheets(all: &[Told], t: &Text) -> Vec<Sheet> {
    let mut out = Vec::new();
    for told in all {
        let Some(report) = &told.report else { continue };
        let rows = report.answers.iter().map(|a| {
            let h = decides(a);
            let [m, l] = h.map_or_else(|| ["-".to_owned(), String::new()], |h| measured(h, t));
            let of = h.map_or(String::new(), |h| match (&h.why, h.of.is_empty()) {
                (Some(why), true) => why.clone(),
                (Some(why), false) => format!("{}: {why}", few(&h.of)),
                (None, _) => {
                    let more = a.held.iter().filter(|x| x.state == a.state).count();
                    let more = if more > 1 { format!("; {more} alike") } else { String::new() };
                    format!("{} of {}{more}", h.what, few(&h.of))
                }
            });
            let cells =
                vec![a.clause.clone(), a.says.clone(), state(a).to_owned(), m, l, of, a.known.word().to_owned()];
            let tubes = h.map_or_else(Vec::new, |h| h.of.clone());
            (cells, tubes)
        });
        out.push(Sheet {
            id: "rules",
            title: report.set.clone(),
            head: ["clause", "wants", "is", "measured", "limit", "what decides", "known from"]
                .map(str::to_owned)
                .to_vec(),
            numbers: vec![3],
            rows: rows.collect(),
            note: format!("{}. {}", summary(report), caution(told)),
        });
    }
    out
}
