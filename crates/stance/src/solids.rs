//! Tubes, plates and masses as parts with exact support points.

use design::TubeState;
use geometry::convex::{CHORD_SAGITTA, Core};
use geometry::{Chain, DVec2, DVec3, Frame, Outline, Segment};
use serde::Serialize;
use shape::bodies::BodyKind;
use shape::{Shape, Tube};

/// What a part belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// A tube.
    Tube,
    /// A plate.
    Plate,
    /// A mass with extents.
    Mass,
    /// A named part of a body panel.
    Skin,
}

/// A thing that may touch the ground.
#[derive(Clone, Debug)]
pub struct Thing {
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// Index of the tube, for a tube.
    pub tube: Option<usize>,
    /// Index of the body, for a mass.
    pub body: Option<usize>,
    /// Whether it rides with a wheel.
    pub unsprung: bool,
    /// Its convex parts.
    pub parts: Vec<Part>,
}

/// A convex part.
#[derive(Clone, Debug)]
pub enum Part {
    /// A section swept along a straight from a frame over a length; `from` is the station where it starts.
    Leg {
        /// Frame at its start.
        frame: Frame,
        /// Length, m.
        length: f64,
        /// Section.
        outline: Outline,
        /// Station of its start along the tube, m.
        from: f64,
    },
    /// Corners.
    Corners(Vec<DVec3>),
    /// An edge of a skin.
    Edge(DVec3, DVec3),
}

impl Part {
    /// The farthest place in a direction of any length.
    pub fn support(&self, d: DVec3) -> DVec3 {
        match self {
            Part::Leg { frame, length, outline, .. } => {
                let share = 0.5 + 0.5 * way(frame.t.dot(d), d.length());
                frame.at(frame.origin + frame.t * (*length * share)).place(rim(outline, frame.across(d)))
            }
            Part::Corners(c) => farthest(c, d),
            Part::Edge(a, b) => {
                if b.dot(d) > a.dot(d) {
                    *b
                } else {
                    *a
                }
            }
        }
    }

    /// Station along the tube of a place on the part.
    pub fn station(&self, p: DVec3) -> Option<f64> {
        match self {
            Part::Leg { frame, from, length, .. } => Some(from + (p - frame.origin).dot(frame.t).clamp(0.0, *length)),
            Part::Corners(_) | Part::Edge(..) => None,
        }
    }
}

/// The farthest place of a tube's surface in a direction of any length, ends square, and its station: of its bends
/// themselves, not of chords.
pub(crate) fn farthest_of(tube: &Tube, d: DVec3) -> (DVec3, f64) {
    let mut best = (f64::NEG_INFINITY, DVec3::ZERO, 0.0);
    let mut offer = |at: DVec3, station: f64| {
        let v = at.dot(d);
        if v > best.0 {
            best = (v, at, station);
        }
        best.0
    };
    let mut so_far = f64::NEG_INFINITY;
    let legs = |arcs: bool| {
        tube.chain.segments.iter().enumerate().filter(move |(_, s)| arcs == matches!(s, Segment::Arc { .. }))
    };
    for (i, seg) in legs(false) {
        let from = tube.chain.starts[i];
        let part = Part::Leg { frame: tube.frames[i], length: seg.length(), outline: tube.outline, from };
        let at = part.support(d);
        so_far = offer(at, part.station(at).unwrap_or(from));
    }
    for (i, seg) in legs(true) {
        let Segment::Arc { centre, axis, start, radius, sweep } = *seg else { continue };
        // A whole ring reaches no farther than this.
        let across = d - axis * axis.dot(d);
        if centre.dot(d) + radius * across.length() + tube.outline.reach() * d.length() <= so_far {
            continue;
        }
        let from = tube.chain.starts[i];
        let ring = |f: &Frame| f.place(rim(&tube.outline, f.across(d)));
        offer(ring(&tube.frames[i]), from);
        so_far = offer(ring(&tube.frames[i + 1]), from + radius * sweep);
        // Within the arc the farthest place is where its tangent lies square to the direction.
        let t = d.dot(axis.cross(start)).atan2(d.dot(start));
        if (0.0..=sweep).contains(&t) {
            so_far = offer(ring(&tube.frames[i].turned(axis, t).at(seg.point(radius * t))), from + radius * t);
        }
    }
    (best.1, best.2)
}

/// To which side a direction's part points: -1 or 1, and 0 where it is nothing but rounding, so that of a face that lies
/// square to the direction the middle is told.
fn way(part: f64, length: f64) -> f64 {
    const NOTHING: f64 = 1e-12;
    if part.abs() > NOTHING * length { part.signum() } else { 0.0 }
}

