//! The road over an obstacle, and the path of a hub over it.

use design::ObstacleShape;
use geometry::DVec2;

/// Something of the road: all of it lies in the ground.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Piece {
    /// A straight stretch, from left to right; `out` is its unit normal out of the ground.
    Line { a: DVec2, b: DVec2, out: DVec2 },
    /// A corner that stands out.
    Crest(DVec2),
    /// A round top: a disc, and the sine of the half angle that stands out.
    Round { centre: DVec2, radius: f64, sine: f64 },
}

impl Piece {
    /// From where to where along the road it may be met.
    pub fn span(&self) -> (f64, f64) {
        match *self {
            Piece::Line { a, b, .. } => (a.x, b.x),
            Piece::Crest(c) => (c.x, c.x),
            Piece::Round { centre, radius, sine } => (centre.x - radius * sine, centre.x + radius * sine),
        }
    }
}

/// A road.
#[derive(Clone, Debug)]
pub(crate) struct Road {
    pub pieces: Vec<Piece>,
    /// Where it leaves the level, and comes back to it, m.
    pub from: f64,
    pub to: f64,
}

/// Level road before and after, m: longer than any car that this is for.
const LEVEL: f64 = 50.0;

impl Road {
    pub fn new(shape: &ObstacleShape) -> Road {
        let corners: Vec<DVec2> = match shape {
            ObstacleShape::Hump { length, .. } => vec![DVec2::ZERO, DVec2::new(*length, 0.0)],
            ObstacleShape::Kerb { height } => vec![DVec2::ZERO, DVec2::new(0.0, *height)],
            ObstacleShape::Ramp { height, angle } => vec![DVec2::ZERO, DVec2::new(height / angle.tan(), *height)],
            ObstacleShape::Profile(points) => points.clone(),
        };
        let (first, last) = (corners[0], corners[corners.len() - 1]);
        let mut all = vec![DVec2::new(first.x - LEVEL, first.y)];
        all.extend(&corners);
        all.push(DVec2::new(last.x + LEVEL, last.y));
        all.dedup();
        let mut pieces = Vec::new();
        let hump = match shape {
            ObstacleShape::Hump { length, height } => {
                let radius = (length * length / 4.0 + height * height) / (2.0 * height);
                Some(Piece::Round {
                    centre: DVec2::new(length / 2.0, height - radius),
                    radius,
                    sine: (length / 2.0 / radius).min(1.0),
                })
            }
            _ => None,
        };
        for w in all.windows(2) {
            let out = (w[1] - w[0]).normalize().perp();
            pieces.push(Piece::Line { a: w[0], b: w[1], out });
        }
        for w in all.windows(3) {
            if (w[1] - w[0]).perp_dot(w[2] - w[1]) < 0.0 {
                pieces.push(Piece::Crest(w[1]));
            }
        }
        pieces.extend(hump);
        Road { pieces, from: first.x, to: last.x }
    }

    /// Height of the road at a place; the higher one at a face.
    pub fn height(&self, x: f64) -> f64 {
        self.pieces
            .iter()
            .filter_map(|p| match *p {
                Piece::Line { a, b, .. } if a.x < b.x && x >= a.x && x <= b.x => {
                    Some(a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x))
                }
                Piece::Round { centre, radius, sine } if (x - centre.x).abs() <= radius * sine => {
                    Some(centre.y + (radius * radius - (x - centre.x).powi(2)).max(0.0).sqrt())
                }
                _ => None,
            })
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// Height of the hub of a tyre over a place, and the piece that carries it.
    pub fn hub(&self, tyre: f64, x: f64) -> (f64, usize) {
        let mut best = (f64::NEG_INFINITY, 0);
        for (i, p) in self.pieces.iter().enumerate() {
            if let Some(h) = carried(p, tyre, x)
                && h > best.0
            {
                best = (h, i);
            }
        }
        best
    }

    /// Slope of the hub's path over a piece.
    pub fn slope(&self, piece: usize, tyre: f64, x: f64) -> f64 {
        let circle = |c: DVec2, r: f64| {
            let d = (x - c.x).clamp(-r, r);
            -d / (r * r - d * d).max(FLATTEST * r * r).sqrt()
        };
        match self.pieces[piece] {
            Piece::Line { a, b, .. } => (b.y - a.y) / (b.x - a.x),
            Piece::Crest(c) => circle(c, tyre),
            Piece::Round { centre, radius, .. } => circle(centre, radius + tyre),
        }
    }

    /// Places along the way where the path of a tyre's hub may have a kink, or may turn from up to down: between them one
    /// piece carries it, and its slope runs one way.
    pub fn kinks(&self, tyre: f64) -> Vec<f64> {
        /// A place this far under the path is none of it, m: over the rounding of crossings.
        const UNDER: f64 = 1e-7;
        let mut out: Vec<f64> = Vec::new();
        let mut paths: Vec<Path> = Vec::with_capacity(self.pieces.len());
        for p in &self.pieces {
            match *p {
                Piece::Crest(c) => out.push(c.x),
                Piece::Round { centre, .. } => out.push(centre.x),
                Piece::Line { .. } => {}
            }
            paths.extend(Path::of(p, tyre));
        }
        paths.sort_by(|a, b| a.from.total_cmp(&b.from));
        let mut met = Vec::new();
        for (i, a) in paths.iter().enumerate() {
            met.clear();
            met.extend([a.from, a.to]);
            for b in paths[i + 1..].iter().take_while(|b| b.from <= a.to) {
                a.meets(b, &mut met);
            }
            out.extend(met.iter().copied().filter(|&x| a.height(x) >= self.hub(tyre, x).0 - UNDER));
        }
        out
    }

