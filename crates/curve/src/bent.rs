//! A chain of straight legs and arcs of one radius, by the corners where its legs would meet, for corners that may not
//! yet fit: a leg may come out shorter than nothing.

use glam::DVec3;

/// Half turns nearer to a right angle than this are held off it, rad: the corner of a half circle is nowhere.
const NEARLY_BACK: f64 = 1e-3;
/// Under this half turn an arc is a point, rad: a metre of radius leaves a nanometre.
const NO_TURN: f64 = 1e-9;

/// The chain.
#[derive(Clone, Debug)]
pub struct Bent {
    /// Corners, ends included.
    pub corners: Vec<DVec3>,
    /// Radius of the arcs.
    pub radius: f64,
    /// Unit directions of the legs.
    along: Vec<DVec3>,
    /// Half the turn at each corner, rad; 0 at the ends.
    pub half: Vec<f64>,
    /// From each corner to where its arc begins and ends.
    pub back: Vec<f64>,
    /// Distance along the chain at which each segment starts, and the whole length. Even segments are legs.
    pub starts: Vec<f64>,
}

/// Half the turn from one direction to another, rad.
fn half_turn(a: DVec3, b: DVec3) -> f64 {
    // Of unit vectors the difference and the sum are twice the sine and the cosine of the half.
    (b - a).length().atan2((a + b).length()).min(std::f64::consts::FRAC_PI_2 - NEARLY_BACK)
}

impl Bent {
    /// `None` where two neighbouring corners are at one place, or no number.
    pub fn new(corners: Vec<DVec3>, radius: f64) -> Option<Bent> {
        let n = corners.len();
        let along: Vec<DVec3> = corners.windows(2).map(|w| (w[1] - w[0]).try_normalize()).collect::<Option<_>>()?;
        let mut half = vec![0.0; n];
        for i in 1..n - 1 {
            half[i] = half_turn(along[i - 1], along[i]);
        }
        let back: Vec<f64> = half.iter().map(|h| radius * h.tan()).collect();
        let mut starts = vec![0.0];
        for i in 0..n - 1 {
            let leg = corners[i].distance(corners[i + 1]) - back[i] - back[i + 1];
            starts.push(starts[2 * i] + leg.max(0.0));
            if i + 2 < n {
                starts.push(starts[2 * i + 1] + 2.0 * half[i + 1] * radius);
            }
        }
        Some(Bent { corners, radius, along, half, back, starts })
    }

    /// Number of segments: leg, arc, leg, … leg.
    pub fn segments(&self) -> usize {
        self.starts.len() - 1
    }

    /// Length.
    pub fn length(&self) -> f64 {
        self.starts[self.starts.len() - 1]
    }

    /// Straight of a leg between its arcs; less than 0 where they do not fit.
    pub fn straight(&self, leg: usize) -> f64 {
        self.corners[leg].distance(self.corners[leg + 1]) - self.back[leg] - self.back[leg + 1]
    }

    fn tangents(&self, leg: usize) -> [DVec3; 2] {
        let a = self.corners[leg] + self.along[leg] * self.back[leg];
        [a, self.corners[leg + 1] - self.along[leg] * self.back[leg + 1]]
    }

    /// The point of a segment at a part of its length, 0 to 1.
    pub fn point(&self, segment: usize, part: f64) -> DVec3 {
        let i = segment / 2;
        if segment.is_multiple_of(2) {
            let [a, b] = self.tangents(i);
            return a.lerp(b, part);
        }
        let c = i + 1;
        arc_point(self.corners[c], self.along[i], self.along[c], self.half[c], self.radius, part)
    }

    /// Unit tangent there.
    pub fn tangent(&self, segment: usize, part: f64) -> DVec3 {
        let i = segment / 2;
        if segment.is_multiple_of(2) {
            return self.along[i];
        }
        let (a, b) = (self.along[i], self.along[i + 1]);
        let (across, on) = (b - a, (a + b).normalize_or_zero());
        let psi = (2.0 * part - 1.0) * self.half[i + 1];
        (on * psi.cos() + across.normalize_or_zero() * psi.sin()).normalize_or(a)
    }

    /// The part of a segment that is nearest to a place.
    pub fn foot(&self, segment: usize, p: DVec3) -> f64 {
        let i = segment / 2;
        if segment.is_multiple_of(2) {
            let [a, b] = self.tangents(i);
            let d = b - a;
            let square = d.length_squared();
            return if square > 0.0 { ((p - a).dot(d) / square).clamp(0.0, 1.0) } else { 0.5 };
        }
        let c = i + 1;
        let h = self.half[c];
        if h < NO_TURN {
            return 0.5;
        }
        let (across, on) =
            ((self.along[c] - self.along[i]).normalize_or_zero(), (self.along[i] + self.along[c]).normalize_or_zero());
        let from = p - self.corners[c] - across * (self.radius / h.cos());
        let psi = from.dot(on).atan2(-from.dot(across)).clamp(-h, h);
        (psi / h + 1.0) / 2.0
    }

    /// The distance of a place from the whole chain.
    pub fn distance(&self, p: DVec3) -> f64 {
        let of = |k| self.point(k, self.foot(k, p)).distance_squared(p);
        (0..self.segments()).map(of).fold(f64::INFINITY, f64::min).sqrt()
    }
}

/// A point of the arc that rounds off a corner between unit directions `a` and `b`, half of whose turn is `h`.
fn arc_point(corner: DVec3, a: DVec3, b: DVec3, h: f64, radius: f64, part: f64) -> DVec3 {
    if h < NO_TURN {
        return corner;
    }
    let psi = (2.0 * part - 1.0) * h;
    let inward = radius * (1.0 / h.cos() - psi.cos()) / (2.0 * h.sin());
    corner + (b - a) * inward + (a + b) * (radius * psi.sin() / (2.0 * h.cos()))
}

/// A point of the arc of the middle one of three corners.
pub fn of_three(v: [DVec3; 3], radius: f64, part: f64) -> DVec3 {
    let (a, b) = ((v[1] - v[0]).normalize_or_zero(), (v[2] - v[1]).normalize_or_zero());
    arc_point(v[1], a, b, half_turn(a, b), radius, part)
}

/// Half the turn at the middle one of three corners, rad.
pub fn half_at(v: [DVec3; 3]) -> f64 {
    half_turn((v[1] - v[0]).normalize_or_zero(), (v[2] - v[1]).normalize_or_zero())
}
