//! The measured sheet beside a design.

use std::path::{Path, PathBuf};

use review::{Made, Review};

/// Where it is: `gorse.measured.toml` of `gorse.toml`.
pub fn sheet_of(design: &Path) -> PathBuf {
    design.with_extension("measured.toml")
}

/// Lays the sheet over the answers; nothing happens if there is none.
///
/// # Errors
/// If it can't be read, in words.
pub fn lay(sheet: &Path, r: &mut Review, made: &Made) -> Result<(), String> {
    if !sheet.exists() {
        return Ok(());
    }
    let text = crate::files::text(sheet)?;
    r.measured(&text, made).map_err(|p| design::render(&p, &sheet.display().to_string(), &text))
}

/// As [`lay`], with the sheet and the record that stand beside a design.
///
/// # Errors
/// If either can't be read, in words.
pub fn beside(design: &Path, r: &mut Review) -> Result<(), String> {
    let sheet = sheet_of(design);
    if !sheet.exists() {
        return Ok(());
    }
    let made = crate::made::beside(design, r)?;
    lay(&sheet, r, &made)
}
