//! What the frame as built has to say.

use fit::{Doubt, Fate, Of, Verdict};
use shape::{Finding, Level, Value};

use super::{AS_BUILT, Built};
use crate::Review;
use crate::text::{Text, counted};

fn find(level: Level, what: impl Into<String>) -> Finding {
    Finding::new(level, "build", what)
}

/// The line of the sheet that a place is in, from 1.
fn line(text: &str, at: usize) -> usize {
    1 + text.bytes().take(at).filter(|b| *b == b'\n').count()
}

/// All findings, not sorted.
pub fn findings(r: &Review, b: &Built) -> Vec<Finding> {
    let design = &r.shape.design;
    let t = Text::new(design);
    let mut out = Vec::new();
    for p in &b.problems {
        let at = p.span.as_ref().map_or(String::new(), |s| format!("line {}: ", line(&b.measured.source, s.start)));
        let mut f = find(Level::Look, format!("in the measured sheet, {at}{}; it is left out", p.message));
        f.help = p.help.clone();
        out.push(f);
    }
    for x in &b.fit.troubles {
        out.push(find(Level::Look, format!("{} is not used: {}", x.about, x.what)).help(x.help.clone()));
    }
    readings(b, &t, &mut out);
    let class = format!("ISO 13920 class {}, limits.welded", design.limits.welded.letter());
    for c in b.fit.checks.iter().filter(|c| c.verdict == Verdict::Over) {
        let [p, q] = &c.between;
        let (way, off) = (if c.off() > 0.0 { "longer" } else { "shorter" }, c.off().abs());
        let what = format!("from {p} to {q} it is {} {way} than designed", t.fine(off));
        let unchecked =
            |name: &String| matches!(b.fit.place(name).and_then(|p| p.doubt.as_ref()), Some(Doubt::Unchecked(_)));
        let what = if unchecked(p) || unchecked(q) {
            format!("{what}; nothing checks one of the readings that place them")
        } else {
            what
        };
        let mut f = find(Level::Look, what)
            .measured(Value::Length(off))
            .limit(Value::Length(c.tolerance), class.clone())
            .help("pull it to size before the next weld, or fit the pieces that remain to it");
        f.tubes = c.tube.iter().cloned().collect();
        f.at = b.fit.place(p).map(|p| p.at);
        out.push(f);
    }
    let near: Vec<String> = b
        .fit
        .checks
        .iter()
        .filter(|c| c.verdict == Verdict::TooNear && c.of != Of::Tape)
        .map(|c| format!("{} to {}", c.between[0], c.between[1]))
        .collect();
    if !near.is_empty() {
        let what = format!(
            "{} too near to {} tolerance for what was measured: {}",
            counted(near.len(), "distance"),
            if near.len() == 1 { "its" } else { "their" },
            some(&near)
        );
        out.push(find(Level::NotChecked, what).help(measure_next(b)));
    }
    loose(b, &mut out);
    doubtful(b, &mut out);
    for c in b.changes.iter().filter(|c| c.cut) {
        let off = c.longer();
        let what = match () {
            () if off > design.limits.fit => {
                format!("{} is cut already and is {} too short for the frame as built", c.piece, t.fine(off))
            }
            () if off < -design.limits.fit => {
                format!("{} is cut already and is {} too long for the frame as built", c.piece, t.fine(-off))
            }
            () => format!("{} is cut already, and its ends or bends do not fit the frame as built", c.piece),
        };
        let help =
            if off > design.limits.fit { "make it anew, or pull the frame" } else { "trim it to the new settings" };
        out.push(
            find(Level::Mend, what)
                .measured(Value::Length(off.abs()))
                .limit(Value::Length(design.limits.fit), "limits.fit")
                .tubes([c.piece.clone()])
                .help(help),
        );
    }
    for why in &b.refused {
        out.push(find(Level::Mend, format!("the frame as built has no answers: {why}")));
    }
    for f in &b.new_findings {
        out.push(Finding { answer: "build", what: format!("{AS_BUILT}{}", f.what), span: None, ..f.clone() });
    }
    out
}

