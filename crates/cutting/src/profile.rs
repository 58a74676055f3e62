//! The line along which an end is cut, fibre by fibre.

use geometry::minimise::{Seen, brent, golden};
use geometry::outline::Station;
use geometry::{Bundle, DVec2, DVec3, Frame, Outline, Ray, Segment, Solid, distance};
use shape::{End, Shape, Tube};

use crate::Detail;
use crate::plan::{EndKind, EndPlan, mid_plane};

/// Everything that one end is cut to, and where its fibres start.
pub struct EndRays<'a> {
    tube: &'a Tube,
    /// At the end point, `t` from start to end.
    frame: Frame,
    /// Out of the tube.
    out: DVec3,
    /// The solids, and the tube that each belongs to.
    solids: Vec<(Solid, Option<usize>)>,
    /// The same solids, prepared for rays along the tube.
    bundle: Bundle,
    /// Only what is met beyond here counts (outward, m; negative).
    after: f64,
}

/// Where a fibre ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hit {
    /// Beyond the end point, outward, m.
    pub s: f64,
    /// Index of the solid in the list.
    pub solid: usize,
}

impl<'a> EndRays<'a> {
    /// The rays of one end.
    pub fn new(shape: &Shape, tube: &'a Tube, end: End, plan: &EndPlan, all: &[Vec<Solid>]) -> EndRays<'a> {
        let out = tube.outward(end);
        let frame = match end {
            End::Start => tube.frames[0],
            End::End => out,
        };
        let leg = tube.end_leg(end);
        let solids = match &plan.kind {
            EndKind::Square(past) => {
                vec![(Solid::Half(geometry::HalfSpace { origin: out.origin + out.t * *past, outward: -out.t }), None)]
            }
            // A mitre's gap is shared by its two sides.
            EndKind::Plane(h, Some(other)) => vec![(Solid::Half(h.grown(plan.gap / 2.0)), Some(*other))],
            EndKind::Plane(h, None) => vec![(Solid::Half(*h), None)],
            EndKind::Cope(hosts) => {
                let mut list: Vec<(Solid, Option<usize>)> = hosts
                    .iter()
                    .flat_map(|&h| {
                        let host = &shape.tubes[h];
                        let near = move |k: &usize| within_reach(tube, out, leg, host, *k, plan.gap);
                        (0..all[h].len()).filter(near).map(move |k| (all[h][k].grown(plan.gap), Some(h)))
                    })
                    .collect();
                list.push((Solid::Half(mid_plane(tube, end, &shape.tubes[hosts[0]])), None));
                list
            }
        };
        let after = if tube.is_straight() { -leg / 2.0 } else { -leg };
        let bundle = Bundle::new(frame, out.t, solids.iter().map(|s| &s.0));
        EndRays { tube, frame, out: out.t, solids, bundle, after }
    }

    /// Points of the wall at a station: on the outside and on the inside.
    pub fn wall(&self, at: Station) -> (DVec2, DVec2) {
        let outer = self.tube.outline.point(at);
        match (self.tube.outline, self.tube.bore) {
            (Outline::Circle { r }, Outline::Circle { r: bore }) => (outer, outer * (bore / r)),
            (_, bore) => (outer, bore.point(at)),
        }
    }

    /// Follows the fibre through a point of the cross-section.
    pub fn follow(&self, p: DVec2) -> Option<Hit> {
        // A plane along the tube holds the whole fibre or none of it: there is no place to cut.
        self.bundle.entry(p, self.after).filter(|h| h.0.is_finite()).map(|(s, solid)| Hit { s, solid })
    }

    /// Follows the fibre of an edge of the wall: of its outside, or of its bore.
    ///
    /// A flat side may lie in its host's own side. Then the last digit of a fibre in it would say whether it meets the
    /// host or passes it; what counts is the wall behind it.
    fn edge(&self, [po, pi]: [DVec2; 2], edge: Edge) -> Option<Hit> {
        let (at, other) = if edge == Edge::Outside { (po, pi) } else { (pi, po) };
        let hit = self.follow(at);
        if matches!(self.tube.outline, Outline::Circle { .. }) {
            return hit;
        }
        let within = self.follow(at + (other - at).normalize_or_zero() * WITHIN);
        match (hit, within) {
            (Some(a), Some(b)) if (a.s - b.s).abs() <= JUMP => Some(a),
            (a, b) => b.or(a),
        }
    }

    /// The ray along which a fibre is followed, from the plane of the end point.
    pub fn ray(&self, p: DVec2) -> Ray {
        Ray { from: self.frame.place(p), along: self.out }
    }

    /// The frame of the cross-section: at the end point, `t` from start to end.
    pub fn frame(&self) -> Frame {
        self.frame
    }

    /// A solid of the end's list.
    pub fn solid(&self, k: usize) -> Option<&Solid> {
        self.solids.get(k).map(|s| &s.0)
    }

    /// Unit outward normal of what a fibre meets.
    pub fn normal(&self, p: DVec2, hit: Hit) -> DVec3 {
        self.solids[hit.solid].0.normal(self.frame.place(p) + self.out * hit.s)
    }

    /// A number for the smooth face that a fibre meets: its solid and, on a bend, whether the fibre comes in before or
    /// after it has passed the bend's axis, since a ray may leave one lobe of a torus and meet the other.
    pub fn face(&self, p: DVec2, hit: Hit) -> usize {
        let far = match &self.solids[hit.solid].0 {
            Solid::Torus(t) => {
                let d = self.frame.place(p) + self.out * hit.s - t.centre;
                d.dot(self.out) > d.dot(t.axis) * self.out.dot(t.axis)
            }
            _ => false,
        };
        2 * hit.solid + far as usize
    }

    /// How `s` grows as the fibre moves across the section by `d`: from the slope of the surface that it meets.
    pub(crate) fn slope(&self, p: DVec2, hit: Hit, d: DVec2) -> f64 {
        let n = self.normal(p, hit);
        let across = self.frame.u * d.x + self.frame.v * d.y;
        -n.dot(across) / n.dot(self.out)
    }

    /// The tube that a solid belongs to.
    pub fn host(&self, hit: Hit) -> Option<usize> {
        self.solids[hit.solid].1
    }

    /// Whether what a fibre meets is something to seat on: a host, or the plane of an end that has no host. A fibre that
    /// misses its hosts ends on their mid-plane, where nothing is.
    pub fn seats(&self, hit: Hit) -> bool {
        self.solids[hit.solid].1.is_some() || self.solids.len() == 1
    }

    /// Place in space of a fibre's end.
    pub fn place(&self, p: DVec2, s: f64) -> DVec3 {
        self.frame.place(p) + self.out * s
    }

    /// How far a place lies beyond where the fibre through it ends, m; negative: the tube's body reaches it. `None` where
    /// that fibre meets nothing.
    pub(crate) fn beyond(&self, at: DVec3) -> Option<f64> {
        let d = at - self.frame.origin;
        self.follow(self.frame.across(d)).map(|hit| d.dot(self.out) - hit.s)
    }

    /// The least `s` through the wall at one place round the tube: a cut square to the wall must go this deep for the tube to seat.
    pub(crate) fn radial(&self, [po, pi]: [DVec2; 2], outer: Hit, inner: Hit) -> f64 {
        let d = pi - po;
        let lower = if outer.s <= inner.s { (po, outer, d) } else { (pi, inner, -d) };
        let turns = self.slope(lower.0, lower.1, lower.2) < 0.0;
        let both = outer.solid != inner.solid && (self.slope(po, outer, d) < 0.0 || self.slope(pi, inner, -d) < 0.0);
        if !turns && !both {
            return lower.1.s;
        }
        // Each solid's near face is hollow side down (a convex body), so the least value within is found by halving.
        // A thousandth of the wall moves a minimum by its square: far under a nanometre.
        let f = |k: f64| self.follow(po + d * k).map_or(f64::INFINITY, |h| h.s);
        golden(0.0, 1.0, 1e-3, f).1.min(lower.1.s)
    }
}

/// So far within the wall a fibre of a flat side is held against its neighbour, m.
const WITHIN: f64 = 1e-9;
/// If that differs by more than this, the side lies in its host's own. A side that touches a round host of 50 mm radius
/// along a line differs by √(2 · 0.05 · 1e-9) = 10 µm.
const JUMP: f64 = 1e-4;

/// Fibres are followed this far beyond the end point when it is decided which parts of a host they can meet, in reaches
/// of both tubes together: past that, a fibre has long met the mid-plane.
const BEYOND: f64 = 40.0;

/// Whether fibres can meet segment `k` of a host at all. Errs on the side of yes.
fn within_reach(tube: &Tube, out: Frame, leg: f64, host: &Tube, k: usize, gap: f64) -> bool {
    let both = tube.outline.reach() + host.outline.reach() + gap;
    let (from, to) = (out.origin - out.t * leg, out.origin + out.t * BEYOND * both);
    let segment = &host.chain.segments[k];
    let (mut a, mut b) = (segment.point(0.0), segment.point(segment.length()));
    let bow = match *segment {
        // The arc bows out from its chord by its sagitta.
        Segment::Arc { radius, sweep, .. } => radius * (1.0 - (sweep / 2.0).cos()),
        // A leg at a tube's end may run past its end point.
        Segment::Leg { along, .. } => {
            a -= along * BEYOND * both;
            b += along * BEYOND * both;
            0.0
        }
    };
    distance::segment_segment(from, to, a, b).0 <= both + bow
}

/// One fibre's end.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Fibre {
    /// Distance round the outside from the scribe line, m.
    pub round: f64,
    /// Where the outside of the wall ends, m beyond the end point.
    pub outer: f64,
    /// Where the inside of the wall ends.
    pub inner: f64,
    /// Where a cut square to the wall must be for the tube to seat.
    pub radial: f64,
    /// Index in the shape of the tube that the outside meets; `None` for a plane, or where it misses.
    #[serde(skip)]
    pub host: Option<usize>,
    /// The solids that the outside and the inside meet: indices in the end's list.
    #[serde(skip)]
    pub met: [usize; 2],
    /// Where the outside and the inside stand in the cross-section.
    #[serde(skip)]
    pub wall: [DVec2; 2],
}

