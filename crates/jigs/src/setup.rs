//! The set-up sheet: where each tube's ends are, what an angle finder shows along and across it, bevel-gauge angles.

use geometry::{DVec3, Frame, Outline, Segment, distance};
use serde::Serialize;
use shape::{End, Role, Shape, Tube};

use crate::world::{Face, UPRIGHT, World, half_depth};

/// How far an end's whole section stops short of its end point, m: plain numbers from the cutting.
#[derive(Clone, Debug, PartialEq)]
pub struct CutBack {
    /// Index of the tube.
    pub tube: usize,
    /// Which end.
    pub end: End,
    /// From the end point back to the short point; negative where even that lies beyond, m.
    pub by: f64,
}

/// A place in the frame's axes.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Spot {
    /// Station, forward, m.
    pub x: f64,
    /// From the centre plane, positive to the left, m.
    pub y: f64,
    /// Height above the design's datum, square to the frame, m.
    pub height: f64,
    /// Height above the level reference, plumb, m; where the world is told.
    pub over_floor: Option<f64>,
}

/// One end.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct EndSet {
    /// Which.
    pub end: End,
    /// The end point on the axis.
    pub axis: Spot,
    /// How far along the tube from the end point the touch places are taken, inward, m.
    pub back: f64,
    /// Straight above it (square to the frame) on the tube's top; `None` if it stands too steep, or so that this place lies
    /// beyond the cut.
    pub top: Option<Spot>,
    /// Straight below it on the underside.
    pub underside: Option<Spot>,
}

/// The finder along the tube.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Along {
    /// From level, rad: positive if the end is higher than the start. With the tube the other way round it has the other sign.
    pub rise: f64,
    /// The higher end; none if it lies level.
    pub higher: Option<End>,
}

/// The finder across the tube.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "on", rename_all = "lowercase")]
pub enum Across {
    /// On the face of a box that points most upward.
    Box {
        /// Which.
        face: Face,
        /// Turn from upright, rad: positive clockwise, looking from start to end (the right-hand side is lower). Seen from
        /// the other end it has the other sign.
        roll: f64,
        /// Slope of a straightedge laid across the face, rad, same sign.
        slope: f64,
    },
    /// The scribe line of a round tube, or the outside of its first bend.
    Round {
        /// Its turn from the top, rad, -π to π, clockwise looking from start to end.
        scribe: f64,
    },
    /// It stands upright: a roll has no meaning.
    Upright {
        /// Where its scribe line faces: from the frame's front, positive to the left, seen from above, rad.
        facing: f64,
    },
}

/// Both readings.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Reading {
    /// Along the tube.
    pub along: Along,
    /// Across it.
    pub across: Across,
}

/// A straight leg.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Leg {
    /// Where it begins and ends, m from the tube's start.
    pub from: f64,
    /// See `from`.
    pub to: f64,
    /// Square to the frame.
    pub square: Reading,
    /// Plumb to the world, where that is told.
    pub plumb: Option<Reading>,
}

/// A tube as it is fitted.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TubeSetup {
    /// Index in the shape; the order is the fitting order.
    pub tube: usize,
    /// Name.
    pub name: String,
    /// Start and end.
    pub ends: [EndSet; 2],
    /// Readings, leg by leg.
    pub legs: Vec<Leg>,
}

/// A slope under this is level: a microradian, a thousandth of a millimetre over a metre.
const LEVEL: f64 = 1e-6;

/// A touch place that lies past the short point still counts if the tube's surface at the short point is as high within
/// this, m: a tenth of a millimetre, less than a tape shows. On nearly level tubes both places are then told.
const AS_HIGH: f64 = 1e-4;

/// What a finder shows on a section's frame.
pub fn reading(f: &Frame, outline: &Outline, world: &World) -> Reading {
    let up = world.up;
    let rise = f.t.dot(up).clamp(-1.0, 1.0).asin();
    let higher = if rise > LEVEL {
        Some(End::End)
    } else if rise < -LEVEL {
        Some(End::Start)
    } else {
        None
    };
    let turn = |m: DVec3| (-f.t.cross(m).dot(up)).atan2(m.dot(up));
    let across = match *outline {
        _ if f.across(up).length() < UPRIGHT => {
            let ahead = DVec3::X - up * up.x;
            let left = up.cross(ahead);
            Across::Upright { facing: f.u.dot(left).atan2(f.u.dot(ahead)) }
        }
        Outline::Circle { .. } => Across::Round { scribe: turn(f.u) },
        Outline::RoundRect { half_x, half_y, .. } => {
            let face = Face::towards(f, up);
            let m = face.of(f, half_x, half_y).0;
            Across::Box { face, roll: turn(m), slope: (-f.t.cross(m).dot(up)).clamp(-1.0, 1.0).asin() }
        }
    };
    Reading { along: Along { rise, higher }, across }
}

