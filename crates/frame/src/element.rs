//! A beam's matrix between its two nodes.

use geometry::DVec3;

use crate::flexibility::{flexibility, resultant};
use crate::model::{Beam, Model, Section};
use crate::six::{Mat6, Six, difference};

/// A beam made ready: its stiffness at its end, and how its nodes' motions get there.
#[derive(Clone, Debug)]
pub(crate) struct Element {
    /// Stiffness of the end against a start that is held.
    pub stiffness: Mat6,
    /// From a motion of each node to that of the beam's end, as if rigid.
    pub carry: [Mat6; 2],
}

/// Why a beam has no stiffness.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Limp;

impl Element {
    pub(crate) fn new(beam: &Beam, section: &Section, nodes: [DVec3; 2]) -> Result<Element, Limp> {
        let stiffness = flexibility(beam, section).inverse().ok_or(Limp)?;
        let end = beam.end();
        Ok(Element { stiffness, carry: nodes.map(|n| Mat6::carry(end - n)) })
    }

    /// The blocks of its matrix: start with start, start with end, end with end.
    pub(crate) fn blocks(&self) -> [Mat6; 3] {
        let [a, b] = &self.carry;
        let ka = self.stiffness.times(a);
        let kb = self.stiffness.times(b);
        let (at, bt) = (a.transpose(), b.transpose());
        [at.times(&ka), at.times(&kb).scaled(-1.0), bt.times(&kb)]
    }

    /// What acts on the beam's end, from its nodes' motions and what it would give under its own load.
    pub(crate) fn end_force(&self, motions: [&Six; 2], free: Option<&Six>) -> Six {
        let d = difference(&self.carry[1].apply(motions[1]), &self.carry[0].apply(motions[0]));
        let d = match free {
            Some(f) => difference(&d, f),
            None => d,
        };
        self.stiffness.apply(&d)
    }

    /// What its nodes must push it with: that on its start's node and on its end's, for a force on its end and an even load.
    pub(crate) fn nodal(&self, model: &Model, beam: &Beam, end_force: &Six, q: DVec3) -> [Six; 2] {
        let b = self.carry[1].apply_transposed(end_force);
        let mut a = self.carry[0].apply_transposed(end_force).map(|x| -x);
        if q != DVec3::ZERO {
            a = difference(&a, &resultant(beam, q, model.nodes[beam.nodes[0]]));
        }
        [a, b]
    }
}