/// An end's cut, all round.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Profile {
    /// Fibres, by rising distance round. The first stands on the scribe line.
    pub fibres: Vec<Fibre>,
    /// The farthest reach of the end, outside or inside, m beyond the end point.
    pub long: f64,
    /// The least reach.
    pub short: f64,
    /// Distance round at which the outside reaches farthest, m.
    pub long_at: f64,
    /// Share of the outside that meets none of the tubes it is coped to.
    pub missing: f64,
    /// Whether a fibre met nothing at all: the end can't be made.
    pub open: bool,
}

/// Distances round an outline at which fibres stand: evenly on a circle; on a rectangle evenly on each side and round
/// each corner, with a fibre wherever one becomes the other.
pub fn stations(outline: &Outline, detail: Detail) -> Vec<f64> {
    let total = outline.perimeter();
    let mut out = Vec::with_capacity(detail.fibres + 32);
    let mut at = 0.0;
    for piece in 0..outline.pieces() {
        let length = outline.piece_length(piece);
        if length <= 0.0 {
            continue;
        }
        let n = ((detail.fibres as f64 * length / total).round() as usize).max(4);
        out.extend((0..n).map(|k| at + length * k as f64 / n as f64));
        at += length;
    }
    out
}

/// A change of host between two fibres is placed to this, m: a micrometre round the tube.
pub(crate) const CHANGE: f64 = 1e-6;

