//! The least clearance along the way: a bound for each stretch of it, the most promising halved first.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use geometry::DVec2;

use super::rolling::{Pose, Rolling};
use super::{KNOWN, SHORTEST, TOUCH};
use crate::flat::{distance, hull};
use crate::road::Piece;
use crate::side::View;
use crate::tree::Area;

/// Where the frame is in the road, the way is looked at in stretches of this, m.
const SCRAPING: f64 = 0.02;

/// A clearance, the shadow it is of, and the nearest places of shadow and road in the frame's view.
#[derive(Clone, Copy, Debug)]
pub(super) struct Found {
    pub clearance: f64,
    /// Index in [`View::seen`].
    pub shadow: usize,
    pub near: DVec2,
    pub road: DVec2,
}

pub(super) struct Drive<'a> {
    pub rolling: Rolling<'a>,
    pub view: &'a View<'a>,
}

/// A piece of the road in the frame's view, or all places that it has on a stretch of the way.
struct Body<'a> {
    /// Corners of a convex polygon, anticlockwise.
    corners: &'a [DVec2],
    /// By how much it is rounded, and by how much it may stray, together.
    off: f64,
    area: Area,
    /// A direction in which a shadow may be parted from it at a glance, and how far it reaches that way.
    out: Option<(DVec2, f64)>,
}

impl Body<'_> {
    /// Whether a box may be nearer than this.
    fn near(&self, a: &Area, least: f64) -> bool {
        let room = least + self.off;
        room > 0.0
            && a.gap_squared(&self.area) < room * room
            && self.out.is_none_or(|(out, reach)| a.least(out) - reach < room)
    }
}

impl Body<'_> {
    /// Whether a line square to one direction keeps corners at least this far from it: square to a line of the road, or
    /// away from a corner of it.
    fn parted(&self, corners: &[DVec2], area: &Area, by: f64) -> bool {
        let (out, reach) = self.out.unwrap_or_else(|| {
            let out = (area.lo + area.hi - self.area.lo - self.area.hi).normalize_or_zero();
            (out, self.corners.iter().map(|c| out.dot(*c)).fold(f64::NEG_INFINITY, f64::max))
        });
        corners.iter().all(|c| out.dot(*c) - reach >= by)
    }
}

/// A stretch of the way that may hold less than was known when it was looked at.
struct Stretch {
    /// What it may hold, or more.
    promise: f64,
    /// What it was held against.
    enough: f64,
    from: Pose,
    to: Pose,
}

impl PartialEq for Stretch {
    fn eq(&self, other: &Stretch) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Stretch {}

impl PartialOrd for Stretch {
    fn partial_cmp(&self, other: &Stretch) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Stretch {
    /// The least promise is the greatest; of equal ones the first on the way.
    fn cmp(&self, other: &Stretch) -> Ordering {
        other.promise.total_cmp(&self.promise).then(other.from.s.total_cmp(&self.from.s))
    }
}

impl Drive<'_> {
    /// The least clearance of all, and the pose. `None` if nothing counts.
    pub fn least(&self, poses: &[Pose]) -> Option<(Found, Pose)> {
        let mut best: Option<(Found, Pose)> = None;
        let look = |pose: &Pose, best: &mut Option<(Found, Pose)>| {
            let within = best.map_or(f64::INFINITY, |b| b.0.clearance);
            if let Some(found) = self.clearance(pose, within).filter(|f| f.clearance < within) {
                *best = Some((found, *pose));
            }
        };
        for p in poses {
            look(p, &mut best);
        }
        let enough = |found: &Found| if found.clearance > 0.0 { found.clearance - KNOWN } else { SHORTEST };
        let mut open = BinaryHeap::new();
        let offer = |p: &Pose, q: &Pose, best: &Option<(Found, Pose)>, open: &mut BinaryHeap<Stretch>| {
            let Some((found, _)) = best else { return };
            let shortest = if found.clearance <= 0.0 { SCRAPING } else { SHORTEST };
            if q.s - p.s < shortest {
                return;
            }
            let enough = enough(found);
            if let Some(promise) = self.less(p, q, enough) {
                open.push(Stretch { promise, enough, from: *p, to: *q });
            }
        };
        for w in poses.windows(2) {
            offer(&w[0], &w[1], &best, &mut open);
        }
        while let Some(stretch) = open.pop() {
            let Some((found, _)) = &best else { break };
            let (from, to) = (stretch.from, stretch.to);
            // Less may be known by now.
            if enough(found) < stretch.enough {
                offer(&from, &to, &best, &mut open);
                continue;
            }
            let mid = self.rolling.pose(0.5 * (from.s + to.s));
            look(&mid, &mut best);
            offer(&from, &mid, &best, &mut open);
            offer(&mid, &to, &best, &mut open);
        }
        best
    }

