//! What there is to say of the tubes' welded ends.

use std::collections::BTreeMap;

use design::Units;
use shape::{Finding, Level, Shape, Value};

use crate::answer::{Answer, Solved};
use crate::findings::{names, new};
use crate::joints::{NotChecked, say};
use crate::welded::{Loaded, Welded};

/// Where the limit of a joint's use stands.
const LIMIT: &str = "EN 1993-1-8, 7.2.1 (from memory)";

const COVERED: &str = "docs/methods/joints.md has what is covered; a licensed engineer can look at the rest";

/// Joints that carry too little, and those that were not checked.
pub(crate) fn all(shape: &Shape, answer: &Answer, out: &mut Vec<Finding>) {
    let told = |c: &&Solved| c.told();
    let cases: Vec<&Solved> = answer.cases.iter().filter(told).collect();
    if cases.is_empty() || answer.joints.is_empty() {
        return;
    }
    for c in &cases {
        out.extend(over(answer, c));
    }
    out.extend(not_checked(shape.design.units, answer, &cases));
}

fn under<'a>(w: &'a Welded, case: &Solved) -> Option<&'a Loaded> {
    w.loads.iter().find(|l| l.load == case.name)
}

/// `start of post at foot`.
fn place(w: &Welded) -> String {
    format!("{} of {} at {}", w.end, w.tube, w.joint)
}

/// One finding for a case under which joints carry too little: the worst, and who else.
fn over(answer: &Answer, case: &Solved) -> Option<Finding> {
    let mut all: Vec<(&Welded, &Loaded, f64)> = answer
        .joints
        .iter()
        .filter_map(|w| under(w, case).and_then(|l| Some((w, l, l.used()?.0))))
        .filter(|x| x.2 > 1.0)
        .collect();
    all.sort_by(|a, b| b.2.total_cmp(&a.2));
    let &(w, l, used) = all.first()?;
    let others: Vec<String> = all[1..].iter().map(|x| place(x.0)).collect();
    let others: Vec<&str> = others.iter().map(String::as_str).collect();
    let rest = if others.is_empty() { String::new() } else { format!("; over it too: {}", names(&others)) };
    let chord = w.chord.as_deref().unwrap_or_default();
    let how = l.checked.as_ref().and_then(|c| c.worst()).map_or("", |p| p.governing.mode.words());
    let what = format!(
        "load {}: the joint of {} on {chord} is over its limit, by {how} for the most part{rest}",
        case.name,
        place(w)
    );
    let mut tubes: Vec<String> = all.iter().map(|x| x.0.tube.clone()).collect();
    tubes.dedup();
    Some(
        new(Level::Mend, what)
            .tubes(tubes)
            .at(w.at)
            .measured(Value::Part(used))
            .limit(Value::Part(1.0), LIMIT)
            .help(format!("a thicker wall for {chord}, a wider {}, or a tube that takes its load", w.tube)),
    )
}

/// Why ends were not checked: one finding for each kind of reason.
fn not_checked(units: Units, answer: &Answer, cases: &[&Solved]) -> Vec<Finding> {
    // Kind of reason: how many ends, the first of them, its reason.
    let mut kinds: BTreeMap<&str, (usize, &Welded, &NotChecked)> = BTreeMap::new();
    let mut bent: Vec<&Welded> = Vec::new();
    for w in &answer.joints {
        let loaded: Vec<&Loaded> = cases.iter().filter_map(|c| under(w, c)).collect();
        let mut reasons: Vec<&NotChecked> = w.not_checked.iter().collect();
        reasons.extend(loaded.iter().filter_map(|l| l.not_checked.as_ref()));
        let mut seen: Vec<&str> = Vec::new();
        for e in reasons {
            if !seen.contains(&e.kind) {
                seen.push(e.kind);
                let entry = kinds.entry(e.kind).or_insert((0, w, e));
                entry.0 += 1;
                if e.beyond() > entry.2.beyond() {
                    (entry.1, entry.2) = (w, e);
                }
            }
        }
        if loaded.iter().any(|l| l.used().is_some_and(|u| !u.1)) {
            bent.push(w);
        }
    }
    let whole = answer.joints.len();
    let ends = |n: usize| format!("{n} of {whole} tube ends {}", if n == 1 { "is" } else { "are" });
    let mut out: Vec<Finding> = kinds
        .into_iter()
        .map(|(kind, (n, w, e))| {
            let such = if n == 1 { "" } else { "such as " };
            let what = format!(
                "welded joints: {} not checked ({kind}), {such}{}: {} ({})",
                ends(n),
                place(w),
                say(e, units),
                e.clause
            );
            let help = if kind == "wall" && e.range.is_some_and(|r| r.least.is_some_and(|l| r.value < l)) {
                "newer editions cover thinner walls: say so with `least_wall` in [strength] if you keep to one"
            } else {
                COVERED
            };
            new(Level::NotChecked, what).at(w.at).help(help)
        })
        .collect();
    if let Some(w) = bent.first() {
        let what = format!(
            "welded joints: {} checked by the force alone, no formula covers the moments, such as {}",
            ends(bent.len()),
            place(w)
        );
        out.push(new(Level::NotChecked, what).at(w.at).help(COVERED));
    }
    out
}
