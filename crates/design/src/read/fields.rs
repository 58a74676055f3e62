//! Values out of tables, each checked against the definition in [`crate::keys`].
//!
//! A reading function gives `None` both for a key that is absent and for a value that is wrong; in the second case, and
//! if a required key is absent, it has already said so.

use std::fmt;

use glam::{DVec2, DVec3};
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::names::Names;
use crate::keys::{self, Bounds, Form, Key, Table, Top, Value};
use crate::model::{Material, Span, Units};
use crate::problem::{Problem, Severity};
use crate::suggest::nearest;
use crate::units::{Decimal, Quantity, Unit, Written, parse_text, show};

/// A value with its place in the text.
pub type Node<'a> = Spanned<DeValue<'a>>;

/// Beyond this many a person starts again rather than read on.
const MOST_PROBLEMS: usize = 100;

/// The reading of one file: its tables, what has names in them, and what was found wrong.
pub struct Reader<'a> {
    /// The file's top.
    pub root: &'a DeTable<'a>,
    /// The tables that may stand there.
    tops: &'static [Top],
    /// What kind of file it is: `design file`.
    file: &'static str,
    /// Its units.
    pub units: Units,
    /// Everything that has a name.
    pub names: Names<'a>,
    /// Built-in materials that were used, in order of first use.
    pub used_builtin: Vec<Material>,
    problems: Vec<Problem>,
    left_out: usize,
}

/// A table that is being read.
#[derive(Clone, Debug)]
pub struct Fields<'a> {
    /// Its definition.
    pub table: &'static Table,
    /// What it is, in the user's words: ``tube `hoop` ``.
    pub what: String,
    /// Its header, or itself if it stands in a line.
    pub span: Span,
    entries: &'a DeTable<'a>,
}

/// Where a value stands, for messages.
#[derive(Clone, Copy)]
pub struct At<'f> {
    of: &'f str,
    key: &'f str,
    nth: Option<usize>,
}

impl fmt::Display for At<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(n) = self.nth {
            write!(f, "number {} in ", n + 1)?;
        }
        if self.key.is_empty() { write!(f, "{}", self.of) } else { write!(f, "`{}` of {}", self.key, self.of) }
    }
}

impl<'f> At<'f> {
    /// The whole of something.
    pub fn whole(of: &'f str) -> Self {
        At { of, key: "", nth: None }
    }

    /// One of its items, counted from 0.
    pub fn nth(self, n: usize) -> Self {
        At { nth: Some(n), ..self }
    }
}

impl<'a> Fields<'a> {
    /// The value at a key, if it is there.
    pub fn get(&self, key: &str) -> Option<&'a Node<'a>> {
        debug_assert!(self.table.key(key).is_some(), "`{key}` is not defined for {}", self.what);
        self.entries.get(key)
    }

    /// Whether the key is there.
    pub fn has(&self, key: &str) -> bool {
        self.get(key).is_some()
    }

    /// The place of a key's value, or of the table.
    pub fn span_of(&self, key: &str) -> Span {
        self.get(key).map_or_else(|| self.span.clone(), Spanned::span)
    }

    /// Those of the keys that are there.
    pub fn present<'k>(&self, keys: &[&'k str]) -> Vec<&'k str> {
        keys.iter().copied().filter(|k| self.has(k)).collect()
    }

    /// For messages.
    pub fn at<'f>(&'f self, key: &'f str) -> At<'f> {
        At { of: &self.what, key, nth: None }
    }

    fn key(&self, name: &str) -> &'static Key {
        const NONE: Key = Key { name: "", required: false, value: Value::Text, about: "" };
        static UNDEFINED: Key = NONE;
        self.table.key(name).unwrap_or(&UNDEFINED)
    }
}

impl<'a> Reader<'a> {
    /// Starts on a parsed file: finds its units and its names.
    pub fn new(root: &'a DeTable<'a>) -> Self {
        let units = root.get("design").and_then(|d| d.get_ref().get("units")).and_then(|u| u.get_ref().as_str());
        let units = if units == Some("in") { Units::In } else { Units::Mm };
        let mut reader = Reader::of(root, keys::TOPS, "design file", units);
        reader.names = reader.collect_names();
        reader
    }

