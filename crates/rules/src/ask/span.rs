//! Stretches without support, and how many tubes there are.

use shape::Shape;

use crate::{Figure, Held};

/// The longest stretch of a tube between its ends and the places where others meet it.
pub fn held(shape: &Shape, tube: usize, most: f64) -> Held {
    let t = &shape.tubes[tube];
    let length = t.chain.length();
    let met = |j: &&shape::Joint| {
        j.members.iter().any(|m| m.tube != tube && shape.tubes[m.tube].state != design::TubeState::Temporary)
    };
    let stations = shape.joints.iter().filter(met).flat_map(|j| &j.members).filter(|m| m.tube == tube);
    let mut stations: Vec<f64> = stations.map(|m| m.station).chain([0.0, length]).collect();
    stations.sort_by(f64::total_cmp);
    let longest = stations.windows(2).map(|w| (w[1] - w[0], (w[0] + w[1]) / 2.0)).max_by(|a, b| a.0.total_cmp(&b.0));
    let (span, middle) = longest.unwrap_or((length, length / 2.0));
    Held::most(vec![t.name.clone()], "stretch without support", Figure::Length(span), Figure::Length(most))
        .at(t.chain.point(middle))
}

/// Tubes off the centre plane by more than this are on one side, m.
const CENTRE: f64 = 1e-3;

/// How many there are, or how many on each side: a tube across the middle counts for both.
pub fn count(shape: &Shape, tubes: &[usize], each_side: bool, least: Option<usize>, most: Option<usize>) -> Vec<Held> {
    let names: Vec<String> = tubes.iter().map(|&t| shape.tubes[t].name.clone()).collect();
    let on = |side: f64| {
        let reaches = |t: &&usize| {
            let chain = &shape.tubes[**t].chain;
            [0.0, chain.length()].iter().any(|s| side * chain.point(*s).y > CENTRE)
        };
        tubes.iter().filter(reaches).count()
    };
    let counts = if each_side {
        vec![("on the left", on(1.0)), ("on the right", on(-1.0))]
    } else {
        vec![("number of them", tubes.len())]
    };
    let mut out = Vec::new();
    for (what, n) in counts {
        out.extend(least.map(|l| Held::least(names.clone(), what, Figure::Count(n), Figure::Count(l))));
        out.extend(most.map(|m| Held::most(names.clone(), what, Figure::Count(n), Figure::Count(m))));
    }
    out
}
