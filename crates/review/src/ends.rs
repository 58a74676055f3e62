//! Ends: the simplest way to cut each, and the set-ups in the order with the fewest changes, in words and tables that
//! terminal, page, phone and packet share. Method: `docs/methods/ends.md`.

use std::collections::BTreeMap;
use std::sync::Arc;

use cutting::ends::batches::{self, Batch, Batches, Place, Tool};
use cutting::ends::{Candidate, EndProcess, Process, processes};
use cutting::findings::named_first;
use cutting::{Cutting, Detail, Piece, SetUp};
use design::Design;
use serde::Serialize;
use shape::finding::more;
use shape::{End, Finding, Level, Shape, Value};

use crate::jigs::Sheet;
use crate::text::counted;
use crate::{Review, Text};

/// Fibres round an end. On the demo designs the gaps of all ways but two straight cuts then differ by less than a
/// micrometre from those of six times as many fibres; two cuts are a search anyway.
pub const DETAIL: Detail = Detail { fibres: 120 };

/// Findings that hold for many ends name those of so many tubes: the tables have all.
pub(crate) const NAMED: usize = 4;

/// What a set-up sheet can't answer for.
pub const CAUTION: &str =
    "Gaps are of sharp saws that run true: cut one end, hold it against its place, then cut the rest.";

/// Ways of all ends, and what is set up for them.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Ends {
    /// The ways of every end, by piece in fitting order.
    pub ways: Vec<EndProcess>,
    /// Set-ups in order.
    pub setups: Batches,
}

/// Works them out.
pub fn ends(shape: &Shape, cutting: &Cutting) -> Ends {
    let ways = processes(shape, cutting, DETAIL);
    let setups = batches::batches(&ways, &shape.design.limits);
    Ends { ways, setups }
}

/// The review's own, or worked out now.
pub fn of(r: &Review) -> Arc<Ends> {
    r.ends.clone().unwrap_or_else(|| Arc::new(ends(&r.shape, &r.cutting)))
}

impl Ends {
    /// The ways of one end.
    pub fn way(&self, piece: &str, end: End) -> Option<&EndProcess> {
        self.ways.iter().find(|e| e.end == end && e.piece == piece)
    }

    /// Numbers of the set-ups, from 1, that an end uses.
    pub fn setups_of(&self, piece: &str, end: End) -> Vec<usize> {
        let uses = |b: &Batch| b.places.iter().any(|p| p.end == end && p.piece == piece);
        (1..).zip(&self.setups.batches).filter(|(_, b)| uses(b)).map(|(n, _)| n).collect()
    }
}

/// What a way leaves as it is set: rounded settings count where they are more.
pub fn leaves(c: &Candidate) -> f64 {
    c.gap.max(c.as_set)
}

/// The tool in words: `saw`, `hole saw 45 mm`, `template and grinder`.
pub fn tool(b: &Batch, t: &Text) -> String {
    match b.tool {
        Tool::Saw => "saw".to_owned(),
        Tool::HoleSaw { diameter } => format!("hole saw {}", t.fine(diameter)),
        Tool::Grinder => "template and grinder".to_owned(),
    }
}

/// What is set on the tool: `35.5°, 6 mm off to the left`. With a scale that reads 90 degrees for a square cut, what it
/// shows.
pub fn setting(b: &Batch, design: &Design, t: &Text) -> String {
    if b.tool == Tool::Grinder {
        return String::new();
    }
    let square = t.angle(b.angle) == t.angle(0.0);
    let mut words = match b.tool {
        Tool::Saw if square => "square".to_owned(),
        _ => t.angle(b.angle),
    };
    if design.notcher.square_reads_90 {
        words += &format!(", scale {}", t.angle(std::f64::consts::FRAC_PI_2 - b.angle));
    }
    if t.length(b.offset.abs()) != t.length(0.0) {
        let side = if b.offset > 0.0 { "left" } else { "right" };
        words += &format!(", {} off to the {side}", t.length_unit(b.offset.abs()));
    }
    words
}

