//! Holds `docs/ARCHITECTURE.md` against the tree.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_path_buf()
}

/// Floor of each crate, from the page's table.
fn floors() -> BTreeMap<String, u32> {
    let page = fs::read_to_string(root().join("docs/ARCHITECTURE.md")).unwrap();
    page.lines()
        .filter_map(|l| {
            let cells: Vec<&str> = l.trim_matches('|').split('|').map(str::trim).collect();
            Some((cells.get(1)?.to_string(), cells.first()?.parse().ok()?))
        })
        .collect()
}

/// Name and own dependencies (of this workspace) of each crate.
fn crates() -> BTreeMap<String, Vec<String>> {
    let names = floors();
    fs::read_dir(root().join("crates"))
        .unwrap()
        .map(|d| {
            let text = fs::read_to_string(d.unwrap().path().join("Cargo.toml")).unwrap();
            let name = text.lines().find_map(|l| l.strip_prefix("name = ")).unwrap().trim_matches('"').to_owned();
            let normal = text.split("[dependencies]").nth(1).unwrap_or("").split("\n[").next().unwrap_or("");
            let uses = normal
                .lines()
                .filter_map(|l| l.split(['.', ' ', '=']).next())
                .filter(|n| names.contains_key(*n))
                .map(str::to_owned)
                .collect();
            (name, uses)
        })
        .collect()
}

#[test]
fn every_crate_stands_on_its_floor() {
    let floors = floors();
    let crates = crates();
    assert_eq!(
        floors.keys().collect::<Vec<_>>(),
        crates.keys().collect::<Vec<_>>(),
        "the table and the folders under crates/ name the same crates"
    );
    for (name, uses) in &crates {
        for u in uses {
            assert!(floors[u] < floors[name], "{name} (floor {}) uses {u} (floor {})", floors[name], floors[u]);
        }
    }
    assert!(crates["review"].contains(&"stock".to_owned()), "dependencies are read");
}

#[test]
fn paths_named_in_the_docs_exist() {
    for page in [
        "README.md",
        "docs/ARCHITECTURE.md",
        "docs/methods/build.md",
        "docs/methods/curves.md",
        "docs/methods/cutting.md",
        "docs/methods/jigs.md",
        "docs/methods/rollover.md",
        "docs/methods/shape.md",
        "docs/methods/skin.md",
        "docs/methods/strength.md",
    ] {
        let text = fs::read_to_string(root().join(page)).unwrap();
        let mut named = 0;
        for word in text.split('`').skip(1).step_by(2) {
            let first = word.split('/').next().unwrap_or("");
            if ["crates", "docs", "examples", "reference", "xtask"].contains(&first) && word.contains('/') {
                named += 1;
                assert!(root().join(word).exists(), "{page} names {word}, which is not there");
            }
        }
        assert!(named > 0 || page == "docs/methods/shape.md", "{page} names no path");
    }
}

#[test]
fn only_the_program_and_the_chores_touch_files() {
    for name in [
        "geometry", "design", "mesh", "adjust", "curve", "shape", "cutting", "stock", "jigs", "rollover", "review",
        "packet",
    ] {
        visit(&root().join("crates").join(name).join("src"), &mut |path, text| {
            let code = text.split("#[cfg(test)]").next().unwrap_or("");
            for word in ["std::fs", "std::net", "SystemTime", "Instant::now"] {
                assert!(!code.contains(word), "{} uses {word}", path.display());
            }
        });
    }
}

fn visit(dir: &Path, f: &mut dyn FnMut(&Path, &str)) {
    for e in fs::read_dir(dir).unwrap() {
        let path = e.unwrap().path();
        if path.is_dir() {
            visit(&path, f);
        } else if path.extension().is_some_and(|x| x == "rs") {
            f(&path, &fs::read_to_string(&path).unwrap());
        }
    }
}
