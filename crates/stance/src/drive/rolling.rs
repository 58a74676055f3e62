//! Wheels that roll along a road, and where the frame then is.

use geometry::DVec2;

use super::SHORTEST;
use crate::road::{Piece, Road};
use crate::side::Tyre;
use crate::tree::Area;

/// Before and after the obstacle the way begins and ends this much farther off than needed, m.
const SPARE: f64 = 0.25;
/// The way is looked at in stretches no longer than this to begin with, m. Of a long line, as much is held against the car
/// as it is over from one end of a stretch to the other.
const STRETCH: f64 = 1.0;

/// Where the frame is with its front hub at a place.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pose {
    /// Place of the front hub.
    pub s: f64,
    /// Hubs on the road.
    pub front: DVec2,
    pub rear: DVec2,
    /// Turn from the stance, nose up positive: cosine and sine.
    pub turn: DVec2,
}

pub(super) struct Rolling<'a> {
    pub road: &'a Road,
    pub front: Tyre,
    pub rear: Tyre,
    pub base: f64,
    /// Direction from the rear to the front hub as it stands.
    along: DVec2,
    /// Extent of the car along the road ahead of the front hub: least and most, m.
    reach: (f64, f64),
    /// No place of the car is farther than this from the front hub, m.
    pub arm: f64,
}

impl Rolling<'_> {
    /// A car that lies within `area` as it stands.
    pub fn new<'a>(road: &'a Road, front: Tyre, rear: Tyre, area: Area) -> Rolling<'a> {
        let along = front.hub - rear.hub;
        let arm = (area.lo - front.hub).abs().max((area.hi - front.hub).abs()).length();
        let reach = (area.lo.x - front.hub.x, area.hi.x - front.hub.x);
        Rolling { road, front, rear, base: along.length(), along: along.normalize(), reach, arm }
    }

    pub fn pose(&self, s: f64) -> Pose {
        let front = DVec2::new(s, self.road.hub(self.front.loaded, s).0);
        let rear_at = |x: f64| DVec2::new(x, self.road.hub(self.rear.loaded, x).0);
        // The rear hub is a wheelbase behind along the path. Its distance along changes little with its height.
        let mut rear = rear_at(s - self.base);
        let mut settled = false;
        for _ in 0..12 {
            let rise = front.y - rear.y;
            let next = s - (self.base * self.base - rise * rise).max(0.0).sqrt();
            settled = (next - rear.x).abs() < 1e-12;
            if settled {
                break;
            }
            rear = rear_at(next);
        }
        if !settled {
            let (mut far, mut near) = (s - self.base, s);
            for _ in 0..60 {
                let mid = 0.5 * (far + near);
                if (front - rear_at(mid)).length() > self.base { far = mid } else { near = mid }
            }
            rear = rear_at(0.5 * (far + near));
        }
        let now = (front - rear).normalize();
        Pose { s, front, rear, turn: DVec2::new(self.along.dot(now), self.along.perp_dot(now)) }
    }

    /// A place of the road in the frame's side view.
    pub fn back(&self, pose: &Pose, v: DVec2) -> DVec2 {
        self.front.hub + DVec2::new(pose.turn.x, -pose.turn.y).rotate(v - pose.front)
    }

    /// A place of the frame's side view over the road.
    pub fn forth(&self, pose: &Pose, v: DVec2) -> DVec2 {
        pose.front + pose.turn.rotate(v - self.front.hub)
    }

    /// Whether a piece of the road may come nearer than `within` to the car between two poses.
    pub fn is_near(&self, p: &Piece, from: &Pose, to: &Pose, within: f64) -> bool {
        let (lo, hi) = p.span();
        // Pitched, the car reaches no farther along than level and by its height's share.
        let lean = self.arm * from.turn.y.abs().max(to.turn.y.abs()) + within.max(0.0);
        hi > from.front.x + self.reach.0 - lean && lo < to.front.x + self.reach.1 + lean
    }

    /// A piece of the road near the car, in the frame's side view: adds its corners, and tells by how much they are
    /// rounded.
    pub fn piece(&self, pose: &Pose, p: &Piece, out: &mut Vec<DVec2>) -> f64 {
        match *p {
            Piece::Line { a, b, .. } => {
                // No more of a long line than the car is over, and some.
                let (lo, hi) =
                    (pose.front.x + self.reach.0 - STRETCH - SPARE, pose.front.x + self.reach.1 + STRETCH + SPARE);
                let cut = |x: f64| {
                    let x = x.clamp(lo.min(b.x), hi.max(a.x));
                    if b.x > a.x { a + (b - a) * ((x - a.x) / (b.x - a.x)).clamp(0.0, 1.0) } else { a }
                };
                if b.x > a.x {
                    out.extend([cut(a.x), cut(b.x)].map(|v| self.back(pose, v)));
                } else {
                    out.extend([a, b].map(|v| self.back(pose, v)));
                }
                0.0
            }
            Piece::Crest(c) => {
                out.push(self.back(pose, c));
                0.0
            }
            Piece::Round { centre, radius, .. } => {
                out.push(self.back(pose, centre));
                radius
            }
        }
    }

    /// Poses in order of the way, between which neither hub's path has a kink or turns from up to down.
    pub fn poses(&self) -> Vec<Pose> {
        let start = self.road.from - self.reach.1.max(0.0) - self.front.loaded - SPARE;
        let end = self.road.to + (-self.reach.0).max(self.base) + self.rear.loaded + SPARE;
        let mut out = vec![start, end];
        out.extend(self.road.kinks(self.front.loaded));
        for k in self.road.kinks(self.rear.loaded) {
            // The front hub's place when the rear one is there.
            let low = self.road.hub(self.rear.loaded, k).0;
            let mut s = k + self.base;
            for _ in 0..40 {
                let rise = self.road.hub(self.front.loaded, s).0 - low;
                let next = k + (self.base * self.base - rise * rise).max(0.0).sqrt();
                if next == s {
                    break;
                }
                s = next;
            }
            out.push(s);
        }
        out.retain(|s| (start..=end).contains(s));
        out.sort_by(f64::total_cmp);
        out.dedup_by(|b, a| *b - *a < SHORTEST);
        let mut poses = vec![self.pose(out[0])];
        for w in out.windows(2) {
            let n = ((w[1] - w[0]) / STRETCH).ceil().max(1.0) as usize;
            poses.extend((1..=n).map(|k| self.pose(w[0] + (w[1] - w[0]) * k as f64 / n as f64)));
        }
        poses
    }
}
