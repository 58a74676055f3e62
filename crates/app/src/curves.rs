//! Reading the files of a design's curves and rules; and all files that a design names.

use std::path::Path;

use design::{CurvePoints, Design, Units};
use review::Given;
use review::curves::FilePoints;

use crate::skins::{self, Hashes, beside, folder};

/// A larger file is no line that somebody drew: a hundred bytes for each of the most points.
const LARGEST: u64 = 1 << 20;

/// Points for each curve of a design; `None` where they stand in the design.
pub fn load(design_file: &Path, design: &Design) -> Vec<FilePoints> {
    let unit = match design.units {
        Units::Mm => 1e-3,
        Units::In => 0.0254,
    };
    let one = |file: &String| {
        let bytes = beside(folder(design_file), file, LARGEST)?;
        let text = String::from_utf8(bytes).map_err(|_| "it is not UTF-8 text".to_owned())?;
        curve::table::points(&text, unit)
    };
    let points = design.curves.iter().map(|c| match &c.points {
        CurvePoints::File(file) => Some(one(file)),
        CurvePoints::Places(_) => None,
    });
    points.collect()
}

/// A larger file holds no rules that anybody reads.
const LARGEST_RULES: u64 = 1 << 20;

/// The rule sets that a design names: built in, or files beside it.
pub fn rule_sets(design_file: &Path, design: &Design) -> Vec<review::rules::Named> {
    let one = |name: &String| {
        if !is_file(name) {
            return rules::sets::built_in(name).ok_or_else(|| {
                let names = rules::sets::BUILT_IN.iter().map(|s| s.0);
                match design::nearest(name, names) {
                    Some(near) => format!("no built-in set is called {name}: did you mean {near}?"),
                    None => format!("no built-in set is called {name}, and a file's name ends in .toml"),
                }
            });
        }
        let bytes = beside(folder(design_file), name, LARGEST_RULES)?;
        let text = String::from_utf8(bytes).map_err(|_| "it is not UTF-8 text".to_owned())?;
        design::rules::read(&text).map_err(|p| design::render(&p, name, &text).trim_end().to_owned())
    };
    design.rule_sets.iter().map(|name| (name.clone(), one(name))).collect()
}

/// The names of all files of a design: skins, curves and rules.
pub fn named(design: &Design) -> impl Iterator<Item = &String> {
    let curves = design.curves.iter().filter_map(|c| match &c.points {
        CurvePoints::File(file) => Some(file),
        CurvePoints::Places(_) => None,
    });
    let rules = design.rule_sets.iter().filter(|name| is_file(name));
    design.skins.iter().map(|s| &s.file).chain(curves).chain(rules)
}

/// Whether a rule set is a file beside the design; else it is a built-in one.
fn is_file(rule_set: &str) -> bool {
    rule_set.ends_with(".toml")
}

/// What all files of a design hold, and the hashes of its skins' files.
pub fn given(design_file: &Path, design: &Design) -> (Given, Hashes) {
    let (meshes, hashes) = skins::load(design_file, design);
    (Given { meshes, curves: load(design_file, design), rules: rule_sets(design_file, design) }, hashes)
}
