//! Many random rollovers of one rigid body on flat ground.
//!
//! Against a plane a body touches only with its convex hull, so the hull stands for all that is hard. A rigid-body engine
//! does the mechanics; this crate draws the starts, counts the ends, and watches the room of the people. See
//! `docs/methods/tumble.md` for what that leaves out.

mod draw;
mod run;

pub use draw::{Ranges, Start};
pub use run::{Ended, Run, one};

use glam::{DMat3, DVec3};
use rayon::prelude::*;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

/// A rigid body, in its own axes.
#[derive(Clone, Debug)]
pub struct Body {
    /// Points whose hull is all that is hard, m.
    pub hull: Vec<DVec3>,
    /// Centre of gravity, m.
    pub centre: DVec3,
    /// kg.
    pub mass: f64,
    /// About the centre of gravity, kg m².
    pub inertia: DMat3,
    /// Up in the attitude from which it sets out: on its wheels.
    pub up: DVec3,
    /// The room of people, as balls.
    pub room: Vec<Ball>,
}

/// A ball of somebody's room.
#[derive(Clone, Debug)]
pub struct Ball {
    /// Whose, and which part of them: an index into whatever the caller has.
    pub part: usize,
    /// Centre, m.
    pub centre: DVec3,
    /// Radius, m.
    pub radius: f64,
}

/// What is asked.
#[derive(Clone, Copy, Debug)]
pub struct Settings {
    /// How many tumbles.
    pub runs: u32,
    /// The same seed gives the same tumbles, on any number of cores.
    pub seed: u64,
    /// What is drawn at random.
    pub ranges: Ranges,
    /// How far hard things may sink into soft ground, m.
    pub soft: f64,
}

/// Why nothing can tumble.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refused {
    /// The hull has no volume, or a number is not finite.
    Hull,
    /// Mass or inertia is not positive.
    Mass,
    /// It was stopped before it was done.
    Stopped,
}

impl std::fmt::Display for Refused {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Refused::Hull => "what is hard encloses no room, so nothing can roll over",
            Refused::Mass => "a body without mass does not tumble",
            Refused::Stopped => "the tumbles were stopped",
        })
    }
}

impl std::error::Error for Refused {}

/// All tumbles.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Tumbles {
    /// How many.
    pub runs: u32,
    /// Seed.
    pub seed: u64,
    /// How many ended in each of the attitudes that were given.
    pub ended: Vec<u32>,
    /// How many came to rest in none of them: leaning on the slope, say.
    pub elsewhere: u32,
    /// How many still moved when time was up.
    pub moving: u32,
    /// In how many hard ground touched somebody's room.
    pub touched: u32,
    /// In how many it would have on soft ground.
    pub touched_soft: u32,
    /// In how many each part was touched on hard ground: as long as the highest part index and one more.
    pub parts: Vec<u32>,
    /// In how many each part was touched on soft ground.
    pub parts_soft: Vec<u32>,
    /// The least height of anybody's room over hard ground in any tumble, m; negative below it. `None` without people.
    pub least: Option<f64>,
    /// Turns through a quarter about any level axis: the mean over tumbles.
    pub quarter_turns: f64,
}

/// Tumbles a body. `rests` are the ground's outward normals, up, in the body's axes, of the attitudes in which it can
/// rest. `told` is called now and then with how many are done; `stop` ends the work early.
///
/// # Errors
/// If there is nothing that could tumble, or the work was stopped.
pub fn tumble(
    body: &Body,
    rests: &[DVec3],
    settings: &Settings,
    told: &(dyn Fn(u32) + Sync),
    stop: &AtomicBool,
) -> Result<Tumbles, Refused> {
    let prepared = run::prepare(body)?;
    let done = AtomicUsize::new(0);
    let runs: Vec<Run> = (0..settings.runs)
        .into_par_iter()
        .map(|k| {
            if stop.load(Ordering::Relaxed) {
                return Err(Refused::Stopped);
            }
            let start = Start::draw(&settings.ranges, settings.seed, k);
            let run = run::one_prepared(&prepared, body, &start);
            told(done.fetch_add(1, Ordering::Relaxed) as u32 + 1);
            Ok(run)
        })
        .collect::<Result<_, _>>()?;
    Ok(count(body, rests, settings, &runs))
}

/// Two directions nearer than this are one attitude: 10 degrees. Rests of one body lie farther apart, and a body that
/// settles on a slope or on a rounded edge may lean a little.
const SAME_ATTITUDE: f64 = 10.0 * std::f64::consts::PI / 180.0;

fn count(body: &Body, rests: &[DVec3], settings: &Settings, runs: &[Run]) -> Tumbles {
    let parts = body.room.iter().map(|b| b.part + 1).max().unwrap_or(0);
    let mut t = Tumbles {
        runs: settings.runs,
        seed: settings.seed,
        ended: vec![0; rests.len()],
        elsewhere: 0,
        moving: 0,
        touched: 0,
        touched_soft: 0,
        parts: vec![0; parts],
        parts_soft: vec![0; parts],
        least: (!body.room.is_empty()).then_some(f64::INFINITY),
        quarter_turns: 0.0,
    };
    for r in runs {
        match r.ended {
            Ended::Moving => t.moving += 1,
            Ended::AtRest(up) => {
                let best =
                    (0..rests.len()).min_by(|&a, &b| up.angle_between(rests[a]).total_cmp(&up.angle_between(rests[b])));
                match best.filter(|&k| up.angle_between(rests[k]) < SAME_ATTITUDE) {
                    Some(k) => t.ended[k] += 1,
                    None => t.elsewhere += 1,
                }
            }
        }
        let mut hard = vec![false; parts];
        let mut soft = vec![false; parts];
        for (ball, least) in body.room.iter().zip(&r.heights) {
            hard[ball.part] |= *least <= 0.0;
            soft[ball.part] |= *least <= settings.soft;
            t.least = t.least.map(|x| x.min(*least));
        }
        t.touched += hard.contains(&true) as u32;
        t.touched_soft += soft.contains(&true) as u32;
        for k in 0..parts {
            t.parts[k] += hard[k] as u32;
            t.parts_soft[k] += soft[k] as u32;
        }
        t.quarter_turns += r.turned / std::f64::consts::FRAC_PI_2 / f64::from(settings.runs);
    }
    t
}
