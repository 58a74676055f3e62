//! Loads, as strength worked them out.

use design::rules::{LoadWants, WithMass};

use crate::{Facts, Figure, Held, LoadFact};

/// Each load whose name begins so; `None` for a machine of another mass.
pub fn held(facts: &Facts<'_>, load: &str, wants: &LoadWants) -> Option<Vec<Held>> {
    let mass = facts.mass;
    if wants.mass_over.is_some_and(|m| mass <= m) || wants.mass_to.is_some_and(|m| mass > m) {
        return None;
    }
    let mut out: Vec<Held> =
        facts.loads.iter().filter(|f| f.name.starts_with(load)).flat_map(|f| one(f, wants, mass)).collect();
    if out.is_empty() {
        let why = format!(
            "no load whose name begins with {load} was worked out: add [load.NAME], or the built-in loads as `sets` in [strength]"
        );
        out.push(Held::not_checked(Vec::new(), "", why));
    }
    Some(out)
}

fn one(f: &LoadFact, wants: &LoadWants, mass: f64) -> Vec<Held> {
    let name = || vec![f.name.clone()];
    let mut out = Vec::new();
    let mut add = |what: &str, held: Option<Held>| {
        out.push(held.unwrap_or_else(|| Held::not_checked(name(), what, "it was not worked out in this run")));
    };
    if let Some(most) = wants.moves {
        let what = "how far a place moves";
        add(what, f.moved.map(|v| Held::most(name(), what, Figure::Length(v), Figure::Length(most))));
    }
    if let Some(most) = wants.stress {
        let what = "stress as a part of the yield strength";
        let held = |(v, tube): &(f64, String)| {
            Held::most(vec![f.name.clone(), tube.clone()], what, Figure::Factor(*v), Figure::Factor(most))
        };
        add(what, f.worst.as_ref().map(held));
    }
    if let Some(least) = wants.buckling {
        let what = "factor to buckling";
        add(what, f.buckling.map(|v| Held::least(name(), what, Figure::Factor(v), Figure::Factor(least))));
    }
    let mut with_mass = |what: &str, v: Option<f64>, least: Option<WithMass>, kind: fn(f64) -> Figure| {
        if let Some(least) = least {
            add(what, v.map(|v| Held::least(name(), what, kind(v), kind(least.of(mass)))));
        }
    };
    with_mass("force", f.force, wants.force, Figure::Force);
    // What it takes up until it yields is enough for a yes, and never for a no.
    let enough = wants.energy.and_then(|w| f.energy_at_least.filter(|e| *e >= w.of(mass)));
    with_mass("energy taken up", f.energy.or(enough), wants.energy, Figure::Energy);
    out
}
