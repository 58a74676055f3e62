//! Is the frame stiff and strong enough? `docs/methods/strength.md` has the methods.

mod build;
pub mod sections;
mod stress;

pub use build::{Built, build};
pub use sections::Profile;
pub use stress::Stress;
