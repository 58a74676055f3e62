//! Where to start from: a curve cut into stretches for legs and stretches for arcs between them, by dynamic programming.
//!
//! Each stretch is judged by itself: how far it is from some straight line, or from some arc of the radius. Whether the
//! lines meet where the arcs are is left to what follows.

use glam::DVec3;

use crate::Die;
use crate::line::Line;

/// Places that stretches may begin and end at: enough for some ten in each of ten legs.
const PLACES: usize = 110;
/// Legs that turn by less than this (rad) meet too far off for their crossing to be trusted; their stretch's middle is.
const TRUSTED: f64 = 0.03;

/// Costs of stretches, and the cheapest ways to cover the curve.
pub struct Start {
    at: Vec<DVec3>,
    radius: f64,
    lines: Vec<f64>,
    arcs: Vec<f64>,
    /// For each number of bends: the least cost up to each place, and where its last leg and last arc began.
    layers: Vec<Vec<(f64, usize, usize)>>,
}

impl Start {
    /// Judges all stretches. O(places³).
    pub fn new(line: &Line, die: &Die) -> Start {
        let at: Vec<DVec3> = line.some(PLACES).iter().map(|&k| line.places[k]).collect();
        let n = at.len();
        let mut s =
            Start { radius: die.radius, lines: vec![0.0; n * n], arcs: vec![0.0; n * n], layers: Vec::new(), at };
        for i in 0..n {
            for j in i + 1..n {
                s.lines[i * n + j] = cost(s.off_line(i, j));
                s.arcs[i * n + j] = cost(s.off_arc(i, j, die));
            }
        }
        s.layers.push((0..n).map(|j| (if j == 0 { f64::INFINITY } else { s.lines[j] }, 0, 0)).collect());
        s
    }

    /// About how far a stretch is from the line that follows it best.
    fn off_line(&self, i: usize, j: usize) -> f64 {
        let (a, b) = (self.at[i], self.at[j]);
        let along = (b - a).normalize_or_zero();
        let off = |k: usize| (self.at[k] - a).reject_from_normalized(along);
        let offs = (i..=j).map(|k| if along == DVec3::ZERO { self.at[k] - a } else { off(k) });
        let far = offs.clone().fold(DVec3::ZERO, |f, o| if o.length_squared() > f.length_squared() { o } else { f });
        let spread = offs.map(|o| (o - far / 2.0).length()).fold(0.0, f64::max);
        spread.min(far.length())
    }

    /// About how far a stretch is from an arc of the radius between its ends.
    fn off_arc(&self, i: usize, j: usize, die: &Die) -> f64 {
        let (a, b) = (self.at[i], self.at[j]);
        let chord = a.distance(b);
        let widest = 2.0 * self.radius * (die.most.min(crate::MOST_TURN) / 2.0).sin();
        let half = (chord.min(widest) / 2.0 / self.radius).min(1.0).asin();
        let sagitta = self.radius * (1.0 - half.cos());
        let over = (chord - widest).max(0.0);
        if j - i < 2 {
            return over + sagitta;
        }
        let middle = self.at[(i + j) / 2];
        let rise = (middle - a).reject_from((b - a).try_normalize().unwrap_or(DVec3::X)).length();
        over + (rise - sagitta).abs()
    }

    /// Corners for a number of bends, ends not included; `None` if there are too few places.
    pub fn corners(&mut self, bends: usize) -> Option<Vec<DVec3>> {
        let n = self.at.len();
        while self.layers.len() <= bends {
            let before = &self.layers[self.layers.len() - 1];
            // Cheapest with an arc that ends at each place, and where that arc began.
            let bent: Vec<(f64, usize)> = (0..n)
                .map(|k| {
                    (0..=k)
                        .map(|j| (before[j].0 + self.arcs[j * n + k], j))
                        .fold((f64::INFINITY, 0), |a, b| if b.0 < a.0 { b } else { a })
                })
                .collect();
            let next = (0..n)
                .map(|j| {
                    (0..j)
                        .map(|k| (bent[k].0 + self.lines[k * n + j], k, bent[k].1))
                        .fold((f64::INFINITY, 0, 0), |a, b| if b.0 < a.0 { b } else { a })
                })
                .collect();
            self.layers.push(next);
        }
        let mut legs: Vec<(usize, usize)> = Vec::with_capacity(bends + 1);
        let mut end = n - 1;
        for q in (0..=bends).rev() {
            let (cost, leg, arc) = self.layers[q][end];
            if !cost.is_finite() {
                return None;
            }
            legs.push((leg, end));
            end = arc;
        }
        legs.reverse();
        Some(legs.windows(2).map(|w| self.corner(w[0], w[1])).collect())
    }

    /// Where two stretches' lines meet.
    fn corner(&self, a: (usize, usize), b: (usize, usize)) -> DVec3 {
        let middle = (self.at[a.1] + self.at[b.0]) / 2.0;
        let ((p, u), (q, v)) = (self.fit(a), self.fit(b));
        let (d, c) = (q - p, u.dot(v));
        let square = 1.0 - c * c;
        let turn = u.cross(v).length().atan2(c);
        if turn < TRUSTED || square < TRUSTED * TRUSTED {
            return middle;
        }
        let (s, t) = ((d.dot(u) - c * d.dot(v)) / square, (c * d.dot(u) - d.dot(v)) / square);
        let met = (p + u * s + q + v * t) / 2.0;
        let near = self.at[a.1].distance(self.at[b.0]) + self.radius * (turn / 2.0).min(1.4).tan();
        if met.distance(middle) <= 2.0 * near { met } else { middle }
    }

    /// The line through a stretch: its middle, and its direction by least squares of the offsets from its chord.
    fn fit(&self, (i, j): (usize, usize)) -> (DVec3, DVec3) {
        let of = &self.at[i..=j];
        let middle = of.iter().sum::<DVec3>() / of.len() as f64;
        let mut along = (self.at[j] - self.at[i]).normalize_or(DVec3::X);
        // Power steps of the scatter: a long thin cloud settles at once.
        for _ in 0..8 {
            along = of.iter().map(|&p| (p - middle) * (p - middle).dot(along)).sum::<DVec3>().normalize_or(along);
        }
        (middle, along)
    }
}

/// Costs are summed; the fourth power makes the farthest stretch count most.
fn cost(far: f64) -> f64 {
    far.powi(4)
}