/// How a place of a set-up reads in a list.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceText {
    /// The piece, and its number in the fitting order.
    pub piece: String,
    /// That number.
    pub number: usize,
    /// `start`, `end`, or `end, cut 2/3` where the end has several.
    pub end: String,
    /// To what the tube is turned; empty for a square cut and for the grinder.
    pub turn: String,
    /// How far the cut, or a hole saw's centre, passes the axis back from the long point of the piece's card; negative: beyond it.
    /// Empty for the grinder.
    pub back: String,
}

/// A place of a set-up as a list shows it.
pub fn place(r: &Review, a: &Ends, b: &Batch, p: &Place, t: &Text) -> PlaceText {
    let piece = r.cutting.pieces.iter().find(|x| x.name == p.piece);
    let several = a.way(&p.piece, p.end).and_then(EndProcess::simplest).map_or(0, |c| c.cuts.len());
    let mut end = p.end.word().to_owned();
    if several > 1 {
        end += &format!(", cut {}/{several}", p.cut + 1);
    }
    let square = b.tool == Tool::Saw && t.angle(b.angle) == t.angle(0.0);
    let turn = if square || b.tool == Tool::Grinder { String::new() } else { t.turn(p.turn) };
    let back = match b.tool {
        Tool::Grinder => String::new(),
        _ => piece.map_or(String::new(), |x| t.cut(back(x, p.end, p.at))),
    };
    PlaceText { piece: p.piece.clone(), number: piece.map_or(0, |x| x.number), end, turn, back }
}

/// How far a place on the axis, m beyond the end point, lies back from the end's long point.
fn back(p: &Piece, end: End, at: f64) -> f64 {
    p.end(end).profile.long - at
}

/// The simplest way of an end in a line for its card: the way, its settings where they are not those that the card has
/// already, and what it leaves. Empty where an end meets nothing, or where the card says all of it.
pub fn line(r: &Review, p: &Piece, e: &EndProcess, t: &Text) -> String {
    let Some(c) = e.simplest() else { return String::new() };
    let mut parts = vec![format!("simplest: {}", c.process.word())];
    let mine = &p.end(e.end).setups;
    let told = match c.process {
        Process::HoleSaw | Process::Passes | Process::Template => true,
        _ => c.cuts.len() == 1 && mine.len() == 1 && same_cut(&c.cuts[0].setup, &mine[0], t),
    };
    if told && p.end(e.end).to.is_empty() && c.process != Process::Template {
        return String::new();
    }
    for cut in c.cuts.iter().filter(|_| !told) {
        if let SetUp::Saw { angle, turn, .. } = cut.setup {
            let square = t.angle(angle) == t.angle(0.0);
            let set = if square { String::new() } else { format!("{} turn {}, ", t.angle(angle), t.turn(turn)) };
            parts.push(format!("{set}axis {} {} back from the long point", t.cut(back(p, e.end, cut.at)), t.unit()));
        }
    }
    // A saw at hand of another size than the card's notch stands elsewhere.
    for cut in &c.cuts {
        let SetUp::HoleSaw { against, saw: Some(_), .. } = &cut.setup else { continue };
        let card = mine.iter().find_map(|s| match s {
            SetUp::HoleSaw { against: a, centre, .. } if a == against => Some(back(p, e.end, *centre)),
            _ => None,
        });
        let mine = back(p, e.end, cut.at);
        if card.is_some_and(|x| t.length(x) != t.length(mine)) {
            let way = if mine > 0.0 { "in from" } else { "beyond" };
            let of = if c.cuts.len() > 1 { format!(" for {against}") } else { String::new() };
            let place = format!("{} {} {way} long point", t.cut(mine.abs()), t.unit());
            parts.push(format!("saw at hand{of}: centre {place}"));
        }
    }
    if !p.end(e.end).to.is_empty() {
        parts.push(format!("leaves {}", t.fine(leaves(c))));
    }
    if c.process == Process::Template
        && let Some((k, why)) = blocked(e, r.shape.design.limits.fit)
    {
        parts.push(format!("{} would leave {}, but {why}", k.process.word(), t.fine(leaves(k))));
    }
    parts.join("; ")
}

