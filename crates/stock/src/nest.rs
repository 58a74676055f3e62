//! Mitres that share a cut: in which order the pieces of one stick save most length.
//!
//! Two ends sawn at the same angle lie against each other along the cut, so that their pieces together are shorter
//! than one after the other by the overlap of the mitre, less what the saw takes more of the length when it cuts at an
//! angle: kerf (1 / cos angle − 1).

use crate::grid::nanometres;
use crate::{Mitre, Piece};

/// Angles that differ by less, rad, are the same cut: a fifth of what a saw's scale can show.
const SAME_ANGLE: f64 = 1e-3;
/// Up to so many mitred pieces of one stick every order is tried; beyond that, pairs that save most come first.
const MOST_EXACT: usize = 9;

/// One piece in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Laid {
    /// Index into the list given.
    pub at: usize,
    /// End for end.
    pub turned: bool,
    /// Saved against the piece before, nm.
    pub saved: u64,
}

/// Length saved where two ends share a cut, m; 0 if they don't match.
pub(crate) fn saving(a: Option<Mitre>, b: Option<Mitre>, kerf: f64) -> f64 {
    let (Some(a), Some(b)) = (a, b) else { return 0.0 };
    let fits = |mitre: &Mitre| {
        (0.0..std::f64::consts::FRAC_PI_2).contains(&mitre.angle) && mitre.overlap.is_finite() && mitre.overlap > 0.0
    };
    let same_way = match (a.across, b.across) {
        (None, None) => true,
        (Some(a), Some(b)) if a.is_finite() && b.is_finite() => {
            let between = (a - b).rem_euclid(std::f64::consts::PI);
            between.min(std::f64::consts::PI - between) < SAME_ANGLE
        }
        _ => false,
    };
    if !fits(&a) || !fits(&b) || (a.angle - b.angle).abs() > SAME_ANGLE || !same_way {
        return 0.0;
    }
    let wider = kerf * (1.0 / a.angle.max(b.angle).cos() - 1.0);
    (a.overlap.min(b.overlap) - wider).max(0.0)
}

/// A piece as it lies.
struct End<'a> {
    mitres: [Option<Mitre>; 2],
    piece: &'a Piece,
}

/// Orders pieces, given in fitting order, so that shared cuts save the most; those that share none stay in order.
pub(crate) fn order(pieces: &[(&Piece, bool)], kerf: f64) -> Vec<Laid> {
    let plain = |at| Laid { at, turned: false, saved: 0 };
    let ends: Vec<End> = pieces
        .iter()
        .map(|&(piece, whole)| {
            // A part of a joined piece, and one with no room between its two mitres, is laid as if it had none.
            let overlaps: f64 = piece.mitres.iter().flatten().map(|mitre| mitre.overlap.max(0.0)).sum();
            let usable = whole && overlaps <= piece.length;
            End { mitres: if usable { piece.mitres } else { [None, None] }, piece }
        })
        .collect();
    let mitred: Vec<usize> = (0..ends.len()).filter(|&at| ends[at].mitres.iter().any(Option::is_some)).collect();
    if mitred.len() < 2 {
        return (0..ends.len()).map(plain).collect();
    }
    let facing = |at: usize, turned: bool, back: bool| ends[at].mitres[usize::from(turned == back)];
    let saved = |a: (usize, bool), b: (usize, bool)| {
        // The end of `a` that looks forward against the end of `b` that looks back.
        nanometres_floor(saving(facing(a.0, a.1, false), facing(b.0, b.1, true), kerf))
    };
    let path = if mitred.len() <= MOST_EXACT { exact(&mitred, &saved) } else { greedy(&mitred, &saved) };
    // Break it where nothing is saved, then put the runs and the others in fitting order.
    let mut runs: Vec<Vec<Laid>> = Vec::new();
    for (position, &(at, turned)) in path.iter().enumerate() {
        let saving = position.checked_sub(1).map_or(0, |before| saved(path[before], (at, turned)));
        match runs.last_mut() {
            Some(run) if saving > 0 => run.push(Laid { at, turned, saved: saving }),
            _ => runs.push(vec![Laid { at, turned, saved: 0 }]),
        }
    }
    for run in &mut runs {
        let place = |laid: &Laid| (ends[laid.at].piece.order, laid.at);
        if run.len() == 1 {
            run[0].turned = false;
        } else if place(&run[run.len() - 1]) < place(&run[0]) {
            // The other way round saves as much, and begins with the piece that is fitted first.
            let saved: Vec<u64> = run.iter().map(|laid| laid.saved).collect();
            run.reverse();
            for (at, laid) in run.iter_mut().enumerate() {
                laid.turned = !laid.turned;
                laid.saved = if at == 0 { 0 } else { saved[saved.len() - at] };
            }
        }
    }
    runs.extend((0..ends.len()).filter(|at| !mitred.contains(at)).map(|at| vec![plain(at)]));
    let first = |run: &Vec<Laid>| run.iter().map(|laid| (ends[laid.at].piece.order, laid.at)).min().unwrap_or_default();
    runs.sort_by_key(first);
    runs.concat()
}