    /// Where it touches first.
    pub fn first_touch(&self, poses: &[Pose]) -> Option<(Found, Pose)> {
        let touches = |p: &Pose| self.clearance(p, SHORTEST).filter(|f| f.clearance <= 0.0).map(|f| (f, *p));
        let mut stretches: Vec<(Pose, Pose)> = poses.windows(2).rev().map(|w| (w[0], w[1])).collect();
        while let Some((p, q)) = stretches.pop() {
            let first = touches(&p);
            if first.is_some() {
                return first;
            }
            if q.s - p.s < TOUCH || self.less(&p, &q, 0.0).is_none() && touches(&q).is_none() {
                continue;
            }
            let mid = self.rolling.pose(0.5 * (p.s + q.s));
            stretches.push((mid, q));
            stretches.push((p, mid));
        }
        poses.last().and_then(touches)
    }

    /// The least clearance in a pose if it is less than `within`.
    pub fn clearance(&self, pose: &Pose, within: f64) -> Option<Found> {
        let mut best: Option<Found> = None;
        // What is no nearer than a hundredth of what is to be known changes nothing. Where it fails already, it may fail by
        // more: whatever touches is looked at.
        let mut least = within.max(SHORTEST) - 0.01 * KNOWN;
        let mut corners = Vec::with_capacity(4);
        for p in &self.rolling.road.pieces {
            if !self.rolling.is_near(p, pose, pose, least) {
                continue;
            }
            corners.clear();
            let round = self.rolling.piece(pose, p, &mut corners);
            self.nearer(&mut corners, round, &mut least, |_, f| best = Some(f));
        }
        if best.is_some_and(|b| b.clearance > 0.0) {
            return best;
        }
        // In touch, or within the road altogether: by how much height it fails.
        best.map(|found| self.failing(pose).filter(|f| f.clearance < 0.0).unwrap_or(found))
    }

    /// Calls back for shadows that are nearer to a rounded piece of road than the least so far. The piece is given by its
    /// corners, the first two of a line those of one pose; `off` is its rounding and by how much it may stray.
    fn nearer(&self, corners: &mut Vec<DVec2>, off: f64, least: &mut f64, mut found: impl FnMut(&mut f64, Found)) {
        let out = match corners[..] {
            [a, b, ..] => (b - a).perp().try_normalize(),
            _ => None,
        };
        let out = out.map(|out| (out, corners.iter().map(|c| out.dot(*c)).fold(f64::NEG_INFINITY, f64::max)));
        let area = Area::round(corners);
        if !(Body { corners: &[], off, area, out }).near(&self.view.area, *least) {
            return;
        }
        hull(corners);
        let body = Body { corners, off, area, out };
        self.view.walk(
            least,
            |least, a| body.near(a, *least),
            |least, k| {
                let s = &self.view.seen[k];
                if !body.near(&s.area, *least) {
                    return;
                }
                let off = s.margin + body.off;
                if body.parted(self.view.corners(s), &s.area, *least + off) {
                    return;
                }
                let (d, near, road) = distance(self.view.corners(s), body.corners, *least + off);
                if d - off < *least {
                    *least = d - off;
                    found(least, Found { clearance: d - off, shadow: k, near, road });
                }
            },
        );
    }

