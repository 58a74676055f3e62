//! Ways in: whether each piece can still be put in at its turn and how, in words and tables that terminal, page and packet
//! share. Method: `docs/methods/assembly.md`.

mod words;

use std::collections::BTreeSet;
use std::sync::Arc;

use cutting::assembly::{Insertion, Remedy, Way, insertion, insertions};
use cutting::welds::Weld;
use cutting::{Cutting, Detail};
use shape::finding::more;
use shape::{Finding, Level, Shape, Value};

use crate::jigs::Sheet;
use crate::text::counted;
use crate::{Review, Text};

pub use words::{direction, motion};

/// What a way in can't answer for.
pub const CAUTION: &str = "Ways in are looked for with rigid tubes: nothing is sprung, hands and clamps take no room, plates and jigs do \
not stand yet. Where none was found by straight moves or a swing, hands may still find one: try it before anything is welded.";

/// Works them out. Ends are followed as finely as for sheets, so that page and packet say the same.
pub fn ways_in(shape: &Shape, cutting: &Cutting, detail: Detail) -> Vec<Insertion> {
    if detail.fibres < Detail::SHEET.fibres {
        return insertions(shape, &cutting::cut(shape, Detail::SHEET));
    }
    insertions(shape, cutting)
}

/// The review's own, or worked out now.
pub fn of(r: &Review) -> Arc<Vec<Insertion>> {
    r.ways_in.clone().unwrap_or_else(|| Arc::new(insertions(&r.shape, &cutting::cut(&r.shape, Detail::SHEET))))
}

/// One piece's own, or worked out now.
pub fn one(r: &Review, piece: &str) -> Option<Insertion> {
    match &r.ways_in {
        Some(list) => list.iter().find(|i| i.piece == piece).cloned(),
        None => insertion(&r.shape, &r.cutting, piece),
    }
}

/// How a piece goes in.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Kind<'a> {
    /// As it is cut.
    AsCut(&'a Way),
    /// With a gap at both ends that `limits.fit` allows.
    Fit(f64, &'a Way),
    /// Not found; the remedies tell more.
    NotFound,
}

/// What a way in is worth. Remedies come with the least change first, and play within the limit ends the list.
fn kind<'a>(r: &Review, i: &'a Insertion) -> Kind<'a> {
    if let Some(way) = &i.way {
        return Kind::AsCut(way);
    }
    match i.remedies.first() {
        Some(Remedy::Play { play, way }) if !more(play + gap(r, &i.piece), r.shape.design.limits.fit) => {
            Kind::Fit(*play, way)
        }
        _ => Kind::NotFound,
    }
}

/// The wider root gap of a piece's ends, m.
fn gap(r: &Review, piece: &str) -> f64 {
    let p = r.cutting.pieces.iter().find(|p| p.name == piece);
    p.map_or(0.0, |p| p.ends.iter().map(|e| e.gap).fold(0.0, f64::max))
}

/// Said where nothing was found.
pub const NOT_FOUND: &str = "no way found by straight moves or a swing";

/// How one piece goes in, in a line.
pub fn line(r: &Review, i: &Insertion, t: &Text) -> String {
    let mut out = match kind(r, i) {
        Kind::AsCut(way) => words::way(way, t),
        Kind::Fit(play, way) => format!("both ends {} shorter: {}", t.fine(play), words::way(way, t)),
        Kind::NotFound => NOT_FOUND.to_owned(),
    };
    if !i.overlaps.is_empty() {
        out += &format!("; not judged against {}, which it overlaps", i.overlaps.join(", "));
    }
    out
}

/// Whether it goes in at its turn, as cut or with a gap that `limits.fit` allows.
pub fn goes_in(r: &Review, i: &Insertion) -> bool {
    kind(r, i) != Kind::NotFound
}

/// How true it must be held on its way.
fn held(r: &Review, i: &Insertion, t: &Text) -> String {
    match kind(r, i) {
        Kind::AsCut(way) | Kind::Fit(_, way) => words::margin(way, t),
        Kind::NotFound => "-".to_owned(),
    }
}

