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
        let remark: String = remark.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
        out.decor_mut().set_suffix(format!(" # {remark}"));
    }
    Ok(out)
}
