//! What holds it while it is welded: stands, saddles, angle-finder readings, heights, diagonals.
//!
//! Plain functions from a [`shape::Shape`] and an [`Ask`] to an [`Answer`]. Methods, sources and limits are in
//! `docs/methods/jigs.md`. What an end is cut back by, how the frame is tilted and how the floor lies reach it as numbers.

pub mod panels;
pub mod saddle;
pub mod setup;
pub mod stands;
pub mod temporary;
pub mod world;

use serde::Serialize;
use shape::{Finding, Shape};

pub use panels::{Diagonal, Panel};
pub use saddle::{Saddle, SaddleAsk};
pub use setup::{Bevel, CutBack, TubeSetup};
pub use stands::{Stand, Stands, StandsAsk, Support};
pub use temporary::Temporary;
pub use world::World;

/// What is asked for. The default asks for everything that needs no number from a person: no stands, then.
#[derive(Clone, Debug, Default)]
pub struct Ask {
    /// Stands, if any are wanted: see [`stands::suggest`].
    pub stands: Option<StandsAsk>,
    /// How the frame is tilted where it is held; without it readings are square to the frame alone.
    pub world: Option<World>,
    /// How far ends are cut back from their end points.
    pub cut_back: Vec<CutBack>,
}

/// Everything about jigs.
#[derive(Clone, Debug, Serialize)]
pub struct Answer {
    /// Each tube as it is fitted, in fitting order.
    pub tubes: Vec<TubeSetup>,
    /// Angles between tubes, joint by joint.
    pub bevels: Vec<Bevel>,
    /// Panels with diagonals to check for square.
    pub panels: Vec<Panel>,
    /// Tubes to cut out again.
    pub temporary: Vec<Temporary>,
    /// Stands.
    pub stands: Option<Stands>,
    /// Saddles, each without its surface: [`saddle::make`] gives that.
    pub saddles: Vec<Saddle>,
    /// What there is to say.
    pub findings: Vec<Finding>,
}

/// Works out all that is asked. `tolerance` gives the tolerance (±, m) of a length (m): that of a published class, say.
pub fn jigs(shape: &Shape, ask: &Ask, tolerance: impl Fn(f64) -> f64) -> Answer {
    let mut findings = Vec::new();
    let stands = ask.stands.as_ref().map(|s| stands::stands(shape, s));
    findings.extend(stands.iter().flat_map(|s| s.findings.clone()));
    let (saddles, notes) = saddle::all(shape);
    findings.extend(notes);
    findings.sort_by_key(|f| f.level);
    Answer {
        tubes: setup::tubes(shape, ask.world.as_ref(), &ask.cut_back),
        bevels: setup::bevels(shape),
        panels: panels::panels(shape, &tolerance),
        temporary: temporary::list(shape),
        stands,
        saddles,
        findings,
    }
}
