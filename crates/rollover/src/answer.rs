//! The answer as plain data.

use geometry::{DVec3, Round, round_hull};
use glam::DQuat;

use crate::crest::crest;
use crate::descend::descend;
use crate::escape::escape;
use crate::facet::{Faces, touched};
use crate::level::Levels;
use crate::paths::{Path, paths};
use crate::sensitivity::sensitivity;
use crate::settle::{self, Kind, Settled, settle, settle_from};
use crate::{GRAVITY, RolloverError, Settings};

/// Everything there is to say. SI units, the frame's axes.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Rollover {
    /// Rest attitudes, the likeliest first.
    pub attitudes: Vec<Attitude>,
    /// Over each edge of the attitude on its wheels: left, right, nose, tail.
    pub paths: Vec<Path>,
    /// Why there are no paths, where there are none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub no_paths: Option<String>,
    /// How far the centre of gravity may be wrong.
    pub sensitivity: Sensitivity,
    /// Size of the hull, m: the longest edge of the box round it.
    pub size: f64,
    /// Flat faces of the hull, and chord faces across its round places.
    pub faces: [usize; 2],
}

/// A body on the ground.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Contact {
    /// Its name.
    pub body: String,
    /// Where it touches, m.
    pub at: Vec<DVec3>,
}

/// One way out of an attitude.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Edge {
    /// The bodies that it tips over, one or two.
    pub over: Vec<String>,
    /// Its ends, m.
    pub ends: [DVec3; 2],
    /// Distance from it to the foot of the centre of gravity, m.
    pub margin: f64,
    /// The least energy that takes it over this edge and on into another attitude, J.
    pub energy: f64,
    /// The attitude that it then rests in; none if it can only come back.
    pub leads_to: Option<usize>,
}

/// An attitude in which it rests.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Attitude {
    /// Outward normal of the ground (down), in the frame's axes.
    pub normal: DVec3,
    /// The shortest rotation that lays this ground level under it, x, y, z, w: a vector of the frame turned by it has z
    /// up. Its direction on the ground is free.
    pub rotation: [f64; 4],
    /// How it rests.
    pub kind: Kind,
    /// Height of the centre of gravity over the ground, m.
    pub height: f64,
    /// Foot of the centre of gravity on the ground, m, in the frame's axes.
    pub foot: DVec3,
    /// What touches.
    pub contacts: Vec<Contact>,
    /// Edges of the support; none where it rests on round places. A curved edge counts once, where it is nearest.
    pub edges: Vec<Edge>,
    /// The least distance of the foot from the support's edge, or from the ends of a line of contact, m: how far the
    /// centre of gravity may move before this is no rest. None on a single place.
    pub margin: Option<f64>,
    /// The direction in which it may move least (unit).
    pub worst: Option<DVec3>,
    /// Whether it lies in a hollow between two round places that is not deeper than [`crate::SHALLOW`].
    pub shallow: bool,
    /// Whether the margin is under the limit, or the body rolls freely, or its hollow is shallow.
    pub marginal: bool,
    /// Share of initial attitudes that lead to it, 0 to 1.
    pub share: f64,
}

/// A move of the centre of gravity.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Shift {
    /// How far, m.
    pub distance: f64,
    /// Which way (unit).
    pub direction: DVec3,
    /// Outward normal of the face that begins or ends to be a rest.
    pub normal: DVec3,
    /// The bodies that touch there.
    pub bodies: Vec<String>,
}

/// How far the centre of gravity may move before the list of rests changes: flat ones, and those on two round places.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Sensitivity {
    /// The first rest to be lost.
    pub lost: Option<Shift>,
    /// Faces and troughs between two round places that are no rests, the nearest to becoming one first.
    pub gained: Vec<Shift>,
    /// The lesser of both, m: nearer than this the list stands. None where there is nothing to be lost or gained.
    pub holds: Option<f64>,
}

/// Who owns which piece.
pub(crate) struct Names<'a> {
    pub owner: &'a [u32],
    pub names: &'a [&'a str],
}

