//! Joints of hollow sections. Sources: EN 1993-1-8:2005, section 7, from memory; values recomputed by hand from its formulas
//! where no other source is named (`docs/methods/joints.md`).

mod common;
mod random;
mod ranges;
mod sharing;
mod tables;
mod welds;