/// What would help, a line each.
pub fn help(i: &Insertion, t: &Text) -> Vec<String> {
    i.remedies
        .iter()
        .map(|remedy| match remedy {
            Remedy::Play { play, way } => format!("both ends {} shorter: {}", t.fine(*play), words::way(way, t)),
            Remedy::Earlier { before, way, blocks } => {
                let then = match blocks.len() {
                    0 => String::new(),
                    1 => format!("; then no way was found for {}", blocks[0]),
                    n => format!("; then no way was found for {n}: {}", blocks.join(", ")),
                };
                format!("before {before}: {}{then}", words::way(way, t))
            }
            Remedy::SimplerEnd { end, gap, way } => format!(
                "its {} cut off at the short point, {} to fill: {}",
                end.word(),
                t.fine(*gap),
                words::way(way, t)
            ),
            Remedy::TwoParts => {
                "in two parts with a joint between, what it is cut to sprung apart, or a joint moved".to_owned()
            }
        })
        .collect()
}

/// Beads that must be ground flush before a piece goes in: which, and how much of each.
pub fn beads(welds: &[Weld], piece: &str) -> Vec<String> {
    let under = |w: &Weld| w.flush.iter().filter(|f| f.by == piece).map(|f| f.share).sum::<f64>();
    let list = welds.iter().map(|w| (w, under(w))).filter(|(_, share)| *share > TOLD);
    list.map(|(w, share)| format!("{:.0} % of {} at its {}", 100.0 * share, w.piece, w.end.word())).collect()
}

/// A share of a bead under this is told as none: a whole percent.
const TOLD: f64 = 0.01;

/// How many go in how, a line each.
pub fn summary(r: &Review, a: &[Insertion]) -> Vec<String> {
    let count = |f: &dyn Fn(&Insertion) -> bool| a.iter().filter(|i| f(i)).count();
    let last = |i: &Insertion| i.way.as_ref().and_then(|w| w.last.clone());
    let swing = |i: &Insertion| matches!(last(i), Some(cutting::assembly::Last::Swing { .. }));
    let two = count(&|i| last(i).is_some()) - count(&swing);
    let straight = count(&|i| i.way.is_some()) - count(&swing) - two;
    let mut parts = vec![format!("{straight} by one straight move")];
    if two > 0 {
        parts.push(format!("{two} by two"));
    }
    if count(&swing) > 0 {
        parts.push(format!("{} by a swing", count(&swing)));
    }
    let fit = count(&|i| matches!(kind(r, i), Kind::Fit(..)));
    if fit > 0 {
        parts.push(format!("{fit} with a gap within limits.fit"));
    }
    let mut out = vec![format!("go in at their turn: {}", parts.join(", "))];
    let none = count(&|i| kind(r, i) == Kind::NotFound);
    if none > 0 {
        out.push(format!("{NOT_FOUND}: {}", counted(none, "piece")));
    }
    out
}

/// A piece's number: the one that its card and its label bear, which is not its turn once temporary pieces are put last.
fn number(r: &Review, i: &Insertion) -> String {
    r.cutting.pieces.iter().find(|p| p.name == i.piece).map_or(String::new(), |p| p.number.to_string())
}

/// In which order ways in are told.
pub fn order(r: &Review) -> &'static str {
    match r.cutting.pieces.iter().any(|p| p.state == design::TubeState::Temporary) {
        true => "in fitting order, temporary ones last",
        false => "in fitting order",
    }
}

/// Every piece in fitting order: from where, and how true it is held.
pub fn ways(r: &Review, a: &[Insertion], welds: &[Weld], t: &Text) -> Sheet {
    let rows = a.iter().map(|i| {
        let cells =
            vec![number(r, i), i.piece.clone(), line(r, i, t), held(r, i, t), beads(welds, &i.piece).join(", ")];
        (cells, vec![i.piece.clone()])
    });
    Sheet {
        id: "ways-in",
        title: format!("Way in of each piece, {}", order(r)),
        head: ["no.", "piece", "way in", "held to", "beads to grind flush first"].map(str::to_owned).to_vec(),
        numbers: vec![0],
        rows: rows.collect(),
        note: HOW.to_owned(),
    }
}

