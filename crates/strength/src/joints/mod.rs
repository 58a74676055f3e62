//! Does the wall hold where a tube is welded on another? Resistances of welded joints of hollow sections by the formulas of
//! EN 1993-1-8:2005, section 7 (from memory; `docs/methods/joints.md` has them, their ranges and what is left out).
//!
//! [`check`] is a pure function of a [`Node`]: a chord and its braces as plain numbers. [`groups`] and [`node`] make nodes from
//! a shape and the forces in it.

mod check;
mod chs;
mod classify;
mod node;
mod place;
mod planes;
mod pull;
mod range;
mod report;
mod rhs;
mod section;
mod weld;
mod words;

pub use check::{Prepared, Rules, SMALL_MOMENT, check};
pub use node::{Brace, Chord, Node};
pub use place::{Standing, groups, node};
pub use pull::{Ends, Pull, pulls};
pub use range::{NotChecked, Range, Unit};
pub use report::{Bending, Checked, Kind, Mode, Part, Report, Resistance};
pub use section::{Form, Hollow, Steel};
pub use weld::{Throat, correlation, fillet_strength, full_strength, throat};
pub use words::say;

pub(crate) use place::{ended, hollow};
pub(crate) use weld::wanted;

use check::{Look, least};
