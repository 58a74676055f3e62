//! Curves that are known place by place as B-splines of degree five within a tolerance.
//!
//! At each knot the spline has the curve's place, its unit tangent and its curvature; between knots it is the one
//! polynomial of degree five that these ask for. Its parameter is the length along it. It errs with the sixth power of
//! the distance between knots, so that nine spans make half a turn of a tube to a nanometre.

use geometry::DVec3;

/// A B-spline of degree five whose inner knots are triple: its second derivative runs on without a step.
#[derive(Clone, Debug, PartialEq)]
pub struct Spline {
    /// Control points: three for each span and three more.
    pub points: Vec<DVec3>,
    /// Distinct knots, rising from 0: lengths along the curve.
    pub knots: Vec<f64>,
}

impl Spline {
    /// Unit tangent somewhere near the middle.
    pub fn middle_tangent(&self) -> DVec3 {
        let k = (self.points.len() / 2).max(1);
        (self.points[k] - self.points[k - 1]).normalize_or_zero()
    }

    pub(crate) fn moved(&self, p: &impl Fn(DVec3) -> DVec3) -> Spline {
        Spline { points: self.points.iter().map(|&x| p(x)).collect(), knots: self.knots.clone() }
    }

    /// Farthest that any of its control points lies from the straight line between its ends.
    pub fn bow(&self) -> f64 {
        let (a, b) = (self.points[0], self.points[self.points.len() - 1]);
        let along = (b - a).normalize_or_zero();
        self.points.iter().map(|&p| (p - a).cross(along).length()).fold(0.0, f64::max)
    }

    /// Six control points of each span.
    pub fn spans(&self) -> Vec<[DVec3; 6]> {
        (0..self.knots.len() - 1)
            .map(|k| {
                let (i, last) = (3 * k, self.knots.len() - 2);
                let width = |j: usize| self.knots[j + 1] - self.knots[j];
                let p = &self.points;
                // Bézier's points: the stored ones but those at and beside a knot, which lie between them in the
                // proportion of the spans.
                let mut out = [p[i], p[i + 1], p[i + 2], p[i + 3], p[i + 4], p[i + 5]];
                if k > 0 {
                    out[..3].copy_from_slice(&joint(p, k, width(k - 1), width(k))[2..]);
                }
                if k < last {
                    out[3..].copy_from_slice(&joint(p, k + 1, width(k), width(k + 1))[..3]);
                }
                out
            })
            .collect()
    }
}

/// Spans of one edge may be so many times as long as its shortest. Readers draw an edge on its faces by places at even
/// parameters; where a long edge has a sharp tip these would miss it, and the reader's own curve swings.
const UNEVEN: f64 = 3.0;
/// Spans shorter than this count as of this length, m: what is missed in them is no more.
const SHORT: f64 = 2e-4;

impl Spline {
    /// The same in pieces of about even spans.
    pub fn pieces(&self) -> Vec<Spline> {
        let n = self.knots.len() - 1;
        let width = |k: usize| (self.knots[k + 1] - self.knots[k]).max(SHORT);
        let spans = self.spans();
        let mut out = Vec::new();
        let mut from = 0;
        while from < n {
            let (mut low, mut high, mut to) = (width(from), width(from), from + 1);
            while to < n && width(to).max(high) <= UNEVEN * width(to).min(low) {
                (low, high) = (low.min(width(to)), high.max(width(to)));
                to += 1;
            }
            // The inner control points are the whole's; at its ends those of its first and last span.
            let mut points = spans[from][..3].to_vec();
            points.extend(&self.points[3 * from + 3..3 * to]);
            points.extend(&spans[to - 1][3..]);
            let knots = self.knots[from..=to].iter().map(|k| k - self.knots[from]).collect();
            out.push(Spline { points, knots });
            from = to;
        }
        out
    }
}

/// Bézier's five points about inner knot `k`: two before it, it, two after, from the spline's control points there.
fn joint(p: &[DVec3], k: usize, before: f64, after: f64) -> [DVec3; 5] {
    let w = before / (before + after);
    let (a, m, b) = (p[3 * k], p[3 * k + 1], p[3 * k + 2]);
    // Knots of multiplicity three: one insertion gives a' and b' on either side of m, another the knot itself.
    let (l, r) = (a.lerp(m, w), m.lerp(b, w));
    [a, l, l.lerp(r, w), r, b]
}

/// A place on a curve, with its unit tangent and its curvature (towards its centre, 1/m).
#[derive(Clone, Copy, Debug)]
pub struct Knot {
    /// Place.
    pub at: DVec3,
    /// Unit tangent.
    pub t: DVec3,
    /// Curvature.
    pub k: DVec3,
}

/// Where a knot stands on its edge: it can be looked past on one side only at an end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stand {
    /// At the start.
    First,
    /// Within.
    Inner,
    /// At the end.
    Last,
}

/// A curve that is known place by place.
pub trait Path {
    /// The place on it nearest to a place beside it, where it runs about in a direction. `None` if none is found.
    fn near(&self, guess: DVec3, along: DVec3) -> Option<DVec3>;
    /// The knot at a place on it, where it runs about in a direction.
    fn knot(&self, at: DVec3, along: DVec3, stand: Stand, reach: f64) -> Knot;
}

