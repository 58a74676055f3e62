//! Which stick each piece comes from.
//!
//! Plain data in, result out: pieces with the length that must come off the stick, the sticks on hand and to be had,
//! the saw. Out comes a cutting plan, the bound that no plan can beat, and what to buy. The method, its sources and
//! what it leaves out are in `docs/methods/stock.md`.
//!
//! Parts that do not know each other's workings, so that each can be changed alone: the search finds a packing,
//! the bounds limit what any packing can reach, the exact part closes the gap between the two, and [`check`] tries a finished plan from nothing but its own words.
//!
//! ```
//! use stock::{Piece, Settings, StickKind, check, plan};
//!
//! let piece = |name: &str, length: f64, order| Piece {
//!     name: name.into(), section: "hoop".into(), length, order, ..Piece::default()
//! };
//! let pieces = [piece("sill", 2.1, 0), piece("sill~", 2.1, 1), piece("brace", 1.7, 2)];
//! let sticks = [StickKind { section: "hoop".into(), length: 6.0, price: 74.5, ..StickKind::default() }];
//! let settings = Settings::saw(0.002, 0.005);
//!
//! let plan = plan(&pieces, &sticks, &settings);
//! assert_eq!(plan.cost, 74.5);
//! assert!(plan.proven);
//! assert_eq!(check(&plan, &pieces, &sticks, &settings), Ok(()));
//! ```

mod assemble;
mod bound;
mod check;
mod cover;
mod exact;
mod grid;
mod instance;
mod model;
mod nest;
mod orders;
mod problem;
mod reach;
mod search;
mod solve;

pub use check::{check, check_reach};
pub use model::{
    Bound, Cut, Delivery, Join, Mitre, Offcut, Piece, Plan, Purchase, RackUse, SectionPlan, Settings, StickKind,
    StickPlan,
};
pub use problem::Problem;
pub use reach::{Reach, Stage, StageReach, Unblock, Used, after, reach};

/// Assigns every piece to a stick: sticks on hand first, since they are paid for, then the cheapest bought ones.
///
/// The same input always gives the same plan; the effort is bounded by counted steps, not by a clock. Whatever can't
/// be planned is left out of the plan and named in [`Plan::problems`]; the rest is planned all the same. Only
/// unusable `settings` leave the plan empty.
pub fn plan(pieces: &[Piece], sticks: &[StickKind], settings: &Settings) -> Plan {
    plan_some(pieces, sticks, settings, &|_| true)
}

/// The same for some of the pieces, as if the others were not there; indices stay those of all.
pub(crate) fn plan_some(
    pieces: &[Piece],
    sticks: &[StickKind],
    settings: &Settings,
    wanted: &dyn Fn(usize) -> bool,
) -> Plan {
    let sorted = instance::sort(pieces, sticks, settings, wanted);
    let ordered = orders::solve_all(&sorted.sections, settings);
    assemble::plan(pieces, sticks, settings, &sorted.sections, &ordered, sorted.problems)
}
