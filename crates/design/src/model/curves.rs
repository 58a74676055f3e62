//! Curves: lines to be turned into bent tubes.

use super::{DieId, Place, Span};

/// What a curve runs through.
#[derive(Clone, Debug, PartialEq)]
pub enum CurvePoints {
    /// Places in order.
    Places(Vec<Place>),
    /// A text file of x, y, z in the design's units, by its path from the design's folder.
    File(String),
}

/// A drawn or imported curve: an aid to drawing. It weighs nothing, and nothing is cut from it.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// Name in the file.
    pub name: String,
    /// What it runs through.
    pub points: CurvePoints,
    /// It runs straight from point to point, not smoothly.
    pub straight: bool,
    /// How far a tube may be from it, m.
    pub within: f64,
    /// The die that bends the tube.
    pub die: Option<DieId>,
    /// Whether its mirror image is meant too.
    pub mirror: bool,
    /// Note.
    pub note: Option<String>,
    /// Definition in the file.
    pub span: Span,
}