impl Names<'_> {
    pub fn of_piece(&self, piece: u32) -> &str {
        self.owner.get(piece as usize).and_then(|o| self.names.get(*o as usize)).copied().unwrap_or("")
    }

    /// Names of the bodies that points of the hull belong to, each once.
    pub fn of_points(&self, faces: &Faces, points: &[u32]) -> Vec<String> {
        let mut out: Vec<String> = Vec::new();
        for p in points {
            let n = self.of_piece(faces.round.piece[*p as usize]);
            if !out.iter().any(|o| o == n) {
                out.push(n.to_owned());
            }
        }
        out
    }
}

/// Settled attitudes whose ground turns by less than this (rad) are one.
pub(crate) const SAME_ATTITUDE: f64 = 1e-5;

/// A way down that ends this near (rad) to a rest ends in it: it gets that near in steps, the rest is exact.
const ARRIVED: f64 = 1e-3;

pub(crate) fn answer(faces: &Faces, all: &[Round], names: &Names, s: &Settings) -> Result<Rollover, RolloverError> {
    inside(faces, names)?;
    let mut levels = Levels::new(faces, all, s.gap);
    let (mut list, mut of) = rests(faces, all, names, s, &mut levels);
    for (i, f) in faces.faces.iter().enumerate() {
        if let Some(a) = of[faces.sink[i] as usize] {
            list[a].share += f.share;
            of[i] = Some(a);
        }
    }
    let mut order: Vec<usize> = (0..list.len()).collect();
    order.sort_by(|a, b| list[*b].share.total_cmp(&list[*a].share));
    let mut place = vec![0; list.len()];
    order.iter().enumerate().for_each(|(new, old)| place[*old] = new);
    let mut list: Vec<Attitude> = order.iter().map(|i| list[*i].clone()).collect();
    of.iter_mut().for_each(|o| *o = o.map(|a| place[a]));
    levels.renumber(&place);
    for i in 0..faces.faces.len() {
        if let (true, Some(a)) = (faces.faces[i].flat && faces.sink[i] == i as u32, of[i]) {
            list[a].edges = edges(faces, all, (&of, &levels), names, s, i as u32);
        }
    }
    let paths = paths(faces, &of, &list, names, s);
    let flat = faces.faces.iter().filter(|f| f.flat).count();
    Ok(Rollover {
        sensitivity: sensitivity(faces, all, &levels, &list, names),
        no_paths: paths.is_empty().then(|| no_paths(&list, s)),
        paths,
        size: faces.round.size,
        faces: [flat, faces.faces.len() - flat],
        attitudes: list,
    })
}

/// Why there are no paths: the attitude nearest to standing has no edges.
fn no_paths(list: &[Attitude], s: &Settings) -> String {
    let Some(a) = crate::paths::standing(list, s).map(|i| &list[i]) else { return "it rests nowhere".to_owned() };
    let on = a.contacts.iter().map(|c| format!("`{}`", c.body)).collect::<Vec<_>>().join(", ");
    let (how, why) = match a.kind {
        Kind::Flat => ("stands", "its support has no edge to tip over"),
        Kind::Rocks => ("rocks", "round places have no edge to tip over, and pushed a little it rocks back"),
        Kind::Rolls => ("rolls", "round places have no edge to tip over, and it stays wherever it is rolled"),
    };
    format!("nearest to its wheels it {how} on {on}: {why}, so no way over a side, nose or tail is told")
}

fn inside(faces: &Faces, names: &Names) -> Result<(), RolloverError> {
    let worst = faces.faces.iter().min_by(|a, b| a.height.total_cmp(&b.height));
    match worst {
        Some(f) if f.height <= crate::ON_EDGE * faces.round.size => {
            Err(RolloverError::CentreOutside { by: (-f.height).max(0.0), beyond: names.of_points(faces, &f.corners) })
        }
        _ => Ok(()),
    }
}

