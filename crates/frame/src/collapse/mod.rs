//! Collapse: large displacements, yielding over the sections, past the peak.
//!
//! Bars of [`bar`] in axes that follow them ([`turning`]); the path is followed by a constant length of step (arc length,
//! Crisfield 1981), so that loads may fall and displacements turn back.

mod bar;
mod fibres;
mod path;
mod turning;

pub use fibres::Fibres;
pub use path::{Collapse, End, Event, Settings, Step, collapse};
pub use turning::Pose;
