//! Text to TOML, and what the parser says in plainer words.

use toml::de::DeTable;

use super::fields::clip;
use crate::model::Span;
use crate::problem::{Problem, Severity};

/// One slip can derail the parser for the rest of the file, so only the first few of its complaints mean anything.
const MOST_SHOWN: usize = 5;

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
    let (root, mut errors) = DeTable::parse_recoverable(text);
    if errors.is_empty() {
        return Ok(root.into_inner());
    }
    errors.sort_by_key(|e| e.span().map_or(0, |s| s.start));
    errors.dedup_by_key(|e| e.span());
    // A duplicate leaves the parser on its feet: all of them are told.
    let all_duplicates = errors.iter().all(|e| e.message() == DUPLICATE);
    let shown = if all_duplicates { errors.len().min(100) } else { MOST_SHOWN };
    Err(errors.iter().take(shown).map(|e| explain(text, e.message(), e.span().unwrap_or(0..0))).collect())
}

const DUPLICATE: &str = "duplicate key";

fn explain(text: &str, message: &str, span: Span) -> Problem {
    if message == DUPLICATE {
        return duplicate(text, span);
    }
    let (what, hint) = match message.split_once(", expected ") {
        Some((what, "nothing")) => (what, "take it out".to_owned()),
        Some((what, expected)) => (what, format!("expected {expected}")),
        None => (message, "see docs/design-file.md for how a design is written".to_owned()),
    };
    let help = if what.contains("recursion limit") {
        "a design nests tables and lists a few deep at most".to_owned()
    } else if unquoted_value(text, &span) {
        "text, and every name that is used as a value, stands in quotes: section = \"hoop\"".to_owned()
    } else {
        hint
    };
    Problem::error(format!("the file is not valid TOML: {what}"), span, "here").help(help)
}

/// Whether what stands after the `=` of this line begins like a bare word.
fn unquoted_value(text: &str, span: &Span) -> bool {
    let Some(before) = text.get(..span.start) else { return false };
    let start = before.rfind('\n').map_or(0, |i| i + 1);
    let line = text[start..].lines().next().unwrap_or("");
    let Some((_, value)) = line.split_once('=') else { return false };
    let word: String =
        value.trim().chars().take_while(|c| c.is_alphanumeric() || matches!(c, '_' | '~' | '-')).collect();
    word.starts_with(|c: char| c.is_alphabetic()) && !matches!(word.as_str(), "true" | "false" | "inf" | "nan")
}

/// Something is defined twice: says where it was before.
fn duplicate(text: &str, span: Span) -> Problem {
    let name = text.get(span.clone()).unwrap_or("").trim_matches(['"', '\'']);
    let line_start = text.get(..span.start).and_then(|t| t.rfind('\n')).map_or(0, |i| i + 1);
    let line = text[line_start..].lines().next().unwrap_or("");
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
