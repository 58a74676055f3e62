//! Distances between places of tubes.

use design::rules::{Faces, Limits, Place, RoleId};
use geometry::DVec3;
use shape::Shape;

use super::angle::meeting;
use crate::roles::{Who, feet, top};
use crate::{Figure, Held};

/// Which distance.
pub struct Between {
    /// Of the tubes that the rule is about.
    pub at: Place,
    /// Of the others.
    pub to_at: Place,
    /// Along this axis alone.
    pub along: Option<usize>,
    /// Between what of both.
    pub between: Faces,
}

/// A place on a tube.
type Spot = (usize, DVec3);

impl Between {
    fn measure(&self, shape: &Shape, a: Spot, b: Spot) -> f64 {
        let d = b.1 - a.1;
        let centres = self.along.map_or_else(|| d.length(), |k| d[k].abs());
        let sign = match self.between {
            Faces::Centres => return centres,
            Faces::Insides => -1.0,
            Faces::Outsides => 1.0,
        };
        // What both tubes reach towards each other, or away.
        let way = self.along.map_or_else(|| d.normalize_or_zero(), |k| DVec3::AXES[k]);
        let half = |s: Spot| {
            let t = &shape.tubes[s.0];
            t.outline.support(t.frame_at(t.chain.nearest(s.1).0).across(way))
        };
        centres + sign * (half(a) + half(b))
    }
}

/// Places of one tube, as far as they do not hang on another.
fn places(shape: &Shape, tube: usize, place: Place) -> Vec<Spot> {
    match place {
        Place::Top => vec![(tube, top(shape, tube))],
        Place::Foot => feet(shape, tube).into_iter().map(|f| (tube, f.1)).collect(),
        Place::Joint | Place::Anywhere => Vec::new(),
    }
}

/// The nearest pair for each tube; of the same roles, for all of them together.
pub fn held(shape: &Shape, who: &Who<'_>, tubes: &[usize], to: &[RoleId], ask: &Between, limits: &Limits) -> Vec<Held> {
    let others = who.of(to);
    if others.is_empty() {
        return vec![Held::not_checked(Vec::new(), "", who.missing(to))];
    }
    if tubes == others {
        return same(shape, tubes, ask, limits).into_iter().collect();
    }
    let one = |&t: &usize| {
        let mut best: Option<(f64, Spot, Spot)> = None;
        for &o in others.iter().filter(|o| **o != t) {
            for (a, b) in pairs(shape, t, o, ask) {
                let d = ask.measure(shape, a, b);
                if best.is_none_or(|x| d < x.0) {
                    best = Some((d, a, b));
                }
            }
        }
        match best {
            Some((d, a, b)) => against(shape, d, a, b, limits),
            None => {
                let why = format!("it meets no tube of {}", who.names(to));
                vec![Held::not_checked(vec![who.name(t)], "", why)]
            }
        }
    };
    tubes.iter().flat_map(one).collect()
}

fn pairs(shape: &Shape, t: usize, o: usize, ask: &Between) -> Vec<(Spot, Spot)> {
    let joints: Vec<DVec3> = meeting(shape, t, &[o]).map(|m| m.2).collect();
    let of = |tube: usize, place: Place| match place {
        Place::Joint => joints.iter().map(|p| (tube, *p)).collect(),
        _ => places(shape, tube, place),
    };
    let near = |tube: usize, p: DVec3| {
        let chain = &shape.tubes[tube].chain;
        (tube, chain.point(chain.nearest(p).0))
    };
    let (a, b) = (of(t, ask.at), of(o, ask.to_at));
    match (ask.at, ask.to_at) {
        (Place::Anywhere, _) => b.into_iter().map(|s| (near(t, s.1), s)).collect(),
        (_, Place::Anywhere) => a.into_iter().map(|s| (s, near(o, s.1))).collect(),
        _ => a.iter().flat_map(|x| b.iter().map(move |y| (*x, *y))).collect(),
    }
}

/// Between two places of the same tubes: one foot and the other.
fn same(shape: &Shape, tubes: &[usize], ask: &Between, limits: &Limits) -> Vec<Held> {
    let all: Vec<Spot> = tubes.iter().flat_map(|&t| places(shape, t, ask.at)).collect();
    let mut best: Option<(f64, Spot, Spot)> = None;
    for (k, a) in all.iter().enumerate() {
        for b in &all[k + 1..] {
            let d = ask.measure(shape, *a, *b);
            if best.is_none_or(|x| d < x.0) {
                best = Some((d, *a, *b));
            }
        }
    }
    match best {
        Some((d, a, b)) => against(shape, d, a, b, limits),
        None => {
            let names = tubes.iter().map(|&t| shape.tubes[t].name.clone()).collect();
            vec![Held::not_checked(names, "", "there are no two such places")]
        }
    }
}

fn against(shape: &Shape, d: f64, a: Spot, b: Spot, limits: &Limits) -> Vec<Held> {
    let mut names = vec![shape.tubes[a.0].name.clone(), shape.tubes[b.0].name.clone()];
    names.dedup();
    let (at, d) = ((a.1 + b.1) / 2.0, Figure::Length(d));
    let least = limits.least.map(|l| Held::least(names.clone(), "distance", d, Figure::Length(l)).at(at));
    let most = limits.most.map(|m| Held::most(names.clone(), "distance", d, Figure::Length(m)).at(at));
    least.into_iter().chain(most).collect()
}
