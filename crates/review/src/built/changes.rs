//! Pieces that remain, as the frame that stands asks for them.

use cutting::{EndCut, Piece, SetUp};
use fit::{Doubt, Fit};
use geometry::Outline;
use serde::Serialize;
use shape::End;

use crate::{Made, Review, Text};

/// An end as designed and for the frame as built.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EndChange {
    /// Settings as designed.
    pub was: String,
    /// Settings now.
    pub now: String,
    /// How far the cut's line differs at most, m: each from its own long point, the new piece turned as a whole so that both its
    /// ends differ least.
    pub line: f64,
    /// Whether it must be set or marked anew: its line is off by more than the fit-up gap that is wanted.
    pub changed: bool,
}

/// A piece that changes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    /// Its name.
    pub piece: String,
    /// Its number in the fitting order.
    pub number: usize,
    /// Whether it is cut already.
    pub cut: bool,
    /// Over the long points, developed, as designed, m.
    pub was: f64,
    /// For the frame as built, m.
    pub now: f64,
    /// Standard deviation of the distance between its end points, m, where both were measured.
    pub sigma: Option<f64>,
    /// Start and end.
    pub ends: [EndChange; 2],
    /// Bends that read differently: number, what was and what is.
    pub bends: Vec<(usize, String, String)>,
    /// The gravest doubt about the places that it rests on.
    pub doubt: Option<Doubt>,
}

impl Change {
    /// Longer than designed, m. A piece that is cut already is too short by this.
    pub fn longer(&self) -> f64 {
        self.now - self.was
    }
}

/// Pieces that do not stand and that as designed would not fit within the fit-up gap that is wanted; and how many would.
pub(super) fn changes(designed: &Review, built: &Review, fit: &Fit, made: &Made) -> (Vec<Change>, usize) {
    let t = Text::new(&designed.shape.design);
    let limit = designed.shape.design.limits.fit;
    let mut out = Vec::new();
    let mut same = 0;
    for p in designed.cutting.pieces.iter().filter(|p| !fit.standing.contains(&p.name)) {
        let Some(q) = built.cutting.pieces.iter().find(|q| q.name == p.name) else { continue };
        let lines = lines(p, q, &designed.shape.tubes[p.tube].outline, limit);
        let ends = End::BOTH.map(|e| {
            let line = lines[e as usize];
            EndChange { changed: line > limit, was: settings(p.end(e), &t), now: settings(q.end(e), &t), line }
        });
        let bends = bends(p, q, &t);
        let (was, now) = (p.lengths.over_long, q.lengths.over_long);
        if (was - now).abs() <= limit && bends.is_empty() && ends.iter().all(|e| !e.changed) {
            same += 1;
            continue;
        }
        let joints = p.ends.each_ref().map(|e| e.joint.clone());
        let sigma = match &joints {
            [Some(a), Some(b)] => fit.distance_sigma(a, b),
            _ => None,
        };
        let cut = made.cut.contains(&p.name) || made.unsaid.contains(&p.name);
        let doubt = doubt(designed, fit, q);
        out.push(Change { piece: p.name.clone(), number: p.number, cut, was, now, sigma, ends, bends, doubt });
    }
    (out, same)
}

/// The gravest doubt about the places that a piece's ends lie at; where one was not measured, about those on the standing tubes
/// that it is cut to.
fn doubt(designed: &Review, fit: &Fit, piece: &Piece) -> Option<Doubt> {
    let mut all: Vec<&Doubt> = Vec::new();
    for e in &piece.ends {
        match e.joint.as_ref().and_then(|j| fit.place(j)) {
            Some(place) => all.extend(&place.doubt),
            None => {
                let on = |name: &String| {
                    let host = designed.shape.find(name).filter(|_| fit.standing.contains(name));
                    let joints = designed.shape.joints.iter();
                    host.into_iter()
                        .flat_map(move |h| joints.clone().filter(move |j| j.members.iter().any(|m| m.tube == h)))
                };
                all.extend(e.to.iter().flat_map(on).filter_map(|j| fit.place(&j.name)?.doubt.as_ref()));
            }
        }
    }
    all.into_iter().min().cloned()
}

