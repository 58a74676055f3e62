//! Where a round place comes to rest: the exact attitude below a chord's face.

use geometry::{DVec3, Round, touch};
use glam::DQuat;

use crate::facet::Faces;

/// How a body touches the ground at rest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// On three or more places, or along a curve: it does not roll.
    Flat,
    /// On one or two round places, in a trough: pushed a little, it rolls back.
    Rocks,
    /// On one or two round places, and level along the roll: pushed a little, it stays where it is put.
    Rolls,
}

/// The exact attitude: outward normal of the ground, height of the centre of gravity, the pieces touched.
#[derive(Clone, Debug)]
pub(crate) struct Settled {
    pub normal: DVec3,
    pub height: f64,
    pub pieces: Vec<u32>,
    pub kind: Kind,
}

/// Steps of the way down, rad.
const STEP: f64 = 0.02;

/// Steps shorter than this, rad, are no longer a way down.
const SHORTEST: f64 = 1e-8;

/// The roll over which the height's curve is measured, rad.
const CURVE: f64 = 1e-3;

/// A height whose curvature is less than this part of it is level: a hundred times what rounding leaves of a second
/// difference over [`CURVE`].
pub(crate) const LEVEL: f64 = 1e-6;

/// A foot within this part of the size of the line of contact stands over it.
const OVER_LINE: f64 = 1e-9;

/// Follows the height down from a face that is only a chord. `Err` gives a direction where something else is touched.
pub(crate) fn settle(faces: &Faces, all: &[Round], face: u32) -> Result<Settled, DVec3> {
    let f = &faces.faces[face as usize];
    let mut of: Vec<u32> = f.corners.iter().map(|c| faces.round.piece[*c as usize]).collect();
    of.sort_unstable();
    of.dedup();
    let reach = |u: DVec3| faces.round.reach(u) - u.dot(faces.centre);
    // Which of them are truly touched there, farthest first; a chord's face lies between at most two.
    of.sort_by(|a, b| all[*b as usize].reach(f.normal).total_cmp(&all[*a as usize].reach(f.normal)));
    if let [a, b, ..] = of[..]
        && let Some(s) = pair(faces, all, [a.min(b), a.max(b)], f.normal, &reach)?
    {
        return Ok(s);
    }
    single(faces, &all[of[0] as usize], of[0], f.normal, &reach)
}

/// As [`settle`], from an attitude in which one or two pieces are touched already.
pub(crate) fn settle_from(faces: &Faces, all: &[Round], u: DVec3) -> Result<Settled, DVec3> {
    let reach = |u: DVec3| faces.round.reach(u) - u.dot(faces.centre);
    let mut near: Vec<(f64, u32)> = faces.round.active.iter().map(|(i, p)| (p.reach(u), *i)).collect();
    near.sort_by(|a, b| b.0.total_cmp(&a.0));
    if let [(first, a), (second, b), ..] = near[..]
        && first - second < TOUCHED * faces.round.size
        && let Some(s) = pair(faces, all, [a.min(b), a.max(b)], u, &reach)?
    {
        return Ok(s);
    }
    near.first().map_or(Err(u), |&(_, a)| single(faces, &all[a as usize], a, u, &reach))
}

/// At the end of a way down what reaches within this part of the size is touched.
const TOUCHED: f64 = 1e-7;

fn pair(
    faces: &Faces,
    all: &[Round],
    ids: [u32; 2],
    start: DVec3,
    reach: &dyn Fn(DVec3) -> f64,
) -> Result<Option<Settled>, DVec3> {
    let (pieces, c, size) = (ids.map(|i| &all[i as usize]), faces.centre, faces.round.size);
    // Foot of the centre of gravity off the line of contact, and along it (0 to 1); the line's direction.
    let look = |u: DVec3| {
        let [a, b] = pieces.map(|p| p.place(u) - c);
        let d = (b - a).normalize_or_zero();
        (a.dot(d.cross(u)), -a.dot(d) / a.distance(b), d)
    };
    let Some(mut u) = touch::both(pieces, start) else { return Ok(None) };
    let (mut off, _, mut d) = look(u);
    let mut went = 0.0;
    while off.abs() > OVER_LINE * size && went < std::f64::consts::TAU {
        // Rolling about `d` carries the ground's normal towards `d` × u; the foot lies against it.
        let Some(next) = touch::both(pieces, DQuat::from_axis_angle(d, -STEP.copysign(off)) * u) else {
            return Ok(None);
        };
        let (before, after) = (reach(u), reach(next));
        if after >= before {
            break;
        }
        if after > pieces[0].reach(next) - next.dot(c) + 1e-6 * size {
            return Err(next);
        }
        u = next;
        let now = look(u);
        went += STEP;
        if now.0 * off <= 0.0 {
            break;
        }
        (off, _, d) = now;
    }
    if off.abs() > OVER_LINE * size {
        match touch::two(pieces, c, u) {
            Some(v) if (v - u).length() < 4.0 * STEP => u = v,
            _ => return Ok(None),
        }
    }
    let (_, along, d) = look(u);
    if !(0.0..=1.0).contains(&along) {
        return Ok(None);
    }
    let curve = trough(pieces, u, d, c);
    if curve < -LEVEL * reach(u) {
        return Ok(None);
    }
    let kind = if curve > LEVEL * reach(u) { Kind::Rocks } else { Kind::Rolls };
    Ok(Some(Settled { normal: u, height: reach(u), pieces: ids.to_vec(), kind }))
}

