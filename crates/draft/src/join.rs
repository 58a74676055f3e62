//! Drawn things as runs: what goes on smoothly from one thing to the next is one tube.

use std::f64::consts::TAU;

use drawing::{Form, Span};
use geometry::{DVec3, SAME_PLACE};
use rustc_hash::{FxHashMap, FxHashSet};

use crate::bends::{STRAIGHT_ON, rounded};
use crate::boxes::{Bounds, Boxes};
use crate::layers::Layer;
use crate::space::Line;
use crate::{Options, Told, count};

/// Spans that run on smoothly, or a part of them.
#[derive(Clone, Debug)]
pub(crate) struct Run {
    pub layer: usize,
    pub name: Option<String>,
    pub state: Option<String>,
    /// This program wrote it.
    pub whole: bool,
    pub spans: Vec<Span>,
    pub rank: usize,
}

/// A drawn curve.
#[derive(Clone, Debug)]
pub(crate) struct Curve {
    pub layer: usize,
    pub name: Option<String>,
    pub state: Option<String>,
    pub points: Vec<DVec3>,
    pub rank: usize,
}

/// Where an arc begins, directions may differ by this (about a degree), rad: drawings round.
const SMOOTH: f64 = 0.018;
/// A polyline of so many lines and more, none of which turns more than [`GENTLE`] from the one before, is a curve.
const CURVE_LINES: usize = 6;
/// 20 degrees, rad.
const GENTLE: f64 = 20.0 * std::f64::consts::PI / 180.0;

impl Run {
    fn end(&self, which: usize) -> DVec3 {
        if which == 0 { self.spans[0].at(0.0) } else { self.spans[self.spans.len() - 1].at(1.0) }
    }

    fn outward(&self, which: usize) -> DVec3 {
        if which == 0 { -self.spans[0].way(0.0) } else { self.spans[self.spans.len() - 1].way(1.0) }
    }

    fn is_arc(&self, which: usize) -> bool {
        let k = if which == 0 { 0 } else { self.spans.len() - 1 };
        matches!(self.spans[k], Span::Arc { .. })
    }
}

/// Runs and curves of what is drawn.
pub(crate) fn runs(lines: Vec<Line>, layers: &[Layer], options: &Options, told: &mut Told) -> (Vec<Run>, Vec<Curve>) {
    let index: FxHashMap<&str, usize> = layers.iter().enumerate().map(|(k, l)| (l.drawn.as_str(), k)).collect();
    let (mut runs, mut curves): (Vec<Run>, Vec<Curve>) = (Vec::new(), Vec::new());
    let (mut points, mut flowing) = (0, 0);
    for (rank, line) in lines.into_iter().enumerate() {
        let layer = index[line.layer.as_str()];
        let Line { name, state, whole, form, .. } = line;
        let spans = match form {
            Form::Spans(spans) => spans,
            Form::Curve(mut places) => match straight(&places) {
                Some(span) => vec![span],
                None => {
                    places.dedup_by(|b, a| a.distance(*b) <= SAME_PLACE);
                    if places.len() < 2 {
                        points += 1;
                        continue;
                    }
                    let points = places;
                    curves.push(Curve { layer, name, state, points, rank });
                    continue;
                }
            },
        };
        let spans: Vec<Span> = spans.into_iter().filter(|s| s.length() > SAME_PLACE).collect();
        if spans.is_empty() {
            points += 1;
            continue;
        }
        if is_flowing(&spans) {
            flowing += 1;
            let points = spans.iter().map(|s| s.at(0.0)).chain(spans.last().map(|s| s.at(1.0))).collect();
            curves.push(Curve { layer, name, state, points, rank });
            continue;
        }
        // What this program wrote goes on as it was.
        if let (Some(last), true) = (runs.last_mut(), whole)
            && last.name == name
            && last.layer == layer
            && last.end(1).distance(spans[0].at(0.0)) < SAME_PLACE
        {
            last.spans.extend(spans);
            continue;
        }
        let radius = layers[layer].bender.as_ref().filter(|_| layers[layer].is_round() && !whole).map(|b| b.die.radius);
        for (k, spans) in rounded(&spans, radius).into_iter().enumerate() {
            let name = name.clone().filter(|_| k == 0);
            runs.push(Run { layer, name, state: state.clone(), whole, spans, rank });
        }
    }
    if points > 0 {
        told.done(format!("left out: {} of no length", count(points, "line", "lines")));
    }
    if flowing > 0 {
        told.guess(format!(
            "{} of many short lines {} a flowing line, not a row of tubes",
            count(flowing, "polyline", "polylines"),
            if flowing == 1 { "is" } else { "are" }
        ));
    }
    once(&mut runs, options.within, told);
    let runs = joined(runs, options, told);
    let before = runs.len();
    let mut runs = runs;
    runs.retain(|r| r.whole || r.spans.iter().map(Span::length).sum::<f64>() > options.within);
    if runs.len() < before {
        told.done(format!("left out: {} shorter than the tolerance", count(before - runs.len(), "line", "lines")));
    }
    (halved(runs, options.within, told), halved_curves(curves, options.within))
}