fn same_cut(a: &SetUp, b: &SetUp, t: &Text) -> bool {
    let of = |s: &SetUp| match s {
        SetUp::Saw { angle, turn, .. } => Some((t.angle(*angle), t.turn(*turn))),
        _ => None,
    };
    match (of(a), of(b)) {
        (Some(a), Some(b)) => a.0 == b.0 && (a.1 == b.1 || a.0 == t.angle(0.0)),
        _ => false,
    }
}

/// A way that would fit, but can't be made: and why.
fn blocked(e: &EndProcess, fit: f64) -> Option<(&Candidate, &'static str)> {
    e.candidates.iter().filter(|c| !more(leaves(c), fit)).find_map(|c| c.note.map(|why| (c, why)))
}

/// How many ends are cut which way, and how often the tools are changed, a line each.
pub fn summary(a: &Ends) -> Vec<String> {
    let mut ways: BTreeMap<Process, usize> = BTreeMap::new();
    for c in a.ways.iter().filter_map(EndProcess::simplest) {
        *ways.entry(c.process).or_default() += 1;
    }
    let each: Vec<String> = ways.iter().map(|(p, n)| format!("{n} by {}", p.word())).collect();
    let s = &a.setups;
    let [tool, angle, offset] = s.changes;
    let mut changes = vec![format!("the hole saw is changed {}", times(tool)), format!("an angle {}", times(angle))];
    if offset > 0 {
        changes.push(format!("an offset {}", times(offset)));
    }
    let proof = if s.cost == s.bound { "no order needs fewer" } else { "a better order is not ruled out" };
    vec![
        format!("the simplest way within limits.fit: {}", each.join(", ")),
        format!("{}; {}: {proof}", counted(s.batches.len(), "set-up"), changes.join(", ")),
    ]
}

fn times(n: usize) -> String {
    match n {
        0 => "never".to_owned(),
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        n => format!("{n} times"),
    }
}

/// Set-ups in order as a table.
pub fn setups(r: &Review, a: &Ends, t: &Text) -> Sheet {
    let rows = (1..).zip(&a.setups.batches).map(|(n, b)| {
        let each = b.places.iter().map(|p| place(r, a, b, p, t)).map(|x| {
            let turn = if x.turn.is_empty() { String::new() } else { format!(" turn {}", x.turn) };
            let back = if x.back.is_empty() { String::new() } else { format!(" back {}", x.back) };
            format!("{} {}{turn}{back}", x.piece, x.end)
        });
        let cells =
            vec![n.to_string(), tool(b, t), setting(b, &r.shape.design, t), each.collect::<Vec<_>>().join("; ")];
        let mut tubes: Vec<String> = b.places.iter().map(|p| p.piece.clone()).collect();
        tubes.dedup();
        (cells, tubes)
    });
    Sheet {
        id: "setups",
        title: "Set-ups, in the order with the fewest changes".to_owned(),
        head: ["", "tool", "set to", "ends"].map(str::to_owned).to_vec(),
        numbers: vec![0],
        rows: rows.collect(),
        note: format!("{} {CAUTION}", how_to_read(t)),
    }
}

/// What the numbers beside an end mean.
pub fn how_to_read(t: &Text) -> String {
    format!(
        "Angles from square. Turn: the tube's short side, from the scribe line, clockwise looking from start to end. Back: how far, \
         in {}, the saw's cut or the hole saw's centre passes the tube's axis back from the long point on the piece's card; \
         negative is beyond it. Off: the hole saw's centre beside the tube's axis, facing the end with the short side up.",
        t.unit_word()
    )
}

