//! The printed packet: pages first, then PDF.

pub mod face;
pub mod page;
pub mod pdf;
