//! The largest circle between lines, and in a polygon.

use std::collections::BinaryHeap;

use glam::DVec2;

use crate::polygon::edges;

/// A line that a circle stays behind: `normal · centre + radius ≤ offset`, with a unit normal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bound {
    /// Unit, pointing away from the circle.
    pub normal: DVec2,
    /// Distance of the line from the origin along the normal.
    pub offset: f64,
}

/// A circle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Circle {
    /// Centre.
    pub centre: DVec2,
    /// Radius; negative if it was sought where none fits.
    pub radius: f64,
}

/// How far a bound may be passed, as a part of the box, and how small a share counts as none: far over rounding, far
/// under anything measured.
const SLACK: f64 = 1e-12;

/// Shares of three unit normals in a unit vector, if shares are to add up to one.
fn shares([p, q, r]: [DVec2; 3], of: DVec2) -> [f64; 3] {
    let whole = (q - p).perp_dot(r - p);
    [(q - of).perp_dot(r - of) / whole, (r - of).perp_dot(p - of) / whole, (p - of).perp_dot(q - of) / whole]
}

/// The circle that touches three bounds.
fn touching(b: [&Bound; 3]) -> Circle {
    let [p, q, r] = b.map(|x| x.normal);
    // By Cramer's rule on (normal, 1) · (centre, radius) = offset.
    let det = (q - p).perp_dot(r - p);
    let (dq, dr) = (b[1].offset - b[0].offset, b[2].offset - b[0].offset);
    let centre = DVec2::new(dq * (r - p).y - dr * (q - p).y, dr * (q - p).x - dq * (r - p).x) / det;
    Circle { centre, radius: b[0].offset - p.dot(centre) }
}

/// The largest circle behind bounds and within a box (two opposite corners): a linear programme in three unknowns,
/// solved by its dual. Its radius is negative if the bounds leave no room.
pub fn between(bounds: &[Bound], lo: DVec2, hi: DVec2) -> Circle {
    let walls = [
        Bound { normal: DVec2::X, offset: hi.x },
        Bound { normal: DVec2::NEG_X, offset: -lo.x },
        Bound { normal: DVec2::Y, offset: hi.y },
        Bound { normal: DVec2::NEG_Y, offset: -lo.y },
    ];
    let get = |i: usize| if i < 4 { &walls[i] } else { &bounds[i - 4] };
    let n = bounds.len() + 4;
    let slack = SLACK * (hi - lo).length();
    let mut basis = if hi.x - lo.x < hi.y - lo.y { [0, 1, 2] } else { [2, 3, 0] };
    let mut best = touching(basis.map(get));
    // The dual simplex method: the bound that is passed the most comes in for one of the three touched, so that their
    // normals still balance. Each exchange lowers the radius or leaves it; the cap ends rounds among equals.
    for _ in 0..4 * n {
        let over = |i: usize| get(i).normal.dot(best.centre) + best.radius - get(i).offset;
        let Some(worst) = (0..n).max_by(|&a, &b| over(a).total_cmp(&over(b))) else { break };
        if over(worst) <= slack || basis.contains(&worst) {
            break;
        }
        let normals = basis.map(|i| get(i).normal);
        let balance = shares(normals, DVec2::ZERO);
        let comes = shares(normals, get(worst).normal);
        let out = (0..3)
            .filter(|&k| comes[k] > SLACK)
            .min_by(|&a, &b| (balance[a].max(0.0) / comes[a]).total_cmp(&(balance[b].max(0.0) / comes[b])));
        let Some(out) = out else { break };
        basis[out] = worst;
        best = touching(basis.map(get));
    }
    // Whatever rounding or an early end did, the circle keeps behind every bound.
    let room = (0..n).map(|i| get(i).offset - get(i).normal.dot(best.centre)).fold(f64::INFINITY, f64::min);
    Circle { centre: best.centre, radius: room }
}

/// Corners of the box that holds a polygon.
fn extent(p: &[DVec2]) -> (DVec2, DVec2) {
    p.iter().fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |(lo, hi), c| (lo.min(*c), hi.max(*c)))
}

