//! The fewest bends.

use glam::DVec3;
use serde::Serialize;

use crate::bound::least_bends;
use crate::line::Line;
use crate::refine::{Effort, Found, refine};
use crate::start::Start;
use crate::walk::at_least;
use crate::{Apart, Die, MOST_BENDS, SAME_PLACE};

/// A chain with so many bends: the nearest that was found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Try {
    /// Number of bends.
    pub bends: usize,
    /// Corners, ends included, m.
    pub corners: Vec<DVec3>,
    /// Walked together, curve and chain are never farther apart than this, m; neither is any place of either from the
    /// other.
    pub deviation: f64,
    /// Some place of one is this far from the other, m: `deviation` with what sampling leaves open taken off.
    pub at_least: f64,
    /// Where they are farthest apart.
    pub worst: Apart,
    /// Developed length, m.
    pub length: f64,
}

/// The fewest bends, with what fewer and more would give.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Answer {
    /// The nearest chain of each number of bends that the die can make, by that number. Some numbers may be missing.
    pub tries: Vec<Try>,
    /// Which of them has the fewest bends of those within the tolerance.
    pub fewest: Option<usize>,
    /// Any chain that follows the curve in order within the tolerance has so many bends at least.
    pub proved: usize,
    /// Length of the curve, m.
    pub length: f64,
}

impl Answer {
    /// The chain to take: of the fewest bends within the tolerance; if there is none, the nearest.
    pub fn best(&self) -> Option<&Try> {
        match self.fewest {
            Some(k) => self.tries.get(k),
            None => self.tries.iter().min_by(|a, b| a.deviation.total_cmp(&b.deviation)),
        }
    }

    /// Whether no chain of fewer bends follows it within the tolerance, proved.
    pub fn is_proved(&self) -> bool {
        self.fewest.is_some_and(|k| self.tries[k].bends <= self.proved)
    }
}

/// Numbers of bends that are tried beyond the fewest, so that a person sees what one more buys.
const MORE: usize = 2;
/// So many bends more without a gain of [`GAIN`] end the search: the die is too large, or the curve has a corner.
const NO_BETTER: usize = 4;
/// A part of the deviation.
const GAIN: f64 = 0.02;

/// Turns a curve into legs and arcs; `within` is the tolerance, m. A pure function: the same in gives the same out.
pub fn solve(line: &Line, die: &Die, within: f64) -> Answer {
    let turned = is_later(line);
    let reversed;
    let (way, die) = if turned {
        reversed = line.reversed();
        (&reversed, Die { ends: [die.ends[1], die.ends[0]], ..*die })
    } else {
        (line, *die)
    };
    let found = if die.is_sound() { search(way, &die, within) } else { Vec::new() };
    let mut tries: Vec<Try> = found.iter().map(|f| tell(way, f)).collect();
    if turned {
        for t in &mut tries {
            t.corners.reverse();
            t.worst.along = line.length() - t.worst.along;
        }
    }
    let fewest = tries.iter().position(|t| t.deviation <= within);
    let proved = if die.is_sound() { least_bends(way, &die, within, MOST_BENDS) } else { 0 };
    Answer { tries, fewest, proved, length: line.length() }
}

/// One of the two ways along a curve is worked on, so that both give one chain.
fn is_later(line: &Line) -> bool {
    let n = line.places.len();
    let pairs = (0..n / 2).map(|i| (line.places[i], line.places[n - 1 - i]));
    for (a, b) in pairs {
        for k in 0..3 {
            if (a[k] - b[k]).abs() > SAME_PLACE {
                return a[k] > b[k];
            }
        }
    }
    false
}

/// The nearest chain of each number of bends.
fn search(line: &Line, die: &Die, within: f64) -> Vec<Found> {
    let ends = [line.places[0], line.places[line.places.len() - 1]];
    let mut out: Vec<Found> = Vec::new();
    if ends[0].distance(ends[1]) > SAME_PLACE {
        out.extend(Found::new(line, die, ends.to_vec()));
    }
    let mut start = Start::new(line, die);
    let (mut last, mut after, mut stale) = (out.first().cloned(), 0, 0);
    let mut best = out.first().map_or(f64::INFINITY, |f| f.walked.most());
    for bends in 1..=MOST_BENDS {
        let within_now = |f: &Found| f.fits() && bound(line, f) <= within;
        if out.iter().any(within_now) {
            if after == MORE {
                break;
            }
            after += 1;
        }
        let mut starts: Vec<Vec<DVec3>> = Vec::new();
        starts.extend(start.corners(bends).map(|c| [&ends[..1], &c, &ends[1..]].concat()));
        starts.extend(last.iter().flat_map(with_one_more));
        let rough = starts
            .into_iter()
            .filter_map(|c| Found::new(line, die, c))
            .map(|f| refine(line, die, f, Effort::ROUGH))
            .fold(None::<Found>, |a, b| if a.as_ref().is_none_or(|a| b.cost() < a.cost()) { Some(b) } else { a });
        let Some(rough) = rough else { continue };
        let found = refine(line, die, rough, Effort::FINE);
        last = Some(found.clone());
        if !found.fits() {
            continue;
        }
        if found.walked.most() < (1.0 - GAIN) * best {
            (best, stale) = (found.walked.most(), 0);
        } else {
            stale += 1;
        }
        out.push(found);
        if stale == NO_BETTER {
            break;
        }
    }
    out
}

/// The corners with one more in the leg where curve and chain are farthest apart: at that place of the curve, and in the
/// leg's middle, where it changes nothing yet.
fn with_one_more(found: &Found) -> Vec<Vec<DVec3>> {
    let worst = &found.walked.pairs[found.walked.worst];
    let corners = &found.bent.corners;
    // The nearer of the two legs that meet in an arc.
    let leg = worst.segment / 2 + usize::from(worst.segment % 2 == 1 && worst.part > 0.5);
    let into = [worst.curve, (corners[leg] + corners[leg + 1]) / 2.0].map(|at| {
        let mut more = corners.clone();
        more.insert(leg + 1, at);
        more
    });
    into.into_iter().filter(|c| c.windows(2).all(|w| w[0].distance(w[1]) > SAME_PLACE)).collect()
}

fn bound(line: &Line, f: &Found) -> f64 {
    f.walked.most() + f.walked.stray + line.stray
}

fn tell(line: &Line, f: &Found) -> Try {
    let worst = &f.walked.pairs[f.walked.worst];
    Try {
        bends: f.bent.corners.len() - 2,
        corners: f.bent.corners.clone(),
        deviation: bound(line, f),
        at_least: at_least(line, &f.bent, &f.walked),
        worst: Apart { curve: worst.curve, chain: worst.chain, along: worst.along },
        length: f.bent.length(),
    }
}

/// How far a given chain is from the curve, as a [`Try`]; `None` if its corners are none.
pub fn measure(line: &Line, corners: &[DVec3], radius: f64) -> Option<Try> {
    if corners.len() < 2 || corners.iter().any(|c| !c.is_finite()) {
        return None;
    }
    let die = Die { radius, between: 0.0, ends: [0.0; 2], most: crate::MOST_TURN };
    Found::new(line, &die, corners.to_vec()).map(|f| {
        // A tube need not end where the curve does.
        let [a, b] = [
            corners[0].distance(line.places[0]),
            corners[corners.len() - 1].distance(line.places[line.places.len() - 1]),
        ];
        let mut t = tell(line, &f);
        t.deviation = t.deviation.max(a).max(b);
        t
    })
}
