//! A list of steel taken into the rack.

use serde::Serialize;
use toml_edit::{Array, ArrayOfTables, DocumentMut, InlineTable, Item, Table, Value};

use super::{Document, Refusal, out_of_step, parse, problem, put, take_suffix, values};
use crate::model::{Per, Stick, Units};
use crate::problem::Problem;
use crate::read::read;
use crate::steel_list::{Listed, SteelList};
use crate::units::{Decimal, Quantity, Unit, decimal_text};

/// Lengths that differ by less are one, m: a stick is never known to a micrometre.
const SAME: f64 = 1e-6;

/// What became of a row of a list.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Taken {
    /// The line on which it stands in the list.
    pub line: usize,
    /// Name of its section.
    pub section: String,
    /// Length of one, m.
    pub length: f64,
    /// How many are on hand or on order; `None`: can be bought.
    pub count: Option<u32>,
    /// On order.
    pub ordered: bool,
    /// Name of who sells it.
    pub supplier: Option<String>,
    /// Where it stands.
    pub place: Option<String>,
    /// What was done.
    pub fate: Fate,
    /// What a person should look at.
    pub look: Option<String>,
}

/// What was done with a row.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Fate {
    /// The rack has it now.
    Added,
    /// It stood there with other figures.
    Changed(Vec<Change>),
    /// It stood there as the list has it.
    There,
}

/// A figure that was changed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    /// Its key.
    pub key: &'static str,
    /// What stood there.
    pub was: String,
    /// What stands there now.
    pub is: String,
}

impl Document {
    /// Takes a list into the rack: a row that stands there (the same section, length, place, supplier, and on hand, on
    /// order or to be bought) gives that stick its count and prices, any other is added, none is removed. What a row
    /// leaves empty stays as it is. Of several alike, the first row is the first stick, and so on, so that a list taken
    /// in twice changes nothing.
    ///
    /// # Errors
    /// If there is no `[rack]`, or the file would not be a design any more; it is then as it was.
    pub fn take_in(&mut self, list: &SteelList) -> Result<Vec<Taken>, Refusal> {
        let refused = |problems: Vec<Problem>, text: &str| Refusal { problems, text: text.to_owned() };
        let mut doc = parse(self.text()).map_err(|p| refused(p, self.text()))?;
        if doc.get("rack").is_none() {
            let help = match self.design().units {
                Units::Mm => "add a line [rack] and under it kerf = 2, the width of your saw's cut in mm",
                Units::In => "add a line [rack] and under it kerf = \"1/16\", the width of your saw's cut in inches",
            };
            return Err(refused(problem("the design has no [rack] to take steel into".to_owned(), help), self.text()));
        }
        let taken = self.rows_taken(&mut doc, list).map_err(|p| refused(p, self.text()))?;
        let text = self.with_own_line_ends(doc.to_string());
        match read(&text) {
            Ok(reading) => {
                self.reading = reading;
                Ok(taken)
            }
            Err(problems) => Err(Refusal { problems, text }),
        }
    }

    fn rows_taken(&self, doc: &mut DocumentMut, list: &SteelList) -> Result<Vec<Taken>, Vec<Problem>> {
        let design = self.design();
        let sticks = &design.rack.sticks;
        let mut is_met = vec![false; sticks.len()];
        let mut out = Vec::new();
        for row in &list.rows {
            let at = (0..sticks.len()).find(|&i| !is_met[i] && is_same(&sticks[i], row));
            let mut look = None;
            let fate = match at {
                Some(i) => {
                    is_met[i] = true;
                    let changes = changes(&sticks[i], row)?;
                    for (change, value) in &changes {
                        set(doc, i, change.key, value.clone())?;
                    }
                    let changes: Vec<Change> = changes.into_iter().map(|c| c.0).collect();
                    if changes.is_empty() { Fate::There } else { Fate::Changed(changes) }
                }
                None => {
                    add(doc, keys_of(row, design)?)?;
                    look = came_in(sticks, row);
                    Fate::Added
                }
            };
            out.push(Taken {
                line: row.line,
                section: design.sections[row.section.0].name.clone(),
                length: row.length,
                count: row.count,
                ordered: row.ordered,
                supplier: row.supplier.map(|s| design.suppliers[s.0].name.clone()),
                place: row.place.clone(),
                fate,
                look,
            });
        }
        // Two entries that a list has put together would be counted twice.
        for (told, row) in out.iter_mut().zip(&list.rows) {
            let more = (0..sticks.len()).filter(|&i| !is_met[i] && is_same(&sticks[i], row)).count();
            if more > 0 {
                told.look =
                    Some(format!("the rack has {more} more of the same, left as they are: is each still there?"));
            }
        }
        Ok(out)
    }
}

/// Whether a stick of the rack is the one that a row means.
fn is_same(stick: &Stick, row: &Listed) -> bool {
    stick.section == row.section
        && (stick.length - row.length).abs() < SAME
        && stick.place == row.place
        && stick.supplier == row.supplier
        && stick.ordered == row.ordered
        && stick.count.is_some() == row.count.is_some()
}

/// What was on order and now stands on the list would be counted twice.
fn came_in(sticks: &[Stick], row: &Listed) -> Option<String> {
    let on_order = |s: &&Stick| s.ordered && s.section == row.section && (s.length - row.length).abs() < SAME;
    let count: u64 = sticks.iter().filter(on_order).filter_map(|s| s.count).map(u64::from).sum();
    let here = row.count.is_some() && !row.ordered;
    (here && count > 0).then(|| format!("the rack still has {count} of it on order: take out what has come"))
}