/// Whole nanometres that are saved for certain.
fn nanometres_floor(length: f64) -> u64 {
    nanometres(length.clamp(0.0, 1.0)).saturating_sub(u64::from(length > 0.0))
}

type Way = (usize, bool);

/// The order of most saving, by dynamic programming over sets of pieces with the last one and how it lies.
fn exact(mitred: &[usize], saved: &dyn Fn(Way, Way) -> u64) -> Vec<Way> {
    let count = mitred.len();
    let way = |state: usize| (mitred[state / 2], state % 2 == 1);
    let mut gain = vec![0u64; 4 * count * count];
    for a in 0..2 * count {
        for b in 0..2 * count {
            gain[a * 2 * count + b] = saved(way(a), way(b));
        }
    }
    let states = 2 * count;
    // best[set][last]: most saved with this set laid, `last` at the end; 1 more than that, 0: not reached.
    let mut best = vec![0u64; (1 << count) * states];
    let mut from = vec![usize::MAX; (1 << count) * states];
    for state in 0..states {
        best[(1 << (state / 2)) * states + state] = 1;
    }
    for set in 1usize..1 << count {
        for last in 0..states {
            let have = best[set * states + last];
            if have == 0 {
                continue;
            }
            for next in 0..states {
                if set >> (next / 2) & 1 == 1 {
                    continue;
                }
                let to = (set | 1 << (next / 2)) * states + next;
                let sum = have + gain[last * states + next];
                if sum > best[to] {
                    best[to] = sum;
                    from[to] = last;
                }
            }
        }
    }
    let mut set = (1 << count) - 1;
    let mut last = (0..states).rev().max_by_key(|&last| best[set * states + last]).unwrap_or(0);
    let mut path = Vec::new();
    loop {
        path.push(way(last));
        let before = from[set * states + last];
        set &= !(1 << (last / 2));
        if before == usize::MAX {
            break;
        }
        last = before;
    }
    path.reverse();
    path
}

