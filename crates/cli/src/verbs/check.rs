//! `check`: all findings, worst first.

use std::path::Path;
use std::process::ExitCode;

use cutting::Detail;
use review::text::counted;
use review::{Review, Text};
use serde_json::json;
use shape::{Finding, Level};
use strength::{Answer, Depth, Solved};

use crate::load;
use crate::table::sheet;

/// What these answers leave out.
pub const NOT_COVERED: &str = "Not covered: welds as made, joints outside the standard's range, fatigue, dynamic effects, rule books that the design does not name. Strength is of an \
ideal frame, rollover is quasi-static: no test.";

/// Prints findings; 1 if something must be mended.
pub fn run(path: &Path, as_json: bool, rules: bool) -> Result<ExitCode, String> {
    let (_, r) = load::review(path, Detail::SHEET, Depth::Full)?;
    let code = if r.must_mend() { ExitCode::from(1) } else { ExitCode::SUCCESS };
    if as_json {
        load::json(&json!({
            "units": "SI: m, kg, rad",
            "summary": review::summary(&r),
            "must_mend": r.must_mend(),
            "findings": r.findings,
            "rules": r.rules,
            "not_covered": NOT_COVERED,
        }))?;
        return Ok(code);
    }
    let t = Text::new(&r.shape.design);
    if rules {
        load::print(&all_rules(&r, &t));
        return Ok(code);
    }
    let s = review::summary(&r);
    let mut out = format!(
        "{}: {}, {} ({} bent), frame {} ({}), {} {}, steel to buy {}\n",
        s.name,
        counted(s.tubes, "tube"),
        counted(s.pieces, "piece"),
        s.bent,
        t.mass(s.frame_kg),
        s.frame_counts(),
        s.cut_counts(),
        t.mass(s.cut_kg),
        format!("{:.2} {}", s.cost, s.currency).trim_end()
    );
    for level in [Level::Mend, Level::Look, Level::NotChecked, Level::Note] {
        let list: Vec<&Finding> = r.findings.iter().filter(|f| f.level == level).collect();
        if list.is_empty() {
            continue;
        }
        out += &format!("\n{} ({})\n", heading(level), list.len());
        for f in list {
            out += &format!("  {}\n", f.what);
            if let Some(m) = t.measure(f) {
                out += &format!("    {m}\n");
            }
            if let Some(h) = &f.help {
                out += &format!("    {h}\n");
            }
        }
    }
    if !r.must_mend() {
        out += "\nNothing must be mended for the pieces to be cut as drawn.\n";
    }
    out += &loads(&r.strength);
    for told in &r.rules {
        if let Some(x) = &told.report {
            out += &format!("\n{}, {}: {}\n", x.set, x.edition, review::rules::summary(x));
        }
    }
    out += &format!("\n{NOT_COVERED}\n");
    load::print(&out);
    Ok(code)
}

/// Every rule of every set that the design names.
fn all_rules(r: &Review, t: &Text) -> String {
    if r.rules.is_empty() {
        return format!(
            "the design names no rule set: add [rules] with sets = [\"{}\"], or a file of your own (docs/rule-sets.md)\n\
             built in: {}\n",
            rules_example(),
            review::rules::built_in_names()
        );
    }
    let mut out = String::new();
    for told in r.rules.iter().filter(|x| x.report.is_none()) {
        out += &format!("{}\n", review::rules::caution(told));
    }
    for s in review::rules::sheets(&r.rules, t) {
        out += &sheet(&s, " ", WIDE);
    }
    out.trim_start().to_owned()
}

/// The first of the built-in sets, for an example.
fn rules_example() -> &'static str {
    rules::sets::BUILT_IN.first().map_or("", |s| s.0)
}

/// A column of words is broken at so many letters.
const WIDE: usize = 46;

/// How many loads were worked out, and which tube comes nearest to its limit.
fn loads(a: &Answer) -> String {
    let part = |c: &Solved| c.used.first().map_or(0.0, |u| u.stress.utilisation / c.wanted.utilisation);
    let told = || a.cases.iter().filter(|c| c.told() && !c.by_energy());
    let Some(most) = told().max_by(|a, b| part(a).total_cmp(&part(b))) else { return String::new() };
    let over = a.cases.iter().filter(|c| !c.over().is_empty()).count();
    let tube = most.used.first().map_or("-", |u| u.tube.as_str());
    format!(
        "\n{} worked out, {} over a limit; nearest to its limit of use: {tube} under {}, {:.1} % of it.\n",
        counted(a.cases.len(), "load"),
        if over == 0 { "none".to_owned() } else { over.to_string() },
        most.name,
        100.0 * part(most)
    )
}

fn heading(level: Level) -> &'static str {
    match level {
        Level::Mend => "to mend",
        Level::Look => "to look at",
        Level::NotChecked => "not checked",
        Level::Note => "to know",
    }
}
