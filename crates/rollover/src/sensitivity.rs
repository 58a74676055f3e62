//! How far the centre of gravity may move before the list of rests changes.

use geometry::{DVec3, Round, touch};

use crate::answer::{Attitude, Names, Sensitivity, Shift};
use crate::facet::Faces;
use crate::level::Levels;

/// Of flat rests, and of hollows on two round places.
pub(crate) fn sensitivity(
    faces: &Faces,
    all: &[Round],
    levels: &Levels,
    list: &[Attitude],
    names: &Names,
) -> Sensitivity {
    let (mut lost, mut gained) = flat(faces, names);
    for h in &levels.hollows {
        // One that the list does not have is no rest of its own.
        let told = list.iter().any(|a| (a.normal - h.normal).length() < crate::answer::SAME_ATTITUDE);
        if let ([p, q], true) = (&h.pieces[..], told) {
            lost.extend(hollow(faces, all, names, h.normal, [*p, *q]));
        }
    }
    let least = lost.iter().chain(&gained).map(|s| s.distance).fold(f64::INFINITY, f64::min);
    hollows_to_be(faces, all, names, least, &mut gained);
    let lost = lost.into_iter().min_by(|a, b| a.distance.total_cmp(&b.distance));
    gained.sort_by(|a, b| a.distance.total_cmp(&b.distance));
    let holds = [lost.as_ref(), gained.first()].into_iter().flatten().map(|x| x.distance).reduce(f64::min);
    Sensitivity { lost, gained, holds }
}

/// Flat rests that may be lost, and flat faces that may become rests.
fn flat(faces: &Faces, names: &Names) -> (Vec<Shift>, Vec<Shift>) {
    let (mut lost, mut gained) = (Vec::new(), Vec::new());
    for (i, f) in faces.faces.iter().enumerate().filter(|(_, f)| f.flat && f.corners.len() > 2) {
        let rest = faces.sink[i] == i as u32;
        let mut best = (f64::INFINITY, DVec3::ZERO);
        for k in 0..f.corners.len() {
            let (p, q) = faces.edge(i as u32, k);
            let (a, b) = (faces.at(p), faces.at(q));
            let (d, way) = if rest {
                (f.margins[k].max(0.0), (b - a).cross(f.normal).normalize_or_zero())
            } else {
                let e = b - a;
                let t = ((f.foot - a).dot(e) / e.length_squared()).clamp(0.0, 1.0);
                let way = a + e * t - f.foot;
                (way.length(), way.normalize_or_zero())
            };
            if d < best.0 {
                best = (d, way);
            }
        }
        let to = if rest { &mut lost } else { &mut gained };
        to.push(Shift {
            distance: best.0,
            direction: best.1,
            normal: f.normal,
            bodies: names.of_points(faces, &f.corners),
        });
    }
    (lost, gained)
}

/// An attitude on two pieces: the line of contact, how far it lies to the side of the foot, and at which part of it the foot stands.
struct On {
    normal: DVec3,
    /// Square to the line of contact, on the ground.
    across: DVec3,
    /// From the one place touched to the other.
    line: DVec3,
    /// How far the line lies from the foot along `across`, m.
    side: f64,
    along: f64,
}

impl On {
    fn new(pieces: [&Round; 2], centre: DVec3, near: DVec3) -> Option<On> {
        let u = touch::both(pieces, near)?;
        let [a, b] = pieces.map(|p| p.place(u) - centre);
        let line = b - a;
        let d = line.try_normalize()?;
        let across = d.cross(u);
        Some(On { normal: u, across, line, side: a.dot(across), along: -a.dot(d) / line.length() })
    }

    /// How the centre of gravity must move for its foot to stand on the line of contact.
    fn shift(&self, side: f64) -> DVec3 {
        let over = self.along - self.along.clamp(0.0, 1.0);
        self.across * side - self.line * over
    }
}

/// How far until a hollow is lost: until its foot leaves the line of contact at an end, or nothing rises any more to
/// one of its sides.
fn hollow(faces: &Faces, all: &[Round], names: &Names, normal: DVec3, of: [u32; 2]) -> Option<Shift> {
    let pieces = of.map(|i| &all[i as usize]);
    let here = On::new(pieces, faces.centre, normal)?;
    let ground = normal.dot(pieces[0].place(normal));
    let on = |c: u32| {
        let level = (faces.at(c).dot(normal) - ground).abs() <= geometry::round_hull::SAME_PART * faces.round.size;
        level && of.contains(&faces.round.piece[c as usize])
    };
    let ends = here.line * if here.along < 0.5 { -here.along } else { 1.0 - here.along };
    let mut best = ends;
    for (i, f) in faces.faces.iter().enumerate() {
        let Some(k) = (0..f.corners.len()).find(|&k| {
            let (p, q) = faces.edge(i as u32, k);
            on(p) && on(q) && faces.round.piece[p as usize] != faces.round.piece[q as usize]
        }) else {
            continue;
        };
        // Out through this face: the steepest that it gets, to where it begins to fall or another piece comes down.
        let mut steepest: Option<On> = None;
        walk(faces, of, f.across[k], i as u32, &mut |normal| {
            let Some(o) = On::new(pieces, faces.centre, normal) else { return false };
            let (first, more) = match &steepest {
                None => (true, true),
                Some(s) => (o.side * s.side > 0.0, o.side.abs() > s.side.abs()),
            };
            if more && first {
                steepest = Some(o);
            }
            first
        });
        if let Some(s) = steepest
            && s.side.abs() < best.length()
        {
            best = s.across * s.side;
        }
    }
    Some(shift(names, best, normal, of))
}

