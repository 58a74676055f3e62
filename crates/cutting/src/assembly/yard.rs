//! The bodies of all pieces, and what is found for each.

use design::TubeState;
use geometry::{DVec3, Ray};
use shape::Shape;

use super::body::{self, Body, Part, Tips};
use super::pose::Pose;
use super::straight::{self, Move};
use super::{Insertion, Remedy, Way, direction};
use crate::Cutting;
use shape::End;

/// What is taken off an end for a try.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Trim {
    /// Nothing.
    None,
    /// Both ends shorter by a length along the tube, m.
    Play(f64),
    /// An end without its tips.
    Bare(End),
}

/// All bodies, in fitting order.
pub struct Yard<'a> {
    pub(super) shape: &'a Shape,
    pub(super) cutting: &'a Cutting,
    pub(super) bodies: Vec<Body>,
    /// Indices of bodies by turn.
    pub(super) order: Vec<usize>,
    /// How far a piece must go to be out of the frame, m.
    pub(super) reach: f64,
}

impl<'a> Yard<'a> {
    /// Makes the bodies of all pieces. Temporary ones come last: they hold what is already there.
    pub fn new(shape: &'a Shape, cutting: &'a Cutting) -> Yard<'a> {
        let plans = crate::plan::plan(shape);
        let all = crate::solids::all(shape, &plans);
        let bodies: Vec<Body> = cutting.pieces.iter().map(|p| body::body(shape, p, &plans, &all)).collect();
        let mut order: Vec<usize> = (0..bodies.len()).collect();
        order.sort_by_key(|&k| (cutting.pieces[k].state == TubeState::Temporary, k));
        let (lo, hi) = bodies
            .iter()
            .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |b, c| (b.0.min(c.bounds.0), b.1.max(c.bounds.1)));
        let reach = if bodies.is_empty() { 0.0 } else { (hi - lo).length() };
        Yard { shape, cutting, bodies, order, reach }
    }

    /// How many pieces there are.
    pub fn len(&self) -> usize {
        self.order.len()
    }

    pub(super) fn name(&self, k: usize) -> String {
        self.cutting.pieces[k].name.clone()
    }

    /// The tips of the ends that a trim leaves any, and how far it takes them back.
    pub(super) fn tips(&self, m: usize, trim: Trim) -> impl Iterator<Item = (&Tips, DVec3)> + '_ {
        let body = &self.bodies[m];
        let tube = &self.shape.tubes[body.tube];
        let play = if let Trim::Play(p) = trim { p } else { 0.0 };
        End::BOTH
            .into_iter()
            .filter(move |&e| trim != Trim::Bare(e))
            .map(move |e| (&body.tips[e as usize], tube.outward(e).t * -play))
    }

    /// Contact normals of a piece at each end after a trim, and of those that stand already and are coped to it.
    pub(super) fn normals(&self, m: usize, standing: &[usize], trim: Trim) -> Vec<Vec<DVec3>> {
        let body = &self.bodies[m];
        let own = End::BOTH
            .into_iter()
            .filter(|&e| trim != Trim::Bare(e))
            .map(|e| body.touches[e as usize].iter().map(|t| t.normal).collect());
        let waiting =
            standing.iter().map(|&s| &self.bodies[s]).filter(|s| s.coped.contains(&body.tube)).flat_map(|s| {
                let ends = End::BOTH.into_iter().filter(|&e| s.hosts[e as usize].contains(&body.tube));
                ends.map(|e| {
                    let there = s.touches[e as usize].iter();
                    there.filter(|t| t.host == Some(body.tube)).map(|t| -t.normal).collect()
                })
            });
        own.chain(waiting).collect()
    }

    /// Whether a body's own solid does not know how it is cut to another: an end that is coped is judged by its tips, and
    /// the other's solid holds where it is cut away. A mitre's two solids end at its plane and are held against each other
    /// like any others.
    pub(super) fn coped_to(&self, a: usize, b: usize) -> bool {
        self.bodies[a].coped.contains(&self.bodies[b].tube)
    }

    /// Bodies that overlap with `m` where it is.
    fn overlaps(&self, m: usize, standing: &[usize]) -> Vec<usize> {
        let still = Move { pose: Pose::HOME, d: DVec3::Z, length: 0.0 };
        standing.iter().copied().filter(|&s| self.runs_into(m, s, still, Trim::None)).collect()
    }

    /// What stands when it is a turn's turn, with what overlaps taken out.
    pub(super) fn before(&self, turn: usize, m: usize) -> (Vec<usize>, Vec<usize>) {
        let standing: Vec<usize> = self.order[..turn].iter().copied().filter(|&k| k != m).collect();
        let overlaps = self.overlaps(m, &standing);
        (standing.into_iter().filter(|k| !overlaps.contains(k)).collect(), overlaps)
    }

    /// A way past what stands: straight, in two moves, or by a swing.
    pub(super) fn any_way(&self, m: usize, standing: &[usize], trim: Trim) -> Option<Way> {
        if let Some(way) = self.plain_way(m, standing, trim).filter(|w| w.margin >= straight::ROOM) {
            return Some(way);
        }
        let directions = self.directions(m, standing, trim);
        self.way(m, standing, &directions, trim)
            .or_else(|| self.two_moves(m, standing, &directions, &straight::SLIDES, trim))
            .or_else(|| self.swing(m, standing, trim))
            .or_else(|| self.two_moves(m, standing, &directions, &straight::LONG_SLIDES, trim))
    }

    /// Directions to try.
    pub(super) fn directions(&self, m: usize, standing: &[usize], trim: Trim) -> Vec<DVec3> {
        direction::candidates(&self.normals(m, standing, trim))
    }

    /// What is found for the piece of a turn (from 0) as it is cut.
    pub fn found(&self, turn: usize) -> Found {
        let m = self.order[turn];
        let (standing, overlaps) = self.before(turn, m);
        Found { way: self.any_way(m, &standing, Trim::None), standing, overlaps }
    }

    /// The turn (from 0) of a piece.
    pub fn turn(&self, piece: &str) -> Option<usize> {
        self.order.iter().position(|&k| self.cutting.pieces[k].name == piece)
    }

    /// All of it, when all have been looked at.
    pub fn insertion(&self, turn: usize, found: &[Found]) -> Insertion {
        let (m, here) = (self.order[turn], &found[turn]);
        if here.way.is_some() {
            return self.told(turn, here, Vec::new(), Vec::new());
        }
        let mut directions = self.directions(m, &here.standing, Trim::None);
        directions.extend(direction::spread());
        let blocked_by = self.fewest(m, &here.standing, &directions).into_iter().map(|k| self.name(k)).collect();
        self.told(turn, here, blocked_by, self.remedies(turn, found))
    }

    /// What is found, with names.
    pub fn told(&self, turn: usize, found: &Found, blocked_by: Vec<String>, remedies: Vec<Remedy>) -> Insertion {
        Insertion {
            piece: self.name(self.order[turn]),
            turn: turn + 1,
            way: found.way.clone(),
            blocked_by,
            overlaps: found.overlaps.iter().map(|&k| self.name(k)).collect(),
            remedies,
        }
    }
}

/// What is found for one piece as it is cut.
pub struct Found {
    /// Its way in.
    pub way: Option<Way>,
    /// What stands by then and does not overlap with it: indices of bodies.
    pub standing: Vec<usize>,
    /// What overlaps.
    pub overlaps: Vec<usize>,
}

/// Whether a part of a ray, from its start over a length, goes through a solid.
pub(super) fn hits(from: DVec3, along: DVec3, length: f64, part: &Part) -> bool {
    passes(from, along, length, part.bounds)
        && part.solid.intervals(&Ray { from, along }).as_slice().iter().any(|i| i.0 < length && i.1 > 0.0)
}

/// Whether a part of a ray passes a box.
fn passes(from: DVec3, along: DVec3, length: f64, (lo, hi): (DVec3, DVec3)) -> bool {
    let inverse = along.recip();
    // Of a ray along a side one of these is not a number, which `min` and `max` of the other leave out.
    let (a, b) = ((lo - from) * inverse, (hi - from) * inverse);
    let (near, far) = (a.min(b).max_element(), a.max(b).min_element());
    !(near > far || near > length || far < 0.0)
}

/// The end at the other end.
pub(super) fn other(end: End) -> End {
    match end {
        End::Start => End::End,
        End::End => End::Start,
    }
}