/// Long and short points are refined until the place round the tube is known to this, m. Near an extremum the reach
/// then errs by less than a nanometre; at a corner of the profile by no more than a few micrometres times its slope.
const EXTREME: f64 = 1e-6;

/// An extremum is not looked for where the edge of the wall is level to this, m: a nanometre.
const NOTHING: f64 = 1e-9;

/// Follows all fibres of an end.
pub fn profile(rays: &EndRays, detail: Detail) -> Profile {
    let outline = &rays.tube.outline;
    let total = outline.perimeter();
    let mut open = false;
    let mut at = |round: f64| -> Fibre {
        let (po, pi) = rays.wall(outline.station(round));
        let wall = [po, pi];
        match (rays.edge(wall, Edge::Outside), rays.edge(wall, Edge::Inside)) {
            (Some(o), Some(i)) => {
                let radial = rays.radial(wall, o, i);
                Fibre { round, outer: o.s, inner: i.s, radial, host: rays.host(o), met: [o.solid, i.solid], wall }
            }
            _ => {
                open = true;
                Fibre { round, outer: 0.0, inner: 0.0, radial: 0.0, host: None, met: [0; 2], wall }
            }
        }
    };
    let mut fibres: Vec<Fibre> = stations(outline, detail).into_iter().map(&mut at).collect();
    // Where the outside goes from one tube to another the profile has a corner: stand a fibre on each side of it.
    let n = fibres.len();
    let mut extra = Vec::new();
    for k in 0..n {
        let (a, b) = (fibres[k], fibres[(k + 1) % n]);
        if a.host == b.host {
            continue;
        }
        let (mut lo, mut hi) = (a.round, if k + 1 == n { total } else { b.round });
        while hi - lo > CHANGE {
            let mid = 0.5 * (lo + hi);
            let (po, pi) = rays.wall(outline.station(mid));
            let host = rays.edge([po, pi], Edge::Outside).and_then(|h| rays.host(h));
            if host == a.host { lo = mid } else { hi = mid }
        }
        extra.push(at(lo));
        if hi < total {
            extra.push(at(hi));
        }
    }
    if !extra.is_empty() {
        fibres.extend(extra);
        fibres.sort_by(|a, b| a.round.total_cmp(&b.round));
        fibres.dedup_by(|b, a| a.round == b.round);
    }
    let reach = reach(rays, &fibres);
    let copes = rays.solids.iter().any(|s| s.1.is_some()) && rays.solids.len() > 1;
    let missing = if copes {
        let n = fibres.len();
        let width = |k: usize| {
            let (before, after) = neighbours(&fibres, k, total);
            0.5 * (after - before)
        };
        (0..n).filter(|&k| fibres[k].host.is_none()).map(width).sum::<f64>() / total
    } else {
        0.0
    };
    Profile { fibres, long: reach.long, short: reach.short, long_at: reach.long_at, missing, open }
}

