//! Driving over an obstacle, slowly: where it comes nearest, and where it scrapes.

use design::Obstacle;
use geometry::{DVec2, DVec3, Outline};
use serde::Serialize;

use crate::flat::{distance, hull};
use crate::road::{Piece, Road};
use crate::side::{Seen, Tyre, View};
use crate::solids::{Kind, Part};

/// The least clearance is known to this, m: a tenth of a millimetre.
pub const KNOWN: f64 = 1e-4;
/// The way is looked at in stretches no longer than this to begin with, m.
const STRETCH: f64 = 0.25;
/// Where the frame is in the road, the way is looked at in stretches of this, m.
const SCRAPING: f64 = 0.02;
/// Stretches shorter than this are not halved, m.
const SHORTEST: f64 = 2e-5;
/// The place of a first touch is known to this, m.
const TOUCH: f64 = 1e-4;
/// Pieces of a hub's path are told apart at places this far from each other, m, and then to [`SHORTEST`].
const PIECES: f64 = 0.01;

/// A place of the car and of the road.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Meeting {
    /// The tube, plate or mass.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// Where on it, in the frame's axes, m.
    pub at: DVec3,
    /// Distance along the tube from its start, m.
    pub station: Option<f64>,
    /// Where on the road: distance from where the obstacle begins, and height, m.
    pub road: DVec2,
    /// Distance of the front axle past where the obstacle begins, m.
    pub front_axle: f64,
    /// Distance between the two, m; where they overlap minus the height by which it fails.
    pub clearance: f64,
}

/// A drive over one obstacle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Crossing {
    /// The obstacle.
    pub obstacle: String,
    /// Whether its tyres climb it and nothing scrapes.
    pub over: bool,
    /// A corner of the road that a tyre does not climb, if there is one: distance and height, m.
    pub barred: Option<DVec2>,
    /// Where it comes nearest. `None` if nothing counts, or the tyres don't climb it.
    pub least: Option<Meeting>,
    /// Where it touches first, going forward.
    pub first_touch: Option<Meeting>,
}

/// A part as seen from the side: corners of a polygon, rounded.
struct Shadow<'a> {
    seen: &'a Seen,
    corners: Vec<DVec2>,
    margin: f64,
    /// Lowest over the ground as it stands.
    low: f64,
}

impl Shadow<'_> {
    /// Height of the polygon's underside at a place within its extent, without its rounding.
    fn under(&self, x: f64) -> f64 {
        let n = self.corners.len();
        (0..n)
            .map(|i| (self.corners[i], self.corners[(i + 1) % n]))
            .filter(|(a, b)| a.x != b.x && (a.x - x) * (b.x - x) <= 0.0)
            .map(|(a, b)| a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x))
            .fold(f64::INFINITY, f64::min)
    }
}

/// A part's shadow: see `docs/methods/stance.md`.
fn shadow<'a>(view: &View, seen: &'a Seen) -> Shadow<'a> {
    let side = |d: DVec3| DVec2::new(view.ground.forward.dot(d), view.ground.normal.dot(d));
    let place = |p: DVec3| {
        let q = view.ground.place(p);
        DVec2::new(q.x, q.z)
    };
    let (corners, margin) = match &view.things[seen.thing].parts[seen.part] {
        Part::Corners(c) => (c.iter().map(|&p| place(p)).collect(), 0.0),
        Part::Leg { frame, length, outline, .. } => {
            let (fx, fy, r) = match *outline {
                Outline::Circle { r } => (0.0, 0.0, r),
                Outline::RoundRect { half_x, half_y, r } => (half_x - r, half_y - r, r),
            };
            // A flat disc square to the axis is an ellipse from the side; a stadium of the same extents holds it.
            let margin = r * view.ground.left.dot(frame.t).abs().min(1.0);
            let across = side(frame.t).perp().normalize_or_zero() * (r - margin);
            let mut out = Vec::with_capacity(16);
            for end in [frame.origin, frame.origin + frame.t * *length] {
                for (sx, sy) in [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)] {
                    let c = place(end + frame.u * (fx * sx) + frame.v * (fy * sy));
                    out.push(c + across);
                    out.push(c - across);
                    if fx == 0.0 && fy == 0.0 {
                        break;
                    }
                }
            }
            (out, margin)
        }
    };
    let corners = hull(corners);
    let low = corners.iter().map(|c| c.y).fold(f64::INFINITY, f64::min) - margin;
    Shadow { seen, corners, margin, low }
}

