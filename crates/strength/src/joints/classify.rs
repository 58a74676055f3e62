//! Sides, gaps; and how each brace's force is passed on.

use std::f64::consts::{FRAC_PI_2, PI};

use super::range::{NotChecked, between, length, ratio};
use super::{Brace, Hollow, Kind, Node, Part, Resistance, least};

/// Braces whose places round the chord differ by no more are on one side, and sides that differ from opposite by no more
/// are one plane: cos 10° is 0.985. Our own limit.
pub(crate) const ONE_SIDE: f64 = 10.0 * PI / 180.0;
/// A brace within this of square is called square, which is a matter of names alone, rad.
const SQUARE: f64 = PI / 180.0;
/// Braces that lean the same way by more than this from square are no K.
const LEAN: f64 = 10.0 * PI / 180.0;
/// Part of a brace's force that must be balanced in one way for the brace to count as of that kind altogether.
pub(crate) const MOSTLY: f64 = 0.8;
/// A share of a force may pass its limit by this much: rounding.
const SHARE_SLACK: f64 = 1e-9;

/// Braces on one side of the chord.
pub(crate) struct Side {
    /// Where round the chord.
    pub azimuth: f64,
    /// Which, along the chord.
    pub braces: Vec<usize>,
    /// Between neighbours' footprints, m; negative if they overlap.
    pub gaps: Vec<f64>,
    /// Whether two braces on a box chord are so far apart that each stands by itself (table 7.8).
    pub apart: bool,
}

/// One or two opposite sides.
pub(crate) struct Plane {
    /// Indices of the sides.
    pub sides: Vec<usize>,
}

/// A node put in order.
pub(crate) struct Plan {
    pub sides: Vec<Side>,
    pub planes: Vec<Plane>,
}

/// Forces along a brace, without sign, by how they are passed on, N; those that its neighbours share are in them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Shares {
    pub kay: f64,
    pub tee: f64,
    pub cross: f64,
}

/// The footprint's middle and half length along the chord.
pub(crate) fn footprint(b: &Brace, depth: f64) -> (f64, f64) {
    let sin = b.angle.sin();
    (b.station + depth / 2.0 * b.angle.cos() / sin, b.section.depth() / 2.0 / sin)
}

/// The difference of two angles, 0 to π.
pub(crate) fn apart(a: f64, b: f64) -> f64 {
    let d = (a - b).rem_euclid(2.0 * PI);
    d.min(2.0 * PI - d)
}

impl Plan {
    pub fn new(node: &Node) -> Result<Plan, NotChecked> {
        let braces = &node.braces;
        for (i, a) in braces.iter().enumerate() {
            for b in &braces[i + 1..] {
                between(a, b)?;
            }
        }
        let mut sides = sides(node)?;
        let chord = &node.chord.section;
        for s in &mut sides {
            order(node, s, chord)?;
        }
        let mut planes: Vec<Plane> = Vec::new();
        let mut taken = vec![false; sides.len()];
        for i in 0..sides.len() {
            if taken[i] {
                continue;
            }
            let opposite =
                (i + 1..sides.len()).find(|&j| !taken[j] && PI - apart(sides[i].azimuth, sides[j].azimuth) <= ONE_SIDE);
            let mut plane = Plane { sides: vec![i] };
            if let Some(j) = opposite {
                taken[j] = true;
                plane.sides.push(j);
            }
            planes.push(plane);
        }
        Ok(Plan { sides, planes })
    }

    /// The side that a brace is on.
    pub fn side_of(&self, brace: usize) -> &Side {
        &self.sides[self.index_of_side(brace)]
    }

    fn index_of_side(&self, brace: usize) -> usize {
        self.sides.iter().position(|s| s.braces.contains(&brace)).unwrap_or(0)
    }

    /// The plane that a brace lies in.
    pub fn plane_of(&self, brace: usize) -> &Plane {
        let side = self.index_of_side(brace);
        self.planes.iter().find(|p| p.sides.contains(&side)).unwrap_or(&self.planes[0])
    }

