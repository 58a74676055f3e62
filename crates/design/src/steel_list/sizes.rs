//! Sections by their size: `45 x 2.5`, `CHS 48.3 x 3.0`, `1 3/4" x .120"`, `RHS 80 x 50 x 3`.

use std::borrow::Cow;

use crate::model::{Design, SectionShape, Units};
use crate::units::{Quantity, Written, parse_text};

/// Sizes nearer than this are one size, m: a hundredth of a millimetre, so that an inch size may be given in millimetres.
/// No two walls or diameters that are rolled lie so near.
const SAME: f64 = 1e-5;

/// The sections that have a size, by their places; `None` if the text is no size.
pub fn of<'t>(text: &'t str, design: &Design, pointed: impl Fn(&'t str) -> Cow<'t, str>) -> Option<Vec<usize>> {
    let (word, rest) = text.split_at(text.find(|c: char| c.is_ascii_digit() || matches!(c, '.' | ','))?);
    let (round, square) = match word.trim().to_lowercase().as_str() {
        "" => (true, true),
        "chs" | "round" | "ø" | "⌀" => (true, false),
        "rhs" | "shs" | "box" => (false, true),
        _ => return None,
    };
    let parts: Vec<Cow<'_, str>> = rest.split(['x', 'X', '×', '*']).map(|p| pointed(p.trim())).collect();
    let sizes = lengths(&parts, design.units)?;
    let near = |a: f64, b: f64| (a - b).abs() < SAME;
    let fits = |shape: &SectionShape| match (*shape, &sizes[..]) {
        (SectionShape::Round { od, wall }, [a, t]) => round && near(od, *a) && near(wall, *t),
        (SectionShape::Box { width, height, wall, .. }, [a, t]) => {
            square && near(width, *a) && near(height, *a) && near(wall, *t)
        }
        (SectionShape::Box { width, height, wall, .. }, [a, b, t]) => {
            let sides = (near(width, *a) && near(height, *b)) || (near(width, *b) && near(height, *a));
            square && sides && near(wall, *t)
        }
        _ => false,
    };
    Some((0..design.sections.len()).filter(|&i| fits(&design.sections[i].shape)).collect())
}

/// Two or three lengths; a unit that only the last one names is that of all.
fn lengths(parts: &[Cow<'_, str>], units: Units) -> Option<Vec<f64>> {
    if !(2..=3).contains(&parts.len()) {
        return None;
    }
    let read = |text: &str| parse_text(text, Quantity::Length, units).ok().filter(|w| w.value > 0.0);
    let last: Written = read(&parts[parts.len() - 1])?;
    let one = |text: &str| {
        let plain = read(text);
        match (last.unit, plain) {
            (Some(unit), Some(Written { unit: None, .. }) | None) => read(&format!("{text} {}", unit.symbol())),
            _ => plain,
        }
    };
    let before = parts[..parts.len() - 1].iter().map(|p| one(p).map(|w| w.value));
    before.chain([Some(last.value)]).collect()
}