/// A span as Bézier's six points, if it has a length.
fn span(a: &Knot, b: &Knot, length: f64) -> [DVec3; 6] {
    let h = length;
    let (b1, b4) = (a.at + a.t * (h / 5.0), b.at - b.t * (h / 5.0));
    [a.at, b1, b1 * 2.0 - a.at + a.k * (h * h / 20.0), b4 * 2.0 - b.at + b.k * (h * h / 20.0), b4, b.at]
}

/// The place and the derivative at a part of the way along a span.
fn at(b: &[DVec3; 6], x: f64) -> (DVec3, DVec3) {
    let mut p = *b;
    for n in (2..6).rev() {
        for i in 0..n {
            p[i] = p[i].lerp(p[i + 1], x);
        }
    }
    (p[0].lerp(p[1], x), (p[1] - p[0]) * 5.0)
}

/// Nodes and weights of Gauss's rule of five points on 0 to 1 (Abramowitz and Stegun, table 25.4).
const GAUSS: [(f64, f64); 5] = [
    (0.046910077030668, 0.1184634425280945),
    (0.2307653449471585, 0.2393143352496832),
    (0.5, 0.2844444444444444),
    (0.7692346550528415, 0.2393143352496832),
    (0.953089922969332, 0.1184634425280945),
];

/// Times that a span's length is worked out from itself: it settles by the fourth power of its turn each time.
const SETTLE: usize = 3;

/// A span that would turn by more than this at a knot's curvature is much too long for it: its own is left out then, rad.
const TURN: f64 = 1.0;
/// And it is at most so many times as long as from knot to knot: half a circle is π / 2 times as long.
const ROUNDABOUT: f64 = 2.0;

fn settled(a: &Knot, b: &Knot) -> (f64, [DVec3; 6]) {
    let chord = a.at.distance(b.at);
    let tame = |n: &Knot| if n.k.length() * chord > TURN { Knot { k: DVec3::ZERO, ..*n } } else { *n };
    let (a, b) = (tame(a), tame(b));
    let mut length = chord;
    let mut s = span(&a, &b, length);
    for _ in 0..SETTLE {
        let sum: f64 = GAUSS.iter().map(|&(x, w)| w * at(&s, x).1.length()).sum();
        length = sum.min(ROUNDABOUT * chord);
        s = span(&a, &b, length);
    }
    (length, s)
}

/// Where a span is held against the curve.
const CHECKS: [f64; 5] = [0.5, 0.25, 0.75, 0.06, 0.94];
/// Halvings at most: spans of a tube's turn come down to a nanometre.
const DEPTH: usize = 22;

/// The spline through knots, with more between them until it is within a tolerance; and by how much it is off at most
/// where it was held against the curve.
pub fn fit(path: &impl Path, first: &[Knot], tolerance: f64) -> (Spline, f64) {
    let mut off = 0.0f64;
    let mut knots = vec![first[0]];
    for w in first.windows(2) {
        halve(path, w[0], w[1], tolerance, DEPTH, &mut knots, &mut off);
    }
    (through(&knots), off)
}

fn halve(path: &impl Path, a: Knot, b: Knot, tolerance: f64, depth: usize, out: &mut Vec<Knot>, off: &mut f64) {
    let (length, s) = settled(&a, &b);
    let mut worst = 0.0f64;
    let (mut middle, mut held) = (None, false);
    for x in CHECKS {
        let (p, d) = at(&s, x);
        if let Some(q) = path.near(p, d.normalize_or_zero()) {
            // What is found may lie farther along, where the edge runs along the tube: that is no error.
            worst = worst.max((q - p).reject_from(d).length());
            held = true;
            if x == 0.5 {
                middle = Some((q, d.normalize_or_zero()));
            }
        }
        if worst > tolerance && middle.is_some() {
            break;
        }
    }
    if let Some((q, d)) = middle
        && worst > tolerance
        && depth > 0
        && length > 4.0 * tolerance
    {
        let m = path.knot(q, d, Stand::Inner, length / 4.0);
        halve(path, a, m, tolerance, depth - 1, out, off);
        halve(path, m, b, tolerance, depth - 1, out, off);
        return;
    }
    // Where nothing was found to hold it against, it may be off by anything.
    *off = off.max(if held { worst } else { length });
    out.push(b);
}

/// The spline through knots as they are.
fn through(knots: &[Knot]) -> Spline {
    let mut at = vec![0.0];
    let mut points = Vec::with_capacity(3 * knots.len());
    let spans: Vec<(f64, [DVec3; 6])> = knots.windows(2).map(|w| settled(&w[0], &w[1])).collect();
    for (k, (length, s)) in spans.iter().enumerate() {
        at.push(at[k] + length);
        if k == 0 {
            points.extend(&s[..3]);
        } else {
            // About an inner knot: the second point before it, one between, the second after. The one between lies where
            // the lines from the second points through the first ones meet.
            let (before, b) = (spans[k - 1].0, &spans[k - 1].1);
            let w = (before / (before + length)).clamp(1e-12, 1.0 - 1e-12);
            let one = b[3] + (b[4] - b[3]) / w;
            let two = s[2] + (s[1] - s[2]) / (1.0 - w);
            // The longer span tells it the better.
            points.extend([b[3], one * w + two * (1.0 - w), s[2]]);
        }
    }
    if let Some((_, s)) = spans.last() {
        points.extend(&s[3..]);
    }
    Spline { points, knots: at }
}