/// Shadows that may come nearest: not those that are the same from the side, nor those that another one is under whichever
/// way the car pitches. What is straight under a place is as near to the road, since the road is a height for each place.
fn underside<'a>(all: impl Iterator<Item = Shadow<'a>>, steepest: f64) -> Vec<Shadow<'a>> {
    /// Shadows as long as this are looked for under others, m.
    const LONG: f64 = 0.2;
    /// Corners nearer than this are the same, m.
    const SAME: f64 = 1e-9;
    let mut kept: Vec<Shadow> = Vec::new();
    let mut long: Vec<(usize, f64, f64)> = Vec::new();
    for s in all {
        let (lo, hi) = s.corners.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |m, c| (m.0.min(c.x), m.1.max(c.x)));
        let high = s.corners.iter().map(|c| c.y).fold(f64::NEG_INFINITY, f64::max) + s.margin;
        let hidden = long.iter().any(|&(k, from, to)| {
            let under = &kept[k];
            let reach = s.margin + (high - under.low).max(0.0) * steepest;
            let same = under.margin == s.margin
                && under.corners.len() == s.corners.len()
                && under.corners.iter().zip(&s.corners).all(|(a, b)| a.distance_squared(*b) < SAME * SAME);
            let (a, b) = (lo - reach, hi + reach);
            same || a >= from && b <= to && under.under(a) <= s.low && under.under(b) <= s.low
        });
        if hidden {
            continue;
        }
        if hi - lo >= LONG {
            long.push((kept.len(), lo, hi));
        }
        kept.push(s);
    }
    kept
}

/// A clearance, the shadow it is of, and the nearest places of shadow and road in the frame's view.
type Found = (f64, usize, DVec2, DVec2);

/// Where the frame is with its front hub at a place.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pose {
    /// Place of the front hub.
    s: f64,
    /// Hubs on the road.
    pub front: DVec2,
    pub rear: DVec2,
    /// Turn from the stance, nose up positive: sine and cosine.
    sin: f64,
    cos: f64,
}

pub(crate) struct Drive<'a> {
    road: &'a Road,
    front: Tyre,
    rear: Tyre,
    base: f64,
    /// Direction from the rear to the front hub as it stands.
    along: DVec2,
    shadows: Vec<Shadow<'a>>,
    /// Extent of the shadows.
    reach: (f64, f64),
}

