//! An edge that comes over the nose of the standing car.

use geometry::convex::Core;
use rollover::under_run::{Room, ToRoom, UnderRun, UnderRunEnd, UnderRunSettings, under_run};
use shape::bodies::BodyKind;
use shape::{Finding, Level, Shape, Value};

use crate::Review;

/// Lateral positions, m to the left: the middle and both seats of most cars. Common practice, no source.
const LATERAL: [f64; 5] = [-0.4, -0.2, 0.0, 0.2, 0.4];
/// Start heights from the lowest edge to the highest.
const HEIGHTS: usize = 4;
/// Heights of an edge where `rollover.edge` gives none, m: from a kerb rail to a loading floor. Common practice, no source.
const USUAL: [f64; 2] = [0.5, 1.1];
/// Radius of the edge's nose, m: a rolled or flanged edge. Common practice, no source.
const NOSE: f64 = 0.01;
/// Chords of round outlines stray by at most this, m.
const GAP: f64 = 5e-4;

/// The ways of an edge between the heights of `rollover.edge` (or the usual ones), over the car as it stands in its first
/// stance on wheels, with the largest friction of `rollover.friction`: it catches soonest.
///
/// # Errors
/// In words, if nothing stands on wheels or nothing is hard.
pub(crate) fn edge_over(shape: &Shape, stance: &stance::Answer) -> Result<Vec<UnderRun>, String> {
    let stood = stance.stances.iter().find(|s| s.ground.is_some() && !s.wheels.is_empty());
    let stood = stood.ok_or("it stands on no wheels, so the edge has no height")?;
    let ground = stood.ground.as_ref().ok_or("it stands on no wheels, so the edge has no height")?;
    let travel = |name: &str| stood.wheels.iter().find(|w| w.name == name).map_or(0.0, |w| w.travel);
    let mut rooms = Vec::new();
    for b in shape.bodies.iter().filter(|b| b.kind == BodyKind::Occupant) {
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
        edge: shape.design.rollover.edge.unwrap_or(USUAL),
        heights: HEIGHTS,
        lateral: LATERAL.to_vec(),
        across: true,
        nose: NOSE,
        friction: shape.design.rollover.friction[1],
        gap: GAP,
    };
    under_run(&super::hard::standing(shape, &travel), &rooms, &settings).map_err(|e| e.to_string())
}

/// The ways of an edge over a review's car: those that it has, or worked out where it was not asked for them.
///
/// # Errors
/// In words, if nothing stands on wheels or nothing is hard.
pub fn edge_over_nose(r: &Review) -> Result<Vec<UnderRun>, String> {
    r.edge.clone().unwrap_or_else(|| edge_over(&r.shape, &r.stance))
}

/// What an edge that was asked for does: whom it meets, what it catches on, how far it is led over helmets.
pub(crate) fn findings(ways: &Result<Vec<UnderRun>, String>, shape: &Shape) -> Vec<Finding> {
    let new = |level, what: String| Finding::new(level, "rollover", what);
    let ways = match ways {
        Ok(ways) => ways,
        Err(e) => {
            let what = format!("an edge over the nose was not followed: {e}");
            return vec![new(Level::NotChecked, what).help("add wheels and tubes, or leave rollover.edge out")];
        }
    };
    let mut out = Vec::new();
    // Each room once, where the lowest edge meets it.
    let mut met: Vec<(&ToRoom, f64)> = Vec::new();
    for w in ways {
        let Some(m) = &w.meets else { continue };
        match met.iter_mut().find(|k| k.0.room == m.room) {
            Some(k) if w.height < k.1 => *k = (m, w.height),
            Some(_) => {}
            None => met.push((m, w.height)),
        }
    }
    for (m, height) in &met {
        out.push(
            new(Level::Mend, format!("an edge that comes over the nose meets {}: measured is its height", m.room))
                .at(m.at)
                .measured(Value::Length(*height))
                .help("lead it over by tubes from the nose to the hoop, or stop it by one before the person"),
        );
    }
    // Each thing that it catches on once, where it is steepest.
    let mut caught: Vec<&rollover::under_run::Met> = Vec::new();
    for w in ways {
        let UnderRunEnd::Catches(m) = &w.end else { continue };
        match caught.iter_mut().find(|k| k.body == m.body) {
            Some(k) if m.slope > k.slope => *k = m,
            Some(_) => {}
            None => caught.push(m),
        }
    }
    let limit = std::f64::consts::FRAC_PI_2 - shape.design.rollover.friction[1].atan();
    for m in caught {
        out.push(
            new(
                Level::Look,
                format!("an edge that comes over the nose catches on {}: measured is the slope there", m.body),
            )
            .tubes([m.body.clone()])
            .at(m.at)
            .measured(Value::Angle(m.slope))
            .limit(Value::Angle(limit), "90 degrees less the angle of the largest rollover.friction")
            .help("slope what it meets there, if it is to be led over; what the push does is not worked out"),
        );
    }
    let over = ways.iter().filter(|w| w.end == UnderRunEnd::Passes && w.meets.is_none() && w.led_up > 0.0);
    let nearest = over.filter_map(|w| w.helmet.as_ref()).min_by(|a, b| a.gap.total_cmp(&b.gap));
    if let Some(h) = nearest {
        let what = format!("an edge that comes over the nose is led past {}: measured is the least gap", h.room);
        out.push(new(Level::Note, what).at(h.at).measured(Value::Length(h.gap)));
    }
    out
}
