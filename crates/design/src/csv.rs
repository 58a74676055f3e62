//! Tables as text: values with commas, semicolons or tabs between them, after RFC 4180.
//!
//! [`text`] turns a file's bytes into text and [`read`] that text into a [`Table`]: which columns there should be, and
//! what they mean, is the caller's business. Fields know where they stand, so that a caller's own complaints can point
//! at them with [`render`](crate::render).
//!
//! Beyond the RFC: the separator is found out, a byte-order mark, blank lines and `#` comments are passed over, blanks
//! round a field do not count, and a quote *within* a field that is not quoted is an inch mark (`20"`).

mod scan;

use std::borrow::Cow;

use crate::model::Span;
use crate::problem::{Problem, Severity};

/// Largest file that is looked at, bytes: as for a design file.
pub const LARGEST: usize = 8 << 20;
/// Most fields of a table, so that a file of commas alone can't take all memory.
pub const MOST_CELLS: usize = 1_000_000;
/// A table that is wrong in more places is wrong throughout: more would not help.
const MOST_PROBLEMS: usize = 20;

/// What stands between two fields.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Separator {
    /// `,`
    Comma,
    /// `;`
    Semicolon,
    /// A tab.
    Tab,
}

impl Separator {
    /// Its one byte.
    fn byte(self) -> u8 {
        match self {
            Separator::Comma => b',',
            Separator::Semicolon => b';',
            Separator::Tab => b'\t',
        }
    }

    /// What it is called.
    pub fn word(self) -> &'static str {
        match self {
            Separator::Comma => "comma",
            Separator::Semicolon => "semicolon",
            Separator::Tab => "tab",
        }
    }
}

/// One field.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// What it says: without quotes, and without blanks round it unless they are quoted.
    pub text: String,
    /// Where it stands in the text, with its quotes.
    pub span: Span,
}

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The line on which it begins, from 1.
    pub line: usize,
    /// Its fields: at most as many as the header has.
    pub fields: Vec<Field>,
}

impl Row {
    /// The field in a column; `None` if there is nothing in it, or the row ends before it.
    pub fn get(&self, column: usize) -> Option<&Field> {
        self.fields.get(column).filter(|f| !f.text.trim().is_empty())
    }

    /// All of it.
    pub fn span(&self) -> Span {
        let at = |f: Option<&Field>| f.map_or(0..0, |f| f.span.clone());
        at(self.fields.first()).start..at(self.fields.last()).end
    }
}

/// A table with a header.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// What stands between fields.
    pub separator: Separator,
    /// Names of the columns.
    pub header: Vec<Field>,
    /// The rows after it that say anything.
    pub rows: Vec<Row>,
}

impl Table {
    /// Which column is called this. Capitals do not count, and a blank or `-` is as good as `_`.
    ///
    /// # Errors
    /// If two columns are.
    pub fn column(&self, name: &str) -> Result<Option<usize>, Problem> {
        let mut found = self.header.iter().enumerate().filter(|(_, f)| plain(&f.text) == plain(name));
        let first = found.next().map(|(i, _)| i);
        match found.next() {
            Some((_, second)) => {
                let message = format!("two columns are called `{name}`");
                Err(Problem::error(message, second.span.clone(), "the second").help("take one of them out"))
            }
            None => Ok(first),
        }
    }

    /// The columns that are called none of these, for a word about what is not read.
    pub fn others(&self, known: &[&str]) -> Vec<&Field> {
        let is_known = |f: &Field| known.iter().any(|k| plain(k) == plain(&f.text));
        self.header.iter().filter(|f| !f.text.is_empty() && !is_known(f)).collect()
    }

    /// A number's text with a decimal point, if it has a decimal comma and the separator allows for one: it is not a
    /// comma, and only one comma stands in the text, before a digit, without a point.
    pub fn pointed<'a>(&self, text: &'a str) -> Cow<'a, str> {
        match text.split_once(',') {
            Some((before, after))
                if self.separator != Separator::Comma
                    && after.starts_with(|c: char| c.is_ascii_digit())
                    && !after.contains(',')
                    && !text.contains('.') =>
            {
                Cow::Owned(format!("{before}.{after}"))
            }
            _ => Cow::Borrowed(text),
        }
    }
}

