//! What of a surface can be on its outline.

use std::ops::Range;

use geometry::DVec3;
use mesh::Sides;

/// Edges of a surface that may be on its outline as seen along a line.
///
/// An edge between two triangles is on the outline only if both lie to the same side of it as seen. Rims, edges between
/// parts, and edges where three triangles or more meet always may be.
#[derive(Clone, Debug, Default)]
pub struct Contour {
    folds: Vec<Fold>,
    /// For each part its folds: those that must be asked, and those that are settled for lines nearly along y.
    parts: Vec<(Range<usize>, Range<usize>)>,
}

/// An edge and the normals of its two triangles, turned as if both lay to the same side; zero where it is always on the
/// outline.
#[derive(Clone, Copy, Debug)]
struct Fold {
    corners: [u32; 2],
    normals: [[f32; 3]; 2],
}

/// Sines of angles less than this count as zero: well over the rounding of single precision, in which normals are kept.
const EDGE_ON: f64 = 1e-6;
/// Triangles that bend by less than this (sine) are one plane: a micrometre over ten kilometres of them.
const FLAT: f64 = 1e-10;
/// Lines within this of y (sine, about 11 degrees) are nearly along it: cars stand with less roll and yaw.
const NEARLY: f64 = 0.2;

impl Contour {
    pub(super) fn new(vertices: &[DVec3], triangles: &[[u32; 3]], parts: &[mesh::Part], sides: &Sides) -> Contour {
        let part_of = |t: usize| parts.iter().position(|p| p.range.contains(&t)).unwrap_or(0);
        let single = parts.len() == 1;
        let mut of_parts: Vec<[Vec<Fold>; 2]> = vec![Default::default(); parts.len()];
        let mut met: Vec<(usize, DVec3)> = Vec::new();
        for e in sides.edges() {
            let [a, b] = e.corners.map(|i| vertices[i as usize]);
            let along = b - a;
            met.clear();
            met.extend(e.triangles().map(|(t, off)| {
                let away = vertices[triangles[t][off] as usize] - a;
                (if single { 0 } else { part_of(t) }, along.cross(away).normalize_or_zero())
            }));
            met.sort_by_key(|m| m.0);
            for same in met.chunk_by(|a, b| a.0 == b.0) {
                let fold = |normals: [DVec3; 2]| Fold {
                    corners: e.corners,
                    normals: normals.map(|n| n.to_array().map(|v| v as f32)),
                };
                let (settled, fold) = match *same {
                    [(_, m), (_, n)] => {
                        if m.dot(n) < 0.0 && m.cross(n).length() < FLAT {
                            continue;
                        }
                        let lean = NEARLY + EDGE_ON;
                        (m.y * n.y < 0.0 && m.y.abs().min(n.y.abs()) > lean, fold([m, n]))
                    }
                    _ => (false, fold([DVec3::ZERO; 2])),
                };
                of_parts[same[0].0][usize::from(settled)].push(fold);
            }
        }
        let mut out = Contour::default();
        for [asked, settled] in of_parts {
            let from = out.folds.len();
            out.folds.extend(asked);
            let mid = out.folds.len();
            out.folds.extend(settled);
            out.parts.push((from..mid, mid..out.folds.len()));
        }
        out
    }

    /// Corners of the edges of a part that may be on its outline as seen along `across` (unit): all that are, and a few
    /// more where triangles are seen edge-on.
    pub(super) fn edges(&self, part: usize, across: DVec3) -> impl Iterator<Item = [u32; 2]> {
        let (asked, settled) = self.parts.get(part).cloned().unwrap_or_default();
        let nearly = across.x.hypot(across.z) <= NEARLY;
        let settled = if nearly { 0..0 } else { settled };
        let seen = move |n: [f32; 3]| DVec3::from_array(n.map(f64::from)).dot(across);
        self.folds[asked].iter().chain(&self.folds[settled]).filter_map(move |f| {
            let [p, q] = f.normals.map(seen);
            (p * q >= 0.0 || p.abs() < EDGE_ON || q.abs() < EDGE_ON).then_some(f.corners)
        })
    }
}
