//! Where a tape is held: a point, and the way from it to the face of the tube there.

use design::measured::{Face, Mark, Spot, SpotOf};
use design::{Along, PointRef, TubeRef, twin_name};
use geometry::{DVec3, Outline};
use shape::{Role, Shape};

/// A face looks along the tube: less of its direction than this lies across (17 degrees).
const ACROSS: f64 = 0.3;

/// A place this near to the centre plane has no inside, m.
const CENTRE: f64 = 1e-3;

/// A spot in the design.
#[derive(Clone, Debug, PartialEq)]
pub struct Located {
    /// The point's or the mark's name; that of a point on the centre plane without the twin's mark.
    pub name: String,
    /// Where the design has it, m.
    pub at: DVec3,
    /// From there to where the tape is held, m.
    pub arm: DVec3,
    /// The tube that a mark is on.
    pub tube: Option<usize>,
}

/// Why a spot is nowhere.
#[derive(Clone, Debug, PartialEq)]
pub struct FaceError {
    /// What is wrong: one sentence, no full stop.
    pub what: String,
    /// What to do.
    pub help: String,
}

fn fail<T>(what: String, help: &str) -> Result<T, FaceError> {
    Err(FaceError { what, help: help.to_owned() })
}

/// The name that a point has among measured ones.
pub(crate) fn point_name(shape: &Shape, r: &PointRef) -> String {
    let centre = shape.places.of(r.id, false).distance(shape.places.of(r.id, true)) < geometry::SAME_PLACE;
    twin_name(&shape.design.points[r.id.0].name, r.twin && !centre)
}

/// Locates a spot.
///
/// # Errors
/// Why it is nowhere.
pub fn locate(shape: &Shape, marks: &[Mark], spot: &Spot) -> Result<Located, FaceError> {
    let (name, at, own, face) = match &spot.of {
        SpotOf::Point(r) => (point_name(shape, r), shape.place(r), tube_at(shape, r), spot.face),
        SpotOf::Mark(k) => {
            let m = &marks[*k];
            let tube = shape.index(&m.on);
            let at = along(shape, tube, m)?;
            (m.name.clone(), at, Some(tube), spot.face.or(m.face))
        }
    };
    let mark = matches!(spot.of, SpotOf::Mark(_)).then_some(own).flatten();
    let Some(face) = face else { return Ok(Located { name, at, arm: DVec3::ZERO, tube: mark }) };
    let tube = spot.tube.as_ref().map(|t: &TubeRef| shape.index(t)).or(own);
    let Some(tube) = tube else {
        let what = format!("{name} is on no tube, so that it has no {} face", face.word());
        return fail(what, "put a mark on the tube, [mark.NAME], and measure to that; a bend's corner is in the air");
    };
    let t = &shape.tubes[tube];
    if spot.tube.is_some() && t.chain.nearest(at).1 > t.outline.reach() {
        return fail(
            format!("{name} is not on {}: it has no face of that there", t.name),
            "name a tube that the point lies on",
        );
    }
    let arm = arm(shape, tube, at, face, &name)?;
    Ok(Located { name, at, arm, tube: mark })
}

/// The tube whose face is meant at a point: of those that meet there, that which is fitted first; one that runs through before
/// one that ends.
fn tube_at(shape: &Shape, r: &PointRef) -> Option<usize> {
    let at = shape.place(r);
    let here = |i: &usize| shape.tubes[*i].chain.nearest(at).1 < geometry::SAME_PLACE;
    let joint = shape.joints.iter().find(|j| j.at.distance(at) < 1e-4);
    let through = joint.and_then(|j| j.members.iter().find(|m| m.role == Role::Through && m.offset < 1e-4));
    through.map(|m| m.tube).or_else(|| (0..shape.tubes.len()).find(here))
}

/// The faces that a tape may be held to at a place, with the way from the place to each; of the tube that a sheet means if it names
/// none. Nothing if the place is on no tube, or nowhere.
pub fn faces(shape: &Shape, marks: &[Mark], of: &SpotOf) -> Vec<(Face, DVec3)> {
    let (at, own, name) = match of {
        SpotOf::Point(r) => (Ok(shape.place(r)), tube_at(shape, r), point_name(shape, r)),
        SpotOf::Mark(k) => {
            let Some(m) = marks.get(*k) else { return Vec::new() };
            let tube = shape.index(&m.on);
            (along(shape, tube, m), Some(tube), m.name.clone())
        }
    };
    let (Ok(at), Some(tube)) = (at, own) else { return Vec::new() };
    Face::ALL.into_iter().filter_map(|f| Some((f, arm(shape, tube, at, f, &name).ok()?))).collect()
}

fn along(shape: &Shape, tube: usize, m: &Mark) -> Result<DVec3, FaceError> {
    let t = &shape.tubes[tube];
    let length = t.chain.length();
    let off = |what: String| fail(what, "use a place that the tube has");
    let s = match m.along {
        Along::Part(f) => f * length,
        Along::Length(v) => {
            let s = if v < 0.0 { length + v } else { v };
            if !(0.0..=length).contains(&s) {
                return off(format!("mark {} lies beyond the end of {}", m.name, t.name));
            }
            s
        }
        Along::Plane { axis, value, pick } => {
            let all = t.chain.crossings(axis, value);
            let letter = ["x", "y", "z"][axis.min(2)];
            match (all.len(), pick) {
                (0, _) => return off(format!("{} does not cross the {letter} of mark {}", t.name, m.name)),
                (1, None) => all[0],
                (n, Some(k)) if (1..=n).contains(&k) => all[k - 1],
                (n, _) => {
                    let what = format!("{} crosses the {letter} of mark {} {n} times", t.name, m.name);
                    return fail(what, "say which with `pick`, from 1 at the tube's start");
                }
            }
        }
    };
    Ok(t.chain.point(s))
}

/// The way from the axis to the middle of a face.
fn arm(shape: &Shape, tube: usize, at: DVec3, face: Face, name: &str) -> Result<DVec3, FaceError> {
    let t = &shape.tubes[tube];
    let way = match face {
        Face::Top => DVec3::Z,
        Face::Under => DVec3::NEG_Z,
        Face::Front => DVec3::X,
        Face::Rear => DVec3::NEG_X,
        Face::Left => DVec3::Y,
        Face::Right => DVec3::NEG_Y,
        Face::Inside | Face::Outside if at.y.abs() < CENTRE => {
            let what = format!("{name} is on the centre plane: it has no {} face", face.word());
            return fail(what, "say left or right");
        }
        Face::Inside => DVec3::Y * -at.y.signum(),
        Face::Outside => DVec3::Y * at.y.signum(),
    };
    let f = t.frame_at(t.chain.nearest(at).0);
    let across = f.across(way);
    if across.length() < ACROSS {
        let what = format!("{} runs along there: it has no {} face at {name}", t.name, face.word());
        return fail(what, "say another face");
    }
    // Of a box the face that looks that way most; its middle.
    let across = match t.outline {
        Outline::Circle { .. } => across.normalize(),
        Outline::RoundRect { .. } if across.x.abs() >= across.y.abs() => geometry::DVec2::X * across.x.signum(),
        Outline::RoundRect { .. } => geometry::DVec2::Y * across.y.signum(),
    };
    let reach = t.outline.support(across);
    Ok((f.u * across.x + f.v * across.y) * reach)
}
