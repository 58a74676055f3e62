//! Curves, outlines, solids, rays and distances. No trade words live here: a tube is a solid swept along a chain of
//! lines and arcs, and its end is a set of rays.
//!
//! Lengths may be in any unit, but the named tolerances assume metres and things of workshop size.

pub mod bundle;
pub mod chain;
pub mod circle;
pub mod clip;
pub mod convex;
pub mod distance;
pub mod ellipse;
pub mod facets;
pub mod frame;
pub mod hull;
pub mod inset;
pub mod minimise;
pub mod outline;
pub mod polygon;
pub mod roots;
pub mod round;
pub mod round_hull;
pub mod solid;
pub mod surface;
pub mod touch;

pub use bundle::Bundle;
pub use chain::{Chain, ChainError, Segment};
pub use convex::Convex;
pub use facets::{Facet, facets};
pub use frame::Frame;
pub use glam::{DMat3, DVec2, DVec3};
pub use hull::{Hull, HullError};
pub use outline::Outline;
pub use round::Round;
pub use round_hull::RoundHull;
pub use solid::{HalfSpace, Intervals, Prism, Ray, Solid, TorusArc};
pub use surface::{Nearest, Surface};

/// Two places nearer than this are the same place: a tenth of a micrometre, far under anything a shop can measure and
/// far over the rounding of coordinates of a few metres in f64.
pub const SAME_PLACE: f64 = 1e-7;

/// Two unit vectors whose cross product is shorter than this are parallel (2e-6 degrees).
pub const PARALLEL: f64 = 1e-8;
