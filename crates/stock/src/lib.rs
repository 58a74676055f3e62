//! Which stick each piece comes from.
