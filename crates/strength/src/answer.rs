//! Everything asked of the frame's strength.

use std::collections::{HashMap, HashSet};
use std::sync::atomic::AtomicBool;

use frame::{Frame, Held, HeldError, Hold, HoldError, ModesError, Response, Way};
use geometry::DVec3;
use serde::Serialize;
use shape::{Finding, Level, Shape};

use crate::advice::Advice;
use crate::build::Built;
use crate::cases::{Act, Case, NoCase, Pushed, Wanted, own};
use crate::crush::{Crushed, crush};
use crate::deep::{Buckles, Vibrates, buckling, say, vibration};
use crate::findings;
use crate::places::Placed;
use crate::pushed_braces::{MOST, pushed};
use crate::rest::{Lying, at_rest};
use crate::rig::{Rigged, rig};
use crate::sets::{Plan, Published};
use crate::stress::Stress;
use crate::uses::parts;
use crate::watch::{Progress, Watch};
use crate::welded::{Welded, Welds};

/// Where a tube is used most.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Used {
    /// The tube.
    pub tube: String,
    /// Where along it, m from its start.
    pub station: f64,
    /// Where, m.
    pub at: DVec3,
    /// What it carries there.
    pub stress: Stress,
}

/// The place that moves most: a node, or one along a tube.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Moved {
    /// Its name.
    pub name: String,
    /// Where, m.
    pub at: DVec3,
    /// By how much, m.
    pub by: DVec3,
}

/// What a support carries.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reaction {
    /// Its name.
    pub name: String,
    /// Where, m.
    pub at: DVec3,
    /// Force on the frame, N.
    pub force: DVec3,
    /// Moment on the frame, N m.
    pub moment: DVec3,
}

/// A stretch of a tube between two nodes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bar {
    /// The tube, as the shape counts them.
    pub tube: usize,
    /// From where to where along it, m.
    pub along: [f64; 2],
    /// The nodes at both ends, as [`Answer::nodes`] counts them. Where a tube passes beside a node, a rigid arm joins them.
    pub nodes: [usize; 2],
}

/// A case worked out.
#[derive(Clone, Debug, Serialize)]
pub struct Solved {
    /// Its name.
    pub name: String,
    /// Where it comes from.
    pub source: String,
    /// What balances the loads.
    pub carried: &'static str,
    /// What it must keep to.
    pub wanted: Wanted,
    /// The place that moves most.
    pub moved: Moved,
    /// Every tube where it is used most, the most used first.
    pub used: Vec<Used>,
    /// What is published of it, if it is.
    pub published: Option<Published>,
    /// What the supports carry; where wheels push back, each at its tyre's contact.
    pub reactions: Vec<Reaction>,
    /// Wheels that would have to pull at the ground, and are off it.
    pub lifted: Vec<String>,
    /// The least factor at which it buckles; `None` if not worked out, or if nothing is pressed.
    pub buckling: Option<Buckles>,
    /// Whether buckling was worked out.
    pub buckling_known: bool,
    /// The case pushed past yielding; `None` if not asked for.
    pub crushed: Option<Crushed>,
    /// What is left over of the balance at the worst node, as a part of the largest load.
    pub residual: f64,
    /// How every node moves, m and rad, in the order of [`Answer::nodes`].
    #[serde(skip)]
    pub motions: Vec<frame::six::Six>,
    /// Acceleration that all masses press with, m/s².
    #[serde(skip)]
    pub field: DVec3,
    /// Whether the car lies on the ground under it, in one of its rest attitudes.
    #[serde(skip)]
    pub lies: bool,
    /// The forces of the load itself.
    #[serde(skip)]
    pub acts: Vec<Act>,
}

/// The answer.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Answer {
    /// How much was worked out.
    pub depth: Depth,
    /// Names and places of the nodes.
    pub nodes: Vec<(String, DVec3)>,
    /// Number of beams between them.
    pub beams: usize,
    /// The beams.
    #[serde(skip)]
    pub bars: Vec<Bar>,
    /// Cases, in the file's order.
    pub cases: Vec<Solved>,
    /// Every welded end of a tube under each case. Empty if not asked for.
    pub joints: Vec<Welded>,
    /// Cases that could not be worked out.
    pub without: Vec<NoCase>,
    /// Torsion and bending stiffness.
    pub rig: Option<Rigged>,
    /// Natural frequencies of the frame floating with what it carries, wheels left out. Empty if not asked for.
    pub vibration: Vec<Vibrates>,
    /// Which tube would help most, and which is missed least; `None` if not asked for.
    pub advice: Option<Advice>,
    /// What was found about the model.
    #[serde(skip)]
    pub findings: Vec<Finding>,
}