/// All rests, and the rest of each face that is one.
fn rests(
    faces: &Faces,
    all: &[Round],
    names: &Names,
    s: &Settings,
    levels: &mut Levels,
) -> (Vec<Attitude>, Vec<Option<usize>>) {
    let mut list: Vec<Attitude> = Vec::new();
    let mut of: Vec<Option<usize>> = vec![None; faces.faces.len()];
    let sinks: Vec<u32> = (0..faces.faces.len() as u32).filter(|i| faces.sink[*i as usize] == *i).collect();
    for &i in sinks.iter().filter(|i| faces.faces[**i as usize].flat) {
        of[i as usize] = Some(list.len());
        list.push(flat(faces, all, names, s, i));
    }
    let mut round: Vec<(Settled, usize)> = Vec::new();
    for &i in sinks.iter().filter(|i| !faces.faces[**i as usize].flat) {
        let settled = match settle(faces, all, i) {
            Ok(settled) => settled,
            Err(u) => {
                // Something else is touched on the way down: what lies at the end of it.
                let u = descend(faces, u);
                let flat = (0..faces.faces.len()).filter(|&n| faces.faces[n].flat && faces.sink[n] == n as u32);
                let apart = |n: &usize| (faces.faces[*n].normal - u).length();
                let flat = flat.min_by(|a, b| apart(a).total_cmp(&apart(b))).filter(|n| apart(n) < ARRIVED);
                if let Some(n) = flat {
                    of[i as usize] = of[n];
                    continue;
                }
                settle_from(faces, all, u).unwrap_or_else(|_| {
                    // Nothing is level there: as it stands on its chord.
                    let f = &faces.faces[i as usize];
                    let mut pieces: Vec<u32> = f.corners.iter().map(|c| faces.round.piece[*c as usize]).collect();
                    pieces.sort_unstable();
                    pieces.dedup();
                    Settled { normal: f.normal, height: f.height, pieces, kind: Kind::Rocks }
                })
            }
        };
        let known = round.iter().find(|(k, _)| {
            (k.normal - settled.normal).length() < SAME_ATTITUDE
                || (k.kind == Kind::Rolls && settled.kind == Kind::Rolls && k.pieces == settled.pieces)
        });
        of[i as usize] = Some(known.map_or(list.len(), |k| k.1));
        if known.is_none() {
            round.push((settled.clone(), list.len()));
            list.push(on_round(faces, all, names, s, &settled));
        }
    }
    // Hollows that the chords pass over: no fall over chords ends there.
    for h in 0..levels.hollows.len() {
        let hollow = &levels.hollows[h];
        let same = |k: &Settled| (k.normal - hollow.normal).length() < SAME_ATTITUDE;
        let a = match round.iter().find(|(k, _)| same(k)) {
            Some(&(_, a)) => a,
            None => {
                let a = list.len();
                round.push((hollow.clone(), a));
                list.push(on_round(faces, all, names, s, hollow));
                a
            }
        };
        levels.mark(faces, h, a);
    }
    (list, of)
}

fn bare(normal: DVec3, height: f64, foot: DVec3, kind: Kind) -> Attitude {
    let turn = DQuat::from_rotation_arc(normal, DVec3::NEG_Z);
    Attitude {
        normal,
        rotation: turn.to_array(),
        kind,
        height,
        foot,
        contacts: Vec::new(),
        edges: Vec::new(),
        margin: None,
        worst: None,
        shallow: false,
        marginal: false,
        share: 0.0,
    }
}

fn touch(contacts: &mut Vec<Contact>, body: &str, at: DVec3, same: f64) {
    match contacts.iter_mut().find(|c| c.body == body) {
        Some(c) if c.at.iter().all(|p| p.distance(at) > same) => c.at.push(at),
        Some(_) => (),
        None => contacts.push(Contact { body: body.to_owned(), at: vec![at] }),
    }
}

/// Adds all that a ground touches in one place.
fn beside(contacts: &mut Vec<Contact>, all: &[Round], names: &Names, normal: DVec3, offset: f64, same: f64) {
    for (p, piece) in all.iter().enumerate() {
        let level = piece.flat().is_some_and(|x| x.cross(normal).length() < geometry::PARALLEL);
        if !level && (piece.reach(normal) - offset).abs() <= same {
            touch(contacts, names.of_piece(p as u32), piece.place(normal), same);
        }
    }
}

