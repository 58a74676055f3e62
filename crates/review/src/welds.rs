//! Welds: the list with its totals and the order of tacking, in words and tables that terminal, page and packet share.
//! Method: `docs/methods/welds.md`.

use std::sync::Arc;

use cutting::Cutting;
use cutting::findings::named_first;
use cutting::welds::{LEAST_ANGLE, Settings, Weld, tacks};
use serde::Serialize;
use shape::finding::less;
use shape::{End, Finding, Level, Shape, Value};

use crate::ends::NAMED;
use crate::jigs::Sheet;
use crate::text::counted;
use crate::{Review, Text};

/// What a weld list can't answer for.
pub const CAUTION: &str = "Lengths and throats are geometry: no weld procedure, and no proof that a weld holds. Welding burns, blinds \
and sets fire: fumes out, above all of zinc and paint; nothing that burns near by; no closed tube without a vent hole. Local rules \
say who may weld what, and a licensed engineer or inspector prevails.";

/// Sums over welds.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Totals {
    /// How many welds.
    pub welds: usize,
    /// m.
    pub length: f64,
    /// Length by detail, m: groove, fillet, heel, sharp.
    pub zones: [f64; 4],
    /// m³.
    pub volume: f64,
    /// Filler to buy, kg.
    pub filler: f64,
    /// Arc time, s.
    pub time: f64,
    /// m³ at the flow's own conditions.
    pub gas: f64,
}

impl Totals {
    fn add(&mut self, w: &Weld) {
        self.welds += 1;
        self.length += w.length;
        (0..4).for_each(|k| self.zones[k] += w.zones[k]);
        self.volume += w.volume;
        self.filler += w.filler;
        self.time += w.time;
        self.gas += w.gas;
    }
}

/// What a joint takes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JointTotals {
    /// The joint.
    pub joint: String,
    /// Sums over the ends that are welded there.
    pub totals: Totals,
}

/// The weld list.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Welds {
    /// Welds, by piece in fitting order.
    pub welds: Vec<Weld>,
    /// In which order they are tacked and welded: indices into `welds`.
    pub order: Vec<usize>,
    /// Sums over all.
    pub totals: Totals,
    /// Sums by joint, in the order of tacking.
    pub joints: Vec<JointTotals>,
}

/// Works them out, with the usual settings.
pub fn welds(shape: &Shape, cutting: &Cutting) -> Welds {
    let welds = cutting::welds::welds(shape, cutting, &Settings::default());
    let order = tacks::order(shape, cutting, &welds);
    let (mut totals, mut joints) = (Totals::default(), Vec::<JointTotals>::new());
    for w in order.iter().map(|&k| &welds[k]) {
        totals.add(w);
        let joint = cutting.pieces.iter().find(|p| p.name == w.piece).and_then(|p| p.end(w.end).joint.clone());
        let joint = joint.unwrap_or_else(|| format!("{} of {}", w.end.word(), w.piece));
        let at = joints.iter().position(|j| j.joint == joint).unwrap_or_else(|| {
            joints.push(JointTotals { joint, totals: Totals::default() });
            joints.len() - 1
        });
        joints[at].totals.add(w);
    }
    Welds { welds, order, totals, joints }
}

/// The review's own, or worked out now.
pub fn of(r: &Review) -> Arc<Welds> {
    r.welds.clone().unwrap_or_else(|| Arc::new(welds(&r.shape, &r.cutting)))
}

/// Names of the preparations, by rising sharpness, and the angles between the surfaces that each is for.
const DETAILS: [(&str, &str); 4] = [
    ("groove, edge bevelled", "over 120°"),
    ("fillet", "60° to 120°"),
    ("fillet in the heel", "30° to 60°"),
    ("sharper than any detail covers", "under 30°"),
];

/// s.
const HOUR: f64 = 3600.0;

/// Lengths of zones are summed each to a tenth of a micrometre: less than this apart they are the same, m.
const SAME: f64 = 1e-5;

