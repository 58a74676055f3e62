//! Whether each piece can still be put in when its turn comes, and what would help.
//!
//! Not for live answers. Method and limits: `docs/methods/assembly.md`.

pub mod body;
pub mod direction;
pub mod sweep;

use design::TubeState;
use geometry::{DVec3, Ray};
use shape::{End, Shape};

use crate::Cutting;
use body::Body;

/// A way in.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Way {
    /// Unit: where it comes from; it leaves this way.
    pub from: DVec3,
    /// In words.
    pub words: String,
    /// Half-angle of the cone of directions round it that were all found free, rad; 0 for a slide.
    pub margin: f64,
    /// The last part of the way, if it is not straight on.
    pub last: Option<Last>,
}

/// The last part of a way in two straight moves: it comes beside its place, and slides home.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Last {
    /// Unit: where it slides home from.
    pub from: DVec3,
    /// How far, m.
    pub length: f64,
}

/// What would help a piece that can't go in.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Remedy {
    /// Cut both ends a little short: a gap that `limits.fit` still allows, or a small multiple of it.
    Play {
        /// How much shorter each end must be, along the tube, m.
        play: f64,
        /// From where it then comes.
        way: Way,
    },
    /// Fit it before another piece.
    Earlier {
        /// The piece that it must go in before: the latest such place in the order.
        before: String,
        /// From where it then comes.
        way: Way,
        /// Pieces between, which then could not go in themselves.
        blocks: Vec<String>,
    },
    /// Cut one end off at its short point and fill what is left.
    SimplerEnd {
        /// Which.
        end: End,
        /// What is left to fill, m: the cope's depth along the tube.
        gap: f64,
        /// From where it then comes.
        way: Way,
    },
    /// Nothing simpler was found: in two parts, or move a joint.
    TwoParts,
}

/// What was found for one piece.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Insertion {
    /// Name of the piece.
    pub piece: String,
    /// Its turn, from 1.
    pub turn: usize,
    /// The straight way in with the widest margin, or else one in two straight moves; `None`: none was found.
    pub way: Option<Way>,
    /// What is in the way in the direction that the fewest pieces block.
    pub blocked_by: Vec<String>,
    /// What overlaps with it in its place already: not judged.
    pub overlaps: Vec<String>,
    /// All that would help, the least change first; two parts if nothing else was found.
    pub remedies: Vec<Remedy>,
}

/// Half-angles of the cones that are tried round a direction, degrees.
const CONES: [f64; 6] = [1.0, 2.0, 5.0, 10.0, 20.0, 30.0];

/// Play that is tried at each end, in `limits.fit`.
const PLAYS: [f64; 3] = [1.0, 2.0, 4.0];

/// How far a piece slides clear of its hosts before it goes another way, in diameters.
const SLIDES: [f64; 3] = [0.5, 1.5, 3.0];

/// First moves that are tried: those deepest within the cone of contact.
const FIRST: usize = 10;

/// What is taken off an end for a try.
#[derive(Clone, Copy, PartialEq)]
enum Trim {
    /// Nothing.
    None,
    /// Both ends shorter by a length along the tube, m.
    Play(f64),
    /// An end without its tips.
    Bare(End),
}

/// Free directions of which the margin is looked at.
const LOOKED_AT: usize = 10;

/// Every piece, in fitting order.
pub fn insertions(shape: &Shape, cutting: &Cutting) -> Vec<Insertion> {
    let yard = Yard::new(shape, cutting);
    (0..yard.order.len()).map(|turn| yard.insertion(turn)).collect()
}

/// A straight move: from where, beside the final place; in which direction; how far.
#[derive(Clone, Copy)]
struct Move {
    at: DVec3,
    d: DVec3,
    length: f64,
}

/// All bodies, in fitting order.
pub struct Yard<'a> {
    shape: &'a Shape,
    cutting: &'a Cutting,
    bodies: Vec<Body>,
    /// Indices of bodies by turn.
    order: Vec<usize>,
    /// How far a piece must go to be out of the frame, m.
    reach: f64,
}