    /// The greatest height by which a shadow is under the road, as a negative clearance.
    fn failing(&self, pose: &Pose) -> Option<Found> {
        let (rolling, road) = (&self.rolling, self.rolling.road);
        let mut best: Option<Found> = None;
        for (i, s) in self.view.seen.iter().enumerate().filter(|(_, s)| !s.area.is_nothing()) {
            let there: Vec<DVec2> = self.view.corners(s).iter().map(|&c| rolling.forth(pose, c)).collect();
            let mut offer = |q: DVec2, height: f64| {
                let clearance = q.y - s.margin - height;
                if best.is_none_or(|b| clearance < b.clearance) {
                    let (near, road) = (rolling.back(pose, q), rolling.back(pose, DVec2::new(q.x, height)));
                    best = Some(Found { clearance, shadow: i, near, road });
                }
            };
            for &q in &there {
                offer(q, road.height(q.x));
            }
            let (lo, hi) = there.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |m, q| (m.0.min(q.x), m.1.max(q.x)));
            for p in &road.pieces {
                let top = match *p {
                    Piece::Crest(c) => c,
                    Piece::Round { centre, radius, .. } => centre + DVec2::Y * radius,
                    Piece::Line { .. } => continue,
                };
                if top.x > lo && top.x < hi {
                    let under = there
                        .iter()
                        .zip(there.iter().cycle().skip(1))
                        .filter(|(a, b)| (a.x - top.x) * (b.x - top.x) <= 0.0 && a.x != b.x)
                        .map(|(a, b)| a.y + (b.y - a.y) * (top.x - a.x) / (b.x - a.x))
                        .fold(f64::INFINITY, f64::min);
                    offer(DVec2::new(top.x, under), top.y);
                }
            }
        }
        best
    }

    /// Whether the clearance can be less than `enough` between two poses; if so, something that it can be.
    fn less(&self, p: &Pose, q: &Pose, enough: f64) -> Option<f64> {
        let rolling = &self.rolling;
        let road = rolling.road;
        let pieces = [(rolling.front.loaded, p.front.x, q.front.x), (rolling.rear.loaded, p.rear.x, q.rear.x)]
            .map(|(r, a, b)| (r, road.hub(r, 0.5 * (a + b)).1, a, b));
        // A height whose slope runs one way between two ends strays from its chord by at most a quarter of the slope's
        // change times the distance.
        let slopes = pieces.map(|(r, k, a, b)| (road.slope(k, r, a), road.slope(k, r, b)));
        let [front, rear] =
            [0, 1].map(|i| 0.25 * (slopes[i].0 - slopes[i].1).abs() * (pieces[i].3 - pieces[i].2).abs());
        // The rear hub's place against the front's, by their slopes.
        let pace = |pose: &Pose, f: f64, r: f64| {
            let d = pose.front - pose.rear;
            (d.x + f * d.y) / (d.x + r * d.y).max(0.1 * rolling.base)
        };
        let lag = 0.25 * (pace(p, slopes[0].0, slopes[1].0) - pace(q, slopes[0].1, slopes[1].1)).abs() * (q.s - p.s);
        let steepest = slopes[1].0.abs().max(slopes[1].1.abs());
        let turn = p.turn.perp_dot(q.turn).abs().min(1.0).asin();
        let level = (p.turn.x.min(q.turn.x) - turn).max(0.1);
        let turned = (front + rear + steepest * lag) / (rolling.base * level);
        let moved = p.front.distance(q.front);
        // Only places of the road that come nearer than the least so far to some place of the car matter.
        let within = rolling.arm + enough.max(0.0) + moved;
        // No place strays from between its two by more than this.
        let strays = |arm: f64| front + turned * arm + 0.125 * turn * (turn * arm + 2.0 * moved);
        let most = strays(within);
        let mut corners = Vec::with_capacity(16);
        for piece in &road.pieces {
            if !rolling.is_near(piece, p, q, enough + most) {
                continue;
            }
            corners.clear();
            let round = rolling.piece(p, piece, &mut corners);
            rolling.piece(q, piece, &mut corners);
            let arm = corners.iter().map(|c| c.distance(rolling.front.hub)).fold(0.0, f64::max).min(within);
            let (mut least, mut found) = (enough, None);
            self.nearer(&mut corners, round + strays(arm), &mut least, |least, f| {
                found = Some(f.clearance);
                // One is enough.
                *least = f64::NEG_INFINITY;
            });
            if found.is_some() {
                return found;
            }
        }
        None
    }
}
