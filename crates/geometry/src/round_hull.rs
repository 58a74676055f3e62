//! The convex hull of round pieces: a polyhedron inside it whose flat faces are those of the true hull to the last
//! digits, and whose chords across round places stray from it by a known gap.

mod between;
mod level;

pub use level::Level;

use crate::hull::Triangle;
use crate::{DVec3, Hull, HullError, Round, touch};
use std::collections::HashMap;

/// Two heights within this part of the size are the same: a hundred times the rounding of a support function.
pub const TOUCH: f64 = 1e-11;

/// A piece that a triangle does not lie between may stand out by this many times less than the gap.
const STRANGER: f64 = 100.0;

/// Rounds of looking for touching planes: each finds what the last one's exact places brought to light.
const ROUNDS: usize = 12;

/// The hull with what each of its points belongs to.
#[derive(Clone, Debug)]
pub struct RoundHull {
    /// The polyhedron.
    pub hull: Hull,
    /// The piece that each of its points lies on.
    pub piece: Vec<u32>,
    /// The pieces that may reach the surface somewhere, with their numbers.
    pub active: Vec<(u32, Round)>,
    /// Length that the tolerances are parts of.
    pub size: f64,
    /// Attitudes in which the height of `from` is level, beside the flat faces.
    pub levels: Vec<Level>,
}

/// Finds how far a set of pieces reaches.
struct Reach<'a> {
    pieces: &'a [Round],
    /// Balls that hold those that count, with their numbers.
    balls: Vec<(DVec3, f64, u32)>,
}

impl Reach<'_> {
    fn farthest(&self, u: DVec3, from: [u32; 3]) -> (f64, u32) {
        let mut best = (f64::NEG_INFINITY, 0);
        for i in from {
            let h = self.pieces[i as usize].reach(u);
            if h > best.0 {
                best = (h, i);
            }
        }
        for &(centre, r, i) in &self.balls {
            if centre.dot(u) + r > best.0 {
                let h = self.pieces[i as usize].reach(u);
                if h > best.0 {
                    best = (h, i);
                }
            }
        }
        best
    }
}

/// The first look is this many times coarser than the last.
const COARSE: f64 = 16.0;

/// A touching plane that was found: its normal and offset.
type Plane = (DVec3, f64);

/// What the search for touching planes has found.
#[derive(Default)]
struct Found {
    planes: Vec<Plane>,
    /// The places that they touch.
    exact: Places,
    /// The directions that were looked at, by the pieces that they touch.
    seen: HashMap<[u32; 3], Vec<DVec3>>,
    levels: Vec<Level>,
}

impl RoundHull {
    /// The hull of pieces; chords stray by at most `gap`. With `from`, the places touched where the height of `from`
    /// over a rolling body is level are found exactly too.
    pub fn new(pieces: &[Round], gap: f64, from: Option<DVec3>) -> Result<RoundHull, HullError> {
        if let Some(point) = pieces.iter().position(|p| {
            let (c, r) = p.bounds();
            let usable = c.is_finite() && c.abs().max_element() + r < crate::hull::FARTHEST;
            !usable
        }) {
            return Err(HullError::NotFinite { point });
        }
        let reach = Reach { pieces, balls: boxed(pieces) };
        if pieces.iter().all(|p| p.bounds().1 == 0.0) {
            let hull = Hull::new(pieces.iter().map(|p| p.bounds().0).collect())?;
            let size = hull.size();
            let mut on = vec![false; pieces.len()];
            hull.alive().for_each(|(_, t)| t.points.iter().for_each(|p| on[*p as usize] = true));
            let active = pieces.iter().enumerate().filter(|(i, _)| on[*i]).map(|(i, p)| (i as u32, *p)).collect();
            return Ok(RoundHull { hull, piece: (0..pieces.len() as u32).collect(), active, size, levels: Vec::new() });
        }
        let Seeds { points, piece, curves, level } = seeds(&reach, gap);
        let mut work = RoundHull { hull: Hull::new(points)?, piece, active: Vec::new(), size: 0.0, levels: Vec::new() };
        let curves: Vec<(DVec3, u32)> = (0..curves).map(|i| (work.hull.points[i], work.piece[i])).collect();
        work.size = work.hull.size();
        // Coarsely first: most pieces lie well inside, and then need no more looking at.
        let mut reach = Reach { balls: work.outer(&reach.balls), ..reach };
        work.refine(&reach, COARSE * gap);
        reach.balls = work.outer(&reach.balls);
        work.refine(&reach, gap);
        let mut found = Found::default();
        for (side, piece) in level {
            work.accept(&reach, gap, side, &[piece], &mut found);
        }
        if let Some(from) = from {
            level::on_one(&work, &reach, gap, from, &mut found);
        }
        // Exact places are put onto the hull as they are found; once nothing more comes to light it is made anew from
        // them, without the samples that crowd them, and looked at once more.
        let (mut clean, mut put, mut next, mut kept) = (false, 0, 0, 0);
        for _ in 0..ROUNDS {
            let (looked, planes) = (work.hull.triangles.len(), found.planes.len());
            work.touching(&reach, gap, next, &mut found);
            if let Some(from) = from {
                level::on_two(&work, &reach, gap, from, next, &mut found);
            }
            if found.exact.points.len() > put {
                while let Some(at) = found.exact.points.get(put) {
                    work.put(*at, found.exact.piece[put]);
                    put += 1;
                }
                (clean, next) = (false, looked);
            } else if clean && !work.crowded(&reach, gap, &found.planes[planes..], kept) {
                break;
            } else {
                kept = work.rebuild(&reach, gap, &found, &curves)?;
                (clean, next) = (true, 0);
            }
        }
        if !clean {
            work.rebuild(&reach, gap, &found, &curves)?;
        }
        work.active = reach.balls.iter().map(|b| (b.2, pieces[b.2 as usize])).collect();
        work.levels = found.levels;
        Ok(work)
    }

