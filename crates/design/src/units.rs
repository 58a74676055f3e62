//! Quantities as people write them, and the one place where they become SI.
//!
//! A decimal is converted as a decimal: `45.3` in a file in mm is the number 0.0453 rounded once, and not 45.3 rounded
//! and then divided. A fraction of an inch is a ratio of whole numbers until the very end. So what [`length_text`]
//! writes is read back as the same f64, and `1 3/4` is the same length as `1.75`.

use crate::model::Units;

/// Kinds of quantity in the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// The file's units, or text with a unit; SI: m.
    Length,
    /// Degrees; SI: rad.
    Angle,
    /// kg, or text with a unit; SI: kg.
    Mass,
    /// MPa, or text with a unit; SI: Pa.
    Stress,
    /// kg/m³.
    Density,
    /// Per cent; SI: a fraction.
    Percent,
    /// Stiffness of a spring, N/mm, or text with a unit; SI: N/m.
    Rate,
    /// A plain number.
    Plain,
}

impl Quantity {
    /// The word for it in messages, with its article.
    pub fn word(self) -> &'static str {
        match self {
            Quantity::Length => "a length",
            Quantity::Angle => "an angle",
            Quantity::Mass => "a mass",
            Quantity::Stress => "a stress",
            Quantity::Density => "a density",
            Quantity::Percent => "a percentage",
            Quantity::Rate => "a spring rate",
            Quantity::Plain => "a number",
        }
    }

    /// Units that text may name, the first being that of a plain number (lengths apart).
    pub fn units(self) -> &'static [Unit] {
        match self {
            Quantity::Length => &[Unit::Mm, Unit::Cm, Unit::M, Unit::In, Unit::Ft],
            Quantity::Angle => &[Unit::Degree],
            Quantity::Mass => &[Unit::Kg, Unit::G, Unit::Lb],
            Quantity::Stress => &[Unit::MPa, Unit::GPa, Unit::Ksi, Unit::Psi],
            Quantity::Density => &[Unit::KgPerM3],
            Quantity::Percent => &[Unit::Percent],
            Quantity::Rate => &[Unit::NPerMm, Unit::LbPerIn],
            Quantity::Plain => &[Unit::One],
        }
    }

    /// Whether text may stand for it, or only a number.
    pub fn takes_text(self) -> bool {
        matches!(self, Quantity::Length | Quantity::Mass | Quantity::Stress | Quantity::Rate)
    }

    /// Unit of a plain number of this kind in a file in `units`.
    pub fn plain_unit(self, units: Units) -> Unit {
        match (self, units) {
            (Quantity::Length, Units::Mm) => Unit::Mm,
            (Quantity::Length, Units::In) => Unit::In,
            _ => self.units()[0],
        }
    }
}

/// Units in which a quantity may be written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Millimetre.
    Mm,
    /// Centimetre.
    Cm,
    /// Metre.
    M,
    /// Inch.
    In,
    /// Foot.
    Ft,
    /// Kilogram.
    Kg,
    /// Gram.
    G,
    /// Pound.
    Lb,
    /// N/mm².
    MPa,
    /// kN/mm².
    GPa,
    /// 1000 pounds-force per square inch.
    Ksi,
    /// Pound-force per square inch.
    Psi,
    /// Degree of angle.
    Degree,
    /// kg/m³.
    KgPerM3,
    /// One in a hundred.
    Percent,
    /// Newton per millimetre.
    NPerMm,
    /// Pound-force per inch.
    LbPerIn,
    /// No unit.
    One,
}

/// Pounds-force per square inch in Pa: 0.453 592 37 kg × 9.806 65 m/s² over (0.0254 m)², all exact by definition.
const PSI: f64 = 44_482_216_152_605.0 / 6_451_600_000.0;

enum Factor {
    /// A whole number times a power of ten: conversion is exact up to one rounding.
    Decimal(u64, i32),
    /// Anything else.
    Float(f64),
}

