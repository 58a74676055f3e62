//! Tubes near a body.

use std::collections::BTreeMap;

use design::Room as Limits;
use geometry::DVec3;
use serde::Serialize;

use super::Solid;
use crate::bodies::Body;
use crate::finding::{Finding, Level, Value, less};

/// The tube nearest a part of a body.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Near {
    /// The part: `helmet`, `trunk` …
    pub part: &'static str,
    /// The tube.
    pub tube: String,
    /// Distance between the surfaces, m; negative where the tube runs through.
    pub distance: f64,
    /// What padding on the tube leaves of it, m.
    pub padded: f64,
    /// The place on the tube's surface, m.
    pub at: DVec3,
}

/// The nearest tube of each part, nearest first, and what comes too near.
pub fn near(b: &Body, solids: &[Solid], limits: &Limits) -> (Vec<Near>, Vec<Finding>) {
    let mut nearest: BTreeMap<&'static str, Near> = BTreeMap::new();
    let mut close: BTreeMap<usize, Near> = BTreeMap::new();
    let wanted = limits.body + limits.padding;
    for (part, solid) in &b.parts {
        let (lo, hi) = solid.bounds();
        for (k, s) in solids.iter().enumerate() {
            for (tube, tlo, thi) in &s.parts {
                // Boxes farther apart than what matters need no closer look.
                let apart = (*tlo - hi).max(lo - *thi).max(DVec3::ZERO).length();
                let known = nearest.get(part).map_or(f64::INFINITY, |n| n.distance);
                if apart > known.max(wanted) {
                    continue;
                }
                let d = tube.distance(solid);
                let entry = || Near {
                    part,
                    tube: s.name.to_owned(),
                    distance: d,
                    padded: d - limits.padding,
                    at: tube.nearest_place(solid),
                };
                if d < known {
                    nearest.insert(part, entry());
                }
                if less(d, wanted) && close.get(&k).is_none_or(|n| d < n.distance) {
                    close.insert(k, entry());
                }
            }
        }
    }
    let mut list: Vec<Near> = nearest.into_values().collect();
    list.sort_by(|x, y| x.distance.total_cmp(&y.distance));
    // Where a tube runs through a body the contacts have said so.
    let findings = close
        .into_values()
        .filter(|n| !less(n.distance, 0.0))
        .map(|n| {
            let padding = if limits.padding > 0.0 { "the padding of " } else { "" };
            Finding::new(
                Level::Mend,
                "room",
                format!("{padding}{} comes too near the {} of {}", n.tube, n.part, b.name),
            )
            .tubes([n.tube.clone()])
            .at(n.at)
            .measured(Value::Length(n.padded))
            .limit(Value::Length(limits.body), "limits.body")
            .help("move the tube or the seat, or plan thinner padding")
        })
        .collect();
    (list, findings)
}