/// A column's name as it is compared.
fn plain(name: &str) -> String {
    name.trim().to_lowercase().replace([' ', '-'], "_")
}

/// A file's bytes as text: without a byte-order mark, and with line feeds where carriage returns alone end lines.
///
/// # Errors
/// If it is not UTF-8, or too large.
pub fn text(bytes: &[u8]) -> Result<String, Problem> {
    if bytes.len() > LARGEST {
        return Err(nowhere(
            format!("the table has {} bytes", bytes.len()),
            format!("a table has at most {LARGEST}: split it"),
        ));
    }
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        return Err(nowhere("the table is UTF-16 text", "save it as \"CSV UTF-8\""));
    }
    let bytes = bytes.strip_prefix(&[0xEF, 0xBB, 0xBF]).unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(with_line_feeds(text)),
        Err(e) => {
            let line = 1 + bytes[..e.valid_up_to()].iter().filter(|b| **b == b'\n').count();
            Err(nowhere(format!("line {line} of the table is not UTF-8 text"), "save it as \"CSV UTF-8\""))
        }
    }
}

/// The text with a line feed in place of each carriage return that has none after it; nothing moves.
fn with_line_feeds(text: &str) -> String {
    let mut chars = text.chars().peekable();
    let mut out = String::with_capacity(text.len());
    while let Some(c) = chars.next() {
        out.push(if c == '\r' && chars.peek() != Some(&'\n') { '\n' } else { c });
    }
    out
}

/// Reads a table. Never panics, whatever the text.
///
/// The separator is a tab if the header holds one outside quotes, else a semicolon if it holds one, else a comma; or
/// what a first line `sep=;` says.
///
/// # Errors
/// Quotes that do not close or have text after them, rows with more fields than the header, no header, too much of it.
pub fn read(text: &str) -> Result<Table, Vec<Problem>> {
    if text.len() > LARGEST {
        let message = format!("the table has {} bytes", text.len());
        return Err(vec![nowhere(message, format!("a table has at most {LARGEST}: split it"))]);
    }
    let mut scan = scan::Scan::new(text);
    let Some(header) = scan.header().map_err(|p| vec![p])? else {
        return Err(vec![nowhere("the table is empty", "its first line names the columns")]);
    };
    let header = header.fields;
    let (mut rows, mut problems) = (Vec::new(), Vec::new());
    while problems.len() < MOST_PROBLEMS {
        let mut row = match scan.row() {
            Ok(Some(row)) => row,
            Ok(None) => break,
            Err(problem) => {
                problems.push(problem);
                break;
            }
        };
        match row.fields.iter().skip(header.len()).find(|f| !f.text.is_empty()) {
            Some(extra) => problems.push(too_long(&row, &header, extra, scan.separator)),
            None => {
                row.fields.truncate(header.len());
                rows.push(row);
            }
        }
    }
    if problems.is_empty() { Ok(Table { separator: scan.separator, header, rows }) } else { Err(problems) }
}

fn too_long(row: &Row, header: &[Field], extra: &Field, separator: Separator) -> Problem {
    let message =
        format!("line {} has {} fields, and the header names {} columns", row.line, row.fields.len(), header.len());
    let help = match separator {
        Separator::Comma => "put a field with a comma in it in quotes; decimal commas want semicolons between fields",
        _ => "put a field with the separator in it in quotes",
    };
    Problem::error(message, extra.span.clone(), "there is no column for this").help(help)
}

/// A problem of the whole file.
fn nowhere(message: impl Into<String>, help: impl Into<String>) -> Problem {
    Problem {
        severity: Severity::Error,
        message: message.into(),
        span: None,
        label: String::new(),
        help: Some(help.into()),
    }
}

#[cfg(test)]
mod tests;
