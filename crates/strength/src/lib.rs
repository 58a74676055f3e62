//! Is the frame stiff and strong enough? `docs/methods/strength.md` has the methods.

mod advice;
mod answer;
mod build;
mod candidates;
mod cases;
mod crush;
mod deep;
mod findings;
pub mod joints;
mod ledger;
mod losses;
mod places;
mod push;
pub mod ranking;
mod rig;
pub mod sections;
mod sizes;
mod stress;
mod uses;
mod weld_findings;
mod welded;

pub use advice::{Advice, Brace, Now};
pub use answer::{Answer, Depth, Moved, Reaction, Solved, Used, strength};
pub use build::{Built, build};
pub use candidates::{Candidate, LeftOut, candidates};
pub use cases::{Case, GRAVITY, NoCase, Wanted};
pub use crush::{Crushed, Entry, Hinge};
pub use deep::{Buckles, Vibrates};
pub use ledger::{Ledger, Row};
pub use losses::{Loss, Smaller};
pub use push::{Cuts, Push, fibres};
pub use rig::Rigged;
pub use sections::Profile;
pub use stress::Stress;
pub use welded::{Loaded, Welded, welded};