/// A share of a line under this is told as none: a whole percent.
const TOLD: f64 = 0.01;

/// Ends that stand on something that the list does not know: a plane, a plate, another tube's face by a square cut.
fn not_listed(r: &Review) -> Vec<String> {
    let of = |p: &&cutting::Piece, end: End| {
        let e = p.end(end);
        p.state == design::TubeState::Permanent && (e.kind == "plane" || (e.kind == "square" && e.joint.is_some()))
    };
    let ends = r.cutting.pieces.iter().flat_map(|p| End::BOTH.map(|end| (p, end))).filter(|(p, end)| of(p, *end));
    let (names, count) = named_first(ends.map(|(p, end)| (p.name.as_str(), end)), NAMED);
    match count {
        0 => Vec::new(),
        n => {
            vec![format!("not in the list: {}, cut to a plane or square ({names}), and all plates", counted(n, "end"))]
        }
    }
}

/// The whole in a few lines.
pub fn summary(r: &Review, a: &Welds, t: &Text) -> Vec<String> {
    let s = &a.totals;
    let zones = (0..4).filter(|&k| s.zones[k] > 0.0);
    let zones: Vec<String> = zones.map(|k| format!("{} {}", t.length_unit(s.zones[k]), DETAILS[k].0)).collect();
    let mut out = vec![
        format!("{}, {} in all: {}", counted(s.welds, "weld"), t.length_unit(s.length), zones.join(", ")),
        format!(
            "filler {}, gas {}, arc time {:.0} min: at {} an hour deposited and {} of gas an hour (common practice, no source)",
            t.mass(s.filler),
            t.gas(s.gas),
            s.time / 60.0,
            t.mass(Settings::default().rate * HOUR),
            t.gas(Settings::default().gas * HOUR)
        ),
    ];
    out.extend(not_listed(r));
    out
}

/// One line of the list: a weld, or a weld and its mirror image.
#[derive(Clone, Debug)]
pub struct Row<'a> {
    /// Place in the order, from 1; the mirror image has the next.
    pub number: usize,
    /// The weld.
    pub weld: &'a Weld,
    /// Its mirror image: of its twin, or at the other end of the same tube.
    pub twin: Option<&'a Weld>,
}

/// The list in the order of tacking; a mirror image that follows right after stands on one line with its original.
pub fn rows(a: &Welds) -> Vec<Row<'_>> {
    let mut out: Vec<Row> = Vec::new();
    for (k, &i) in a.order.iter().enumerate() {
        let w = &a.welds[i];
        if let Some(last) = out.last_mut()
            && last.twin.is_none()
            && mirrored(last.weld, w)
        {
            last.twin = Some(w);
            continue;
        }
        out.push(Row { number: k + 1, weld: w, twin: None });
    }
    out
}

/// Whether two welds that follow one another are mirror images: of twins, or of a tube across the frame.
fn mirrored(a: &Weld, b: &Weld) -> bool {
    let own = |list: &[String]| list.iter().map(|n| n.trim_end_matches('~').to_owned()).collect::<Vec<_>>();
    let twins = a.end == b.end && format!("{}~", a.piece) == b.piece;
    let ends = a.piece == b.piece && own(&a.to) == own(&b.to) && (a.length - b.length).abs() < SAME;
    twins || ends
}

impl Row<'_> {
    /// `door_2 end`, `door_2 and twin, end`, `harness, both ends`.
    pub fn words(&self) -> String {
        let (piece, end) = (&self.weld.piece, self.weld.end.word());
        match self.twin {
            None => format!("{piece} {end}"),
            Some(twin) if twin.piece == *piece => format!("{piece}, both ends"),
            Some(_) => format!("{piece} and twin, {end}"),
        }
    }
}