    /// How a brace's force is passed on.
    pub fn shares(&self, node: &Node, brace: usize) -> Shares {
        let here = self.index_of_side(brace);
        let plane = self.plane_of(brace);
        let b = &node.braces[brace];
        let pull = b.normal();
        let (mine, balanced) = side_sums(node, &self.sides[here], pull);
        if mine == 0.0 {
            return Shares { kay: 0.0, tee: 0.0, cross: 0.0 };
        }
        let along = 1.0 / b.angle.sin();
        if balanced >= MOSTLY * mine * (1.0 - SHARE_SLACK) {
            return Shares { kay: mine * along, tee: 0.0, cross: 0.0 };
        }
        let left = mine - balanced;
        let beyond = plane.sides.iter().find(|&&s| s != here).map_or(0.0, |&s| {
            let (theirs, balanced) = side_sums(node, &self.sides[s], pull);
            theirs - balanced
        });
        let cross = left.min(beyond);
        Shares { kay: balanced * along, tee: (left - cross) * along, cross: cross * along }
    }
}

/// Sum of the forces of a side that pull (or press) as `pull` does, and what of it the others on that side balance.
fn side_sums(node: &Node, side: &Side, pull: f64) -> (f64, f64) {
    if pull == 0.0 {
        return (0.0, 0.0);
    }
    let sum = |sign: f64| side.braces.iter().map(|&i| (node.braces[i].normal() * sign).max(0.0)).sum::<f64>();
    let (same, other) = (sum(pull.signum()), sum(-pull.signum()));
    (same, if side.apart { 0.0 } else { same.min(other) })
}

/// Puts the braces on sides.
fn sides(node: &Node) -> Result<Vec<Side>, NotChecked> {
    let n = node.braces.len();
    let at = |i: usize| node.braces[i].azimuth;
    let mut head: Vec<usize> = (0..n).collect();
    for i in 0..n {
        for j in 0..i {
            if apart(at(i), at(j)) <= ONE_SIDE && head[i] != head[j] {
                let (from, to) = (head[i].max(head[j]), head[i].min(head[j]));
                head.iter_mut().filter(|h| **h == from).for_each(|h| *h = to);
            }
        }
    }
    let mut out = Vec::new();
    for k in 0..n {
        let braces: Vec<usize> = (0..n).filter(|&i| head[i] == k).collect();
        if braces.is_empty() {
            continue;
        }
        let (sin, cos) = braces.iter().fold((0.0, 0.0), |s, &i| (s.0 + at(i).sin(), s.1 + at(i).cos()));
        let azimuth = f64::atan2(sin, cos);
        if braces.iter().any(|&i| apart(at(i), azimuth) > ONE_SIDE) {
            let why = format!("the braces on {} fan out round it, in no plane", node.chord.name);
            return Err(NotChecked::new("braces in no plane", why, "EN 1993-1-8, 7.4.3, 7.5.3"));
        }
        out.push(Side { azimuth, braces, gaps: Vec::new(), apart: false });
    }
    Ok(out)
}

/// Orders a side's braces along the chord and measures their gaps.
fn order(node: &Node, side: &mut Side, chord: &Hollow) -> Result<(), NotChecked> {
    let seen = chord.seen(side.azimuth);
    let (depth, face) = (seen.depth(), seen.across());
    let foot = |i: usize| footprint(&node.braces[i], depth);
    side.braces.sort_by(|&i, &j| {
        foot(i).0.total_cmp(&foot(j).0).then(node.braces[i].angle.total_cmp(&node.braces[j].angle).reverse())
    });
    let gap = |i: usize, j: usize| (foot(j).0 - foot(j).1) - (foot(i).0 + foot(i).1);
    for w in side.braces.windows(2) {
        let g = gap(w[0], w[1]);
        let [a, b] = [w[0], w[1]].map(|i| &node.braces[i]);
        let names = format!("{} and {}", a.name, b.name);
        if g >= 0.0 || !chord.round() {
            if g < 0.0 {
                return Err(NotChecked::new(
                    "braces that overlap on a box",
                    format!("{names} overlap on a box chord, which is not among what is calculated here"),
                    "EN 1993-1-8, table 7.10",
                ));
            }
            length("g", &names, "EN 1993-1-8, 7.1.2 (5)").hold(g, Some(a.section.wall + b.section.wall), None)?;
        } else {
            let over = [w[0], w[1]].into_iter().min_by(|&i, &j| {
                let strength = |i: usize| {
                    let s = &node.braces[i].section;
                    (s.wall * s.steel.yield_strength, s.across(), -foot(i).1)
                };
                let (p, q) = (strength(i), strength(j));
                p.0.total_cmp(&q.0).then(p.1.total_cmp(&q.1)).then(p.2.total_cmp(&q.2))
            });
            let part = -g / (2.0 * foot(over.unwrap_or(w[0])).1);
            ratio("λ_ov", &names, "EN 1993-1-8, 7.1.2 (6)").hold(part, Some(0.25), Some(0.6))?;
        }
        side.gaps.push(g);
    }
    for w in side.braces.windows(3) {
        let names = format!("{} and {}", node.braces[w[0]].name, node.braces[w[2]].name);
        length("g", &names, "EN 1993-1-8, 7.1.2 (5)").hold(gap(w[0], w[2]), Some(0.0), None)?;
    }
    if let (false, &[i, j], &[g]) = (chord.round(), &side.braces[..], &side.gaps[..]) {
        side.apart = g / face > 1.5 * (1.0 - mean(node, &[i, j]) / face);
    }
    Ok(())
}

