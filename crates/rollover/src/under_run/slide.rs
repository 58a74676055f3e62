//! The way of a round nose over convex outlines: level until it meets one, then up along it to its crest or into the
//! next one.

use geometry::DVec2;

use super::rooms::dips;
use super::section::slope;

/// Two places nearer than this, m, are one: far over the rounding of coordinates of a vehicle, far under a chord's gap.
const TOUCH: f64 = 1e-9;

/// The nose rolls round a corner in steps of this angle, rad: chords of the way stray by 5 parts in 100,000 of the
/// radius.
const STEP: f64 = 0.02;

/// A slope nearer than this to the limit, rad, is at it, and catches.
const LIMIT: f64 = 1e-9;

/// Halvings of a step until nothing but rounding is left.
const HALVINGS: usize = 60;

/// A convex polygon, anticlockwise (x forward, y up), and everything within a radius of it.
#[derive(Clone, Debug)]
pub(super) struct Shape {
    points: Vec<DVec2>,
    /// Outward normal of the edge from each corner.
    normals: Vec<DVec2>,
    /// The box round the points.
    box_: [DVec2; 2],
    radius: f64,
    pub body: usize,
    middle: DVec2,
    reach: f64,
    low: f64,
    high: f64,
}

/// The nearest part of a polygon.
enum Part {
    /// A corner.
    Corner(usize),
    /// The edge from this corner to the next.
    Edge(usize),
}

impl Shape {
    /// The convex hull of points, widened; `None` without points.
    pub fn new(mut points: Vec<DVec2>, radius: f64, body: usize) -> Option<Shape> {
        points.retain(|p| p.is_finite());
        points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
        points.dedup_by(|a, b| a.distance(*b) < TOUCH);
        let mut hull: Vec<DVec2> = Vec::new();
        let half = |order: &mut dyn Iterator<Item = &DVec2>| {
            let mut chain: Vec<DVec2> = Vec::new();
            for p in order {
                while let [.., a, b] = chain[..] {
                    if (b - a).perp_dot(*p - b) > 0.0 {
                        break;
                    }
                    chain.pop();
                }
                chain.push(*p);
            }
            chain.pop();
            chain
        };
        if points.len() < 2 {
            hull.extend(&points);
        } else {
            hull.extend(half(&mut points.iter()));
            hull.extend(half(&mut points.iter().rev()));
        }
        let middle = hull.iter().sum::<DVec2>() / hull.len().max(1) as f64;
        let n = hull.len();
        let normals = (0..n).map(|i| -(hull[(i + 1) % n] - hull[i]).perp().normalize_or_zero()).collect();
        let box_ = hull.iter().fold([DVec2::INFINITY, DVec2::NEG_INFINITY], |[l, h], p| [l.min(*p), h.max(*p)]);
        let mut shape =
            Shape { points: hull, normals, box_, radius: 0.0, body, middle, reach: 0.0, low: 0.0, high: 0.0 };
        shape.widen(radius);
        (n > 0).then_some(shape)
    }

    /// Adds to its radius.
    pub fn widen(&mut self, by: f64) {
        self.radius += by;
        let far = |f: &dyn Fn(&DVec2) -> f64| self.points.iter().map(f).fold(f64::NEG_INFINITY, f64::max);
        let (high, low, reach) = (far(&|p| p.y), -far(&|p| -p.y), far(&|p| p.distance(self.middle)));
        (self.high, self.low, self.reach) = (high + self.radius, low - self.radius, reach + self.radius);
    }

    fn edge(&self, i: usize) -> (DVec2, DVec2) {
        (self.points[i], self.points[(i + 1) % self.points.len()])
    }

    /// Outward normal of the edge from a corner.
    fn outward(&self, i: usize) -> DVec2 {
        self.normals[i]
    }

