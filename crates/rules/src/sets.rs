//! Built-in rule sets: files of the same kind as a person's own.

use design::rules::{RuleSet, read};

/// Name and text of each.
pub const BUILT_IN: &[(&str, &str)] = &[
    ("student-racing-2026", include_str!("../sets/student-racing-2026.toml")),
    ("touring-cage", include_str!("../sets/touring-cage.toml")),
    ("work-machine", include_str!("../sets/work-machine.toml")),
    ("good-practice", include_str!("../sets/good-practice.toml")),
];

/// The built-in set of that name.
pub fn built_in(name: &str) -> Option<RuleSet> {
    let (_, text) = BUILT_IN.iter().find(|s| s.0 == name)?;
    // A test reads them all.
    read(text).ok()
}