/// What must be minded at a weld: where no torch comes, what hides it later, whose bead it lies under.
pub fn mind(w: &Weld, t: &Text) -> String {
    let percent = |x: f64| format!("{:.0} %", 100.0 * x);
    let mut out = Vec::new();
    if w.zones[3] > 0.0 {
        out.push(format!("{} under 30°", t.length_unit(w.zones[3])));
    }
    if w.reached_at_fitting < 1.0 - TOLD {
        out.push(format!("{} not reached", percent(1.0 - w.reached_at_fitting)));
    }
    let later = w.reached_at_fitting - w.reached_at_last;
    if later > TOLD {
        out.push(format!("weld {} before {}", percent(later), w.hidden_by.join(", ")));
    }
    out.extend(w.flush.iter().filter(|f| f.share > TOLD).map(|f| format!("flush {} under {}", percent(f.share), f.by)));
    out.join("; ")
}

/// What must be minded at a row. Where both its welds ask for the same, or for mirror images of the same, it stands once;
/// else it says which of them.
pub fn row_mind(row: &Row, t: &Text) -> String {
    let first = mind(row.weld, t);
    let Some(twin) = row.twin else { return first };
    let second = mind(twin, t);
    if first.replace('~', "") == second.replace('~', "") {
        return first;
    }
    let which = |w: &Weld| if row.weld.piece == twin.piece { w.end.word().to_owned() } else { w.piece.clone() };
    let told = |w: &Weld, words: String| (!words.is_empty()).then(|| format!("{}: {words}", which(w)));
    [told(row.weld, first), told(twin, second)].into_iter().flatten().collect::<Vec<_>>().join(" | ")
}

/// Cells of a row, behind its number: the weld, what it is on, its length each, its preparation, its throat and leg, its
/// first tack, what to mind.
pub fn cells(row: &Row, t: &Text) -> Vec<String> {
    let w = row.weld;
    let zone = |k: usize| if w.zones[k] > 0.0 { t.length(w.zones[k]) } else { String::new() };
    // Tacks are placed to some degrees.
    let first = |w: &Weld| w.tacks.first().map_or("-".to_owned(), |x| format!("{:.0}°", x.to_degrees()));
    let tack = match row.twin.map(first) {
        Some(twin) if twin != first(w) => format!("{}, {twin}", first(w)),
        _ => first(w),
    };
    let [lo, hi] = w.leg.map(|x| t.fine_number(x));
    // A groove has none.
    let leg = match (w.zones[0] < w.length - SAME, lo == hi) {
        (false, _) => String::new(),
        (true, true) => lo,
        (true, false) => format!("{lo} to {hi}"),
    };
    vec![
        row.words(),
        w.to.join(", "),
        t.length(w.length),
        zone(0),
        zone(1),
        zone(2),
        t.fine_number(w.throat),
        leg,
        tack,
        row_mind(row, t),
    ]
}

/// Headings of [`cells`].
pub fn head(t: &Text) -> Vec<String> {
    let u = t.unit();
    let fixed = ["weld", "on"].map(str::to_owned);
    let lengths = [format!("length {u}"), "groove".into(), "fillet".into(), "heel".into()];
    let rest = ["throat".into(), "leg".into(), "first tack".into(), "mind".into()];
    fixed.into_iter().chain(lengths).chain(rest).collect()
}

/// How the list is read.
pub const HOW: &str = "From the middle of the frame outward, left before right: tack what stands in this order, and weld it out in \
this order. Four tacks at each end: the first at this turn (from the scribe line, clockwise looking from start to end), the second \
opposite, then the two between. Lengths run along the line that the wall's outer edge meets; groove, fillet and heel are the parts of it \
where the surfaces stand at over 120°, at 60° to 120° and at 30° to 60°. Throat 1.1 of the wall; the leg is of a fillet with equal legs. \
To mind: what a torch does not reach, what must be welded before a later tube hides it, and where a bead must be ground flush, or left, \
because a later tube lies on it.";