/// The ways of every end with what each leaves, as a table.
pub fn ways(r: &Review, a: &Ends, t: &Text) -> Sheet {
    let pieces: BTreeMap<&str, &Piece> = r.cutting.pieces.iter().map(|p| (p.name.as_str(), p)).collect();
    let rows = a.ways.iter().map(|e| {
        let chosen = e.simplest();
        let gap = |list: &[Process]| {
            let c = list.iter().find_map(|p| e.of(*p));
            c.map_or("-".to_owned(), |c| {
                format!("{}{}", t.fine_number(leaves(c)), if c.note.is_some() { " *" } else { "" })
            })
        };
        let on = pieces.get(e.piece.as_str()).map_or(String::new(), |p| p.end(e.end).to.join(", "));
        let cells = vec![
            e.piece.clone(),
            e.end.word().to_owned(),
            on,
            chosen.map_or("meets nothing", |c| c.process.word()).to_owned(),
            gap(&[Process::Square]),
            gap(&[Process::Mitre]),
            gap(&[Process::TwoCuts]),
            gap(&[Process::HoleSaw, Process::Passes]),
            gap(&[Process::Template]),
        ];
        (cells, vec![e.piece.clone()])
    });
    let fit = t.fine(r.shape.design.limits.fit);
    Sheet {
        id: "ways",
        title: format!("What each way to cut an end leaves; gaps in {}", t.unit_word()),
        head: ["piece", "end", "on", "simplest", "square", "one mitre", "two cuts", "hole saw", "template"]
            .map(str::to_owned)
            .to_vec(),
        numbers: vec![4, 5, 6, 7, 8],
        rows: rows.collect(),
        note: format!(
            "The first that leaves {fit} (limits.fit) or less is the simplest, else the template. Gaps are square to the other \
             tube's surface, over the root gap, with saws set to the rounded angles. * can't be made with what is at hand. Two \
             cuts are not looked at where one will do."
        ),
    }
}

/// Ends at which nothing but the template is left, in one finding. Those that a hole saw would cut but for its size,
/// its depth or a bend have findings of cutting's own.
pub fn findings(r: &Review, a: &Ends) -> Vec<Finding> {
    let fit = r.shape.design.limits.fit;
    let told = |p: &Piece, end: End| {
        p.end(end).setups.iter().any(|s| matches!(s, SetUp::HoleSaw { on_bend: true, gap, .. } if more(*gap, fit)))
    };
    let mut list: Vec<(&Piece, &EndProcess, f64)> = Vec::new();
    for e in a.ways.iter().filter(|e| e.simplest().is_some_and(|c| c.process == Process::Template)) {
        let Some(p) = r.cutting.pieces.iter().find(|p| p.name == e.piece) else { continue };
        let others = e.candidates.iter().filter(|c| c.process != Process::Template);
        let least = others.clone().map(leaves).fold(f64::INFINITY, f64::min);
        if least.is_finite() && more(least, fit) && !told(p, e.end) {
            list.push((p, e, least));
        }
    }
    let Some(worst) = list.iter().max_by(|a, b| a.2.total_cmp(&b.2)) else { return Vec::new() };
    let (names, count) = named_first(list.iter().map(|x| (x.0.name.as_str(), x.1.end)), NAMED);
    let what = match count {
        1 => format!("no saw cut fits the {names}: it is for the template and the grinder"),
        n => format!("no saw cut fits at {n} ends, which are for the template and the grinder: {names}"),
    };
    let mut tubes: Vec<String> = list.iter().map(|x| x.0.name.clone()).collect();
    tubes.dedup();
    let finding = Finding::new(Level::Look, "cutting", what)
        .tubes(tubes)
        .at(worst.0.end(worst.1.end).at)
        .measured(Value::Length(worst.2))
        .limit(Value::Length(fit), "limits.fit; the least that a saw leaves, at the worst of them")
        .help(
            "mark them with their templates; with fewer tubes at one place, or the same sizes there, a hole saw fits",
        );
    vec![finding]
}
