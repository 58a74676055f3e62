//! What hides what: whether a place can be seen from far away in one direction.

use geometry::{DVec3, Frame, Outline, Segment};
use glam::DVec2;
use review::Review;
use shape::{Plate, Tube};

/// Bodies hide a little less than they fill, m: so that no line on a surface is hidden by that very surface, whose arcs
/// are taken as chords.
const SKIN: f64 = 3e-4;
/// Chords stray from their arcs by at most this, m: a third of the skin.
const SAGITTA: f64 = 1e-4;
/// Side of a cell of the page in which what may hide is listed, mm.
const CELL: f64 = 8.0;
/// Places along a ray within a tube's end at which it is looked whether the tube still reaches there.
const LOOKS: u32 = 6;

/// Something opaque.
enum Part<'a> {
    /// A straight stretch of tube.
    Prism { frame: Frame, length: f64, inside: Outline, tube: &'a Tube, cuts: [Option<&'a cutting::Profile>; 2] },
    /// A plate.
    Plate(&'a Plate, usize),
}

/// Everything opaque in a frame, seen from one side.
pub struct Scene<'a> {
    parts: Vec<Part<'a>>,
    cells: Vec<Vec<usize>>,
    columns: usize,
    low: DVec2,
    cell: f64,
    eye: DVec3,
    right: DVec3,
    down: DVec3,
}