impl Unit {
    /// How it is written.
    pub fn symbol(self) -> &'static str {
        match self {
            Unit::Mm => "mm",
            Unit::Cm => "cm",
            Unit::M => "m",
            Unit::In => "in",
            Unit::Ft => "ft",
            Unit::Kg => "kg",
            Unit::G => "g",
            Unit::Lb => "lb",
            Unit::MPa => "MPa",
            Unit::GPa => "GPa",
            Unit::Ksi => "ksi",
            Unit::Psi => "psi",
            Unit::Degree => "°",
            Unit::KgPerM3 => "kg/m³",
            Unit::Percent => "%",
            Unit::NPerMm => "N/mm",
            Unit::LbPerIn => "lb/in",
            Unit::One => "",
        }
    }

    fn factor(self) -> Factor {
        match self {
            Unit::Mm | Unit::G => Factor::Decimal(1, -3),
            Unit::Cm | Unit::Percent => Factor::Decimal(1, -2),
            Unit::M | Unit::Kg | Unit::KgPerM3 | Unit::One => Factor::Decimal(1, 0),
            Unit::In => Factor::Decimal(254, -4),
            Unit::Ft => Factor::Decimal(3048, -4),
            Unit::Lb => Factor::Decimal(45_359_237, -8),
            Unit::NPerMm => Factor::Decimal(1, 3),
            // 0.453 592 37 kg × 9.806 65 m/s² over 0.0254 m, all exact by definition.
            Unit::LbPerIn => Factor::Float(44_482_216_152_605.0 / 254_000_000_000.0),
            Unit::MPa => Factor::Decimal(1, 6),
            Unit::GPa => Factor::Decimal(1, 9),
            Unit::Ksi => Factor::Float(1000.0 * PSI),
            Unit::Psi => Factor::Float(PSI),
            Unit::Degree => Factor::Float(std::f64::consts::PI / 180.0),
        }
    }
}

/// More digits than this are dropped: an f64 has 17, and 24 leave room for the inch and the pound in 128 bits.
const MAX_DIGITS: usize = 24;
/// A power of ten beyond this is nothing or infinite as an f64 whatever the digits are.
const MAX_EXPONENT: i32 = 1000;

/// A decimal number, digits × 10^exponent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Decimal {
    negative: bool,
    digits: u128,
    exponent: i32,
}

impl Decimal {
    /// Reads `-12.5e3`, with `_` allowed between digits; nothing else.
    pub fn parse(text: &str) -> Option<Decimal> {
        let (negative, rest) = match text.as_bytes().first()? {
            b'-' => (true, &text[1..]),
            b'+' => (false, &text[1..]),
            _ => (false, text),
        };
        let (mantissa, exponent) = match rest.find(['e', 'E']) {
            Some(i) => (&rest[..i], parse_exponent(&rest[i + 1..])?),
            None => (rest, 0),
        };
        let mut decimal = Decimal { negative, digits: 0, exponent };
        let (mut seen_point, mut seen_digit, mut significant) = (false, false, 0);
        for c in mantissa.bytes() {
            match c {
                b'0'..=b'9' => {
                    seen_digit = true;
                    if significant < MAX_DIGITS {
                        decimal.digits = decimal.digits * 10 + u128::from(c - b'0');
                        significant += usize::from(decimal.digits > 0);
                        decimal.exponent = decimal.exponent.saturating_sub(i32::from(seen_point));
                    } else {
                        decimal.exponent = decimal.exponent.saturating_add(i32::from(!seen_point));
                    }
                }
                b'.' if !seen_point => seen_point = true,
                b'_' => {}
                _ => return None,
            }
        }
        seen_digit.then_some(decimal)
    }

    /// The value in SI; infinite if it is beyond an f64.
    pub fn to_si(self, unit: Unit) -> f64 {
        match unit.factor() {
            Factor::Decimal(whole, exponent) => self.scaled(whole, exponent),
            Factor::Float(factor) => self.scaled(1, 0) * factor,
        }
    }

    fn scaled(self, factor: u64, exponent: i32) -> f64 {
        let digits = self.digits * u128::from(factor);
        let exponent = self.exponent.saturating_add(exponent).clamp(-MAX_EXPONENT, MAX_EXPONENT);
        let value: f64 = format!("{digits}e{exponent}").parse().unwrap_or(f64::INFINITY);
        if self.negative { -value } else { value }
    }
}

