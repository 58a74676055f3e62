//! From one point of the path to the next.
//!
//! As long as the loads go on to do work, the next point is where they have done a given amount of it (per unit of their
//! factor). That is a least-work problem: the frame lies so that its bars take in least, among all ways in which the loads go
//! so far. Newton's steps towards it are searched along for where the work stops falling, so that fibres which yield or
//! spring back in the course of a step do not send it to and fro. Where the loads would have to go back (a snap-back), the
//! next point lies at a given distance instead, over all displacements (arc length, Crisfield 1981).

use geometry::DVec3;

use super::path::Settings;
use super::run::{Run, State, Tried, along, dot, largest_force, length, turned};
use super::turning::Pose;
use crate::linear::FrameError;
use crate::supports::get;

/// A next point counts as found when no node is out of balance by more than this part of the load. What is left does not add
/// up from point to point. Less can not always be had: it is what one fibre more or less at its yield makes.
const BALANCE: f64 = 1e-4;

/// Most rounds for a point.
const ROUNDS: usize = 20;

/// Rounds per step that are aimed at: shorter steps where it takes more.
const AIM: f64 = 8.0;

/// Along a step, the fall of the work has to come down to this part of what it was.
const FALL: f64 = 0.5;

/// Most looks along a step.
const LOOKS: usize = 10;

/// So often may the work rise along Newton's step, which is then taken the other way: where the frame would not stay.
const RISES: usize = 6;

/// A step that is shorter than this part of the first one is no step.
const SHORTEST: f64 = 1e-6;

/// The loads go on if their way, by all displacements' together, is more than this part of what it was at first.
const GOES_ON: f64 = 0.05;

/// Remembers from step to step.
#[derive(Default)]
pub(super) struct Pace {
    /// Length of the next step.
    arc: Option<f64>,
    /// How far the last one moved.
    last: Option<Vec<f64>>,
    /// Work of the loads for a unit of displacement, in the first step.
    first: Option<f64>,
}

/// The next point.
pub(super) struct Next {
    pub state: State,
    /// How far the nodes moved and turned.
    pub moved: Vec<f64>,
    pub tried: Tried,
    /// Whether the loads went on.
    pub on: bool,
}

/// How a step's length is held.
#[derive(Clone, Copy, PartialEq)]
enum By {
    Work,
    Arc,
}

/// A point that is being found.
struct Point {
    poses: Vec<Pose>,
    moved: Vec<f64>,
    factor: f64,
    tried: Tried,
}

