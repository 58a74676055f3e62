//! The frame as built: what was measured, what it makes of the pieces that remain, and of how the car stands and goes over.
//!
//! `docs/methods/build.md` has the method.

mod changes;
mod effects;
mod findings;
mod sheets;
mod start;

use std::sync::Arc;

use adjust::tolerance;
use design::measured::{self, Measured};
use design::{Design, Problem};
use fit::{Ask, Fit};
use serde::Serialize;

pub use changes::{Change, EndChange};
pub use effects::Effect;
pub use findings::findings;
pub use sheets::{CAUTION, lead, sheets};
pub use start::to_fill_in;

use crate::{Made, Review};

/// Everything that follows from a sheet of measurements.
#[derive(Clone, Debug, Serialize)]
pub struct Built {
    /// The sheet.
    #[serde(skip)]
    pub measured: Measured,
    /// What is wrong in it, with its places there.
    #[serde(skip)]
    pub problems: Vec<Problem>,
    /// Where everything is.
    pub fit: Fit,
    /// Pieces that do not stand yet and that the frame as built changes, in fitting order.
    pub changes: Vec<Change>,
    /// How many pieces that do not stand yet stay as they are.
    pub unchanged: usize,
    /// What else reads differently than designed.
    pub effects: Vec<Effect>,
    /// Findings of the frame as built that the design has not.
    pub new_findings: Vec<shape::Finding>,
    /// Every answer for the frame as built; `None` if it can't be: see `refused`.
    #[serde(skip)]
    pub review: Option<Arc<Review>>,
    /// Why the frame as built has no answers.
    pub refused: Vec<String>,
}

/// Tolerance of a length in the design's class, ±, m; not finite where the tables have none.
pub fn tolerance_of(design: &Design, length: f64) -> f64 {
    let class = match design.limits.welded {
        design::WeldedClass::A => tolerance::Class::A,
        design::WeldedClass::B => tolerance::Class::B,
        design::WeldedClass::C => tolerance::Class::C,
        design::WeldedClass::D => tolerance::Class::D,
    };
    tolerance::length(class, length).map_or(f64::NAN, |t| t.value)
}

/// Lays what a sheet says over a design's answers.
///
/// # Errors
/// What is wrong with the sheet's syntax. What is wrong in an entry is told in the answer, and the rest is used.
pub fn built(r: &Review, sheet: &str, made: &Made) -> Result<Built, Vec<Problem>> {
    let design = &r.shape.design;
    let (measured, problems) = measured::read(sheet, design)?;
    let ask = Ask { done: &made.standing, tolerance: &|l| tolerance_of(design, l), tape: measured::usual::TAPE };
    let fit = fit::fit(&r.shape, &measured, &ask);
    let mut out = Built {
        measured,
        problems,
        fit,
        changes: Vec::new(),
        unchanged: 0,
        effects: Vec::new(),
        new_findings: Vec::new(),
        review: None,
        refused: Vec::new(),
    };
    if out.fit.moved.is_empty() {
        return Ok(out);
    }
    match shape::resolve_moved(design.clone(), &out.fit.moved) {
        Ok(mut shape) => {
            shape.skins = r.shape.skins.clone();
            let own = crate::of(shape, made, r.detail, strength::Depth::Live);
            (out.changes, out.unchanged) = changes::changes(r, &own, &out.fit, made);
            out.effects = effects::effects(r, &own);
            out.new_findings = effects::new_findings(r, &own, &out.fit.standing);
            out.review = Some(Arc::new(own));
        }
        Err(why) => {
            out.refused = why
                .into_iter()
                .map(|p| match p.help {
                    Some(h) => format!("{}: {h}", p.message),
                    None => p.message,
                })
                .collect();
        }
    }
    Ok(out)
}
