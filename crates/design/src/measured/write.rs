//! Readings written into a sheet; all that stands there stays as it is.

use toml_edit::{DocumentMut, InlineTable, Item, Table, Value};

use super::{Measured, Tool, read};
use crate::document::number_text;
use crate::model::Design;
use crate::problem::{Problem, Severity};
use crate::units::Quantity;

/// A reading to be written.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Its name; `None`: the next that is free, `t1`, `h1`.
    pub name: Option<String>,
    /// With what.
    pub tool: Tool,
    /// Where, as the sheet says it: `foot~ outside`. As many as the tool asks for.
    pub at: Vec<String>,
    /// The set-up of the level, for heights, if it has a name.
    pub over: Option<String>,
    /// m or rad.
    pub reads: f64,
    /// To be added, m.
    pub add: f64,
    /// Standard deviation, m or rad, if it is not the usual one.
    pub good_to: Option<f64>,
    /// Who took it, and anything else: a comment behind the line.
    pub remark: Option<String>,
}

/// Adds a reading to a sheet's text, or puts it in the place of one with its table and name. Gives the new text and the name.
///
/// # Errors
/// What is wrong with the sheet's syntax, or with the reading.
pub fn add(text: &str, design: &Design, entry: &Entry) -> Result<(String, String), Vec<Problem>> {
    let (sheet, was) = read(text, design)?;
    let mut doc: DocumentMut = text.parse().map_err(|_| refused("the sheet can't be edited", "mend it first"))?;
    let table = entry.tool.table();
    let name = entry.name.clone().unwrap_or_else(|| free(&sheet, &doc, entry.tool));
    let line = line(entry, &sheet)?;
    // What stands at the end of the sheet stays before a table that is new.
    let end = doc.trailing().as_str().unwrap_or_default().to_owned();
    if doc.get(table).is_none() {
        let gap = if end.ends_with("\n\n") || (end.is_empty() && doc.is_empty()) { "" } else { "\n" };
        let mut new = Table::new();
        new.decor_mut().set_prefix(format!("{end}{gap}"));
        doc.set_trailing("");
        doc.insert(table, Item::Table(new));
    }
    let rows = &mut doc[table];
    match rows {
        Item::Table(t) => {
            t.set_implicit(false);
            t.insert(&name, Item::Value(line));
        }
        Item::Value(Value::InlineTable(t)) => {
            t.insert(&name, line);
        }
        _ => return Err(refused(&format!("`{table}` of the sheet is no table"), "mend the sheet first")),
    }
    let new = doc.to_string();
    let (after, problems) = read(&new, design)?;
    if after.readings.iter().any(|r| r.tool.table() == table && r.name == name) {
        return Ok((new, name));
    }
    // What was wrong before is not this reading's fault.
    let mut own: Vec<Problem> = problems.into_iter().filter(|p| !was.iter().any(|q| q.message == p.message)).collect();
    for p in &mut own {
        p.span = None;
    }
    Err(if own.is_empty() { refused("the reading can't be written", "check its points") } else { own })
}

/// Takes an entry out of a sheet's text. `None` if it is not there.
///
/// # Errors
/// What is wrong with the sheet's syntax.
pub fn remove(text: &str, table: &str, name: &str) -> Result<Option<String>, Vec<Problem>> {
    let mut doc: DocumentMut = text.parse().map_err(|_| refused("the sheet can't be edited", "mend it first"))?;
    let gone = match doc.get_mut(table) {
        Some(Item::Table(t)) => t.remove(name).is_some(),
        Some(Item::Value(Value::InlineTable(t))) => t.remove(name).is_some(),
        _ => false,
    };
    Ok(gone.then(|| doc.to_string()))
}

/// Puts another value into a reading; whatever else its entry says stays. The remark comes behind what is
/// remarked already. `None` if there is no such entry.
///
/// # Errors
/// What is wrong with the sheet's syntax, or with the value.
pub fn retake(text: &str, design: &Design, entry: &Entry) -> Result<Option<String>, Vec<Problem>> {
    let Some(name) = &entry.name else { return Ok(None) };
    let (sheet, _) = read(text, design)?;
    let mut doc: DocumentMut = text.parse().map_err(|_| refused("the sheet can't be edited", "mend it first"))?;
    let Some(row) = entry_of(&mut doc, entry.tool.table(), name) else { return Ok(None) };
    let quantity = if entry.tool.is_angle() { Quantity::Angle } else { Quantity::Length };
    put(row, "reads", number_text(entry.reads, quantity, sheet.units)?);
    if let (Some(remark), Item::Value(v)) = (&entry.remark, row) {
        let was = v.decor().suffix().and_then(|s| s.as_str()).unwrap_or_default().trim_end().to_owned();
        let own = behind(remark);
        // Sent twice it says so once.
        if was.trim().is_empty() {
            v.decor_mut().set_suffix(own);
        } else if !was.ends_with(own.trim_start_matches(" # ")) {
            v.decor_mut().set_suffix(format!("{was}; {}", own.trim_start_matches(" # ")));
        }
    }
    let new = doc.to_string();
    let (after, _) = read(&new, design)?;
    let is = after.readings.iter().any(|r| r.tool == entry.tool && r.name == *name);
    if is { Ok(Some(new)) } else { Err(refused("the reading can't be written", "check its points")) }
}