impl Run<'_> {
    /// The next point. `here` are the bars at the last one, coming from the one before: where fibres flow they are taken to
    /// flow on. `None` if no step is short enough.
    pub fn advance(
        &self,
        state: &State,
        here: Option<&Tried>,
        pace: &mut Pace,
        settings: &Settings,
    ) -> Result<Option<Next>, FrameError> {
        if let Some(here) = here
            && let Some(next) = self.advance_from(state, here, pace, settings)?
        {
            return Ok(Some(next));
        }
        // As if all fibres sprang.
        match self.tried(&state.poses, &state.memory, None) {
            Some(t) => self.advance_from(state, &t, pace, settings),
            None => Ok(None),
        }
    }

    fn advance_from(
        &self,
        state: &State,
        here: &Tried,
        pace: &mut Pace,
        settings: &Settings,
    ) -> Result<Option<Next>, FrameError> {
        let Some(factor) = self.stiffness(here) else { return Ok(None) };
        let Some(mut ahead) = self.solve(&factor, &self.load) else { return Ok(None) };
        let size = length(&ahead);
        if size == 0.0 {
            return Err(FrameError::Singular);
        }
        // Forward: as the last step went, or as the load pushes.
        let forward = pace.last.as_ref().map_or(1.0, |l| if along(l, &ahead) < 0.0 { -1.0 } else { 1.0 });
        ahead.iter_mut().for_each(|x| *x *= forward);
        let told = DVec3::from_slice(&get(&ahead, settings.node)[..3]).dot(settings.along).abs();
        // The first step's length is given by the told node's way; all lengths are of all nodes' ways together.
        let first = settings.first * if told > 0.0 { size / told } else { 1.0 };
        let most = |v: &[f64]| v.chunks_exact(6).map(|c| DVec3::from_slice(&c[..3]).length()).fold(0.0, f64::max);
        let mut l = pace.arc.unwrap_or(first);
        l = l.min(settings.longest * size / most(&ahead).max(f64::MIN_POSITIVE));
        let way = dot(&self.load, &ahead) / size;
        let on = way > GOES_ON * *pace.first.get_or_insert(way.abs());
        while l > SHORTEST * first {
            let held: &[By] = if on { &[By::Work, By::Arc] } else { &[By::Arc] };
            for &by in held {
                if let Some((p, rounds)) = self.point(state, &ahead, forward, [l / size, l], by) {
                    let memory = p.tried.settled.iter().map(|s| s.memory.clone()).collect();
                    pace.arc = Some(l * (AIM / rounds as f64).sqrt().clamp(0.5, 1.5));
                    pace.last = Some(p.moved.clone());
                    let on = dot(&self.load, &p.moved) > 0.0;
                    let state = State { poses: p.poses, memory, factor: p.factor };
                    return Ok(Some(Next { state, moved: p.moved, tried: p.tried, on }));
                }
            }
            l /= 2.0;
        }
        Ok(None)
    }

    /// Newton's method with the step's length held.
    fn point(
        &self,
        state: &State,
        ahead: &[f64],
        forward: f64,
        [scale, l]: [f64; 2],
        by: By,
    ) -> Option<(Point, usize)> {
        let moved: Vec<f64> = ahead.iter().map(|x| x * scale).collect();
        let poses = turned(&state.poses, &moved);
        let tried = self.tried(&poses, &state.memory, None)?;
        let work = dot(&self.load, &moved);
        let mut p = Point { poses, moved, factor: state.factor + forward * scale, tried };
        let mut rises = 0;
        for round in 1..=ROUNDS {
            let rest: Vec<f64> = self.load.iter().zip(&p.tried.inner).map(|(q, f)| p.factor * q - f).collect();
            // What the bars carry is the measure where the load itself is near zero.
            let scale = (p.factor.abs() * self.load_size).max(largest_force(&p.tried.inner) * 0.1);
            if self.out(&rest) <= (BALANCE * scale).max(self.rounding) {
                return Some((p, round));
            }
            let factor = self.stiffness(&p.tried)?;
            let by_rest = self.solve(&factor, &rest)?;
            let by_load = self.solve(&factor, &self.load)?;
            let more = match by {
                By::Work => (work - dot(&self.load, &p.moved) - dot(&self.load, &by_rest)) / dot(&self.load, &by_load),
                By::Arc => on_the_sphere(&p.moved, &by_rest, &by_load, l)?,
            };
            let step: Vec<f64> = by_rest.iter().zip(&by_load).map(|(r, q)| r + more * q).collect();
            p = match by {
                By::Work => self.search(state, p, &step, more, &mut rises)?,
                By::Arc => self.moved_on(state, &p, &step, more, 1.0)?,
            };
        }
        None
    }

    fn moved_on(&self, state: &State, p: &Point, step: &[f64], more: f64, share: f64) -> Option<Point> {
        let part: Vec<f64> = step.iter().map(|s| s * share).collect();
        let poses = turned(&p.poses, &part);
        let tried = self.tried(&poses, &state.memory, Some(&p.tried))?;
        let moved = p.moved.iter().zip(&part).map(|(a, b)| a + b).collect();
        Some(Point { poses, moved, factor: p.factor + share * more, tried })
    }

    /// The whole step, or where along it the work has stopped falling, near enough: between two places by the secant, which is
    /// kept from creeping (Illinois). The loads do no work along it: they go no further.
    fn search(&self, state: &State, p: Point, step: &[f64], more: f64, rises: &mut usize) -> Option<Point> {
        let fall = |t: &Tried| -dot(step, &t.inner);
        let mut first = fall(&p.tried);
        let (mut step, mut more) = (step.to_vec(), more);
        if first < 0.0 {
            // Newton's step goes up, to a place that the frame would leave by itself: down is the other way.
            *rises += 1;
            if *rises > RISES {
                return None;
            }
            step.iter_mut().for_each(|x| *x = -*x);
            (first, more) = (-first, -more);
        }
        let fall = |t: &Tried| -dot(&step, &t.inner);
        let (mut low, mut high, mut side) = ((0.0, first), (1.0, 0.0), 0);
        let mut share = 1.0_f64;
        for look in 1.. {
            let there = self.moved_on(state, &p, &step, more, share)?;
            let now = fall(&there.tried);
            // Past the whole step nothing is looked for.
            if now.abs() <= FALL * first || look == LOOKS || (look == 1 && now > 0.0) {
                return Some(there);
            }
            if now > 0.0 {
                low = (share, now);
                if side > 0 {
                    high.1 *= 0.5;
                }
                side = 1;
            } else {
                high = (share, now);
                if side < 0 {
                    low.1 *= 0.5;
                }
                side = -1;
            }
            let (a, b): ((f64, f64), (f64, f64)) = (low, high);
            let secant = (a.0 * b.1 - b.0 * a.1) / (b.1 - a.1);
            share = secant.clamp(a.0 + 0.1 * (b.0 - a.0), b.0 - 0.1 * (b.0 - a.0));
        }
        None
    }
}

/// How much the factor grows so that |moved + by_rest + more by_load| = l, over displacements alone: of both answers the one
/// that goes on in the direction taken so far.
fn on_the_sphere(moved: &[f64], by_rest: &[f64], by_load: &[f64], l: f64) -> Option<f64> {
    let base: Vec<f64> = moved.iter().zip(by_rest).map(|(a, b)| a + b).collect();
    let (a, b, c) = (along(by_load, by_load), along(&base, by_load), along(&base, &base) - l * l);
    let root = b * b - a * c;
    if root.is_nan() || root < 0.0 || a <= 0.0 {
        return None;
    }
    let root = root.sqrt();
    let both = [(-b + root) / a, (-b - root) / a];
    let on = |d: f64| along(moved, &base) + d * along(moved, by_load);
    Some(if on(both[0]) >= on(both[1]) { both[0] } else { both[1] })
}
