//! The printed packet.
