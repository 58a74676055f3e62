//! Curves in tables and findings.

use shape::{Finding, Level, Shape, Value};

use super::{All, Bent, Drawn};
use crate::Text;
pub use crate::jigs::Sheet;
use crate::text::counted;

/// What was found of a curve in a sentence or two.
pub fn told(b: &Bent, t: &Text) -> String {
    let a = &b.answer;
    let Some(best) = a.best() else {
        return "Nothing can be made of it: the die's straights leave no room.".to_owned();
    };
    let n = counted(best.bends, "bend");
    if a.fewest.is_none() {
        return format!("No chain within that was found; the nearest, of {n}, is {} off.", t.fine(best.deviation));
    }
    let follow = if best.bends == 1 { "follows" } else { "follow" };
    match (best.bends, a.proved) {
        (0, _) => "A straight tube follows it within that.".to_owned(),
        (bends, proved) if bends <= proved => format!("{n} {follow} it within that, and fewer can't, by proof."),
        (bends, proved) => {
            let between = if proved + 1 == bends { proved.to_string() } else { format!("{proved} to {}", bends - 1) };
            let fewer = match proved {
                0 => String::new(),
                1 => " No straight tube does, by proof.".to_owned(),
                n => format!(" Fewer than {n} can't, by proof."),
            };
            format!("{n} {follow} it within that; with {between} none was found that does.{fewer}")
        }
    }
}

/// Tables of one curve: what each number of bends gives, then the bends of the chain to take.
pub fn sheets(b: &Bent, t: &Text) -> Vec<Sheet> {
    let u = t.unit();
    let a = &b.answer;
    let rows = a.tries.iter().map(|x| {
        let held = if x.deviation <= b.within { "within" } else { "over" };
        let p = x.worst.curve;
        let best = a.best().is_some_and(|best| best.bends == x.bends);
        let word = match (best, b.chain().is_some_and(|t| t.bends == x.bends)) {
            (true, _) if a.fewest.is_some() => "fewest",
            (true, _) => "nearest",
            (false, true) => "taken",
            (false, false) => "",
        };
        let place = format!("{}, {}, {}", t.length(p.x), t.length(p.y), t.length(p.z));
        (
            vec![
                x.bends.to_string(),
                t.fine_number(x.deviation),
                held.to_owned(),
                place,
                t.length(x.length),
                word.to_owned(),
            ],
            Vec::new(),
        )
    });
    let mut out = vec![Sheet {
        id: "curve_bends",
        title: format!("Curve {} by number of bends", b.curve),
        head: ["bends", &format!("off by {u}"), "", "there: x, y, z", &format!("developed {u}"), ""]
            .map(str::to_owned)
            .to_vec(),
        numbers: vec![0, 1, 4],
        rows: rows.collect(),
        note: format!(
            "Die {}, radius {}; tolerance {}. {}",
            b.die,
            t.length_unit(b.limits.radius),
            t.fine(b.within),
            told(b, t)
        ),
    }];
    if !b.bends.is_empty() {
        let rows = b.bends.iter().enumerate().map(|(k, x)| {
            let p = x.corner;
            let place = format!("{}, {}, {}", t.length(p.x), t.length(p.y), t.length(p.z));
            let turn = if k == 0 { "-".to_owned() } else { t.handed(-x.rotation) };
            (
                vec![(k + 1).to_string(), t.length(x.straight), t.angle(x.angle), turn, t.length(x.arc), place],
                Vec::new(),
            )
        });
        out.push(Sheet {
            id: "curve_legs",
            title: format!("Curve {}: legs and bends from its start", b.curve),
            head: ["bend", &format!("straight before {u}"), "angle", "turn of the tube", &format!("arc {u}"), "legs meet at x, y, z"]
                .map(str::to_owned)
                .to_vec(),
            numbers: vec![0, 1, 2, 4],
            rows: rows.collect(),
            note: format!(
                "Straight after the last bend: {}. Turns of the tube before its bend, cw or ccw looking from the start along it.",
                t.length_unit(b.last_straight)
            ),
        });
    }
    if !b.followed.is_empty() {
        let rows = b.followed.iter().map(|f| {
            let held = if f.deviation <= b.within { "within" } else { "over" };
            (vec![f.tube.clone(), t.fine_number(f.deviation), held.to_owned()], vec![f.tube.clone()])
        });
        out.push(Sheet {
            id: "curve_tubes",
            title: format!("Tubes along curve {}", b.curve),
            head: ["tube", &format!("off by {u}"), ""].map(str::to_owned).to_vec(),
            numbers: vec![1],
            rows: rows.collect(),
            note: String::new(),
        });
    }
    out
}

/// Findings on curves; `all` is missing while nobody has worked it out.
pub fn findings(shape: &Shape, drawn: &[Drawn], all: Option<&All>) -> Vec<Finding> {
    let curves = &shape.design.curves;
    let mut out = Vec::new();
    for d in drawn {
        let c = &curves[d.id];
        if let Err(why) = &d.line {
            let f = Finding::new(Level::Mend, "shape", super::unusable(c, why));
            out.push(f.help("mend its points or its file; nothing was made of this curve").span(&c.span));
        }
    }
    for (d, b) in drawn.iter().zip(all.into_iter().flatten()) {
        let c = &curves[d.id];
        let source = format!("curve.{}.within", c.name);
        match b {
            Err(why) if d.line.is_ok() => {
                let f = Finding::new(Level::NotChecked, "shape", why.clone());
                out.push(f.help(format!("name one: die = \"...\" under [curve.{}]", c.name)).span(&c.span));
            }
            Err(_) => {}
            Ok(b) => {
                out.extend(none_within(b, source.clone()).map(|f| f.span(&c.span)));
                out.extend(b.followed.iter().filter(|f| f.deviation > b.within).map(|f| {
                    Finding::new(
                        Level::Look,
                        "shape",
                        format!("{} leaves curve {} by more than it may", f.tube, c.name),
                    )
                    .tubes([f.tube.clone()])
                    .at(f.at)
                    .measured(Value::Length(f.deviation))
                    .limit(Value::Length(b.within), source.clone())
                    .help("move its points, or draw it anew from the curve")
                    .span(&c.span)
                }));
            }
        }
    }
    out
}

fn none_within(b: &Bent, source: String) -> Option<Finding> {
    if b.answer.fewest.is_some() {
        return None;
    }
    let help = "ease the curve where it is tightest, take a die of another radius, or allow more";
    let Some(best) = b.answer.best() else {
        let what = format!("curve {} can't be made on die {}: its straights leave no room", b.curve, b.die);
        return Some(Finding::new(Level::Look, "shape", what).help(help));
    };
    let what = format!(
        "no chain of legs and bends on die {} was found that follows curve {} within its tolerance; the nearest has {}",
        b.die,
        b.curve,
        counted(best.bends, "bend")
    );
    let f = Finding::new(Level::Look, "shape", what).at(best.worst.curve).measured(Value::Length(best.deviation));
    Some(f.limit(Value::Length(b.within), source).help(help))
}
