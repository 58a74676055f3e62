//! An edge that comes over the nose of the standing car.

use geometry::convex::Core;
use rollover::under_run::{Room, UnderRun, UnderRunSettings, under_run};
use shape::bodies::BodyKind;

use crate::Review;

/// Lateral positions, m to the left: the middle and both seats of most cars. Common practice, no source.
const LATERAL: [f64; 5] = [-0.4, -0.2, 0.0, 0.2, 0.4];
/// Start heights from the lowest edge to the highest.
const HEIGHTS: usize = 4;
/// Radius of the edge's nose, m: a rolled or flanged edge. Common practice, no source.
const NOSE: f64 = 0.01;
/// Chords of round outlines stray by at most this, m.
const GAP: f64 = 5e-4;

/// The ways of an edge between the heights of `rollover.edge`, over the car as it stands in its first stance on wheels,
/// with the largest friction of `rollover.friction`: it catches soonest.
///
/// # Errors
/// In words, if nothing stands on wheels or nothing is hard.
pub fn edge_over_nose(r: &Review) -> Result<Vec<UnderRun>, String> {
    let stood = r.stance.stances.iter().find(|s| s.ground.is_some() && !s.wheels.is_empty());
    let ground = stood.and_then(|s| s.ground.as_ref()).ok_or("it stands on no wheels, so the edge has no height")?;
    let mut rooms = Vec::new();
    for b in r.shape.bodies.iter().filter(|b| b.kind == BodyKind::Occupant) {
        for (part, room) in &b.parts {
            let (ends, radius) = match &room.core {
                Core::Segment(a, c) => ([*a, *c], room.margin),
                _ => {
                    let (lo, hi) = room.bounds();
                    ([(lo + hi) / 2.0; 2], lo.distance(hi) / 2.0)
                }
            };
            rooms.push(Room { name: format!("{}'s {part}", b.name), ends, radius, helmet: *part == "helmet" });
        }
    }
    let settings = UnderRunSettings {
        ground: ground.normal * ground.height,
        up: ground.normal,
        forward: ground.forward,
        edge: r.shape.design.rollover.edge,
        heights: HEIGHTS,
        lateral: LATERAL.to_vec(),
        across: true,
        nose: NOSE,
        friction: r.shape.design.rollover.friction[1],
        gap: GAP,
    };
    under_run(&super::hard::standing(&r.shape), &rooms, &settings).map_err(|e| e.to_string())
}
