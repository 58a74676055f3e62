//! x
pub mod ear;
pub mod mesh;
pub mod solid;