/// The line between the first and the last of points, if all lie on it in order.
fn straight(points: &[DVec3]) -> Option<Span> {
    let (from, to) = (*points.first()?, *points.last()?);
    let way = (to - from).try_normalize()?;
    let off = |p: &DVec3| (*p - from).reject_from_normalized(way).length() <= SAME_PLACE;
    let rising = points.windows(2).all(|w| (w[1] - w[0]).dot(way) >= 0.0);
    (rising && points.iter().all(off)).then_some(Span::Line { from, to })
}

fn is_flowing(spans: &[Span]) -> bool {
    let lines = spans.iter().all(|s| matches!(s, Span::Line { .. }));
    let turns = || spans.windows(2).map(|w| w[0].way(1.0).angle_between(w[1].way(0.0)));
    let most = turns().fold(0.0, f64::max);
    lines && spans.len() >= CURVE_LINES && most <= GENTLE && most > STRAIGHT_ON
}

/// What is drawn twice counts once.
fn once(runs: &mut Vec<Run>, within: f64, told: &mut Told) {
    let cell = |p: DVec3| (p / within).round().to_array().map(|v| v as i64);
    let mut seen = FxHashSet::default();
    let before = runs.len();
    runs.retain(|r| {
        if r.whole {
            return true;
        }
        let (a, b) = (cell(r.end(0)), cell(r.end(1)));
        let middle = cell(r.spans[r.spans.len() / 2].at(0.5));
        seen.insert((r.layer, r.spans.len(), a.min(b), a.max(b), middle))
    });
    if runs.len() < before {
        told.done(format!("left out: {} drawn twice", count(before - runs.len(), "line", "lines")));
    }
}

/// Ends that go on in another run, each with its partner.
fn partners(runs: &[Run], options: &Options) -> Vec<[Option<(usize, usize)>; 2]> {
    let near = |p: DVec3| Bounds::of(&[p]).grown(options.within);
    let points = Boxes::new(runs.iter().flat_map(|r| [0, 1].map(|e| Bounds::of(&[r.end(e)]))).collect());
    let mut owner = Vec::new();
    let mut boxes = Vec::new();
    for (k, r) in runs.iter().enumerate() {
        for s in &r.spans {
            owner.push((k, *s));
            boxes.push(Bounds::of(&[s.at(0.0), s.at(1.0)]));
        }
    }
    let spans = Boxes::new(boxes);
    // Whether another tube runs straight through a place: then what ends there on both sides ends on it.
    let passes = |p: DVec3, not: [usize; 2]| {
        let mut found = false;
        spans.near(&near(p), |i| {
            let (k, s) = &owner[i];
            let Span::Line { from, .. } = *s else { return };
            let along = (p - from).dot(s.way(0.0));
            let beside = (p - from).reject_from_normalized(s.way(0.0)).length();
            let inside = along > options.within && along < s.length() - options.within;
            found |= !not.contains(k) && inside && beside <= options.within;
        });
        found
    };
    let candidate = |k: usize, e: usize| -> Option<(usize, usize)> {
        let r = &runs[k];
        if r.name.is_some() {
            return None;
        }
        let (at, out) = (r.end(e), r.outward(e));
        let mut found = Vec::new();
        points.near(&near(at), |i| {
            let (j, f) = (i / 2, i % 2);
            let o = &runs[j];
            let arc = r.is_arc(e) || o.is_arc(f);
            let turn = out.angle_between(-o.outward(f));
            let goes_on =
                if arc { turn <= SMOOTH } else { turn <= STRAIGHT_ON || nearly_straight(r, e, o, f, options) };
            let apart = o.end(f).distance(at) <= options.within;
            if j != k && o.layer == r.layer && o.state == r.state && o.name.is_none() && goes_on && apart {
                found.push((j, f, arc));
            }
        });
        match found[..] {
            [(j, f, arc)] if arc || (!options.as_drawn && !passes(at, [k, j])) => Some((j, f)),
            _ => None,
        }
    };
    let one: Vec<[Option<(usize, usize)>; 2]> = (0..runs.len()).map(|k| [0, 1].map(|e| candidate(k, e))).collect();
    let mutual = |k: usize, e: usize| one[k][e].filter(|&(j, f)| one[j][f] == Some((k, e)));
    (0..runs.len()).map(|k| [0, 1].map(|e| mutual(k, e))).collect()
}