fn parse_exponent(text: &str) -> Option<i32> {
    let (negative, digits) = match text.as_bytes().first()? {
        b'-' => (true, &text[1..]),
        b'+' => (false, &text[1..]),
        _ => (false, text),
    };
    if !digits.bytes().any(|c| c.is_ascii_digit()) {
        return None;
    }
    let mut value = 0i32;
    for c in digits.bytes() {
        match c {
            b'0'..=b'9' => value = (value * 10 + i32::from(c - b'0')).min(MAX_EXPONENT),
            b'_' => {}
            _ => return None,
        }
    }
    Some(if negative { -value } else { value })
}

/// How a quantity was written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Written {
    /// The value in SI.
    pub value: f64,
    /// The unit that the text names, if it does.
    pub unit: Option<Unit>,
    /// Whether it is written with a fraction.
    pub fraction: bool,
}

/// Largest whole number in a fraction, so that its conversion stays exact in an f64.
const MAX_WHOLE: u64 = 1_000_000;

#[derive(Clone, Copy)]
enum Amount {
    Decimal(Decimal),
    Ratio { num: u64, den: u64 },
}

impl Amount {
    fn to_si(self, unit: Unit) -> f64 {
        match (self, unit.factor()) {
            (Amount::Decimal(d), _) => d.to_si(unit),
            // Both sides are whole and below 2^53, so that the division is the only rounding.
            (Amount::Ratio { num, den }, Factor::Decimal(whole, exponent)) => {
                let (up, down) = if exponent < 0 { (0, exponent.unsigned_abs()) } else { (exponent.unsigned_abs(), 0) };
                (num as f64 * whole as f64 * 10f64.powi(up as i32)) / (den as f64 * 10f64.powi(down as i32))
            }
            (Amount::Ratio { num, den }, Factor::Float(f)) => num as f64 / den as f64 * f,
        }
    }
}

#[derive(Clone, Copy, PartialEq)]
enum Token<'a> {
    Number(&'a str),
    Slash,
    Dash,
    Unit(&'a str),
}

fn tokens(text: &str) -> Result<Vec<Token<'_>>, String> {
    let mut out = Vec::new();
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let length = match c {
            '0'..='9' | '.' => {
                let plain = rest.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '_')).unwrap_or(rest.len());
                let length = plain + exponent_length(&rest[plain..]);
                out.push(Token::Number(&rest[..length]));
                length
            }
            '/' | '⁄' => {
                out.push(Token::Slash);
                c.len_utf8()
            }
            '-' => {
                out.push(Token::Dash);
                1
            }
            '"' | '″' | '\'' | '′' => {
                out.push(Token::Unit(&rest[..c.len_utf8()]));
                c.len_utf8()
            }
            c if c.is_whitespace() => c.len_utf8(),
            c if c.is_alphabetic() => {
                let word = |from: usize| {
                    rest[from..].find(|c: char| !c.is_alphabetic()).map_or(rest.len(), |length| from + length)
                };
                let mut length = word(0);
                // One unit by another, as in N/mm.
                if rest[length..].starts_with('/') && rest[length + 1..].starts_with(char::is_alphabetic) {
                    length = word(length + 1);
                }
                out.push(Token::Unit(&rest[..length]));
                length
            }
            c => return Err(format!("`{c}` is not part of a quantity")),
        };
        rest = &rest[length..];
    }
    Ok(out)
}

/// Length of `e-3` at the start of `text`, or 0.
fn exponent_length(text: &str) -> usize {
    let Some(after) = text.strip_prefix(['e', 'E']) else { return 0 };
    let digits = after.strip_prefix(['-', '+']).unwrap_or(after);
    let count = digits.bytes().take_while(u8::is_ascii_digit).count();
    if count == 0 { 0 } else { text.len() - digits.len() + count }
}