/// Keeps a reading in the sheet without using it, or uses it again. `None` if there is no such entry.
///
/// # Errors
/// What is wrong with the sheet's syntax.
pub fn leave_out(text: &str, table: &str, name: &str, out: bool) -> Result<Option<String>, Vec<Problem>> {
    let mut doc: DocumentMut = text.parse().map_err(|_| refused("the sheet can't be edited", "mend it first"))?;
    let Some(row) = entry_of(&mut doc, table, name) else { return Ok(None) };
    if out {
        put(row, LEAVE_OUT, Value::from(true));
    } else if let Some(t) = row.as_table_like_mut() {
        t.remove(LEAVE_OUT);
    }
    if let Item::Value(Value::InlineTable(t)) = row {
        tidy(t);
    }
    Ok(Some(doc.to_string()))
}

const LEAVE_OUT: &str = "leave_out";

/// The entry of a table by its name.
fn entry_of<'a>(doc: &'a mut DocumentMut, table: &str, name: &str) -> Option<&'a mut Item> {
    doc.get_mut(table)?.as_table_like_mut()?.get_mut(name).filter(|i| i.is_table_like())
}

/// Sets a key, where it stood or behind the others; a remark behind its line stays.
fn put(row: &mut Item, key: &str, value: Value) {
    match row {
        Item::Value(Value::InlineTable(t)) => {
            match t.get_mut(key) {
                Some(old) => {
                    let decor = old.decor().clone();
                    *old = value;
                    *old.decor_mut() = decor;
                }
                None => _ = t.insert(key, value),
            }
            tidy(t);
        }
        row => {
            let Some(t) = row.as_table_like_mut() else { return };
            match t.get_mut(key).and_then(Item::as_value_mut) {
                Some(old) => {
                    let decor = old.decor().clone();
                    *old = value;
                    *old.decor_mut() = decor;
                }
                None => _ = t.insert(key, Item::Value(value)),
            }
        }
    }
}

/// One blank before the closing bracket, none before a comma.
fn tidy(t: &mut InlineTable) {
    let last = t.len().saturating_sub(1);
    for (k, (_, v)) in t.iter_mut().enumerate() {
        let own = v.decor().suffix().and_then(|s| s.as_str()).unwrap_or_default();
        // A remark inside is somebody's.
        if own.trim().is_empty() {
            v.decor_mut().set_suffix(if k == last { " " } else { "" });
        }
    }
}

/// A comment behind a line.
fn behind(remark: &str) -> String {
    let remark: String = remark.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    format!(" # {remark}")
}

fn refused(message: &str, help: &str) -> Vec<Problem> {
    vec![Problem {
        severity: Severity::Error,
        message: message.to_owned(),
        span: None,
        label: String::new(),
        help: Some(help.to_owned()),
    }]
}

/// `t1`, `h4`: the first letter of the table and the first number that is free.
fn free(sheet: &Measured, doc: &DocumentMut, tool: Tool) -> String {
    let table = tool.table();
    let letter = &table[..1];
    let taken = |name: &str| doc.get(table).and_then(|t| t.get(name)).is_some();
    let from = sheet.readings.iter().filter(|r| r.tool.table() == table).count();
    (from + 1..).map(|k| format!("{letter}{k}")).find(|n| !taken(n)).unwrap_or_default()
}

fn line(e: &Entry, sheet: &Measured) -> Result<Value, Vec<Problem>> {
    let keys: &[&str] = match e.tool {
        Tool::Height => &["of"],
        Tool::String => &["of", "from", "to"],
        Tool::Bevel => &["at", "one", "other"],
        _ => &["from", "to"],
    };
    if keys.len() != e.at.len() {
        let wanted = format!("a {} names {}", e.tool.table(), crate::read::count(keys.len(), "place"));
        return Err(refused("the reading names too many or too few places", &wanted));
    }
    let quantity = if e.tool.is_angle() { Quantity::Angle } else { Quantity::Length };
    let mut out = InlineTable::new();
    for (key, spot) in keys.iter().zip(&e.at) {
        out.insert(*key, Value::from(spot.as_str()));
    }
    match e.tool {
        Tool::PlumbX => _ = out.insert("along", Value::from("x")),
        Tool::PlumbY => _ = out.insert("along", Value::from("y")),
        Tool::LevelTape => _ = out.insert("level", Value::from(true)),
        _ => {}
    }
    if let Some(over) = &e.over {
        out.insert("over", Value::from(over.as_str()));
    }
    out.insert("reads", number_text(e.reads, quantity, sheet.units)?);
    if e.add != 0.0 {
        out.insert("add", number_text(e.add, Quantity::Length, sheet.units)?);
    }
    if let Some(good_to) = e.good_to {
        out.insert("good_to", number_text(good_to, quantity, sheet.units)?);
    }
    let mut out = Value::from(out);
    if let Some(remark) = &e.remark {
        out.decor_mut().set_suffix(behind(remark));
    }
    Ok(out)
}