    /// Distance of a place from the polygon and its nearest part; from inside, the depth as a negative number.
    fn nearest(&self, p: DVec2) -> (f64, Part) {
        let n = self.points.len();
        if n == 1 {
            return (p.distance(self.points[0]), Part::Corner(0));
        }
        let mut best = (f64::INFINITY, Part::Corner(0));
        let mut deepest = (f64::NEG_INFINITY, 0);
        for i in 0..n {
            let (a, b) = self.edge(i);
            let e = b - a;
            let out = (p - a).dot(self.outward(i));
            if out > deepest.0 {
                deepest = (out, i);
            }
            // Seen from its inside an edge is not the nearest part; of a line's two sides only one is.
            if out < -TOUCH {
                continue;
            }
            let t = (p - a).dot(e) / e.length_squared();
            let d = p.distance(a + e * t.clamp(0.0, 1.0));
            if d < best.0 {
                best = match t {
                    t if t <= 0.0 => (d, Part::Corner(i)),
                    t if t >= 1.0 => (d, Part::Corner((i + 1) % n)),
                    _ => (d, Part::Edge(i)),
                };
            }
        }
        if n > 2 && deepest.0 < 0.0 { (deepest.0, Part::Edge(deepest.1)) } else { best }
    }

    /// Less than its distance from a place, or as much.
    fn at_least(&self, p: DVec2) -> f64 {
        (p - p.clamp(self.box_[0], self.box_[1])).length() - self.radius
    }

    /// Its rear and front ends.
    pub fn ends(&self) -> [f64; 2] {
        [self.middle.x - self.reach, self.middle.x + self.reach]
    }

    /// Distance of a place from its outside; negative within.
    fn distance(&self, p: DVec2) -> f64 {
        self.nearest(p).0 - self.radius
    }

    /// Where a level line enters from the front, and leaves at the rear.
    fn level(&self, y: f64) -> Option<(f64, f64)> {
        let (mut front, mut rear) = (f64::NEG_INFINITY, f64::INFINITY);
        let mut note = |x: f64| {
            front = front.max(x);
            rear = rear.min(x);
        };
        for (i, c) in self.points.iter().enumerate() {
            let left = self.radius.powi(2) - (y - c.y).powi(2);
            if left >= 0.0 {
                note(c.x + left.sqrt());
                note(c.x - left.sqrt());
            }
            let off = self.outward(i) * self.radius;
            let (a, b) = self.edge(i);
            let (a, b) = (a + off, b + off);
            if (a.y - y) * (b.y - y) <= 0.0 && a.y != b.y {
                note(a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y));
            }
        }
        (front >= rear).then_some((front, rear))
    }

    /// The slope where the nose's centre touches it, and the part that it touches.
    fn slope_at(&self, p: DVec2) -> (f64, Part) {
        let (_, part) = self.nearest(p);
        match part {
            Part::Corner(i) => (slope(p - self.points[i]), part),
            Part::Edge(i) => (slope(self.outward(i)), part),
        }
    }
}

/// A hard thing that was met: the place on its surface, and its slope.
#[derive(Clone, Debug)]
pub(super) struct Hit {
    pub body: usize,
    pub at: DVec2,
    pub slope: f64,
}

/// The whole way.
#[derive(Clone, Debug, Default)]
pub(super) struct Way {
    pub points: Vec<DVec2>,
    pub met: Vec<Hit>,
    pub caught: bool,
}

