//! Lines drawn elsewhere, as they stand in their file: straight lines, arcs and curves in space, with layers and names.
//!
//! [`dxf`] and [`obj`] read bytes into a [`Drawing`] in the file's own unit and axes. Nothing here knows what a line is
//! to become. Every reader is total: any bytes give a drawing or an [`Error`] in words, and what a file declares is held
//! against what is there before room is made for it.

pub mod dxf;
pub mod obj;
mod placed;
mod spline;

use glam::DVec3;

pub use placed::Placed;

/// Spans and points of curves that a drawing may hold in all. A frame has thousands; ten hours of drawing do not reach it.
pub const MOST_SPANS: usize = 1_000_000;
/// Places at which a curve is taken, ends included: chords of a curve of one bend then stray by some millionth of it.
pub const CURVE_PLACES: usize = 385;

/// A length unit that a file may name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Millimetre.
    Mm,
    /// Centimetre.
    Cm,
    /// Metre.
    M,
    /// Inch.
    In,
    /// Foot.
    Ft,
}

impl Unit {
    /// In metres, exactly as defined (the inch: 25.4 mm).
    pub fn metres(self) -> f64 {
        match self {
            Unit::Mm => 1e-3,
            Unit::Cm => 1e-2,
            Unit::M => 1.0,
            Unit::In => 0.0254,
            Unit::Ft => 0.3048,
        }
    }

    /// As it is written: `mm`, `cm`, `m`, `in`, `ft`.
    pub fn word(self) -> &'static str {
        match self {
            Unit::Mm => "mm",
            Unit::Cm => "cm",
            Unit::M => "m",
            Unit::In => "in",
            Unit::Ft => "ft",
        }
    }

    /// From [`Unit::word`].
    pub fn from_word(word: &str) -> Option<Unit> {
        [Unit::Mm, Unit::Cm, Unit::M, Unit::In, Unit::Ft].into_iter().find(|u| u.word() == word)
    }
}

/// A straight line or an arc.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Span {
    /// Straight.
    Line {
        /// Where it starts.
        from: DVec3,
        /// Where it ends.
        to: DVec3,
    },
    /// An arc.
    Arc {
        /// Centre.
        centre: DVec3,
        /// Unit normal of its plane; it runs right-handed about it.
        axis: DVec3,
        /// From the centre to its start: as long as its radius, square to the axis.
        start: DVec3,
        /// Angle, rad, more than 0 and at most a whole turn.
        sweep: f64,
    },
}

impl Span {
    /// Its place at a part (0 to 1) of the way along it.
    pub fn at(&self, part: f64) -> DVec3 {
        match *self {
            Span::Line { from, to } => from.lerp(to, part),
            Span::Arc { centre, axis, start, sweep } => {
                let (sin, cos) = (sweep * part).sin_cos();
                centre + start * cos + axis.cross(start) * sin
            }
        }
    }

    /// Direction in which it runs there: a unit, or zero for a line of no length.
    pub fn way(&self, part: f64) -> DVec3 {
        match *self {
            Span::Line { from, to } => (to - from).normalize_or_zero(),
            Span::Arc { axis, start, sweep, .. } => {
                let (sin, cos) = (sweep * part).sin_cos();
                (axis.cross(start) * cos - start * sin).normalize_or_zero()
            }
        }
    }

    /// The same, run the other way.
    pub fn reversed(&self) -> Span {
        match *self {
            Span::Line { from, to } => Span::Line { from: to, to: from },
            Span::Arc { centre, axis, sweep, .. } => {
                Span::Arc { centre, axis: -axis, start: self.at(1.0) - centre, sweep }
            }
        }
    }

    /// Length.
    pub fn length(&self) -> f64 {
        match *self {
            Span::Line { from, to } => from.distance(to),
            Span::Arc { start, sweep, .. } => start.length() * sweep,
        }
    }
}

/// What was drawn as one thing.
#[derive(Clone, Debug, PartialEq)]
pub enum Form {
    /// Lines and arcs end to end.
    Spans(Vec<Span>),
    /// Places along a curve, near enough to be joined by straight lines, or points that a curve was drawn through.
    Curve(Vec<DVec3>),
}

/// One thing drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// Its layer or group.
    pub layer: String,
    /// Its own name, if the file gives one.
    pub name: Option<String>,
    /// Words that the file keeps with it, `key=value`, such as those that this program writes.
    pub tags: Vec<(String, String)>,
    /// Its form.
    pub form: Form,
    /// Line of the file that it begins on, from 1.
    pub line: usize,
}

/// Things of a kind that were left out.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftOut {
    /// What and why, in words: `3 texts` reads from `texts`.
    pub what: String,
    /// How many.
    pub count: usize,
    /// Line of the file of the first, from 1.
    pub line: usize,
}

/// What a file holds.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    /// Unit that it names.
    pub unit: Option<Unit>,
    /// Files of its kind mostly have y up, and say nothing of it.
    pub y_up: bool,
    /// This program wrote it: z up, x forward, the centre plane at y = 0.
    pub ours: bool,
    /// What is drawn, in the file's order.
    pub drawn: Vec<Drawn>,
    /// Places with a name of their own.
    pub places: Vec<(String, DVec3)>,
    /// What was left out.
    pub left_out: Vec<LeftOut>,
    /// What had to be guessed to read it, in words.
    pub guessed: Vec<String>,
}

impl Drawing {
    fn leave_out(&mut self, what: impl Into<String>, line: usize) {
        let what = what.into();
        match self.left_out.iter_mut().find(|l| l.what == what) {
            Some(l) => l.count += 1,
            None => self.left_out.push(LeftOut { what, count: 1, line }),
        }
    }
}

/// Why a file can't be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Error {
    /// Line of the file, from 1, if one is to blame.
    pub line: Option<usize>,
    /// What is wrong, and what to do.
    pub what: String,
}

impl std::fmt::Display for Error {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.line {
            Some(n) => write!(f, "line {n}: {}", self.what),
            None => f.write_str(&self.what),
        }
    }
}

impl std::error::Error for Error {}

pub(crate) fn error<T>(line: usize, what: impl Into<String>) -> Result<T, Error> {
    Err(Error { line: (line > 0).then_some(line), what: what.into() })
}