/// The set-up of every tube that is not provisional.
pub fn tubes(shape: &Shape, world: Option<&World>, cut_back: &[CutBack]) -> Vec<TubeSetup> {
    let spot = |p: DVec3| Spot {
        x: p.x,
        y: p.y,
        height: p.z - shape.datum,
        over_floor: world.and_then(|w| Some(p.dot(w.up) - w.floor?)),
    };
    let one = |i: usize, t: &Tube| {
        let end = |e: End| {
            let length = t.chain.length();
            let by = |e: End| {
                let cut = cut_back.iter().find(|c| c.tube == i && c.end == e);
                cut.map_or(0.0, |c| c.by.clamp(-length, length))
            };
            let back = by(e);
            let s = if e == End::Start { back } else { length - back };
            let f = t.frame_at(s);
            let half = half_depth(&f, &t.outline, DVec3::Z);
            // Where the whole tube is: between the short points of both its ends.
            let whole = [by(End::Start), length - by(End::End)];
            let touch = |h: f64| {
                // On a sloping tube the place straight over the axis lies farther along it.
                let at = s + h * f.t.z;
                let past = (whole[0] - at).max(at - whole[1]);
                (past * f.t.z.abs() <= AS_HIGH).then(|| spot(f.origin + DVec3::Z * h))
            };
            EndSet {
                end: e,
                axis: spot(t.chain.point(if e == End::Start { 0.0 } else { length })),
                back,
                top: half.and_then(touch),
                underside: half.and_then(|h| touch(-h)),
            }
        };
        let legs = t.chain.segments.iter().enumerate().filter(|(_, s)| matches!(s, Segment::Leg { .. }));
        TubeSetup {
            tube: i,
            name: t.name.clone(),
            ends: End::BOTH.map(end),
            legs: legs
                .map(|(k, _)| Leg {
                    from: t.chain.starts[k],
                    to: t.chain.starts[k + 1],
                    square: reading(&t.frames[k], &t.outline, &World::SQUARE),
                    plumb: world.map(|w| reading(&t.frames[k], &t.outline, w)),
                })
                .collect(),
        }
    };
    let fitted = |t: &Tube| t.state != design::TubeState::Provisional;
    shape.tubes.iter().enumerate().filter(|(_, t)| fitted(t)).map(|(i, t)| one(i, t)).collect()
}

/// The angle of two tubes at a joint, as a bevel gauge shows it between their axes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Bevel {
    /// The joint.
    pub joint: String,
    /// The tube that the gauge's blade lies on: of two the one fitted later, or the one that ends there.
    pub tube: String,
    /// Which of its ends is there; none if it passes.
    pub end: Option<End>,
    /// The tube that the gauge's stock lies on.
    pub other: String,
    /// The acute angle, rad, 0 to π/2.
    pub acute: f64,
    /// π less it: the gauge from the other side.
    pub supplement: f64,
    /// Towards which end of the other tube the blade leans, so that the gauge shows the acute angle on that side. None if square.
    pub toward: Option<End>,
    /// The angle between the two tubes as they lie, rad: of two tubes that end there the inside of the corner. Otherwise the acute one.
    pub inside: f64,
    /// By how much the axes pass one another, m.
    pub apart: f64,
}

/// Every pair of tubes at every joint.
pub fn bevels(shape: &Shape) -> Vec<Bevel> {
    use std::f64::consts::PI;
    let mut out = Vec::new();
    for j in &shape.joints {
        for (k, b) in j.members.iter().enumerate() {
            for a in &j.members[..k] {
                // The blade goes on what ends there; of two ends on the later one.
                let (blade, stock) = if b.role == Role::Through && a.role != Role::Through { (a, b) } else { (b, a) };
                let (t, o) = (&shape.tubes[blade.tube], &shape.tubes[stock.tube]);
                if blade.tube == stock.tube || [t, o].iter().any(|t| t.state == design::TubeState::Provisional) {
                    continue;
                }
                let along = |t: &Tube, s: f64, r: Role| {
                    let d = t.chain.tangent(s);
                    if r == Role::End { -d } else { d }
                };
                let (d, e) = (along(t, blade.station, blade.role), along(o, stock.station, Role::Start));
                let angle = d.cross(e).length().atan2(d.dot(e));
                let acute = angle.min(PI - angle);
                let body = if stock.role == Role::End { PI - angle } else { angle };
                let (p, q) = (t.chain.point(blade.station), o.chain.point(stock.station));
                let apart = match distance::line_line(p, d, q, e) {
                    Some((s, u)) => (p + d * s).distance(q + e * u),
                    None => (q - p).cross(e).length(),
                };
                out.push(Bevel {
                    joint: j.name.clone(),
                    tube: t.name.clone(),
                    end: match blade.role {
                        Role::Start => Some(End::Start),
                        Role::End => Some(End::End),
                        Role::Through => None,
                    },
                    other: o.name.clone(),
                    acute,
                    supplement: PI - acute,
                    toward: ((angle - PI / 2.0).abs() > LEVEL).then_some(if angle < PI / 2.0 {
                        End::End
                    } else {
                        End::Start
                    }),
                    inside: if blade.role == Role::Through || stock.role == Role::Through { acute } else { body },
                    apart,
                });
            }
        }
    }
    out
}