/// How to read the ways.
pub const HOW: &str = "Front, rear, left and right are the car's. Held to: how far off that line it may be led and stay clear; a slide has \
nothing to spare. Temporary pieces come last.";

/// Those for which none was found: what is in the way, and what would help.
pub fn without(r: &Review, a: &[Insertion], t: &Text) -> Option<Sheet> {
    let rows: Vec<_> = a
        .iter()
        .filter(|i| kind(r, i) == Kind::NotFound)
        .map(|i| {
            let cells = vec![number(r, i), i.piece.clone(), i.blocked_by.join(", "), help(i, t).join("; or ")];
            (cells, vec![i.piece.clone()])
        })
        .collect();
    (!rows.is_empty()).then(|| Sheet {
        id: "no-way-in",
        title: sentence(NOT_FOUND),
        head: ["no.", "piece", "in the way", "what would help"].map(str::to_owned).to_vec(),
        numbers: vec![0],
        rows,
        note: "That none was found is no proof that there is none.".to_owned(),
    })
}

/// With a capital letter.
pub fn sentence(s: &str) -> String {
    let mut letters = s.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().collect::<String>() + letters.as_str())
}

/// What helps best, of what is known of a piece without a way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Best {
    /// Another order, which blocks nothing else.
    Order,
    /// More play than `limits.fit` allows.
    Play,
    /// One end cut off.
    Simpler,
    /// Another order, for which others have to find their way.
    Costly,
    /// Nothing of these.
    Nothing,
}

/// The best, and what is done for it.
fn best(i: &Insertion, t: &Text) -> (Best, String) {
    let name = &i.piece;
    let of = |x: &Remedy| match x {
        Remedy::Earlier { before, blocks, .. } if blocks.is_empty() => {
            Some((0, Best::Order, format!("{name} before {before}")))
        }
        Remedy::Play { play, .. } => Some((1, Best::Play, format!("{name} by {}", t.fine(*play)))),
        Remedy::SimplerEnd { end, gap, .. } => {
            Some((2, Best::Simpler, format!("the {} of {name}, {} to fill", end.word(), t.fine(*gap))))
        }
        Remedy::Earlier { before, blocks, .. } => {
            Some((3, Best::Costly, format!("{name} before {before}, then {}", blocks.join(", "))))
        }
        Remedy::TwoParts => None,
    };
    let list = i.remedies.iter().filter_map(of).min_by_key(|x| x.0);
    list.map_or((Best::Nothing, String::new()), |x| (x.1, x.2))
}

/// So many are named in a finding; the rest are counted.
const NAMED: usize = 6;

/// A list that names the first few, a twin with its tube.
fn named(list: &[String], joint: &str) -> String {
    let mut out: Vec<String> = Vec::new();
    for x in list {
        let bare = x.replace('~', "");
        if *x != bare && list.contains(&bare) {
            continue;
        }
        let twin = list.iter().any(|y| y != x && y.replace('~', "") == *x);
        out.push(if twin { format!("{x} (and its mirror image)") } else { x.clone() });
    }
    if out.len() > NAMED {
        let more = out.len() - NAMED;
        out.truncate(NAMED);
        out.push(format!("{more} more"));
    }
    out.join(joint)
}