/// How much is worked out, each with all before it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Depth {
    /// What keeps up with a point that is dragged: statics, and the rigs.
    #[default]
    Live,
    /// Welded joints, buckling, natural frequencies and advice.
    Full,
    /// The cases that ask for it pushed past yielding.
    Collapse,
}

/// Works out the design's load cases and the published ones that it wants.
pub fn strength(shape: &Shape, depth: Depth) -> Answer {
    lying(shape, depth, &[])
}

/// As [`strength`], with the attitudes in which the car lies; those under `strength.rest` times its weight.
pub fn lying(shape: &Shape, depth: Depth, attitudes: &[Lying]) -> Answer {
    watched(shape, depth, attitudes, Watch { told: &|_| {}, stop: &AtomicBool::new(false) })
}

/// As [`lying`], with somebody who waits for the loads that are pushed past yielding.
pub fn watched(shape: &Shape, depth: Depth, attitudes: &[Lying], watch: Watch<'_>) -> Answer {
    let plan = Plan::new(shape);
    let mut spots = plan.spots.clone();
    spots.extend(crate::rest::spots(shape, attitudes));
    let mut placed = Placed::with(shape, &spots);
    placed.hang(shape);
    let mut answer = Answer { depth, findings: std::mem::take(&mut placed.findings), ..Answer::default() };
    let m = &placed.built.model;
    answer.nodes = placed.built.names.iter().cloned().zip(m.nodes.iter().copied()).collect();
    answer.beams = m.beams.len();
    answer.bars = m
        .beams
        .iter()
        .zip(&placed.built.beams)
        .map(|(b, &(tube, from))| Bar { tube, along: [from, from + b.length()], nodes: b.nodes })
        .collect();
    if m.beams.is_empty() {
        findings::no_tubes(shape, &mut answer);
        return answer;
    }
    let mut cases: Vec<Case> = Vec::new();
    for l in &shape.design.loads {
        match own(shape, &placed, l) {
            Ok(c) => cases.push(c),
            Err(e) => answer.without.push(e),
        }
    }
    let (published, without) = plan.cases(&placed);
    cases.extend(published);
    answer.without.extend(without);
    let frame = match Frame::new(m.clone()) {
        Ok(f) => f,
        Err(e) => {
            let why = unusable(&placed.built, shape, e);
            answer.without.extend(cases.iter().map(|c| no(c, why.clone(), MEND)));
            findings::unusable(shape, &why, &mut answer);
            findings::all(shape, &mut answer);
            return answer;
        }
    };
    let (rests, ready) = at_rest(shape, &placed, &frame, attitudes);
    for result in rests {
        match result {
            Ok(c) => cases.push(c),
            Err(e) => answer.without.push(e),
        }
    }
    match rig(shape, &placed, &frame) {
        Some(Ok(r)) => answer.rig = Some(r),
        Some(Err(e)) => {
            let (why, help) = unheld(&placed.built, shape, e);
            findings::no_rig(&why, help, &mut answer);
        }
        None => findings::no_places(shape, &mut answer),
    }
    // Cases that are held alike are factorised once.
    let mut groups: Vec<(&[Hold], Vec<&Case>)> = Vec::new();
    for c in &cases {
        match groups.iter_mut().find(|g| g.0 == c.holds) {
            Some(g) => g.1.push(c),
            None => groups.push((&c.holds, vec![c])),
        }
    }
    let mut welds = (depth >= Depth::Full).then(|| Welds::new(shape));
    for (holds, cases) in groups {
        if let Some((_, held)) = ready.as_ref().filter(|r| r.0 == holds) {
            run(shape, &placed, &frame, held, &cases, &mut welds, &mut answer);
            continue;
        }
        match frame.held(holds) {
            Ok(held) => run(shape, &placed, &frame, &held, &cases, &mut welds, &mut answer),
            Err(e) => {
                let (why, help) = unheld(&placed.built, shape, e);
                answer.without.extend(cases.iter().map(|c| no(c, why.clone(), help)));
            }
        }
    }
    answer.joints = welds.map_or_else(Vec::new, |w| w.ends);
    if depth >= Depth::Full {
        let chosen = most_used(&cases, &mut answer);
        deep(shape, &placed, &chosen, &mut answer);
        answer.advice = crate::asks::advised(shape, &placed, &frame, &chosen, &mut answer.findings);
    }
    if depth == Depth::Collapse {
        push(shape, &placed, &cases, watch, &mut answer);
    }
    let order: HashMap<&str, usize> = cases.iter().enumerate().map(|(i, c)| (c.name.as_str(), i)).collect();
    answer.cases.sort_by_cached_key(|c| order.get(c.name.as_str()));
    findings::all(shape, &mut answer);
    answer
}

