//! What would help a piece that can't go in.

use geometry::DVec3;
use shape::End;

use super::yard::{Trim, Yard, other};
use super::{Remedy, direction};

/// Play that is tried at each end, in `limits.fit`.
const PLAYS: [f64; 4] = [0.5, 1.0, 2.0, 4.0];

impl Yard<'_> {
    /// What blocks the direction that the fewest pieces block.
    pub(super) fn fewest(&self, m: usize, standing: &[usize], directions: &[DVec3]) -> Vec<usize> {
        let mut best: Option<Vec<usize>> = None;
        for &d in directions {
            let most = best.as_ref().map_or(usize::MAX, Vec::len);
            let here: Vec<usize> = standing
                .iter()
                .copied()
                .filter(|&s| self.runs_into(m, s, self.out(d), Trim::None))
                .take(most)
                .collect();
            if here.len() < most {
                best = Some(here);
            }
        }
        best.unwrap_or_default()
    }

    pub(super) fn remedies(&self, turn: usize, standing: &[usize], directions: &[DVec3]) -> Vec<Remedy> {
        let m = self.order[turn];
        let mut out = Vec::new();
        let limits = &self.shape.design.limits;
        let plays = PLAYS.map(|p| p * limits.fit);
        let found = plays.into_iter().filter(|p| *p > 0.0).find_map(|p| {
            let trim = Trim::Play(p);
            let way = self.way(m, standing, directions, trim).or_else(|| self.swing(m, standing, trim));
            way.map(|way| (p, way))
        });
        out.extend(found.map(|(play, way)| Remedy::Play { play, way }));
        out.extend(self.earlier(turn, directions));
        out.extend(self.simpler(m, standing, directions));
        if out.is_empty() {
            out.push(Remedy::TwoParts);
        }
        out
    }

    fn earlier(&self, turn: usize, directions: &[DVec3]) -> Option<Remedy> {
        let m = self.order[turn];
        // After all that it is cut to.
        let hosts = self.bodies[m].hosts.iter().flatten();
        let first = hosts
            .filter_map(|&h| self.order.iter().position(|&k| self.bodies[k].tube == h))
            .filter(|&p| p < turn)
            .max()
            .map_or(0, |p| p + 1);
        let at = |p: usize| self.way(m, &self.before(p, m).0, directions, Trim::None);
        if first < turn
            && let Some(mut way) = at(first)
        {
            // The fewer stand the freer it is: the latest place by halves.
            let (mut lo, mut hi) = (first, turn);
            while hi - lo > 1 {
                let mid = (lo + hi) / 2;
                match at(mid) {
                    Some(w) => (lo, way) = (mid, w),
                    None => hi = mid,
                }
            }
            let blocks = (lo..turn)
                .filter(|&p| {
                    let other = self.order[p];
                    let (mut standing, _) = self.before(p, other);
                    let list = direction::candidates(&self.bodies[other]);
                    // Blocked by this piece, not by what stood before.
                    self.way(other, &standing, &list, Trim::None).is_some() && {
                        standing.push(m);
                        self.way(other, &standing, &list, Trim::None).is_none()
                    }
                })
                .map(|p| self.name(self.order[p]))
                .collect();
            return Some(Remedy::Earlier { before: self.name(self.order[lo]), way, blocks });
        }
        None
    }

    fn simpler(&self, m: usize, standing: &[usize], directions: &[DVec3]) -> Option<Remedy> {
        for end in End::BOTH {
            let profile = &self.cutting.pieces[m].end(end).profile;
            let tube = &self.shape.tubes[self.bodies[m].tube];
            let mut list = directions.to_vec();
            // Straight out along the tube, which a full cope hides from the cone.
            let out = tube.outward(end).t;
            list.extend([out, -out]);
            let far = other(end);
            list.extend(self.bodies[m].touches[far as usize].iter().map(|t| t.normal));
            if let Some(way) = self.way(m, standing, &list, Trim::Bare(end)) {
                return Some(Remedy::SimplerEnd { end, gap: profile.long - profile.short, way });
            }
        }
        None
    }
}
