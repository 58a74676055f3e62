//! Is the frame stiff and strong enough? `docs/methods/strength.md` has the methods.

mod answer;
mod build;
mod cases;
mod deep;
mod places;
mod rig;
pub mod sections;
mod stress;

pub use answer::{Answer, Depth, Moved, Reaction, Solved, Used, strength};
pub use build::{Built, build};
pub use cases::{Case, GRAVITY, NoCase, Wanted};
pub use deep::{Buckles, Vibrates};
pub use rig::Rigged;
pub use sections::Profile;
pub use stress::Stress;