    /// Starts on another kind of file: nothing in it has a name that others use.
    pub fn of(root: &'a DeTable<'a>, tops: &'static [Top], file: &'static str, units: Units) -> Self {
        Reader {
            root,
            tops,
            file,
            units,
            names: Names::default(),
            used_builtin: Vec::new(),
            problems: Vec::new(),
            left_out: 0,
        }
    }

    /// The table of that name at the top of this kind of file.
    pub fn top(&self, name: &str) -> Option<&'static Top> {
        self.tops.iter().find(|t| t.name == name)
    }

    /// Adds a problem.
    pub fn report(&mut self, problem: Problem) {
        if self.is_full() {
            self.left_out += 1;
        } else {
            self.problems.push(problem);
        }
    }

    /// Counts a problem that is not kept.
    pub fn leave_out(&mut self) {
        self.left_out += 1;
    }

    /// Adds an error.
    pub fn error(&mut self, span: Span, message: impl Into<String>, label: impl Into<String>, help: impl Into<String>) {
        self.report(Problem::error(message, span, label).help(help));
    }

    /// Adds a remark.
    pub fn note(&mut self, span: Span, message: impl Into<String>, label: impl Into<String>, help: impl Into<String>) {
        self.report(Problem { severity: Severity::Note, ..Problem::error(message, span, label).help(help) });
    }

    /// Whether no more problems are kept.
    pub fn is_full(&self) -> bool {
        self.problems.len() >= MOST_PROBLEMS
    }

    /// Whether no error was found so far.
    pub fn is_clean(&self) -> bool {
        self.problems.iter().all(|p| p.severity < Severity::Error)
    }

    /// All that was found, in the order of the file.
    pub fn into_problems(mut self) -> Vec<Problem> {
        self.problems.sort_by_key(|p| p.span.as_ref().map_or(0, |s| s.start));
        if self.left_out > 0 {
            self.problems.push(Problem {
                severity: Severity::Error,
                message: format!("{} more problems are not shown", self.left_out),
                span: None,
                label: String::new(),
                help: Some("mend these first and read the file again".to_owned()),
            });
        }
        self.problems
    }

    /// Says which tables at the top of the file are unknown, and which are missing.
    pub fn check_tops(&mut self) {
        for (key, node) in self.root {
            let name = key.get_ref().as_ref();
            match self.top(name) {
                None => self.unknown_top(name, key.span(), node),
                Some(top) if top.form != Form::Once && node.get_ref().is_array() => self.error(
                    key.span(),
                    format!("`{name}` is a list, but each {name} has a name of its own"),
                    "not a list",
                    named_help(name),
                ),
                Some(_) if !node.get_ref().is_table() => self.error(
                    node.span(),
                    format!("`{name}` must be a table"),
                    format!("this is {}", type_word(node.get_ref())),
                    format!("write [{name}] on a line of its own, and its keys below"),
                ),
                Some(_) => {}
            }
        }
        for top in self.tops.iter().filter(|t| t.required && !self.root.contains_key(t.name)) {
            self.report(Problem {
                severity: Severity::Error,
                message: format!("the file has no [{}] table", top.name),
                span: None,
                label: String::new(),
                help: Some(format!("begin it with [{}] and, below that, name = \"…\"", top.name)),
            });
        }
    }

    fn unknown_top(&mut self, name: &str, span: Span, node: &Node<'_>) {
        let what = if node.get_ref().is_table() || node.get_ref().is_array() { "table" } else { "key" };
        let help = if what == "key"
            && let Some(top) = self.tops.iter().find(|t| t.form == Form::Once && t.table.key(name).is_some())
        {
            format!("move it below [{}]", top.name)
        } else if let Some(near) = nearest(name, self.tops.iter().map(|t| t.name)) {
            format!("did you mean `{near}`?")
        } else {
            let all: Vec<&str> = self.tops.iter().map(|t| t.name).collect();
            let file = self.file.strip_suffix(" file").unwrap_or(self.file);
            format!("the tables of a {file} are {}", all.join(", "))
        };
        self.error(span, format!("the {} has no {what} `{name}`", self.file), format!("unknown {what}"), help);
    }

    /// Opens a table: says which of its keys are unknown and which are missing.
    pub fn open(&mut self, node: &'a Node<'a>, table: &'static Table, what: String) -> Option<Fields<'a>> {
        let DeValue::Table(entries) = node.get_ref() else {
            self.error(
                node.span(),
                format!("{what} must be a table"),
                format!("this is {}", type_word(node.get_ref())),
                format!("write {}", table_example(table)),
            );
            return None;
        };
        let fields = Fields { table, what, span: node.span(), entries };
        for key in entries.keys() {
            let name = key.get_ref().as_ref();
            if table.key(name).is_none() {
                let help = unknown_key_help(table, name);
                self.error(key.span(), format!("{} has no key `{name}`", fields.what), "unknown key", help);
            }
        }
        for key in table.keys.iter().filter(|k| k.required && !entries.contains_key(k.name)) {
            self.error(
                fields.span.clone(),
                format!("{} has no `{}`", fields.what, key.name),
                format!("`{}` is missing", key.name),
                format!("add `{}`: {}", key.name, as_clause(key.about)),
            );
        }
        Some(fields)
    }

    /// Says that a value is of the wrong kind.
    pub fn wrong_type(&mut self, node: &Node<'_>, at: At<'_>, value: &Value) {
        let message = format!("{at} must be {}", wanted(value));
        let label = format!("this is {}", type_word(node.get_ref()));
        self.error(node.span(), message, label, format!("write {}", example(value, self.units)));
    }

    /// Text.
    pub fn text(&mut self, f: &Fields<'a>, key: &str) -> Option<String> {
        let node = f.get(key)?;
        match node.get_ref().as_str() {
            Some(text) => Some(text.to_owned()),
            None => {
                self.wrong_type(node, f.at(key), &Value::Text);
                None
            }
        }
    }

    /// A flag; `None` only if it is absent or wrong.
    pub fn flag(&mut self, f: &Fields<'a>, key: &str) -> Option<bool> {
        let node = f.get(key)?;
        let value = node.get_ref().as_bool();
        if value.is_none() {
            self.wrong_type(node, f.at(key), &Value::Flag);
        }
        value
    }

    /// One of the words that the definition has.
    pub fn choice(&mut self, f: &Fields<'a>, key: &str) -> Option<&'static str> {
        self.choice_at(f.get(key)?, f.at(key), &f.key(key).value)
    }

    /// One of the words of a choice, at any place.
    pub fn choice_at(&mut self, node: &Node<'_>, at: At<'_>, value: &Value) -> Option<&'static str> {
        let Value::Choice(words) = value else { return None };
        let Some(text) = node.get_ref().as_str() else {
            self.wrong_type(node, at, value);
            return None;
        };
        let found = words.iter().copied().find(|w| *w == text);
        if found.is_none() {
            let help = match nearest(text, words.iter().copied()) {
                Some(near) => format!("did you mean \"{near}\"?"),
                None => format!("write {}", wanted(value)),
            };
            let message = format!("{at} can't be \"{}\"", clip(text));
            self.error(node.span(), message, format!("not {}", wanted(value)), help);
        }
        found
    }

    /// A whole number, as the definition allows.
    pub fn whole(&mut self, f: &Fields<'a>, key: &str) -> Option<i64> {
        let node = f.get(key)?;
        let value = &f.key(key).value;
        let number = match node.get_ref() {
            DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix()).ok(),
            DeValue::Float(_) => None,
            _ => {
                self.wrong_type(node, f.at(key), value);
                return None;
            }
        };
        let allowed = match (number, value) {
            (Some(n), Value::WholeChoice(all)) => all.contains(&n),
            (Some(n), Value::Count(least, most)) => (*least..=*most).contains(&n),
            _ => false,
        };
        if !allowed {
            let message = format!("{} must be {}", f.at(key), wanted(value));
            let label = if matches!(node.get_ref(), DeValue::Float(_)) { "not a whole number" } else { "out of range" };
            self.error(node.span(), message, label, format!("write {}", wanted(value)));
            return None;
        }
        number
    }

    /// A quantity, in SI.
    pub fn number(&mut self, f: &Fields<'a>, key: &str) -> Option<f64> {
        let node = f.get(key)?;
        let Value::Number(quantity, bounds) = &f.key(key).value else { return None };
        self.number_at(node, f.at(key), *quantity, bounds)
    }

    /// Three quantities, in SI.
    pub fn triple(&mut self, f: &Fields<'a>, key: &str) -> Option<DVec3> {
        let node = f.get(key)?;
        self.triple_at(node, f.at(key), &f.key(key).value)
    }

    /// Two quantities.
    pub fn pair(&mut self, f: &Fields<'a>, key: &str) -> Option<DVec2> {
        let node = f.get(key)?;
        self.pair_at(node, f.at(key), &f.key(key).value)
    }

    /// A table that was opened before: what is wrong with its keys has been said.
    pub fn reopened(&self, name: &str, table: &'static Table) -> Option<Fields<'a>> {
        let node = self.root.get(name)?;
        let DeValue::Table(entries) = node.get_ref() else { return None };
        Some(Fields { table, what: format!("[{name}]"), span: node.span(), entries })
    }

    /// Three quantities, in SI, at any place.
    pub fn triple_at(&mut self, node: &'a Node<'a>, at: At<'_>, value: &Value) -> Option<DVec3> {
        let [x, y, z] = self.numbers_at(node, at, value)?;
        Some(DVec3::new(x, y, z))
    }

    /// Two quantities, in SI, at any place.
    pub fn pair_at(&mut self, node: &'a Node<'a>, at: At<'_>, value: &Value) -> Option<DVec2> {
        let [x, y] = self.numbers_at(node, at, value)?;
        Some(DVec2::new(x, y))
    }

    fn numbers_at<const N: usize>(&mut self, node: &'a Node<'a>, at: At<'_>, value: &Value) -> Option<[f64; N]> {
        let Value::Numbers(_, quantity, bounds) = value else { return None };
        let Some(items) = node.get_ref().as_array() else {
            self.wrong_type(node, at, value);
            return None;
        };
        if items.len() != N {
            let message = format!("{at} must be {}", wanted(value));
            let label = format!("this has {}", count(items.len(), "number"));
            self.error(node.span(), message, label, format!("write {}", example(value, self.units)));
            return None;
        }
        let mut out = [0.0; N];
        let mut good = true;
        for (i, item) in items.iter().enumerate() {
            match self.number_at(item, at.nth(i), *quantity, bounds) {
                Some(number) => out[i] = number,
                None => good = false,
            }
        }
        good.then_some(out)
    }

    /// A quantity, in SI, at any place.
    pub fn number_at(&mut self, node: &Node<'_>, at: At<'_>, quantity: Quantity, bounds: &Bounds) -> Option<f64> {
        let plain = quantity.plain_unit(self.units);
        let literal = match node.get_ref() {
            DeValue::Integer(i) if i.radix() == 10 => i.as_str().to_owned(),
            DeValue::Integer(i) => match i128::from_str_radix(i.as_str(), i.radix()) {
                Ok(number) => number.to_string(),
                Err(_) => "1e999".to_owned(), // more than any bound
            },
            DeValue::Float(x) => x.as_str().to_owned(),
            DeValue::String(text) if quantity.takes_text() => {
                return match parse_text(text, quantity, self.units) {
                    Ok(Written { value, .. }) => self.bounded(node, at, quantity, bounds, value, value),
                    Err(why) => {
                        let message = format!("{at} can't be read as {}", quantity.word());
                        let help = format!("write {}", example(&Value::Number(quantity, *bounds), self.units));
                        self.error(node.span(), message, why, help);
                        None
                    }
                };
            }
            _ => {
                self.wrong_type(node, at, &Value::Number(quantity, *bounds));
                return None;
            }
        };
        let Some(decimal) = Decimal::parse(&literal) else {
            let message = format!("{at} must be a finite number");
            self.error(node.span(), message, "not a finite number", format!("write {}", quantity.word()));
            return None;
        };
        // The bounds of angles are in degrees, so that 180 is not refused for its last bit.
        let compared = if quantity == Quantity::Angle { decimal.to_si(Unit::One) } else { decimal.to_si(plain) };
        self.bounded(node, at, quantity, bounds, compared, decimal.to_si(plain))
    }

    fn bounded(
        &mut self,
        node: &Node<'_>,
        at: At<'_>,
        quantity: Quantity,
        bounds: &Bounds,
        compared: f64,
        value: f64,
    ) -> Option<f64> {
        if bounds.hold(compared) && value.is_finite() {
            return Some(value);
        }
        let show = |x: f64| match quantity {
            Quantity::Angle => show(x, Quantity::Plain, self.units) + "°",
            _ => show(x, quantity, self.units),
        };
        let label = match (compared > bounds.most, bounds.above) {
            (true, _) => format!("must be at most {}", show(bounds.most)),
            (false, true) => format!("must be more than {}", show(bounds.least)),
            (false, false) => format!("must be at least {}", show(bounds.least)),
        };
        let message = match compared.is_finite() {
            true => format!("{at} is {}", show(compared)),
            false => format!("{at} is too large a number to compute with"),
        };
        let help = match quantity {
            Quantity::Length if self.units == Units::In => {
                "a plain number is in inches here: check the figure, or name another unit as in \"45 mm\"".to_owned()
            }
            Quantity::Length => {
                "a plain number is in mm here: check the figure, or name another unit as in \"1 3/4 in\"".to_owned()
            }
            Quantity::Stress => {
                "a plain number is in MPa: check the figure, or name its unit as in \"210 GPa\"".to_owned()
            }
            Quantity::Mass => "a plain number is in kg: check the figure, or name its unit as in \"180 lb\"".to_owned(),
            Quantity::Rate => {
                "a plain number is in N/mm: check the figure, or name its unit as in \"120 lb/in\"".to_owned()
            }
            Quantity::Force => match self.units {
                Units::Mm => {
                    "a plain number is in N here: check the figure, or name its unit as in \"300 lbf\"".to_owned()
                }
                Units::In => {
                    "a plain number is in lbf here: check the figure, or name its unit as in \"1.5 kN\"".to_owned()
                }
            },
            Quantity::Moment => match self.units {
                Units::Mm => {
                    "a plain number is in N m here: check the figure, or name its unit as in \"60 lbf ft\"".to_owned()
                }
                Units::In => {
                    "a plain number is in lbf ft here: check the figure, or name its unit as in \"80 N m\"".to_owned()
                }
            },
            Quantity::Density => "densities are in kg/m³: steel has 7850".to_owned(),
            _ => "check the figure".to_owned(),
        };
        self.error(node.span(), message, label, help);
        None
    }

    /// A list, checked for its length.
    pub fn list(&mut self, f: &Fields<'a>, key: &str) -> Option<&'a [Node<'a>]> {
        let node = f.get(key)?;
        let value = &f.key(key).value;
        self.list_at(node, f.at(key), value)
    }

    /// A list, checked for its length, where the definition has one (perhaps among other things).
    pub fn list_at(&mut self, node: &'a Node<'a>, at: At<'_>, value: &'static Value) -> Option<&'a [Node<'a>]> {
        let least = match value {
            Value::List(least, _) => *least,
            Value::Either(all) => all.iter().find_map(|v| if let Value::List(n, _) = v { Some(*n) } else { None })?,
            _ => return None,
        };
        let Some(items) = node.get_ref().as_array() else {
            self.wrong_type(node, at, value);
            return None;
        };
        if items.len() < least {
            let message = format!("{at} must have at least {}", count(least, "item"));
            let label = format!("this has {}", count(items.len(), "item"));
            self.error(node.span(), message, label, format!("write {}", example(value, self.units)));
            return None;
        }
        Some(items)
    }

    /// A table within a table.
    pub fn table(&mut self, f: &Fields<'a>, key: &str, what: String) -> Option<Fields<'a>> {
        let node = f.get(key)?;
        let table = match &f.key(key).value {
            Value::Table(table) => table,
            Value::Either(all) => all.iter().find_map(|v| if let Value::Table(t) = v { Some(*t) } else { None })?,
            _ => return None,
        };
        self.open(node, table, what)
    }
}

/// `[tube.NAME]`, for help.
fn named_help(name: &str) -> String {
    if name == "point" {
        "write [point] and below it a line for each, such as foot = [0, 0, 0]".to_owned()
    } else {
        format!("write [{name}.NAME] for each, with single brackets")
    }
}

/// What could be meant by an unknown key.
fn unknown_key_help(table: &Table, name: &str) -> String {
    let alias = keys::ALIASES.iter().filter(|(word, _)| word.eq_ignore_ascii_case(name)).map(|(_, key)| *key);
    if let Some(key) = alias.into_iter().find(|key| table.key(key).is_some()) {
        return format!("did you mean `{key}`?");
    }
    match nearest(name, table.keys.iter().map(|k| k.name)) {
        Some(near) => format!("did you mean `{near}`?"),
        None => {
            let all: Vec<String> = table.keys.iter().map(|k| format!("`{}`", k.name)).collect();
            format!("its keys are {}", all.join(", "))
        }
    }
}

/// A sentence as part of another.
fn as_clause(sentence: &str) -> String {
    let sentence = sentence.trim_end_matches('.');
    let mut chars = sentence.chars();
    match (chars.next(), chars.next()) {
        (Some(first), Some(second)) if second.is_lowercase() || second == ' ' => {
            first.to_lowercase().chain(sentence.chars().skip(1)).collect()
        }
        _ => sentence.to_owned(),
    }
}

/// `1 item`, `2 items`, `no items`.
pub fn count(n: usize, word: &str) -> String {
    match n {
        0 => format!("no {word}s"),
        1 => format!("1 {word}"),
        n => format!("{n} {word}s"),
    }
}

/// Text of the user's for a message: not longer than a line bears, and without line breaks.
pub fn clip(text: &str) -> String {
    const MOST: usize = 60;
    let mut out: String = text.chars().take(MOST).map(|c| if c.is_control() { '?' } else { c }).collect();
    if text.chars().nth(MOST).is_some() {
        out.push('…');
    }
    out
}

/// The kind of a value, with its article.
pub fn type_word(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

/// What is wanted at a key, in words.
pub fn wanted(value: &Value) -> String {
    match value {
        Value::Text => "text in quotes".to_owned(),
        Value::Flag => "true or false".to_owned(),
        Value::Choice(words) => or(words.iter().map(|w| format!("\"{w}\""))),
        Value::WholeChoice(all) => or(all.iter().map(i64::to_string)),
        Value::Count(least, most) => format!("a whole number from {least} to {most}"),
        Value::Number(quantity, _) => quantity.word().to_owned(),
        Value::Numbers(n, Quantity::Length, _) => format!("a list of {n} lengths"),
        Value::Numbers(n, Quantity::Force, _) => format!("a list of {n} forces"),
        Value::Numbers(n, Quantity::Moment, _) => format!("a list of {n} moments"),
        Value::Numbers(n, ..) => format!("a list of {n} numbers"),
        Value::Name(kind) => format!("the name of a {}", kind.table()),
        Value::NameOf(kinds) => format!("the name of a {}", or(kinds.iter().map(|k| k.table().to_owned()))),
        Value::Axes => "some of the letters x, y and z".to_owned(),
        Value::Size => "the name of a built-in section".to_owned(),
        Value::List(_, of) => match of {
            Value::Choice(_) => format!("a list of {}", wanted(of)),
            Value::Name(kind) => format!("a list of {}s", kind.table()),
            Value::Number(Quantity::Length, _) => "a list of lengths".to_owned(),
            Value::Table(_) => "a list of tables".to_owned(),
            _ => "a list".to_owned(),
        },
        Value::Table(_) => "a table".to_owned(),
        Value::Either(all) => or(all.iter().map(wanted)),
    }
}

/// `a`, `a or b`, `a, b or c`.
pub fn or(words: impl Iterator<Item = String>) -> String {
    let words: Vec<String> = words.collect();
    match words.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} or {last}", rest.join(", ")),
        None => String::new(),
    }
}

