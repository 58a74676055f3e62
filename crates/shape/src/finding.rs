//! What an answer has to say, as data.

use design::Span;
use geometry::DVec3;

/// How much it matters. The order is the order in which findings are listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// Must be mended: the frame can't be cut or built as drawn, or a limit of the person's own is passed.
    Mend,
    /// Worth a look before cutting.
    Look,
    /// Outside what was checked.
    NotChecked,
    /// Good to know.
    Note,
}

/// A number with its kind, SI.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
#[serde(tag = "kind", content = "value", rename_all = "kebab-case")]
pub enum Value {
    /// m.
    Length(f64),
    /// rad.
    Angle(f64),
    /// kg.
    Mass(f64),
    /// A fraction of a whole, 0 to 1.
    Part(f64),
    /// A multiple of what it is held against.
    Factor(f64),
    /// J.
    Energy(f64),
    /// A count.
    Count(usize),
}

/// What is told apart of two numbers, m, rad or a share: less is rounding, of distances between curved bodies too.
const ROUNDING: f64 = geometry::SAME_PLACE;

/// Whether a number is less than what is wanted by more than rounding.
pub fn less(v: f64, wanted: f64) -> bool {
    v < wanted - ROUNDING
}

/// Whether a number is more than what is allowed by more than rounding.
pub fn more(v: f64, allowed: f64) -> bool {
    less(allowed, v)
}

/// One finding, in the user's own names.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Finding {
    /// How much it matters.
    pub level: Level,
    /// Which of the answers says so: `shape`, `cutting` …
    pub answer: &'static str,
    /// What was found, in plain words: one sentence, no full stop.
    pub what: String,
    /// Tubes it is about.
    pub tubes: Vec<String>,
    /// Where, m.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at: Option<DVec3>,
    /// What was measured.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measured: Option<Value>,
    /// The limit that it is held against.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub limit: Option<Value>,
    /// Where the limit comes from: a key of the design, or a published source.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
    /// What would help: one sentence.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub help: Option<String>,
    /// Bytes of the design file that it is about.
    #[serde(skip)]
    pub span: Option<Span>,
}

impl Finding {
    /// A finding with the given words.
    pub fn new(level: Level, answer: &'static str, what: impl Into<String>) -> Finding {
        Finding {
            level,
            answer,
            what: what.into(),
            tubes: Vec::new(),
            at: None,
            measured: None,
            limit: None,
            source: None,
            help: None,
            span: None,
        }
    }

    /// With the tubes it is about.
    pub fn tubes<S: Into<String>>(mut self, tubes: impl IntoIterator<Item = S>) -> Finding {
        self.tubes = tubes.into_iter().map(Into::into).collect();
        self
    }

    /// With a place.
    pub fn at(mut self, at: DVec3) -> Finding {
        self.at = Some(at);
        self
    }

    /// With what was measured.
    pub fn measured(mut self, v: Value) -> Finding {
        self.measured = Some(v);
        self
    }

    /// With a limit and where it comes from.
    pub fn limit(mut self, v: Value, source: impl Into<String>) -> Finding {
        self.limit = Some(v);
        self.source = Some(source.into());
        self
    }

    /// With advice.
    pub fn help(mut self, help: impl Into<String>) -> Finding {
        self.help = Some(help.into());
        self
    }

    /// With the text of the file that it is about.
    pub fn span(mut self, span: &Span) -> Finding {
        self.span = Some(span.clone());
        self
    }
}