/// The lines of an anticlockwise polygon's edges.
fn lines(p: &[DVec2]) -> Vec<Bound> {
    edges(p)
        .filter_map(|(a, b)| {
            let along = (b - a).try_normalize()?;
            let normal = -along.perp();
            Some(Bound { normal, offset: normal.dot(a) })
        })
        .collect()
}

/// Distance from a place to a polygon's edge: positive inside.
pub fn depth(p: &[DVec2], at: DVec2) -> f64 {
    let mut inside = false;
    let mut least = f64::INFINITY;
    for (a, b) in edges(p) {
        let (ab, ap) = (b - a, at - a);
        let t = (ap.dot(ab) / ab.length_squared()).clamp(0.0, 1.0);
        let t = if t.is_finite() { t } else { 0.0 };
        least = least.min((ap - ab * t).length_squared());
        if (a.y > at.y) != (b.y > at.y) && at.x < a.x + (at.y - a.y) / (b.y - a.y) * (b.x - a.x) {
            inside = !inside;
        }
    }
    if inside { least.sqrt() } else { -least.sqrt() }
}

/// Pushes a circle in an anticlockwise polygon on to a local optimum. Distances to edges and corners are bounded from
/// below by planes in the centre's coordinates, so every step is a circle that fits.
pub fn pushed(p: &[DVec2], from: DVec2) -> Circle {
    let mut best = Circle { centre: from, radius: depth(p, from) };
    let (lo, hi) = extent(p);
    for _ in 0..PUSHES {
        if best.radius <= 0.0 {
            break;
        }
        let c = best.centre;
        let bounds: Vec<Bound> = edges(p)
            .filter_map(|(a, b)| {
                let (ab, ap) = (b - a, c - a);
                let t = ap.dot(ab) / ab.length_squared();
                let normal = if !t.is_finite() || t <= 0.0 {
                    -ap.try_normalize()?
                } else if t >= 1.0 {
                    -(c - b).try_normalize()?
                } else {
                    let across = ap - ab * t;
                    -across.try_normalize()?
                };
                Some(Bound { normal, offset: normal.dot(if t >= 1.0 { b } else { a }) })
            })
            .collect();
        let next = between(&bounds, lo, hi);
        let radius = depth(p, next.centre);
        let gain = radius - best.radius;
        if gain > 0.0 {
            best = Circle { centre: next.centre, radius };
        }
        if gain <= 1e-9 * best.radius {
            break;
        }
    }
    best
}

/// Steps that push a circle: each about squares what is missing.
const PUSHES: usize = 24;

/// A square of the search, ordered by the largest radius that it may hold.
struct Square {
    centre: DVec2,
    half: f64,
    most: f64,
}

impl PartialEq for Square {
    fn eq(&self, other: &Square) -> bool {
        self.cmp(other).is_eq()
    }
}
impl Eq for Square {}
impl PartialOrd for Square {
    fn partial_cmp(&self, other: &Square) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Square {
    fn cmp(&self, other: &Square) -> std::cmp::Ordering {
        self.most.total_cmp(&other.most)
    }
}

/// How large a circle with its centre in a square can be, at most, and a good place for it. An edge that stands opposite the whole
/// square, on its inner side, bounds the radius by its line. Any other does by the distance from its place nearest to the
/// middle: that is convex in the circle's centre, and lies no more over its tangent than `half`² over the distance. None is
/// larger than `most`, as is known already.
fn most_within(p: &[DVec2], middle: DVec2, half: f64, most: f64, bounds: &mut Vec<Bound>) -> Circle {
    bounds.clear();
    for (a, b) in edges(p) {
        let (ab, ap) = (b - a, middle - a);
        let length = ab.length();
        if length == 0.0 {
            continue;
        }
        let along = ab / length;
        let (t, spread) = (ap.dot(along), half * (along.x.abs() + along.y.abs()));
        // Inward, since the polygon is anticlockwise.
        let inward = along.perp();
        let height = ap.dot(inward);
        if t >= spread && t + spread <= length && height >= spread {
            bounds.push(Bound { normal: -inward, offset: -inward.dot(a) });
            continue;
        }
        let place = a + along * t.clamp(0.0, length);
        let from = middle - place;
        let distance = from.length();
        // The square of how far the square's corners lie from its middle, over twice the least distance from the place.
        let least = distance - half * std::f64::consts::SQRT_2;
        if least > 0.25 * distance {
            let normal = -from / distance;
            bounds.push(Bound { normal, offset: normal.dot(place) + half * half / least });
        }
    }
    // The walls hold the whole circle, which may reach beyond the square by what is known already.
    between(bounds, middle - (half + most), middle + (half + most))
}

/// The largest circle in a polygon, with how large any can be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Largest {
    /// One that fits; of no radius if none was found.
    pub circle: Circle,
    /// None that fits is larger than this.
    pub most: f64,
}

