//! Quantities as text that is read back as the same number.

use super::decimal::MAX_DIGITS;
use super::read::Amount;
use super::{Decimal, Factor, Quantity, Unit};
use crate::model::Units;

/// Text of a number, and whether it must stand in quotes.
#[derive(Clone, Debug, PartialEq)]
pub enum NumberText {
    /// A TOML number.
    Number(String),
    /// A fraction, to be quoted.
    Fraction(String),
}

/// Finest fraction of an inch that is written as a fraction.
pub const FINEST_FRACTION: u64 = 64;

/// The shortest decimal that is read back, in `unit`, as exactly `si`. (For degrees and ksi, whose factor is no decimal:
/// as the nearest number that there is.)
pub fn decimal_text(si: f64, unit: Unit) -> String {
    if si == 0.0 || !si.is_finite() {
        return "0".to_owned();
    }
    let negative = si < 0.0;
    let (digits, exponent) = shortest(si.abs());
    let (digits, exponent) = match unit.factor() {
        Factor::Decimal(1, shift) => (digits, exponent - shift),
        Factor::Decimal(factor, shift) => divide_exactly(si.abs(), digits, exponent - shift, factor, unit),
        Factor::Float(factor) => nearest_quotient(si.abs(), factor),
    };
    plain(negative, digits, exponent)
}

/// Digits and exponent of the shortest decimal that is this positive number.
fn shortest(value: f64) -> (u128, i32) {
    let text = format!("{value:e}");
    let d = Decimal::parse(&text).unwrap_or(Decimal { negative: false, digits: 0, exponent: 0 });
    (d.digits, d.exponent)
}

/// The fewest digits of `digits × 10^exponent / factor` that come back as `si`.
fn divide_exactly(si: f64, digits: u128, exponent: i32, factor: u64, unit: Unit) -> (u128, i32) {
    // What fits in 128 bits: after division by the largest factor that is more than an f64 has.
    const MOST: u32 = 37;
    let more = MOST.saturating_sub(digits.to_string().len() as u32);
    let full = digits * 10u128.pow(more) / u128::from(factor);
    let exponent = exponent - more as i32;
    let count = full.to_string().len() as u32;
    for kept in 1..=(MAX_DIGITS as u32).min(count) {
        let drop = count - kept;
        let scale = 10u128.pow(drop);
        let rounded = (full + scale / 2) / scale;
        let candidate = Decimal { negative: false, digits: rounded, exponent: exponent + drop as i32 };
        if candidate.to_si(unit) == si {
            return trim(candidate.digits, candidate.exponent);
        }
    }
    let drop = count.saturating_sub(MAX_DIGITS as u32);
    trim(full / 10u128.pow(drop), exponent + drop as i32)
}

/// The shortest decimal near `si / factor` whose product with the factor is `si`, or nearly so.
fn nearest_quotient(si: f64, factor: f64) -> (u128, i32) {
    let quotient = si / factor;
    // 17 digits name every f64.
    for kept in 0..17usize {
        let text = format!("{quotient:.kept$e}");
        if let Some(d) = Decimal::parse(&text)
            && d.scaled(1, 0) * factor == si
        {
            return trim(d.digits, d.exponent);
        }
    }
    // The quotient's neighbours may be nearer than itself.
    let near = [quotient, quotient.next_up(), quotient.next_down()];
    let best = near.into_iter().min_by(|a, b| (a * factor - si).abs().total_cmp(&(b * factor - si).abs()));
    shortest(best.unwrap_or(quotient))
}

fn trim(mut digits: u128, mut exponent: i32) -> (u128, i32) {
    while digits != 0 && digits.is_multiple_of(10) {
        digits /= 10;
        exponent += 1;
    }
    (digits, exponent)
}

/// Writes digits × 10^exponent as TOML has it.
fn plain(negative: bool, digits: u128, exponent: i32) -> String {
    let sign = if negative { "-" } else { "" };
    let text = digits.to_string();
    let point = text.len() as i32 + exponent;
    // Beyond these the zeros are harder to count than an exponent is to read.
    if !(-5..=15).contains(&point) {
        return format!("{sign}{digits}e{exponent}");
    }
    if exponent >= 0 {
        format!("{sign}{text}{}", "0".repeat(exponent as usize))
    } else if point > 0 {
        format!("{sign}{}.{}", &text[..point as usize], &text[point as usize..])
    } else {
        format!("{sign}0.{}{text}", "0".repeat(point.unsigned_abs() as usize))
    }
}

/// Inches as a fraction, if the length is an exact multiple of 1/64 in that is not whole: `1 3/4`.
pub fn fraction_text(si: f64) -> Option<String> {
    let count = (si.abs() / 0.0254 * FINEST_FRACTION as f64).round();
    if !(1.0..=1e9).contains(&count) {
        return None;
    }
    let num = count as u64;
    let exact = Amount::Ratio { num, den: FINEST_FRACTION }.to_si(Unit::In);
    if exact != si.abs() || num.is_multiple_of(FINEST_FRACTION) {
        return None;
    }
    let shift = num.trailing_zeros().min(FINEST_FRACTION.trailing_zeros());
    let (num, den) = (num >> shift, FINEST_FRACTION >> shift);
    let sign = if si < 0.0 { "-" } else { "" };
    let (whole, num) = (num / den, num % den);
    Some(if whole == 0 { format!("{sign}{num}/{den}") } else { format!("{sign}{whole} {num}/{den}") })
}

/// A length in the file's units: a fraction if these are inches and it is one, else the shortest decimal that is read
/// back as exactly this.
pub fn length_text(si: f64, units: Units) -> NumberText {
    let fraction = if units == Units::In { fraction_text(si) } else { None };
    match fraction {
        Some(text) => NumberText::Fraction(text),
        None => NumberText::Number(decimal_text(si, Quantity::Length.plain_unit(units))),
    }
}

/// A quantity for a message: to `DIGITS` significant digits, with its unit.
pub fn show(si: f64, quantity: Quantity, units: Units) -> String {
    // Messages are read, not computed with.
    const DIGITS: usize = 6;
    let unit = quantity.plain_unit(units);
    if !si.is_finite() {
        return si.to_string();
    }
    let factor = match unit.factor() {
        Factor::Decimal(f, e) => f as f64 * 10f64.powi(e),
        Factor::Float(f) => f,
    };
    let rounded: f64 = format!("{:.*e}", DIGITS - 1, si / factor).parse().unwrap_or(si / factor);
    let number = decimal_text(rounded, Unit::One);
    match unit {
        Unit::Degree | Unit::Percent | Unit::One => format!("{number}{}", unit.symbol()),
        _ => format!("{number} {}", unit.symbol()),
    }
}
