//! Steel: what the pieces ask of the rack, what is cut already, and how far today's sticks go.

use std::collections::{BTreeMap, BTreeSet};

use cutting::{Cutting, EndCut, Piece, SetUp};
use design::units::{Quantity, show};
use design::{Design, SectionShape};
use shape::{Finding, Level, Shape};
use stock::{Mitre, Plan, Reach, Settings, Stage, StickKind};

use crate::text::counted;

/// What the shop has done already, as far as steel goes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Made {
    /// Names of the pieces that are cut.
    pub cut: BTreeSet<String>,
    /// Sticks that were cut.
    pub sticks: Vec<CutStick>,
    /// Pieces that are ticked as cut while nobody has said from which stick: the plan keeps steel for them.
    pub unsaid: Vec<String>,
    /// Pieces that are tacked or welded.
    pub standing: Vec<String>,
}

/// A stick that was cut.
#[derive(Clone, Debug, PartialEq)]
pub struct CutStick {
    /// The mark on it.
    pub mark: String,
    /// Name of its section.
    pub section: String,
    /// How long it was, m, if that is known.
    pub whole: Option<f64>,
    /// Where it stood, if that is known.
    pub place: Option<String>,
    /// What is left of it, m.
    pub left: f64,
}

/// What is asked of the stock.
#[derive(Clone, Debug, PartialEq)]
pub struct Steel {
    /// The pieces that are not cut yet, in fitting order.
    pub wanted: Vec<stock::Piece>,
    /// Sticks: as the file lists them, then what is left of those that were cut.
    pub sticks: Vec<StickKind>,
    /// Marks of sticks that were cut, by their place in `sticks`.
    pub marks: BTreeMap<usize, String>,
    /// Marks that are given away, of sticks that are used up, too.
    given: BTreeSet<String>,
    /// The saw, and what deliveries cost.
    pub settings: Settings,
    /// Parts of the build; the whole frame if the file has none.
    pub stages: Vec<Stage>,
}

/// A stick of the record is one of the file's if their lengths differ by less than this, m: the file's length may have
/// been written in other decimals since.
const SAME_LENGTH: f64 = 1e-4;

impl Steel {
    /// From a design, with what is done already; `limit` as in [`Settings::limit`].
    pub fn new(shape: &Shape, cutting: &Cutting, made: &Made, limit: u64) -> Steel {
        let design = &shape.design;
        let wanted = cutting.pieces.iter().filter(|p| !made.cut.contains(&p.name)).map(|p| piece(shape, p)).collect();
        let (mut sticks, mut marks) = (sticks(design), BTreeMap::new());
        for s in &made.sticks {
            let of = sticks.iter_mut().find(|k| {
                k.section == s.section
                    && k.count.is_some_and(|n| n > 0)
                    && k.place == s.place
                    && s.whole.is_some_and(|w| (w - k.length).abs() < SAME_LENGTH)
            });
            // Where none is found it was bought to be cut, or the file has been told of it already.
            if let Some(count) = of.and_then(|k| k.count.as_mut()) {
                *count -= 1;
            }
        }
        for s in &made.sticks {
            if s.left > 0.0 && s.left >= design.rack.useful {
                marks.insert(sticks.len(), s.mark.clone());
                sticks.push(StickKind {
                    section: s.section.clone(),
                    length: s.left,
                    count: Some(1),
                    place: Some(format!("left of {}", s.mark)),
                    ..StickKind::default()
                });
            }
        }
        let rack = &design.rack;
        let settings = Settings {
            limit,
            least_useful: rack.useful,
            deliveries: deliveries(design),
            ..Settings::saw(rack.kerf, rack.trim)
        };
        let given = made.sticks.iter().map(|s| s.mark.clone()).collect();
        Steel { wanted, sticks, marks, given, settings, stages: stages(shape, cutting) }
    }

    /// The cutting plan. A stick that was cut before keeps its mark.
    pub fn plan(&self) -> Plan {
        let mut plan = stock::plan(&self.wanted, &self.sticks, &self.settings);
        self.mark(&mut plan);
        plan
    }

    /// How far the sticks that are here today go.
    ///
    /// # Errors
    /// If no piece can be planned: why.
    pub fn reach(&self) -> Result<Reach, Vec<stock::Problem>> {
        let mut reach = stock::reach(&self.wanted, &self.sticks, &self.settings, &self.stages)?;
        self.mark(&mut reach.today);
        for plan in [&mut reach.missing, &mut reach.awaited].into_iter().flatten() {
            self.mark(plan);
        }
        Ok(reach)
    }

