//! Which tube has which role: by the words in the design, and never by guess.

use design::TubeState;
use design::rules::{RoleId, RuleSet};
use geometry::{DVec3, Segment};
use shape::{End, Role, Shape};

/// Tubes by role.
pub struct Who<'a> {
    shape: &'a Shape,
    set: &'a RuleSet,
    /// Indices of tubes, in fitting order, by role.
    tubes: Vec<Vec<usize>>,
}

/// An end in this lowest part of a tube's height is a foot.
const LOW: f64 = 0.25;

impl<'a> Who<'a> {
    /// Finds them. Temporary tubes have none.
    pub fn find(shape: &'a Shape, set: &'a RuleSet) -> Who<'a> {
        let stays = |i: &usize| shape.tubes[*i].state != TubeState::Temporary;
        let role = |i: usize| shape.design.tubes[shape.tubes[i].id.0].role.as_deref().unwrap_or("").to_lowercase();
        let by_words = |r: &design::rules::Role| -> Vec<usize> {
            let holds = |words: &[String], role: &str| words.iter().any(|w| role.contains(w.as_str()));
            (0..shape.tubes.len())
                .filter(stays)
                .filter(|&i| holds(&r.words, &role(i)) && !holds(&r.without, &role(i)))
                .collect()
        };
        let words: Vec<Vec<usize>> = set.roles.iter().map(by_words).collect();
        let ends_on = |i: usize, others: &[usize]| {
            shape.joints.iter().any(|j| {
                j.members.iter().any(|m| m.tube == i && m.role != Role::Through)
                    && j.members.iter().any(|m| m.tube != i && others.contains(&m.tube))
            })
        };
        let tubes = set
            .roles
            .iter()
            .zip(&words)
            .map(|(r, own)| match r.meets {
                None => own.clone(),
                Some(on) => own.iter().copied().filter(|&i| ends_on(i, &words[on.0])).collect(),
            })
            .collect();
        Who { shape, set, tubes }
    }

    /// Tubes of any of some roles, in fitting order.
    pub fn of(&self, roles: &[RoleId]) -> Vec<usize> {
        let mut out: Vec<usize> = roles.iter().flat_map(|r| self.tubes[r.0].iter().copied()).collect();
        out.sort_unstable();
        out.dedup();
        out
    }

    /// Why there is no tube of some roles, and what to write.
    pub fn missing(&self, roles: &[RoleId]) -> String {
        let words: Vec<String> = roles.iter().map(|r| format!("\"{}\"", self.set.roles[r.0].words[0])).collect();
        let meets = roles.iter().find_map(|r| self.set.roles[r.0].meets);
        let on = meets.map_or(String::new(), |m| format!(" that ends on one with {}", self.set.roles[m.0].words[0]));
        format!("no tube{on} has role = {}", words.join(" or "))
    }

    /// Names of roles, as the set writes them.
    pub fn names(&self, roles: &[RoleId]) -> String {
        let list: Vec<String> = roles.iter().map(|r| self.set.roles[r.0].name.replace('_', " ")).collect();
        list.join(", ")
    }

    /// A tube's name.
    pub fn name(&self, tube: usize) -> String {
        self.shape.tubes[tube].name.clone()
    }
}

/// A tube's highest place.
pub fn top(shape: &Shape, tube: usize) -> DVec3 {
    let chain = &shape.tubes[tube].chain;
    let mut best = chain.point(0.0);
    let mut see = |p: DVec3| {
        if p.z > best.z {
            best = p;
        }
    };
    see(chain.point(chain.length()));
    for seg in &chain.segments {
        see(seg.point(0.0));
        // Within a bend the highest place is where it runs level.
        if let Segment::Arc { centre, axis, start, radius, sweep } = *seg {
            let t = DVec3::Z.dot(axis.cross(start)).atan2(DVec3::Z.dot(start));
            if (0.0..=sweep).contains(&t) {
                see(centre + (start * t.cos() + axis.cross(start) * t.sin()) * radius);
            }
        }
    }
    best
}

/// A tube's ends in the lowest quarter of its height; of a level one both.
pub fn feet(shape: &Shape, tube: usize) -> Vec<(End, DVec3)> {
    let chain = &shape.tubes[tube].chain;
    let ends = [(End::Start, chain.point(0.0)), (End::End, chain.point(chain.length()))];
    let low = ends[0].1.z.min(ends[1].1.z);
    let height = top(shape, tube).z - low;
    ends.into_iter().filter(|(_, p)| p.z <= low + LOW * height).collect()
}
