//! A beam's matrix between its two nodes.

use geometry::DVec3;

use crate::flexibility::{flexibility, resultant};
use crate::model::{Beam, Model, Section};
use crate::six::{Mat6, Six, brought, difference, moved};

/// A beam made ready: its stiffness at its end, and how its nodes' motions get there.
#[derive(Clone, Debug)]
pub(crate) struct Element {
    /// Stiffness of the end against a start that is held.
    pub stiffness: Mat6,
    /// From each node to the beam's end: it moves as if rigid with each of them, but for what it gives.
    pub arms: [DVec3; 2],
}

/// Why a beam has no stiffness.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Limp;

impl Element {
    pub(crate) fn new(beam: &Beam, section: &Section, nodes: [DVec3; 2]) -> Result<Element, Limp> {
        let stiffness = flexibility(beam, section).inverse().ok_or(Limp)?;
        let end = beam.end();
        Ok(Element { stiffness, arms: nodes.map(|n| end - n) })
    }

    /// The blocks of its matrix: start with start, start with end, end with end.
    pub(crate) fn blocks(&self) -> [Mat6; 3] {
        let [a, b] = self.arms;
        let (ka, kb) = (self.stiffness.carried(a), self.stiffness.carried(b));
        [ka.carried_back(a), kb.carried_back(a).scaled(-1.0), kb.carried_back(b)]
    }

    /// From a motion of one of its nodes to that of its end, as if rigid.
    pub(crate) fn carry(&self, node: usize) -> Mat6 {
        Mat6::carry(self.arms[node])
    }

    /// How its end moves against where its start would bring it, from its nodes' motions.
    pub(crate) fn apart(&self, motions: [&Six; 2]) -> Six {
        difference(&moved(motions[1], self.arms[1]), &moved(motions[0], self.arms[0]))
    }

    /// What acts on the beam's end, from its nodes' motions and what it would give under its own load.
    pub(crate) fn end_force(&self, motions: [&Six; 2], free: Option<&Six>) -> Six {
        let d = self.apart(motions);
        let d = match free {
            Some(f) => difference(&d, f),
            None => d,
        };
        // It is symmetric; its transpose goes by rows.
        self.stiffness.apply_transposed(&d)
    }

    /// What its nodes must push it with: that on its start's node and on its end's, for a force on its end and an even load.
    pub(crate) fn nodal(&self, model: &Model, beam: &Beam, end_force: &Six, q: DVec3) -> [Six; 2] {
        let b = brought(end_force, self.arms[1]);
        let mut a = brought(end_force, self.arms[0]).map(|x| -x);
        if q != DVec3::ZERO {
            a = difference(&a, &resultant(beam, q, model.nodes[beam.nodes[0]]));
        }
        [a, b]
    }
}
