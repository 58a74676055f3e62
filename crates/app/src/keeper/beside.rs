//! The files that a design names, changed by other programs: skins, curves and rule sets.

use std::path::Path;
use std::time::SystemTime;

use design::Design;
use strength::Depth;

use super::{Keeper, text};
use crate::curves;
use crate::skins::folder;

/// Each file's name, size and time; none for one that is not there.
pub type Stamps = Vec<(String, Option<(u64, SystemTime)>)>;

/// How the files of a design are now.
pub fn stamps(design_file: &Path, design: &Design) -> Stamps {
    let stamp = |name: &String| {
        let meta = std::fs::metadata(folder(design_file).join(name)).ok()?;
        Some((meta.len(), meta.modified().unwrap_or(SystemTime::UNIX_EPOCH)))
    };
    curves::named(design).map(|name| (name.clone(), stamp(name))).collect()
}

impl Keeper {
    /// Answers anew if one of the design's files is another than it was. Stamps are taken before the files are read: what
    /// changes in between is found at the next look.
    pub(super) fn look_beside(&mut self) {
        let now = stamps(&self.path, self.doc.design());
        if now == self.beside {
            return;
        }
        self.beside = now;
        // The design itself is as it was when it was read, and what is wrong with its files is told as findings.
        if let Ok(review) = text::review(&self.path, &self.doc, &self.made, Depth::Live) {
            self.put(self.doc.clone(), review, self.state);
        }
    }
}
