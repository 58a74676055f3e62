//! Round braces on a round chord: EN 1993-1-8, tables 7.2, 7.5 and 7.6, from memory.

use std::f64::consts::PI;

use super::classify::{Shares, Side, kay, mean, part, tee};
use super::range::{NotChecked, ratio};
use super::{Brace, Kind, Look, Mode, Node, Part, Resistance};

/// d₀/t₀ of a chord with X braces (table 7.1).
const STOUT: f64 = 40.0;

/// k_p: what the chord's own stress leaves; n_p pressed positive.
pub(crate) fn k_p(n: f64) -> f64 {
    if n > 0.0 { (1.0 - 0.3 * n * (1.0 + n)).min(1.0) } else { 1.0 }
}

/// k_g: what a gap (negative: an overlap) g/t₀ gives.
pub(crate) fn k_g(gamma: f64, gap: f64) -> f64 {
    gamma.powf(0.2) * (1.0 + 0.024 * gamma.powf(1.2) / (1.0 + (0.5 * gap - 1.33).exp()))
}

struct Sizes {
    /// f_y0 t₀² with all factors.
    unit: f64,
    /// f_y0/√3 t₀ with all factors.
    shear: f64,
    k_p: f64,
    gamma: f64,
    d0: f64,
    t0: f64,
}

impl Sizes {
    fn new(look: &Look) -> Sizes {
        let (s, fy) = (&look.chord, look.chord.steel.yield_strength * look.factor);
        Sizes {
            unit: fy * s.wall * s.wall,
            shear: fy / 3.0_f64.sqrt() * s.wall,
            k_p: k_p(look.others),
            gamma: s.across() / (2.0 * s.wall),
            d0: s.across(),
            t0: s.wall,
        }
    }

    /// Whether a brace's whole edge lies within the chord's walls, so that it can be punched through.
    fn can_punch(&self, b: &Brace) -> bool {
        b.section.across() <= self.d0 - 2.0 * self.t0
    }
}

/// Resistances to a brace's force.
pub(crate) fn parts(look: &Look, node: &Node, side: &Side, i: usize, s: &Shares) -> Result<Vec<Part>, NotChecked> {
    let z = Sizes::new(look);
    let b = &node.braces[i];
    let sin = b.angle.sin();
    let beta = b.section.across() / z.d0;
    let punch = || {
        let value = z.shear * PI * b.section.across() * (1.0 + sin) / (2.0 * sin * sin);
        z.can_punch(b).then_some(Resistance { mode: Mode::Punching, value })
    };
    let face = |value: f64| Resistance { mode: Mode::ChordFace, value };
    let mut out = Vec::new();
    if s.kay > 0.0 {
        let k = kay(node, side, z.d0)?;
        let d = match k.pressed {
            Some(p) => node.braces[p].section.across(),
            None => mean(node, &side.braces),
        };
        let value = k_g(z.gamma, k.gap / z.t0) * z.k_p * z.unit * (1.8 + 10.2 * d / z.d0) / sin;
        let over = side.braces.windows(2).zip(&side.gaps).any(|(w, &g)| g < 0.0 && w.contains(&i));
        let modes = [face(value)].into_iter().chain(punch().filter(|_| !over)).collect();
        out.extend(part(k.kind, s.kay, modes));
    }
    if s.cross > 0.0 {
        let chord = &node.chord.name;
        ratio("d0/t0 with X", chord, "EN 1993-1-8, table 7.1").hold(z.d0 / z.t0, None, Some(STOUT))?;
        let value = z.k_p * z.unit * 5.2 / ((1.0 - 0.81 * beta) * sin);
        out.extend(part(Kind::X, s.cross, [face(value)].into_iter().chain(punch()).collect()));
    }
    if s.tee > 0.0 || out.is_empty() {
        let value = z.gamma.powf(0.2) * z.k_p * z.unit * (2.8 + 14.2 * beta * beta) / sin;
        out.extend(part(tee(b), s.tee, [face(value)].into_iter().chain(punch()).collect()));
    }
    Ok(out)
}

/// Resistances to moments in the plane and across it.
pub(crate) fn moments(look: &Look, b: &Brace) -> [Result<Vec<Resistance>, NotChecked>; 2] {
    let z = Sizes::new(look);
    let (sin, d) = (b.angle.sin(), b.section.across());
    let beta = d / z.d0;
    let faces = [4.85 * z.gamma.sqrt() * beta, 2.7 / (1.0 - 0.81 * beta)].map(|k| k * z.unit * d * z.k_p / sin);
    let punches = [1.0 + 3.0 * sin, 3.0 + sin].map(|k| z.shear * d * d * k / (4.0 * sin * sin));
    [0, 1].map(|k| {
        let mut modes = vec![Resistance { mode: Mode::ChordFace, value: faces[k] }];
        if z.can_punch(b) {
            modes.push(Resistance { mode: Mode::Punching, value: punches[k] });
        }
        Ok(modes)
    })
}
