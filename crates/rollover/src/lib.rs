//! What happens when it goes over: the attitudes in which hard bodies with a common centre of gravity rest on level
//! ground, how often each is reached, what it takes to leave them, and the way from one to the next.
//!
//! A quasi-static argument: no speed, no spin, rigid bodies, level hard ground. `docs/methods/rollover.md` has the
//! formulas, sources and limits.

mod answer;
mod body;
mod crest;
mod descend;
mod error;
mod escape;
mod facet;
mod level;
mod paths;
mod sensitivity;
mod settle;
mod trip;
pub mod under_run;

pub use answer::{Attitude, Contact, Edge, Rollover, Sensitivity, Shift};
pub use body::{HardBody, HardShape};
pub use error::RolloverError;
pub use facet::{ON_EDGE, ONE_PLANE};
pub use paths::{Path, Side, Step};
pub use settle::{Kind, SHALLOW};
pub use under_run::{UnderRun, UnderRunEnd, UnderRunSettings, under_run};

use geometry::{DVec3, Round, RoundHull};

/// Standard acceleration of free fall, m/s² (ISO 80000-3).
pub const GRAVITY: f64 = 9.80665;

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Centre of gravity, m, in the frame's axes.
    pub centre: DVec3,
    /// Mass, kg.
    pub mass: f64,
    /// Which way is down when it stands on its wheels, in the frame's axes.
    pub down: DVec3,
    /// Which way is forward, in the frame's axes.
    pub forward: DVec3,
    /// Chords across round places stray by at most this, m. Flat faces, their margins and single crests do not
    /// depend on it; shares, and energies of ways over several round bodies, do a little.
    pub gap: f64,
    /// An attitude with a smaller margin than this, m, is called marginal.
    pub marginal: f64,
}

impl Settings {
    /// The usual ones, for axes as ISO 8855: chords within 1 mm, marginal under 20 mm (a centre of gravity that was
    /// added up from drawings is seldom known better: common practice, no source).
    pub fn new(centre: DVec3, mass: f64) -> Settings {
        Settings { centre, mass, down: DVec3::NEG_Z, forward: DVec3::X, gap: 1e-3, marginal: 0.02 }
    }

    fn check(&self) -> Result<(), RolloverError> {
        let wrong = |what| Err(RolloverError::Setting(what));
        if !body::usable(self.centre) {
            return wrong("the centre of gravity has a coordinate that is no usable number");
        }
        if !(self.mass > 0.0 && self.mass.is_finite()) {
            return wrong("the mass must be a number above zero");
        }
        if !(self.gap > 0.0 && self.gap.is_finite()) {
            return wrong("the gap of chords must be a number above zero");
        }
        if !(self.marginal >= 0.0 && self.marginal.is_finite()) {
            return wrong("the marginal limit must be a number, zero or more");
        }
        let across = self.down.normalize_or_zero().cross(self.forward.normalize_or_zero());
        if !across.is_finite() || across.length() < 0.1 {
            return wrong("down and forward must be two directions, not in one line");
        }
        Ok(())
    }
}

/// Rest attitudes of bodies, and the ways into them.
///
/// # Errors
/// See [`RolloverError`]: nothing hard, a body or setting that can't be, no room, or a centre of gravity outside.
pub fn rollover(bodies: &[HardBody], settings: &Settings) -> Result<Rollover, RolloverError> {
    settings.check()?;
    let mut pieces: Vec<Round> = Vec::new();
    let mut owner: Vec<u32> = Vec::new();
    for (i, b) in bodies.iter().enumerate() {
        b.pieces(&mut pieces)?;
        owner.resize(pieces.len(), i as u32);
    }
    if pieces.is_empty() {
        return Err(RolloverError::Nothing);
    }
    let (pieces, owner) = thinned(pieces, owner);
    let round = RoundHull::new(&pieces, settings.gap, Some(settings.centre)).map_err(RolloverError::Hull)?;
    let faces = facet::Faces::new(round, &pieces, settings.centre);
    let names: Vec<&str> = bodies.iter().map(|b| b.name.as_str()).collect();
    answer::answer(&faces, &pieces, &answer::Names { owner: &owner, names: &names }, settings)
}

/// Many points beside round pieces (a mesh of the body's skin): only the corners of their own hull can matter.
fn thinned(pieces: Vec<Round>, owner: Vec<u32>) -> (Vec<Round>, Vec<u32>) {
    const MANY: usize = 64;
    let points: Vec<usize> = (0..pieces.len()).filter(|&i| pieces[i].bounds().1 == 0.0).collect();
    if points.len() < MANY || points.len() == pieces.len() {
        return (pieces, owner);
    }
    // Points that are flat among themselves all stay.
    let Ok(hull) = geometry::Hull::new(points.iter().map(|&i| pieces[i].bounds().0).collect()) else {
        return (pieces, owner);
    };
    let mut keep: Vec<bool> = pieces.iter().map(|p| p.bounds().1 > 0.0).collect();
    for (_, t) in hull.alive() {
        t.points.iter().for_each(|p| keep[points[*p as usize]] = true);
    }
    (0..pieces.len()).filter(|&i| keep[i]).map(|i| (pieces[i], owner[i])).unzip()
}
