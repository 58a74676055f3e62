//! Box or round braces on a box chord: EN 1993-1-8, tables 7.8 to 7.14, from memory.

use std::f64::consts::{FRAC_PI_2, FRAC_PI_4, PI};

use super::classify::{Shares, Side, kay, mean, part, tee};
use super::range::{NotChecked, ratio};
use super::{Brace, Hollow, Kind, Look, Mode, Node, Part, Resistance};

/// Up to here the chord's face alone decides; from here to 1 its side walls come in (table 7.11).
const NARROW: f64 = 0.85;
/// A brace within this of square is square to table 7.14, rad.
const SQUARE: f64 = PI / 180.0;

/// Beyond this n/β k_n is nothing, or all but nothing: 3.25 less a thousandth.
const NOTHING_LEFT: f64 = 3.247;

/// k_n: what the chord's own stress leaves; n pressed positive.
pub(crate) fn k_n(n: f64, beta: f64) -> f64 {
    if n > 0.0 { (1.3 - 0.4 * n / beta).min(1.0) } else { 1.0 }
}

/// A_v: what of a chord carries the shear between two braces; `gap` is `None` where there is no gap.
pub(crate) fn shear_area(chord: &Hollow, gap: Option<f64>, round_braces: bool) -> f64 {
    let alpha = match gap {
        Some(g) if !round_braces => 1.0 / (1.0 + 4.0 * g * g / (3.0 * chord.wall * chord.wall)).sqrt(),
        _ => 0.0,
    };
    (2.0 * chord.depth() + alpha * chord.across()) * chord.wall
}

/// χ of curve c (cold formed) for the side walls (EN 1993-1-1, 6.3.1.2).
pub(crate) fn side_wall_buckling(chord: &Hollow, sin: f64) -> f64 {
    let steel = &chord.steel;
    let slim = 3.46 * (chord.depth() / chord.wall - 2.0) * (1.0 / sin).sqrt()
        / (PI * (steel.youngs / steel.yield_strength).sqrt());
    let phi = 0.5 * (1.0 + 0.49 * (slim - 0.2) + slim * slim);
    (1.0 / (phi + (phi * phi - slim * slim).max(0.0).sqrt())).min(1.0)
}

struct Sizes {
    fy0: f64,
    fy1: f64,
    t0: f64,
    t1: f64,
    b0: f64,
    b1: f64,
    h1: f64,
    gamma: f64,
    sin: f64,
    /// π/4 for round braces.
    round: f64,
    /// b_eff and b_e,p.
    effective: f64,
    punched: f64,
}

impl Sizes {
    fn new(look: &Look, b: &Brace) -> Sizes {
        let (c, s) = (&look.chord, &b.section);
        let fy0 = c.steel.yield_strength * look.factor;
        let fy1 = s.steel.yield_strength * look.factor;
        let (b0, b1) = (c.across(), s.across());
        let spread = 10.0 * c.wall / b0;
        Sizes {
            fy0,
            fy1,
            t0: c.wall,
            t1: s.wall,
            b0,
            b1,
            h1: s.depth(),
            gamma: b0 / (2.0 * c.wall),
            sin: b.angle.sin(),
            round: if s.round() { FRAC_PI_4 } else { 1.0 },
            effective: (spread * fy0 * c.wall / (fy1 * s.wall) * b1).min(b1),
            punched: (spread * b1).min(b1),
        }
    }

    fn punching(&self, beta: f64, width: f64) -> Option<Resistance> {
        let value = self.round * self.fy0 * self.t0 / (3.0_f64.sqrt() * self.sin) * (2.0 * self.h1 / self.sin + width);
        (beta <= 1.0 - 1.0 / self.gamma).then_some(Resistance { mode: Mode::Punching, value })
    }

    fn brace(&self, width: f64) -> Resistance {
        let value = self.round * self.fy1 * self.t1 * (2.0 * self.h1 - 4.0 * self.t1 + width);
        Resistance { mode: Mode::Brace, value }
    }
}

/// T, Y or X (tables 7.10 and 7.11).
fn tee_or_cross(look: &Look, b: &Brace, cross: bool) -> Vec<Resistance> {
    let z = Sizes::new(look, b);
    let c = &look.chord;
    let beta = z.b1 / z.b0;
    let k = k_n(look.all, beta);
    let face = |beta: f64| {
        let (eta, rest) = (z.h1 / z.b0, 1.0 - beta);
        z.round * k * z.fy0 * z.t0 * z.t0 / (rest * z.sin) * (2.0 * eta / z.sin + 4.0 * rest.sqrt())
    };
    let shear = || z.fy0 * shear_area(c, None, b.section.round()) / (3.0_f64.sqrt() * z.sin);
    let sheared = cross && b.angle.cos().abs() > z.h1 / c.depth();
    let mut out = Vec::new();
    if beta <= NARROW {
        out.push(Resistance { mode: Mode::ChordFace, value: face(beta) });
    } else {
        let strength = match (b.tension < 0.0, cross) {
            (false, _) => z.fy0,
            (true, false) => side_wall_buckling(c, z.sin) * z.fy0,
            (true, true) => 0.8 * side_wall_buckling(c, z.sin) * z.fy0 * z.sin,
        };
        let walls = z.round * k * strength * z.t0 / z.sin * (2.0 * z.h1 / z.sin + 10.0 * z.t0);
        let walls = if sheared { walls.min(shear()) } else { walls };
        let part = (beta - NARROW) / (1.0 - NARROW);
        out.push(Resistance { mode: Mode::SideWalls, value: face(NARROW) * (1.0 - part) + walls * part });
        out.push(z.brace(2.0 * z.effective));
        out.extend(z.punching(beta, 2.0 * z.punched));
    }
    if sheared {
        out.push(Resistance { mode: Mode::ChordShear, value: shear() });
    }
    out
}