    fn mark(&self, plan: &mut Plan) {
        for section in &mut plan.sections {
            let (mut number, mut new) = (0, BTreeMap::new());
            for stick in &mut section.sticks {
                let letters: String = stick.mark.chars().take_while(|c| c.is_alphabetic()).collect();
                let mark = self.marks.get(&stick.kind).cloned().unwrap_or_else(|| {
                    // One that another stick bears already would be taken for that.
                    loop {
                        number += 1;
                        let mark = format!("{letters}{number}");
                        if !self.given.contains(&mark) {
                            break mark;
                        }
                    }
                });
                new.insert(std::mem::replace(&mut stick.mark, mark.clone()), mark);
            }
            for o in &mut section.offcuts {
                if let Some(mark) = new.get(&o.mark) {
                    o.mark.clone_from(mark);
                }
            }
        }
    }
}

/// What a piece takes from the rack: its blank, with what is left long and what the clamp needs.
fn piece(shape: &Shape, p: &Piece) -> stock::Piece {
    let grip = p.bends.as_ref().map_or(0.0, |b| b.grip_extra);
    let long = p.ends[0].left_long + p.ends[1].left_long;
    let note = match (grip > 0.0, long > 0.0) {
        (true, true) => Some("with grip, left long".to_owned()),
        (true, false) => Some("with grip".to_owned()),
        (false, true) => Some("left long".to_owned()),
        (false, false) => None,
    };
    // A bent piece's ends are cut when it is bent.
    let mitres = [0, 1].map(|e| if p.bends.is_some() { None } else { mitre(&p.ends[e], p.size) });
    stock::Piece {
        name: p.name.clone(),
        section: p.section.clone(),
        length: p.lengths.blank,
        note,
        order: p.number,
        mitres,
        splittable: shape.design.tubes[shape.tubes[p.tube].id.0].splice,
    }
}

/// A plane cut that a neighbour on the stick may share.
fn mitre(end: &EndCut, size: SectionShape) -> Option<Mitre> {
    let [SetUp::Saw { angle, turn, gap, .. }] = end.setups.as_slice() else { return None };
    let whole = end.left_long == 0.0 && *gap == 0.0 && *angle > geometry::PARALLEL;
    let across = match size {
        SectionShape::Round { .. } => None,
        SectionShape::Box { .. } => Some(*turn),
    };
    whole.then_some(Mitre { angle: *angle, overlap: end.profile.long - end.profile.short, across })
}

/// m.
const FOOT: f64 = 0.3048;

fn sticks(design: &Design) -> Vec<StickKind> {
    let kind = |s: &design::Stick| StickKind {
        section: design.sections[s.section.0].name.clone(),
        length: s.length,
        count: s.count,
        price: if s.per == design::Per::Foot { s.price / FOOT } else { s.price },
        per_metre: s.per != design::Per::Stick,
        cut_fee: s.cut_fee,
        supplier: s.supplier.map(|id| design.suppliers[id.0].name.clone()),
        on_order: s.ordered,
        place: s.place.clone(),
    };
    design.rack.sticks.iter().map(kind).collect()
}

fn deliveries(design: &Design) -> Vec<stock::Delivery> {
    let of = |s: &design::Supplier| stock::Delivery { supplier: s.name.clone(), cost: s.delivery };
    design.suppliers.iter().map(of).collect()
}

/// The file's stages by the last piece of each; what comes after the last stage is one of its own.
fn stages(shape: &Shape, cutting: &Cutting) -> Vec<Stage> {
    let design = &shape.design;
    let last = cutting.pieces.last().map_or(0, |p| p.number);
    let mut out: Vec<Stage> = Vec::new();
    for s in &design.stages {
        let name = &design.tubes[s.until.id.0].name;
        let of = |p: &&Piece| p.name == *name || p.twin_of.as_ref() == Some(name);
        // Its last tube may be provisional: then the stage ends with what is cut before it.
        let place = shape.tubes.iter().rposition(|t| t.id == s.until.id).map_or(0, |i| i + 1);
        let number = cutting.pieces.iter().filter(of).map(|p| p.number).max().unwrap_or(place);
        out.push(Stage { name: s.name.clone(), last: number });
    }
    if out.last().is_none_or(|s| s.last < last) {
        let name = if out.is_empty() { "the whole frame" } else { "the rest" };
        out.push(Stage { name: name.to_owned(), last });
    }
    out
}

