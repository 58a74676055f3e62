//! Pieces that lie between two others of their kind: no plane touches them alone.

use super::TOUCH;
use crate::{DVec3, Round};

/// Marks the pieces that add nothing to the hull: those that are another one over again, and those whose centre lies on the
/// line between two of the same size and direction. Wherever a plane touches such a piece it touches the two as well, so
/// that along a whole curve of planes three pieces would be touched at once, and which two decide would be left to
/// rounding: the inner rims of two equal wheels on one axle.
pub(super) fn between(pieces: &[Round]) -> Vec<bool> {
    let mut out = vec![false; pieces.len()];
    let mut groups: Vec<Vec<usize>> = Vec::new();
    let (mut lo, mut hi) = (DVec3::INFINITY, DVec3::NEG_INFINITY);
    for (i, p) in pieces.iter().enumerate() {
        let (c, r) = p.bounds();
        (lo, hi) = (lo.min(c - r), hi.max(c + r));
        // The hull of points is exact: lines of them are told by its predicates.
        if r == 0.0 {
            continue;
        }
        match groups.iter_mut().find(|g| alike(&pieces[g[0]], p)) {
            Some(g) => g.push(i),
            None => groups.push(vec![i]),
        }
    }
    let same = TOUCH * (hi - lo).max_element();
    let centre = |i: usize| pieces[i].bounds().0;
    for g in groups {
        for &i in &g {
            out[i] = g.iter().any(|&j| j < i && centre(j).distance(centre(i)) <= same);
        }
        let rest: Vec<usize> = g.into_iter().filter(|&i| !out[i]).collect();
        for &i in &rest {
            let ways = rest.iter().filter(|j| **j != i).map(|j| (centre(*j) - centre(i)).normalize_or_zero());
            out[i] = has_opposite(ways.collect());
        }
    }
    out
}

/// Whether two have the same size and direction, so that one is the other moved.
fn alike(a: &Round, b: &Round) -> bool {
    let size = |x: f64, y: f64| (x - y).abs() <= TOUCH * x.abs();
    let way = |x: DVec3, y: DVec3| x.distance(y) <= TOUCH;
    match (*a, *b) {
        (Round::Ball { r: a, .. }, Round::Ball { r: b, .. }) => size(a, b),
        (Round::Ring { axis: n, big: a, r, .. }, Round::Ring { axis: m, big: b, r: s, .. }) => {
            size(a, b) && size(r, s) && (way(n, m) || way(n, -m))
        }
        (
            Round::Arc { axis: n, start: p, last: v, big: a, r, .. },
            Round::Arc { axis: m, start: q, last: w, big: b, r: s, .. },
        ) => size(a, b) && size(r, s) && way(n, m) && way(p, q) && way(v, w),
        _ => false,
    }
}

/// Any direction in general position: opposite ones are as far along it, and few others are.
const ALONG: DVec3 = DVec3::new(0.5477, 0.6403, 0.5385);

/// Whether two of some unit vectors are opposite.
fn has_opposite(ways: Vec<DVec3>) -> bool {
    let mut by: Vec<(f64, DVec3)> = ways.into_iter().map(|w| (w.dot(ALONG).abs(), w)).collect();
    by.sort_by(|a, b| a.0.total_cmp(&b.0));
    by.iter().enumerate().any(|(k, (s, w))| {
        by[k + 1..].iter().take_while(|(t, _)| t - s <= 2.0 * TOUCH).any(|(_, v)| (*w + *v).length() <= TOUCH)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_lies_between_two_of_its_kind() {
        let ring = |y: f64, big: f64, axis| Round::Ring { centre: DVec3::new(0.8, y, 0.24), axis, big, r: 0.0 };
        let (out, inn) = (0.63, 0.49);
        let (y, turned) = (DVec3::Y, DVec3::NEG_Y);
        let axle = [ring(inn, 0.3, y), ring(out, 0.3, y), ring(-inn, 0.3, turned), ring(-out, 0.3, turned)];
        assert_eq!(between(&axle), [true, false, true, false]);
        // A smaller one, one off the line, one at a slant, one that is there twice.
        let ball = |x: f64, r: f64| Round::Ball { centre: DVec3::X * x, r };
        let (smaller, off) = (ring(inn, 0.29, y), Round::Ball { centre: DVec3::new(0.5, 1e-9, 0.0), r: 0.1 });
        let slant = ring(-inn, 0.3, DVec3::new(0.0, 1.0, 1e-9).normalize());
        assert_eq!(between(&[axle[1], axle[3], smaller, slant]), [false; 4]);
        assert_eq!(between(&[ball(0.0, 0.1), ball(1.0, 0.1), off]), [false; 3]);
        assert_eq!(
            between(&[ball(0.0, 0.1), ball(1.0, 0.1), ball(0.5, 0.1), ball(1.0, 0.1)]),
            [false, false, true, true]
        );
    }
}
