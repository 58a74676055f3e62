//! What a few braces gain in collapse load for each kilogram.

use std::cmp::Ordering;

use frame::Edit;
use rayon::prelude::*;
use serde::Serialize;
use shape::Shape;

use crate::advice::{Advice, Brace};
use crate::build::Built;
use crate::cases::Case;
use crate::crush::crush;
use crate::ranking::beams;
use crate::watch::Progress;

/// A case pushed past yielding with a brace more.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PushedBrace {
    /// The load.
    pub load: String,
    /// Names of the joints that the brace joins.
    pub joins: [String; 2],
    /// Whether its twin is meant, too.
    pub twin: bool,
    /// kg, of both.
    pub mass: f64,
    /// The largest factor on the load without it.
    pub without: f64,
    /// The largest factor with it.
    pub with: f64,
    /// Factor gained for each kilogram.
    pub per_kg: f64,
    /// Whether both were followed as far as asked, or until the load had fallen: if not, what comes after may be more.
    pub whole: bool,
}

/// So many are tried of those that are worth most in stiffness against a case, and so many of those that lower the largest use
/// most: each is a collapse of its own.
const TRIED: usize = 2;
/// The most that are tried for one case.
pub(crate) const MOST: usize = 2 * TRIED;

/// Pushes a case with those braces of the advice that promise most, the best first. `without`: the factor that it carries
/// without any, and whether it was followed to its end.
pub(crate) fn pushed(
    shape: &Shape,
    built: &Built,
    case: &Case,
    travel: f64,
    (without, whole): (f64, bool),
    advice: &Advice,
    progress: &Progress<'_>,
) -> Vec<PushedBrace> {
    let aim = advice.aims.iter().position(|a| *a == case.name);
    let stiff = |b: &Brace| aim.map_or(0.0, |k| b.gains[k] / b.mass);
    let strong = |b: &Brace| advice.now.as_ref().zip(b.used).map_or(0.0, |(n, u)| (n.part - u) / b.mass);
    let mut tried: Vec<&Brace> = Vec::new();
    for worth in [&stiff as &dyn Fn(&Brace) -> f64, &strong] {
        let mut order: Vec<&Brace> = advice.braces.iter().filter(|b| worth(b) > 0.0).collect();
        order.sort_by(|a, b| worth(b).total_cmp(&worth(a)));
        for b in order.into_iter().take(TRIED) {
            if !tried.contains(&b) {
                tried.push(b);
            }
        }
    }
    // Those that there are not were counted as well.
    (tried.len()..MOST).for_each(|_| drop(progress.push()));
    let mut out: Vec<PushedBrace> = tried
        .into_par_iter()
        .filter_map(|b| {
            if progress.stopped() {
                return None;
            }
            let with = braced(shape, built, b, advice.section_index)?;
            let x = crush(shape, &with, case, travel, progress.push()).ok()?;
            Some(PushedBrace {
                load: case.name.clone(),
                joins: b.joins.clone(),
                twin: b.twin,
                mass: b.mass,
                without,
                with: x.peak[0],
                per_kg: (x.peak[0] - without) / b.mass,
                whole: whole && x.whole,
            })
        })
        .collect();
    out.sort_by(|a, b| b.per_kg.partial_cmp(&a.per_kg).unwrap_or(Ordering::Equal));
    out
}

/// The frame with a brace, whose bars stand for a tube of the same section.
fn braced(shape: &Shape, built: &Built, b: &Brace, section: usize) -> Option<Built> {
    let tube = shape.tubes.iter().position(|t| t.section.0 == section)?;
    let mut with = built.clone();
    for e in beams(built, &b.nodes, section) {
        if let Edit::Add(beam) = e {
            with.model.beams.push(beam);
            with.beams.push((tube, 0.0));
        }
    }
    Some(with)
}
