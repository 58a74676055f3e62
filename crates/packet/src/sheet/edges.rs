//! The lines of a frame as a draughtsman draws them: the sides of tubes, the rims of their cuts, plates, wheels,
//! people.

use std::f64::consts::TAU;

use geometry::convex::Core;
use geometry::{Convex, DVec3, Frame, Outline, Segment};
use glam::DVec2;
use review::Review;
use shape::Tube;
use shape::bodies::{Body, BodyKind};

use super::hidden::{limit, within};

/// What a line belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of {
    /// A side of a tube, by its index: where its surface turns away from the eye.
    Side(usize),
    /// An edge within a tube's outline: the rim of a cut, a corner of a box.
    Rim(usize),
    /// A plate, by its index.
    Plate(usize),
    /// Something that is not frame.
    Body,
}

/// A line in space.
pub struct Edge {
    /// Joined points, m.
    pub points: Vec<DVec3>,
    /// What it is of.
    pub of: Of,
}

/// Steps in which a bend's sides are drawn, rad.
const STEP: f64 = 0.05;
/// Points of a rim, about.
const RIM: usize = 60;

/// All lines of tubes and plates, seen along `-eye`.
pub fn frame(r: &Review, eye: DVec3) -> Vec<Edge> {
    let mut out = Vec::new();
    for (i, t) in r.shape.tubes.iter().enumerate() {
        let piece = r.cutting.pieces.iter().find(|p| p.tube == i);
        let cuts = [0, 1].map(|k| piece.map(|p| &p.ends[k].profile).filter(|c| !c.open));
        sides(&mut out, t, i, cuts, eye);
        for (k, cut) in cuts.into_iter().enumerate() {
            out.push(Edge { points: rim(t, k, cut), of: Of::Rim(i) });
        }
    }
    for (i, p) in r.shape.plates.iter().enumerate() {
        let face = if eye.dot(p.frame.t) > 0.0 { p.faces.1 } else { p.faces.0 };
        let mut line = |points: Vec<DVec3>| out.push(Edge { points, of: Of::Plate(i) });
        line(p.corners.iter().chain(p.corners.first()).map(|c| p.place(*c, face)).collect());
        for (c, d) in &p.holes {
            line(circle(24).map(|q| p.place(*c + q * (d / 2.0), face)).collect());
        }
    }
    out
}

fn circle(n: usize) -> impl Iterator<Item = DVec2> {
    (0..=n).map(move |k| DVec2::from_angle(k as f64 * TAU / n as f64))
}

fn forward(t: &Tube, end: usize) -> Frame {
    if end == 0 { t.frames[0] } else { t.frames[t.frames.len() - 1] }
}

/// Sine of the angle to the sight under which a tube is taken as seen end on.
const END_ON: f64 = 0.02;

/// A cross-section's outline.
fn ring(f: &Frame, outline: &Outline) -> Vec<DVec3> {
    let around = outline.perimeter();
    (0..=RIM).map(|k| f.place(outline.point(outline.station(around * k as f64 / RIM as f64)))).collect()
}

/// The outside rim of an end.
fn rim(t: &Tube, end: usize, cut: Option<&cutting::Profile>) -> Vec<DVec3> {
    let f = forward(t, end);
    let sign = if end == 0 { -1.0 } else { 1.0 };
    let at = |round: f64, over: f64| f.place(t.outline.point(t.outline.station(round))) + f.t * (sign * over);
    match cut {
        Some(c) => {
            let every = (c.fibres.len() / RIM).max(1);
            let mut points: Vec<DVec3> = c.fibres.iter().step_by(every).map(|f| at(f.round, f.outer)).collect();
            points.extend(points.first().copied());
            points
        }
        None => ring(&f, &t.outline),
    }
}