/// Something that could stand at a key, as TOML.
pub fn example(value: &Value, units: Units) -> String {
    let inches = units == Units::In;
    match value {
        Value::Text => "\"…\"".to_owned(),
        Value::Flag => "true".to_owned(),
        Value::Choice(words) => format!("\"{}\"", words[0]),
        Value::WholeChoice(all) => all[0].to_string(),
        Value::Count(..) => "a whole number".to_owned(),
        Value::Number(Quantity::Length, _) if inches => "1.75 or \"1 3/4\" (inches) or \"45 mm\"".to_owned(),
        Value::Number(Quantity::Length, _) => "45 (mm) or \"1 3/4 in\"".to_owned(),
        Value::Number(Quantity::Mass, _) => "80 (kg) or \"180 lb\"".to_owned(),
        Value::Number(Quantity::Stress, _) => "355 (MPa) or \"51 ksi\"".to_owned(),
        Value::Number(Quantity::Angle, _) => "30 (degrees)".to_owned(),
        Value::Number(Quantity::Rate, _) => "22 (N/mm) or \"120 lb/in\"".to_owned(),
        Value::Number(Quantity::Force, _) if inches => "300 (lbf) or \"1.5 kN\"".to_owned(),
        Value::Number(Quantity::Force, _) => "1500 (N) or \"300 lbf\"".to_owned(),
        Value::Number(Quantity::Moment, _) if inches => "60 (lbf ft) or \"80 N m\"".to_owned(),
        Value::Number(Quantity::Moment, _) => "80 (N m) or \"60 lbf ft\"".to_owned(),
        Value::Number(Quantity::Density, _) => "7850".to_owned(),
        Value::Number(..) => "a number".to_owned(),
        Value::Numbers(2, ..) => "[120, 80]".to_owned(),
        Value::Numbers(_, Quantity::Length, _) if inches => "[12, \"6 1/2\", 0]".to_owned(),
        Value::Numbers(_, Quantity::Length, _) => "[1450, 310, 0]".to_owned(),
        Value::Numbers(_, Quantity::Force | Quantity::Moment, _) => "[0, 0, -1500]".to_owned(),
        Value::Numbers(..) => "[0, 0, 1]".to_owned(),
        Value::Name(kind) => format!("\"name of a {}\"", kind.table()),
        Value::NameOf(kinds) => format!("\"name of a {}\"", kinds[0].table()),
        Value::Axes => "\"xyz\"".to_owned(),
        Value::Size => "\"CHS 48.3 x 3.0\"".to_owned(),
        Value::List(least, of) => match of {
            Value::Name(kind) => {
                let items: Vec<String> = (1..=(*least).max(1)).map(|i| format!("\"{}_{i}\"", kind.table())).collect();
                format!("[{}]", items.join(", "))
            }
            Value::Number(Quantity::Length, _) => "[135, 150]".to_owned(),
            Value::Choice(_) => format!("[{}]", example(of, units)),
            Value::Table(t) => format!("[{}]", table_example(t)),
            Value::Either(_) => "[[0, 310, 200], [850, 120, 340]]".to_owned(),
            _ => "[[0, 0], [120, 0], [120, 80]]".to_owned(),
        },
        Value::Table(table) => table_example(table),
        Value::Either(all) => or(all.iter().map(|v| example(v, units))),
    }
}

fn table_example(table: &Table) -> String {
    let required: Vec<&Key> = table.keys.iter().filter(|k| k.required).collect();
    let shown = if required.is_empty() { &[&table.keys[0]][..] } else { &required[..] };
    let keys: Vec<String> = shown.iter().map(|k| format!("{} = …", k.name)).collect();
    format!("{{ {} }}", keys.join(", "))
}