/// Joins ends in pairs, most saving first, never into a ring.
fn greedy(mitred: &[usize], saved: &dyn Fn(Way, Way) -> u64) -> Vec<Way> {
    let mut runs: Vec<Vec<Way>> = mitred.iter().map(|&at| vec![(at, false)]).collect();
    let turned = |run: &[Way]| run.iter().rev().map(|&(at, turned)| (at, !turned)).collect::<Vec<Way>>();
    loop {
        let mut best: Option<(u64, usize, usize, bool, bool)> = None;
        for a in 0..runs.len() {
            for b in 0..runs.len() {
                for (flip_a, flip_b) in [(false, false), (true, false), (false, true)] {
                    if a == b {
                        continue;
                    }
                    let end = if flip_a { (runs[a][0].0, !runs[a][0].1) } else { runs[a][runs[a].len() - 1] };
                    let last = runs[b][runs[b].len() - 1];
                    let start = if flip_b { (last.0, !last.1) } else { runs[b][0] };
                    let sum = saved(end, start);
                    if sum > 0 && best.is_none_or(|best| sum > best.0) {
                        best = Some((sum, a, b, flip_a, flip_b));
                    }
                }
            }
        }
        let Some((_, a, b, flip_a, flip_b)) = best else { break };
        let first = if flip_a { turned(&runs[a]) } else { runs[a].clone() };
        let second = if flip_b { turned(&runs[b]) } else { runs[b].clone() };
        runs[a] = [first, second].concat();
        runs.remove(b);
    }
    runs.concat()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mitre(degrees: f64) -> Option<Mitre> {
        let angle = degrees.to_radians();
        Some(Mitre { angle, overlap: 0.04 * angle.tan(), across: None })
    }

    fn piece(order: usize, ends: [Option<Mitre>; 2]) -> Piece {
        Piece { name: format!("p{order}"), length: 0.5, order, mitres: ends, ..Piece::default() }
    }

    fn total(laid: &[Laid]) -> u64 {
        laid.iter().map(|laid| laid.saved).sum()
    }

    #[test]
    fn a_shared_cut_saves_the_overlap_less_the_wider_kerf() {
        let saved = saving(mitre(45.0), mitre(45.0), 0.002);
        assert!((saved - (0.04 - 0.002 * (2f64.sqrt() - 1.0))).abs() < 1e-12);
        assert_eq!(saving(mitre(45.0), mitre(30.0), 0.002), 0.0);
        assert_eq!(saving(mitre(45.0), None, 0.002), 0.0);
        let leaning = |way: f64| mitre(45.0).map(|m| Mitre { across: Some(way), ..m });
        assert_eq!(saving(leaning(0.0), leaning(1.0), 0.002), 0.0);
        assert!(saving(leaning(0.0), leaning(std::f64::consts::PI), 0.002) > 0.0);
    }

    #[test]
    fn every_order_of_a_few_pieces_saves_no_more() {
        let angles = [30.0, 45.0, 20.0];
        let mut seed = 7u64;
        let mut draw = |below: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (seed >> 33) % below
        };
        for _ in 0..200 {
            let count = 2 + draw(4) as usize;
            let mut end = || angles.get(draw(4) as usize).and_then(|&angle| mitre(angle));
            let pieces: Vec<Piece> = (0..count).map(|order| piece(order, [end(), end()])).collect();
            let list: Vec<(&Piece, bool)> = pieces.iter().map(|piece| (piece, true)).collect();
            let laid = order(&list, 0.002);
            let mut seen: Vec<usize> = laid.iter().map(|laid| laid.at).collect();
            seen.sort_unstable();
            assert_eq!(seen, (0..count).collect::<Vec<_>>());
            assert_eq!(total(&laid), most(&pieces, &mut Vec::new()));
            let ends = mitred_greedy(&pieces);
            assert!(ends <= total(&laid));
        }
    }

    fn mitred_greedy(pieces: &[Piece]) -> u64 {
        let all: Vec<usize> = (0..pieces.len()).collect();
        let facing = |way: Way, back: bool| pieces[way.0].mitres[usize::from(way.1 == back)];
        let saved = |a: Way, b: Way| nanometres_floor(saving(facing(a, false), facing(b, true), 0.002));
        let path = greedy(&all, &saved);
        assert_eq!(path.len(), pieces.len());
        path.windows(2).map(|pair| saved(pair[0], pair[1])).sum()
    }

    /// Tries every order and every way round.
    fn most(pieces: &[Piece], laid: &mut Vec<Way>) -> u64 {
        if laid.len() == pieces.len() {
            let end = |way: Way, back: bool| pieces[way.0].mitres[usize::from(way.1 == back)];
            return laid
                .windows(2)
                .map(|pair| nanometres_floor(saving(end(pair[0], false), end(pair[1], true), 0.002)))
                .sum();
        }
        let mut best = 0;
        for at in 0..pieces.len() {
            if laid.iter().any(|way| way.0 == at) {
                continue;
            }
            for turned in [false, true] {
                laid.push((at, turned));
                best = best.max(most(pieces, laid));
                laid.pop();
            }
        }
        best
    }
}
