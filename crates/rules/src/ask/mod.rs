//! What each kind of rule measures.

mod angle;
mod bend;
mod distance;
mod load;
mod plate;
mod room;
mod section;
mod span;

use design::rules::{Ask, Rule};
use shape::Shape;

use crate::roles::Who;
use crate::{Facts, Held};

/// Everything that a rule is held against; `None` where it is not meant for such a machine.
pub fn held(shape: &Shape, who: &Who<'_>, rule: &Rule, facts: &Facts<'_>) -> Option<Vec<Held>> {
    let of = match &rule.ask {
        Ask::Section { of, .. }
        | Ask::Equal { of, .. }
        | Ask::Bend { of, .. }
        | Ask::Angle { of, .. }
        | Ask::Distance { of, .. }
        | Ask::Span { of, .. }
        | Ask::Count { of, .. }
        | Ask::Plate { of, .. } => of.as_slice(),
        Ask::Room { .. } | Ask::Load { .. } | Ask::ByEye => &[],
    };
    let tubes = who.of(of);
    if !of.is_empty() && tubes.is_empty() {
        return Some(vec![Held::not_checked(Vec::new(), "", who.missing(of))]);
    }
    Some(match &rule.ask {
        Ask::Section { least, .. } => tubes.iter().flat_map(|&t| section::least(shape, t, least)).collect(),
        Ask::Equal { given, by, .. } => tubes.iter().flat_map(|&t| section::equal(shape, t, given, by)).collect(),
        Ask::Bend { radius, most, sum, .. } => {
            tubes.iter().flat_map(|&t| bend::held(shape, t, *radius, *most, sum)).collect()
        }
        Ask::Angle { to, seen, part, limits, .. } => {
            tubes.iter().flat_map(|&t| angle::held(shape, who, t, to, *seen, part.as_ref(), limits)).collect()
        }
        Ask::Distance { at, to, to_at, along, between, limits, .. } => {
            let ask = distance::Between { at: *at, to_at: *to_at, along: *along, between: *between };
            distance::held(shape, who, &tubes, to, &ask, limits)
        }
        Ask::Span { most, .. } => tubes.iter().map(|&t| span::held(shape, t, *most)).collect(),
        Ask::Count { each_side, least, most, .. } => span::count(shape, &tubes, *each_side, *least, *most),
        Ask::Room { of, least } => room::held(facts, *of, *least),
        Ask::Plate { area, thickness, holes, .. } => {
            tubes.iter().flat_map(|&t| plate::held(shape, t, *area, *thickness, *holes)).collect()
        }
        Ask::Load { load, wants } => return load::held(facts, load, wants),
        Ask::ByEye => vec![Held::not_checked(Vec::new(), "", "for a person to look at")],
    })
}

/// What a rule wants, for one that has no words of its own.
pub fn words(rule: &Rule, who: &Who<'_>) -> String {
    match &rule.ask {
        Ask::Section { of, .. } => format!("least section of {}", who.names(of)),
        Ask::Equal { of, given, .. } => {
            format!("{} as good as {:.1} x {:.1} mm tube", who.names(of), given.od * 1e3, given.wall * 1e3)
        }
        Ask::Bend { of, .. } => format!("bends of {}", who.names(of)),
        Ask::Angle { of, .. } => format!("angle of {}", who.names(of)),
        Ask::Distance { of, to, .. } => format!("distance of {} and {}", who.names(of), who.names(to)),
        Ask::Span { of, .. } => format!("longest stretch of {} without support", who.names(of)),
        Ask::Count { of, .. } => format!("how many {}", who.names(of)),
        Ask::Room { .. } => "room round people".to_owned(),
        Ask::Plate { of, .. } => format!("plates under {}", who.names(of)),
        Ask::Load { load, .. } => format!("loads {load}"),
        Ask::ByEye => String::new(),
    }
}
