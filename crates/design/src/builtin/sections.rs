//! Sizes of tube that a shop can usually buy.
//!
//! The corner radii are those that EN 10219-2 and EN 10210-2 give for calculation: outside 2 × wall and inside 1 × wall
//! for cold-formed tube (wall up to 6 mm), outside 1.5 × wall for hot-finished. The choice of sizes is common practice,
//! no source; those of the steel tables that the section properties are tested against are among them.

use std::collections::HashMap;
use std::sync::LazyLock;

use crate::model::{SectionShape, Units};
use crate::units::{Decimal, Quantity};

/// A size of tube.
#[derive(Clone, Debug, PartialEq)]
pub struct BuiltinSection {
    /// Its name, as a design file has it under `size`.
    pub name: String,
    /// Its outline.
    pub shape: SectionShape,
    /// Where the size and its corner radius come from.
    pub source: &'static str,
}

const COLD: &str = "EN 10219-2, cold formed; box corners outside 2 × wall";
const HOT: &str = "EN 10210-2, hot finished; box corners outside 1.5 × wall";
const PRECISION: &str = "EN 10305-1, drawn precision tube, from memory";
const INCH: &str = "ASTM A513, common inch sizes, from memory; box corners outside 2 × wall";

/// Outside diameters (mm) with walls (mm), cold formed.
static COLD_ROUND: &[(&str, &[&str])] = &[
    ("21.3", &["2.0", "2.5", "3.0"]),
    ("26.9", &["2.0", "2.5", "3.0"]),
    ("33.7", &["2.0", "2.5", "3.0", "4.0"]),
    ("42.4", &["2.0", "2.5", "3.0", "4.0"]),
    ("48.3", &["2.0", "2.5", "3.0", "4.0", "5.0"]),
    ("60.3", &["2.0", "2.5", "3.0", "4.0", "5.0"]),
    ("76.1", &["2.5", "3.0", "4.0", "5.0"]),
    ("88.9", &["3.0", "4.0", "5.0"]),
];

static HOT_ROUND: &[(&str, &[&str])] = &[
    ("33.7", &["3.2", "4.0"]),
    ("42.4", &["3.2", "4.0"]),
    ("48.3", &["3.2", "4.0", "5.0"]),
    ("60.3", &["3.2", "4.0", "5.0"]),
];

/// Height and width (mm) with walls (mm), cold formed.
static COLD_BOX: &[(&str, &str, &[&str])] = &[
    ("20", "20", &["2.0"]),
    ("25", "25", &["2.0", "2.5", "3.0"]),
    ("30", "30", &["2.0", "2.5", "3.0"]),
    ("40", "40", &["2.0", "2.5", "3.0", "4.0"]),
    ("50", "50", &["2.0", "2.5", "3.0", "4.0", "5.0"]),
    ("60", "60", &["2.0", "2.5", "3.0", "4.0", "5.0"]),
    ("80", "80", &["3.0", "4.0", "5.0"]),
    ("40", "20", &["2.0", "2.5", "3.0"]),
    ("50", "25", &["2.0", "2.5", "3.0"]),
    ("50", "30", &["2.0", "2.5", "3.0", "4.0"]),
    ("60", "40", &["2.0", "2.5", "3.0", "4.0"]),
    ("80", "40", &["2.0", "3.0", "4.0"]),
    ("80", "50", &["3.0", "4.0"]),
    ("100", "50", &["3.0", "4.0", "5.0"]),
];

static HOT_BOX: &[(&str, &str, &[&str])] =
    &[("40", "40", &["3.2", "4.0"]), ("50", "50", &["3.2", "4.0", "5.0"]), ("60", "40", &["3.2", "4.0"])];

static PRECISION_ROUND: &[(&str, &[&str])] = &[
    ("16", &["1.5", "2.0"]),
    ("20", &["1.5", "2.0", "2.5"]),
    ("22", &["1.5", "2.0"]),
    ("25", &["1.5", "2.0", "2.5"]),
    ("28", &["1.5", "2.0", "2.5"]),
    ("30", &["1.5", "2.0", "2.5", "3.0"]),
    ("32", &["1.5", "2.0", "2.5", "3.0"]),
    ("35", &["1.5", "2.0", "2.5", "3.0"]),
    ("38", &["1.5", "2.0", "2.5", "3.0", "4.0"]),
    ("40", &["1.5", "2.0", "2.5", "3.0", "4.0"]),
    ("42", &["2.0", "2.5", "3.0"]),
    ("45", &["1.5", "2.0", "2.5", "3.0", "4.0"]),
    ("50", &["1.5", "2.0", "2.5", "3.0", "4.0"]),
    ("60", &["2.0", "2.5", "3.0", "4.0"]),
];

static INCH_ROUND: &[(&str, &[&str])] = &[
    ("0.75", &["0.049", "0.065", "0.083"]),
    ("0.875", &["0.049", "0.065", "0.083", "0.095"]),
    ("1", &["0.049", "0.065", "0.083", "0.095", "0.120"]),
    ("1.125", &["0.065", "0.083", "0.095", "0.120"]),
    ("1.25", &["0.049", "0.065", "0.083", "0.095", "0.120"]),
    ("1.375", &["0.049", "0.065", "0.083", "0.095", "0.120"]),
    ("1.5", &["0.049", "0.065", "0.083", "0.095", "0.120"]),
    ("1.625", &["0.065", "0.083", "0.095", "0.120"]),
    ("1.75", &["0.065", "0.083", "0.095", "0.120", "0.134"]),
    ("2", &["0.065", "0.083", "0.095", "0.120", "0.134"]),
];

