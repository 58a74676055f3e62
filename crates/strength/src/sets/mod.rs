//! Published sets of loads: `docs/methods/load-sets.md`.

mod machine;
mod roles;
mod student;
mod touring;

use design::LoadSet;
use frame::{Hold, Loads};
use geometry::DVec3;
use serde::Serialize;
use shape::Shape;

use crate::build::Spot;
use crate::cases::{Act, Case, NoCase, Wanted};
use crate::places::Placed;
use roles::Roles;

pub use machine::{Table as MachineTable, table as machine_table};

/// Where a published case comes from, and what it asks for, in words.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Published {
    /// The set's word in the file.
    pub set: &'static str,
    /// Rule and clause.
    pub clause: &'static str,
    /// Its edition, and how its values were come by.
    pub edition: &'static str,
    /// What the load scales with.
    pub scales: String,
    /// What is accepted.
    pub accepts: String,
    /// How its places were found in the design.
    pub places: String,
    /// Energy that must be taken up, J.
    pub energy: Option<f64>,
    /// What of it is taken up when the first tube yields, by the linear answer, J.
    pub elastic: Option<f64>,
}

/// A case before the model is there.
pub(crate) struct Planned {
    name: String,
    published: Published,
    /// Forces at spots.
    at: Vec<(usize, DVec3)>,
    /// Forces spread along a stretch of a tube.
    along: Vec<(usize, [f64; 2], DVec3)>,
    held: Vec<usize>,
    /// Whether its held places are held against turning, too.
    fixed: bool,
    wanted: Wanted,
}

/// What the sets ask for.
#[derive(Default)]
pub(crate) struct Plan {
    /// Places that must be nodes.
    pub spots: Vec<Spot>,
    cases: Vec<Planned>,
    pub without: Vec<NoCase>,
}

/// Two spots of one tube nearer than this are one, m.
const SAME: f64 = 1e-3;

const HELD: &str = "the feet that the clause holds: against moving, free to turn";
const FIXED: &str = "the feet, held against moving and turning";

impl Plan {
    /// The cases of all sets that the design wants.
    pub(crate) fn new(shape: &Shape) -> Plan {
        let mut plan = Plan::default();
        if shape.design.strength.sets.is_empty() {
            return plan;
        }
        let roles = Roles::find(shape);
        for set in &shape.design.strength.sets {
            match set {
                LoadSet::StudentFrame => student::plan(&roles, &mut plan),
                LoadSet::TouringCage => touring::plan(&roles, &mut plan),
                LoadSet::WorkMachine => machine::plan(&roles, &mut plan),
            }
        }
        plan
    }

    /// The number of a spot.
    fn spot(&mut self, s: &Spot) -> usize {
        let same = |x: &Spot| x.tube == s.tube && (x.station - s.station).abs() < SAME;
        self.spots.iter().position(same).unwrap_or_else(|| {
            self.spots.push(s.clone());
            self.spots.len() - 1
        })
    }

    fn spots(&mut self, list: &[Spot]) -> Vec<usize> {
        list.iter().map(|s| self.spot(s)).collect()
    }

    fn missing(&mut self, name: &str, why: String, help: &str) {
        self.without.push(NoCase { name: name.to_owned(), why, help: help.to_owned() });
    }

    /// The cases on the model.
    pub(crate) fn cases(&self, placed: &Placed) -> (Vec<Case>, Vec<NoCase>) {
        let (mut out, mut without) = (Vec::new(), self.without.clone());
        for p in &self.cases {
            match p.on(placed) {
                Some(c) => out.push(c),
                None => without.push(NoCase {
                    name: p.name.clone(),
                    why: "a place that it loads or holds is on no tube that stays".to_owned(),
                    help: "give the role to a tube that is not temporary".to_owned(),
                }),
            }
        }
        (out, without)
    }
}

impl Planned {
    fn on(&self, placed: &Placed) -> Option<Case> {
        let mut loads = Loads::default();
        let mut acts = Vec::new();
        for &(s, force) in &self.at {
            let node = placed.spot(s)?;
            loads.nodal.push((node, frame::six::six(force, DVec3::ZERO)));
            acts.push(Act { at: placed.built.model.nodes[node], force, moment: DVec3::ZERO });
        }
        for &(tube, [from, to], force) in &self.along {
            let b = &placed.built;
            let length = |i: usize| b.model.beams[i].length();
            let inside: Vec<usize> = b
                .along(tube)
                .filter(|&i| b.beams[i].1 > from - 2.0 * SAME && b.beams[i].1 + length(i) < to + 2.0 * SAME)
                .collect();
            let whole: f64 = inside.iter().map(|&i| length(i)).sum();
            if whole == 0.0 {
                return None;
            }
            let middle = &b.model.beams[inside[inside.len() / 2]];
            acts.push(Act { at: (middle.start() + middle.end()) / 2.0, force, moment: DVec3::ZERO });
            loads.spread.extend(inside.into_iter().map(|i| (i, force / whole)));
        }
        let mut holds = Vec::new();
        for &s in &self.held {
            let node = placed.spot(s)?;
            if self.fixed {
                holds.extend(Hold::fixed(node));
            } else {
                holds.extend(Hold::pinned(node));
            }
        }
        Some(Case {
            name: self.name.clone(),
            source: self.published.clause.to_owned(),
            loads,
            holds,
            carried: if self.fixed { FIXED } else { HELD },
            wanted: self.wanted,
            stays: None,
            published: Some(self.published.clone()),
            pushes: Vec::new(),
            goes: None,
            lifted: Vec::new(),
            acts,
        })
    }
}