/// The list as a table.
pub fn list(a: &Welds, t: &Text) -> Sheet {
    let rows = rows(a).into_iter().map(|row| {
        let mut all = vec![row.number.to_string()];
        all.extend(cells(&row, t));
        (all, [Some(row.weld), row.twin].into_iter().flatten().map(|w| w.piece.clone()).collect())
    });
    let mut heads = vec![String::new()];
    heads.extend(head(t));
    Sheet {
        id: "welds",
        title: "Welds, in the order of tacking".to_owned(),
        head: heads,
        numbers: vec![0, 3, 4, 5, 6, 7],
        rows: rows.collect(),
        note: HOW.to_owned(),
    }
}

/// Sums by preparation and by joint, as tables.
pub fn sums(r: &Review, a: &Welds, t: &Text) -> [Sheet; 2] {
    let (s, u) = (&a.totals, t.unit());
    let share = |x: f64| format!("{:.0} %", if s.length > 0.0 { 100.0 * x / s.length } else { 0.0 });
    let rows = (0..4).filter(|&k| s.zones[k] > 0.0).map(|k| {
        let (name, angles) = DETAILS[k];
        (vec![name.to_owned(), angles.to_owned(), t.length(s.zones[k]), share(s.zones[k])], Vec::new())
    });
    let details = Sheet {
        id: "preparations",
        title: "Welds by preparation".to_owned(),
        head: ["preparation".to_owned(), "surfaces stand at".to_owned(), format!("length {u}"), "of all".to_owned()]
            .to_vec(),
        numbers: vec![2, 3],
        rows: rows.collect(),
        note: format!("{}.", summary(r, a, t).join(". ")),
    };
    let rows = a.joints.iter().map(|j| {
        let x = &j.totals;
        (vec![j.joint.clone(), x.welds.to_string(), t.length(x.length), t.filler(x.filler)], Vec::new())
    });
    let joints = Sheet {
        id: "weld-joints",
        title: "Welds by joint".to_owned(),
        head: ["joint".to_owned(), "welds".to_owned(), format!("length {u}"), format!("filler {}", t.filler_unit())]
            .to_vec(),
        numbers: vec![1, 2, 3],
        rows: rows.collect(),
        note: String::new(),
    };
    [details, joints]
}

/// Welds of one kind of trouble in one finding: `n` welds are named, the worst gives place and measure.
fn group<'a>(
    r: &Review,
    level: Level,
    list: &[&'a Weld],
    what: impl Fn(&str, usize) -> String,
    worst: impl Fn(&Weld) -> f64,
) -> Option<(Finding, &'a Weld)> {
    let first = list.iter().copied().min_by(|a, b| worst(a).total_cmp(&worst(b)))?;
    let (names, count) = named_first(list.iter().map(|w| (w.piece.as_str(), w.end)), NAMED);
    let mut tubes: Vec<String> = list.iter().map(|w| w.piece.clone()).collect();
    tubes.dedup();
    let mut f = Finding::new(level, "cutting", what(&names, count)).tubes(tubes);
    if let Some(p) = r.cutting.pieces.iter().find(|p| p.name == first.piece) {
        f = f.at(p.end(first.end).at);
    }
    Some((f, first))
}

/// `the weld at the end of a`, or `3 welds: …`.
fn the(names: &str, count: usize) -> String {
    if count == 1 { format!("the weld at the {names}") } else { format!("{count} welds ({names})") }
}

