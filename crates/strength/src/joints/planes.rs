//! Braces in more planes than one, and the chord between braces: EN 1993-1-8, tables 7.6, 7.7, 7.12 and 7.16, from memory.

use std::f64::consts::{FRAC_PI_2, PI};

use super::classify::{MOSTLY, ONE_SIDE, Plan, Plane, Shares, Side, apart, footprint};
use super::range::{Bound, NotChecked, Unit};
use super::{Hollow, Look, Node};

/// Angles between planes may pass their limits by this much, rad: rounding.
const TURN_SLACK: f64 = 1e-6;

impl Plan {
    /// Factor for braces in two planes (tables 7.7 and 7.16).
    pub fn planes(&self, node: &Node, round: bool) -> Result<f64, NotChecked> {
        let table = if round { "EN 1993-1-8, table 7.7" } else { "EN 1993-1-8, table 7.16" };
        let chord = &node.chord.name;
        let [first, second] = match self.planes.as_slice() {
            [] | [_] => return Ok(1.0),
            [a, b] => [a, b],
            more => {
                return Err(NotChecked::new(
                    "braces in many planes",
                    format!("braces stand on {chord} in {} planes", more.len()),
                    table,
                ));
            }
        };
        let mut phi = apart(self.sides[first.sides[0]].azimuth, self.sides[second.sides[0]].azimuth);
        let both = [first, second].map(|p| p.sides.len() == 2);
        if both[0] || both[1] {
            phi = phi.min(PI - phi);
        }
        let kinds = [first, second].map(|p| self.kind(node, p));
        let all = |k: PlaneKind| kinds.iter().all(|&x| x == k || x == PlaneKind::Idle);
        let mixed = || {
            let why = format!("the braces on {chord} in two planes pass their forces on in unlike ways");
            Err(NotChecked::new("unlike planes", why, table))
        };
        let reach = |least: f64| {
            let planes = Bound { symbol: "φ between the planes", unit: Unit::Angle, of: chord, clause: table };
            planes.hold(phi, Some(least - TURN_SLACK), Some(FRAC_PI_2 + TURN_SLACK))
        };
        match both {
            [false, false] if all(PlaneKind::Tee) => {
                reach(PI / 3.0)?;
                Ok(if round { 1.0 } else { 0.9 })
            }
            [false, false] if all(PlaneKind::Kay) => {
                reach(PI / 3.0)?;
                Ok(0.9)
            }
            [true, true] if all(PlaneKind::Cross) => {
                reach(FRAC_PI_2 - ONE_SIDE)?;
                let through = [first, second].map(|p| self.through(node, p));
                let large = through[0].abs().max(through[1].abs());
                let ratio = if large > 0.0 { through[0] * through[1] / (large * large) } else { 0.0 };
                Ok((1.0 + 0.33 * ratio) * if round { 1.0 } else { 0.9 })
            }
            _ => mixed(),
        }
    }

    /// What goes through the chord in a plane, pulling positive.
    fn through(&self, node: &Node, plane: &Plane) -> f64 {
        let net: Vec<f64> = plane
            .sides
            .iter()
            .map(|&s| self.sides[s].braces.iter().map(|&i| node.braces[i].normal()).sum::<f64>())
            .collect();
        match net[..] {
            [a, b] if a * b > 0.0 => a.signum() * a.abs().min(b.abs()),
            _ => 0.0,
        }
    }

    fn kind(&self, node: &Node, plane: &Plane) -> PlaneKind {
        let mut kind = PlaneKind::Idle;
        for &i in plane.sides.iter().flat_map(|&s| &self.sides[s].braces) {
            let s = self.shares(node, i);
            let whole = s.kay + s.tee + s.cross;
            let this = if whole == 0.0 {
                continue;
            } else if s.tee == 0.0 && s.cross == 0.0 {
                PlaneKind::Kay
            } else if s.cross >= MOSTLY * whole {
                PlaneKind::Cross
            } else if s.tee == whole {
                PlaneKind::Tee
            } else {
                PlaneKind::Mixed
            };
            if kind != PlaneKind::Idle && kind != this {
                return PlaneKind::Mixed;
            }
            kind = this;
        }
        kind
    }

