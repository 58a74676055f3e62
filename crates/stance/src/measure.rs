//! Named measures.

use design::{Measure, MeasureKind, Measured, PlaneSpec};
use geometry::convex::swept;
use geometry::{Convex, DVec3};
use serde::Serialize;
use shape::Shape;
use shape::contacts::tube_distance;

use crate::ground::Ground;

/// A measure as taken.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Taken {
    /// Its name.
    pub name: String,
    /// The stance, for a measure that involves the ground.
    pub stance: Option<String>,
    /// Distance or angle.
    pub kind: MeasureKind,
    /// m or rad; `None` if it can't be taken.
    pub value: Option<f64>,
    /// Why it can't be taken.
    pub why: Option<String>,
    /// Least value wanted.
    pub least: Option<f64>,
    /// Largest value wanted.
    pub most: Option<f64>,
    /// Whether it is within its limits; `None` without a value.
    pub within: Option<bool>,
}

/// A thing that is measured.
enum Thing<'a> {
    Point(DVec3),
    Tube(usize),
    /// Unit normal and distance from the origin; whether heights over it have a sign.
    Plane(DVec3, f64, bool),
    Plate(&'a shape::Plate),
}

/// Planes and lines whose directions differ by less than this (sine) are parallel: a hundredth of a degree, a tenth of a
/// millimetre over half a metre.
const PARALLEL: f64 = 2e-4;
/// What a measure is rounded by: a limit is met to this, m or rad.
const MET: f64 = 1e-9;

/// Whether a measure involves the ground.
pub(crate) fn needs_ground(m: &Measure) -> bool {
    [&m.from, &m.to].iter().any(|x| matches!(x, Measured::Ground))
}

/// Takes a measure; `ground` and the stance's name for one that involves the ground.
pub(crate) fn take(shape: &Shape, m: &Measure, on: Option<(&str, Option<&Ground>)>) -> Taken {
    let value = value(shape, m, on.and_then(|o| o.1));
    let within =
        value.as_ref().ok().map(|v| m.least.is_none_or(|l| *v >= l - MET) && m.most.is_none_or(|l| *v <= l + MET));
    let (value, why) = match value {
        Ok(v) => (Some(v), None),
        Err(e) => (None, Some(e)),
    };
    Taken {
        name: m.name.clone(),
        stance: on.map(|o| o.0.to_owned()),
        kind: m.kind,
        value,
        why,
        least: m.least,
        most: m.most,
        within,
    }
}

fn value(shape: &Shape, m: &Measure, ground: Option<&Ground>) -> Result<f64, String> {
    let (a, b) = (thing(shape, &m.from, ground)?, thing(shape, &m.to, ground)?);
    let (a, b) = (face(shape, a, &b), face(shape, b, &thing(shape, &m.from, ground)?));
    let v = match m.kind {
        MeasureKind::Angle => angle(shape, &a, &b)?,
        MeasureKind::Distance => match m.along {
            Some(axis) => along(shape, &a, &b, DVec3::AXES[axis.min(2)])?,
            None => distance(shape, &a, &b)?,
        },
    };
    if v.is_finite() { Ok(v) } else { Err("it has no value".to_owned()) }
}

fn thing<'a>(shape: &'a Shape, m: &Measured, ground: Option<&Ground>) -> Result<Thing<'a>, String> {
    Ok(match m {
        Measured::Point(p) => Thing::Point(shape.place(p)),
        Measured::Tube(t) => Thing::Tube(shape.index(t)),
        Measured::Plane(PlaneSpec::Axis { axis, value }) => Thing::Plane(DVec3::AXES[(*axis).min(2)], *value, false),
        Measured::Plane(PlaneSpec::Point { point, normal }) => {
            let n = normal.try_normalize().ok_or("its plane's normal has no length")?;
            Thing::Plane(n, n.dot(shape.place(point)), false)
        }
        Measured::Plane(PlaneSpec::Plate { plate, twin }) => Thing::Plate(
            shape
                .plates
                .iter()
                .find(|p| p.id == *plate && p.twin == *twin)
                .or_else(|| shape.plates.iter().find(|p| p.id == *plate))
                .ok_or("its plate is not there")?,
        ),
        Measured::Ground => {
            let g = ground.ok_or("the stance has no ground")?;
            Thing::Plane(g.normal, g.height, true)
        }
        Measured::Datum => Thing::Plane(DVec3::Z, shape.datum, true),
    })
}

/// A plate's face on the other thing's side.
fn face<'a>(shape: &Shape, of: Thing<'a>, other: &Thing) -> Thing<'a> {
    let Thing::Plate(p) = of else { return of };
    let from = match other {
        Thing::Point(q) => *q,
        Thing::Tube(i) => {
            let c = &shape.tubes[*i].chain;
            c.point(c.length() / 2.0)
        }
        Thing::Plane(n, d, _) => p.frame.origin - *n * (n.dot(p.frame.origin) - d),
        Thing::Plate(q) => q.frame.origin,
    };
    let (at, n) = p.near_face(from);
    Thing::Plane(n, n.dot(at), false)
}