/// Whether an anticlockwise polygon has no hollow corner.
pub fn is_convex(p: &[DVec2]) -> bool {
    let n = p.len();
    let size = extent(p);
    let slack = SLACK * (size.1 - size.0).length_squared();
    (0..n).all(|i| (p[(i + 1) % n] - p[i]).perp_dot(p[(i + 2) % n] - p[(i + 1) % n]) >= -slack)
}

/// The largest circle in a simple anticlockwise polygon: exact if it is convex, otherwise within a part `within`. The
/// search stops early where nothing larger than `floor` can be found, or when it has split as many squares as `budget` has
/// left: then it is content with the bound that it has. `None` if the polygon has no room.
pub fn largest_in(p: &[DVec2], convex: bool, within: f64, floor: f64, budget: &mut usize) -> Option<Largest> {
    let (lo, hi) = extent(p);
    if p.len() < 3 || !(hi - lo).is_finite() || (hi - lo).min_element() <= 0.0 {
        return None;
    }
    if convex {
        let circle = between(&lines(p), lo, hi);
        return (circle.radius > 0.0).then_some(Largest { circle, most: circle.radius });
    }
    // A sliver's box is cut into at most this many squares each way at first.
    let steps = ((hi - lo) / (hi - lo).min_element()).ceil().min(DVec2::splat(64.0));
    let half = ((hi - lo) / (2.0 * steps)).max_element();
    let mut best = Circle { centre: lo, radius: 0.0 };
    let mut queue = BinaryHeap::new();
    let mut bounds = Vec::with_capacity(p.len());
    let mut look = |centre: DVec2, half: f64, queue: &mut BinaryHeap<Square>| {
        let d = depth(p, centre);
        if d > best.radius {
            best = pushed(p, centre);
        }
        let mut most = d + half * std::f64::consts::SQRT_2;
        if most > best.radius && most > floor {
            let within = most_within(p, centre, half, most, &mut bounds);
            most = most.min(within.radius);
            if depth(p, within.centre) > best.radius {
                best = pushed(p, within.centre);
            }
        }
        if most > best.radius {
            queue.push(Square { centre, half, most });
        }
        best
    };
    for i in 0..steps.x as usize {
        for j in 0..steps.y as usize {
            look(lo + DVec2::new((2 * i + 1) as f64, (2 * j + 1) as f64) * half, half, &mut queue);
        }
    }
    let mut found = Circle { centre: lo, radius: 0.0 };
    while *budget > 0 {
        *budget -= 1;
        match queue.peek() {
            Some(s) if s.most > found.radius * (1.0 + within) && s.most > floor => {}
            _ => break,
        }
        let Some(s) = queue.pop() else { break };
        let h = s.half / 2.0;
        for (x, y) in [(-h, -h), (h, -h), (-h, h), (h, h)] {
            found = look(s.centre + DVec2::new(x, y), h, &mut queue);
        }
    }
    let most = queue.peek().map_or(found.radius, |s| s.most.max(found.radius));
    (most > 0.0).then_some(Largest { circle: found, most })
}