fn shift(names: &Names, way: DVec3, normal: DVec3, of: [u32; 2]) -> Shift {
    let mut bodies = vec![names.of_piece(of[0]).to_owned()];
    if names.of_piece(of[1]) != bodies[0] {
        bodies.push(names.of_piece(of[1]).to_owned());
    }
    Shift { distance: way.length(), direction: way.normalize_or_zero(), normal, bodies }
}

/// Along the faces between two pieces, on from one that was entered from another, as long as `go` says so: its last is the
/// flat face that the strip ends at, or one that another piece has a part in.
fn walk(faces: &Faces, of: [u32; 2], from: u32, first: u32, go: &mut dyn FnMut(DVec3) -> bool) {
    let (mut last, mut at) = (from, first);
    for _ in 0..faces.faces.len() {
        let f = &faces.faces[at as usize];
        if !go(f.normal) || f.flat {
            return;
        }
        let Some(k) = onward(faces, of, at, last) else { return };
        (last, at) = (at, f.across[k]);
    }
}

/// The edge between the two pieces over which a strip goes on.
fn onward(faces: &Faces, of: [u32; 2], at: u32, from: u32) -> Option<usize> {
    let f = &faces.faces[at as usize];
    let mut entered = false;
    (0..f.corners.len()).find(|&k| {
        let back = f.across[k] == from && !std::mem::replace(&mut entered, true);
        let (p, q) = faces.edge(at, k);
        let ends = [p, q].map(|c| faces.round.piece[c as usize]);
        !back && (ends == of || ends == [of[1], of[0]])
    })
}

/// Places along the strips between two pieces where the foot comes nearest to the line of contact without reaching it:
/// moved by as much, the centre of gravity makes a hollow there. Only those nearer than `least` count.
fn hollows_to_be(faces: &Faces, all: &[Round], names: &Names, least: f64, out: &mut Vec<Shift>) {
    for (i, f) in faces.faces.iter().enumerate().filter(|(_, f)| !f.flat && f.corners.len() == 3) {
        let [p, q, r] = [0, 1, 2].map(|k| faces.round.piece[f.corners[k] as usize]);
        let of = if p != q && (r == p || r == q) {
            [p, q]
        } else if p == q && r != p {
            [p, r]
        } else {
            continue;
        };
        let (Some(a), Some(b)) = (all.get(of[0] as usize), all.get(of[1] as usize)) else { continue };
        let joins = |k: &usize| {
            let (p, q) = faces.edge(i as u32, *k);
            faces.round.piece[p as usize] != faces.round.piece[q as usize]
        };
        let mut beside = (0..3).filter(joins).map(|k| faces.faces[f.across[k] as usize].normal);
        let (Some(before), Some(after)) = (beside.next(), beside.next()) else { continue };
        // How far the foot is off at the chord's own normal, which lies about as near to the curve as to the next chords.
        let [p, q] = [a, b].map(|x| x.place(f.normal) - faces.centre);
        let d = (q - p).normalize_or_zero();
        let angle = f.normal.distance(before).max(f.normal.distance(after));
        if p.dot(d.cross(f.normal)).abs() > least + 2.0 * angle * p.length().max(q.length()) {
            continue;
        }
        let on = |n: DVec3| On::new([a, b], faces.centre, n);
        let (Some(x), Some(y), Some(z)) = (on(before), on(f.normal), on(after)) else { continue };
        let mut offer = |way: DVec3, normal: DVec3| {
            if way.length() < least {
                out.push(shift(names, way, normal, of));
            }
        };
        // Nearer here than to either side, and always to the same side.
        let same = x.side * y.side > 0.0 && z.side * y.side > 0.0;
        if same && y.side.abs() <= x.side.abs() && y.side.abs() < z.side.abs() {
            let (s, t) = (-x.normal.distance(y.normal), z.normal.distance(y.normal));
            let side = lowest([(s, x.side.abs()), (0.0, y.side.abs()), (t, z.side.abs())]).copysign(y.side);
            offer(y.shift(side), y.normal);
        }
        // A hollow along the strip whose foot lies beyond the end of the line: it falls off sideways as it is.
        if y.side * z.side < 0.0
            && !(0.0..=1.0).contains(&y.along)
            && crate::settle::trough([a, b], y.normal, y.line.normalize(), faces.centre) > 0.0
        {
            offer(y.shift(0.0), y.normal);
        }
    }
}

/// The least of the parabola through three places, the middle one the lowest; not below zero.
fn lowest([(s, a), (_, b), (t, c)]: [(f64, f64); 3]) -> f64 {
    let (p, q) = ((a - b) / s, (c - b) / t);
    let curve = (q - p) / (t - s);
    let slope = p - curve * s;
    if curve > 0.0 { (b - slope * slope / (4.0 * curve)).max(0.0) } else { b }
}
