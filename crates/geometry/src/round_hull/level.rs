//! Where the height of a place over the rolling body is level: its rests on round places, and the passes between rests.

use super::{Found, Reach, RoundHull, SAME_NORMAL};
use crate::{DVec3, Round, touch};

/// A foot within this part of the size of the line of contact stands over it.
const OVER_LINE: f64 = 1e-9;

/// A bracket of a level attitude is narrowed to this angle (rad) before Newton's method takes over.
const BRACKET: f64 = 1e-3;

/// Steps that narrow a bracket, at most: halvings of half a turn down to rounding.
const STEPS: usize = 60;

/// An attitude in which the height is level, though no flat face is touched.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Level {
    /// Outward normal of the ground.
    pub normal: DVec3,
    /// The pieces touched; twice the same if it is one.
    pub pieces: [u32; 2],
}

/// How far the foot of `from` lies to the side of the line between the two places touched, and at which part of it.
fn beside(pair: [&Round; 2], from: DVec3, u: DVec3) -> (f64, f64) {
    let [a, b] = pair.map(|p| p.place(u) - from);
    let d = (b - a).normalize_or_zero();
    (a.dot(d.cross(u)), -a.dot(d) / a.distance(b))
}

/// Level attitudes on two pieces: along the curve of planes that touch both, which the edges of the polyhedron between
/// them follow, the foot of `from` changes sides of the line of contact.
pub(super) fn on_two(work: &RoundHull, reach: &Reach, gap: f64, from: DVec3, newest: usize, found: &mut Found) {
    let level = OVER_LINE * work.size;
    // An edge between two new triangles comes twice, one between an old and a new once: from the new one.
    for (i, t) in work.newer(newest) {
        for k in 0..3 {
            let (j, a, b) = (t.across[k], t.points[k], t.points[(k + 1) % 3]);
            let (pa, pb) = (work.piece[a as usize], work.piece[b as usize]);
            if i < j && j as usize >= newest || pa == pb {
                continue;
            }
            let pair = [&reach.pieces[pa as usize], &reach.pieces[pb as usize]];
            if pair.iter().all(|p| p.bounds().1 == 0.0) {
                // Between two points the height is level where their line is nearest: on the edge or not at all.
                straight(work, reach, gap, from, [i, j], [a, b], found);
                continue;
            }
            let far = &work.hull.triangles[j as usize];
            if !may_be(pair, from, [t.normal, far.normal]) {
                continue;
            }
            let start = |n: DVec3| touch::both(pair, n).map(|u| (u, beside(pair, from, u).0));
            let (Some(lo), Some(hi)) = (start(t.normal), start(far.normal)) else { continue };
            // Level all along: it rolls freely.
            if lo.1 * hi.1 > 0.0 || lo.1.abs().max(hi.1.abs()) < level {
                continue;
            }
            let Some(u) = between(pair, from, lo, hi) else { continue };
            let (_, along) = beside(pair, from, u);
            if (0.0..=1.0).contains(&along) {
                note(work, reach, gap, u, [pa, pb], found);
            }
        }
    }
}

/// Whether the foot may come onto the line of contact between two triangles' normals. The planes that touch both pieces
/// lie as near to the normals as these to each other, or so: it decides only where it is clear.
fn may_be(pair: [&Round; 2], from: DVec3, normals: [DVec3; 2]) -> bool {
    let angle = 2.0 * normals[0].distance(normals[1]);
    let at = normals.map(|u| {
        let [a, b] = pair.map(|p| p.place(u) - from);
        let d = (b - a).normalize_or_zero();
        (a.dot(d.cross(u)), -a.dot(d), a.distance(b), a.length_squared().max(b.length_squared()).sqrt() * angle)
    });
    let [(p, s, l, slack), (q, t, m, more)] = at;
    let apart = |x: f64, y: f64| x > slack && y > more || x < -slack && y < -more;
    !(apart(p, q) || (s < -slack && t < -more) || (s > l + slack && t > m + more))
}

