//! The figures of a design at a glance, and the stock's problems as findings.

use design::units::{Quantity, show};
use design::{Design, TubeState};
use serde::Serialize;
use shape::bodies::BodyKind;
use shape::{Finding, Level};

use crate::Review;

/// A design at a glance, SI.
#[derive(Clone, Debug, Serialize)]
pub struct Summary {
    /// Name of the design.
    pub name: String,
    /// Tubes, twins included, provisional ones too.
    pub tubes: usize,
    /// Pieces to cut.
    pub pieces: usize,
    /// Pieces with bends.
    pub bent: usize,
    /// Plates.
    pub plates: usize,
    /// Tubes whose place is not decided.
    pub provisional: usize,
    /// Tubes that are cut out again.
    pub temporary: usize,
    /// Frame along its centrelines with its plates, kg.
    pub frame_kg: f64,
    /// Pieces as cut, without temporary ones, kg.
    pub cut_kg: f64,
    /// Everything, kg.
    pub laden_kg: f64,
    /// Occupants.
    pub occupants: usize,
    /// Cost of the steel to be bought.
    pub cost: f64,
    /// Its currency.
    pub currency: String,
}

/// The summary of a review.
pub fn summary(r: &Review) -> Summary {
    let state = |s: TubeState| r.shape.tubes.iter().filter(|t| t.state == s).count();
    Summary {
        name: r.shape.design.name.clone(),
        tubes: r.shape.tubes.len(),
        pieces: r.cutting.pieces.len(),
        bent: r.cutting.pieces.iter().filter(|p| p.bends.is_some()).count(),
        plates: r.shape.plates.len(),
        provisional: state(TubeState::Provisional),
        temporary: state(TubeState::Temporary),
        frame_kg: r.frame.mass,
        cut_kg: r.cutting.pieces.iter().filter(|p| p.state == TubeState::Permanent).map(|p| p.mass).sum(),
        laden_kg: r.laden.mass,
        occupants: r.shape.bodies.iter().filter(|b| b.kind == BodyKind::Occupant).count(),
        // A sum of nothing is -0.
        cost: r.stock.cost + 0.0,
        currency: r.shape.design.rack.currency.clone(),
    }
}

/// What the stock could not plan, as findings.
pub(crate) fn stock_findings(design: &Design, plan: &stock::Plan) -> Vec<Finding> {
    plan.problems
        .iter()
        .map(|p| {
            let text = p.message(|m| show(m, Quantity::Length, design.units));
            Finding::new(Level::Look, "stock", text)
        })
        .collect()
}
