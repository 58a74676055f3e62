//! One straight cut, and two.

use super::minimax::{Best, Sheet, best};
use super::target::{Fibre, Left, Target};
use crate::Detail;

/// Bound and gap of one plane count as equal: a micrometre.
const AGREED: f64 = 1e-6;

/// Rounds in which the worst of closer fibres are added.
const ROUNDS: usize = 4;

/// A plane, what it leaves on the closer fibres, and what no plane goes below.
pub struct One {
    /// The plane, pushed home.
    pub sheet: Sheet,
    /// What it leaves.
    pub left: Left,
    /// Lower bound, m.
    pub bound: f64,
}

/// The best plane for a contact: held against fibres three times as close, of which the worst are added.
pub fn one(target: &Target, fine: &Target) -> Option<One> {
    let mut stops = target.stops();
    let all = fine.stops();
    let mut found: Option<One> = None;
    for _ in 0..ROUNDS {
        let Best { sheet, bound, .. } = best(&stops)?;
        let left = fine.left(|f| sheet.at(f.p.x, f.p.y))?;
        let here = One { sheet: Sheet { a: sheet.a + left.shift, ..sheet }, left, bound };
        let better = found.as_ref().is_none_or(|f| here.left.gap < f.left.gap);
        // The bound only rises, whichever plane was better.
        let bound = found.as_ref().map_or(bound, |f| f.bound.max(bound));
        let lack = |i: usize| all[i].t - here.sheet.at(all[i].u, all[i].v);
        let lowest = (0..all.len()).min_by(|&a, &b| lack(a).total_cmp(&lack(b)));
        let widest = (0..all.len()).max_by(|&a, &b| (all[a].w * lack(a)).total_cmp(&(all[b].w * lack(b))));
        stops.extend(lowest.iter().chain(&widest).map(|&i| all[i]));
        if better {
            found = Some(here);
        }
        if let Some(f) = &mut found {
            f.bound = bound.min(f.left.gap);
            if f.left.gap - f.bound < AGREED {
                break;
            }
        }
    }
    found
}

/// Directions in which the wall is parted at first.
const PARTS: usize = 12;

/// Fibres round on which two planes are searched.
const SEARCH: Detail = Detail { fibres: 60 };

/// Halvings of the step of the best direction.
const HALVES: u32 = 4;

/// Times that fibres are given to the lower plane anew.
const AGAIN: usize = 6;

/// Two planes of which the tube keeps what lies within both, and what they leave.
pub fn two(target: &Target, fine: &Target, remake: impl Fn(Detail) -> Option<Pair>) -> Option<([Sheet; 2], Left)> {
    let pair = remake(SEARCH)?;
    let sheets = settle(target, pair.sheets).map_or(pair.sheets, |p| p.sheets);
    let left = fine.left(|f| lower(&sheets, f))?;
    Some((sheets.map(|s| Sheet { a: s.a + left.shift, ..s }), left))
}

/// Two planes and the larger of their gaps.
#[derive(Clone, Copy)]
pub struct Pair {
    /// The planes.
    pub sheets: [Sheet; 2],
    /// Largest gap on the fibres searched, m.
    pub gap: f64,
}

/// Where two cuts leave a fibre.
pub fn lower(s: &[Sheet; 2], f: &Fibre) -> f64 {
    s[0].at(f.p.x, f.p.y).min(s[1].at(f.p.x, f.p.y))
}

/// The best pair over directions of parting, on the fibres of a coarse target.
pub fn search(coarse: &Target) -> Option<Pair> {
    let from = |angle: f64| {
        let (s, c) = angle.sin_cos();
        assigned(coarse, &|f| f.p.x * c + f.p.y * s >= 0.0).and_then(|p| settle(coarse, p.sheets))
    };
    let step = std::f64::consts::PI / PARTS as f64;
    let mut best: Option<(f64, Pair)> = None;
    let mut offer = |angle: f64| {
        if let Some(p) = from(angle)
            && best.as_ref().is_none_or(|b| p.gap < b.1.gap)
        {
            best = Some((angle, p));
        }
        best.map(|b| b.0)
    };
    let mut at = None;
    for k in 0..PARTS {
        at = offer(step * k as f64);
    }
    let mut width = step / 2.0;
    for _ in 0..HALVES {
        let centre = at?;
        offer(centre - width);
        at = offer(centre + width);
        width /= 2.0;
    }
    best.map(|b| b.1)
}

/// Gives each fibre to the plane that is lower there and solves again, until it no longer helps.
fn settle(target: &Target, sheets: [Sheet; 2]) -> Option<Pair> {
    let mut best: Option<Pair> = None;
    let mut sheets = sheets;
    for _ in 0..AGAIN {
        let s = sheets;
        let Some(p) = assigned(target, &|f| s[0].at(f.p.x, f.p.y) <= s[1].at(f.p.x, f.p.y)) else { break };
        if best.is_some_and(|b| p.gap > b.gap - 1e-9) {
            break;
        }
        sheets = p.sheets;
        best = Some(p);
    }
    best
}

/// The best planes when it is given which of them stops at which fibre: two linear programs.
fn assigned(target: &Target, first: &dyn Fn(&Fibre) -> bool) -> Option<Pair> {
    let mine: Vec<bool> = target.fibres.iter().map(first).collect();
    let side = |which: bool| {
        let mut stops = target.stops();
        for (s, &m) in stops.iter_mut().zip(&mine) {
            s.stops = m == which;
        }
        best(&stops)
    };
    let (a, b) = (side(true)?, side(false)?);
    Some(Pair { sheets: [a.sheet, b.sheet], gap: a.gap.max(b.gap) })
}
