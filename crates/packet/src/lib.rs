//! The documents and exchange files for the shop.
//!
//! Everything here reads a [`Review`] and writes bytes; nothing touches a file.

pub mod exchange;
pub mod fitting;
pub mod sheet;

/// One file of the packet.
#[derive(Clone, Debug, PartialEq)]
pub struct File {
    /// Path within the packet's folder, with `/` between parts.
    pub path: String,
    /// Contents.
    pub bytes: Vec<u8>,
}

/// All files of a packet.
pub fn files(review: &review::Review, id: &sheet::Identity) -> Result<Vec<File>, String> {
    let (pdf, rest) = rayon::join(|| sheet::pdf(review, id), || exchange::files(review, id));
    let mut out = vec![File { path: "packet.pdf".into(), bytes: pdf? }];
    out.extend(rest?);
    Ok(out)
}
