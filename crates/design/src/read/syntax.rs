//! Text to TOML, and what the parser says in plainer words.

use toml::de::DeTable;

use super::fields::clip;
use crate::model::Span;
use crate::problem::{Problem, Severity};

/// One slip can derail the parser for the rest of the file, so only the first few of its complaints mean anything.
const MOST_SHOWN: usize = 5;
/// Complaints that are compared with each other to choose those.
const MOST_LOOKED_AT: usize = 1000;
/// Of a larger file, bytes, only the first error is told: there could be millions.
const LARGEST_EXPLAINED: usize = 1 << 20;

/// Parses the text.
///
/// # Errors
/// What is wrong with the syntax.
pub fn parse(text: &str) -> Result<DeTable<'_>, Vec<Problem>> {
    if text.len() > super::LARGEST_FILE {
        let message =
            format!("the file has {} MB, more than the {} that are read", text.len() >> 20, super::LARGEST_FILE >> 20);
        return Err(vec![Problem {
            severity: Severity::Error,
            message,
            span: None,
            label: String::new(),
            help: Some(
                "check that it is a design file; split what is drawn by a program into several designs".to_owned(),
            ),
        }]);
    }
    let first = match DeTable::parse(text) {
        Ok(root) => return Ok(root.into_inner()),
        Err(first) => first,
    };
    let mut errors = if text.len() <= LARGEST_EXPLAINED { DeTable::parse_recoverable(text).1 } else { vec![first] };
    errors.sort_by_key(|e| e.span().map_or(0, |s| s.start));
    let place = |e: &toml::de::Error| e.span().unwrap_or(0..0);
    // A duplicate leaves the parser on its feet: all of them are told.
    if errors.iter().all(|e| e.message() == DUPLICATE) {
        return Err(duplicates(text, errors.iter().map(place)));
    }
    errors.retain(|e| e.message() != DUPLICATE);
    // A bracket that is not closed derails the parser; what it complained of before that still holds.
    if let Some(unclosed) = errors.iter().find(|e| derails(e.message())) {
        let opened = errors.iter().enumerate().find_map(|(k, e)| {
            let bracket = opening(text, unclosed.message(), place(e).start)?;
            Some((k, bracket))
        });
        let problem = not_closed(unclosed.message(), opened.as_ref().map(|o| o.1.clone()), place(&errors[0]));
        errors.truncate(opened.map_or(0, |o| o.0));
        errors.dedup_by_key(|e| line_start(text, place(e).start));
        let before = errors.iter().take(MOST_SHOWN - 1).map(|e| explain(text, e.message(), place(e)));
        return Err(before.chain([problem]).collect());
    }
    errors.truncate(MOST_LOOKED_AT);
    // The first on each line is the cause of the others there.
    errors.dedup_by_key(|e| line_start(text, place(e).start));
    Err(errors.iter().take(MOST_SHOWN).map(|e| explain(text, e.message(), place(e))).collect())
}

const DUPLICATE: &str = "duplicate key";

fn line_start(text: &str, at: usize) -> usize {
    text.get(..at).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1)
}

fn line_at(text: &str, at: usize) -> &str {
    text.get(line_start(text, at)..).and_then(|t| t.lines().next()).unwrap_or("")
}

fn explain(text: &str, message: &str, span: Span) -> Problem {
    let (what, expected) = message.split_once(", expected ").unwrap_or((message, ""));
    let value = line_at(text, span.start).split_once('=').map(|(_, v)| v.trim()).unwrap_or("");
    let written = text.get(span.clone()).unwrap_or("").trim();
    // Within a list or a table the whole value is not what should stand in quotes.
    let alone = !value.starts_with(['[', '{']);
    let quoted = format!("\"{}\"", clip(if alone { unquoted(value) } else { written }));
    let value = if alone { value } else { written };
    let (what, label, help) = match what {
        _ if what.contains("recurs") => (
            "tables or lists within each other, far too many deep",
            "too deep",
            "a design nests them a few deep at most".to_owned(),
        ),
        "string values must be quoted" if value.is_empty() || value.starts_with('#') => {
            ("a value is missing", "after `=`", "write one, or take the line out".to_owned())
        }
        "string values must be quoted" if numbers_apart(written) => (
            "two numbers stand in a list with no comma between them",
            "no comma",
            format!("write {}", written.split_whitespace().collect::<Vec<_>>().join(", ")),
        ),
        "string values must be quoted" | "invalid boolean" if yes_or_no(unquoted(value)).is_some() => {
            ("that is no value", "here", format!("write {}", yes_or_no(unquoted(value)).unwrap_or_default()))
        }
        "string values must be quoted" | "invalid boolean" => (
            "text must stand in quotes",
            "not in quotes",
            match value.starts_with(|c: char| c.is_ascii_digit() || c == '-') {
                true => format!("a fraction, and a number with a unit, is text: write {quoted}"),
                false => format!("a name that is used as a value stands in quotes: write {quoted}"),
            },
        ),
        "unclosed table" | "unclosed array table" => {
            ("a heading is not closed", "here", format!("add `{}`", if what == "unclosed table" { "]" } else { "]]" }))
        }
        "invalid basic string" | "invalid literal string" => (
            "text is not closed, or holds a character that it can't",
            "here",
            "text begins and ends with the same quotes, on one line".to_owned(),
        ),
        _ => (
            what,
            "here",
            match expected {
                "" => "docs/design-file.md says how a design is written".to_owned(),
                "nothing" => "take it out".to_owned(),
                _ => format!("expected {expected}"),
            },
        ),
    };
    Problem::error(format!("the file is not valid TOML: {what}"), span, label).help(help)
}