static INCH_BOX: &[(&str, &str, &[&str])] = &[
    ("1", "1", &["0.065", "0.083", "0.095", "0.120"]),
    ("1.25", "1.25", &["0.065", "0.083", "0.095", "0.120"]),
    ("1.5", "1.5", &["0.065", "0.083", "0.095", "0.120"]),
    ("2", "2", &["0.083", "0.095", "0.120", "0.188"]),
    ("2", "1", &["0.065", "0.083", "0.095", "0.120"]),
    ("3", "2", &["0.083", "0.120", "0.188"]),
];

static SECTIONS: LazyLock<Vec<BuiltinSection>> = LazyLock::new(|| {
    let mut all = Vec::new();
    let mut add = |name: String, shape, source| all.push(BuiltinSection { name, shape, source });
    for (prefix, sizes, source) in [("CHS", COLD_ROUND, COLD), ("HF CHS", HOT_ROUND, HOT)] {
        for (od, walls) in sizes {
            for wall in *walls {
                add(format!("{prefix} {od} x {wall}"), round(od, wall, Units::Mm), source);
            }
        }
    }
    for (prefix, sizes, source, corner) in [("", COLD_BOX, COLD, 2.0), ("HF ", HOT_BOX, HOT, 1.5)] {
        for (height, width, walls) in sizes {
            let kind = if height == width { "SHS" } else { "RHS" };
            for wall in *walls {
                let name = format!("{prefix}{kind} {height} x {width} x {wall}");
                add(name, boxed(height, width, wall, corner, Units::Mm), source);
            }
        }
    }
    for (od, walls) in PRECISION_ROUND {
        for wall in *walls {
            add(format!("{od} x {wall} mm"), round(od, wall, Units::Mm), PRECISION);
        }
    }
    for (od, walls) in INCH_ROUND {
        for wall in *walls {
            add(format!("{od} x {wall} in"), round(od, wall, Units::In), INCH);
        }
    }
    for (height, width, walls) in INCH_BOX {
        for wall in *walls {
            add(format!("{height} x {width} x {wall} in"), boxed(height, width, wall, 2.0, Units::In), INCH);
        }
    }
    all
});

static BY_NAME: LazyLock<HashMap<String, usize>> =
    LazyLock::new(|| SECTIONS.iter().enumerate().map(|(i, s)| (plain_name(&s.name), i)).collect());

fn round(od: &str, wall: &str, units: Units) -> SectionShape {
    SectionShape::Round { od: si(od, units), wall: si(wall, units) }
}

fn boxed(height: &str, width: &str, wall: &str, corner_walls: f64, units: Units) -> SectionShape {
    let wall = si(wall, units);
    SectionShape::Box { width: si(width, units), height: si(height, units), wall, corner: corner_walls * wall }
}

/// As a design file would have it read.
fn si(text: &str, units: Units) -> f64 {
    Decimal::parse(text).map_or(f64::NAN, |d| d.to_si(Quantity::Length.plain_unit(units)))
}

/// A name without what people write differently: case, blanks, `×`, zeros at the end of a decimal.
fn plain_name(name: &str) -> String {
    let lower = name.to_lowercase().replace(['×', '*'], "x");
    let mut out = String::with_capacity(lower.len());
    let mut rest = lower.as_str();
    while let Some(c) = rest.chars().next() {
        let length = if c.is_ascii_digit() || c == '.' {
            let length = rest.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(rest.len());
            let number = &rest[..length];
            out.push_str(if number.contains('.') {
                number.trim_end_matches('0').trim_end_matches('.')
            } else {
                number
            });
            length
        } else {
            if !c.is_whitespace() {
                out.push(c);
            }
            c.len_utf8()
        };
        rest = &rest[length..];
    }
    out
}

/// All built-in sections.
pub fn builtin_sections() -> &'static [BuiltinSection] {
    &SECTIONS
}

/// The built-in section of that name; `chs 48.3×3` is found as `CHS 48.3 x 3.0`.
pub fn builtin_section(name: &str) -> Option<&'static BuiltinSection> {
    BY_NAME.get(&plain_name(name)).map(|i| &SECTIONS[*i])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_found_however_they_are_written() {
        assert_eq!(BY_NAME.len(), builtin_sections().len());
        for section in builtin_sections() {
            assert_eq!(builtin_section(&section.name), Some(section));
        }
        assert_eq!(builtin_section("chs 48.3×3").unwrap().name, "CHS 48.3 x 3.0");
        assert_eq!(builtin_section("1.50x0.095in").unwrap().name, "1.5 x 0.095 in");
        assert_eq!(builtin_section("38 x 2.5 mm").unwrap().shape, SectionShape::Round { od: 0.038, wall: 0.0025 });
        assert_eq!(builtin_section("CHS 48.3 x 3.1"), None);
    }

    #[test]
    fn every_wall_fits_its_section() {
        for section in builtin_sections() {
            let across = match section.shape {
                SectionShape::Round { od, .. } => od,
                SectionShape::Box { width, height, corner, .. } => {
                    assert!(corner <= width.min(height) / 2.0, "{}", section.name);
                    width.min(height)
                }
            };
            assert!(section.shape.wall() > 0.0 && section.shape.wall() < across / 2.0, "{}", section.name);
        }
    }
}
