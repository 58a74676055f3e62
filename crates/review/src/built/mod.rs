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
pub use sheets::{CAUTION, lead, rests_on, sheets, unsettled};
pub use start::to_fill_in;

use crate::{Made, Review};

/// A point that is not on the tube that it should be on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Beside {
    /// The point.
    pub point: String,
    /// The standing tube, whose form could not be brought to pass it.
    pub tube: String,
    /// How much farther from its axis than designed, m: more than the fit-up gap that is wanted.
    pub by: f64,
}

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
    /// Points beside the tubes that they should be on.
    pub beside: Vec<Beside>,
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

/// Every answer for the frame as built, as finely as sheets want it, of the pieces that do not stand yet. Its design is called `… as
/// built`. `None` if nothing was measured, or if the frame as built has no answers.
pub fn whole(r: &Review, made: &Made, depth: strength::Depth) -> Option<Review> {
    let b = r.built.clone()?;
    let mut shape = b.review.as_ref()?.shape.clone();
    shape.design = Arc::new(Design { name: format!("{} as built", shape.design.name), ..(*shape.design).clone() });
    // What stands takes no steel.
    let mut made = made.clone();
    made.cut.extend(b.fit.standing.iter().cloned());
    let mut own = crate::of(shape, &[], &made, cutting::Detail::SHEET, depth);
    own.jigs = Some(crate::jigs::of(&own));
    own.cutting.pieces.retain(|p| !b.fit.standing.contains(&p.name));
    // What stands is in the way of what is to go in, but goes in no more itself.
    let ways = crate::ways_in::of(&own);
    let ways = ways.iter().filter(|w| !b.fit.standing.contains(&w.piece)).cloned().collect();
    own.ways_in = Some(Arc::new(ways));
    // What is not cut any more shares no set-up.
    own.ends = Some(Arc::new(crate::ends::ends(&own.shape, &own.cutting)));
    own.welds = Some(Arc::new(crate::welds::welds(&own.shape, &own.cutting)));
    own.findings.extend(findings(r, &b).into_iter().filter(|f| !f.what.starts_with(AS_BUILT)));
    own.findings.sort_by_key(|f| f.level);
    own.built = Some(b);
    Some(own)
}

/// How a finding of the frame as built begins among those of the design.
pub(crate) const AS_BUILT: &str = "as built: ";

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
        beside: Vec::new(),
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
            let own = crate::of(shape, &[], made, r.detail, strength::Depth::Live);
            (out.changes, out.unchanged) = changes::changes(r, &own, &out.fit, made);
            out.beside = out.fit.places.iter().filter_map(|p| beside(r, &own, &out.fit, &p.name)).collect();
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

fn beside(r: &Review, own: &Review, fit: &Fit, point: &str) -> Option<Beside> {
    let joint = own.shape.joints.iter().find(|j| j.name == point)?;
    let designed = r.shape.joints.iter().find(|j| j.name == point)?;
    // What is beside it by design is no news.
    let was = |tube: usize| designed.members.iter().find(|m| m.tube == tube).map_or(0.0, |m| m.offset);
    let stands = joint.members.iter().filter(|m| fit.standing.contains(&own.shape.tubes[m.tube].name));
    let worst = stands.max_by(|x, y| x.offset.total_cmp(&y.offset))?;
    let by = worst.offset - was(worst.tube);
    let tube = own.shape.tubes[worst.tube].name.clone();
    (by > r.shape.design.limits.fit).then(|| Beside { point: point.to_owned(), tube, by })
}