/// Buckling and advice are worked out for at most so many cases: each takes some hundredths of a second.
const DEEP: usize = 24;

/// The cases that buckling and advice are worked out for: if there are very many, those that use a tube most.
fn most_used<'a>(cases: &'a [Case], answer: &mut Answer) -> Vec<&'a Case> {
    let mut names: Vec<(&str, f64)> =
        answer.cases.iter().map(|c| (c.name.as_str(), c.used.first().map_or(0.0, |u| u.stress.utilisation))).collect();
    names.sort_by(|a, b| b.1.total_cmp(&a.1));
    if names.len() > DEEP {
        findings::too_many(&mut answer.findings, names.len(), DEEP);
    }
    let names: HashSet<&str> = names.iter().take(DEEP).map(|n| n.0).collect();
    cases.iter().filter(|c| names.contains(c.name.as_str())).collect()
}

/// Pushes those cases past yielding that the design asks for.
fn push(shape: &Shape, placed: &Placed, cases: &[Case], watch: Watch<'_>, answer: &mut Answer) {
    let wanted = || cases.iter().filter(|c| c.wanted.collapse > 0.0);
    let braces = |c: &Case| answer.advice.is_some() && c.published.is_none();
    let pushes = wanted().map(|c| 1 + if braces(c) { MOST } else { 0 }).sum();
    let progress = Progress::new(watch, pushes);
    for case in wanted() {
        if progress.stopped() {
            return;
        }
        let Some(solved) = answer.cases.iter_mut().find(|c| c.name == case.name) else { continue };
        let travel = case.wanted.collapse;
        match crush(shape, &placed.built, case, travel, progress.push()) {
            Ok(c) => {
                // Braces are tried for the design's own loads alone: each is a collapse more.
                if let Some(a) = answer.advice.as_mut().filter(|_| case.published.is_none()) {
                    let without = (c.peak[0], c.whole);
                    let more = pushed(shape, &placed.built, case, travel, without, a, &progress);
                    a.pushed.extend(more);
                }
                solved.crushed = Some(c);
            }
            Err(e) => {
                let (why, help) = unheld(&placed.built, shape, e);
                answer.findings.push(
                    Finding::new(
                        Level::NotChecked,
                        "strength",
                        format!("load {} pushed past yielding is not checked: {why}", case.name),
                    )
                    .help(help),
                );
            }
        }
    }
}

/// Adds buckling and frequencies.
fn deep(shape: &Shape, placed: &Placed, cases: &[&Case], answer: &mut Answer) {
    let unknown = |what: &str, e: &ModesError| {
        Finding::new(Level::NotChecked, "strength", format!("{what} not checked: {}", say(e)))
    };
    for c in &mut answer.cases {
        let Some(case) = cases.iter().find(|k| k.name == c.name) else { continue };
        match buckling(&placed.built, shape, case) {
            Ok(b) => (c.buckling, c.buckling_known) = (b, true),
            Err(e) => answer.findings.push(unknown(&format!("buckling under load {}", c.name), &e)),
        }
    }
    let loose = frame::pieces(&placed.built.model).len();
    if loose > 1 {
        // Each piece would float by itself, which is no vibration.
        findings::loose(loose, answer);
        return;
    }
    match vibration(&placed.built, shape, shape.design.strength.modes as usize) {
        Ok(v) => answer.vibration = v,
        Err(e) => answer.findings.push(unknown("natural frequencies", &e)),
    }
}

const MEND: &str = "mend that first";

fn no(c: &Case, why: String, help: &str) -> NoCase {
    NoCase { name: c.name.clone(), why, help: help.to_owned() }
}

