//! Bends.

use design::rules::Limits;
use geometry::{Outline, Segment};
use shape::Shape;

use crate::{Figure, Held};

/// Each bend's radius in outside diameters, how many there are, and what they add up to.
pub fn held(shape: &Shape, tube: usize, radius: Option<f64>, most: Option<usize>, sum: &Limits) -> Vec<Held> {
    let t = &shape.tubes[tube];
    let name = || vec![t.name.clone()];
    let bends: Vec<(f64, f64, geometry::DVec3)> = t
        .chain
        .segments
        .iter()
        .filter_map(|s| match *s {
            Segment::Arc { radius, sweep, .. } => Some((radius, sweep, s.point(s.length() / 2.0))),
            Segment::Leg { .. } => None,
        })
        .collect();
    let mut out = Vec::new();
    if let (Some(least), Outline::Circle { r }) = (radius, t.outline) {
        for (k, (bent, _, at)) in bends.iter().enumerate() {
            let what = format!("radius of bend {} in outside diameters", k + 1);
            out.push(Held::least(name(), what, Figure::Factor(bent / (2.0 * r)), Figure::Factor(least)).at(*at));
        }
    }
    if let Some(most) = most {
        out.push(Held::most(name(), "bends", Figure::Count(bends.len()), Figure::Count(most)));
    }
    let total = bends.iter().map(|b| b.1).sum();
    let what = "sum of its bends";
    out.extend(sum.least.map(|l| Held::least(name(), what, Figure::Angle(total), Figure::Angle(l))));
    out.extend(sum.most.map(|m| Held::most(name(), what, Figure::Angle(total), Figure::Angle(m))));
    if out.is_empty() {
        // Straight, where only radii are asked for: nothing to pass.
        out.push(Held::most(name(), "bends", Figure::Count(0), Figure::Count(0)));
    }
    out
}
