//! The way over an obstacle in steps, for a drawing.

use geometry::DVec2;
use shape::Shape;

use super::least::Drive;
use super::rolling::Rolling;
use crate::road::{Piece, Road};
use crate::side::{Layout, View};
use crate::{Answer, counted, shares, skins, tyres};

/// A car on its way.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Hub of the front axle: distance past where the obstacle begins, and height, m.
    pub front: DVec2,
    /// Hub of the rear axle.
    pub rear: DVec2,
    /// The least clearance, m; where it overlaps the road minus the height by which it fails.
    pub clearance: f64,
    /// Whose it is.
    pub name: String,
}

/// The way over one obstacle.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// The road as joined places, from the level before to the level behind: distance from where it begins, and height, m.
    pub road: Vec<DVec2>,
    /// Hubs as the car stands on the level, in side view: distance forward in the ground's axes, and height, m.
    pub hubs: [DVec2; 2],
    /// Even steps, going forward.
    pub steps: Vec<Step>,
    /// The step at the least clearance of the answer; where it does not get over, at the first touch.
    pub told: Option<Step>,
}

/// Level road that is drawn before and behind an obstacle, m.
const LEVEL: f64 = 6.0;
/// Chords along a round top.
const CHORDS: usize = 64;

/// The way of a stance over an obstacle, both by their numbers, in so many steps. `None` where the stance has no ramp angles
/// (it stands on less than two axles), the tyres do not climb it, or nothing counts.
pub fn way(shape: &Shape, answer: &Answer, stance: usize, obstacle: usize, steps: usize) -> Option<Way> {
    let stood = answer.stances.get(stance)?;
    let ground = stood.ground?;
    let (front, rear) = tyres(stood, ground)?;
    let crossing = stood.crossings.get(obstacle).filter(|c| c.barred.is_none())?;
    let layout = Layout::new(shape);
    let counts = counted(&layout.things, &shares(shape, shape.design.stances.get(stance)?));
    let skins = skins::things(shape, &stood.wheels, &ground);
    let view = View::new(&layout, &counts, &skins, ground);
    if view.area.is_nothing() {
        return None;
    }
    let road = Road::new(&shape.design.obstacles.get(obstacle)?.shape);
    let drive = Drive { rolling: Rolling::new(&road, front, rear, view.area), view: &view };
    let from = DVec2::new(road.from, 0.0);
    let at = |s: f64| {
        let pose = drive.rolling.pose(s);
        let found = drive.clearance(&pose, f64::INFINITY)?;
        let name = view.thing(&view.seen[found.shadow]).name.clone();
        Some(Step { front: pose.front - from, rear: pose.rear - from, clearance: found.clearance, name })
    };
    let poses = drive.rolling.poses();
    let (first, last) = (poses.first()?.s, poses.last()?.s);
    let n = steps.max(2) - 1;
    let told = crossing.first_touch.as_ref().filter(|_| !crossing.over).or(crossing.least.as_ref());
    Some(Way {
        road: outline(&road).into_iter().map(|p| p - from).collect(),
        hubs: [front.hub, rear.hub],
        steps: (0..=n).filter_map(|k| at(first + (last - first) * k as f64 / n as f64)).collect(),
        told: told.and_then(|m| at(m.front_axle + road.from)),
    })
}

/// The road's surface as joined places.
fn outline(road: &Road) -> Vec<DVec2> {
    let (lo, hi) = (road.from - LEVEL, road.to + LEVEL);
    let mut out: Vec<DVec2> = Vec::new();
    for p in &road.pieces {
        if let Piece::Line { a, b, .. } = *p {
            out.extend([a, b].map(|q| DVec2::new(q.x.clamp(lo, hi), q.y)));
        }
    }
    for p in &road.pieces {
        if let Piece::Round { centre, radius, sine } = *p {
            // The top takes the place of its chord.
            let half = sine.asin();
            let top: Vec<DVec2> = (0..=CHORDS)
                .map(|k| half * (2.0 * k as f64 / CHORDS as f64 - 1.0))
                .map(|a| centre + DVec2::new(a.sin(), a.cos()) * radius)
                .collect();
            let k = out.iter().position(|q| q.x > centre.x).unwrap_or(out.len());
            out.splice(k..k, top);
        }
    }
    out.dedup_by(|b, a| a.distance(*b) < 1e-9);
    out
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;

    #[test]
    fn no_step_is_nearer_than_the_answer_and_the_one_told_is_it() {
        let text = include_str!("../../../../examples/gorse.toml");
        let shape = shape::resolve(Arc::new(design::read(text).unwrap().design)).unwrap();
        let answer = crate::stand(&shape);
        let mut seen = 0;
        for (k, stood) in answer.stances.iter().enumerate() {
            for (j, c) in stood.crossings.iter().enumerate() {
                let way = way(&shape, &answer, k, j, 60).expect("it gets over all of them");
                let least = c.least.as_ref().unwrap();
                let told = way.told.unwrap();
                assert!((told.clearance - least.clearance).abs() < 1e-9, "{} {}", c.obstacle, told.clearance);
                assert!((told.front.x - least.front_axle).abs() < 1e-9);
                assert!((told.front.distance(told.rear) - way.hubs[0].distance(way.hubs[1])).abs() < 1e-9);
                for s in &way.steps {
                    assert!(s.clearance > least.clearance - super::super::KNOWN, "{} {}", c.obstacle, s.clearance);
                }
                // The place that the answer gives lies on the road as drawn.
                let near = way.road.windows(2).map(|w| {
                    let d = w[1] - w[0];
                    let t = ((least.road - w[0]).dot(d) / d.length_squared()).clamp(0.0, 1.0);
                    (w[0] + d * t).distance(least.road)
                });
                assert!(near.fold(f64::INFINITY, f64::min) < 1e-3, "{}", c.obstacle);
                seen += 1;
            }
        }
        assert!(seen >= 12, "{seen}");
    }
}