    /// How far the hull reaches in a direction, exactly.
    pub fn reach(&self, u: DVec3) -> f64 {
        self.active.iter().map(|(_, p)| p.reach(u)).fold(f64::NEG_INFINITY, f64::max)
    }

    fn pieces_of(&self, t: u32) -> [u32; 3] {
        self.hull.triangles[t as usize].points.map(|p| self.piece[p as usize])
    }

    /// Pieces that are not wholly inside.
    fn outer(&self, balls: &[(DVec3, f64, u32)]) -> Vec<(DVec3, f64, u32)> {
        let planes: Vec<Plane> = self.hull.alive().map(|(_, t)| (t.normal, t.offset)).collect();
        // A ball inside that touches the hull tells of most pieces at once that they lie inside.
        let points = &self.hull.points;
        let middle = points.iter().sum::<DVec3>() / points.len() as f64;
        let room = planes.iter().map(|(n, d)| d - n.dot(middle)).fold(f64::INFINITY, f64::min);
        let sticks_out =
            |c: DVec3, r: f64| c.distance(middle) + r >= room && planes.iter().any(|(n, d)| n.dot(c) + r >= *d);
        balls.iter().filter(|(c, r, _)| sticks_out(*c, *r)).copied().collect()
    }

    /// Adds the farthest place beyond each triangle until none is farther than the gap.
    fn refine(&mut self, reach: &Reach, gap: f64) {
        let mut i = 0;
        while i < self.hull.triangles.len() {
            let t = &self.hull.triangles[i];
            if t.alive && t.normal != DVec3::ZERO {
                let (u, offset) = (t.normal, t.offset);
                let own = self.pieces_of(i as u32);
                let (h, p) = reach.farthest(u, own);
                // What is touched must be seen, however little it stands out beyond what the triangle lies between.
                let beyond = if own.contains(&p) {
                    0.0
                } else {
                    h - own.map(|o| reach.pieces[o as usize].reach(u)).into_iter().fold(f64::NEG_INFINITY, f64::max)
                };
                let over = beyond * STRANGER;
                if over.max(h - offset) > gap && self.hull.insert(reach.pieces[p as usize].place(u), i as u32).is_some()
                {
                    self.piece.push(p);
                }
            }
            i += 1;
        }
    }

    /// Triangles from a number on.
    fn newer(&self, from: usize) -> impl Iterator<Item = (u32, &Triangle)> {
        (from..)
            .zip(self.hull.triangles.get(from..).unwrap_or_default())
            .filter(|t| t.1.alive)
            .map(|(i, t)| (i as u32, t))
    }

    /// Puts a place of a piece onto the hull, unless it lies inside.
    fn put(&mut self, at: DVec3, piece: u32) {
        if let Some(near) = self.hull.seen_from(at)
            && self.hull.insert(at, near).is_some()
        {
            self.piece.push(piece);
        }
    }