/// Resistances to a brace's force.
pub(crate) fn parts(look: &Look, node: &Node, side: &Side, i: usize, s: &Shares) -> Result<Vec<Part>, NotChecked> {
    let b = &node.braces[i];
    // What the chord's own stress leaves is nothing long before it yields, if the brace is narrow.
    let beta = if s.kay > 0.0 { mean(node, &side.braces) } else { b.section.across() } / look.chord.across();
    let most = NOTHING_LEFT * beta;
    ratio("n", &node.chord.name, "EN 1993-1-8, table 7.10").hold(look.all, None, Some(most))?;
    let mut out = Vec::new();
    if s.kay > 0.0 {
        out.extend(gapped(look, node, side, i, s.kay)?);
    }
    if s.cross > 0.0 {
        out.extend(part(Kind::X, s.cross, tee_or_cross(look, b, true)));
    }
    if s.tee > 0.0 || out.is_empty() {
        out.extend(part(tee(b), s.tee, tee_or_cross(look, b, false)));
    }
    Ok(out)
}

/// K or N with a gap (tables 7.8, 7.10, 7.12).
fn gapped(look: &Look, node: &Node, side: &Side, i: usize, force: f64) -> Result<Option<Part>, NotChecked> {
    let c = &look.chord;
    let chord = &node.chord.name;
    let k = kay(node, side, c.depth())?;
    if k.kind == Kind::KT {
        return Err(NotChecked::new(
            "three braces on a box",
            format!("three braces on one side of the box chord {chord} balance one another"),
            "EN 1993-1-8, table 7.15",
        ));
    }
    let b = &node.braces[i];
    let z = Sizes::new(look, b);
    let table = "EN 1993-1-8, table 7.8";
    if !b.section.round() {
        let least = (0.1 + 0.01 * z.b0 / z.t0).max(0.35);
        ratio("b1/b0 with K", &b.name, table).hold(z.b1 / z.b0, Some(least), None)?;
    }
    let beta = mean(node, &side.braces) / z.b0;
    // The upper limit was seen to when the side was ordered: beyond it there is no K.
    ratio("g/b0", chord, table).hold(k.gap / z.b0, Some(0.5 * (1.0 - beta)), None)?;
    let face = z.round * 8.9 * k_n(look.all, beta) * z.fy0 * z.t0 * z.t0 * z.gamma.sqrt() * beta / z.sin;
    let round = side.braces.iter().any(|&j| node.braces[j].section.round());
    let shear = z.fy0 * shear_area(c, Some(k.gap), round) / (3.0_f64.sqrt() * z.sin);
    let mut modes = vec![
        Resistance { mode: Mode::ChordFace, value: face },
        Resistance { mode: Mode::ChordShear, value: shear },
        z.brace(z.b1 + z.effective),
    ];
    modes.extend(z.punching(beta, z.b1 + z.punched));
    Ok(part(k.kind, force, modes))
}

/// Resistances to moments in the plane and across it (table 7.14).
pub(crate) fn moments(look: &Look, b: &Brace, s: &Shares) -> [Result<Vec<Resistance>, NotChecked>; 2] {
    let table = "EN 1993-1-8, table 7.14";
    let none = |why: &str| {
        let e = NotChecked::new("a moment that no formula covers", format!("{} is bent {why}", b.name), table);
        [Err(e.clone()), Err(e)]
    };
    if b.section.round() {
        return none("and round on a box chord");
    }
    if (b.angle - FRAC_PI_2).abs() > SQUARE {
        return none("and does not stand square on its box chord");
    }
    if s.kay > 0.0 {
        return none("and balanced by a brace beside it on a box chord");
    }
    let z = Sizes::new(look, b);
    let c = &look.chord;
    let (t0, b0, h0, b1, h1) = (z.t0, z.b0, c.depth(), z.b1, z.h1);
    let (beta, eta) = (b1 / b0, h1 / b0);
    let unit = k_n(look.all, beta) * z.fy0 * t0 * t0;
    let mut out: [Vec<Resistance>; 2];
    if beta <= NARROW {
        let rest = 1.0 - beta;
        let ip = unit * h1 * (1.0 / (2.0 * eta) + 2.0 / rest.sqrt() + eta / rest);
        let op = unit * (h1 * (1.0 + beta) / (2.0 * rest) + (2.0 * b0 * b1 * (1.0 + beta) / rest).sqrt());
        out = [ip, op].map(|value| vec![Resistance { mode: Mode::ChordFace, value }]);
    } else {
        let fyk = z.fy0 * if s.cross > 0.0 { 0.8 } else { 1.0 };
        let foot = h1 + 5.0 * t0;
        let lost = 1.0 - z.effective / b1;
        let walls = [0.5 * fyk * t0 * foot * foot, fyk * t0 * (b0 - t0) * foot];
        let brace = [
            z.fy1 * (b.section.plastic[0] - lost * b1 * (h1 - z.t1) * z.t1),
            z.fy1 * (b.section.plastic[1] - 0.5 * lost * lost * b1 * b1 * z.t1),
        ];
        out = [0, 1].map(|k| {
            vec![
                Resistance { mode: Mode::SideWalls, value: walls[k] },
                Resistance { mode: Mode::Brace, value: brace[k] },
            ]
        });
    }
    if s.cross == 0.0 {
        let value = 2.0 * z.fy0 * t0 * (h1 * t0 + (b0 * h0 * t0 * (b0 + h0)).sqrt());
        out[1].push(Resistance { mode: Mode::Distortion, value });
    }
    out.map(Ok)
}
