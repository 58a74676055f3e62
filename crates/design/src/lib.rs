//! The design file: parse, validate, explain, edit.
//!
//! [`read`] turns text into a [`Design`] or into a list of [`Problem`]s, each with the place in the text and what to
//! do. No file is touched here: reading and writing files is the program's business.

pub mod model;
pub mod problem;

pub use model::*;
pub use problem::{Problem, Severity};
