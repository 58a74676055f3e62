//! Why a joint is not checked, in the design's units.

use design::Units;
use design::units::{Quantity, show};

use super::range::{NotChecked, Range, Unit};

/// Limits of our own, where the standard has none.
const OWN: [&str; 2] = ["offset of the axes", "skew"];

/// In words with the numbers: `the wall of post is too small: 1.2 mm, the standard covers from 2.5 mm`.
pub fn say(e: &NotChecked, units: Units) -> String {
    e.range.as_ref().map_or_else(|| e.why.clone(), |r| format!("{}: {}", e.why, range(r, units)))
}

fn range(r: &Range, units: Units) -> String {
    let (kind, step) = match r.unit {
        Unit::Ratio => (Quantity::Plain, 1e-3),
        // A hundredth of a millimetre, a thousandth of an inch: as walls are told elsewhere.
        Unit::Length => (Quantity::Length, if units == Units::In { 2.54e-5 } else { 1e-5 }),
        Unit::Angle => (Quantity::Angle, 0.1_f64.to_radians()),
        Unit::Stress => (Quantity::Stress, 1e5),
    };
    let rounded = |x: f64| (x / step).round() * step;
    let limit = |x: f64| show(rounded(x), kind, units);
    // The value as it is read, unless rounding would hide by how little it is out.
    let hidden = [r.least, r.most].iter().flatten().any(|&l| rounded(r.value) == rounded(l));
    let value = show(if hidden { r.value } else { rounded(r.value) }, kind, units);
    let who = if OWN.contains(&r.symbol) { "this program" } else { "the standard" };
    // A lower limit next to nothing only keeps out what is no size.
    let least = r.least.filter(|l| *l != f64::MIN_POSITIVE);
    let covered = match (least, r.most) {
        (Some(l), Some(m)) => format!("{} to {}", limit(l), limit(m)),
        (Some(l), None) => format!("from {}", limit(l)),
        (None, Some(m)) => format!("to {}", limit(m)),
        (None, None) => return value,
    };
    format!("{value}, {who} covers {covered}")
}