/// What could not be planned, and what only just fits, as findings.
pub(crate) fn findings(design: &Design, plan: &Plan, made: &Made) -> Vec<Finding> {
    let length = |m: f64| show(m, Quantity::Length, design.units);
    let mut out: Vec<Finding> = plan.problems.iter().map(|p| problem(design, p)).collect();
    if !made.unsaid.is_empty() {
        let cut = counted(made.unsaid.len(), "piece");
        let what = format!("{cut} ticked as cut, but not from which stick: the plan still keeps steel for them");
        let help = "say on the phone which stick each came from, and what is left of it";
        out.push(Finding::new(Level::Note, "stock", what).help(help).tubes(made.unsaid.clone()));
    }
    for j in &plan.joins {
        let what = format!("{} is joined from two parts, {} and {}", j.name, length(j.parts[0]), length(j.parts[1]));
        let help = "square ends, a sleeve inside, and a weld in the middle of a member: neither strength nor the weld list counts \
                    it, and rules may forbid it there. A longer stick does without";
        out.push(Finding::new(Level::Look, "stock", what).help(help).tubes([j.name.clone()]));
    }
    for s in &plan.sections {
        let tight: Vec<&stock::StickPlan> =
            s.sticks.iter().filter(|k| !k.cuts.is_empty() && k.offcut < SPARE * k.cuts.len() as f64).collect();
        if !tight.is_empty() {
            let marks: Vec<&str> = tight.iter().map(|k| k.mark.as_str()).collect();
            let sticks = if marks.len() == 1 { "stick" } else { "sticks" };
            let what = format!("{}: nothing to spare on {sticks} {}", s.section, marks.join(", "));
            let help = "each cut that is a little wide is then missing at the last piece: measure the stick first, and cut the longest piece first";
            let tubes: Vec<String> = tight.iter().flat_map(|k| k.cuts.iter().map(|c| c.name.clone())).collect();
            out.push(Finding::new(Level::Note, "stock", what).help(help).tubes(tubes));
        }
    }
    out
}

/// What could not be planned. A piece that no stick which the file lists can hold is a matter of the drawing; a rack that
/// is empty or used up is one of the next purchase.
fn problem(design: &Design, p: &stock::Problem) -> Finding {
    let length = |m: f64| show(m, Quantity::Length, design.units);
    let mut level = Level::Look;
    let mut tubes = Vec::new();
    if let stock::Problem::TooLong { name, section, length: of, .. } = p {
        let rack = &design.rack;
        let listed = rack.sticks.iter().filter(|k| design.sections[k.section.0].name == *section);
        if !listed.into_iter().any(|k| k.length - rack.trim >= *of) {
            level = Level::Mend;
        }
        tubes.push(name.clone());
    }
    let f = Finding::new(level, "stock", p.message(length)).tubes(tubes);
    match advice(design, p, length) {
        Some(help) => f.help(help),
        None => f,
    }
}

/// What to write into the file so that it can be planned. `length` writes one.
pub fn advice(design: &Design, p: &stock::Problem, length: impl Fn(f64) -> String) -> Option<String> {
    match p {
        stock::Problem::TooLong { name, section, length: of, .. } => {
            let longer = format!("list a longer `[[rack.stick]]` of `{section}`");
            let tube = design.tubes.iter().find(|t| t.name == name.trim_end_matches('~'));
            Some(match tube.and_then(|t| t.splice) {
                None => format!(
                    "{longer}, or let the tube be joined from two parts: `splice` on it, with the shortest part that is allowed"
                ),
                Some(least) if 2.0 * least > *of => format!(
                    "`splice` allows no part under {}, and {} is too short for two of them: lower it, or {longer}",
                    length(least),
                    length(*of)
                ),
                Some(least) => {
                    format!("not in two parts of at least {} either, as `splice` allows: {longer}", length(least))
                }
            })
        }
        stock::Problem::NoSticks { section, .. } => Some(format!(
            "add `[[rack.stick]]` with `section = \"{section}\"` and a `length`: with a `count` it is on hand, without one it can be bought"
        )),
        _ => None,
    }
}