/// Two lines that meet at an angle, but whose meeting place is within the tolerance of the line between their other ends.
fn nearly_straight(a: &Run, e: usize, b: &Run, f: usize, options: &Options) -> bool {
    let (from, to, at) = (a.end(1 - e), b.end(1 - f), a.end(e));
    let way = (to - from).normalize_or_zero();
    a.outward(e).angle_between(-b.outward(f)) <= BENT
        && (at - from).reject_from_normalized(way).length() <= options.within
}

/// How far the inner ends of a run of lines lie from the line between its ends.
fn bow(spans: &[Span]) -> f64 {
    let (from, to) = (spans[0].at(0.0), spans[spans.len() - 1].at(1.0));
    let way = (to - from).normalize_or_zero();
    spans.iter().map(|s| (s.at(0.0) - from).reject_from_normalized(way).length()).fold(0.0, f64::max)
}

/// Lines that turn by more than this (3 degrees) do not go straight on, however near they are, rad.
const BENT: f64 = 0.05;

fn joined(runs: Vec<Run>, options: &Options, told: &mut Told) -> Vec<Run> {
    let partner = partners(&runs, options);
    let mut used = vec![false; runs.len()];
    let mut out = Vec::new();
    let (mut bent, mut straight, mut most) = (0, 0, 0f64);
    for k in 0..runs.len() {
        if used[k] {
            continue;
        }
        // Back to where the chain begins, or once round.
        let (mut first, mut into) = (k, 0);
        while let Some((j, f)) = partner[first][into] {
            (first, into) = (j, 1 - f);
            if first == k {
                break;
            }
        }
        let (mut at, mut enter) = (first, into);
        let mut run = Run { spans: Vec::new(), ..runs[first].clone() };
        let mut parts = Vec::new();
        loop {
            parts.push(at);
            used[at] = true;
            run.rank = run.rank.min(runs[at].rank);
            if enter == 0 {
                run.spans.extend(&runs[at].spans);
            } else {
                run.spans.extend(runs[at].spans.iter().rev().map(Span::reversed));
            }
            let leave = 1 - enter;
            let Some((j, f)) = partner[at][leave].filter(|&(j, _)| !used[j]) else { break };
            if runs[at].is_arc(leave) || runs[j].is_arc(f) {
                bent += 1
            } else {
                straight += 1
            }
            (at, enter) = (j, f);
        }
        let lines = run.spans.iter().all(|s| matches!(s, Span::Line { .. }));
        let off = if lines { bow(&run.spans) } else { 0.0 };
        if off > options.within {
            // Each goes on nearly straight, but all together they bow.
            straight -= parts.len() - 1;
            out.extend(parts.into_iter().map(|k| runs[k].clone()));
            continue;
        }
        most = most.max(off);
        out.push(run);
    }
    if bent > 0 {
        told.done(format!(
            "{} joined to the arcs or lines that go on from them, as bent tubes",
            count(bent, "line or arc", "lines and arcs")
        ));
    }
    if straight > 0 {
        let off = if most > 1e-5 { format!(", up to {:.2} mm off those places", most * 1e3) } else { String::new() };
        told.guess(format!(
            "at {} a line goes straight on in another of its layer: they are taken as one tube{off}; --as-drawn leaves them apart",
            count(straight, "place", "places")
        ));
    }
    out.sort_by_key(|r| r.rank);
    out
}

