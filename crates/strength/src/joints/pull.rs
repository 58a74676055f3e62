//! What tubes do to joints, from the solved frame.

use frame::{Frame, Response};
use geometry::DVec3;

use crate::Built;

/// Which length of a tube is meant, seen from the joint.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ends {
    /// That towards its start.
    Start,
    /// That towards its end.
    End,
}

/// What the length of a tube on one side of a joint does to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pull {
    /// Index of the tube in the shape.
    pub tube: usize,
    /// Which length of it.
    pub towards: Ends,
    /// Where on its centreline, m.
    pub at: DVec3,
    /// Force on the joint, in the frame's axes, N: of a tube in tension it points away from the joint.
    pub force: DVec3,
    /// Moment on the joint about `at`, N m.
    pub moment: DVec3,
}

/// What all tubes do to each joint of the shape, from the solved frame.
pub fn pulls(built: &Built, frame: &Frame, response: &Response) -> Vec<Vec<Pull>> {
    let mut at_node: Vec<Vec<Pull>> = vec![Vec::new(); built.model.nodes.len()];
    for (i, (beam, &(tube, _))) in built.model.beams.iter().zip(&built.beams).enumerate() {
        let p = frame.passed(response, i, 0, 0.0);
        let pull = Pull { tube, towards: Ends::End, at: p.frame.origin, force: p.force, moment: p.moment };
        at_node[beam.nodes[0]].push(pull);
        let last = beam.pieces.len() - 1;
        let p = frame.passed(response, i, last, beam.pieces[last].segment.length());
        let pull = Pull { tube, towards: Ends::Start, at: p.frame.origin, force: -p.force, moment: -p.moment };
        at_node[beam.nodes[1]].push(pull);
    }
    built.of_joint.iter().map(|n| n.map_or(Vec::new(), |n| at_node[n].clone())).collect()
}