/// A problem with what to do about it, as terminal and packet print it.
pub fn problem_words(design: &Design, p: &stock::Problem, length: impl Fn(f64) -> String + Copy) -> String {
    let more = advice(design, p, length).map_or(String::new(), |a| format!("; {a}"));
    p.message(length) + &more
}

/// What a cut may be off by, m: a pencil line's width; common practice, no source.
const SPARE: f64 = 0.0005;

/// How good a section's plan is, in words.
pub fn proof(s: &stock::SectionPlan, currency: &str) -> String {
    let Some(b) = &s.bound else { return String::new() };
    let mut words = if s.proven {
        "no plan costs less: proven".to_owned()
    } else {
        let gap =
            if b.cost > 0.0 { format!(", {:.1} % above that", 100.0 * (s.cost / b.cost - 1.0)) } else { String::new() };
        format!("no plan costs less than {:.2} {currency}, this one {:.2}{gap}", b.cost, s.cost).replace("  ", " ")
    };
    if s.fewest {
        words += "; none at its cost uses fewer sticks: proven";
    } else {
        words += &format!("; none at its cost uses fewer than {}", counted(b.sticks_at_cost, "stick"));
    }
    if s.nested > 0.0 && s.longest_offcut {
        words += "; its longest offcut can't be longer";
    }
    words
}

/// The sticks that a piece comes from, with its cut on each: one, or two where it is joined, its first part first.
pub fn places<'a>(plan: &'a Plan, piece: &str) -> Vec<(&'a stock::StickPlan, &'a stock::Cut)> {
    let sticks = plan.sections.iter().flat_map(|s| &s.sticks);
    let mut out: Vec<_> =
        sticks.flat_map(|k| k.cuts.iter().map(move |c| (k, c))).filter(|(_, c)| c.name == piece).collect();
    out.sort_by_key(|(_, c)| c.part);
    out
}

/// The mark of the stick that a piece comes from, or of both: `A1`, `A1 + A3`.
pub fn marks(plan: &Plan, piece: &str) -> Option<String> {
    let mut marks: Vec<&str> = places(plan, piece).iter().map(|(k, _)| k.mark.as_str()).collect();
    marks.dedup();
    (!marks.is_empty()).then(|| marks.join(" + "))
}

/// What is to be known of a piece that is joined from two parts: from where, how long each is, how they are joined.
/// `length` writes one.
pub fn joined(plan: &Plan, piece: &str, length: impl Fn(f64) -> String) -> Option<String> {
    let list = places(plan, piece);
    let [(first, a), (second, b)] = list[..] else { return None };
    let from =
        if first.mark == second.mark { first.mark.clone() } else { format!("{} and {}", first.mark, second.mark) };
    let (a, b) = (length(a.to - a.from), length(b.to - b.from));
    Some(format!("from {from}, joined: part 1 {a}, part 2 {b}; {JOINED}"))
}

/// How two parts are joined: as the finding of a join has it.
const JOINED: &str = "square cuts, a sleeve inside, a weld round the joint";

/// The cuts of a stick in words: pieces in the order of cutting, with what must be said of each. `length` writes one.
pub fn cuts(k: &stock::StickPlan, length: impl Fn(f64) -> String) -> Vec<String> {
    k.cuts
        .iter()
        .map(|c| {
            let mut s = format!("{} {}", c.name, length(c.to - c.from));
            if let Some(part) = c.part {
                s += &format!(" (part {part} of 2)");
            }
            if c.turned {
                s += " (end first)";
            }
            if c.nested > 0.0 {
                s += " (shares the cut before it)";
            }
            s
        })
        .collect()
}

/// Where a stick comes from.
pub fn from(k: &stock::StickPlan) -> String {
    match (k.bought, k.on_order, &k.place) {
        (true, ..) => "buy".to_owned(),
        (false, true, Some(p)) => format!("on order, {p}"),
        (false, true, None) => "on order".to_owned(),
        (false, false, Some(p)) => p.clone(),
        (false, false, None) => "rack".to_owned(),
    }
}

/// So many pieces are named in a line; the plan has all of them.
const NAMED: usize = 12;

