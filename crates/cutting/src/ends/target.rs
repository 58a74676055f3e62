//! What an end must seat on, as fibres, and how well a cut does.

use geometry::{DVec2, DVec3, Frame};
use shape::Tube;

use super::minimax::Stop;
use crate::Detail;
use crate::profile::{EndRays, stations};

/// Depths through the wall at which fibres are taken: the contact is hollow side down through it (hosts are convex near
/// the cut), so gaps are largest at its faces, and the first touch may lie between.
const DEPTHS: [f64; 3] = [0.0, 1.0, 0.5];

/// One fibre of the wall that meets a host.
#[derive(Clone, Copy, Debug)]
pub struct Fibre {
    /// Place in the cross-section, m.
    pub p: DVec2,
    /// Where it meets the host, m beyond the end point.
    pub t: f64,
    /// |n · d|.
    pub w: f64,
    /// On the outside of the wall.
    pub outside: bool,
    /// Distance round, m.
    pub round: f64,
    /// The smooth face that it meets.
    pub face: usize,
    /// The tube that it meets: an index in the shape; `None` for a plane.
    pub host: Option<usize>,
}

/// The contact of an end.
pub struct Target<'a> {
    /// The end's rays.
    pub rays: &'a EndRays<'a>,
    tube: &'a Tube,
    /// The tube's direction out of the end, and the section's directions.
    pub frame: Frame,
    /// Fibres that meet a host, by depth and then round.
    pub fibres: Vec<Fibre>,
}

/// What a cut leaves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Left {
    /// Largest gap anywhere in the wall, m.
    pub gap: f64,
    /// Largest at the wall's outer edge, m.
    pub outside: f64,
    /// How far the tube is pushed home from where the cut was put, m.
    pub shift: f64,
    /// What may be missed between fibres, m.
    pub between: f64,
}

impl<'a> Target<'a> {
    /// Samples the contact: every place where the host changes, and `detail.fibres` round.
    pub fn new(rays: &'a EndRays<'a>, tube: &'a Tube, frame: Frame, detail: Detail) -> Target<'a> {
        let mut fibres = Vec::new();
        let rounds = stations(&tube.outline, detail);
        for depth in DEPTHS {
            fibres.extend(rounds.iter().filter_map(|&round| fibre(rays, tube, round, depth)));
        }
        Target { rays, tube, frame, fibres }
    }

    /// The fibre at a distance round and a depth through the wall, if it meets a host.
    pub fn fibre(&self, round: f64, depth: f64) -> Option<Fibre> {
        fibre(self.rays, self.tube, round, depth)
    }

    /// Fibres three times as close as those that are held.
    pub fn finer(&self, detail: Detail) -> Target<'a> {
        Target::new(self.rays, self.tube, self.frame, Detail { fibres: 3 * detail.fibres })
    }

    /// As constraints of a plane.
    pub fn stops(&self) -> Vec<Stop> {
        self.fibres.iter().map(|f| Stop { u: f.p.x, v: f.p.y, t: f.t, w: f.w, stops: true }).collect()
    }

    /// Pushes the tube home on its host and measures what is left. `cut` tells where a fibre is cut; `None` if nothing
    /// meets anything.
    pub fn left(&self, cut: impl Fn(&Fibre) -> f64) -> Option<Left> {
        let lack: Vec<f64> = self.fibres.iter().map(|f| f.t - cut(f)).collect();
        let shift = lack.iter().copied().fold(f64::INFINITY, f64::min);
        if !shift.is_finite() {
            return None;
        }
        let mut left = Left { gap: 0.0, outside: 0.0, shift, between: 0.0 };
        for (f, l) in self.fibres.iter().zip(&lack) {
            let gap = f.w * (l - shift);
            left.gap = left.gap.max(gap);
            if f.outside {
                left.outside = left.outside.max(gap);
            }
        }
        // Second differences along the wall, where three neighbours meet one smooth face, weighed as gaps are.
        for (f, l) in self.fibres.windows(3).zip(lack.windows(3)) {
            let even = (f[2].round - f[1].round) - (f[1].round - f[0].round);
            let one = f[0].face == f[1].face && f[1].face == f[2].face;
            if one && f[0].round < f[1].round && f[1].round < f[2].round && even.abs() < 1e-9 {
                left.between = left.between.max(f[1].w * (l[0] - 2.0 * l[1] + l[2]).abs() / 8.0);
            }
        }
        Some(left)
    }
}

fn fibre(rays: &EndRays, tube: &Tube, round: f64, depth: f64) -> Option<Fibre> {
    let (po, pi) = rays.wall(tube.outline.station(round));
    let p = po.lerp(pi, depth);
    let hit = rays.follow(p)?;
    if !rays.seats(hit) {
        return None;
    }
    let out: DVec3 = rays.ray(p).along;
    let w = rays.normal(p, hit).dot(out).abs();
    Some(Fibre { p, t: hit.s, w, outside: depth == 0.0, round, face: rays.face(p, hit), host: rays.host(hit) })
}
