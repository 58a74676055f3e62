//! Values as they are written back: in the unit and the style that stands there already.

use toml_edit::{Array, Value};

use super::problem;
use crate::edit::Setting;
use crate::keys::{self, Bounds};
use crate::model::Units;
use crate::problem::Problem;
use crate::units::{Decimal, Quantity, Unit, Written, decimal_text, fraction_text, parse_text};
use crate::write::length;

/// Coordinates, in place of others if there are some.
pub fn coordinates(at: &[f64], units: Units, old: Option<&Value>) -> Result<Value, Vec<Problem>> {
    numbers(at, Quantity::Length, units, old, "coordinates")
}

/// A distance along a tube.
pub fn length_along(si: f64, units: Units) -> Result<Value, Vec<Problem>> {
    number(si, Quantity::Length, units, None, "a distance along a tube")
}

/// A setting as the value of a key.
pub fn setting(
    setting: &Setting,
    defined: &keys::Value,
    units: Units,
    old: Option<&Value>,
    key: &str,
) -> Result<Value, Vec<Problem>> {
    match setting {
        Setting::Text(text) => Ok(Value::from(text.as_str())),
        Setting::Flag(flag) => Ok(Value::from(*flag)),
        Setting::Whole(number) => Ok(Value::from(*number)),
        Setting::Number(si) => {
            let (quantity, _) = quantity_of(defined).ok_or_else(|| not_a_number(key))?;
            number(*si, quantity, units, old, key)
        }
        Setting::Numbers(all) => {
            let (quantity, _) = quantity_of(defined).ok_or_else(|| not_a_number(key))?;
            numbers(all, quantity, units, old, key)
        }
        Setting::Names(names) => {
            let new = names.iter().map(|n| Value::from(n.as_str())).collect();
            Ok(in_place_of(new, old))
        }
    }
}

fn not_a_number(key: &str) -> Vec<Problem> {
    problem(format!("`{key}` is not a number"), "set it to text, or to true or false")
}

/// The quantity that may stand at a key, alone or in a list.
fn quantity_of(defined: &keys::Value) -> Option<(Quantity, &Bounds)> {
    match defined {
        keys::Value::Number(quantity, bounds) | keys::Value::Numbers(_, quantity, bounds) => Some((*quantity, bounds)),
        keys::Value::List(_, of) => quantity_of(of),
        keys::Value::Either(all) => all.iter().find_map(quantity_of),
        _ => None,
    }
}

/// A new number as it is written in a file.
pub fn number_text(si: f64, quantity: Quantity, units: Units) -> Result<Value, Vec<Problem>> {
    if quantity == Quantity::Length || !si.is_finite() {
        return number(si, quantity, units, None, "the value");
    }
    // What was typed comes through another unit and floating point: 90.6° must not become 90.59999999999998.
    let unit = Decimal::parse("1").map_or(1.0, |d| d.to_si(quantity.plain_unit(units)));
    let text = format!("{:.6}", si / unit);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    let text = if text == "-0" { "0" } else { text };
    Ok(text.parse::<Value>().unwrap_or_else(|_| Value::from(si)))
}

fn numbers(
    all: &[f64],
    quantity: Quantity,
    units: Units,
    old: Option<&Value>,
    key: &str,
) -> Result<Value, Vec<Problem>> {
    let before = old.and_then(Value::as_array);
    let new: Result<Vec<Value>, _> = all
        .iter()
        .enumerate()
        .map(|(i, si)| number(*si, quantity, units, before.and_then(|a| a.get(i)), key))
        .collect();
    Ok(in_place_of(new?, old))
}

/// A list in place of another, item by item if there are as many.
fn in_place_of(new: Vec<Value>, old: Option<&Value>) -> Value {
    match old.and_then(Value::as_array) {
        Some(before) if before.len() == new.len() => {
            let mut list = before.clone();
            for (i, value) in new.into_iter().enumerate() {
                list.replace(i, value.decorated("", ""));
            }
            Value::Array(list)
        }
        _ => {
            let spaced = new.into_iter().enumerate().map(|(i, v)| v.decorated(if i == 0 { "" } else { " " }, ""));
            Value::Array(spaced.collect::<Array>())
        }
    }
}

/// A number in place of another: in the unit that stands there, and a fraction if that is one and the new value can be.
fn number(si: f64, quantity: Quantity, units: Units, old: Option<&Value>, key: &str) -> Result<Value, Vec<Problem>> {
    if !si.is_finite() {
        return Err(problem(format!("{key} can't be set to {si}"), "give a finite number"));
    }
    let plain = quantity.plain_unit(units);
    let text = match old {
        Some(Value::String(text)) => match parse_text(text.value(), quantity, units) {
            Ok(written) if written.value == si => return Ok(old.cloned().unwrap_or_else(|| Value::from(si))),
            Ok(written) => like(si, written, plain),
            Err(_) => decimal_text(si, plain),
        },
        Some(old @ (Value::Integer(_) | Value::Float(_))) => {
            let before = Decimal::parse(old.to_string().trim()).map(|d| d.to_si(plain));
            if before == Some(si) {
                return Ok(old.clone());
            }
            decimal_text(si, plain)
        }
        _ if quantity == Quantity::Length => length(si, units),
        _ => decimal_text(si, plain),
    };
    // Every text above is a TOML number or a quoted string.
    Ok(text.parse::<Value>().unwrap_or_else(|_| Value::from(si)))
}

fn like(si: f64, written: Written, plain: Unit) -> String {
    let unit = written.unit.unwrap_or(plain);
    let fraction = if written.fraction && unit == Unit::In { fraction_text(si) } else { None };
    match (fraction, written.unit) {
        (Some(text), Some(unit)) => format!("\"{text} {}\"", unit.symbol()),
        (Some(text), None) => format!("\"{text}\""),
        (None, Some(unit)) => format!("\"{} {}\"", decimal_text(si, unit), unit.symbol()),
        (None, None) => decimal_text(si, plain),
    }
}