    /// Planes that touch three pieces, from the triangles between three.
    fn touching(&self, reach: &Reach, gap: f64, newest: usize, found: &mut Found) {
        for (i, t) in self.newer(newest) {
            let of = self.pieces_of(i);
            let mut key = of;
            key.sort_unstable();
            if key[0] == key[1] || key[1] == key[2] {
                continue;
            }
            let there = |k: &DVec3| (*k - t.normal).length() < SAME_NORMAL;
            if found.seen.get(&key).is_some_and(|known| known.iter().any(there)) {
                continue;
            }
            let Some(u) = touch::three(of.map(|p| &reach.pieces[p as usize]), t.normal) else { continue };
            let known = found.seen.entry(key).or_default();
            if known.iter().any(|k| (*k - u).length() < SAME_NORMAL) {
                continue;
            }
            known.push(u);
            self.accept(reach, gap, u, &of, found);
        }
    }

    /// Takes a plane if nothing reaches beyond it, with all that it touches; says whether it did.
    fn accept(&self, reach: &Reach, gap: f64, u: DVec3, of: &[u32], found: &mut Found) -> bool {
        let offset = reach.pieces[of[0] as usize].reach(u);
        let limit = TOUCH * self.size;
        let all_touch = of.iter().all(|p| (reach.pieces[*p as usize].reach(u) - offset).abs() <= limit);
        if !all_touch {
            return false;
        }
        let (farthest, beyond) = reach.farthest(u, [of[0]; 3]);
        if farthest > offset + limit {
            // It stands out by less than the gap, but it is what is touched.
            if farthest <= offset + gap {
                found.exact.add((reach.pieces[beyond as usize].place(u), beyond), crate::SAME_PLACE);
            }
            return false;
        }
        found.planes.push((u, offset));
        for &(c, r, i) in &reach.balls {
            if c.dot(u) + r > offset - limit && (reach.pieces[i as usize].reach(u) - offset).abs() <= limit {
                found.exact.add((reach.pieces[i as usize].place(u), i), crate::SAME_PLACE);
            }
        }
        true
    }

    /// Tells which samples of a piece lie just under one of the planes that it touches, by more than `least`.
    fn crowds(&self, reach: &Reach, gap: f64, planes: &[Plane], least: f64) -> impl Fn(u32, DVec3) -> bool + use<> {
        let (near, same) = (gap / 10.0, SAME_PART * self.size);
        let mut touched: Vec<Vec<Plane>> = vec![Vec::new(); reach.pieces.len()];
        for &(u, d) in planes {
            for &(c, r, i) in &reach.balls {
                if c.dot(u) + r >= d - same && (reach.pieces[i as usize].reach(u) - d).abs() <= same {
                    touched[i as usize].push((u, d));
                }
            }
        }
        move |piece, p| {
            touched[piece as usize].iter().any(|(u, d)| {
                let under = d - u.dot(p);
                under > least && under < near
            })
        }
    }

    /// Whether a sample of the hull crowds one of the planes. Its first `kept` points would be there anyhow.
    fn crowded(&self, reach: &Reach, gap: f64, planes: &[Plane], kept: usize) -> bool {
        // One that lies in the plane can't be told from an exact place here.
        let crowds = self.crowds(reach, gap, planes, SAME_PART * self.size);
        let point = |p: u32| {
            let p = p as usize;
            p >= kept && crowds(self.piece[p], self.hull.points[p])
        };
        !planes.is_empty() && self.hull.alive().any(|(_, t)| t.points.into_iter().any(point))
    }

    /// Builds it anew from the exact places, and those samples that do not crowd them. Says how many are no samples: they
    /// come first.
    fn rebuild(&mut self, reach: &Reach, gap: f64, found: &Found, curves: &[(DVec3, u32)]) -> Result<usize, HullError> {
        // Exact places, and those of curves that lie in a plane, come back by themselves.
        let crowds = self.crowds(reach, gap, &found.planes, f64::NEG_INFINITY);
        let mut used = vec![false; self.hull.points.len()];
        self.hull.alive().for_each(|(_, t)| t.points.iter().for_each(|p| used[*p as usize] = true));
        let mut places = found.exact.clone();
        for e in curves {
            let sharp = matches!(reach.pieces[e.1 as usize], Round::Ring { r: 0.0, .. });
            places.add(*e, if sharp { ON_RIM * self.size } else { crate::SAME_PLACE });
        }
        let kept = places.points.len();
        for (i, p) in self.hull.points.iter().enumerate() {
            let of = self.piece[i];
            if used[i] && !crowds(of, *p) {
                places.add((*p, of), gap);
            }
        }
        let (points, piece) = (places.points, places.piece);
        self.hull.renew(points)?;
        self.piece = piece;
        Ok(kept)
    }
}