impl<'a> Scene<'a> {
    /// The scene looked at with `right` to the right and `up` upwards on the page, at a scale in mm of paper to a
    /// metre.
    pub fn new(r: &'a Review, right: DVec3, up: DVec3, scale: f64) -> Scene<'a> {
        let mut parts = Vec::new();
        for (i, t) in r.shape.tubes.iter().enumerate() {
            let piece = r.cutting.pieces.iter().find(|p| p.tube == i);
            let inside = t.outline.grown(-SKIN);
            for (k, seg) in t.chain.segments.iter().enumerate() {
                let cut = |end: usize| piece.map(|p| &p.ends[end].profile).filter(|c| !c.open);
                let first = if k == 0 { cut(0) } else { None };
                let last = if k + 1 == t.chain.segments.len() { cut(1) } else { None };
                match *seg {
                    Segment::Leg { length, .. } => {
                        parts.push(Part::Prism { frame: t.frames[k], length, inside, tube: t, cuts: [first, last] })
                    }
                    Segment::Arc { centre, axis, start, radius, sweep } => {
                        let step = 2.0 * (1.0 - SAGITTA / radius).clamp(0.0, 1.0).acos();
                        let n = (sweep / step).ceil().max(1.0);
                        for j in 0..n as usize {
                            // The frame at the middle of the chord, moved back to its start.
                            let a = sweep * (j as f64 + 0.5) / n;
                            let at = centre + (start * a.cos() + axis.cross(start) * a.sin()) * radius;
                            let f = t.frames[k].turned(axis, a);
                            let length = radius * sweep / n;
                            parts.push(Part::Prism {
                                frame: f.at(at - f.t * (length / 2.0)),
                                length,
                                inside,
                                tube: t,
                                cuts: [None, None],
                            });
                        }
                    }
                }
            }
        }
        parts.extend(r.shape.plates.iter().enumerate().map(|(i, p)| Part::Plate(p, i)));
        let mut scene = Scene {
            parts,
            cells: Vec::new(),
            columns: 1,
            low: DVec2::ZERO,
            cell: CELL / scale,
            eye: right.cross(up),
            right,
            down: -up,
        };
        scene.sort_in();
        scene
    }

    fn flat(&self, p: DVec3) -> DVec2 {
        DVec2::new(p.dot(self.right), p.dot(self.down))
    }

    /// Lists each part in every cell of the page that it may cover.
    fn sort_in(&mut self) {
        let boxes: Vec<[DVec2; 2]> = self.parts.iter().map(|p| self.extent(p)).collect();
        let low = boxes.iter().fold(DVec2::INFINITY, |a, b| a.min(b[0]));
        let high = boxes.iter().fold(DVec2::NEG_INFINITY, |a, b| a.max(b[1]));
        if !low.is_finite() || !high.is_finite() {
            return;
        }
        let count = |d: f64| ((d / self.cell).floor() as usize).min(400) + 1;
        let (columns, rows) = (count(high.x - low.x), count(high.y - low.y));
        let mut cells = vec![Vec::new(); columns * rows];
        for (i, [a, b]) in boxes.iter().enumerate() {
            let (a, b) = ((*a - low) / self.cell, (*b - low) / self.cell);
            for y in a.y as usize..=(b.y as usize).min(rows - 1) {
                for x in a.x as usize..=(b.x as usize).min(columns - 1) {
                    cells[y * columns + x].push(i);
                }
            }
        }
        (self.cells, self.columns, self.low) = (cells, columns, low);
    }

    fn extent(&self, part: &Part) -> [DVec2; 2] {
        let all: Vec<(DVec2, DVec2)> = match part {
            Part::Prism { frame, length, inside, cuts, .. } => {
                let grow =
                    DVec2::new(inside.support(frame.across(self.right)), inside.support(frame.across(self.down)));
                let over = |k: usize| cuts[k].map_or(0.0, |c| c.long.max(0.0));
                [-over(0), length + over(1)].map(|s| (self.flat(frame.origin + frame.t * s), grow)).to_vec()
            }
            Part::Plate(p, _) => p.corners.iter().map(|c| (self.flat(p.place(*c, 0.0)), DVec2::ZERO)).collect(),
        };
        all.iter().fold([DVec2::INFINITY, DVec2::NEG_INFINITY], |[a, b], (c, g)| [a.min(c - g), b.max(c + g)])
    }

    /// Whether nothing stands between a place and the eye. A plate, by its index, may be looked through.
    pub fn sees(&self, p: DVec3, through: Option<usize>) -> bool {
        let at = (self.flat(p) - self.low) / self.cell;
        if at.min_element() < 0.0 || at.x as usize >= self.columns {
            return true;
        }
        let cell = self.cells.get(at.y as usize * self.columns + at.x as usize);
        !cell.is_some_and(|c| c.iter().any(|&i| self.hides(&self.parts[i], p, through)))
    }

    fn hides(&self, part: &Part, p: DVec3, through: Option<usize>) -> bool {
        match part {
            Part::Prism { frame, length, inside, tube, cuts } => prism(frame, *length, inside, tube, cuts, p, self.eye),
            Part::Plate(plate, i) => Some(*i) != through && in_front(plate, p, self.eye),
        }
    }
}

/// Whether a ray from `p` along `eye` passes through a stretch of tube.
fn prism(
    f: &Frame,
    length: f64,
    inside: &Outline,
    tube: &Tube,
    cuts: &[Option<&cutting::Profile>; 2],
    p: DVec3,
    eye: DVec3,
) -> bool {
    let o = f.local(p);
    let (across, along) = (f.across(eye), eye.dot(f.t));
    let q = DVec2::new(o.y, o.z);
    let over = |k: usize| cuts[k].map_or(0.0, |c| c.long.max(0.0));
    let (lo, hi) = (-over(0), length + over(1));
    let Some((mut a, mut b)) = (if across.length() < geometry::PARALLEL {
        (inside.depth(q) > 0.0).then_some((0.0, f64::INFINITY))
    } else {
        inside.crossing(q, across)
    }) else {
        return false;
    };
    if along.abs() < geometry::PARALLEL {
        if !(lo..=hi).contains(&o.x) {
            return false;
        }
    } else {
        let (s, e) = ((lo - o.x) / along, (hi - o.x) / along);
        (a, b) = (a.max(s.min(e)), b.min(s.max(e)));
    }
    a = a.max(SKIN);
    if a >= b {
        return false;
    }
    if cuts.iter().all(Option::is_none) {
        return true;
    }
    // The ends are cut aslant or hollow: some part of the ray must lie where there is tube.
    (0..LOOKS).any(|k| {
        let s = a + (b - a) * (f64::from(k) + 0.5) / f64::from(LOOKS);
        let (x, q) = (o.x + along * s, q + across * s);
        let reach = |k: usize| cuts[k].map_or(0.0, |c| limit(c, &tube.outline, q));
        x > SKIN - reach(0) && x < length + reach(1) - SKIN
    })
}

/// How far a tube reaches beyond its end point at a place of its cross-section, m.
pub fn limit(cut: &cutting::Profile, outline: &Outline, q: DVec2) -> f64 {
    let round = outline.distance_towards(q);
    let k = cut.fibres.partition_point(|f| f.round <= round);
    let n = cut.fibres.len();
    if n == 0 {
        return 0.0;
    }
    let (a, b) = (&cut.fibres[(k + n - 1) % n], &cut.fibres[k % n]);
    let span = (b.round - a.round).rem_euclid(outline.perimeter());
    let part =
        if span > 0.0 { ((round - a.round).rem_euclid(outline.perimeter()) / span).clamp(0.0, 1.0) } else { 0.0 };
    a.outer + (b.outer - a.outer) * part
}

/// Whether a plate stands between a place and the eye.
fn in_front(plate: &Plate, p: DVec3, eye: DVec3) -> bool {
    let toward = eye.dot(plate.frame.t);
    if toward.abs() < geometry::PARALLEL {
        return false;
    }
    let middle = 0.5 * (plate.faces.0 + plate.faces.1);
    let s = (middle - (p - plate.frame.origin).dot(plate.frame.t)) / toward;
    // What lies in or on the plate itself is seen.
    if s * toward.abs() < plate.thickness {
        return false;
    }
    let q = plate.frame.across(p + eye * s - plate.frame.origin);
    within(&plate.corners, q) && plate.holes.iter().all(|(c, d)| c.distance(q) > d / 2.0)
}

/// Whether a point lies within a closed polygon: the even-odd rule.
pub fn within(corners: &[DVec2], q: DVec2) -> bool {
    let n = corners.len();
    (0..n)
        .filter(|&i| {
            let (a, b) = (corners[i], corners[(i + 1) % n]);
            (a.y > q.y) != (b.y > q.y) && q.x < a.x + (b.x - a.x) * (q.y - a.y) / (b.y - a.y)
        })
        .count()
        % 2
        == 1
}
