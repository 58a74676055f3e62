//! The piece's number, cut into a saddle's flank in strokes.

use geometry::{DVec2, polygon};

use super::place::{Block, Slot};
use super::prism;
use super::solid::Half;
use design::Jig;

/// Heights of digits that are tried, m: from easily read to the least that a common nozzle draws.
const HEIGHTS: [f64; 4] = [8e-3, 6e-3, 4.5e-3, 3.5e-3];
/// Width, stroke and the gap between strokes, as parts of the height.
const WIDTH: f64 = 0.55;
const STROKE: f64 = 0.15;
const GAP: f64 = 0.05;
/// From one digit to the next, as a part of the height.
const PITCH: f64 = 0.75;
/// From the number to any edge, m.
const EDGE: f64 = 1e-3;
/// Places tried along each side of the block.
const TRIES: usize = 24;

/// Strokes of a digit: top, upper right, lower right, bottom, lower left, upper left, middle.
const STROKES: [u8; 10] =
    [0b0111111, 0b0000110, 0b1011011, 0b1001111, 0b1100110, 0b1101101, 0b1111101, 0b0000111, 0b1111111, 0b1101111];

/// Lower left and upper right corner of a stroke, for a digit of height 1.
fn stroke(k: usize) -> (DVec2, DVec2) {
    let (w, s, g) = (WIDTH, STROKE, GAP);
    let flat = |y: f64| (DVec2::new(s + g, y), DVec2::new(w - s - g, y + s));
    let up = |x: f64, y: f64| (DVec2::new(x, y), DVec2::new(x + s, y + 0.5 - g / 2.0));
    match k {
        0 => flat(1.0 - s),
        1 => up(w - s, 0.5 + g / 2.0),
        2 => up(w - s, 0.0),
        3 => flat(0.0),
        4 => up(0.0, 0.0),
        5 => up(0.0, 0.5 + g / 2.0),
        _ => flat(0.5 - s / 2.0),
    }
}

fn rectangle(lo: DVec2, hi: DVec2) -> [DVec2; 4] {
    [lo, DVec2::new(hi.x, lo.y), hi, DVec2::new(lo.x, hi.y)]
}

/// Whether a side of one of two convex figures keeps them apart by a distance.
fn apart(p: &[DVec2], q: &[DVec2], by: f64) -> bool {
    let splits = |p: &[DVec2], q: &[DVec2]| {
        polygon::edges(p).any(|(a, b)| {
            let d = (b - a).normalize_or_zero();
            q.iter().all(|c| d.perp_dot(*c - a) < -by)
        })
    };
    splits(p, q) || splits(q, p)
}

/// Cutters for the number on the flank at the high end of b, or none if there is no room.
pub fn engrave(block: &Block, slots: &[Slot], number: usize, print: &Jig) -> Vec<Vec<Half>> {
    let text = number.to_string();
    let (lo, hi) =
        block.polygon.iter().fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |(a, b), p| (a.min(*p), b.max(*p)));
    let [p, _] = block.axis.map(|x| x.truncate());
    let s = block.support.truncate();
    for height in HEIGHTS {
        let size = DVec2::new(height * (PITCH * (text.len() - 1) as f64 + WIDTH), height);
        // The place nearest the middle of the flank.
        let mut best: Option<(f64, DVec2)> = None;
        for i in 0..=TRIES * TRIES {
            let part = DVec2::new((i % TRIES) as f64, (i / TRIES) as f64) / (TRIES - 1) as f64;
            let at = lo + (hi - lo - size) * part;
            let r = rectangle(at, at + size);
            let far = (at + size / 2.0 - (lo + hi) / 2.0).length();
            let free = block.holds(&r, EDGE)
                && r.iter().all(|c| (*c - p).dot(s) > block.deep + EDGE)
                && slots.iter().all(|t| apart(&t.corners, &r, EDGE));
            if free && best.is_none_or(|b| far < b.0) {
                best = Some((far, at));
            }
        }
        let Some((_, at)) = best else { continue };
        let mut out = Vec::new();
        for (i, c) in text.bytes().enumerate() {
            let from = at + DVec2::X * (height * PITCH * i as f64);
            for k in (0..7).filter(|k| STROKES[(c - b'0') as usize] & (1 << k) != 0) {
                let (a, b) = stroke(k);
                out.push(prism(
                    &rectangle(from + a * height, from + b * height),
                    block.high - print.engrave,
                    block.high + print.wall,
                ));
            }
        }
        return out;
    }
    Vec::new()
}
