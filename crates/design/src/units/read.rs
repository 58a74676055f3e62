//! Quantities read from text: `1 3/4`, `5 ft 10 in`, `205 GPa`.

use super::{Decimal, Factor, Quantity, Unit};
use crate::model::Units;

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
pub(super) enum Amount {
    Decimal(Decimal),
    Ratio { num: u64, den: u64 },
}

impl Amount {
    pub(super) fn to_si(self, unit: Unit) -> f64 {
        match (self, unit.factor()) {
            (Amount::Decimal(d), _) => d.to_si(unit),
            // Both sides are whole and, for lengths, below 2^53, so that the division is the only rounding.
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
                // One unit by another, as in N/mm or N·m.
                if let Some(sign) = rest[length..].chars().next().filter(|c| matches!(c, '/' | '·' | '⋅'))
                    && rest[length + sign.len_utf8()..].starts_with(char::is_alphabetic)
                {
                    length = word(length + sign.len_utf8());
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
    if quantity == Quantity::Moment {
        return take_moment_unit(tokens, at, name).map(Some);
    }
    let found = match (quantity, *name) {
        (Quantity::Length, "\"" | "″") => Some(Unit::In),
        (Quantity::Length, "'" | "′") => Some(Unit::Ft),
        _ => quantity.units().iter().copied().find(|u| u.symbol().eq_ignore_ascii_case(name)),
    };
    match found {
        Some(unit) => Ok(Some(unit)),
        None => Err(not_a_unit(name, quantity)),
    }
}

/// A force's unit and a length's, as one word, with a dot between or as two words: `Nm`, `N·m`, `N m`.
fn take_moment_unit(tokens: &[Token], at: &mut usize, first: &str) -> Result<Unit, String> {
    let mut name = first.to_owned();
    if let Some(Token::Unit(second)) = tokens.get(*at) {
        *at += 1;
        name = format!("{first} {second}");
    }
    let plain = |text: &str| text.replace([' ', '·', '⋅'], "").to_lowercase();
    let found = Quantity::Moment.units().iter().copied().find(|u| plain(u.symbol()) == plain(&name));
    found.ok_or_else(|| not_a_unit(&name, Quantity::Moment))
}

fn not_a_unit(name: &str, quantity: Quantity) -> String {
    format!("`{name}` is not a unit of {}: use {}", &quantity.word()[2..], unit_list(quantity))
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