/// A closed run, cut in the middle of its longest line and of the one that lies nearest to opposite.
fn in_halves(spans: &[Span]) -> [Vec<Span>; 2] {
    let is_line = |k: &usize| matches!(spans[*k], Span::Line { .. });
    let length = |k: &usize| spans[*k].length();
    let Some(first) = (0..spans.len()).filter(is_line).max_by(|a, b| length(a).total_cmp(&length(b))) else {
        let (a, b) = spans.split_at(spans.len() / 2);
        return [a.to_vec(), b.to_vec()];
    };
    let cut = |k: usize| {
        let (from, middle, to) = (spans[k].at(0.0), spans[k].at(0.5), spans[k].at(1.0));
        (Span::Line { from, to: middle }, Span::Line { from: middle, to })
    };
    // Round from the middle of the longest line.
    let (last, start) = cut(first);
    let mut round = vec![start];
    round.extend((1..spans.len()).map(|k| spans[(first + k) % spans.len()]));
    round.push(last);
    let whole: f64 = round.iter().map(Span::length).sum();
    let mut at = 0.0;
    let mut best: Option<(f64, usize)> = None;
    for (k, s) in round.iter().enumerate() {
        let off = (at + s.length() / 2.0 - whole / 2.0).abs();
        if k > 0 && k + 1 < round.len() && matches!(s, Span::Line { .. }) && best.is_none_or(|b| off < b.0) {
            best = Some((off, k));
        }
        at += s.length();
    }
    match best {
        Some((_, k)) => {
            let (from, middle, to) = (round[k].at(0.0), round[k].at(0.5), round[k].at(1.0));
            let mut a = round[..k].to_vec();
            a.push(Span::Line { from, to: middle });
            let mut b = vec![Span::Line { from: middle, to }];
            b.extend(&round[k + 1..]);
            [a, b]
        }
        None => {
            let (a, b) = round.split_at(round.len() / 2);
            [a.to_vec(), b.to_vec()]
        }
    }
}

/// Curves that come back to where they began become two.
fn halved_curves(curves: Vec<Curve>, within: f64) -> Vec<Curve> {
    let halves = |c: Curve| {
        let n = c.points.len();
        if n < 4 || c.points[0].distance(c.points[n - 1]) > within {
            return vec![c];
        }
        let (a, b) = (c.points[..=n / 2].to_vec(), c.points[n / 2..].to_vec());
        vec![Curve { points: a, ..c.clone() }, Curve { points: b, name: None, ..c }]
    };
    curves.into_iter().flat_map(halves).collect()
}

/// A run that comes back to where it began becomes two tubes.
fn halved(runs: Vec<Run>, within: f64, told: &mut Told) -> Vec<Run> {
    let mut rings = 0;
    let mut out = Vec::new();
    for r in runs {
        if r.end(0).distance(r.end(1)) > within {
            out.push(r);
            continue;
        }
        rings += 1;
        let halves = match r.spans[..] {
            [Span::Arc { centre, axis, start, sweep }] => {
                let half = sweep.min(TAU) / 2.0;
                let one = Span::Arc { centre, axis, start, sweep: half };
                [vec![one], vec![Span::Arc { centre, axis, start: one.at(1.0) - centre, sweep: half }]]
            }
            _ => in_halves(&r.spans),
        };
        for (k, spans) in halves.into_iter().enumerate().filter(|h| !h.1.is_empty()) {
            out.push(Run { spans, name: r.name.clone().filter(|_| k == 0), state: r.state.clone(), ..r });
        }
    }
    if rings > 0 {
        told.guess(format!("{} taken as two tubes each", count(rings, "closed line", "closed lines")));
    }
    out
}
