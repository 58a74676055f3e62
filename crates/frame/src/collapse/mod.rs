//! Collapse: large displacements, yielding over the sections, past the peak.
//!
//! Bars of [`bar`] in axes that follow them ([`turning`]); the path is followed in steps of the loads' work or, where they
//! would go back, of all displacements' length ([`step`]), so that loads may fall and displacements turn back.

mod bar;
mod fibres;
mod path;
mod run;
mod step;
mod turning;

pub use fibres::Fibres;
pub use path::{Collapse, End, Event, Settings, Step, collapse};
pub use turning::Pose;