/// Distances round of a fibre's neighbours, rising: below nothing or above the perimeter where they lie across the
/// scribe line.
pub(crate) fn neighbours(fibres: &[Fibre], k: usize, total: f64) -> (f64, f64) {
    let n = fibres.len();
    let before = if k == 0 { fibres[n - 1].round - total } else { fibres[k - 1].round };
    let after = if k + 1 == n { fibres[0].round + total } else { fibres[k + 1].round };
    (before, after)
}

/// How far an end reaches.
struct Reach {
    long: f64,
    long_at: f64,
    short: f64,
}

/// An edge of the wall.
#[derive(Clone, Copy, PartialEq)]
enum Edge {
    Outside,
    Inside,
}

fn reach(rays: &EndRays, fibres: &[Fibre]) -> Reach {
    // Farthest: least of the negative.
    let far = least(rays, fibres, Edge::Outside, -1.0, (0.0, f64::INFINITY));
    let near = least(rays, fibres, Edge::Outside, 1.0, (0.0, f64::INFINITY));
    Reach {
        long: -least(rays, fibres, Edge::Inside, -1.0, far).1,
        long_at: far.0.rem_euclid(rays.tube.outline.perimeter()),
        short: least(rays, fibres, Edge::Inside, 1.0, near).1,
    }
}

/// The least of `sign` times the reach along one edge of the wall, or what was found before if that is less: the place
/// round the tube, and the value. Looks at the neighbourhood of every fibre that could hold it.
fn least(rays: &EndRays, fibres: &[Fibre], edge: Edge, sign: f64, found: Seen) -> Seen {
    let outline = &rays.tube.outline;
    let total = outline.perimeter();
    let n = fibres.len();
    let value = |k: usize| sign * if edge == Edge::Inside { fibres[k].inner } else { fibres[k].outer };
    let follow = |x: f64| {
        let (po, pi) = rays.wall(outline.station(x));
        rays.edge([po, pi], edge).map_or(f64::INFINITY, |h| sign * h.s)
    };
    let mut best = found;
    for (k, fibre) in fibres.iter().enumerate() {
        if value(k) < best.1 {
            best = (fibre.round, value(k));
        }
    }
    for (k, fibre) in fibres.iter().enumerate() {
        // Between it and its neighbours the edge goes no farther past it than it does to them, near enough.
        let (left, here, right) = (value((k + n - 1) % n), value(k), value((k + 1) % n));
        let further = left.max(right) - here;
        if left >= here && right >= here && further > NOTHING && here - further <= best.1 {
            let (a, b) = neighbours(fibres, k, total);
            let seen = brent([(a, left), (fibre.round, here), (b, right)], EXTREME, follow);
            if seen.1 < best.1 {
                best = seen;
            }
        }
    }
    best
}