impl Drive<'_> {
    pub fn pose(&self, s: f64) -> Pose {
        let front = DVec2::new(s, self.road.hub(self.front.loaded, s).0);
        let rear_at = |x: f64| DVec2::new(x, self.road.hub(self.rear.loaded, x).0);
        let gap = |x: f64| (front - rear_at(x)).length() - self.base;
        // The rear hub is a wheelbase behind along the path. Its distance along changes little with its height.
        let mut x = s - self.base;
        let mut settled = false;
        for _ in 0..12 {
            let rise = front.y - rear_at(x).y;
            let next = s - (self.base * self.base - rise * rise).max(0.0).sqrt();
            settled = (next - x).abs() < 1e-12;
            x = next;
            if settled {
                break;
            }
        }
        if !settled {
            let (mut far, mut near) = (s - self.base, s);
            for _ in 0..60 {
                let mid = 0.5 * (far + near);
                if gap(mid) > 0.0 { far = mid } else { near = mid }
            }
            x = 0.5 * (far + near);
        }
        let rear = rear_at(x);
        let now = (front - rear).normalize();
        Pose { s, front, rear, sin: self.along.perp_dot(now), cos: self.along.dot(now) }
    }

    /// A place of the road in the frame's side view.
    fn back(&self, pose: &Pose, v: DVec2) -> DVec2 {
        self.front.hub + DVec2::new(pose.cos, -pose.sin).rotate(v - pose.front)
    }

    /// A piece of the road near the car, in the frame's side view: corners, and by how much they are rounded.
    fn piece(&self, pose: &Pose, p: &Piece, out: &mut Vec<DVec2>) -> f64 {
        match *p {
            Piece::Line { a, b, .. } => {
                // No more of a long line than the car is over, and some.
                let (lo, hi) = (
                    pose.front.x + self.reach.0 - self.front.hub.x - STRETCH,
                    pose.front.x + self.reach.1 - self.front.hub.x + STRETCH,
                );
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

    /// The least clearance in a pose, and whose it is.
    pub fn least(&self, view: &View, pose: &Pose) -> Option<(f64, String)> {
        let (d, i, ..) = self.clearance(pose, f64::INFINITY)?;
        Some((d, view.things[self.shadows[i].seen.thing].name.clone()))
    }

    /// The least clearance in a pose if it is less than `within`: which shadow, the nearest places in the frame's view.
    fn clearance(&self, pose: &Pose, within: f64) -> Option<Found> {
        let mut best: Option<Found> = None;
        // What is no nearer than a hundredth of what is to be known changes nothing.
        let mut least = within - 0.01 * KNOWN;
        let mut corners = Vec::with_capacity(4);
        for p in &self.road.pieces {
            corners.clear();
            let round = self.piece(pose, p, &mut corners);
            self.nearer(&corners, corners.len(), round, 0.0, &mut least, |d, i, a, b| best = Some((d, i, a, b)));
        }
        if best.is_some_and(|b| b.0 > 0.0) {
            return best;
        }
        // In touch, or within the road altogether: by how much height it fails.
        best.map(|found| self.failing(pose).filter(|f| f.0 < 0.0).unwrap_or(found))
    }

    /// Calls back for every shadow that is nearer to a rounded piece of road than the least so far, by more than it may
    /// stray. The piece is given by its corners, the first `first` of them those of one pose.
    fn nearer(
        &self,
        corners: &[DVec2],
        first: usize,
        round: f64,
        stray: f64,
        least: &mut f64,
        mut found: impl FnMut(f64, usize, DVec2, DVec2),
    ) {
        let top = corners.iter().map(|c| c.y).fold(f64::NEG_INFINITY, f64::max) + round + stray;
        // A direction in which shadow and road may be parted at a glance: square to a line, away from a corner.
        let line = (first == 2).then(|| (corners[1] - corners[0]).perp().try_normalize());
        let mut body: Option<Vec<DVec2>> = None;
        for (i, s) in self.shadows.iter().enumerate() {
            let (mid, radius) = (s.seen.mid, s.seen.radius);
            if mid.y - radius - top >= *least {
                // The rest stand higher still.
                break;
            }
            let out = line.flatten().unwrap_or_else(|| (mid - corners[0]).normalize_or_zero());
            let reach = corners.iter().map(|c| out.dot(*c)).fold(f64::NEG_INFINITY, f64::max) + round + stray;
            if out.dot(mid) - radius - reach >= *least {
                continue;
            }
            let near = s.corners.iter().map(|c| out.dot(*c)).fold(f64::INFINITY, f64::min) - s.margin;
            if near - reach >= *least {
                continue;
            }
            let body = body.get_or_insert_with(|| hull(corners.to_vec()));
            let off = s.margin + round + stray;
            let (d, a, b) = distance(&s.corners, body, *least + off);
            if d - off < *least {
                *least = d - off;
                found(*least, i, a, b);
            }
        }
    }

    /// The greatest height by which a shadow is under the road, as a negative clearance.
    fn failing(&self, pose: &Pose) -> Option<Found> {
        let forth = |v: DVec2| pose.front + DVec2::new(pose.cos, pose.sin).rotate(v - self.front.hub);
        let mut best: Option<Found> = None;
        for (i, s) in self.shadows.iter().enumerate() {
            let there: Vec<DVec2> = s.corners.iter().map(|&c| forth(c)).collect();
            let mut offer = |q: DVec2, road: f64| {
                let short = q.y - s.margin - road;
                if best.is_none_or(|b| short < b.0) {
                    best = Some((short, i, self.back(pose, q), self.back(pose, DVec2::new(q.x, road))));
                }
            };
            for &q in &there {
                offer(q, self.road.height(q.x));
            }
            let (lo, hi) = there.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |m, q| (m.0.min(q.x), m.1.max(q.x)));
            for p in &self.road.pieces {
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

    /// The least that the clearance can be between two poses, or `enough` if it is at least that.
    fn bound(&self, p: &Pose, q: &Pose, enough: f64) -> f64 {
        let mid = self.pose(0.5 * (p.s + q.s));
        let pieces = [(self.front.loaded, p.front.x, q.front.x), (self.rear.loaded, p.rear.x, q.rear.x)]
            .map(|(r, a, b)| (r, self.road.hub(r, 0.5 * (a + b)).1, a, b));
        // A height whose slope runs one way between two ends strays from its chord by at most a quarter of the slope's
        // change times the distance.
        let slopes = pieces.map(|(r, k, a, b)| (self.road.slope(k, r, a), self.road.slope(k, r, b)));
        let [front, rear] =
            [0, 1].map(|i| 0.25 * (slopes[i].0 - slopes[i].1).abs() * (pieces[i].3 - pieces[i].2).abs());
        // The rear hub's place against the front's, by their slopes.
        let pace = |pose: &Pose, f: f64, r: f64| {
            let d = pose.front - pose.rear;
            (d.x + f * d.y) / (d.x + r * d.y).max(0.1 * self.base)
        };
        let lag = 0.25 * (pace(p, slopes[0].0, slopes[1].0) - pace(q, slopes[0].1, slopes[1].1)).abs() * (q.s - p.s);
        let steepest = slopes[1].0.abs().max(slopes[1].1.abs());
        let level = p.cos.min(q.cos).min(mid.cos).max(0.1);
        let turned = (front + rear + steepest * lag) / (self.base * level);
        let turn = (p.sin * q.cos - p.cos * q.sin).abs().min(1.0).asin();
        let moved = p.front.distance(q.front);
        let mut least = enough;
        let (mut corners, mut last) = (Vec::with_capacity(8), Vec::with_capacity(4));
        for piece in &self.road.pieces {
            corners.clear();
            last.clear();
            let round = self.piece(p, piece, &mut corners);
            let first = corners.len();
            self.piece(q, piece, &mut last);
            corners.append(&mut last);
            let arm = corners.iter().map(|c| c.distance(self.front.hub)).fold(0.0, f64::max);
            let stray = front + turned * arm + 0.125 * turn * (turn * arm + 2.0 * moved);
            self.nearer(&corners, first, round, stray, &mut least, |_, _, _, _| {});
        }
        least
    }

    fn meeting(&self, view: &View, pose: &Pose, found: Found) -> Meeting {
        let (clearance, i, near, road) = found;
        let s = &self.shadows[i];
        let t = &view.things[s.seen.thing];
        let part = &t.parts[s.seen.part];
        let towards = if clearance > 0.0 { road - near } else { DVec2::NEG_Y };
        let corner = near + towards.normalize_or_zero() * s.margin;
        // Across the car, the place that comes first that way.
        let (place, _) = view.support(s.seen, towards);
        let across = view.ground.place(place).y;
        let at = view.ground.direction(DVec3::new(corner.x, across, corner.y + view.ground.height));
        let on_road = pose.front + DVec2::new(pose.cos, pose.sin).rotate(road - self.front.hub);
        let on_road = DVec2::new(on_road.x, on_road.y);
        let road = match self.road.pieces.iter().find(|p| matches!(p, Piece::Round { .. })) {
            // The nearest place of a round top is on its surface, not at its centre.
            Some(Piece::Round { centre, radius, .. }) if on_road.distance(*centre) < 1e-9 => {
                let here = pose.front + DVec2::new(pose.cos, pose.sin).rotate(near - self.front.hub);
                *centre + (here - *centre).normalize_or_zero() * *radius
            }
            _ => on_road,
        };
        Meeting {
            name: t.name.clone(),
            kind: t.kind,
            at,
            station: part.station(at),
            road: DVec2::new(road.x - self.road.from, road.y),
            front_axle: pose.front.x - self.road.from,
            clearance,
        }
    }

    /// Places of the front hub between which neither hub's path has a kink or turns from up to down.
    pub fn stops(&self) -> Vec<f64> {
        let (tail, nose) = (self.front.hub.x - self.reach.0, self.reach.1 - self.front.hub.x);
        let start = self.road.from - nose.max(0.0) - self.front.loaded - STRETCH;
        let end = self.road.to + tail.max(self.base) + self.rear.loaded + STRETCH;
        let mut out = vec![start, end];
        for (tyre, rear) in [(self.front.loaded, false), (self.rear.loaded, true)] {
            let mut kinks = Vec::new();
            let (mut x, mut was) = (self.road.from - 2.0 * tyre, self.road.hub(tyre, self.road.from - 2.0 * tyre).1);
            while x < self.road.to + 2.0 * tyre {
                let next = x + PIECES;
                let is = self.road.hub(tyre, next).1;
                if is != was {
                    let (mut a, mut b) = (x, next);
                    while b - a > SHORTEST * SHORTEST {
                        let mid = 0.5 * (a + b);
                        if mid <= a || mid >= b {
                            break;
                        }
                        if self.road.hub(tyre, mid).1 == was { a = mid } else { b = mid }
                    }
                    kinks.push(b);
                }
                (x, was) = (next, is);
            }
            for p in &self.road.pieces {
                match *p {
                    Piece::Crest(c) => kinks.push(c.x),
                    Piece::Round { centre, .. } => kinks.push(centre.x),
                    Piece::Line { .. } => {}
                }
            }
            for k in kinks {
                if rear {
                    // The front hub's place when the rear one is there.
                    let low = self.road.hub(tyre, k).0;
                    let mut s = k + self.base;
                    for _ in 0..40 {
                        let rise = self.road.hub(self.front.loaded, s).0 - low;
                        s = k + (self.base * self.base - rise * rise).max(0.0).sqrt();
                    }
                    out.push(s);
                } else {
                    out.push(k);
                }
            }
        }
        out.retain(|s| (start..=end).contains(s));
        out.sort_by(f64::total_cmp);
        out.dedup_by(|b, a| *b - *a < SHORTEST);
        let mut fine = vec![out[0]];
        for w in out.windows(2) {
            let n = ((w[1] - w[0]) / STRETCH).ceil().max(1.0) as usize;
            fine.extend((1..=n).map(|k| w[0] + (w[1] - w[0]) * k as f64 / n as f64));
        }
        fine
    }
}

/// Makes ready to drive; `None` where nothing counts.
pub(crate) fn prepare<'a>(view: &'a View, road: &'a Road, front: &Tyre, rear: &Tyre) -> Option<Drive<'a>> {
    let along = front.hub - rear.hub;
    let top = road.pieces.iter().fold(0.0f64, |m, p| match *p {
        Piece::Line { a, b, .. } => m.max(a.y).max(b.y),
        Piece::Round { centre, radius, .. } => m.max(centre.y + radius),
        Piece::Crest(_) => m,
    });
    let bottom = road.pieces.iter().fold(f64::INFINITY, |m, p| match *p {
        Piece::Line { a, b, .. } => m.min(a.y).min(b.y),
        _ => m,
    });
    let lowest = view.seen.first()?;
    // What stands higher than the lowest part by more than the road and the pitch can make up never comes first.
    let first = shadow(view, lowest).low;
    let reach = view
        .seen
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |m, s| (m.0.min(s.mid.x - s.radius), m.1.max(s.mid.x + s.radius)));
    let span = (reach.1 - reach.0).max(1.0);
    let height = top - bottom;
    let room = height + 2.0 * span * (height / along.length()).min(1.0);
    let steepest = (height / along.length()).min(0.99).asin().tan();
    let shadows = underside(
        view.seen
            .iter()
            .take_while(|s| s.mid.y - s.radius < first + room)
            .map(|s| shadow(view, s))
            .filter(|s| s.low < first + room),
        steepest,
    );
    Some(Drive { road, front: *front, rear: *rear, base: along.length(), along: along.normalize(), shadows, reach })
}

/// Drives the side view over an obstacle.
pub(crate) fn over(view: &View, front: &Tyre, rear: &Tyre, obstacle: &Obstacle) -> Crossing {
    let road = Road::new(&obstacle.shape);
    let name = obstacle.name.clone();
    let barred = road.bars(front.loaded).or_else(|| road.bars(rear.loaded));
    if let Some(c) = barred {
        let barred = Some(DVec2::new(c.x - road.from, c.y));
        return Crossing { obstacle: name, over: false, barred, least: None, first_touch: None };
    }
    let Some(drive) = prepare(view, &road, front, rear) else {
        return Crossing { obstacle: name, over: true, barred: None, least: None, first_touch: None };
    };
    let poses: Vec<Pose> = drive.stops().into_iter().map(|s| drive.pose(s)).collect();
    let mut best: Option<(Found, Pose)> = None;
    let look = |pose: &Pose, best: &mut Option<(Found, Pose)>| {
        let within = best.map_or(f64::INFINITY, |b| b.0.0);
        if let Some(found) = drive.clearance(pose, within)
            && found.0 < within
        {
            *best = Some((found, *pose));
        }
    };
    for p in &poses {
        look(p, &mut best);
    }
    let mut stretches: Vec<(Pose, Pose)> = poses.windows(2).rev().map(|w| (w[0], w[1])).collect();
    while let Some((p, q)) = stretches.pop() {
        let Some((found, _)) = best else { break };
        let width = q.s - p.s;
        if width < SHORTEST || found.0 <= 0.0 && width < SCRAPING {
            continue;
        }
        let enough = found.0 - KNOWN;
        if found.0 > 0.0 && drive.bound(&p, &q, enough) >= enough {
            continue;
        }
        if found.0 <= 0.0 && drive.bound(&p, &q, SHORTEST) >= SHORTEST {
            continue;
        }
        let mid = drive.pose(0.5 * (p.s + q.s));
        look(&mid, &mut best);
        stretches.push((mid, q));
        stretches.push((p, mid));
    }
    let least = best.map(|(found, pose)| drive.meeting(view, &pose, found));
    let scrapes = least.as_ref().is_some_and(|l| l.clearance <= 0.0);
    let first_touch = scrapes.then(|| first_touch(&drive, view, &poses)).flatten();
    Crossing { obstacle: name, over: !scrapes, barred: None, least, first_touch }
}

fn first_touch(drive: &Drive, view: &View, poses: &[Pose]) -> Option<Meeting> {
    let touches = |p: &Pose| drive.clearance(p, SHORTEST).filter(|f| f.0 <= 0.0);
    let mut stretches: Vec<(Pose, Pose)> = poses.windows(2).rev().map(|w| (w[0], w[1])).collect();
    while let Some((p, q)) = stretches.pop() {
        if let Some(found) = touches(&p) {
            return Some(drive.meeting(view, &p, found));
        }
        if q.s - p.s < TOUCH || drive.bound(&p, &q, 0.0) >= 0.0 && touches(&q).is_none() {
            continue;
        }
        let mid = drive.pose(0.5 * (p.s + q.s));
        stretches.push((mid, q));
        stretches.push((p, mid));
    }
    poses.last().and_then(|p| touches(p).map(|f| drive.meeting(view, p, f)))
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use design::ObstacleShape;

    use super::*;
    use crate::ground::Ground;
    use crate::solids;

    /// The bound holds: no pose, in steps of a millimetre, comes nearer than what was found by more than it is known to.
    #[test]
    fn no_pose_comes_nearer_than_the_least() {
        let text = r#"
[design]
name = "Test"
[section.t]
shape = "round"
od = 30
wall = 2
material = "E355+N"
[section.b]
shape = "box"
width = 50
height = 80
wall = 3
material = "S355J2H"
[point]
a = [1500, 300, 330]
b = [700, 320, 240]
c = [-800, 250, 230]
d = [-1500, 300, 380]
e = [200, 300, 215]
[tube.front]
section = "t"
path = ["a", "b"]
[tube.rail]
section = "b"
path = ["b", "c"]
[tube.rear]
section = "t"
path = ["c", "d"]
[tube.cross]
section = "t"
path = ["e", "e~"]
"#;
        let shape = shape::resolve(Arc::new(design::read(text).unwrap().design)).unwrap();
        let things = solids::things(&shape);
        let view = View::new(&things, &vec![true; things.len()], Ground::new(0.0, 0.0, 0.0));
        let profile = |p: &[[f64; 2]]| ObstacleShape::Profile(p.iter().map(|p| DVec2::new(p[0], p[1])).collect());
        let shapes = [
            ObstacleShape::Hump { length: 3.7, height: 0.1 },
            ObstacleShape::Hump { length: 0.9, height: 0.08 },
            ObstacleShape::Kerb { height: 0.12 },
            ObstacleShape::Ramp { height: 0.6, angle: 0.15 },
            ObstacleShape::Ramp { height: 0.02, angle: 0.6 },
            profile(&[[0.0, 0.0], [0.4, 0.06], [0.8, -0.05], [1.9, 0.09], [2.6, 0.02]]),
            profile(&[[0.0, 0.0], [0.5, -0.1], [1.2, -0.1], [1.7, 0.0]]),
        ];
        for (front, rear) in [(0.32, 0.335), (0.3, 0.26)] {
            let tyre = |x: f64, r: f64| Tyre { hub: DVec2::new(x, r), loaded: r };
            let (front, rear) = (tyre(1.26, front), tyre(-1.25, rear));
            for s in &shapes {
                let obstacle = Obstacle { name: "it".into(), shape: s.clone(), clearance: 0.0, span: 0..0 };
                let found = over(&view, &front, &rear, &obstacle);
                let least = found.least.expect("something counts").clearance;
                assert!(least > 0.0, "{s:?} {least}");
                let road = Road::new(s);
                let along = front.hub - rear.hub;
                let shadows: Vec<Shadow> = view.seen.iter().map(|s| shadow(&view, s)).collect();
                let drive = Drive {
                    road: &road,
                    front,
                    rear,
                    base: along.length(),
                    along: along.normalize(),
                    shadows,
                    reach: (-1.6, 1.6),
                };
                let stops = drive.stops();
                let (mut at, end) = (stops[0], stops[stops.len() - 1]);
                let mut dense = f64::INFINITY;
                while at < end {
                    dense = drive.clearance(&drive.pose(at), dense).map_or(dense, |f| f.0.min(dense));
                    at += 1e-3;
                }
                assert!(least < dense + KNOWN, "{s:?}: {least} is more than {dense}");
                // A part moves by at most a millimetre or so between two looks.
                assert!(least > dense - 1e-3, "{s:?}: {least} is less than {dense}");
            }
        }
    }
}