fn run(
    shape: &Shape,
    placed: &Placed,
    frame: &Frame,
    held: &Held<'_>,
    cases: &[&Case],
    welds: &mut Option<Welds>,
    answer: &mut Answer,
) {
    let loads: Vec<frame::Loads> = cases.iter().map(|c| c.loads.clone()).collect();
    match held.solve(&loads) {
        Ok(all) => {
            let used = used(shape, &placed.built, frame, &all);
            for ((c, r), used) in cases.iter().zip(&all).zip(used) {
                answer.cases.push(solved(shape, &placed.built, frame, c, r, used));
                if let Some(w) = welds.as_mut() {
                    w.load(shape, &placed.built, frame, &c.name, r);
                }
            }
        }
        Err(e) => {
            let why = unusable(&placed.built, shape, e);
            answer.without.extend(cases.iter().map(|c| no(c, why.clone(), "look at sections and materials")));
        }
    }
}

/// Where parabolas through three neighbours of evenly spaced values have their crests, counted from the first value; only
/// those between the outer two.
fn crests(values: &[f64]) -> impl Iterator<Item = f64> {
    values.windows(3).enumerate().filter_map(|(j, w)| {
        let bow = w[0] - 2.0 * w[1] + w[2];
        let x = 0.5 * (w[0] - w[2]) / bow;
        (bow < 0.0 && x.abs() <= 1.0 && x != 0.0).then_some(j as f64 + 1.0 + x)
    })
}

/// Where each tube is used most under each response, the most used first.
fn used(shape: &Shape, built: &Built, frame: &Frame, all: &[Response]) -> Vec<Vec<Used>> {
    let mut most: Vec<Vec<Option<Used>>> = vec![vec![None; shape.tubes.len()]; all.len()];
    for (i, &(tube, from)) in built.beams.iter().enumerate() {
        let profile = &built.profiles[shape.tubes[tube].section.0];
        let loaded = all.iter().any(|r| r.spread[i] != DVec3::ZERO);
        let mut start = from;
        for (k, p) in built.model.beams[i].pieces.iter().enumerate() {
            let length = p.segment.length();
            let parts = parts(&p.segment, loaded);
            let step = length / parts as f64;
            let mut taken = vec![Vec::with_capacity(parts + 1); all.len()];
            let mut look = |s: f64, n: usize, cut: &frame::Cut| {
                let stress = Stress::of(&cut.passed(&all[n].end_forces[i], all[n].spread[i]), profile);
                let best = &mut most[n][tube];
                if best.as_ref().is_none_or(|b| stress.utilisation > b.stress.utilisation) {
                    let tube = best.take().map_or_else(|| shape.tubes[tube].name.clone(), |b| b.tube);
                    *best = Some(Used { tube, station: start + s, at: cut.frame.origin, stress });
                }
                stress.utilisation
            };
            for j in 0..=parts {
                let s = step * j as f64;
                let cut = frame.cut(i, k, s);
                for (n, taken) in taken.iter_mut().enumerate() {
                    taken.push(look(s, n, &cut));
                }
            }
            // Under an even load bending is a parabola along a leg: its crest may lie between.
            for (n, taken) in taken.iter().enumerate().filter(|(n, _)| all[*n].spread[i] != DVec3::ZERO) {
                for s in crests(taken).map(|j| j * step) {
                    look(s, n, &frame.cut(i, k, s));
                }
            }
            start += length;
        }
    }
    let sorted = |list: Vec<Option<Used>>| {
        let mut used: Vec<Used> = list.into_iter().flatten().collect();
        used.sort_by(|a, b| b.stress.utilisation.total_cmp(&a.stress.utilisation));
        used
    };
    most.into_iter().map(sorted).collect()
}

fn solved(shape: &Shape, built: &Built, frame: &Frame, case: &Case, r: &Response, used: Vec<Used>) -> Solved {
    let moved = crate::moved::most(shape, built, frame, r, case.goes.as_ref());
    let motions: Vec<frame::six::Six> = match &case.goes {
        Some(g) => r.motions.iter().zip(&built.model.nodes).map(|(m, p)| frame::six::sum(m, &g.at(*p))).collect(),
        None => r.motions.clone(),
    };
    let reactions = if !case.pushes.is_empty() {
        let pushed = |p: &Pushed| Reaction { name: p.name.clone(), at: p.at, force: p.force, moment: DVec3::ZERO };
        case.pushes.iter().map(pushed).collect()
    } else {
        r.reactions
            .iter()
            .map(|(n, f)| Reaction {
                name: built.names[*n].clone(),
                at: built.model.nodes[*n],
                force: frame::six::first(f),
                moment: frame::six::last(f),
            })
            .collect()
    };
    Solved {
        name: case.name.clone(),
        source: case.source.clone(),
        carried: case.carried,
        wanted: case.wanted,
        published: elastic(case, r, used.first().map_or(0.0, |u| u.stress.utilisation)),
        moved,
        used,
        reactions,
        lifted: case.lifted.clone(),
        buckling: None,
        buckling_known: false,
        crushed: None,
        residual: r.residual,
        motions,
        field: case.loads.field,
        lies: case.goes.is_some(),
        acts: case.acts.clone(),
    }
}