/// Reads text such as `1 3/4`, `-2 1/2 in`, `45 mm`, `5 ft 10 in` or `205 GPa`. `1-3/4` is the same as `1 3/4`.
///
/// # Errors
/// What is wrong, as a sentence for a message.
pub fn parse_text(text: &str, quantity: Quantity, units: Units) -> Result<Written, String> {
    let trimmed = text.trim();
    let (negative, rest) = match trimmed.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest),
        None => (false, trimmed.strip_prefix('+').unwrap_or(trimmed)),
    };
    let tokens = tokens(rest)?;
    let mut at = 0;
    let mut amount = take_amount(&tokens, &mut at)?;
    let mut unit = take_unit(&tokens, &mut at, quantity)?;
    if unit == Some(Unit::Ft) && at < tokens.len() {
        let inches = take_amount(&tokens, &mut at)?;
        if take_unit(&tokens, &mut at, quantity)? != Some(Unit::In) {
            return Err("feet are followed by inches: \"5 ft 10 in\"".to_owned());
        }
        amount = add_feet(amount, inches)?;
        unit = Some(Unit::In);
    }
    if at < tokens.len() {
        return Err("there is more than one quantity in it".to_owned());
    }
    let fraction = matches!(amount, Amount::Ratio { .. });
    if fraction && unit.is_none() && quantity == Quantity::Length && units == Units::Mm {
        return Err(format!("a fraction needs its unit in a file in mm: \"{trimmed} in\""));
    }
    let value = amount.to_si(unit.unwrap_or_else(|| quantity.plain_unit(units)));
    Ok(Written { value: if negative { -value } else { value }, unit, fraction })
}

fn take_amount(tokens: &[Token], at: &mut usize) -> Result<Amount, String> {
    let rest = &tokens[*at..];
    let (used, amount) = match *rest {
        [Token::Number(n), Token::Slash, Token::Number(d), ..] => (3, ratio("0", n, d)?),
        [Token::Number(w), Token::Dash, Token::Number(n), Token::Slash, Token::Number(d), ..] => (5, ratio(w, n, d)?),
        [Token::Number(w), Token::Number(n), Token::Slash, Token::Number(d), ..] => (4, ratio(w, n, d)?),
        [Token::Number(n), ..] => {
            (1, Amount::Decimal(Decimal::parse(n).ok_or_else(|| format!("`{n}` is not a number"))?))
        }
        _ => return Err("there is no number where one is expected".to_owned()),
    };
    *at += used;
    Ok(amount)
}

fn ratio(whole: &str, num: &str, den: &str) -> Result<Amount, String> {
    let read = |text: &str| match text.parse::<u64>() {
        Ok(n) if n <= MAX_WHOLE => Ok(n),
        _ => Err(format!("`{text}` is not a whole number up to {MAX_WHOLE}, as a fraction needs")),
    };
    let (whole, num, den) = (read(whole)?, read(num)?, read(den)?);
    if den == 0 {
        return Err("the fraction has 0 below the line".to_owned());
    }
    Ok(Amount::Ratio { num: whole * den + num, den })
}

fn take_unit(tokens: &[Token], at: &mut usize, quantity: Quantity) -> Result<Option<Unit>, String> {
    let Some(Token::Unit(name)) = tokens.get(*at) else { return Ok(None) };
    *at += 1;
    let found = match (quantity, *name) {
        (Quantity::Length, "\"" | "″") => Some(Unit::In),
        (Quantity::Length, "'" | "′") => Some(Unit::Ft),
        _ => quantity.units().iter().copied().find(|u| u.symbol().eq_ignore_ascii_case(name)),
    };
    match found {
        Some(unit) => Ok(Some(unit)),
        None => Err(format!("`{name}` is not a unit of {}: use {}", &quantity.word()[2..], unit_list(quantity))),
    }
}

/// `mm, cm, m, in or ft`.
pub fn unit_list(quantity: Quantity) -> String {
    let symbols: Vec<&str> = quantity.units().iter().map(|u| u.symbol()).collect();
    match symbols.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
        Some((last, _)) => (*last).to_owned(),
        None => String::new(),
    }
}

