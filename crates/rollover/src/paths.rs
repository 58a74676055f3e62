//! The ways from the wheels to where it rests.

use geometry::DVec3;

use crate::answer::{Attitude, Names};
use crate::facet::Faces;
use crate::trip::trip;
use crate::{GRAVITY, Settings};

/// The way that it goes over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// To its left.
    Left,
    /// To its right.
    Right,
    /// Over its nose.
    Nose,
    /// Over its tail.
    Tail,
}

/// From one attitude to the next.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Step {
    /// The bodies that it rolls over, two or one.
    pub over: Vec<String>,
    /// Outward normal of the ground where it comes down, in the frame's axes.
    pub normal: DVec3,
    /// Number of the attitude in which it rests there; none where it goes on.
    pub attitude: Option<usize>,
    /// Height of the centre of gravity there, m.
    pub height: f64,
    /// Energy to get there from the attitude or face before: none where it falls, J.
    pub needed: f64,
    /// Energy set free after the crest, J.
    pub released: f64,
}

/// A way over one edge of the attitude that it starts in.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Path {
    /// Which way.
    pub side: Side,
    /// Number of the attitude that it starts in.
    pub from: usize,
    /// Bodies that it tips over.
    pub over: Vec<String>,
    /// Attitude by attitude; faces that are only chords across round places are passed without a step.
    pub steps: Vec<Step>,
    /// The attitude in which it rests.
    pub rests: usize,
}

/// The way in which an edge with an outward direction lies.
pub(crate) fn side(outward: DVec3, s: &Settings) -> Side {
    let down = s.down.normalize_or_zero();
    let left = s.forward.cross(down).normalize_or_zero();
    let forward = down.cross(left);
    let (x, y) = (outward.dot(forward), outward.dot(left));
    match (x.abs() > y.abs(), x > 0.0, y > 0.0) {
        (true, true, _) => Side::Nose,
        (true, false, _) => Side::Tail,
        (false, _, true) => Side::Left,
        (false, _, false) => Side::Right,
    }
}

/// The attitude whose ground is nearest to down.
pub(crate) fn standing(list: &[Attitude], s: &Settings) -> Option<usize> {
    let down = s.down.normalize_or_zero();
    (0..list.len()).max_by(|a, b| list[*a].normal.dot(down).total_cmp(&list[*b].normal.dot(down)))
}

/// Paths over every edge of the attitude whose ground is nearest to down; none if it stands on round places.
pub(crate) fn paths(faces: &Faces, of: &[Option<usize>], list: &[Attitude], names: &Names, s: &Settings) -> Vec<Path> {
    let Some(from) = standing(list, s) else { return Vec::new() };
    let Some(start) =
        (0..faces.faces.len()).find(|&i| faces.faces[i].flat && of[i] == Some(from) && faces.sink[i] == i as u32)
    else {
        return Vec::new();
    };
    let mut out = Vec::new();
    for k in 0..faces.faces[start].corners.len() {
        let (a, b) = faces.edge(start as u32, k);
        let outward = (faces.at(b) - faces.at(a)).cross(faces.faces[start].normal);
        let over = names.of_points(faces, &[a, b]);
        let path = path(faces, of, list, names, s, start as u32, k);
        let rests = path.last().and_then(|p| p.attitude).unwrap_or(from);
        out.push(Path { side: side(outward, s), from, over, steps: path, rests });
    }
    out.sort_by_key(|p| p.side);
    out
}

fn path(
    faces: &Faces,
    of: &[Option<usize>],
    list: &[Attitude],
    names: &Names,
    s: &Settings,
    start: u32,
    k: usize,
) -> Vec<Step> {
    let weight = s.mass * GRAVITY;
    let landings = trip(faces, start, k);
    let mut out = Vec::new();
    let mut from = faces.faces[start as usize].height;
    let mut crest: f64 = from;
    let mut over = None;
    for (i, l) in landings.iter().enumerate() {
        let f = &faces.faces[l.face as usize];
        crest = crest.max(l.crest);
        let (a, b) = faces.edge(l.from, l.edge);
        over.get_or_insert([a, b]);
        let last = i + 1 == landings.len();
        if !f.flat && !last {
            continue;
        }
        let attitude = last.then(|| of[l.face as usize]).flatten();
        let rest = attitude.map(|a| &list[a]);
        let height = rest.map_or(f.height, |r| r.height);
        out.push(Step {
            over: over.map_or(Vec::new(), |o| names.of_points(faces, &o)),
            normal: rest.map_or(f.normal, |r| r.normal),
            attitude,
            height,
            needed: weight * (crest - from).max(0.0),
            released: weight * (crest - height).max(0.0),
        });
        (from, crest, over) = (height, height, None);
    }
    out
}