/// Where a tube's surface turns away from the eye, and the corners of a box.
fn sides(out: &mut Vec<Edge>, t: &Tube, index: usize, cuts: [Option<&cutting::Profile>; 2], eye: DVec3) {
    let over = |end: usize, q: DVec2| cuts[end].map_or(0.0, |c| limit(c, &t.outline, q));
    let last = t.chain.segments.len() - 1;
    for (k, seg) in t.chain.segments.iter().enumerate() {
        match *seg {
            Segment::Leg { length, .. } => {
                let f = t.frames[k];
                if f.t.cross(eye).length() < END_ON {
                    let near = if f.t.dot(eye) > 0.0 { length } else { 0.0 };
                    out.push(Edge { points: ring(&f.at(f.origin + f.t * near), &t.outline), of: Of::Side(index) });
                }
                for (q, of) in lines(&t.outline, f.across(f.t.cross(eye)), index) {
                    let from = if k == 0 { -over(0, q) } else { 0.0 };
                    let to = length + if k == last { over(1, q) } else { 0.0 };
                    if to > from {
                        let points = vec![f.place(q) + f.t * from, f.place(q) + f.t * to];
                        out.push(Edge { points, of });
                    }
                }
            }
            Segment::Arc { centre, axis, start, radius, sweep } => {
                // Where the bend runs towards the eye or away from it.
                let a = (-eye.dot(start)).atan2(eye.dot(axis.cross(start))).rem_euclid(std::f64::consts::PI);
                let f = t.frames[k].turned(axis, a);
                if a < sweep && f.t.cross(eye).length() < END_ON {
                    let at = centre + (start * a.cos() + axis.cross(start) * a.sin()) * radius;
                    out.push(Edge { points: ring(&f.at(at), &t.outline), of: Of::Side(index) });
                }
                let n = (sweep / STEP).ceil().max(1.0) as usize;
                for sign in [-1.0, 1.0] {
                    let points: Vec<DVec3> = (0..=n)
                        .filter_map(|j| {
                            let a = sweep * j as f64 / n as f64;
                            let at = centre + (start * a.cos() + axis.cross(start) * a.sin()) * radius;
                            let f = t.frames[k].turned(axis, a);
                            let side = f.t.cross(eye).try_normalize()? * sign;
                            Some(at + side * t.outline.support(f.across(side)))
                        })
                        .collect();
                    out.push(Edge { points, of: Of::Side(index) });
                }
            }
        }
    }
}

/// The places of a cross-section at which a straight tube shows a line; `side` lies across the sight, in the section.
fn lines(outline: &Outline, side: DVec2, index: usize) -> Vec<(DVec2, Of)> {
    let Some(side) = side.try_normalize() else { return Vec::new() };
    match *outline {
        Outline::Circle { r } => [-1.0, 1.0].map(|s| (side * (s * r), Of::Side(index))).to_vec(),
        Outline::RoundRect { half_x, half_y, r } => {
            let most = outline.support(side);
            [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)]
                .map(|(x, y)| {
                    let c = DVec2::new(x * (half_x - r), y * (half_y - r));
                    // Where this corner turns away, if it does; else its middle.
                    for s in [-1.0, 1.0] {
                        if (c.dot(side * s) + r - most).abs() < 1e-6 * most {
                            return (c + side * (s * r), Of::Side(index));
                        }
                    }
                    (c + DVec2::new(x, y) * (r * std::f64::consts::FRAC_1_SQRT_2), Of::Rim(index))
                })
                .to_vec()
        }
    }
}

/// See `bodies`, m.
const HAIR: f64 = 1e-3;
/// Where a line of a person goes behind another part is told to this, m: a quarter of a millimetre on paper at 1 to 20.
const FINE: f64 = 5e-3;

