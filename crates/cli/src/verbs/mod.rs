//! One file per verb.

pub mod build;
pub mod builtin;
pub mod check;
pub mod curve;
pub mod cutting;
pub mod jigs;
pub mod new;
pub mod open;
pub mod packet;
pub mod rollover;
pub mod shape;
pub mod stance;
pub mod stock;
pub mod strength;
pub mod take_in;
