//! From text to rows of fields, byte by byte: separators, quotes and line ends are all ASCII, so that no character is
//! ever cut in two.

use super::{Field, MOST_CELLS, Row, Separator, nowhere};
use crate::problem::Problem;

/// Where the scan stands.
pub struct Scan<'a> {
    text: &'a str,
    at: usize,
    line: usize,
    cells: usize,
    /// What stands between fields.
    pub separator: Separator,
}

impl<'a> Scan<'a> {
    /// At the start of a text.
    pub fn new(text: &'a str) -> Scan<'a> {
        Scan { text, at: 0, line: 1, cells: 0, separator: Separator::Comma }
    }

    /// The first row, after which the separator is known.
    pub fn header(&mut self) -> Result<Option<Row>, Problem> {
        let told = self.told();
        self.pass_over();
        self.separator = told.unwrap_or_else(|| guess(&self.text[self.at..]));
        self.row()
    }

    /// The next row that says anything.
    pub fn row(&mut self) -> Result<Option<Row>, Problem> {
        loop {
            self.pass_over();
            if self.at == self.text.len() {
                return Ok(None);
            }
            let row = self.record()?;
            if row.fields.iter().any(|f| !f.text.is_empty()) {
                return Ok(Some(row));
            }
        }
    }

    fn byte(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    /// A first line `sep=;`, as spreadsheets write it.
    fn told(&mut self) -> Option<Separator> {
        let line = self.text.lines().next()?;
        let [b's' | b'S', b'e' | b'E', b'p' | b'P', b'=', mark] = line.as_bytes() else { return None };
        let told = [Separator::Comma, Separator::Semicolon, Separator::Tab].into_iter().find(|s| s.byte() == *mark)?;
        self.at = line.len();
        self.end_line();
        Some(told)
    }

    /// Passes over blank lines and comments.
    fn pass_over(&mut self) {
        loop {
            let rest = &self.text.as_bytes()[self.at..];
            let blanks = rest.iter().take_while(|b| matches!(b, b' ' | b'\t')).count();
            match rest.get(blanks) {
                None => {
                    self.at = self.text.len();
                    return;
                }
                Some(b'#') => {
                    self.at += rest.iter().position(|b| matches!(b, b'\n' | b'\r')).unwrap_or(rest.len());
                    self.end_line();
                }
                Some(b'\n' | b'\r') => {
                    self.at += blanks;
                    self.end_line();
                }
                Some(_) => return,
            }
        }
    }

    /// Passes over the end of a line, of whichever kind, if the scan stands at one.
    fn end_line(&mut self) {
        match &self.text.as_bytes()[self.at..] {
            [b'\r', b'\n', ..] => self.at += 2,
            [b'\r' | b'\n', ..] => self.at += 1,
            _ => return,
        }
        self.line += 1;
    }

    fn blanks(&mut self) {
        while self.byte().is_some_and(|b| matches!(b, b' ' | b'\t') && b != self.separator.byte()) {
            self.at += 1;
        }
    }

    fn record(&mut self) -> Result<Row, Problem> {
        let mut row = Row { line: self.line, fields: Vec::new() };
        loop {
            self.cells += 1;
            if self.cells > MOST_CELLS {
                let message = format!("the table has more than {MOST_CELLS} fields by line {}", row.line);
                return Err(nowhere(message, "split it"));
            }
            row.fields.push(self.field()?);
            if self.byte() == Some(self.separator.byte()) {
                self.at += 1;
            } else {
                self.end_line();
                return Ok(row);
            }
        }
    }

    /// A field; after it stand a separator, a line's end or the end of the text.
    fn field(&mut self) -> Result<Field, Problem> {
        self.blanks();
        if self.byte() == Some(b'"') {
            return self.quoted();
        }
        let start = self.at;
        let separator = self.separator.byte();
        let rest = &self.text.as_bytes()[start..];
        self.at += rest.iter().position(|b| *b == separator || matches!(b, b'\n' | b'\r')).unwrap_or(rest.len());
        let text = self.text[start..self.at].trim();
        Ok(Field { text: text.to_owned(), span: start..self.text.len().min(start + text.len().max(1)) })
    }

    fn quoted(&mut self) -> Result<Field, Problem> {
        let start = self.at;
        let mut text = String::new();
        self.at += 1;
        loop {
            let rest = &self.text[self.at..];
            let Some(length) = rest.find('"') else {
                let help = "close it with another; an inch mark in a quoted field is written twice";
                return Err(Problem::error("a quote is not closed", start..start + 1, "opened here").help(help));
            };
            text += &rest[..length];
            self.line += ends(&rest[..length]);
            self.at += length + 1;
            if self.byte() != Some(b'"') {
                break;
            }
            text.push('"');
            self.at += 1;
        }
        let span = start..self.at;
        self.blanks();
        match self.byte() {
            None | Some(b'\n' | b'\r') => Ok(Field { text, span }),
            Some(b) if b == self.separator.byte() => Ok(Field { text, span }),
            Some(_) => {
                let help = "quote the whole field; a quote within it is written twice";
                let here = self.at..self.at + 1;
                Err(Problem::error("there is text after a closing quote", here, "not a separator").help(help))
            }
        }
    }
}

/// How many lines end in a text.
fn ends(text: &str) -> usize {
    let bytes = text.as_bytes();
    (0..bytes.len()).filter(|&i| bytes[i] == b'\n' || (bytes[i] == b'\r' && bytes.get(i + 1) != Some(&b'\n'))).count()
}

/// The separator of a header.
fn guess(header: &str) -> Separator {
    let mut inside = false;
    let mut seen = Separator::Comma;
    for b in header.bytes() {
        match b {
            b'"' => inside = !inside,
            b'\n' | b'\r' if !inside => break,
            b'\t' if !inside => return Separator::Tab,
            b';' if !inside => seen = Separator::Semicolon,
            _ => {}
        }
    }
    seen
}
