//! Decimal numbers, converted to SI with a single rounding.

use super::{Factor, Unit};

/// More digits than this are dropped: an f64 has 17, and 22 leave room for the pound-force foot in 128 bits.
pub(super) const MAX_DIGITS: usize = 22;
/// A power of ten beyond this is nothing or infinite as an f64 whatever the digits are.
const MAX_EXPONENT: i32 = 1000;

/// A decimal number, digits × 10^exponent.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Decimal {
    pub(super) negative: bool,
    pub(super) digits: u128,
    pub(super) exponent: i32,
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

    pub(super) fn scaled(self, factor: u64, exponent: i32) -> f64 {
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