    /// The first corner, going forward, that a tyre can't roll over or would fall from.
    pub fn bars(&self, tyre: f64) -> Option<DVec2> {
        /// A step of the hub's path, m: a tenth of a micrometre, over rounding.
        const STEP: f64 = 1e-7;
        /// Faces steeper than 60 degrees: no tyre holds on there, friction would have to be 1.7.
        const STEEP: f64 = 1.732;
        let steep = self.pieces.iter().enumerate().find_map(|(i, p)| {
            let Piece::Line { a, b, out } = *p else { return None };
            let face = b.x > a.x && (b.y - a.y).abs() > STEEP * (b.x - a.x);
            let rolls = |f: f64| self.hub(tyre, a.x + (b.x - a.x) * f + tyre * out.x).1 == i;
            (face && [0.02, 0.25, 0.5, 0.75, 0.98].into_iter().any(rolls)).then_some(if b.y > a.y { b } else { a })
        });
        if steep.is_some() {
            return steep;
        }
        self.pieces.iter().find_map(|p| {
            let Piece::Crest(c) = *p else { return None };
            [-tyre, tyre]
                .iter()
                .any(|d| {
                    let others = self
                        .pieces
                        .iter()
                        .filter(|q| !matches!(q, Piece::Crest(e) if *e == c))
                        .filter_map(|q| carried(q, tyre, c.x + d))
                        .fold(f64::NEG_INFINITY, f64::max);
                    others < c.y - STEP
                })
                .then_some(c)
        })
    }
}

/// A circle's slope is told no steeper than where this share of its radius squared is left of the square of its height.
const FLATTEST: f64 = 1e-6;

/// The path of a hub over one piece: a line from its first place, or the upper side of a circle.
struct Path {
    from: f64,
    to: f64,
    curve: Curve,
}

#[derive(Clone, Copy)]
enum Curve {
    Line { through: DVec2, slope: f64 },
    Circle { centre: DVec2, radius: f64 },
}

impl Path {
    fn of(p: &Piece, tyre: f64) -> Option<Path> {
        Some(match *p {
            Piece::Line { a, b, .. } if b.x <= a.x => return None,
            Piece::Line { a, b, out } => Path {
                from: a.x + tyre * out.x,
                to: b.x + tyre * out.x,
                curve: Curve::Line { through: a + out * tyre, slope: (b.y - a.y) / (b.x - a.x) },
            },
            Piece::Crest(c) => {
                Path { from: c.x - tyre, to: c.x + tyre, curve: Curve::Circle { centre: c, radius: tyre } }
            }
            Piece::Round { centre, radius, sine } => {
                let r = radius + tyre;
                Path { from: centre.x - r * sine, to: centre.x + r * sine, curve: Curve::Circle { centre, radius: r } }
            }
        })
    }

    fn height(&self, x: f64) -> f64 {
        match self.curve {
            Curve::Line { through, slope } => through.y + slope * (x - through.x),
            Curve::Circle { centre, radius } => centre.y + (radius * radius - (x - centre.x).powi(2)).max(0.0).sqrt(),
        }
    }

    /// Adds the places where two paths may cross.
    fn meets(&self, other: &Path, out: &mut Vec<f64>) {
        let within = |x: f64| x >= self.from.max(other.from) && x <= self.to.min(other.to);
        let mut offer = |x: f64| out.extend(within(x).then_some(x));
        match (self.curve, other.curve) {
            (Curve::Line { through: p, slope: a }, Curve::Line { through: q, slope: b }) => {
                offer((q.y - p.y + a * p.x - b * q.x) / (a - b));
            }
            (Curve::Line { through, slope }, Curve::Circle { centre, radius })
            | (Curve::Circle { centre, radius }, Curve::Line { through, slope }) => {
                let along = DVec2::new(1.0, slope).normalize();
                let foot = through + along * along.dot(centre - through);
                let half = radius * radius - foot.distance_squared(centre);
                if half >= 0.0 {
                    offer(foot.x - along.x * half.sqrt());
                    offer(foot.x + along.x * half.sqrt());
                }
            }
            (Curve::Circle { centre: p, radius: a }, Curve::Circle { centre: q, radius: b }) => {
                let apart = p.distance(q);
                let along = (q - p) / apart;
                let foot = 0.5 * (apart + (a * a - b * b) / apart);
                let half = a * a - foot * foot;
                if half >= 0.0 {
                    let mid = p + along * foot;
                    offer(mid.x - along.y * half.sqrt());
                    offer(mid.x + along.y * half.sqrt());
                }
            }
        }
    }
}

/// Height of the hub of a tyre that touches a piece, if it can there.
fn carried(p: &Piece, tyre: f64, x: f64) -> Option<f64> {
    match *p {
        Piece::Line { a, b, out } => {
            let foot = x - tyre * out.x;
            (b.x > a.x && foot >= a.x && foot <= b.x)
                .then(|| a.y + (b.y - a.y) * (foot - a.x) / (b.x - a.x) + tyre * out.y)
        }
        Piece::Crest(c) => {
            let d = x - c.x;
            (d.abs() <= tyre).then(|| c.y + (tyre * tyre - d * d).sqrt())
        }
        Piece::Round { centre, radius, sine } => {
            let (r, d) = (radius + tyre, x - centre.x);
            (d.abs() <= r * sine).then(|| centre.y + (r * r - d * d).max(0.0).sqrt())
        }
    }
}