/// Second derivative of the height over the angle of a roll on two pieces. Both stay touched: a straight turn would
/// lift one of them by as much as the height changes.
pub(crate) fn trough(pieces: [&Round; 2], u: DVec3, axis: DVec3, centre: DVec3) -> f64 {
    let height = |u: DVec3| pieces[0].reach(u) - u.dot(centre);
    let rolled = |a: f64| touch::both(pieces, DQuat::from_axis_angle(axis, a) * u);
    match (rolled(CURVE), rolled(-CURVE)) {
        // The curve of such planes bends: the angle is the one that it went.
        (Some(p), Some(m)) => (height(p) + height(m) - 2.0 * height(u)) / (0.25 * (p - m).length_squared()),
        _ => 0.0,
    }
}

/// The least second derivative of a height over the angle of roll, and the axis of that roll.
pub(crate) fn least_curved(u: DVec3, height: &dyn Fn(DVec3) -> f64) -> (f64, DVec3) {
    let (e, f) = u.any_orthonormal_pair();
    let along = |axis: DVec3| {
        let at = |a: f64| height(DQuat::from_axis_angle(axis, a) * u);
        (at(CURVE) + at(-CURVE) - 2.0 * at(0.0)) / (CURVE * CURVE)
    };
    let (a, c) = (along(e), along(f));
    let b = along((e + f).normalize()) - (a + c) / 2.0;
    // The lesser of the two eigenvalues of [a b; b c], and its direction.
    let least = (a + c) / 2.0 - ((a - c) / 2.0).hypot(b);
    let turn = 0.5 * (-2.0 * b).atan2(c - a);
    (least, e * turn.cos() + f * turn.sin())
}

/// A hollow between two round places that is not deeper than this, m, is shallow: whether it is there at all is left to how
/// true the parts are. Tubes of 40 mm may be 0.15 mm thinner or thicker (EN 10305-1, from memory).
pub const SHALLOW: f64 = 1e-4;

/// The first step out of a hollow, rad, and by how much each is longer than the one before: a crest between two of them is
/// missed by a few per cent of its height.
const FIRST: f64 = 1e-3;
const LONGER: f64 = 1.25;

/// Whether the hollow that lies on two pieces is shallow: on one side or the other the height falls again before it has
/// risen by [`SHALLOW`].
pub(crate) fn shallow(faces: &Faces, pieces: [&Round; 2], bottom: DVec3) -> bool {
    let reach = |u: DVec3| faces.round.reach(u) - u.dot(faces.centre);
    let low = reach(bottom);
    [-1.0, 1.0].into_iter().any(|side| {
        let (mut u, mut last, mut step, mut went) = (bottom, low, FIRST, 0.0);
        while went < std::f64::consts::TAU {
            let axis = (pieces[1].place(u) - pieces[0].place(u)).normalize_or_zero();
            let Some(next) = touch::both(pieces, DQuat::from_axis_angle(axis, side * step) * u) else { return false };
            let height = reach(next);
            if height > low + SHALLOW {
                return false;
            }
            if height < last {
                return true;
            }
            went += step;
            (u, last, step) = (next, height, step * LONGER);
        }
        true
    })
}

fn single(faces: &Faces, piece: &Round, id: u32, start: DVec3, reach: &dyn Fn(DVec3) -> f64) -> Result<Settled, DVec3> {
    let c = faces.centre;
    let (mut u, mut step) = (start, STEP);
    for _ in 0..1000 {
        let a = piece.place(u) - c;
        let off = a - u * a.dot(u);
        if off.length() < OVER_LINE * faces.round.size || step < SHORTEST {
            break;
        }
        let next = (u - off.normalize() * step.min(off.length() / a.length())).normalize();
        if reach(next) < reach(u) {
            u = next;
        } else {
            step /= 4.0;
        }
    }
    let near = touch::one(piece, c, u).filter(|v| (*v - u).length() < 4.0 * STEP);
    match near {
        Some(v) if reach(v) <= reach(u) + OVER_LINE * faces.round.size => u = v,
        // Not level: it came down on an edge of the piece, or on another.
        _ if step < SHORTEST => return Err(u),
        _ => (),
    }
    if reach(u) > piece.reach(u) - u.dot(c) + OVER_LINE * faces.round.size {
        return Err(u);
    }
    // Of this piece alone: what reaches beyond it close by makes no hollow of a pass.
    let own = |u: DVec3| (piece.place(u) - c).dot(u);
    let (mut least, mut way) = least_curved(u, &own);
    // Further away than the rounding it goes down by turning about the nearest place of the circle.
    let away = reach(u) - piece.rounding();
    if let Some(axis) = piece.flat().and_then(|a| a.cross(u).try_normalize())
        && away > LEVEL * reach(u)
    {
        (least, way) = (-away, axis);
    }
    if least < -LEVEL * reach(u) {
        // A pass: it falls to either side.
        return Err(DQuat::from_axis_angle(way, CURVE) * u);
    }
    let kind = if least > LEVEL * reach(u) { Kind::Rocks } else { Kind::Rolls };
    Ok(Settled { normal: u, height: reach(u), pieces: vec![id], kind })
}
