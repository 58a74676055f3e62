//! What there is to say of strength.

use std::collections::BTreeMap;

use design::units::{Quantity, show};
use shape::finding::more;
use shape::{Finding, Level, Shape, Value};

use crate::advice::Brace;
use crate::answer::{Answer, Depth, Solved};
use crate::crush::Crushed;

const ANSWER: &str = "strength";

/// A case of which more than this is left over of its balance is not told: linear answers of the demos leave 1e-13, and six
/// digits fewer than a stress needs say that the stiffnesses are too far apart.
pub(crate) const UNBALANCED: f64 = 1e-6;

/// How many names stand in a sentence before the rest are counted.
const NAMED: usize = 3;

pub(crate) fn new(level: Level, what: impl Into<String>) -> Finding {
    Finding::new(level, ANSWER, what)
}

/// `a`, `a and b`, `a, b, c and 7 more`.
pub(crate) fn names(list: &[&str]) -> String {
    match list {
        [] => String::new(),
        [one] => (*one).to_owned(),
        _ if list.len() > NAMED + 1 => format!("{} and {} more", list[..NAMED].join(", "), list.len() - NAMED),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

fn loads(list: &[&str]) -> String {
    format!("{} {}", if list.len() == 1 { "load" } else { "loads" }, names(list))
}

fn are(list: &[&str]) -> &'static str {
    if list.len() == 1 { "is" } else { "are" }
}

/// A frame without tubes that stay.
pub(crate) fn no_tubes(shape: &Shape, answer: &mut Answer) {
    if !shape.design.loads.is_empty() {
        let what = "strength is not checked: there is no tube that stays";
        answer.findings.push(new(Level::NotChecked, what).help("draw the frame's tubes"));
    }
}

/// A frame that can't be calculated with; cases tell it themselves.
pub(crate) fn unusable(shape: &Shape, why: &str, answer: &mut Answer) {
    if shape.design.loads.is_empty() {
        answer.findings.push(new(Level::NotChecked, format!("strength is not checked: {why}")));
    }
}

/// A rig that does not hold the frame.
pub(crate) fn no_rig(why: &str, help: &str, answer: &mut Answer) {
    let what = format!("stiffness in torsion and bending is not checked: on its rig {why}");
    answer.findings.push(new(Level::NotChecked, what).help(help));
}

/// No four places for the rig.
pub(crate) fn no_places(shape: &Shape, answer: &mut Answer) {
    let wheels = shape.bodies.iter().filter(|b| b.kind == shape::bodies::BodyKind::Wheel).count();
    let (level, what) = match (&shape.design.strength.rig, wheels) {
        (Some(_), _) => (
            Level::Mend,
            "stiffness in torsion and bending is not checked: `strength.rig` needs two places well apart across the car at the \
             front and two at the rear, on tubes that stay",
        ),
        // Without wheels it is no car.
        (None, 0) => return,
        (None, _) => (
            Level::NotChecked,
            "stiffness in torsion and bending is not checked: no four places hold it on a rig, as under four wheels with mounts",
        ),
    };
    let help = "name them: `rig = { front = [\"A\", \"A~\"], rear = [\"B\", \"B~\"] }` under [strength]";
    answer.findings.push(new(level, what).help(help));
}

/// A frame in pieces does not vibrate as one.
pub(crate) fn loose(pieces: usize, answer: &mut Answer) {
    let what = format!("natural frequencies are not checked: the frame is in {pieces} pieces that nothing joins");
    answer.findings.push(new(Level::NotChecked, what).help("join them, or see `shape` for ends that meet nothing"));
}

/// More cases than are looked at deeply.
pub(crate) fn too_many(out: &mut Vec<Finding>, there: usize, deep: usize) {
    let what = format!(
        "of {there} loads only the {deep} with the most used tubes were looked at for buckling and advice; it is not \
         checked for the others"
    );
    out.push(new(Level::NotChecked, what).help("ask for one of them by name: `tubewright strength FILE --load NAME`"));
}

/// Too large a frame for advice.
pub(crate) fn no_advice(nodes: usize, ways: usize, out: &mut Vec<Finding>) {
    let what = format!(
        "which tube would help and which is missed least was not looked at: {nodes} joints held in {ways} ways take too much \
         memory"
    );
    out.push(new(Level::NotChecked, what).help("ask for one load by name: `tubewright strength FILE --load NAME`"));
}

/// Everything about cases worked out and not worked out.
pub(crate) fn all(shape: &Shape, answer: &mut Answer) {
    let mut out = Vec::new();
    let d = &shape.design;
    if d.loads.is_empty() && answer.cases.is_empty() && answer.without.is_empty() {
        let what = "no load is given: whether the frame is strong enough is not checked";
        out.push(new(Level::Note, what).help("give loads: see [load.NAME] in docs/design-file.md"));
    }
    without(answer, &mut out);
    for c in &answer.cases {
        case(shape, answer, c, &mut out);
    }
    crate::weld_findings::all(shape, answer, &mut out);
    not_run(shape, answer, &mut out);
    answer.findings.extend(out);
}

/// Cases that could not be worked out: one finding for each reason.
fn without(answer: &Answer, out: &mut Vec<Finding>) {
    let mut reasons: BTreeMap<(&str, &str), Vec<&str>> = BTreeMap::new();
    for n in &answer.without {
        reasons.entry((&n.why, &n.help)).or_default().push(&n.name);
    }
    for ((why, help), list) in reasons {
        out.push(new(Level::NotChecked, format!("{} {} not checked: {why}", loads(&list), are(&list))).help(help));
    }
}

/// What would help against the use of a case: the brace that lowers it most for its mass, if the case is the worst of all.
fn reliever(answer: &Answer, case: &str) -> Option<String> {
    let a = answer.advice.as_ref()?;
    let now = a.now.as_ref().filter(|n| n.load == case)?;
    let worth = |b: &Brace| b.used.map_or(f64::NEG_INFINITY, |u| (now.part - u) / b.mass);
    let best = a.braces.iter().max_by(|x, y| worth(x).total_cmp(&worth(y))).filter(|b| worth(b) > 0.0)?;
    let [from, to] = &best.joins;
    let twin = if best.twin { " with its twin" } else { "" };
    let then = 100.0 * best.used.unwrap_or(now.part);
    Some(format!(
        "a brace of {} from {from} to {to}{twin} lowers the largest use most for its mass, to {then:.0} % of its limit",
        a.section
    ))
}

/// What would help against a case: the brace that gains most for its mass.
fn brace(answer: &Answer, case: &str) -> Option<String> {
    let a = answer.advice.as_ref()?;
    let k = a.aims.iter().position(|n| n == case)?;
    let best = a.braces.iter().max_by(|x, y| (x.gains[k] / x.mass).total_cmp(&(y.gains[k] / y.mass)))?;
    (best.gains[k] > 0.0).then(|| {
        let [from, to] = &best.joins;
        let twin = if best.twin { " with its twin" } else { "" };
        format!("a brace of {} from {from} to {to}{twin} gains most stiffness against it for its mass", a.section)
    })
}

fn help(first: &str, answer: &Answer, case: &str) -> String {
    brace(answer, case).map_or(first.to_owned(), |b| format!("{first}; {b}"))
}

/// Where a limit of a case comes from: a key, or the clause.
fn limit(c: &Solved, key: &str) -> String {
    if c.source == format!("load.{}", c.name) { format!("{}.{key}", c.source) } else { c.source.clone() }
}

/// One case against what it must keep to.
fn case(shape: &Shape, answer: &Answer, c: &Solved, out: &mut Vec<Finding>) {
    let units = shape.design.units;
    let length = |m: f64| length(m, units);
    // A residual that is no number is none that is small.
    if !c.told() {
        let what = format!(
            "load {} is not checked: its answer leaves {:.0e} of the largest load out of balance",
            c.name, c.residual
        );
        let help = "look for tubes that are far thinner, shorter or softer than those they are welded to";
        out.push(new(Level::NotChecked, what).help(help));
        return;
    }
    if !c.lifted.is_empty() {
        let list: Vec<&str> = c.lifted.iter().map(String::as_str).collect();
        let what = format!("load {}: {} {} off the ground, as a tyre does not pull", c.name, names(&list), are(&list));
        out.push(new(Level::Note, what).help("the others carry it; see `stance` for where it tips"));
    }
    let over: Vec<_> = c.used.iter().take_while(|u| u.stress.utilisation > c.wanted.utilisation).collect();
    if c.published.as_ref().is_some_and(|p| p.energy.is_some()) {
        taken_up(c, out);
    } else if let Some(u) = over.first() {
        let others: Vec<&str> = over[1..].iter().map(|u| u.tube.as_str()).collect();
        let rest = if others.is_empty() { String::new() } else { format!("; over it too: {}", names(&others)) };
        let what = format!(
            "load {}: the use of {} is over its limit, {} from its start{rest}",
            c.name,
            u.tube,
            length(u.station)
        );
        let first = format!("a larger or thicker section for {}, or a tube that takes its load", u.tube);
        out.push(
            new(Level::Mend, what)
                .tubes(over.iter().map(|u| u.tube.clone()))
                .at(u.at)
                .measured(Value::Part(u.stress.utilisation))
                .limit(Value::Part(c.wanted.utilisation), limit(c, "use"))
                .help(
                    reliever(answer, &c.name)
                        .map_or_else(|| help(&first, answer, &c.name), |b| format!("{first}; {b}")),
                ),
        );
    }
    let way = c.moved.by.length();
    if let Some(most) = c.wanted.most.filter(|m| more(way, *m)) {
        let what = format!("load {}: {} moves over its limit", c.name, c.moved.name);
        out.push(
            new(Level::Mend, what)
                .at(c.moved.at)
                .measured(Value::Length(way))
                .limit(Value::Length(most), limit(c, "most"))
                .help(help("a stiffer way from there to what is held", answer, &c.name)),
        );
    }
    if let Some(b) = c.buckling.as_ref().filter(|b| b.factor < c.wanted.buckling) {
        let (tube, share) = &b.tube;
        let what = format!(
            "load {}: it buckles under its limit, with {:.0} % of the bending in {tube}",
            c.name,
            100.0 * share
        );
        let first = format!("a larger section for {tube}, or a brace that halves its length");
        out.push(
            new(Level::Mend, what)
                .tubes([tube.clone()])
                .measured(Value::Factor(b.factor))
                .limit(Value::Factor(c.wanted.buckling), limit(c, "buckling"))
                .help(first),
        );
    }
    if let Some(x) = &c.crushed {
        crushed(c, x, &length, out);
    }
}

/// A case that asks for energy: it may yield, so the linear answer says only how far it comes until then.
fn taken_up(c: &Solved, out: &mut Vec<Finding>) {
    let Some((p, wanted)) = c.published.as_ref().and_then(|p| Some((p, p.energy?))) else { return };
    let energy = |what: String, level, measured: f64| {
        new(level, what).measured(Value::Energy(measured)).limit(Value::Energy(wanted), p.clause)
    };
    match &c.crushed {
        None => {
            let elastic = p.elastic.unwrap_or(0.0);
            if elastic < wanted {
                let what = format!(
                    "load {}: whether it takes up its energy is not answered without `--collapse`; until the first tube yields \
                     it takes up a part",
                    c.name
                );
                out.push(
                    energy(what, Level::NotChecked, elastic).help("`--collapse` works it out, which may take a minute"),
                );
            }
        }
        Some(x) => {
            let Some((_, at)) = x.energy else { return };
            let work = x.curve.last().map_or(0.0, |p| p[2]);
            if at.is_none() && x.whole && !x.rising {
                let what = format!("load {} pushed past yielding does not take up its energy", c.name);
                let help = "larger sections or braces where the first hinges come";
                out.push(energy(what, Level::Mend, work).help(help));
            } else if at.is_none() {
                let what = format!("load {} has not taken up its energy as far as it was followed", c.name);
                out.push(
                    energy(what, Level::NotChecked, work)
                        .help("what comes after is not known: ask a licensed engineer"),
                );
            }
        }
    }
}

/// A length to a tenth of a millimetre or a hundredth of an inch: messages name places to look at.
pub(crate) fn length(m: f64, units: design::Units) -> String {
    let step = if units == design::Units::In { 2.54e-4 } else { 1e-4 };
    show((m / step).round() * step, Quantity::Length, units)
}

/// A case pushed past yielding.
fn crushed(c: &Solved, x: &Crushed, length: &dyn Fn(f64) -> String, out: &mut Vec<Finding>) {
    let gone = x.curve.last().map_or(0.0, |p| p[0]);
    for (tube, slender) in &x.slender {
        let what = format!(
            "load {} pushed past yielding: a hinge comes in {tube}, whose wall is thin enough to dent before it has turned far",
            c.name
        );
        let f = new(Level::NotChecked, what).tubes([tube.clone()]).measured(Value::Factor(slender[0]));
        out.push(
            f.limit(Value::Factor(slender[1]), "EN 1993-1-1, table 5.2, class 1 (from memory)")
                .help("take the load at that hinge for the largest, or a thicker wall there"),
        );
    }
    if !x.whole {
        let what = format!(
            "load {} pushed past yielding was followed to {} only, what comes after is not checked: {}",
            c.name,
            length(gone),
            x.end
        );
        let f = new(Level::NotChecked, what).measured(Value::Length(gone));
        let help =
            "the largest load so far is what is known; ask for a shorter way, or hold and push it where it goes on";
        out.push(f.limit(Value::Length(c.wanted.collapse), limit(c, "collapse")).help(help));
    }
    if let Some(b) = c.buckling.as_ref().filter(|b| b.factor < x.peak[0]) {
        let what = format!(
            "load {} pushed past yielding is not checked beyond its buckling: a frame without any crookedness may go on \
             straight, which no real one does",
            c.name
        );
        let f = new(Level::NotChecked, what).measured(Value::Factor(x.peak[0]));
        let help = "take the load at which it buckles for the largest, or add a small force sideways to the load";
        out.push(f.limit(Value::Factor(b.factor), "its buckling").help(help));
    }
    if x.peak[0] < 1.0 && x.rising {
        let what = format!(
            "load {} pushed past yielding went as far as asked before the whole load was on it, and carried more and more: what \
             comes after is not checked",
            c.name
        );
        let f = new(Level::NotChecked, what)
            .measured(Value::Factor(x.peak[0]))
            .limit(Value::Factor(1.0), "the load itself");
        out.push(f.help(format!("ask for a longer way: {}", limit(c, "collapse"))));
    } else if x.peak[0] < 1.0 && x.whole {
        let what = format!("load {} is over what the frame carries before it collapses", c.name);
        let f = new(Level::Mend, what).measured(Value::Factor(x.peak[0])).limit(Value::Factor(1.0), "the load itself");
        out.push(f.help("larger sections or braces where the first hinges come"));
    }
    if let Some(e) = &x.entry {
        // The work of a drop is held against the work until then; without a drop, the peak.
        let published = x.energy.filter(|w| e.work < w.0).map(|(energy, _)| {
            let when = "before the published energy is taken up";
            (when, Value::Energy(e.work), Value::Energy(energy), c.source.clone())
        });
        let drop_or_peak = match &x.drop {
            Some((energy, _)) => (e.work < *energy).then_some((
                "before the energy of the drop is taken up",
                Value::Energy(e.work),
                Value::Energy(*energy),
                "strength.drop".to_owned(),
            )),
            None if x.energy.is_some() => None,
            None => (e.travel < x.peak[1]).then_some((
                "before the largest load is reached",
                Value::Factor(e.factor),
                Value::Factor(x.peak[0]),
                "the largest load".to_owned(),
            )),
        };
        if let Some((when, measured, limit, source)) = published.or(drop_or_peak) {
            let what = format!(
                "load {} pushed past yielding: {} comes to the {} of {} {when}, when {} has gone {}",
                c.name,
                e.tube,
                e.part,
                e.person,
                x.told,
                length(e.travel)
            );
            let f = new(Level::Mend, what).tubes([e.tube.clone()]).measured(measured).limit(limit, source);
            out.push(f.help("more room there, or tubes that keep it"));
        }
    }
    if let Some((energy, None)) = x.drop {
        let work = x.curve.last().map_or(0.0, |p| p[2]);
        let what = format!(
            "load {} pushed past yielding has not taken up the energy of the drop by {}: what comes after is not checked",
            c.name,
            length(gone)
        );
        let f =
            new(Level::NotChecked, what).measured(Value::Energy(work)).limit(Value::Energy(energy), "strength.drop");
        out.push(f.help("push it further with `collapse`, or make the frame stronger"));
    }
}

/// What this run was not asked for.
fn not_run(shape: &Shape, answer: &Answer, out: &mut Vec<Finding>) {
    let d = &shape.design;
    if answer.depth == Depth::Live && !answer.cases.is_empty() {
        let what = "welded joints, buckling and natural frequencies are not checked while a point is dragged";
        out.push(new(Level::NotChecked, what).help("`tubewright strength FILE` works them out"));
    }
    let pushed: Vec<&str> = d.loads.iter().filter(|l| l.collapse > 0.0).map(|l| l.name.as_str()).collect();
    if answer.depth < Depth::Collapse && !pushed.is_empty() {
        let what = format!(
            "{} pushed past yielding {} not checked: it was not asked for in this run",
            loads(&pushed),
            are(&pushed)
        );
        out.push(new(Level::NotChecked, what).help("`--collapse` works it out, which may take a minute"));
    }
    if d.strength.drop > 0.0 && pushed.is_empty() {
        let what = "the energy of the drop is not checked: no load is pushed past yielding";
        out.push(new(Level::NotChecked, what).help("give a load on the roof a `collapse`"));
    }
}