/// Whether several numbers stand where one should.
fn numbers_apart(written: &str) -> bool {
    let parts: Vec<&str> = written.split_whitespace().collect();
    parts.len() > 1 && parts.iter().all(|p| p.parse::<f64>().is_ok())
}

/// What is meant by a word for yes or no.
fn yes_or_no(word: &str) -> Option<&'static str> {
    match word.to_lowercase().as_str() {
        "yes" | "on" | "true" => Some("true"),
        "no" | "off" | "false" => Some("false"),
        _ => None,
    }
}

/// A value without its comment.
fn unquoted(value: &str) -> &str {
    value.split('#').next().unwrap_or(value).trim().trim_matches(['"', '\''])
}

/// Whether a complaint is of a list or a table within a value that is not closed, rather than of a heading.
fn derails(message: &str) -> bool {
    message.starts_with("unclosed inline table") || message.starts_with("unclosed array,")
}

/// The brackets of what a complaint says is not closed, and its name.
fn brackets(message: &str) -> (char, char, &'static str) {
    match message.contains("array") {
        true => ('[', ']', "list"),
        false => ('{', '}', "table"),
    }
}

/// Where the bracket stands that was not closed when the parser noticed: it does so lines later.
fn opening(text: &str, message: &str, noticed: usize) -> Option<Span> {
    let (open, close, _) = brackets(message);
    let mut depth = 0;
    for (i, c) in text.get(..noticed).unwrap_or("").char_indices().rev() {
        if c == close {
            depth += 1;
        } else if c == open && depth == 0 {
            return Some(i..i + 1);
        } else if c == open {
            depth -= 1;
        }
    }
    None
}

/// A bracket is not closed: the person looks for where it opens.
fn not_closed(message: &str, opened: Option<Span>, first_error: Span) -> Problem {
    let (_, close, what) = brackets(message);
    let message = format!("the file is not valid TOML: a {what} is not closed");
    match opened {
        Some(span) => Problem::error(message, span, "opened here"),
        None => Problem::error(message, first_error, "noticed here"),
    }
    .help(format!("add `{close}` where it ends"))
}

/// All that is defined twice. Within a table that is itself there twice, every key would be.
fn duplicates(text: &str, spans: impl Iterator<Item = Span>) -> Vec<Problem> {
    const MOST: usize = 100;
    let mut out = Vec::new();
    // Where the table that was there twice ends.
    let mut ends = 0;
    for span in spans {
        let header = line_at(text, span.start).trim_start().starts_with('[');
        if header {
            let rest = text.get(span.end..).unwrap_or("");
            ends = rest.find("\n[").map_or(text.len(), |i| span.end + i);
        }
        if header || span.start >= ends {
            out.push(duplicate(text, span));
        }
        if out.len() == MOST {
            break;
        }
    }
    out
}

/// Something is defined twice: says where it was before.
fn duplicate(text: &str, span: Span) -> Problem {
    let name = text.get(span.clone()).unwrap_or("").trim_matches(['"', '\'']);
    let line_start = line_start(text, span.start);
    let line = line_at(text, span.start);
    let header = line.trim_start().starts_with('[');
    let head = |line: &str| {
        let line = line.split('#').next().unwrap_or("");
        let line = if header { line } else { line.split('=').next().unwrap_or("") };
        line.trim().to_owned()
    };
    let mut first = None;
    let mut offset = 0;
    for (number, earlier) in text.lines().enumerate() {
        if offset >= line_start {
            break;
        }
        if !header && earlier.trim_start().starts_with('[') {
            first = None;
        } else if first.is_none() && head(earlier) == head(line) {
            first = Some(number + 1);
        }
        offset += earlier.len() + 1;
    }
    let label = match first {
        Some(number) => format!("first defined on line {number}"),
        None => "defined a second time".to_owned(),
    };
    let help = if header {
        "names are unique within their table: rename one of the two, or take it out"
    } else {
        "keep one of the two"
    };
    Problem::error(format!("`{}` is defined twice", clip(name)), span, label).help(help)
}
