//! What an end must seat on, as fibres, and how well a cut does.

use geometry::minimise::golden;
use geometry::{DVec2, DVec3, Frame};
use shape::Tube;

use super::minimax::Stop;
use crate::Detail;
use crate::profile::{CHANGE, EndRays, stations};

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
    /// Depth in the wall: 0 outside, 1 inside.
    pub depth: f64,
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
    /// |n · d| where it touches first.
    pub touch: f64,
    /// What may be missed between fibres, m.
    pub between: f64,
}

impl<'a> Target<'a> {
    /// Samples the contact: every place where the host changes, and `detail.fibres` round.
    pub fn new(rays: &'a EndRays<'a>, tube: &'a Tube, frame: Frame, detail: Detail) -> Target<'a> {
        let mut fibres = Vec::new();
        let rounds = stations(&tube.outline, detail);
        let total = tube.outline.perimeter();
        let at = |round: f64, depth: f64| fibre(rays, tube, round, depth);
        for depth in DEPTHS {
            let here: Vec<Option<Fibre>> = rounds.iter().map(|&round| at(round, depth)).collect();
            for (k, f) in here.iter().enumerate() {
                fibres.extend(*f);
                // Where one face is left for another the contact has a corner or an end: a fibre on each side of it.
                let face = |f: &Option<Fibre>| f.map(|f| f.face);
                let mine = face(f);
                if mine == face(&here[(k + 1) % here.len()]) {
                    continue;
                }
                let (mut lo, mut hi) = (rounds[k], rounds.get(k + 1).copied().unwrap_or(total));
                while hi - lo > CHANGE {
                    let mid = 0.5 * (lo + hi);
                    if face(&at(mid, depth)) == mine { lo = mid } else { hi = mid }
                }
                fibres.extend(at(lo, depth).filter(|_| lo > rounds[k]));
                fibres.extend(at(hi, depth).filter(|_| hi < total));
            }
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
    /// meets anything. First touch and largest gap are refined between fibres.
    pub fn left(&self, cut: impl Fn(&Fibre) -> f64) -> Option<Left> {
        let lack: Vec<f64> = self.fibres.iter().map(|f| f.t - cut(f)).collect();
        let (shift, touch) = self.least(&lack, &|f| f.t - cut(f), |_| true)?;
        let gap = |f: &Fibre| -f.w * (f.t - cut(f) - shift);
        let gaps: Vec<f64> = self.fibres.iter().zip(&lack).map(|(f, l)| -f.w * (l - shift)).collect();
        let largest =
            |outside: bool| self.least(&gaps, &gap, |f| !outside || f.outside).map_or(0.0, |g| (-g.0).max(0.0));
        let mut left = Left { gap: largest(false), outside: largest(true), shift, touch, between: 0.0 };
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

    /// The least of a function over fibres of which the values are given, refined round the tube between each low fibre's
    /// neighbours; and the weight there.
    fn least(&self, values: &[f64], f: &dyn Fn(&Fibre) -> f64, of: impl Fn(&Fibre) -> bool) -> Option<(f64, f64)> {
        let total = self.tube.outline.perimeter();
        let mut best: Option<(f64, f64)> = None;
        let mut take = |value: f64, w: f64| {
            if value.is_finite() && best.is_none_or(|b| value < b.0) {
                best = Some((value, w));
            }
            best.map_or(f64::INFINITY, |b| b.0)
        };
        let mut lowest = f64::INFINITY;
        for (fibre, &v) in self.fibres.iter().zip(values).filter(|x| of(x.0)) {
            lowest = take(v, fibre.w);
        }
        for depth in DEPTHS {
            let row: Vec<usize> =
                (0..values.len()).filter(|&k| self.fibres[k].depth == depth && of(&self.fibres[k])).collect();
            let n = row.len();
            for j in 0..n {
                let (before, k, after) = (row[(j + n - 1) % n], row[j], row[(j + 1) % n]);
                let rise = values[before].max(values[after]) - values[k];
                // Between it and its neighbours the function falls no farther than it rises to them, near enough.
                if values[before] < values[k] || values[after] < values[k] || rise <= 0.0 || values[k] - rise > lowest {
                    continue;
                }
                let here = self.fibres[k].round;
                let from = if j == 0 { self.fibres[before].round - total } else { self.fibres[before].round };
                let to = if j + 1 == n { self.fibres[after].round + total } else { self.fibres[after].round };
                let at = |x: f64| self.fibre(x, depth).map_or(f64::INFINITY, |g| f(&g));
                for (a, b) in [(from, here), (here, to)] {
                    let (x, v) = golden(a, b, CHANGE, at);
                    if let Some(g) = self.fibre(x, depth) {
                        lowest = take(v, g.w);
                    }
                }
            }
        }
        best
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
    Some(Fibre { p, t: hit.s, w, outside: depth == 0.0, round, depth, face: rays.face(p, hit), host: rays.host(hit) })
}