/// What a row changes of the stick that it means.
fn changes(stick: &Stick, row: &Listed) -> Result<Vec<(Change, Value)>, Vec<Problem>> {
    let mut out = Vec::new();
    let mut change = |key, was: String, value: Value| {
        let is = value.as_str().map_or_else(|| value.to_string(), str::to_owned);
        out.push((Change { key, was, is }, value));
    };
    if let (Some(was), Some(is)) = (stick.count, row.count)
        && was != is
    {
        change("count", was.to_string(), Value::from(i64::from(is)));
    }
    if let Some(price) = row.price.filter(|p| *p != stick.price) {
        change("price", number(stick.price)?.to_string(), number(price)?);
    }
    // A price without a word is that of a stick.
    let per = row.per.or(row.price.map(|_| Per::Stick));
    if let Some(per) = per.filter(|p| *p != stick.per) {
        change("per", word(stick.per).to_owned(), Value::from(word(per)));
    }
    if let Some(fee) = row.cut_fee.filter(|f| *f != stick.cut_fee) {
        change("cut_fee", number(stick.cut_fee)?.to_string(), number(fee)?);
    }
    Ok(out)
}

/// A row as keys and values of the file, in the order of the documents.
fn keys_of(row: &Listed, design: &crate::model::Design) -> Result<Vec<(&'static str, Value)>, Vec<Problem>> {
    // Text with a unit stays as the list has it.
    let length = match Decimal::parse(&row.length_text) {
        Some(_) => values::number_text(row.length, Quantity::Length, design.units)?,
        None => Value::from(row.length_text.as_str()),
    };
    let mut out = vec![("section", Value::from(design.sections[row.section.0].name.as_str())), ("length", length)];
    out.extend(row.count.map(|n| ("count", Value::from(i64::from(n)))));
    out.extend(row.ordered.then(|| ("ordered", Value::from(true))));
    if let Some(price) = row.price {
        out.push(("price", number(price)?));
    }
    out.extend(row.per.filter(|p| *p != Per::Stick).map(|p| ("per", Value::from(word(p)))));
    if let Some(fee) = row.cut_fee.filter(|f| *f != 0.0) {
        out.push(("cut_fee", number(fee)?));
    }
    out.extend(row.supplier.map(|s| ("supplier", Value::from(design.suppliers[s.0].name.as_str()))));
    out.extend(row.place.as_deref().map(|p| ("place", Value::from(p))));
    Ok(out)
}

fn number(v: f64) -> Result<Value, Vec<Problem>> {
    decimal_text(v, Unit::One).parse::<Value>().map_err(|_| out_of_step())
}

fn word(per: Per) -> &'static str {
    match per {
        Per::Stick => "stick",
        Per::Metre => "m",
        Per::Foot => "ft",
    }
}

/// Sets a key of the nth stick, however the list of them is written.
fn set(doc: &mut DocumentMut, nth: usize, key: &str, value: Value) -> Result<(), Vec<Problem>> {
    let sticks = doc.get_mut("rack").and_then(|rack| rack.get_mut("stick")).ok_or_else(out_of_step)?;
    put(sticks.get_mut(nth).ok_or_else(out_of_step)?, key, value)
}

/// Adds a stick after the others, written as they are.
fn add(doc: &mut DocumentMut, keys: Vec<(&'static str, Value)>) -> Result<(), Vec<Problem>> {
    let rack = doc.get_mut("rack").ok_or_else(out_of_step)?;
    let is_inline = rack.is_inline_table();
    let rack = rack.as_table_like_mut().ok_or_else(out_of_step)?;
    if rack.get("stick").is_none() {
        let none =
            if is_inline { Item::Value(Value::Array(Array::new())) } else { Item::ArrayOfTables(ArrayOfTables::new()) };
        rack.insert("stick", none);
    }
    match rack.get_mut("stick") {
        Some(Item::ArrayOfTables(sticks)) => {
            let mut table = Table::new();
            for (key, value) in keys {
                table.insert(key, Item::Value(value));
            }
            // A blank line before it if there is one before the last.
            let prefix = sticks.iter().last().and_then(|t| t.decor().prefix()).and_then(|p| p.as_str()).unwrap_or("");
            table.decor_mut().set_prefix(if prefix.starts_with(['\n', '\r']) { "\n" } else { "" });
            sticks.push(table);
        }
        Some(Item::Value(Value::Array(sticks))) => {
            let table: InlineTable = keys.into_iter().collect();
            // Each on a line of its own if the last is.
            let before = sticks.iter().last().and_then(|v| v.decor().prefix()).and_then(|p| p.as_str()).unwrap_or("");
            let before = match before.rfind('\n') {
                Some(at) => before[at..].to_owned(),
                None if sticks.is_empty() => String::new(),
                None => " ".to_owned(),
            };
            let after = sticks.len().checked_sub(1).and_then(|last| sticks.get_mut(last)).map(take_suffix);
            sticks.push_formatted(Value::InlineTable(table).decorated(before, after.unwrap_or_default()));
        }
        _ => return Err(out_of_step()),
    }
    Ok(())
}