fn readings(b: &Built, t: &Text, out: &mut Vec<Finding>) {
    for x in b.fit.readings.iter().filter(|x| x.fate == Fate::Wrong) {
        let off = x.adjusted.map_or(0.0, |a| x.reads - a);
        let (off, more) = (off.abs(), off > 0.0);
        let by = if x.tool.is_angle() { t.shown(Value::Angle(off)) } else { t.fine(off) };
        let what = format!(
            "{} from {} reads {by} too {}, by what all others say: it is left out",
            x.title,
            x.at.join(" to "),
            if more { "much" } else { "little" }
        );
        out.push(find(Level::Look, what).help("measure it again, and mend the sheet"));
    }
    for group in &b.fit.contradictions {
        let what = format!("{} contradict one another, and nothing tells which is wrong", some(group));
        out.push(find(Level::Look, what).help("measure each of them again"));
    }
    if let Some([factor, _, high]) = b.fit.factor.filter(|f| f[0] > f[2] && without_contradictions(b, f[0]) > f[2]) {
        let what = "the readings agree worse than they are said to be good for";
        let help = "look for one more that is wrong, or say a larger [good_to]";
        let f = find(Level::Look, what).measured(Value::Factor(factor.sqrt()));
        out.push(f.limit(Value::Factor(high.sqrt()), "χ² at 95 %").help(help));
    }
    if !b.fit.converged {
        out.push(find(Level::Look, "the readings lead to no settled answer: the figures below are doubtful"));
    }
}

fn loose(b: &Built, out: &mut Vec<Finding>) {
    for l in &b.fit.loose {
        let what = format!("{} can still move in {}: as designed there", some(&l.points), counted(l.ways, "way"));
        out.push(find(Level::NotChecked, what).help(measure_next(b)));
    }
    let ambiguous: Vec<String> = b.fit.places.iter().filter(|p| p.ambiguous).map(|p| p.name.clone()).collect();
    if !ambiguous.is_empty() {
        let what = format!("{} could as well be on the other side of what it was measured from", some(&ambiguous));
        out.push(find(Level::NotChecked, what).help("measure a height or an offset of it"));
    }
}

/// What to do where more must be known.
fn measure_next(b: &Built) -> &'static str {
    if b.fit.next.is_empty() {
        "measure more distances, heights or offsets to them"
    } else {
        "take the distances that the build page lists as next"
    }
}

/// Pieces that would be cut by figures that may be wrong.
fn doubtful(b: &Built, out: &mut Vec<Finding>) {
    let of = |kind: fn(&Doubt) -> bool| -> Vec<String> {
        let list = b.changes.iter().filter(|c| c.doubt.as_ref().is_some_and(kind));
        list.map(|c| c.piece.clone()).collect()
    };
    let contradicted = of(|d| matches!(d, Doubt::Contradicted(_)));
    if !contradicted.is_empty() {
        let rest = if contradicted.len() == 1 { "rests" } else { "rest" };
        let what = format!(
            "{} {rest} on readings that contradict one another: not to be cut by these figures",
            some(&contradicted)
        );
        out.push(find(Level::Look, what).tubes(contradicted).help("settle which reading is wrong first"));
    }
    let unchecked = of(|d| matches!(d, Doubt::Unchecked(_)));
    if !unchecked.is_empty() {
        let mut readings: Vec<String> = Vec::new();
        for c in &b.changes {
            if let Some(Doubt::Unchecked(list)) = &c.doubt {
                readings.extend(list.iter().filter(|r| !readings.contains(r)).cloned().collect::<Vec<_>>());
            }
        }
        let change = if unchecked.len() == 1 { "changes" } else { "change" };
        let what = format!("{} {change} by readings that nothing checks: {}", some(&unchecked), some(&readings));
        let help = "take each once more, or one more distance to the same points, before anything is cut by them";
        out.push(find(Level::NotChecked, what).tubes(unchecked).help(help));
    }
}

/// What the mean square would be without the readings that are named as contradicting already.
fn without_contradictions(b: &Built, factor: f64) -> f64 {
    let named = b.fit.readings.iter().filter(|r| r.fate == Fate::Contradicts);
    // w is what is left over its own standard deviation: squared and times the redundancy it is the reading's share.
    let (count, share) = named.fold((0, 0.0), |(n, s), r| (n + 1, s + r.w.map_or(0.0, |w| w * w * r.redundancy)));
    let rest = b.fit.freedom.saturating_sub(count);
    if rest == 0 { 0.0 } else { (factor * b.fit.freedom as f64 - share) / rest as f64 }
}

/// The first few of a list.
fn some(list: &[String]) -> String {
    const MOST: usize = 6;
    match list.len() {
        n if n > MOST => format!("{} and {} more", list[..MOST].join(", "), n - MOST),
        _ => list.join(", "),
    }
}
