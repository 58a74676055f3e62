//! Straight moves: what is in their way, and the best of them.

use geometry::DVec3;

use super::pose::{Pose, meet, swept};
use super::yard::{Trim, Yard, hits};
use super::{Last, Way, direction, sweep};

/// Half-angles of the cones that are tried round a direction, degrees.
const CONES: [f64; 6] = [1.0, 2.0, 5.0, 10.0, 20.0, 30.0];

/// How far a piece slides clear of its hosts before it goes another way, in diameters.
const SLIDES: [f64; 3] = [0.5, 1.5, 3.0];

/// First moves that are tried: those deepest within the cone of contact.
const FIRST: usize = 10;

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
            && self.tips(m, trim).any(|p| {
                let p = pose.place(p);
                meet(swept((p, p), by), other.bounds) && hits(p, d, length, &other.parts)
            })
        {
            return true;
        }
        let back = -pose.direction_back(d);
        !self.coped_to(m, s)
            && other.tips.iter().flatten().any(|&p| meet((p, p), room) && hits(pose.back(p), back, length, &body.parts))
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

    /// The best way in among directions, past what stands.
    pub(super) fn way(&self, m: usize, standing: &[usize], directions: &[DVec3], trim: Trim) -> Option<Way> {
        let mut standing = standing.to_vec();
        let normals = self.normals(m, trim);
        let mut open: Vec<DVec3> =
            directions.iter().copied().filter(|&d| self.free(m, self.out(d), &mut standing, trim)).collect();
        deepest_first(&normals, &mut open);
        let mut best: Option<(f64, DVec3)> = None;
        let plumb = open.iter().copied().find(|d| *d == DVec3::Z);
        for d in plumb.into_iter().chain(open.iter().copied().take(LOOKED_AT)) {
            let margin = self.margin(m, self.out(d), &mut standing, trim);
            if best.is_none_or(|b| margin > b.0 || margin == b.0 && d.z > b.1.z + 1e-9) {
                best = Some((margin, d));
            }
        }
        best.map(|(margin, from)| self.said(m, &mut standing, trim, Way { from, margin, last: None }))
    }

    /// A way in two straight moves: clear of the hosts first, then out. Among those found the shortest slide, then the
    /// widest margin.
    pub(super) fn two_moves(&self, m: usize, standing: &[usize], directions: &[DVec3]) -> Option<Way> {
        let body = &self.bodies[m];
        let mut standing = standing.to_vec();
        let mut first: Vec<DVec3> = directions.to_vec();
        deepest_first(&self.normals(m, Trim::None), &mut first);
        let reach = self.shape.tubes[body.tube].outline.reach();
        for slide in SLIDES {
            let length = slide * 2.0 * reach;
            let mut tried = 0;
            let mut best: Option<Way> = None;
            for &d in &first {
                if tried == FIRST {
                    break;
                }
                if !self.free(m, Move { length, ..self.out(d) }, &mut standing, Trim::None) {
                    continue;
                }
                tried += 1;
                let beside = Pose::shifted(d * length);
                if let Some((from, margin)) = self.plainly_out(m, beside, &[], &mut standing, Trim::None)
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

    /// The direction with the widest margin in which a piece gets out from beside its place: a plain one, or one of a few
    /// more.
    pub(super) fn plainly_out(
        &self,
        m: usize,
        pose: Pose,
        more: &[DVec3],
        standing: &mut [usize],
        trim: Trim,
    ) -> Option<(DVec3, f64)> {
        let mut best: Option<(DVec3, f64)> = None;
        for d in direction::plain().chain(more.iter().copied().filter(|d| *d != DVec3::ZERO)) {
            let step = Move { pose, d, length: self.reach };
            if !self.free(m, step, standing, trim) {
                continue;
            }
            let margin = self.margin(m, step, standing, trim);
            if best.is_none_or(|b| margin > b.1) {
                best = Some((d, margin));
            }
        }
        best
    }

    /// The same way from a direction that can be told plainly, if one lies within its cone and has half its margin.
    fn said(&self, m: usize, standing: &mut [usize], trim: Trim, way: Way) -> Way {
        let mut near: Vec<DVec3> = direction::plain().filter(|d| d.angle_between(way.from) <= way.margin).collect();
        near.sort_by(|a, b| b.dot(way.from).total_cmp(&a.dot(way.from)));
        for d in near {
            if self.free(m, self.out(d), standing, trim) {
                let margin = self.margin(m, self.out(d), standing, trim);
                if margin >= 0.5 * way.margin {
                    return Way { from: d, margin, last: None };
                }
            }
        }
        way
    }
}

/// Those deepest within the cone of contact come first: they have the widest margins.
fn deepest_first(normals: &[DVec3], list: &mut [DVec3]) {
    let least = |d: DVec3| direction::least(normals, d);
    list.sort_by(|a, b| least(*b).total_cmp(&least(*a)).then(b.z.total_cmp(&a.z)));
}
