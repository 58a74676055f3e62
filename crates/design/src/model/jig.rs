//! What holds tubes while they are tacked: `[jig]`.

use super::{PlaneSpec, Span, TubeRef};

/// Dimensions of printed saddles, m and rad, and which are wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct Jig {
    /// The printer's bed: two sides and the height.
    pub bed: [f64; 3],
    /// Clearance beside a seat, each side.
    pub clearance: f64,
    /// Least wall.
    pub wall: f64,
    /// Length along the held tube.
    pub length: f64,
    /// Angle of a round seat.
    pub wrap: f64,
    /// Clear distance from the weld.
    pub clear: f64,
    /// How far it reaches down a box's flanks.
    pub grip: f64,
    /// How many straps go round the held tube.
    pub ties: usize,
    /// Width and thickness of the slot for a strap.
    pub tie: [f64; 2],
    /// How deep the number is cut in.
    pub engrave: f64,
    /// The saddles that are wanted; `None`: one wherever an end lands on a tube that passes.
    pub saddles: Option<Vec<SaddleWish>>,
}

impl Default for Jig {
    /// Common practice for small plastic printers, no source; the bed is one of the small ones.
    fn default() -> Jig {
        Jig {
            bed: [0.18; 3],
            clearance: 0.2e-3,
            wall: 4e-3,
            length: 30e-3,
            wrap: 150f64.to_radians(),
            clear: 20e-3,
            grip: 8e-3,
            ties: 1,
            tie: [5e-3, 2.5e-3],
            engrave: 0.6e-3,
            saddles: None,
        }
    }
}

/// A saddle that is wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct SaddleWish {
    /// The tube that it holds.
    pub tube: TubeRef,
    /// Where along it.
    pub at: SaddleAt,
    /// What it sits on.
    pub on: SaddleOn,
    /// Definition in the file.
    pub span: Span,
}

/// Where a saddle holds its tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SaddleAt {
    /// In the corner at its start.
    Start,
    /// In the corner at its end.
    End,
    /// Under this place of its centreline, m from its start; from its end if negative.
    Along(f64),
}

/// What a saddle sits on.
#[derive(Clone, Debug, PartialEq)]
pub enum SaddleOn {
    /// The tube that passes where this end lands.
    Passing,
    /// A tube.
    Tube(TubeRef),
    /// A flat.
    Flat(PlaneSpec),
}
