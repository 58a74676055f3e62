//! The documents and exchange files for the shop.
//!
//! Everything here reads a [`Review`] and writes bytes; nothing touches a file.

pub mod exchange;
pub mod sheet;

/// One file of the packet.
#[derive(Clone, Debug, PartialEq)]
pub struct File {
    /// Path within the packet's folder, with `/` between parts.
    pub path: String,
    /// Contents.
    pub bytes: Vec<u8>,
}
