//! Tubes that hold the frame while it is built, and are cut out again.

use design::TubeState;
use geometry::DVec3;
use serde::Serialize;
use shape::{Role, Shape};

/// A temporary tube.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Temporary {
    /// Its name.
    pub tube: String,
    /// Where its ends are, m.
    pub ends: [DVec3; 2],
    /// What each end sits on.
    pub on: [Vec<String>; 2],
    /// The distance between its end points, which it holds, m.
    pub holds: f64,
    /// Which way that runs: `length`, `width` or `height`.
    pub way: &'static str,
    /// The piece after which it is cut out.
    pub after: String,
}

/// All of them, in fitting order.
pub fn list(shape: &Shape) -> Vec<Temporary> {
    let last = shape.tubes.iter().rfind(|t| t.state == TubeState::Permanent).map_or("", |t| &t.name);
    let on = |i: usize, role: Role| {
        let here = shape.joints.iter().filter(|j| j.member(i, role).is_some());
        let mut names: Vec<String> = here
            .flat_map(|j| j.members.iter())
            .filter(|m| m.tube != i && shape.tubes[m.tube].state == TubeState::Permanent)
            .map(|m| shape.tubes[m.tube].name.clone())
            .collect();
        names.dedup();
        names
    };
    let all = shape.tubes.iter().enumerate().filter(|(_, t)| t.state == TubeState::Temporary);
    all.map(|(i, t)| {
        let ends = [t.chain.point(0.0), t.chain.point(t.chain.length())];
        let d = (ends[1] - ends[0]).abs();
        let way = if d.z >= d.x && d.z >= d.y {
            "height"
        } else if d.y >= d.x {
            "width"
        } else {
            "length"
        };
        Temporary {
            tube: t.name.clone(),
            ends,
            on: [on(i, Role::Start), on(i, Role::End)],
            holds: ends[0].distance(ends[1]),
            way,
            // A twin goes with the drawn one, after both of a pair.
            after: match &shape.design.tubes[t.id.0].out_after {
                Some(after) => shape.design.tube_name(after),
                None => last.to_owned(),
            },
        }
    })
    .collect()
}