impl<'a> Yard<'a> {
    /// Makes the bodies of all pieces. Temporary ones come last: they hold what is already there.
    pub fn new(shape: &'a Shape, cutting: &'a Cutting) -> Yard<'a> {
        let plans = crate::plan::plan(shape);
        let all = crate::solids::all(shape, &plans);
        let bodies: Vec<Body> = cutting.pieces.iter().map(|p| body::body(shape, p, &plans, &all)).collect();
        let mut order: Vec<usize> = (0..bodies.len()).collect();
        order.sort_by_key(|&k| (cutting.pieces[k].state == TubeState::Temporary, k));
        let (lo, hi) = bodies
            .iter()
            .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |b, c| (b.0.min(c.bounds.0), b.1.max(c.bounds.1)));
        let reach = if bodies.is_empty() { 0.0 } else { (hi - lo).length() };
        Yard { shape, cutting, bodies, order, reach }
    }

    fn name(&self, k: usize) -> String {
        self.cutting.pieces[k].name.clone()
    }

    /// Whether body `m`, leaving along `d` over a length, runs into body `s`.
    fn runs_into(&self, m: usize, s: usize, Move { at, d, length }: Move, trim: Trim) -> bool {
        let (m, s) = (&self.bodies[m], &self.bodies[s]);
        let by = d * length;
        let near = |lo: DVec3, hi: DVec3| {
            (lo + by.min(DVec3::ZERO)).cmple(s.bounds.1).all() && s.bounds.0.cmple(hi + by.max(DVec3::ZERO)).all()
        };
        if !near(m.bounds.0 + at, m.bounds.1 + at) {
            return false;
        }
        if m.middle.iter().any(|a| {
            let a = sweep::moved(a, at);
            s.middle.iter().any(|b| sweep::meets(&a, b, d, length))
        }) {
            return true;
        }
        let hits = |from: DVec3, along: DVec3, solids: &[geometry::Solid]| {
            let ray = Ray { from, along };
            solids.iter().any(|solid| solid.intervals(&ray).as_slice().iter().any(|i| i.0 < length && i.1 > 0.0))
        };
        // An end that is cut to the other is judged by its tips; the other's solid holds where it is cut away.
        // A mitre's two solids end at its plane and are held against each other like any others.
        let cut_to = |a: &Body, b: &Body| a.coped.contains(&b.tube);
        let play = if let Trim::Play(p) = trim { p } else { 0.0 };
        let tube = &self.shape.tubes[m.tube];
        let mine = End::BOTH.into_iter().filter(|&e| trim != Trim::Bare(e));
        let mut tips = mine.flat_map(|e| {
            let back = tube.outward(e).t * play;
            m.tips[e as usize].iter().map(move |p| *p - back + at)
        });
        if !cut_to(s, m) && tips.any(|p| hits(p, d, &s.solids)) {
            return true;
        }
        !cut_to(m, s)
            && s.tips.iter().flatten().any(|&p| {
                let p = p - at;
                let (lo, hi) = (m.bounds.0 + by.min(DVec3::ZERO), m.bounds.1 + by.max(DVec3::ZERO));
                p.cmpge(lo).all() && p.cmple(hi).all() && hits(p, -d, &m.solids)
            })
    }

    /// Bodies that overlap with `m` where it is.
    fn overlaps(&self, m: usize, standing: &[usize]) -> Vec<usize> {
        standing
            .iter()
            .copied()
            .filter(|&s| self.runs_into(m, s, Move { at: DVec3::ZERO, d: DVec3::Z, length: 0.0 }, Trim::None))
            .collect()
    }

    /// Straight out of the frame.
    fn out(&self, d: DVec3) -> Move {
        Move { at: DVec3::ZERO, d, length: self.reach }
    }

    /// Whether nothing of a list is in the way of `m` along `d`. What was in the way last is asked first.
    fn free(&self, m: usize, step: Move, standing: &mut [usize], trim: Trim) -> bool {
        match standing.iter().position(|&s| self.runs_into(m, s, step, trim)) {
            Some(k) => {
                standing[..=k].rotate_right(1);
                false
            }
            None => true,
        }
    }

    /// The best way in among directions, past what stands.
    fn way(&self, m: usize, standing: &[usize], directions: &[DVec3], trim: Trim) -> Option<Way> {
        let mut standing = standing.to_vec();
        let normals: Vec<DVec3> = End::BOTH
            .into_iter()
            .filter(|&e| trim != Trim::Bare(e))
            .flat_map(|e| self.bodies[m].touches[e as usize].iter().map(|t| t.normal))
            .collect();
        let mut open: Vec<DVec3> =
            directions.iter().copied().filter(|&d| self.free(m, self.out(d), &mut standing, trim)).collect();
        // Those deepest within the cone of contact have the widest margins.
        open.sort_by(|a, b| {
            direction::least(&normals, *b).total_cmp(&direction::least(&normals, *a)).then(b.z.total_cmp(&a.z))
        });
        let mut best: Option<(f64, DVec3)> = None;
        let plumb = open.iter().copied().find(|d| *d == DVec3::Z);
        for d in plumb.into_iter().chain(open.iter().copied().take(LOOKED_AT)) {
            let mut margin = 0.0;
            for c in CONES.map(f64::to_radians) {
                if !direction::round(d, c).into_iter().all(|e| self.free(m, self.out(e), &mut standing, trim)) {
                    break;
                }
                margin = c;
            }
            if best.is_none_or(|b| margin > b.0 || margin == b.0 && d.z > b.1.z + 1e-9) {
                best = Some((margin, d));
            }
        }
        best.map(|(margin, from)| Way { from, words: direction::words(from), margin, last: None })
    }

    /// A way in two straight moves: clear of the hosts first, then out. Among those found the shortest slide, then the
    /// widest margin.
    fn two_moves(&self, m: usize, standing: &[usize], directions: &[DVec3]) -> Option<Way> {
        let body = &self.bodies[m];
        let mut standing = standing.to_vec();
        let normals: Vec<DVec3> = body.touches.iter().flatten().map(|t| t.normal).collect();
        let mut first: Vec<DVec3> = directions.to_vec();
        first.sort_by(|a, b| {
            direction::least(&normals, *b).total_cmp(&direction::least(&normals, *a)).then(b.z.total_cmp(&a.z))
        });
        let reach = self.shape.tubes[body.tube].outline.reach();
        for slide in SLIDES {
            let length = slide * 2.0 * reach;
            let mut tried = 0;
            let mut best: Option<Way> = None;
            for &d in &first {
                if tried == FIRST {
                    break;
                }
                if !self.free(m, Move { at: DVec3::ZERO, d, length }, &mut standing, Trim::None) {
                    continue;
                }
                tried += 1;
                let at = d * length;
                for e in direction::plain() {
                    let go = |e: DVec3| Move { at, d: e, length: self.reach };
                    if !self.free(m, go(e), &mut standing, Trim::None) {
                        continue;
                    }
                    let mut margin = 0.0;
                    for c in CONES.map(f64::to_radians) {
                        if !direction::round(e, c).into_iter().all(|x| self.free(m, go(x), &mut standing, Trim::None)) {
                            break;
                        }
                        margin = c;
                    }
                    if best.as_ref().is_none_or(|b| margin > b.margin) {
                        let words = format!("{}, home {}", direction::words(e), direction::words(d));
                        best = Some(Way { from: e, words, margin, last: Some(Last { from: d, length }) });
                    }
                }
            }
            if best.is_some() {
                return best;
            }
        }
        None
    }

    /// What stands when it is a turn's turn, with what overlaps taken out.
    fn before(&self, turn: usize, m: usize) -> (Vec<usize>, Vec<usize>) {
        let standing: Vec<usize> = self.order[..turn].iter().copied().filter(|&k| k != m).collect();
        let overlaps = self.overlaps(m, &standing);
        (standing.into_iter().filter(|k| !overlaps.contains(k)).collect(), overlaps)
    }

    /// What is found for the piece of a turn (from 0).
    pub fn insertion(&self, turn: usize) -> Insertion {
        let m = self.order[turn];
        let (standing, overlaps) = self.before(turn, m);
        let directions = direction::candidates(&self.bodies[m]);
        let way = self.way(m, &standing, &directions, Trim::None).or_else(|| self.two_moves(m, &standing, &directions));
        let (mut blocked_by, mut remedies) = (Vec::new(), Vec::new());
        if way.is_none() {
            blocked_by = self.fewest(m, &standing, &directions).into_iter().map(|k| self.name(k)).collect();
            remedies = self.remedies(turn, &standing, &directions);
        }
        Insertion {
            piece: self.name(m),
            turn: turn + 1,
            way,
            blocked_by,
            overlaps: overlaps.into_iter().map(|k| self.name(k)).collect(),
            remedies,
        }
    }

    /// What blocks the direction that the fewest pieces block.
    fn fewest(&self, m: usize, standing: &[usize], directions: &[DVec3]) -> Vec<usize> {
        let mut best: Option<Vec<usize>> = None;
        for &d in directions {
            let most = best.as_ref().map_or(usize::MAX, Vec::len);
            let here: Vec<usize> = standing
                .iter()
                .copied()
                .filter(|&s| self.runs_into(m, s, self.out(d), Trim::None))
                .take(most)
                .collect();
            if here.len() < most {
                best = Some(here);
            }
        }
        best.unwrap_or_default()
    }

    fn remedies(&self, turn: usize, standing: &[usize], directions: &[DVec3]) -> Vec<Remedy> {
        let m = self.order[turn];
        let mut out = Vec::new();
        let plays = PLAYS.map(|p| p * self.shape.design.limits.fit);
        let play = plays.into_iter().filter(|p| *p > 0.0);
        let found = play.filter_map(|p| self.way(m, standing, directions, Trim::Play(p)).map(|way| (p, way))).next();
        out.extend(found.map(|(play, way)| Remedy::Play { play, way }));
        out.extend(self.earlier(turn, directions));
        out.extend(self.simpler(m, standing, directions));
        if out.is_empty() {
            out.push(Remedy::TwoParts);
        }
        out
    }

    fn earlier(&self, turn: usize, directions: &[DVec3]) -> Option<Remedy> {
        let m = self.order[turn];
        // After all that it is cut to.
        let hosts = self.bodies[m].hosts.iter().flatten();
        let first = hosts
            .filter_map(|&h| self.order.iter().position(|&k| self.bodies[k].tube == h))
            .filter(|&p| p < turn)
            .max()
            .map_or(0, |p| p + 1);
        let at = |p: usize| self.way(m, &self.before(p, m).0, directions, Trim::None);
        if first < turn
            && let Some(mut way) = at(first)
        {
            // The fewer stand the freer it is: the latest place by halves.
            let (mut lo, mut hi) = (first, turn);
            while hi - lo > 1 {
                let mid = (lo + hi) / 2;
                match at(mid) {
                    Some(w) => (lo, way) = (mid, w),
                    None => hi = mid,
                }
            }
            let blocks = (lo..turn)
                .filter(|&p| {
                    let other = self.order[p];
                    let (mut standing, _) = self.before(p, other);
                    let list = direction::candidates(&self.bodies[other]);
                    // Blocked by this piece, not by what stood before.
                    self.way(other, &standing, &list, Trim::None).is_some() && {
                        standing.push(m);
                        self.way(other, &standing, &list, Trim::None).is_none()
                    }
                })
                .map(|p| self.name(self.order[p]))
                .collect();
            return Some(Remedy::Earlier { before: self.name(self.order[lo]), way, blocks });
        }
        None
    }

    fn simpler(&self, m: usize, standing: &[usize], directions: &[DVec3]) -> Option<Remedy> {
        for end in End::BOTH {
            let profile = &self.cutting.pieces[m].end(end).profile;
            let tube = &self.shape.tubes[self.bodies[m].tube];
            let mut list = directions.to_vec();
            // Straight out along the tube, which a full cope hides from the cone.
            let out = tube.outward(end).t;
            list.extend([out, -out]);
            let other = if end == End::Start { End::End } else { End::Start };
            list.extend(self.bodies[m].touches[other as usize].iter().map(|t| t.normal));
            if let Some(way) = self.way(m, standing, &list, Trim::Bare(end)) {
                return Some(Remedy::SimplerEnd { end, gap: profile.long - profile.short, way });
            }
        }
        None
    }
}