/// Pieces, each with what is in its own way; those with the same in the way, or its mirror image, together. The first few
/// groups are named, the rest counted.
fn with_blockers(list: &[&Insertion]) -> String {
    let bare = |i: &Insertion| -> BTreeSet<String> { i.blocked_by.iter().map(|b| b.replace('~', "")).collect() };
    let mut groups: Vec<(BTreeSet<String>, Vec<&Insertion>)> = Vec::new();
    for i in list {
        let key = bare(i);
        match groups.iter_mut().find(|g| g.0 == key) {
            Some(g) => g.1.push(i),
            None => groups.push((key, vec![i])),
        }
    }
    let mut out = if list.len() > 1 { format!("{}: ", counted(list.len(), "piece")) } else { String::new() };
    let words = groups.iter().take(NAMED).map(|(_, pieces)| {
        let names: Vec<String> = pieces.iter().map(|i| i.piece.clone()).collect();
        let blockers: BTreeSet<String> = pieces.iter().flat_map(|i| i.blocked_by.iter().cloned()).collect();
        match blockers.is_empty() {
            true => named(&names, ", "),
            false => {
                let blockers: Vec<String> = blockers.into_iter().collect();
                format!("{}, in the way: {}", named(&names, ", "), named(&blockers, ", "))
            }
        }
    });
    out += &words.collect::<Vec<_>>().join("; ");
    let rest: usize = groups.iter().skip(NAMED).map(|g| g.1.len()).sum();
    if rest > 0 {
        out += &format!("; and {rest} more");
    }
    out
}

/// What must be said of ways in, each kind of trouble once.
pub fn findings(r: &Review, a: &[Insertion]) -> Vec<Finding> {
    let t = Text::new(&r.shape.design);
    let none: Vec<(&Insertion, Best, String)> = a
        .iter()
        .filter(|i| kind(r, i) == Kind::NotFound)
        .map(|i| {
            let (best, words) = best(i, &t);
            (i, best, words)
        })
        .collect();
    let help = [
        (Best::Order, "in another order it goes in: "),
        (Best::Play, "with both ends shorter it goes in, wider than limits.fit allows: "),
        (Best::Simpler, "cut one end off at its short point and fill the gap with a sleeve or a plate: "),
        (Best::Costly, "in another order it goes in, but no way was then found for what is named after it: "),
        (
            Best::Nothing,
            "a person may well tilt it in, which is not looked for; else spring apart what it is cut to, make it in two parts, or move a joint",
        ),
    ];
    let mut out = Vec::new();
    for (kind, help) in help {
        let list: Vec<_> = none.iter().filter(|x| x.1 == kind).collect();
        let Some(most) = list.iter().map(|x| x.0).next() else { continue };
        let names: Vec<String> = list.iter().map(|x| x.0.piece.clone()).collect();
        let words: Vec<String> = list.iter().map(|x| x.2.clone()).filter(|w| !w.is_empty()).collect();
        let what = format!("{NOT_FOUND} for {}", with_blockers(&list.iter().map(|x| x.0).collect::<Vec<_>>()));
        let mut f =
            Finding::new(Level::NotChecked, "cutting", what).tubes(names).help(help.to_owned() + &named(&words, "; "));
        if let Some(p) = r.cutting.pieces.iter().find(|p| p.name == most.piece) {
            f = f.at(p.ends[0].at);
        }
        out.push(f);
    }
    let fit: Vec<(&Insertion, f64)> = a
        .iter()
        .filter_map(|i| match kind(r, i) {
            Kind::Fit(play, _) => Some((i, play)),
            _ => None,
        })
        .collect();
    if let Some(most) = fit.iter().map(|x| x.1 + gap(r, &x.0.piece)).max_by(f64::total_cmp) {
        let names: Vec<String> = fit.iter().map(|x| x.0.piece.clone()).collect();
        let what = format!("both ends must be a little shorter so that it goes in: {}", named(&names, ", "));
        let words: Vec<String> = fit.iter().map(|x| format!("{} by {}", x.0.piece, t.fine(x.1))).collect();
        out.push(
            Finding::new(Level::Note, "cutting", what)
                .tubes(names)
                .measured(Value::Length(most))
                .limit(Value::Length(r.shape.design.limits.fit), "limits.fit")
                .help(format!("grind them back: {}", named(&words, "; "))),
        );
    }
    out
}
