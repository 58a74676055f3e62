//! Driving over an obstacle, slowly: where it comes nearest, and where it scrapes.

mod least;
mod rolling;
#[cfg(test)]
mod tests;
mod way;

use design::Obstacle;
use geometry::{DVec2, DVec3};
use serde::Serialize;

use crate::road::{Piece, Road};
use crate::side::{Tyre, View};
use crate::solids::Kind;

pub use way::{Step, Way, way};

use least::{Drive, Found};
use rolling::{Pose, Rolling};

/// The least clearance is known to this, m: a tenth of a millimetre.
pub const KNOWN: f64 = 1e-4;
/// The place of a first touch is known to this, m.
const TOUCH: f64 = 1e-4;
/// Stretches of the way shorter than this are not halved, m.
const SHORTEST: f64 = 2e-5;

/// A place of the car and of the road.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Meeting {
    /// The tube, plate, mass or skin.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// Where on it, in the frame's axes, m.
    pub at: DVec3,
    /// Distance along the tube from its start, m.
    pub station: Option<f64>,
    /// Where on the road: distance from where the obstacle begins, and height, m.
    pub road: DVec2,
    /// Distance of the front axle past where the obstacle begins, m.
    pub front_axle: f64,
    /// Distance between the two, m; where they overlap minus the height by which it fails.
    pub clearance: f64,
}

/// A drive over one obstacle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Crossing {
    /// The obstacle.
    pub obstacle: String,
    /// Whether its tyres climb it and nothing scrapes.
    pub over: bool,
    /// A corner of the road that a tyre does not climb, if there is one: distance and height, m.
    pub barred: Option<DVec2>,
    /// Where it comes nearest. `None` if nothing counts, or the tyres don't climb it.
    pub least: Option<Meeting>,
    /// Where it touches first, going forward.
    pub first_touch: Option<Meeting>,
}

/// Drives the side view over an obstacle.
pub(crate) fn over(view: &View, front: &Tyre, rear: &Tyre, obstacle: &Obstacle) -> Crossing {
    let road = Road::new(&obstacle.shape);
    let name = obstacle.name.clone();
    let barred = road.bars(front.loaded).or_else(|| road.bars(rear.loaded));
    if let Some(c) = barred {
        let barred = Some(DVec2::new(c.x - road.from, c.y));
        return Crossing { obstacle: name, over: false, barred, least: None, first_touch: None };
    }
    if view.area.is_nothing() {
        return Crossing { obstacle: name, over: true, barred: None, least: None, first_touch: None };
    }
    let drive = Drive { rolling: Rolling::new(&road, *front, *rear, view.area), view };
    let poses = drive.rolling.poses();
    let least = drive.least(&poses).map(|(found, pose)| meeting(&drive, &pose, found));
    let scrapes = least.as_ref().is_some_and(|l| l.clearance <= 0.0);
    let first_touch = scrapes.then(|| drive.first_touch(&poses)).flatten();
    let first_touch = first_touch.map(|(found, pose)| meeting(&drive, &pose, found));
    Crossing { obstacle: name, over: !scrapes, barred: None, least, first_touch }
}

fn meeting(drive: &Drive, pose: &Pose, found: Found) -> Meeting {
    let (rolling, view) = (&drive.rolling, drive.view);
    let s = &view.seen[found.shadow];
    let t = view.thing(s);
    let towards = if found.clearance > 0.0 { found.road - found.near } else { DVec2::NEG_Y };
    let corner = found.near + towards.normalize_or_zero() * s.margin;
    // Across the car, the place that comes first that way.
    let (place, _) = view.support(s, towards);
    let across = view.ground.place(place).y;
    let at = view.ground.direction(DVec3::new(corner.x, across, corner.y + view.ground.height));
    let on_road = rolling.forth(pose, found.road);
    let road = match rolling.road.pieces.iter().find(|p| matches!(p, Piece::Round { .. })) {
        // The nearest place of a round top is on its surface, not at its centre.
        Some(Piece::Round { centre, radius, .. }) if on_road.distance(*centre) < 1e-9 => {
            *centre + (rolling.forth(pose, found.near) - *centre).normalize_or_zero() * *radius
        }
        _ => on_road,
    };
    Meeting {
        name: t.name.clone(),
        kind: t.kind,
        at,
        station: view.part(s).station(at),
        road: DVec2::new(road.x - rolling.road.from, road.y),
        front_axle: pose.front.x - rolling.road.from,
        clearance: found.clearance,
    }
}