    /// Use of the chord in the gaps of a side, where the tables want it: box chords with K (7.12), K in two planes (7.7,
    /// 7.16), K on both sides (7.6).
    pub fn chord_use(&self, node: &Node, look: &Look, plane: &Plane, side: &Side, shares: &Shares) -> Option<f64> {
        if shares.kay == 0.0 {
            return None;
        }
        let double = plane.sides.len() == 2
            && plane.sides.iter().all(|&s| self.sides[s].braces.iter().any(|&i| self.shares(node, i).kay > 0.0));
        let crowd = double || self.planes.len() > 1;
        let s = &look.chord;
        if s.round() && !crowd {
            return None;
        }
        let fy = s.steel.yield_strength * look.factor;
        let depth = s.depth();
        let mut worst: Option<f64> = None;
        for (w, &gap) in side.braces.windows(2).zip(&side.gaps) {
            let [a, b] = [w[0], w[1]].map(|i| &node.braces[i]);
            if gap <= 0.0 || a.tension * b.tension >= 0.0 {
                continue;
            }
            let (x, half) = footprint(a, depth);
            let round = a.section.round() || b.section.round();
            // Loads on the joint itself are among neither side's forces: the worse side counts.
            for f in passed(node, x + half + gap / 2.0) {
                // Along the chord, in the plane of the braces and across it.
                let (sin, cos) = side.azimuth.sin_cos();
                let forces = [f[0].abs(), (f[1] * cos + f[2] * sin).abs(), (f[2] * cos - f[1] * sin).abs()];
                let used = if crowd { by_squares(s, fy, forces) } else { between_braces(s, fy, forces, gap, round) };
                worst = Some(worst.map_or(used, |w: f64| w.max(used)));
            }
        }
        worst
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum PlaneKind {
    Idle,
    Tee,
    Kay,
    Cross,
    Mixed,
}

/// Areas that carry shear in the plane and across it (EN 1993-1-1, 6.2.6 (3)).
fn shear_areas(s: &Hollow) -> [f64; 2] {
    if s.round() {
        return [2.0 * s.area / PI; 2];
    }
    let (b, h) = (s.across(), s.depth());
    [s.area * h / (b + h), s.area * b / (b + h)]
}

/// Use of a chord by its force and shears in and across a plane (tables 7.6, 7.7, 7.16).
fn by_squares(s: &Hollow, fy: f64, [n, v, w]: [f64; 3]) -> f64 {
    let areas = shear_areas(s);
    let shear = (v / areas[0]).hypot(w / areas[1]) * 3.0_f64.sqrt() / fy;
    (n / (s.area * fy)).powi(2) + shear * shear
}

/// Use of a box chord in a gap (table 7.12): of its shear, or of what that leaves for its force.
fn between_braces(s: &Hollow, fy: f64, [n, v, _]: [f64; 3], gap: f64, round_braces: bool) -> f64 {
    let area = super::rhs::shear_area(s, Some(gap), round_braces).min(s.area);
    let shear = v * 3.0_f64.sqrt() / (area * fy);
    let left = (s.area - area + area * (1.0 - shear * shear).max(0.0).sqrt()) * fy;
    if shear >= 1.0 || left <= 0.0 { shear.max(1.0) } else { shear.max(n / left) }
}

/// What a section of the chord at a place passes on, along t, u, v: summed up from before it, and from after.
fn passed(node: &Node, x: f64) -> [[f64; 3]; 2] {
    let mut out = [node.chord.before, node.chord.after];
    for b in &node.braces {
        let depth = node.chord.section.seen(b.azimuth).depth();
        let f = &mut out[usize::from(footprint(b, depth).0 > x)];
        let across = b.tension * b.angle.sin();
        f[0] += b.tension * b.angle.cos();
        f[1] += across * b.azimuth.cos();
        f[2] += across * b.azimuth.sin();
    }
    out
}
