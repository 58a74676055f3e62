//! Every piece: its lengths, bends, end cuts, notcher set-ups and templates.
//!
//! An end is a set of fibres parallel to the tube's axis, round its wall. Each runs outward until it first meets the
//! solid that the end is cut to. See `docs/methods/cutting.md` for the method, its sources and its limits.
//!
//! Angles round a tube are measured from its scribe line, clockwise as seen when looking from its start towards its
//! end, at both ends alike.

pub mod assembly;
pub mod bends;
pub mod ends;
pub mod findings;
pub mod piece;
pub mod plan;
pub mod profile;
mod quadrature;
pub mod rounding;
pub mod setup;
pub mod solids;
pub mod volume;
pub mod welds;

pub use bends::{Bend, BendPlan, WorkFrom};
pub use piece::{EndCut, Lengths, Piece};
pub use plan::{EndKind, EndPlan};
pub use profile::{Fibre, Profile};
pub use rounding::Rounded;
pub use setup::SetUp;

use shape::{Finding, Shape};

/// Pieces and findings of one shape.
#[derive(Clone, Debug, serde::Serialize)]
pub struct Cutting {
    /// Every piece to be cut, in fitting order. Provisional tubes are not cut.
    pub pieces: Vec<Piece>,
    /// What there is to say.
    pub findings: Vec<Finding>,
}

/// How finely ends are followed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Detail {
    /// Fibres round a tube.
    pub fibres: usize,
}

impl Detail {
    /// For answers that follow a dragged point: long and short points are still exact, because they are refined.
    pub const LIVE: Detail = Detail { fibres: 48 };
    /// For templates and meshes: one fibre a degree.
    pub const SHEET: Detail = Detail { fibres: 360 };
}

/// Works out every piece.
pub fn cut(shape: &Shape, detail: Detail) -> Cutting {
    let plans = plan::plan(shape);
    let solids = solids::all(shape, &plans);
    let pieces: Vec<Piece> = (0..shape.tubes.len())
        .filter(|&i| shape.tubes[i].state != design::TubeState::Provisional)
        .map(|i| piece::piece(shape, &plans, &solids, i, detail))
        .collect();
    let findings = findings::findings(shape, &plans, &pieces);
    Cutting { pieces, findings }
}