/// Pieces that a plan with all that is here and on sale leaves without a stick.
fn not_to_be_had(plan: &Plan, steel: &Steel) -> Vec<String> {
    let long =
        |k: usize| plan.problems.iter().any(|p| matches!(p, stock::Problem::TooLong { piece, .. } if *piece == k));
    let none: Vec<usize> = plan.sections.iter().flat_map(|s| s.unplaced.iter().copied()).collect();
    let (long, other): (Vec<usize>, Vec<usize>) = none.into_iter().partition(|k| long(*k));
    let named = |list: &[usize]| {
        let mut names: Vec<String> = list.iter().take(NAMED).map(|k| steel.wanted[*k].name.clone()).collect();
        if list.len() > NAMED {
            names.push(format!("{} more", list.len() - NAMED));
        }
        names.join(", ")
    };
    let of = |list: &[usize], what: &str| (!list.is_empty()).then(|| format!("{what} {}", named(list)));
    [of(&long, "nothing on sale is long enough for"), of(&other, "nothing on sale is left for")]
        .into_iter()
        .flatten()
        .collect()
}

/// How far today's steel goes, a line each. `length` writes a length with its unit.
pub fn reach_words(r: &Reach, steel: &Steel, currency: &str, length: impl Fn(f64) -> String) -> Vec<String> {
    let mut out = Vec::new();
    let name = |k: usize| &steel.wanted[k].name;
    let all = r.order.len();
    match r.stopped_by {
        None if all == 0 => out.push("every piece is cut".to_owned()),
        None => out.push(format!("today's steel is enough for all {} that are left", counted(all, "piece"))),
        Some(k) => {
            let sure = if r.proven { "" } else { " (no way was found; that there is none is not proven)" };
            let first = counted(r.prefix, "piece");
            out.push(format!("today's steel goes as far as {first} of {all} in fitting order: not {}{sure}", name(k)));
        }
    }
    let whole: Vec<&str> = r.stages.iter().filter(|s| s.whole).map(|s| s.name.as_str()).collect();
    if r.stages.len() > 1 && !whole.is_empty() {
        out.push(format!("whole with it: {}", whole.join(", ")));
    }
    let Some(next) = r.next else { return out };
    let stage = &r.stages[next].name;
    if !r.anyway.is_empty() {
        let mut names: Vec<String> = r.anyway.iter().take(NAMED).map(|k| name(*k).clone()).collect();
        if r.anyway.len() > NAMED {
            names.push(format!("and {} more", r.anyway.len() - NAMED));
        }
        out.push(format!("of {stage} can be cut all the same: {}", names.join(", ")));
    }
    let bought = |plan: &Plan| {
        let each = plan.purchases.iter().map(|p| format!("{} {} of {}", p.count, p.section, length(p.length)));
        each.collect::<Vec<_>>().join(", ")
    };
    let price = |plan: &Plan| {
        if plan.cost > 0.0 { format!(", for {:.2} {currency}", plan.cost).trim_end().to_owned() } else { String::new() }
    };
    let ordered = |plan: &Plan| plan.sections.iter().flat_map(|s| &s.sticks).filter(|k| k.on_order).count();
    let awaited = r.awaited.as_ref().filter(|p| ordered(p) > 0);
    if let Some(plan) = awaited {
        let more = bought(plan);
        let more = if more.is_empty() { more } else { format!(" and {more}{}", price(plan)) };
        out.push(format!("{stage} waits for {} on order{more}", counted(ordered(plan), "stick")));
    }
    if let Some(plan) = &r.missing {
        let begin =
            if awaited.is_some() { "without waiting it takes".to_owned() } else { format!("{stage} waits for") };
        let buy = if plan.purchases.is_empty() { "steel that is not to be had".to_owned() } else { bought(plan) };
        let mut line = format!("{begin} {buy}{}", price(plan));
        for words in not_to_be_had(plan, steel) {
            line += &format!("; {words}");
        }
        out.push(line);
    }
    if let Some(u) = r.purchases.first() {
        let k = &steel.sticks[u.kind];
        let reach = if u.prefix >= all {
            "everything can be cut".to_owned()
        } else {
            format!("{} of {all} can be cut", u.prefix)
        };
        out.push(
            format!(
                "what helps most for its cost: {} {} of {}, {:.2} {currency}",
                u.count,
                k.section,
                length(k.length),
                u.cost
            )
            .trim_end()
            .to_owned()
                // How many cuts these are depends on what else is cut from it.
                + if k.cut_fee > 0.0 { " without the seller's cuts" } else { "" }
                + &format!("; then {reach}"),
        );
    }
    out
}