/// The level attitude between two whose feet lie to different sides.
fn between(pair: [&Round; 2], from: DVec3, mut lo: (DVec3, f64), mut hi: (DVec3, f64)) -> Option<DVec3> {
    let mut side = 0;
    for step in 0..STEPS {
        let angle = (hi.0 - lo.0).length();
        if angle < BRACKET {
            let middle = (lo.0 + hi.0).try_normalize()?;
            if let Some(u) = touch::two(pair, from, middle).filter(|u| (*u - middle).length() <= angle) {
                return Some(u);
            }
        }
        if angle < f64::EPSILON {
            break;
        }
        // Regula falsi, halved where it stays on one side, and now and then plain halving.
        let t = if step % 3 == 2 { 0.5 } else { (lo.1 / (lo.1 - hi.1)).clamp(0.01, 0.99) };
        let u = touch::both(pair, lo.0.lerp(hi.0, t).try_normalize()?)?;
        let now = (u, beside(pair, from, u).0);
        if now.1 == 0.0 {
            return Some(u);
        }
        if now.1 * lo.1 > 0.0 {
            lo = now;
            if side == 1 {
                hi.1 /= 2.0;
            }
            side = 1;
        } else {
            hi = now;
            if side == 2 {
                lo.1 /= 2.0;
            }
            side = 2;
        }
    }
    (lo.0 + hi.0).try_normalize()
}

fn straight(
    work: &RoundHull,
    reach: &Reach,
    gap: f64,
    from: DVec3,
    sides: [u32; 2],
    ends: [u32; 2],
    found: &mut Found,
) {
    let [a, b] = ends.map(|p| work.hull.points[p as usize] - from);
    let e = b - a;
    let foot = a - e * (a.dot(e) / e.length_squared());
    let inner = |t: u32, e: DVec3| a.dot(e.cross(work.hull.triangles[t as usize].normal)) >= 0.0;
    if !inner(sides[0], e) || !inner(sides[1], -e) || !(0.0..=1.0).contains(&(-a.dot(e) / e.length_squared())) {
        return;
    }
    if let Some(u) = foot.try_normalize() {
        note(work, reach, gap, u, ends.map(|p| work.piece[p as usize]), found);
    }
}

/// Level attitudes on one piece: under the nearest and the farthest place of its circle, or of a ball's centre.
pub(super) fn on_one(work: &RoundHull, reach: &Reach, gap: f64, from: DVec3, found: &mut Found) {
    for &(centre, _, i) in &reach.balls {
        let places = match reach.pieces[i as usize] {
            Round::Ball { r: 0.0, .. } => continue,
            Round::Ball { .. } => [centre; 2],
            Round::Ring { axis, big, .. } | Round::Arc { axis, big, .. } => {
                let d = centre - from;
                let Some(e) = (d - axis * d.dot(axis)).try_normalize() else { continue };
                [centre + e * big, centre - e * big]
            }
        };
        for u in places.iter().filter_map(|q| (*q - from).try_normalize()).flat_map(|u| [u, -u]) {
            // The place touched must be the one that was meant.
            let at = reach.pieces[i as usize].place(u) - from;
            if at.dot(u) > 0.0 && at.cross(u).length() < OVER_LINE * work.size {
                note(work, reach, gap, u, [i; 2], found);
            }
        }
    }
}

fn note(work: &RoundHull, reach: &Reach, gap: f64, u: DVec3, pieces: [u32; 2], found: &mut Found) {
    let [p, q] = pieces;
    let known = found.seen.entry([p.min(q), p.max(q), u32::MAX]).or_default();
    if known.iter().any(|k| (*k - u).length() < SAME_NORMAL) {
        return;
    }
    known.push(u);
    if work.accept(reach, gap, u, &pieces, found) {
        found.levels.push(Level { normal: u, pieces });
    }
}