/// What must be said of welds, each kind of trouble once.
pub fn findings(r: &Review, a: &Welds) -> Vec<Finding> {
    let of = |f: &dyn Fn(&Weld) -> bool| a.welds.iter().filter(|w| f(w)).collect::<Vec<_>>();
    let mut out = Vec::new();
    let sharp = of(&|w| w.sharp && !told_sharp(r, w));
    let what = |names: &str, n: usize| format!("{} join tubes at less than the least angle", the(names, n));
    if let Some((f, w)) = group(r, Level::Look, &sharp, what, |w| w.angle) {
        out.push(
            f.measured(Value::Angle(w.angle))
                .limit(Value::Angle(LEAST_ANGLE), "EN 1993-1-8, 7.1.2, from memory")
                .help("let the two meet at a wider angle, or close the heel with a plate"),
        );
    }
    let least = Settings::default().least;
    let narrow = of(&|w| w.zones[3] > 0.0);
    let what =
        |names: &str, n: usize| format!("part of {} lies between surfaces that no weld detail covers", the(names, n));
    if let Some((f, w)) = group(r, Level::NotChecked, &narrow, what, |w| w.dihedral[0]) {
        out.push(
            f.measured(Value::Angle(w.dihedral[0]))
                .limit(Value::Angle(least), "least angle between surfaces, AWS D1.1, from memory")
                .help("leave that part open, or try the joint on scrap and cut it through; the weld list tells how long it is"),
        );
    }
    let (text, torch) = (Text::new(&r.shape.design), Settings::default().torch);
    let torch = format!(
        "whole line; torch of {} nozzle and {} body leaned by up to {:.0}°, common practice, no source",
        text.fine(2.0 * torch.nozzle),
        text.fine(2.0 * torch.body),
        torch.lean.to_degrees()
    );
    let blind = of(&|w| less(w.reached_at_fitting, 1.0 - TOLD));
    let what =
        |names: &str, n: usize| format!("a torch does not reach all of {} when the tube is fitted", the(names, n));
    if let Some((f, w)) = group(r, Level::Look, &blind, what, |w| w.reached_at_fitting) {
        out.push(
            f.measured(Value::Part(w.reached_at_fitting))
                .limit(Value::Part(1.0), torch.as_str())
                .help("use a thinner torch or a longer wire there, or move what stands in its way a little"),
        );
    }
    let hidden = of(&|w| w.reached_at_fitting - w.reached_at_last > TOLD);
    let what = |names: &str, n: usize| format!("later tubes hide part of {}", the(names, n));
    if let Some((f, w)) = group(r, Level::Look, &hidden, what, |w| w.reached_at_last) {
        let by = w.hidden_by.join(", ");
        out.push(f.measured(Value::Part(w.reached_at_last)).limit(Value::Part(1.0), torch.as_str()).help(format!(
            "weld that part before the later tube is tacked in: at the {} of {} before {by}; the weld list tells all",
            w.end.word(),
            w.piece
        )));
    }
    let under = |w: &Weld| w.flush.iter().map(|f| f.share).fold(0.0, f64::max);
    let flush = of(&|w| under(w) > TOLD);
    let what = |names: &str, n: usize| format!("a later tube lies on the bead of {}", the(names, n));
    if let Some((mut f, w)) = group(r, Level::Note, &flush, what, |w| -under(w)) {
        if let Some(spot) = w.flush.iter().max_by(|a, b| a.share.total_cmp(&b.share)) {
            f = f.at(spot.at);
        }
        let most = f.measured(Value::Part(under(w)));
        out.push(most.help(
            "grind the bead flush there before the later tube is put in, or weld that part after it; keep tacks clear of it",
        ));
    }
    out
}

/// Whether cutting itself says that this end stands too sharp.
fn told_sharp(r: &Review, w: &Weld) -> bool {
    let Some(p) = r.cutting.pieces.iter().find(|p| p.name == w.piece) else { return false };
    let end: End = w.end;
    p.end(end).setups.iter().any(|s| match s {
        cutting::SetUp::HoleSaw { angle, .. } => less(std::f64::consts::FRAC_PI_2 - angle, LEAST_ANGLE),
        cutting::SetUp::Saw { angle, against, .. } => {
            against.is_some() && p.end(end).kind == "cope" && less(std::f64::consts::FRAC_PI_2 - angle, LEAST_ANGLE)
        }
        cutting::SetUp::Template { .. } => false,
    })
}