/// The settings of an end in a few words, with as many figures as the shop's scales show.
fn settings(e: &EndCut, t: &Text) -> String {
    let one = |s: &SetUp| match s {
        SetUp::Saw { scale, angle, turn, .. } => {
            if t.angle(*angle) == t.angle(0.0) {
                "square".to_owned()
            } else {
                format!("saw {} at {}", t.angle(*scale), t.turn(*turn))
            }
        }
        SetUp::HoleSaw { scale, turn, offset, .. } => {
            let off = t.length(*offset);
            let off = if off == t.length(0.0) { String::new() } else { format!(", offset {off}") };
            format!("notch {} at {}{off}", t.angle(*scale), t.turn(*turn))
        }
        SetUp::Template { .. } => "template".to_owned(),
    };
    if e.setups.is_empty() {
        return "square".to_owned();
    }
    // In an order that a hair's breadth does not change.
    let mut all: Vec<String> = e.setups.iter().map(one).collect();
    all.sort();
    all.join("; ")
}

/// A new piece's scribe line may lie elsewhere round it than the designed one's: on a tube that is nearly upright "on top" turns with
/// the slightest lean. It is sought within a sixth of a turn to both sides, in so many steps; then round the best in steps an eighth
/// as wide.
const TURNS: i32 = 30;

/// The largest difference between the lines of each end.
fn lines(p: &Piece, q: &Piece, outline: &Outline, limit: f64) -> [f64; 2] {
    let round = outline.perimeter();
    let off = |e: End, turn: f64| {
        let (a, b) = (&p.end(e).profile, &q.end(e).profile);
        let differs =
            |f: &cutting::Fibre| ((f.outer - a.long) - (outer(&b.fibres, f.round + turn, round) - b.long)).abs();
        a.fibres.iter().map(differs).fold(0.0, f64::max)
    };
    let both = |turn: f64| off(End::Start, turn).max(off(End::End, turn));
    let turn = match outline {
        Outline::Circle { .. } if both(0.0) > limit => {
            let best = |from: f64, step: f64, count: i32| {
                let turns = (-count..=count).map(|k| from + f64::from(k) * step);
                let tried = turns.map(|x| (both(x), x));
                tried.min_by(|a, b| a.0.total_cmp(&b.0)).map_or(0.0, |x| x.1)
            };
            let step = round / 6.0 / f64::from(TURNS);
            best(best(0.0, step, TURNS), step / 8.0, 8)
        }
        _ => 0.0,
    };
    End::BOTH.map(|e| off(e, turn))
}

/// Where the outside ends at a distance round, between fibres on a line.
fn outer(fibres: &[cutting::Fibre], at: f64, round: f64) -> f64 {
    let at = at.rem_euclid(round);
    let k = fibres.partition_point(|f| f.round <= at);
    let (Some(a), Some(b)) = (fibres.get(k.wrapping_sub(1)).or(fibres.last()), fibres.get(k).or(fibres.first())) else {
        return f64::INFINITY;
    };
    let (from, to) = (a.round, if b.round > a.round { b.round } else { b.round + round });
    let part = if to > from { (at - from).rem_euclid(round) / (to - from) } else { 0.0 };
    a.outer + (b.outer - a.outer) * part
}

fn bends(p: &Piece, q: &Piece, t: &Text) -> Vec<(usize, String, String)> {
    let (Some(a), Some(b)) = (&p.bends, &q.bends) else { return Vec::new() };
    let words = |plan: &cutting::BendPlan, k: usize| {
        plan.bends.get(k).map_or("none".to_owned(), |x| {
            let turn = if k == 0 { String::new() } else { format!(", turn {}", t.handed(-x.rotation)) };
            format!("mark {}{turn}, {}", t.cut(x.mark), t.angle(x.angle))
        })
    };
    (0..a.bends.len().max(b.bends.len()))
        .map(|k| (k + 1, words(a, k), words(b, k)))
        .filter(|(_, was, now)| was != now)
        .collect()
}
