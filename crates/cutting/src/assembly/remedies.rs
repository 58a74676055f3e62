//! What would help a piece that can't go in.

use geometry::DVec3;
use shape::End;

use super::pose::Pose;
use super::straight::Move;
use super::yard::{Found, Trim, Yard, other};
use super::{Last, Remedy, Way};

/// Play that is tried at each end, in `limits.fit`.
const PLAYS: [f64; 4] = [0.5, 1.0, 2.0, 4.0];

/// How often another way is asked for past what blocks the last, when a place in the order is looked for.
const ASKED: usize = 3;

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

    /// What would help, the least change first; no more than is needed.
    pub(super) fn remedies(&self, turn: usize, found: &[Found]) -> Vec<Remedy> {
        let (m, standing) = (self.order[turn], &found[turn].standing);
        let limits = &self.shape.design.limits;
        let mut out = Vec::new();
        let played = self.play(m, standing);
        if let Some((play, way)) = played {
            let gap = self.cutting.pieces[m].ends.iter().map(|e| e.gap).fold(0.0, f64::max);
            out.push(Remedy::Play { play, way });
            if !shape::finding::more(play + gap, limits.fit) {
                return out;
            }
        }
        let earlier = self.earlier(turn, found);
        let enough = matches!(&earlier, Some(Remedy::Earlier { blocks, .. }) if blocks.is_empty());
        out.extend(earlier);
        if !enough {
            out.extend(self.simpler(m, standing));
        }
        if out.is_empty() {
            out.push(Remedy::TwoParts);
        }
        out
    }

    /// The least play that lets it in. What the most doesn't do less won't.
    fn play(&self, m: usize, standing: &[usize]) -> Option<(f64, Way)> {
        let plays = PLAYS.map(|p| p * self.shape.design.limits.fit);
        let most = *plays.last().filter(|p| **p > 0.0)?;
        let with = |p: f64| self.any_way(m, standing, Trim::Play(p)).map(|way| (p, way));
        let last = with(most)?;
        plays[..plays.len() - 1].iter().find_map(|p| with(*p)).or(Some(last))
    }

    /// A place earlier in the order, after at least one of those that it is cut to.
    fn earlier(&self, turn: usize, found: &[Found]) -> Option<Remedy> {
        let m = self.order[turn];
        let hosts = self.bodies[m].hosts.iter().flatten();
        let mut after: Vec<usize> = hosts
            .filter_map(|&h| self.order.iter().position(|&k| self.bodies[k].tube == h))
            .filter(|&p| p < turn)
            .map(|p| p + 1)
            .collect();
        after.sort_unstable();
        after.dedup();
        let mut best: Option<(usize, Way, Vec<String>)> = None;
        let mut end = turn;
        // The latest first.
        for &first in after.iter().rev() {
            if let Some((p, way)) = self.latest(m, first, end, turn) {
                let blocks = self.blocked_then(m, p..turn, found);
                if best.as_ref().is_none_or(|b| blocks.len() < b.2.len()) {
                    best = Some((p, way, blocks));
                }
                if best.as_ref().is_some_and(|b| b.2.is_empty()) {
                    break;
                }
            }
            // Before that one, which it is cut to.
            end = first - 1;
        }
        let (p, way, blocks) = best?;
        Some(Remedy::Earlier { before: self.name(self.order[p]), way, blocks })
    }

    /// A late turn from `first` on and before `end` at which a piece goes in. What is fitted first that is in its way is
    /// the latest that it goes in before, by that way; whether there is another after it is asked a few times.
    fn latest(&self, m: usize, first: usize, end: usize, turn: usize) -> Option<(usize, Way)> {
        let mut best = None;
        let mut from = first;
        for _ in 0..ASKED {
            let Some(way) = self.any_way(m, &self.before(from, m).0, Trim::None) else { break };
            let (_, overlaps) = self.before(end, m);
            let in_the_way = |&p: &usize| {
                let s = self.order[p];
                s != m && !overlaps.contains(&s) && self.walks_into(m, s, &way)
            };
            let blocked = (from..=end).find(in_the_way).or_else(|| (end < turn).then_some(end));
            let Some(p) = blocked else { break };
            best = Some((p, way));
            from = p + 1;
            if from > end {
                break;
            }
        }
        best
    }

    /// Pieces of some turns that have a way in, and none when `m` stands already.
    fn blocked_then(&self, m: usize, turns: std::ops::Range<usize>, found: &[Found]) -> Vec<String> {
        turns
            .filter(|&p| {
                let other = self.order[p];
                let Some(way) = &found[p].way else { return false };
                if !self.walks_into(other, m, way) {
                    return false;
                }
                let mut standing = found[p].standing.clone();
                standing.push(m);
                self.any_way(other, &standing, Trim::None).is_none()
            })
            .map(|p| self.name(self.order[p]))
            .collect()
    }

    /// Whether body `m` runs into body `s` on a way.
    fn walks_into(&self, m: usize, s: usize, way: &Way) -> bool {
        let (pose, first) = match &way.last {
            None => (Pose::HOME, false),
            Some(Last::Slide { from, length }) => {
                let step = Move { pose: Pose::HOME, d: *from, length: *length };
                (Pose::shifted(*from * *length), self.runs_into(m, s, step, Trim::None))
            }
            Some(Last::Swing { turn, .. }) => {
                (turn.pose(turn.angle), self.turns_into(m, s, turn, (0.0, turn.angle), Trim::None))
            }
        };
        first || self.runs_into(m, s, Move { pose, d: way.from, length: self.reach }, Trim::None)
    }

    fn simpler(&self, m: usize, standing: &[usize]) -> Option<Remedy> {
        for end in End::BOTH {
            let profile = &self.cutting.pieces[m].end(end).profile;
            let tube = &self.shape.tubes[self.bodies[m].tube];
            let mut list = self.directions(m, standing, Trim::Bare(end));
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
