//! Every dependency's licence must go with MIT OR Apache-2.0.

use std::process::Command;

use serde_json::Value;

use crate::step::{root, say};

/// Licences whose terms a program under MIT OR Apache-2.0 can meet by passing on the notice.
const ALLOWED: [&str; 12] = [
    "MIT",
    "MIT-0",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "Zlib",
    "0BSD",
    "CC0-1.0",
    "Unicode-3.0",
    "Unlicense",
];

/// Whether a licence expression can be met: one side of each OR, both of each AND.
pub fn allowed(expression: &str) -> bool {
    let e = expression.replace('/', " OR ").replace(['(', ')'], " ");
    // AND binds closer than OR. Brackets group only ORs in the crates seen; an AND across them is then too strict.
    if expression.contains(") AND") || expression.contains("AND (") {
        return e.split(" AND ").all(|a| a.split(" OR ").any(|t| ALLOWED.contains(&t.trim())));
    }
    e.split(" OR ").any(|side| side.split(" AND ").all(|t| ALLOWED.contains(&t.trim())))
}

/// Checks all packages of the lock file.
pub fn run() -> Result<(), String> {
    say("licences of all dependencies");
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".into());
    let out = Command::new(cargo)
        .args(["metadata", "--format-version", "1", "--locked"])
        .current_dir(root())
        .output()
        .map_err(|e| format!("can't start cargo metadata: {e}"))?;
    if !out.status.success() {
        return Err(format!("cargo metadata: {}", String::from_utf8_lossy(&out.stderr)));
    }
    let data: Value = serde_json::from_slice(&out.stdout).map_err(|e| format!("cargo metadata: {e}"))?;
    let packages = data["packages"].as_array().ok_or("cargo metadata names no packages")?;
    let mut bad = Vec::new();
    for p in packages {
        let licence = p["license"].as_str().unwrap_or("none given");
        if !allowed(licence) {
            bad.push(format!("{} {}: {licence}", p["name"], p["version"]));
        }
    }
    if !bad.is_empty() {
        return Err(format!("licences that do not go with MIT OR Apache-2.0:\n  {}", bad.join("\n  ")));
    }
    println!("   {} packages, all under licences that go with MIT OR Apache-2.0", packages.len());
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::allowed;

    #[test]
    fn expressions() {
        assert!(allowed("MIT OR Apache-2.0"));
        assert!(allowed("MIT/Apache-2.0"));
        assert!(allowed("(MIT OR Apache-2.0) AND Unicode-3.0"));
        assert!(allowed("GPL-3.0 OR MIT"));
        assert!(!allowed("GPL-3.0"));
        assert!(!allowed("MIT AND GPL-3.0"));
        assert!(!allowed("(MIT OR Apache-2.0) AND GPL-3.0"));
        assert!(!allowed("none given"));
    }
}
