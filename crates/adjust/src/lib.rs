//! Measurements of points as a workshop takes them, adjusted as a network by least squares.
//!
//! A [`Network`] is named points with designed places, and measurements with standard deviations. [`adjust`] gives where
//! the points are, how well they are known, which measurements are wrong, and what was not measured;
//! [`Answer::next_distances`] what one more tape distance would tell. [`fit`] lays measured points on the design;
//! [`tolerance`] has the general tolerances of welded work. SI units, design axes. `docs/methods/build.md` has the method.
//!
//! ```
//! use adjust::{Blunders, Network, Observation, Point, adjust};
//! use glam::DVec3;
//!
//! // A square of 1 m on fixed corners a and b, with both diagonals; the tape read 1 mm too long on one side.
//! let at = |x, y| DVec3::new(x, y, 0.0);
//! let mut c = Point::free("c", at(1.0, 1.0));
//! let mut d = Point::free("d", at(0.0, 1.0));
//! for p in [&mut c, &mut d] {
//!     p.hold[2] = adjust::Hold::Fixed;
//! }
//! let points = vec![Point::fixed("a", at(0.0, 0.0)), Point::fixed("b", at(1.0, 0.0)), c, d];
//! let tape = |a, b, l| Observation::distance(&format!("{a}{b}"), a, b, l, 0.001);
//! let observations = vec![
//!     tape("b", "c", 1.0), tape("c", "d", 1.001), tape("d", "a", 1.0), tape("a", "c", 2f64.sqrt()), tape("b", "d", 2f64.sqrt()),
//! ];
//! let answer = adjust(&Network { points, observations, ..Network::default() }, Blunders::LeaveOut);
//! assert_eq!(answer.freedom, 1);
//! assert!(answer.problems.is_empty() && answer.loose.is_empty() && answer.convergence.converged);
//! ```

mod answer;
pub mod chance;
mod datum;
mod dice;
pub mod fit;
mod mirror;
mod model;
mod network;
mod next;
mod normal;
mod ready;
mod search;
mod solve;
pub mod tolerance;

pub use answer::{Answer, Blunder, Ellipsoid, Global, LevelFound, Placed, Row, Seen, TiltFound, Verdict};
pub use datum::{Loose, Open};
pub use network::{Axis, Blunders, Hold, Kind, Network, Observation, Point, Problem, Setup, Tilt, Why};
pub use next::Gain;
pub use search::{CRITICAL, FOUND, UNCHECKED, adjust};
pub use solve::Convergence;