/// Places on pieces, none too near another on the same piece.
#[derive(Clone, Default)]
struct Places {
    points: Vec<DVec3>,
    piece: Vec<u32>,
    on: Vec<Vec<DVec3>>,
}

impl Places {
    fn add(&mut self, (p, piece): (DVec3, u32), apart: f64) {
        if self.on.len() <= piece as usize {
            self.on.resize(piece as usize + 1, Vec::new());
        }
        let on = &mut self.on[piece as usize];
        if on.iter().all(|q| q.distance_squared(p) > apart * apart) {
            on.push(p);
            self.points.push(p);
            self.piece.push(piece);
        }
    }
}

/// Normals nearer than this (rad) are one plane found twice.
const SAME_NORMAL: f64 = 1e-9;

/// A sample of a sharp rim nearer than this part of the size to an exact place on it would lie in the exact place's plane
/// to within [`SAME_PART`] (the square root of it), and be taken for what is touched. The exact place lies on the rim too.
pub const ON_RIM: f64 = 1e-5;

/// Points within this part of the size of a plane lie on it.
pub const SAME_PART: f64 = 1e-10;

/// Those that do not lie between others of their kind.
fn boxed(pieces: &[Round]) -> Vec<(DVec3, f64, u32)> {
    let between = between::between(pieces);
    let held = |(i, p): (usize, &Round)| {
        let (c, r) = p.bounds();
        (c, r, i as u32)
    };
    pieces.iter().enumerate().filter(|(i, _)| !between[*i]).map(held).collect()
}

struct Seeds {
    points: Vec<DVec3>,
    piece: Vec<u32>,
    /// How many of them belong to curves; they stand first.
    curves: usize,
    /// Directions in which a curve lies flat on the surface, with its piece.
    level: Vec<(DVec3, u32)>,
}

/// The curves along which discs and bends lie flat on the surface, and the farthest places in 98 directions.
fn seeds(reach: &Reach, gap: f64) -> Seeds {
    let mut ways = Vec::new();
    let any = reach.balls.first().map_or(0, |b| b.2);
    for x in -2i32..=2 {
        for y in -2i32..=2 {
            for z in -2i32..=2 {
                if x.abs().max(y.abs()).max(z.abs()) == 2 {
                    let u = DVec3::new(f64::from(x), f64::from(y), f64::from(z)).normalize();
                    let (_, p) = reach.farthest(u, [any; 3]);
                    ways.push((reach.pieces[p as usize].place(u), p));
                }
            }
        }
    }
    let first = ways.first().map_or(DVec3::ZERO, |w| w.0);
    let (lo, hi) = ways.iter().fold((first, first), |(l, h), p| (l.min(p.0), h.max(p.0)));
    let limit = TOUCH * (hi - lo).max_element();
    let (mut places, mut level) = (Places::default(), Vec::new());
    for &(_, _, i) in &reach.balls {
        let p = &reach.pieces[i as usize];
        let Some(axis) = p.flat() else { continue };
        for side in [axis, -axis] {
            let own = p.reach(side);
            // Most lie well inside: the places of the first look tell that soonest.
            let inside = || ways.iter().any(|w| w.0.dot(side) > own + limit);
            if own.is_finite() && !inside() && reach.farthest(side, [i; 3]).0 <= own + limit {
                p.curve(side, gap).into_iter().for_each(|q| places.add((q, i), crate::SAME_PLACE));
                level.push((side, i));
            }
        }
    }
    let curves = places.points.len();
    ways.into_iter().for_each(|w| places.add(w, gap));
    Seeds { points: places.points, piece: places.piece, curves, level }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ball_and_a_post_touch_their_common_planes() {
        let p = DVec3::new;
        let pieces = vec![
            Round::Ball { centre: p(0., 0., 0.), r: 0.3 },
            Round::Ball { centre: p(1., 0., 0.), r: 0.2 },
            Round::Ball { centre: p(0., 1., 0.), r: 0.1 },
            Round::Ring { centre: p(0.5, 0.5, 1.), axis: DVec3::Z, big: 0.05, r: 0. },
        ];
        let round = RoundHull::new(&pieces, 1e-3, None).unwrap();
        let mut flat = 0;
        for (i, t) in round.hull.alive() {
            let over = round.reach(t.normal) - t.offset;
            assert!(over > -1e-12 && over < 1.2e-3, "{over}");
            let [a, b, c] = round.pieces_of(i);
            if a != b && b != c && a != c && over < 1e-12 {
                flat += 1;
            }
        }
        // Every three of the four bodies have a common plane on the hull; under the balls and to three sides.
        assert_eq!(flat, 4);
    }
}
