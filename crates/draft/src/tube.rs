//! A tube on its way from lines to a design.

use geometry::{Chain, ChainError, DVec3, Segment};

/// A tube by its corners.
#[derive(Clone, Debug)]
pub(crate) struct Tube {
    /// Index in the list of layers.
    pub layer: usize,
    /// Its name, if the drawing gives one.
    pub name: Option<String>,
    /// `temporary` or `provisional`, if the drawing says so.
    pub state: Option<String>,
    /// This program wrote it: it stays in one piece, with its own radii.
    pub whole: bool,
    /// Its centreline.
    pub chain: Chain,
    /// Radius at each inner corner, m.
    pub radii: Vec<f64>,
    /// Where it comes first in the drawing: decides between equals.
    pub rank: usize,
    /// The least rank of it and its twin: alike for both.
    pub pair_rank: usize,
    /// What is to be said of it.
    pub remarks: Vec<String>,
}

impl Tube {
    /// First and last point.
    pub fn end(&self, which: usize) -> DVec3 {
        let c = &self.chain.corners;
        if which == 0 { c[0] } else { c[c.len() - 1] }
    }

    /// Its corners in another place. `false`, and left as it was, if they can't be there.
    pub fn set_corners(&mut self, corners: &[DVec3]) -> bool {
        match chain(corners, &self.radii) {
            Ok((chain, radii)) => {
                (self.chain, self.radii) = (chain, radii);
                true
            }
            Err(_) => false,
        }
    }

    /// One end in another place.
    pub fn set_end(&mut self, which: usize, at: DVec3) -> bool {
        let mut corners = self.chain.corners.clone();
        let k = if which == 0 { 0 } else { corners.len() - 1 };
        corners[k] = at;
        self.set_corners(&corners)
    }

    /// Whether it has a bend.
    pub fn is_bent(&self) -> bool {
        self.chain.segments.len() > 1
    }
}

/// What this program wrote is meant to the micrometre, m: its ends are moved no farther, whatever the tolerance.
pub(crate) const MEANT: f64 = 1e-6;

impl Tube {
    /// How far an end may be moved.
    pub fn tolerance(&self, within: f64) -> f64 {
        if self.whole { MEANT.min(within) } else { within }
    }
}

/// A straight may lack this much of what its bends need, m, before its bends are held to be wrong: drawings round.
const LACK: f64 = 1e-3;

/// A chain, and its radii: made a little smaller where a straight lacks up to [`LACK`] of what its bends need.
pub(crate) fn chain(corners: &[DVec3], radii: &[f64]) -> Result<(Chain, Vec<f64>), ChainError> {
    let mut radii = radii.to_vec();
    let mut tries = 0;
    loop {
        match Chain::new(corners, &radii) {
            Ok(c) => return Ok((c, radii)),
            Err(ChainError::TooShort { leg, have, need }) if need - have < LACK && tries < 2 * corners.len() => {
                // Inner corner k has radius k - 1.
                for corner in [leg, leg + 1] {
                    if corner > 0 && corner + 1 < corners.len() {
                        radii[corner - 1] *= have / need;
                    }
                }
                tries += 1;
            }
            Err(e) => return Err(e),
        }
    }
}

/// The part of a chain between two distances from its start: corners and radii.
pub(crate) fn part(chain: &Chain, from: f64, to: f64) -> (Vec<DVec3>, Vec<f64>) {
    let mut corners = vec![chain.point(from)];
    let mut out = Vec::new();
    for (seg, &at) in chain.segments.iter().zip(&chain.starts) {
        let Segment::Arc { radius, sweep, .. } = *seg else { continue };

        let (a, b) = ((from - at).max(0.0), (to - at).min(radius * sweep));
        if b - a <= geometry::SAME_PLACE {
            continue;
        }
        let half = (b - a) / radius / 2.0;
        corners.push(seg.point(a) + seg.tangent(a) * (radius * half.tan()));
        out.push(radius);
    }
    corners.push(chain.point(to));
    (corners, out)
}