fn flat(faces: &Faces, all: &[Round], names: &Names, s: &Settings, i: u32) -> Attitude {
    let f = &faces.faces[i as usize];
    let mut a = bare(f.normal, f.height, f.foot, Kind::Flat);
    let same = round_hull::SAME_PART * faces.round.size;
    for &c in &f.corners {
        let at = touched(&faces.round, all, f.normal, c);
        touch(&mut a.contacts, names.of_piece(faces.round.piece[c as usize]), at, same);
    }
    beside(&mut a.contacts, all, names, f.normal, f.normal.dot(f.foot), same);
    let least = (0..f.margins.len()).min_by(|a, b| f.margins[*a].total_cmp(&f.margins[*b]));
    if let Some(k) = least {
        let (p, q) = faces.edge(i, k);
        a.margin = Some(f.margins[k]);
        a.worst = Some((faces.at(q) - faces.at(p)).cross(f.normal).normalize_or_zero());
        a.marginal = f.margins[k] < s.marginal;
    }
    a
}

fn on_round(faces: &Faces, all: &[Round], names: &Names, s: &Settings, settled: &Settled) -> Attitude {
    let foot = faces.centre + settled.normal * settled.height;
    let mut a = bare(settled.normal, settled.height, foot, settled.kind);
    let places: Vec<DVec3> = settled.pieces.iter().map(|p| all[*p as usize].place(settled.normal)).collect();
    let same = round_hull::SAME_PART * faces.round.size;
    for (p, at) in settled.pieces.iter().zip(&places) {
        touch(&mut a.contacts, names.of_piece(*p), *at, same);
    }
    // What lies in line between them is touched too.
    beside(&mut a.contacts, all, names, settled.normal, settled.normal.dot(foot), same);
    if let [p, q] = places[..] {
        let end = if p.distance(foot) < q.distance(foot) { p } else { q };
        a.margin = Some(end.distance(foot));
        a.worst = (end - foot).try_normalize();
    }
    if let (Kind::Rocks, [p, q]) = (settled.kind, &settled.pieces[..]) {
        a.shallow = settle::shallow(faces, [&all[*p as usize], &all[*q as usize]], settled.normal);
    }
    a.marginal = settled.kind == Kind::Rolls || a.shallow || a.margin.is_some_and(|m| m < s.marginal);
    a
}

fn edges(
    faces: &Faces,
    all: &[Round],
    (of, levels): (&[Option<usize>], &Levels),
    names: &Names,
    s: &Settings,
    i: u32,
) -> Vec<Edge> {
    let f = &faces.faces[i as usize];
    let way_out = escape(faces, levels, of, i);
    let mut out: Vec<(Option<u32>, Edge)> = Vec::new();
    for k in 0..f.corners.len() {
        let (p, q) = faces.edge(i, k);
        if f.margins[k] == f64::INFINITY {
            continue;
        }
        let (a, b) = (faces.round.piece[p as usize], faces.round.piece[q as usize]);
        let level = || all[a as usize].flat().is_some_and(|x| x.cross(f.normal).length() < geometry::PARALLEL);
        let curve = (a == b && level()).then_some(a);
        let known = curve.and_then(|_| out.iter().position(|o| o.0 == curve));
        if known.is_some_and(|n| out[n].1.margin <= f.margins[k]) {
            continue;
        }
        let (over, beyond) = crest(faces, all, levels, i, k);
        let falls = levels.hollow_at(beyond).or(of[beyond as usize]).filter(|a| Some(*a) != of[i as usize]);
        let (crest, leads_to) = match way_out {
            Some((c, to)) => (c.max(over), falls.or(Some(to))),
            None => (over, falls),
        };
        let edge = Edge {
            over: names.of_points(faces, &[p, q]),
            ends: [faces.at(p), faces.at(q)],
            margin: f.margins[k],
            energy: s.mass * GRAVITY * (crest - f.height),
            leads_to,
        };
        match known {
            Some(n) => out[n].1 = edge,
            None => out.push((curve, edge)),
        }
    }
    out.into_iter().map(|o| o.1).collect()
}
