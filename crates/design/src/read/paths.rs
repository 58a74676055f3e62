//! What shows once it is known where points are: steps of no length, and things that are their own mirror image.
//!
//! Only points that coordinates fix are looked at here; those on tubes wait until the frame is resolved.

use glam::DVec3;

use super::fields::Reader;
use crate::model::{Mass, Occupant, Place, Placement, Point, PointRef, Tube, Wheel, twin_name};

/// Points nearer than this are the same, m: a micrometre is far below what a saw or a tape can tell apart, and far above
/// the rounding of coordinates of a vehicle's size.
pub const SAME_PLACE: f64 = 1e-6;

fn mirrored(p: DVec3) -> DVec3 {
    DVec3::new(p.x, -p.y, p.z)
}

/// Where each point is, if coordinates fix it.
pub(super) fn fixed_places(points: &[Option<Point>]) -> Vec<Option<DVec3>> {
    let mut places: Vec<Option<DVec3>> = vec![None; points.len()];
    let mut seen = vec![false; points.len()];
    for root in 0..points.len() {
        // The points that this one is placed from, down to one that is known, or that never will be.
        let mut chain = Vec::new();
        let mut next = Some(root);
        while let Some(i) = next {
            if seen[i] {
                break;
            }
            seen[i] = true;
            chain.push(i);
            next = match points[i].as_ref().map(|p| &p.placement) {
                Some(Placement::From { point, .. }) => Some(point.id.0),
                _ => None,
            };
        }
        for i in chain.into_iter().rev() {
            places[i] = match points[i].as_ref().map(|p| &p.placement) {
                Some(Placement::At(at)) => Some(*at),
                Some(Placement::From { point, by }) => {
                    places[point.id.0].map(|p| if point.twin { mirrored(p) } else { p } + *by)
                }
                _ => None,
            };
        }
    }
    places
}

pub(super) fn place_of(places: &[Option<DVec3>], r: &PointRef) -> Option<DVec3> {
    let place = places.get(r.id.0).copied().flatten()?;
    Some(if r.twin { mirrored(place) } else { place })
}

/// Whether two references mean the same place, as far as is known; `flip` mirrors the second.
pub(super) fn same_place(places: &[Option<DVec3>], a: &PointRef, b: &PointRef, flip: bool) -> bool {
    if a.id == b.id && (a.twin == (b.twin != flip)) {
        return true;
    }
    match (place_of(places, a), place_of(places, b)) {
        (Some(a), Some(b)) => a.distance(if flip { mirrored(b) } else { b }) < SAME_PLACE,
        _ => false,
    }
}

impl Reader<'_> {
    /// Checks the paths of tubes.
    pub fn check_paths(&mut self, points: &[Option<Point>], tubes: &[Option<Tube>]) {
        let places = fixed_places(points);
        for tube in tubes.iter().flatten() {
            let mut steps_are_long = true;
            for pair in tube.path.windows(2) {
                if same_place(&places, &pair[0], &pair[1], false) {
                    let names = [&pair[0], &pair[1]].map(|r| twin_name(self.names.points.items[r.id.0].name, r.twin));
                    let message = format!(
                        "tube `{}` goes from `{}` to `{}`, which is the same place: a step of no length",
                        tube.name, names[0], names[1]
                    );
                    let help = if pair[0].id == pair[1].id {
                        "a point on the centre plane is its own twin: use it once"
                    } else {
                        "take one of the two out, or check their coordinates"
                    };
                    self.error(pair[1].span.clone(), message, "the same place again", help);
                    steps_are_long = false;
                }
            }
            if steps_are_long && tube.mirror && is_own_image(&places, &tube.path) {
                let message = format!("tube `{}` is mirrored, but is its own mirror image", tube.name);
                let help = "take `mirror = true` out: the tube already lies on both sides";
                self.error(tube.path_span.clone(), message, "the twin would lie in the same place", help);
            }
        }
    }

    /// Checks that mirrored things are not on the centre plane.
    pub fn check_riders(
        &mut self,
        points: &[Option<Point>],
        masses: &[Option<Mass>],
        wheels: &[Option<Wheel>],
        occupants: &[Option<Occupant>],
    ) {
        let places = fixed_places(points);
        let masses = masses.iter().flatten().map(|m| ("mass", &m.name, &m.at, m.mirror, &m.span));
        let wheels = wheels.iter().flatten().map(|w| ("wheel", &w.name, &w.at, w.mirror, &w.span));
        let occupants = occupants.iter().flatten().map(|o| ("occupant", &o.name, &o.hip, o.mirror, &o.span));
        for (kind, name, place, mirror, span) in masses.chain(wheels).chain(occupants) {
            let at = match place {
                Place::At(at) => Some(*at),
                Place::Point(point) => place_of(&places, point),
            };
            if mirror && at.is_some_and(|p| p.y.abs() < SAME_PLACE) {
                let message = format!("{kind} `{name}` is mirrored, but stands on the centre plane");
                let help = "take `mirror = true` out, or move it to one side";
                self.error(span.clone(), message, "the twin would stand in the same place", help);
            }
        }
    }
}

fn is_own_image(places: &[Option<DVec3>], path: &[PointRef]) -> bool {
    let same = |other: &mut dyn Iterator<Item = &PointRef>| {
        path.iter().zip(other).all(|(a, b)| same_place(places, a, b, true))
    };
    same(&mut path.iter()) || same(&mut path.iter().rev())
}
