//! Problems of a text, with their lines.

use design::Problem;

use crate::tell::line;
use crate::wire::ProblemText;

/// Problems that point into a text.
pub fn texts(problems: &[Problem], text: &str) -> Vec<ProblemText> {
    problems
        .iter()
        .map(|p| {
            let number = p.span.as_ref().map(|s| line(text, s.start));
            let of = number.and_then(|n| text.lines().nth(n as usize - 1)).unwrap_or_default();
            ProblemText { what: p.message.clone(), line: number, text: of.trim().to_owned(), help: p.help.clone() }
        })
        .collect()
}

/// A problem that stands in no text.
pub fn plain(what: impl Into<String>, help: impl Into<String>) -> ProblemText {
    ProblemText { what: what.into(), line: None, text: String::new(), help: Some(help.into()) }
}