/// What is published, with the energy that is taken up when the first tube yields: the work of the loads, that grow with
/// the ways, goes with the square of the factor. Energy cases have forces on nodes alone.
fn elastic(case: &Case, r: &Response, most: f64) -> Option<Published> {
    let mut p = case.published.clone()?;
    let work = |(n, f): &(usize, frame::six::Six)| f.iter().zip(&r.motions[*n]).map(|(a, b)| a * b).sum::<f64>();
    p.elastic = p.energy.map(|_| case.loads.nodal.iter().map(work).sum::<f64>() / 2.0 / (most * most));
    Some(p)
}

fn tube_of(built: &Built, shape: &Shape, beam: usize) -> String {
    shape.tubes[built.beams[beam].0].name.clone()
}

fn unusable(built: &Built, shape: &Shape, e: frame::FrameError) -> String {
    match e {
        frame::FrameError::Empty => "the frame has no tubes".to_owned(),
        frame::FrameError::NotFinite(b) => {
            format!("tube {} has a length or a stiffness that is no number", tube_of(built, shape, b))
        }
        frame::FrameError::Limp(b) => format!(
            "tube {} has no stiffness that can be calculated with: its wall, its length or its material's modulus is out of any range",
            tube_of(built, shape, b)
        ),
        frame::FrameError::TooLarge => "the frame is too large for this computer's memory".to_owned(),
        frame::FrameError::Singular => {
            "the stiffnesses of its tubes differ so widely that rounding leaves nothing of the result".to_owned()
        }
    }
}

fn unheld(built: &Built, shape: &Shape, e: HeldError) -> (String, &'static str) {
    const HOLD: &str = "hold it at another place or along another direction";
    match e {
        HeldError::Frame(e) => (unusable(built, shape, e), MEND),
        HeldError::Hold(HoldError::NoDirection(_)) => ("a support has no direction".to_owned(), HOLD),
        HeldError::Hold(HoldError::TwoAmounts(_)) => {
            ("one place is moved by two different amounts".to_owned(), "keep one of them")
        }
        HeldError::Hold(HoldError::Loose(pieces)) => {
            let l = &pieces[0];
            let mut tubes: Vec<String> = built
                .beams
                .iter()
                .zip(&built.model.beams)
                .filter(|(_, b)| l.nodes.contains(&b.nodes[0]))
                .map(|(b, _)| shape.tubes[b.0].name.clone())
                .collect();
            tubes.dedup();
            let whole = tubes.len() == shape.tubes.len() || pieces.len() == 1 && frame::pieces(&built.model).len() == 1;
            let what = if whole {
                "the whole frame".to_owned()
            } else if tubes.len() > 3 {
                format!("the piece with tubes {}, {} and {} more", tubes[0], tubes[1], tubes.len() - 2)
            } else {
                format!("the piece of {}", tubes.join(", "))
            };
            let way = if l.ways.len() == 6 {
                "is not held at all".to_owned()
            } else {
                // Two turns about axes that are alike but for their place are told once.
                let mut ways: Vec<String> = Vec::new();
                for w in l.ways.iter().map(say_way) {
                    if !ways.contains(&w) {
                        ways.push(w);
                    }
                }
                format!("can {}", ways.join(" and "))
            };
            (format!("{what} {way}"), HOLD)
        }
    }
}

fn say_way(w: &Way) -> String {
    match w {
        Way::Slide(d) => format!("slide along {}", direction(*d)),
        Way::Turn { axis, advance, .. } if *advance == 0.0 => format!("turn about an axis along {}", direction(*axis)),
        Way::Turn { axis, .. } => format!("turn and slide, as a screw, along {}", direction(*axis)),
    }
}

/// `x`, `y`, `z`, or its parts.
fn direction(d: DVec3) -> String {
    for (i, name) in ["x", "y", "z"].iter().enumerate() {
        if d[i].abs() > 1.0 - 1e-6 {
            return (*name).to_owned();
        }
    }
    format!("({:.2}, {:.2}, {:.2})", d.x, d.y, d.z)
}
