//! The tubewright program.
fn main() {}
