//! What holds it while it is welded.
pub mod saddle;
