//! The project chores.
fn main() {}