/// Wheels, people and what else rides along, as outlines on the page. Those of one person's parts that lie within
/// another part are left out.
pub fn bodies(list: &[Body], flat: &dyn Fn(DVec3) -> DVec2, right: DVec3, up: DVec3) -> Vec<Edge> {
    let mut out = Vec::new();
    for body in list {
        let hulls: Vec<Vec<DVec3>> = body.parts.iter().map(|(_, c)| hull(&around(c, right, up), flat)).collect();
        let flats: Vec<Vec<DVec2>> = hulls.iter().map(|h| h.iter().map(|p| flat(*p)).collect()).collect();
        let boxes: Vec<[DVec2; 2]> = flats
            .iter()
            .map(|f| f.iter().fold([DVec2::INFINITY, DVec2::NEG_INFINITY], |[a, b], p| [a.min(*p), b.max(*p)]))
            .collect();
        for (i, h) in hulls.iter().enumerate() {
            // A hair outside its own part, so that parts that lie over one another do not leave each other out.
            let middle = flats[i].iter().sum::<DVec2>() / flats[i].len().max(1) as f64;
            let covered = |p: DVec3| {
                let q = flat(p);
                let q = q + (q - middle).normalize_or_zero() * HAIR;
                flats
                    .iter()
                    .zip(&boxes)
                    .any(|(other, [a, b])| q.cmpge(*a).all() && q.cmple(*b).all() && within(other, q))
            };
            let mut run = Vec::new();
            for (k, p) in h.iter().chain(h.first()).enumerate() {
                // Along straight stretches of the hull too.
                let from = if k == 0 { *p } else { h[k - 1] };
                let n = if body.kind == BodyKind::Occupant {
                    (from.distance(*p) / FINE).ceil().clamp(1.0, 200.0)
                } else {
                    1.0
                };
                for j in 1..=n as u32 {
                    let q = from.lerp(*p, f64::from(j) / n);
                    if body.kind == BodyKind::Occupant && covered(q) {
                        out.extend((run.len() > 1).then(|| Edge { points: std::mem::take(&mut run), of: Of::Body }));
                        run.clear();
                    } else {
                        run.push(q);
                    }
                }
            }
            out.extend((run.len() > 1).then_some(Edge { points: run, of: Of::Body }));
        }
        // The near face of a wheel within its outline.
        for (_, c) in &body.parts {
            if let Core::Cylinder(f, half, radius) = &c.core {
                let near = if f.t.dot(right.cross(up)) > 0.0 { *half } else { -half };
                let points = circle(48).map(|q| f.place(q * *radius) + f.t * near).collect();
                out.push(Edge { points, of: Of::Body });
            }
        }
    }
    out
}

/// Points whose hull on the page is that of a body.
fn around(c: &Convex, right: DVec3, up: DVec3) -> Vec<DVec3> {
    match &c.core {
        Core::Segment(a, b) => {
            [*a, *b].iter().flat_map(|c0| circle(36).map(move |q| *c0 + (right * q.x + up * q.y) * c.margin)).collect()
        }
        Core::Cylinder(f, half, radius) => {
            [-half, *half].iter().flat_map(|s| circle(48).map(move |q| f.place(q * *radius) + f.t * *s)).collect()
        }
        Core::Block(f, h) => (0..8)
            .map(|k| {
                let sign = |bit: i32| if k >> bit & 1 == 0 { -1.0 } else { 1.0 };
                f.origin + f.t * (h.x * sign(0)) + f.u * (h.y * sign(1)) + f.v * (h.z * sign(2))
            })
            .collect(),
    }
}

/// The points that span the hull on the page, in order round it.
fn hull(points: &[DVec3], flat: &dyn Fn(DVec3) -> DVec2) -> Vec<DVec3> {
    let mut list: Vec<(DVec2, DVec3)> = points.iter().map(|p| (flat(*p), *p)).collect();
    list.sort_by(|a, b| a.0.x.total_cmp(&b.0.x).then(a.0.y.total_cmp(&b.0.y)));
    let half = |list: &mut dyn Iterator<Item = (DVec2, DVec3)>| {
        let mut out: Vec<(DVec2, DVec3)> = Vec::new();
        for p in list {
            while let [.., a, b] = out[..]
                && (b.0 - a.0).perp_dot(p.0 - b.0) <= 0.0
            {
                out.pop();
            }
            out.push(p);
        }
        out.pop();
        out
    };
    let mut out = half(&mut list.iter().copied());
    out.extend(half(&mut list.iter().rev().copied()));
    out.into_iter().map(|p| p.1).collect()
}
