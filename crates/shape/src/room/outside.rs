//! Parts of a person that reach outside the convex hull of the hard tubes: where the frame does not keep things off them.

use design::TubeState;
use geometry::{Convex, DVec2, DVec3, Hull, Outline, Segment};

use crate::Shape;
use crate::bodies::Body;
use crate::finding::{Finding, Level, Value};

/// Corners of the polygon round a tube's circle: it stands out by a hundredth of the radius at most, a quarter of a millimetre.
const SIDES: u32 = 24;

/// Faces whose plane may be off by more than this, m, are slivers between others.
const KNOWN: f64 = 1e-6;

/// A bend is taken in steps of at most this, rad: on a radius of 200 mm its chords stray by under 2 mm.
const STEP: f64 = 0.26;

/// The planes of the hull of all tubes that hold; `None` where they enclose no room.
pub(super) fn planes(shape: &Shape) -> Option<Vec<(DVec3, f64)>> {
    let mut points = Vec::new();
    for t in &shape.tubes {
        if t.state == TubeState::Temporary || !shape.design.tubes[t.id.0].hard {
            continue;
        }
        let section: Vec<DVec2> = match t.outline {
            Outline::RoundRect { half_x, half_y, .. } => [(1.0, 1.0), (1.0, -1.0), (-1.0, -1.0), (-1.0, 1.0)]
                .map(|(x, y)| DVec2::new(x * half_x, y * half_y))
                .to_vec(),
            _ => {
                let step = std::f64::consts::TAU / f64::from(SIDES);
                let r = t.outline.reach() / (step / 2.0).cos();
                (0..SIDES).map(|k| DVec2::from_angle(step * f64::from(k)) * r).collect()
            }
        };
        for (segment, frame) in t.chain.segments.iter().zip(&t.frames) {
            let steps = match segment {
                Segment::Leg { .. } => 1,
                Segment::Arc { sweep, .. } => (sweep / STEP).ceil().max(1.0) as usize,
            };
            for k in 0..=steps {
                let s = segment.length() * k as f64 / steps as f64;
                let (at, tangent) = (segment.point(s), segment.tangent(s));
                let (u, v) = match segment {
                    Segment::Leg { .. } => (frame.u, frame.v),
                    Segment::Arc { .. } => tangent.any_orthonormal_pair(),
                };
                points.extend(section.iter().map(|q| at + u * q.x + v * q.y));
            }
        }
    }
    let hull = Hull::new(points).ok()?;
    Some(hull.planes(KNOWN).collect())
}

/// Parts that do so, the one that does the farthest first, measured square to the hull's faces.
pub(super) fn finding(b: &Body, planes: &[(DVec3, f64)]) -> Option<Finding> {
    let far = |c: &Convex| {
        let over = planes.iter().map(|(n, d)| (n.dot(c.farthest(*n)) - d, *n));
        over.fold((f64::NEG_INFINITY, DVec3::ZERO), |m, x| if x.0 > m.0 { x } else { m })
    };
    let mut out: Vec<(&str, f64, DVec3)> = Vec::new();
    for (part, solid) in &b.parts {
        let (by, way) = far(solid);
        if by > LEAST {
            match out.iter_mut().find(|o| o.0 == *part) {
                Some(o) if by > o.1 => *o = (part, by, solid.farthest(way)),
                Some(_) => {}
                None => out.push((part, by, solid.farthest(way))),
            }
        }
    }
    out.sort_by(|a, b| b.1.total_cmp(&a.1));
    // Wholly outside: nothing of it lies behind one of the hull's faces.
    let wholly = |c: &Convex| planes.iter().any(|(n, d)| n.dot(c.farthest(-*n)) >= *d);
    let all_of = |part: &str| b.parts.iter().filter(|p| p.0 == part).all(|p| wholly(&p.1));
    let everything = b.parts.iter().all(|p| wholly(&p.1));
    let told: Vec<&str> = match out.iter().map(|o| o.0).filter(|p| VITAL.contains(p) && all_of(p)).collect::<Vec<_>>() {
        vital if !vital.is_empty() => vital,
        _ => out.iter().map(|o| o.0).take(1).collect(),
    };
    let (part, by, at) = out.iter().find(|o| told.contains(&o.0))?;
    let rest: Vec<&str> = out.iter().map(|o| o.0).filter(|p| !told.contains(p)).collect();
    let (level, mut what) = if everything {
        (Level::Mend, format!("{} sits wholly outside the frame", b.name))
    } else if VITAL.contains(part) && all_of(part) {
        let verb = if told.len() > 1 { "are" } else { "is" };
        (Level::Mend, format!("the {} of {} {verb} wholly outside the frame", told.join(" and the "), b.name))
    } else {
        (Level::Look, format!("the {part} of {} reaches outside the frame", b.name))
    };
    if !everything && !rest.is_empty() {
        what += &format!(" (and reaching out of it: {})", rest.join(", "));
    }
    Some(Finding::new(level, "room", what).at(*at).measured(Value::Length(*by)).help(
        "move the seat, or the tubes round it: measured from the tightest skin round all hard tubes, without hollows",
    ))
}

/// Parts that a frame must have within it: one that is wholly outside must be mended.
const VITAL: [&str; 2] = ["helmet", "trunk"];

/// Less than this, m, is the rounding of the polygons.
const LEAST: f64 = 1e-3;
