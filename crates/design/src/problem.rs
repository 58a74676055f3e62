//! What is wrong with a design, and where.

use crate::model::Span;

/// How bad a problem is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The design can be used; the reader should know.
    Note,
    /// The design can't be used.
    Error,
}

/// One problem, in the user's own names.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// How bad.
    pub severity: Severity,
    /// What is wrong: one sentence, no full stop.
    pub message: String,
    /// The text at fault, if it stands in the file.
    pub span: Option<Span>,
    /// A few words beside the text at fault.
    pub label: String,
    /// What to do: one sentence.
    pub help: Option<String>,
}

impl Problem {
    /// An error at a place in the text.
    pub fn error(message: impl Into<String>, span: Span, label: impl Into<String>) -> Self {
        Problem {
            severity: Severity::Error,
            message: message.into(),
            span: Some(span),
            label: label.into(),
            help: None,
        }
    }

    /// The same with advice.
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(help.into());
        self
    }
}
