//! A case against what it must keep to.

use crate::answer::Solved;
use crate::findings::UNBALANCED;

/// What a case passes its limit by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Over {
    /// The use of a tube.
    Use,
    /// The way of a node.
    Way,
    /// The least factor to buckling.
    Buckling,
    /// The energy that must be taken up is not.
    Energy,
}

impl Over {
    /// In a word.
    pub fn word(self) -> &'static str {
        match self {
            Over::Use => "use",
            Over::Way => "way",
            Over::Buckling => "buckling",
            Over::Energy => "energy",
        }
    }
}

impl Solved {
    /// Whether its figures can be told at all: what is left over of the balance is small.
    pub fn told(&self) -> bool {
        self.residual.is_finite() && self.residual <= UNBALANCED
    }

    /// Whether what is published of it asks for energy: then it may yield, and use is not its limit.
    pub fn by_energy(&self) -> bool {
        self.published.as_ref().is_some_and(|p| p.energy.is_some())
    }

    /// The limits that it passes.
    pub fn over(&self) -> Vec<Over> {
        if !self.told() {
            return Vec::new();
        }
        let used = self.used.first().is_some_and(|u| u.stress.utilisation > self.wanted.utilisation);
        let energy = self.crushed.as_ref().and_then(|x| x.energy);
        [
            (!self.by_energy() && used, Over::Use),
            (self.wanted.most.is_some_and(|m| self.moved.by.length() > m), Over::Way),
            (self.buckling.as_ref().is_some_and(|b| b.factor < self.wanted.buckling), Over::Buckling),
            (energy.is_some_and(|e| e.1.is_none()), Over::Energy),
        ]
        .into_iter()
        .filter_map(|(is, over)| is.then_some(over))
        .collect()
    }

    /// In words: `within`, `over: use, way`, or what was not checked.
    pub fn verdict(&self) -> String {
        if !self.told() {
            return "not checked: out of balance".to_owned();
        }
        let over: Vec<&str> = self.over().into_iter().map(Over::word).collect();
        match over.as_slice() {
            [] if self.by_energy() && self.crushed.is_none() => "energy not checked".to_owned(),
            [] if !self.buckling_known => "within; buckling not checked".to_owned(),
            [] => "within".to_owned(),
            list => format!("over: {}", list.join(", ")),
        }
    }
}
