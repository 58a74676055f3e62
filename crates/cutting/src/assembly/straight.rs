//! Straight moves: what is in their way, and the best of them.

use geometry::DVec3;
use geometry::distance::segment_segment;

use super::body::Part;
use super::pose::{Pose, meet, swept};
use super::yard::{Trim, Yard, hits};
use super::{Last, Way, direction, sweep};

/// Half-angles of the cones that are tried round a direction, degrees.
const CONES: [f64; 6] = [1.0, 2.0, 5.0, 10.0, 20.0, 30.0];

/// How far a piece slides clear of its hosts before it goes another way, in diameters.
pub(super) const SLIDES: [f64; 3] = [0.5, 1.5, 3.0];

/// How far it slides along what it is cut to where nothing shorter and no swing was found, in diameters: a bar between a hoop's
/// legs goes up along them until it is past what stands in front of it.
pub(super) const LONG_SLIDES: [f64; 2] = [6.0, 10.0];

/// First moves that are tried: those deepest within the cone of contact.
const FIRST: usize = 10;

/// Directions that go into what is touched more steeply than this are not tried: 6 degrees. With the root gap between it
/// and its host a piece may go a little into the cone's faces before it is past them.
pub(super) const INTO: f64 = -0.1;

/// A direction that can be told plainly with this margin is not looked past, rad: 5 degrees, what a hand keeps to.
pub(super) const ROOM: f64 = 0.0872;

/// Free directions of which the margin is looked at.
const LOOKED_AT: usize = 10;

/// A straight move: from which place; in which direction; how far.
#[derive(Clone, Copy)]
pub(super) struct Move {
    /// Where the body is at first.
    pub pose: Pose,
    /// Unit.
    pub d: DVec3,
    /// m.
    pub length: f64,
}

