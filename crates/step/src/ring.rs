//! The two edges of a wall's cross-section, outside and bore, in pieces that need no seam.

use std::f64::consts::{FRAC_PI_2, PI};

use geometry::{DVec2, Frame, Outline};

use crate::brep::Surface;

/// Sides and corners shorter than this are none, m.
const NONE: f64 = 1e-9;

/// A part of a ring: half a circle, a side or a corner.
#[derive(Clone, Copy, Debug)]
pub struct Part {
    /// Distance round at which it starts.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    kind: Kind,
}

#[derive(Clone, Copy, Debug)]
enum Kind {
    Bow { centre: DVec2, r: f64 },
    Side { normal: DVec2 },
}

/// A closed outline in parts, run through anticlockwise: towards `v` from `u`.
#[derive(Clone, Debug)]
pub struct Ring {
    /// The outline.
    pub outline: Outline,
    /// Its parts, by rising distance round; the last ends where the first starts, a perimeter on.
    pub parts: Vec<Part>,
}

impl Ring {
    /// A circle is halved at the scribe line and opposite it, so that no face runs into itself.
    pub fn new(outline: Outline) -> Ring {
        let parts = match outline {
            Outline::Circle { r } => [0.0, 1.0]
                .map(|k| Part { from: k * PI * r, to: (k + 1.0) * PI * r, kind: Kind::Bow { centre: DVec2::ZERO, r } })
                .to_vec(),
            Outline::RoundRect { half_x, half_y, r } => {
                let mut at = half_y - r;
                let mut out = Vec::new();
                for k in 0..4 {
                    let (sx, sy) = [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)][k];
                    let bow = FRAC_PI_2 * r;
                    if bow > NONE {
                        let centre = DVec2::new((half_x - r) * sx, (half_y - r) * sy);
                        out.push(Part { from: at, to: at + bow, kind: Kind::Bow { centre, r } });
                    }
                    at += bow.max(0.0);
                    let side = 2.0 * if k % 2 == 0 { half_x - r } else { half_y - r };
                    if side > NONE {
                        let normal = [DVec2::Y, DVec2::NEG_X, DVec2::NEG_Y, DVec2::X][k];
                        out.push(Part { from: at, to: at + side, kind: Kind::Side { normal } });
                    }
                    at += side.max(0.0);
                }
                out
            }
        };
        Ring { outline, parts }
    }

    /// The place at a distance round.
    pub fn at(&self, d: f64) -> DVec2 {
        self.outline.point(self.outline.station(d))
    }

    /// Distance round at which the first part starts.
    pub fn start(&self) -> f64 {
        self.parts.first().map_or(0.0, |p| p.from)
    }
}

impl Part {
    /// Half of its length round, on a bow half its angle.
    pub fn middle(&self) -> f64 {
        0.5 * (self.from + self.to)
    }

    /// Radius and centre, unless it is straight.
    pub fn bow(&self) -> Option<(DVec2, f64)> {
        match self.kind {
            Kind::Bow { centre, r } => Some((centre, r)),
            Kind::Side { .. } => None,
        }
    }

    /// What it sweeps along a frame's tangent; the normal points out of the outline.
    pub fn swept(&self, ring: &Ring, f: &Frame) -> Surface {
        let middle = ring.at(self.middle());
        match self.kind {
            Kind::Bow { centre, r } => {
                let away = centre - middle;
                let x = (f.u * away.x + f.v * away.y).normalize_or_zero();
                Surface::Cylinder { origin: f.place(centre), axis: f.t, x, r }
            }
            Kind::Side { normal } => {
                Surface::Plane { origin: f.place(middle), normal: f.u * normal.x + f.v * normal.y }
            }
        }
    }
}