/// Slides a nose's centre from the front (the second of `from`) to the rear over shapes that are widened by the nose already. It is called caught, too, should
/// it meet more things than there can be (each shape once from the front, and once for each other shape).
pub(super) fn slide(shapes: &[Shape], from: [f64; 2], height: f64, nose: f64, limit: f64) -> Way {
    let [rear, front] = from;
    let mut at = DVec2::new(front, height);
    let mut way = Way { points: vec![at], ..Way::default() };
    let most = (shapes.len() + 1) * (shapes.len() + 1);
    while way.met.len() <= most {
        // Level, to the first that stands in the way.
        let next = shapes
            .iter()
            .enumerate()
            .filter(|(_, s)| s.low + TOUCH < at.y && at.y < s.high - TOUCH)
            .filter_map(|(i, s)| s.level(at.y).map(|l| (i, l)))
            .filter(|(_, l)| l.1 < at.x - TOUCH)
            .max_by(|a, b| a.1.0.total_cmp(&b.1.0));
        let Some((first, (x, _))) = next else {
            way.points.push(DVec2::new(rear.min(at.x), at.y));
            return way;
        };
        if x < at.x {
            at.x = x;
            way.points.push(at);
        }
        let mut on = Some(first);
        while let Some(i) = on {
            let s = &shapes[i];
            let (steep, part) = s.slope_at(at);
            let normal = DVec2::new(steep.sin(), steep.cos());
            way.met.push(Hit { body: s.body, at: at - normal * nose, slope: steep });
            if steep > limit - LIMIT || way.met.len() > most {
                way.caught = true;
                return way;
            }
            on = climb(shapes, i, (steep, part), &mut at, &mut way.points);
        }
    }
    way.caught = true;
    way
}

/// Up along a shape from where it is touched, to its crest (then `None`) or to the shape that it comes into.
fn climb(shapes: &[Shape], on: usize, from: (f64, Part), at: &mut DVec2, points: &mut Vec<DVec2>) -> Option<usize> {
    let s = &shapes[on];
    let n = s.points.len();
    let (mut angle, part) = from;
    let (mut corner, mut edge) = match part {
        Part::Corner(i) => (i, None),
        Part::Edge(i) => (i, Some(i)),
    };
    // Each corner and edge once.
    for _ in 0..=2 * n {
        if angle <= 0.0 {
            break;
        }
        if let Some(i) = edge.take() {
            let end = s.edge(i).1 + s.outward(i) * s.radius;
            let start = *at;
            if let Some(hit) = leg(shapes, on, &|t| start.lerp(end, t), start.distance(end), at, points) {
                return Some(hit);
            }
            corner = (i + 1) % n;
            continue;
        }
        // The next edge leans less; one that seems to lean more by half a turn or so looks down behind the crest.
        let next = if n > 1 { slope(s.outward(corner)) } else { 0.0 };
        let along = if next > angle + std::f64::consts::FRAC_PI_2 { 0.0 } else { next };
        let end = along.clamp(0.0, angle);
        let c = s.points[corner];
        let steps = ((angle - end) / STEP).ceil().max(1.0) as usize;
        for k in 0..steps {
            let part = (angle - end) / steps as f64;
            let start = angle - part * k as f64;
            let pos = |t: f64| {
                let a = start - part * t;
                c + DVec2::new(a.sin(), a.cos()) * s.radius
            };
            if let Some(hit) = leg(shapes, on, &pos, part * s.radius, at, points) {
                return Some(hit);
            }
        }
        angle = end;
        edge = (n > 1 && along > 0.0).then_some(corner);
    }
    None
}

/// One step of a climb; stops where it comes into another shape, and says which.
fn leg(
    shapes: &[Shape],
    on: usize,
    pos: &dyn Fn(f64) -> DVec2,
    length: f64,
    at: &mut DVec2,
    points: &mut Vec<DVec2>,
) -> Option<usize> {
    let (start, end) = (pos(0.0), pos(1.0));
    let mut first: Option<(f64, usize)> = None;
    for (i, s) in shapes.iter().enumerate().filter(|(i, _)| *i != on) {
        // The distance changes by no more than the way.
        if s.at_least(start) > length {
            continue;
        }
        let far = |t: f64| s.distance(pos(t));
        let Some(deepest) = dips(&far, [s.distance(start), s.distance(end)], length, -TOUCH) else { continue };
        let (mut lo, mut hi) = (0.0, deepest);
        for _ in 0..HALVINGS {
            let t = 0.5 * (lo + hi);
            if far(t) > 0.0 { lo = t } else { hi = t }
        }
        if first.is_none_or(|f| hi < f.0) {
            first = Some((hi, i));
        }
    }
    let to = pos(first.map_or(1.0, |f| f.0));
    if to.distance(*at) > 0.0 {
        points.push(to);
    }
    *at = to;
    first.map(|f| f.1)
}