impl Yard<'_> {
    /// Whether body `m`, in a straight move, runs into body `s`.
    pub(super) fn runs_into(&self, m: usize, s: usize, step: Move, trim: Trim) -> bool {
        let Move { pose, d, length } = step;
        let (body, other) = (&self.bodies[m], &self.bodies[s]);
        let by = d * length;
        let room = swept(pose.bounds(body.bounds), by);
        if !meet(room, other.bounds) {
            return false;
        }
        if body.middle.iter().any(|a| {
            let a = pose.body(a);
            other.middle.iter().any(|b| sweep::meets(&a, b, d, length))
        }) {
            return true;
        }
        if !self.coped_to(s, m)
            && self.tips(m, trim).any(|(tips, shift)| {
                let ball = (pose.place(tips.ball.0 + shift), tips.ball.1);
                other.parts.iter().any(|part| {
                    may_pass(ball, by, part)
                        && tips.points.iter().any(|p| hits(pose.place(*p + shift), d, length, part))
                })
            })
        {
            return true;
        }
        let back = -pose.direction_back(d);
        !self.coped_to(m, s)
            && other.tips.iter().any(|tips| {
                let ball = (pose.back(tips.ball.0), tips.ball.1);
                body.parts.iter().any(|part| {
                    may_pass(ball, back * length, part)
                        && tips.points.iter().any(|p| hits(pose.back(*p), back, length, part))
                })
            })
    }

    /// Straight out of the frame.
    pub(super) fn out(&self, d: DVec3) -> Move {
        Move { pose: Pose::HOME, d, length: self.reach }
    }

    /// Whether nothing of a list is in the way of `m`. What was in the way last is asked first.
    pub(super) fn free(&self, m: usize, step: Move, standing: &mut [usize], trim: Trim) -> bool {
        match standing.iter().position(|&s| self.runs_into(m, s, step, trim)) {
            Some(k) => {
                standing[..=k].rotate_right(1);
                false
            }
            None => true,
        }
    }

    /// The half-angle of the cone round a free direction in which all is free, rad: sampled.
    pub(super) fn margin(&self, m: usize, step: Move, standing: &mut [usize], trim: Trim) -> f64 {
        let mut margin = 0.0;
        for c in CONES.map(f64::to_radians) {
            if !direction::round(step.d, c).into_iter().all(|d| self.free(m, Move { d, ..step }, standing, trim)) {
                break;
            }
            margin = c;
        }
        margin
    }

    /// The best way in along a direction that can be told plainly.
    pub(super) fn plain_way(&self, m: usize, standing: &[usize], trim: Trim) -> Option<Way> {
        let normals = self.normals(m, standing, trim).concat();
        let plain = direction::plain(self.side(m)).filter(|d| direction::least(&normals, *d) > INTO).collect();
        self.widest(m, plain, &mut standing.to_vec(), trim)
    }

    /// The best way in among directions, past what stands; a plain one if that has half as much margin.
    pub(super) fn way(&self, m: usize, standing: &[usize], directions: &[DVec3], trim: Trim) -> Option<Way> {
        let plain = self.plain_way(m, standing, trim);
        let normals = self.normals(m, standing, trim).concat();
        let mut standing = standing.to_vec();
        let mut open: Vec<DVec3> = directions
            .iter()
            .copied()
            .filter(|d| direction::least(&normals, *d) > INTO && self.free(m, self.out(*d), &mut standing, trim))
            .collect();
        deepest_first(&normals, &mut open);
        open.truncate(LOOKED_AT);
        match (plain, self.widest(m, open, &mut standing, trim)) {
            (Some(p), Some(b)) if p.margin >= 0.5 * b.margin => Some(p),
            (p, b) => b.or(p),
        }
    }

    /// Of some directions the free one with the widest margin; of these the one most from above.
    fn widest(&self, m: usize, directions: Vec<DVec3>, standing: &mut [usize], trim: Trim) -> Option<Way> {
        let mut best: Option<Way> = None;
        for from in directions {
            if !self.free(m, self.out(from), standing, trim) {
                continue;
            }
            let margin = self.margin(m, self.out(from), standing, trim);
            let higher = |b: &Way| margin == b.margin && from.z > b.from.z + 1e-9;
            if best.as_ref().is_none_or(|b| margin > b.margin || higher(b)) {
                best = Some(Way { from, margin, last: None });
            }
        }
        best
    }

    /// A way in two straight moves: clear of the hosts first by one of some slides (in diameters), then out. Among those
    /// found the shortest slide, then the widest margin.
    pub(super) fn two_moves(
        &self,
        m: usize,
        standing: &[usize],
        directions: &[DVec3],
        slides: &[f64],
        trim: Trim,
    ) -> Option<Way> {
        let body = &self.bodies[m];
        let mut standing = standing.to_vec();
        let normals = self.normals(m, &standing, trim).concat();
        let mut first: Vec<DVec3> =
            directions.iter().copied().filter(|d| direction::least(&normals, *d) > INTO).collect();
        deepest_first(&normals, &mut first);
        let reach = self.shape.tubes[body.tube].outline.reach();
        for slide in slides {
            let length = slide * 2.0 * reach;
            let mut tried = 0;
            let mut best: Option<Way> = None;
            for &d in &first {
                if tried == FIRST {
                    break;
                }
                if !self.free(m, Move { length, ..self.out(d) }, &mut standing, trim) {
                    continue;
                }
                tried += 1;
                let beside = Pose::shifted(d * length);
                if let Some((from, margin)) = self.plainly_out(m, beside, &[], &mut standing, trim)
                    && best.as_ref().is_none_or(|b| margin > b.margin)
                {
                    best = Some(Way { from, margin, last: Some(Last::Slide { from: d, length }) });
                }
            }
            if best.is_some() {
                return best;
            }
        }
        None
    }

    /// A direction in which a piece gets out from beside its place: the first plain one with room, or of these and a few
    /// more the one with the widest margin.
    pub(super) fn plainly_out(
        &self,
        m: usize,
        pose: Pose,
        more: &[DVec3],
        standing: &mut [usize],
        trim: Trim,
    ) -> Option<(DVec3, f64)> {
        let mut best: Option<(DVec3, f64)> = None;
        for d in direction::plain(self.side(m)).chain(more.iter().copied().filter(|d| *d != DVec3::ZERO)) {
            let step = Move { pose, d, length: self.reach };
            if !self.free(m, step, standing, trim) {
                continue;
            }
            let margin = self.margin(m, step, standing, trim);
            if best.is_none_or(|b| margin > b.1) {
                best = Some((d, margin));
            }
            if margin >= ROOM {
                break;
            }
        }
        best
    }

    /// On which side of the centre plane a piece is: 1 or -1.
    pub(super) fn side(&self, m: usize) -> f64 {
        let tube = &self.shape.tubes[self.bodies[m].tube];
        let y = tube.chain.point(0.5 * tube.chain.length()).y;
        if y < -geometry::SAME_PLACE { -1.0 } else { 1.0 }
    }
}

/// Those deepest within the cone of contact come first: they have the widest margins.
fn deepest_first(normals: &[DVec3], list: &mut [DVec3]) {
    let least = |d: DVec3| direction::least(normals, d);
    list.sort_by(|a, b| least(*b).total_cmp(&least(*a)).then(b.z.total_cmp(&a.z)));
}

/// Whether a ball that moves straight may come into a part.
fn may_pass((centre, r): (DVec3, f64), by: DVec3, part: &Part) -> bool {
    let (a, b, radius) = part.capsule;
    segment_segment(centre, centre + by, a, b).0 <= r + radius
}