/// A direction: of a tube's line, or a plane's normal.
fn angle(shape: &Shape, a: &Thing, b: &Thing) -> Result<f64, String> {
    let direction = |t: &Thing| match t {
        Thing::Tube(i) => {
            let c = &shape.tubes[*i].chain;
            (c.point(c.length()) - c.point(0.0))
                .try_normalize()
                .map(|d| (d, true))
                .ok_or("its tube ends where it starts")
        }
        Thing::Plane(n, ..) => Ok((*n, false)),
        Thing::Point(_) | Thing::Plate(_) => Err("a point has no direction"),
    };
    let ((p, line), (q, other)) = (direction(a)?, direction(b)?);
    let between = p.cross(q).length().atan2(p.dot(q).abs());
    Ok(if line == other { between } else { std::f64::consts::FRAC_PI_2 - between })
}

/// Lowest and highest place of a thing in a direction; `None` for planes.
fn extent(shape: &Shape, t: &Thing, d: DVec3) -> Option<(f64, f64)> {
    match t {
        Thing::Point(p) => Some((p.dot(d), p.dot(d))),
        Thing::Tube(i) => Some((-shape.tubes[*i].extent(-d), shape.tubes[*i].extent(d))),
        Thing::Plane(..) | Thing::Plate(_) => None,
    }
}

/// Distance of a thing from a plane: over it positive, zero where they cross.
fn over(shape: &Shape, t: &Thing, n: DVec3, d: f64, signed: bool) -> Option<f64> {
    let (lo, hi) = extent(shape, t, n)?;
    Some(if lo >= d || signed {
        lo - d
    } else if hi <= d {
        hi - d
    } else {
        0.0
    })
}

const NOT_PARALLEL: &str = "its planes are not parallel";

fn parallel(n: DVec3, d: f64, m: DVec3, e: f64) -> Result<f64, String> {
    if n.cross(m).length() > PARALLEL {
        return Err(NOT_PARALLEL.to_owned());
    }
    // From the first to the second, along the first's normal, where they pass under the origin.
    Ok(e * n.dot(m).signum() - d)
}

fn distance(shape: &Shape, a: &Thing, b: &Thing) -> Result<f64, String> {
    let parts = |i: usize| {
        let t = &shape.tubes[i];
        swept(&t.chain, &t.frames, &t.outline)
    };
    Ok(match (a, b) {
        (Thing::Point(p), Thing::Point(q)) => p.distance(*q),
        (Thing::Point(p), Thing::Tube(i)) | (Thing::Tube(i), Thing::Point(p)) => {
            let at = Convex::capsule(*p, *p, 0.0);
            parts(*i).iter().map(|c| c.distance(&at)).fold(f64::INFINITY, f64::min)
        }
        (Thing::Tube(i), Thing::Tube(k)) if i == k => 0.0,
        (Thing::Tube(i), Thing::Tube(k)) => {
            tube_distance(shape, *i, *k, f64::INFINITY).ok_or("its tubes have no parts")?
        }
        (Thing::Plane(n, d, _), Thing::Plane(m, e, _)) => parallel(*n, *d, *m, *e)?.abs(),
        (Thing::Plane(n, d, signed), t) | (t, Thing::Plane(n, d, signed)) => {
            let v = over(shape, t, *n, *d, *signed).ok_or("it has no distance")?;
            if *signed { v } else { v.abs() }
        }
        (Thing::Plate(_), _) | (_, Thing::Plate(_)) => return Err("it has no distance".to_owned()),
    })
}

/// From the first to the second along an axis.
fn along(shape: &Shape, a: &Thing, b: &Thing, axis: DVec3) -> Result<f64, String> {
    let reach = |n: DVec3| -> Result<f64, String> {
        let c = n.dot(axis);
        if c.abs() < PARALLEL { Err("its plane runs along that axis".to_owned()) } else { Ok(c) }
    };
    Ok(match (a, b) {
        (Thing::Plane(n, d, _), Thing::Plane(m, e, _)) => parallel(*n, *d, *m, *e)? / reach(*n)?,
        (Thing::Plane(n, d, s), t) => over(shape, t, *n, *d, *s).ok_or("it has no distance")? / reach(*n)?,
        (t, Thing::Plane(n, d, s)) => -over(shape, t, *n, *d, *s).ok_or("it has no distance")? / reach(*n)?,
        _ => {
            let (p, q) = (extent(shape, a, axis), extent(shape, b, axis));
            let ((al, ah), (bl, bh)) = (p.ok_or("it has no extent")?, q.ok_or("it has no extent")?);
            if bl >= ah {
                bl - ah
            } else if bh <= al {
                bh - al
            } else {
                0.0
            }
        }
    })
}
