//! What the frame as built makes of clearances, room and going over.

use serde::Serialize;
use shape::{Finding, Value};

use crate::Review;

/// A figure as designed and as built.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Effect {
    /// What it is, in words.
    pub what: String,
    /// As designed; `None` if it is new.
    pub designed: Option<Value>,
    /// As built; `None` if it is gone.
    pub built: Option<Value>,
}

/// Every figure of a kind that both have, in order; first those of the design.
pub(super) fn effects(designed: &Review, built: &Review) -> Vec<Effect> {
    let (a, b) = (figures(designed), figures(built));
    let of = |list: &[(String, Value)], what: &str| list.iter().find(|x| x.0 == what).map(|x| x.1);
    let mut out: Vec<Effect> =
        a.iter().map(|(what, v)| Effect { what: what.clone(), designed: Some(*v), built: of(&b, what) }).collect();
    let fresh = b.iter().filter(|x| of(&a, &x.0).is_none());
    out.extend(fresh.map(|(what, v)| Effect { what: what.clone(), designed: None, built: Some(*v) }));
    out
}

/// The figures that a shop looks at again: clearances, ramp angles, measures, room, ways out, and going over.
fn figures(r: &Review) -> Vec<(String, Value)> {
    let mut out = Vec::new();
    for s in &r.stance.stances {
        if let Some(l) = s.lowest.iter().find(|l| !l.unsprung) {
            out.push((format!("{}: lowest place over the ground", s.name), Value::Length(l.height)));
        }
        let angles = [("approach", &s.approach), ("departure", &s.departure), ("ramp breakover", &s.breakover)];
        for (word, g) in angles {
            out.extend(g.as_ref().map(|g| (format!("{}: {word} angle", s.name), Value::Angle(g.angle))));
        }
    }
    for m in &r.stance.measures {
        let Some(v) = m.value else { continue };
        let of = m.stance.as_ref().map_or(String::new(), |s| format!(" ({s})"));
        let v = match m.kind {
            design::MeasureKind::Distance => Value::Length(v),
            design::MeasureKind::Angle => Value::Angle(v),
        };
        out.push((format!("measure {}{of}", m.name), v));
    }
    for o in &r.room.occupants {
        for n in &o.near {
            out.push((format!("{}: {} to the nearest tube", o.name, n.part), Value::Length(n.distance)));
        }
        for l in &o.lines {
            let what = format!("{}: helmet under the line from {} to {}", o.name, l.hoop, l.other);
            out.push((what, Value::Length(l.distance)));
        }
    }
    for o in &r.room.openings {
        out.extend(
            o.person.as_ref().map(|p| (format!("way out {}: size, a person's is 1", o.name), Value::Factor(p.scale))),
        );
    }
    if let Some(over) = &r.over.hard.rollover {
        for (a, room) in over.attitudes.iter().zip(&r.over.hard.rooms) {
            let words = &room.words;
            out.extend(a.margin.map(|m| (format!("{words}: margin of the rest"), Value::Length(m))));
            let energies = a.edges.iter().filter(|e| e.leads_to.is_some()).map(|e| e.energy);
            let least = energies.fold(f64::INFINITY, f64::min);
            if least.is_finite() {
                out.push((format!("{words}: least energy that takes it on"), Value::Energy(least)));
            }
            for p in &room.people {
                let least =
                    p.nearest(false).map(|n| (format!("{words}: {} over the ground", p.name), Value::Length(n.hard)));
                out.extend(least);
            }
        }
    }
    out
}

/// Findings of the frame as built that the design has not, in words: where the words hold a number that only changed a
/// little, it is not new. How a piece is cut that stands already is no news either.
pub(super) fn new_findings(designed: &Review, built: &Review, standing: &[String]) -> Vec<Finding> {
    let over = |f: &Finding| {
        matches!(f.answer, "cutting" | "shape") && !f.tubes.is_empty() && f.tubes.iter().all(|t| standing.contains(t))
    };
    let key = |f: &Finding| {
        let words: String = f.what.chars().filter(|c| !c.is_ascii_digit() && !".,".contains(*c)).collect();
        (f.level, f.answer, words)
    };
    let known: std::collections::BTreeSet<_> = designed.findings.iter().map(key).collect();
    let fresh = built.findings.iter().filter(|f| f.level <= shape::Level::Look);
    fresh.filter(|f| !known.contains(&key(f)) && f.answer != "stock" && !over(f)).cloned().collect()
}