/// Mean of the diameters, or of widths and depths, of braces.
pub(crate) fn mean(node: &Node, braces: &[usize]) -> f64 {
    let of = |&i: &usize| (node.braces[i].section.across() + node.braces[i].section.depth()) / 2.0;
    braces.iter().map(of).sum::<f64>() / braces.len() as f64
}

/// A K, N or KT on one side: what the formulas ask of it.
pub(crate) struct Kay {
    pub kind: Kind,
    /// The gap that counts, m.
    pub gap: f64,
    /// The brace that is pressed, of two; `None` for three.
    pub pressed: Option<usize>,
}

/// Sees whether a side is a K, N or KT within the ranges.
pub(crate) fn kay(node: &Node, side: &Side, depth: f64) -> Result<Kay, NotChecked> {
    let b = &side.braces;
    let pulls = |i: usize| node.braces[i].normal() > 0.0;
    let n = b.len();
    if !(2..=3).contains(&n) {
        let why = format!("{n} braces on one side of {} balance one another", node.chord.name);
        return Err(NotChecked::new("more than three braces in balance", why, "EN 1993-1-8, table 7.6"));
    }
    let (first, last) = (&node.braces[b[0]], &node.braces[b[n - 1]]);
    let lean = |x: &Brace| if (x.angle - FRAC_PI_2).abs() > LEAN { x.angle.cos().signum() } else { 0.0 };
    if lean(first) * lean(last) > 0.0 {
        let why = format!("{} and {} lean the same way and balance one another", first.name, last.name);
        return Err(NotChecked::new("braces that lean the same way", why, "EN 1993-1-8, table 7.2, 7.12"));
    }
    for (k, &i) in b.iter().enumerate() {
        for &j in &b[k + 1..] {
            if pulls(i) != pulls(j) {
                let (p, q) = (&node.braces[i], &node.braces[j]);
                let cot = |x: &Brace| x.angle.cos() / x.angle.sin();
                let e = (q.station - p.station) / (cot(q) - cot(p));
                let names = format!("{} and {}", p.name, q.name);
                length("e", &names, "EN 1993-1-8, 5.1.5 (5)").hold(e, Some(-0.55 * depth), Some(0.25 * depth))?;
            }
        }
    }
    let unlike = b.windows(2).zip(&side.gaps).filter(|(w, _)| pulls(w[0]) != pulls(w[1])).map(|(_, &g)| g);
    let gap = unlike.fold(f64::NEG_INFINITY, f64::max);
    let square = b.iter().any(|&i| (node.braces[i].angle - FRAC_PI_2).abs() <= SQUARE);
    let kind = match n {
        3 => Kind::KT,
        _ if square => Kind::N,
        _ => Kind::K,
    };
    let pressed = if n == 2 { b.iter().copied().find(|&i| !pulls(i)) } else { None };
    Ok(Kay { kind, gap, pressed })
}

/// Whether a brace stands square on the chord.
pub(crate) fn tee(b: &Brace) -> Kind {
    if (b.angle - FRAC_PI_2).abs() <= SQUARE { Kind::T } else { Kind::Y }
}

/// A part of a brace's force with what bears it.
pub(crate) fn part(kind: Kind, force: f64, modes: Vec<Resistance>) -> Option<Part> {
    let governing = least(&modes)?;
    Some(Part { kind, force, utilisation: if force > 0.0 { force / governing.value } else { 0.0 }, governing, modes })
}