/// Feet and inches as inches.
fn add_feet(feet: Amount, inches: Amount) -> Result<Amount, String> {
    const WHOLE: &str = "feet before inches must be a whole number";
    let Amount::Decimal(Decimal { digits, exponent: 0, .. }) = feet else { return Err(WHOLE.to_owned()) };
    let feet = u64::try_from(digits).ok().filter(|f| *f <= MAX_WHOLE).ok_or(WHOLE)?;
    match inches {
        Amount::Ratio { num, den } => Ok(Amount::Ratio { num: num + feet * 12 * den, den }),
        Amount::Decimal(d) if (-12..=0).contains(&d.exponent) => {
            let feet = u128::from(feet) * 12 * 10u128.pow(d.exponent.unsigned_abs());
            Ok(Amount::Decimal(Decimal { digits: d.digits + feet, ..d }))
        }
        Amount::Decimal(_) => Err("the inches have too many digits".to_owned()),
    }
}

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
    // 17 digits and these 20 more fit in 128 bits.
    const MORE: u32 = 20;
    let full = digits * 10u128.pow(MORE) / u128::from(factor);
    let exponent = exponent - MORE as i32;
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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn length(text: &str, units: Units) -> f64 {
        parse_text(text, Quantity::Length, units).unwrap().value
    }

    #[test]
    fn fractions_are_exact() {
        assert_eq!(length("1 3/4", Units::In), 0.04445);
        assert_eq!(length("1-3/4", Units::In), 0.04445);
        assert_eq!(length("1 3/4 in", Units::Mm), 0.04445);
        assert_eq!(length("-2 1/2", Units::In), -0.0635);
        assert_eq!(length("3/8", Units::In), 0.009525);
        assert_eq!(length("7/16\"", Units::Mm), 0.0111125);
        for sixteenths in 1..=4096u64 {
            let as_decimal = Decimal::parse(&format!("{}", sixteenths as f64 / 16.0)).unwrap().to_si(Unit::In);
            assert_eq!(length(&format!("{sixteenths}/16"), Units::In), as_decimal);
        }
    }

    #[test]
    fn units_in_text() {
        assert_eq!(length("45 mm", Units::In), 0.045);
        assert_eq!(length("45", Units::In), 45.0 * 0.0254);
        assert_eq!(length("4.5cm", Units::In), 0.045);
        assert_eq!(length("1.75 in", Units::Mm), 0.04445);
        assert_eq!(length("20 ft", Units::Mm), 6.096);
        assert_eq!(length("5 ft 10 in", Units::Mm), 1.778);
        assert_eq!(length("5' 10 1/2\"", Units::Mm), 1.7907);
        assert_eq!(length("5 ft 10.5 in", Units::Mm), 1.7907);
        let mass = |text| parse_text(text, Quantity::Mass, Units::Mm).unwrap().value;
        assert_eq!(mass("180 lb"), 81.6466266);
        assert_eq!(mass("500 g"), 0.5);
        let rate = |text| parse_text(text, Quantity::Rate, Units::In).unwrap().value;
        assert_eq!(rate("22 N/mm"), 22e3);
        assert_eq!(rate("22"), 22e3);
        // NIST SP 811 appendix B: 1 lbf/in = 1.751268 E+02 N/m.
        assert!((rate("1 lb/in") - 175.1268).abs() < 5e-5);
        let stress = |text| parse_text(text, Quantity::Stress, Units::Mm).unwrap().value;
        assert_eq!(stress("205 GPa"), 205e9);
        // NIST SP 811 appendix B: 1 psi = 6.894757 E+03 Pa.
        assert!((stress("51 ksi") - 351.632607e6).abs() < 51.0);
        assert_eq!(stress("51000 psi"), stress("51 ksi"));
    }

    #[test]
    fn wrong_texts_say_why() {
        let why = |text, units| parse_text(text, Quantity::Length, units).unwrap_err();
        assert!(why("1 3/4", Units::Mm).contains("needs its unit"));
        assert!(why("45 kg", Units::Mm).contains("mm, cm, m, in or ft"));
        assert!(why("1/0 in", Units::Mm).contains("0 below the line"));
        assert!(why("", Units::Mm).contains("no number"));
        assert!(why("1.2.3", Units::Mm).contains("not a number"));
        assert!(why("12 34", Units::Mm).contains("more than one"));
        assert!(why("1.5/2 in", Units::Mm).contains("whole number"));
        assert!(why("3 ft 2", Units::Mm).contains("5 ft 10 in"));
        assert!(why("99999999999999999999/3 in", Units::Mm).contains("whole number"));
    }

    #[test]
    fn decimals_are_rounded_once() {
        assert_eq!(Decimal::parse("48.3").unwrap().to_si(Unit::Mm), 0.0483);
        assert_eq!(Decimal::parse("1_450").unwrap().to_si(Unit::Mm), 1.45);
        assert_eq!(Decimal::parse("1e400").unwrap().to_si(Unit::Mm), f64::INFINITY);
        assert_eq!(Decimal::parse("1e-400").unwrap().to_si(Unit::Mm), 0.0);
        assert_eq!(Decimal::parse("1e99999999999").unwrap().to_si(Unit::M), f64::INFINITY);
        assert_eq!(Decimal::parse("0.000000000000000000000000000000001").unwrap().to_si(Unit::M), 1e-33);
        assert_eq!(
            Decimal::parse("12345678901234567890123456789012345").unwrap().to_si(Unit::M),
            12345678901234567890123456789012345.0
        );
        for text in ["", "-", ".", "e5", "1e", "1e+", "nan", "inf", "1 2", "0x10"] {
            assert_eq!(Decimal::parse(text), None, "{text}");
        }
    }

    #[test]
    fn lengths_are_written_shortly() {
        assert_eq!(length_text(1.45, Units::Mm), NumberText::Number("1450".to_owned()));
        assert_eq!(length_text(0.0483, Units::Mm), NumberText::Number("48.3".to_owned()));
        assert_eq!(length_text(0.04445, Units::In), NumberText::Fraction("1 3/4".to_owned()));
        assert_eq!(length_text(-0.009525, Units::In), NumberText::Fraction("-3/8".to_owned()));
        assert_eq!(length_text(0.0508, Units::In), NumberText::Number("2".to_owned()));
        assert_eq!(length_text(0.002413, Units::In), NumberText::Number("0.095".to_owned()));
        assert_eq!(decimal_text(1e-9, Unit::M), "1e-9");
        assert_eq!(decimal_text(30f64.to_radians(), Unit::Degree), "30");
        assert_eq!(show(0.045_000_000_1, Quantity::Length, Units::Mm), "45 mm");
        assert_eq!(show(1000.0, Quantity::Length, Units::In), "39370.1 in");
    }

    proptest! {
        #[test]
        fn any_length_comes_back(x in -1000.0f64..1000.0) {
            for unit in [Unit::Mm, Unit::In, Unit::Ft, Unit::M, Unit::Cm, Unit::Kg, Unit::Lb] {
                let text = decimal_text(x, unit);
                prop_assert_eq!(Decimal::parse(&text).unwrap().to_si(unit), x, "{} {:?}", text, unit);
            }
        }

        #[test]
        fn any_degrees_come_back(tenths in -3600i32..3600) {
            let x = Decimal::parse(&format!("{tenths}e-1")).unwrap().to_si(Unit::Degree);
            let text = decimal_text(x, Unit::Degree);
            prop_assert_eq!(Decimal::parse(&text).unwrap().to_si(Unit::Degree), x);
        }

        #[test]
        fn any_fraction_comes_back(sixty_fourths in -100_000i64..100_000) {
            let x = sixty_fourths as f64 * 254.0 / 640_000.0;
            match length_text(x, Units::In) {
                NumberText::Fraction(t) => prop_assert_eq!(length(&t, Units::In), x),
                NumberText::Number(t) => {
                    prop_assert_eq!(sixty_fourths % 64, 0);
                    prop_assert_eq!(Decimal::parse(&t).unwrap().to_si(Unit::In), x);
                }
            }
        }

        #[test]
        fn any_text_is_read_or_refused(text in ".{0,40}") {
            let _ = parse_text(&text, Quantity::Length, Units::In);
            let _ = Decimal::parse(&text);
        }

        #[test]
        fn near_quantities_are_read_or_refused(text in "[-+]?[0-9 ./_eE'\"-]{0,20}(in|mm|ft|lb|ksi)?[0-9 /]{0,6}(in)?") {
            for quantity in [Quantity::Length, Quantity::Mass, Quantity::Stress, Quantity::Rate] {
                let _ = parse_text(&text, quantity, Units::In);
            }
        }
    }
}