fn farthest(corners: &[DVec3], d: DVec3) -> DVec3 {
    let mut best = (f64::NEG_INFINITY, DVec3::ZERO);
    for &c in corners {
        let v = c.dot(d);
        if v > best.0 {
            best = (v, c);
        }
    }
    best.1
}

/// The farthest place of an outline in a direction of any length.
fn rim(outline: &Outline, d: DVec2) -> DVec2 {
    let unit = d.try_normalize().unwrap_or(DVec2::ZERO);
    match *outline {
        Outline::Circle { r } => unit * r,
        Outline::RoundRect { half_x, half_y, r } => {
            DVec2::new((half_x - r) * way(d.x, 1.0), (half_y - r) * way(d.y, 1.0)) + unit * r
        }
    }
}

/// Chords of an arc stray from it by at most this, m.
fn chords(radius: f64, sweep: f64) -> usize {
    let step = 2.0 * (1.0 - CHORD_SAGITTA / radius).clamp(0.0, 1.0).acos();
    (sweep / step).ceil().max(1.0) as usize
}

fn swept(chain: &Chain, frames: &[Frame], outline: &Outline) -> Vec<Part> {
    let mut out = Vec::new();
    for (i, seg) in chain.segments.iter().enumerate() {
        let from = chain.starts[i];
        match *seg {
            Segment::Leg { length, .. } => {
                out.push(Part::Leg { frame: frames[i], length, outline: *outline, from });
            }
            Segment::Arc { centre, axis, start, radius, sweep } => {
                let n = chords(radius, sweep);
                let step = sweep / n as f64;
                let length = 2.0 * radius * (0.5 * step).sin();
                let side = axis.cross(start);
                // The frame at the middle of each chord, which lies along its tangent; its parts square to the axis turn.
                let first = frames[i];
                let split = |d: DVec3| (d.dot(start), d.dot(side), axis * d.dot(axis));
                let ((ux, uy, ua), (vx, vy, va)) = (split(first.u), split(first.v));
                for k in 0..n {
                    let (sin, cos) = (step * (k as f64 + 0.5)).sin_cos();
                    let (out_there, along) = (start * cos + side * sin, side * cos - start * sin);
                    let turned = |x: f64, y: f64, a: DVec3| out_there * x + along * y + a;
                    let mid = centre + out_there * (radius * (0.5 * step).cos());
                    let frame = Frame {
                        origin: mid - along * (0.5 * length),
                        t: along,
                        u: turned(ux, uy, ua),
                        v: turned(vx, vy, va),
                    };
                    out.push(Part::Leg { frame, length, outline: *outline, from: from + radius * step * k as f64 });
                }
            }
        }
    }
    out
}

/// Every tube that stays, plate, and mass with extents.
pub(crate) fn things(shape: &Shape) -> Vec<Thing> {
    let mut out = Vec::new();
    for (i, t) in shape.tubes.iter().enumerate().filter(|(_, t)| t.state != TubeState::Temporary) {
        let parts = swept(&t.chain, &t.frames, &t.outline);
        out.push(Thing { name: t.name.clone(), kind: Kind::Tube, tube: Some(i), body: None, unsprung: false, parts });
    }
    for p in &shape.plates {
        let corners = p.corners.iter().flat_map(|c| [p.place(*c, p.faces.0), p.place(*c, p.faces.1)]).collect();
        let parts = vec![Part::Corners(corners)];
        out.push(Thing { name: p.name.clone(), kind: Kind::Plate, tube: None, body: None, unsprung: false, parts });
    }
    for (body, b) in shape.bodies.iter().enumerate().filter(|(_, b)| b.kind == BodyKind::Mass) {
        let parts: Vec<Part> = b
            .parts
            .iter()
            .filter_map(|(_, c)| match &c.core {
                Core::Block(f, h) => Some(Part::Corners(
                    (0..8)
                        .map(|k| {
                            let sign = |bit: usize| if k >> bit & 1 == 1 { 1.0 } else { -1.0 };
                            f.origin + f.t * (h.x * sign(0)) + f.u * (h.y * sign(1)) + f.v * (h.z * sign(2))
                        })
                        .collect(),
                )),
                _ => None,
            })
            .collect();
        if !parts.is_empty() {
            out.push(Thing {
                name: b.name.clone(),
                kind: Kind::Mass,
                tube: None,
                body: Some(body),
                unsprung: false,
                parts,
            });
        }
    }
    out
}
