//! Closed triangle meshes of the cut pieces and the plates.

mod plates;

use cutting::profile::EndRays;
use cutting::{Piece, plan, solids};
use geometry::{DVec2, DVec3, Frame, Outline, Segment};
use review::Review;
use shape::{End, Tube};

/// A closed surface; triangles run anticlockwise seen from outside.
#[derive(Clone, Debug, Default)]
pub struct Body {
    /// Name of the piece or plate.
    pub name: String,
    /// What it is made of: its section and steel, or `plate` and steel.
    pub group: String,
    /// Points, m.
    pub points: Vec<DVec3>,
    /// Corners of triangles.
    pub triangles: Vec<[u32; 3]>,
}

impl Body {
    /// Volume enclosed, m³; positive if the surface faces outward.
    pub fn volume(&self) -> f64 {
        // About a point of the body, so that bodies far from the origin lose nothing.
        let Some(o) = self.points.first().copied() else { return 0.0 };
        let p = |i: u32| self.points[i as usize] - o;
        self.triangles.iter().map(|t| p(t[0]).dot(p(t[1]).cross(p(t[2]))) / 6.0).sum()
    }
}

/// How finely curves are made of flats.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fineness {
    /// Chords of a bend's outside stray from its arc by at most this, m.
    pub sagitta: f64,
    /// Stations round a round tube and round a hole.
    pub round: usize,
    /// Stations on each side and round each corner of a box tube.
    pub side: usize,
    /// Steps through the wall across a cut face.
    pub wall: usize,
}

impl Fineness {
    /// For files. A polygon of 96 sides is 0.07 % short of its circle's area, which keeps volumes within a tenth of a
    /// percent; so do steps of 9 degrees round a corner. A coped face is hollow through the wall too: two steps leave a
    /// quarter of what one leaves.
    pub const FILE: Fineness = Fineness { sagitta: 1e-4, round: 96, side: 10, wall: 2 };
}

/// Even places round an outline, with one wherever a side becomes a corner.
fn even(outline: &Outline, fine: Fineness) -> Vec<f64> {
    let steps = if matches!(outline, Outline::Circle { .. }) { fine.round } else { fine.side };
    let mut at = 0.0;
    let mut out = Vec::new();
    for length in (0..outline.pieces()).map(|k| outline.piece_length(k)).filter(|l| *l > 0.0) {
        out.extend((0..steps).map(|k| at + length * k as f64 / steps as f64));
        at += length;
    }
    out
}

/// All pieces and plates.
pub fn frame(r: &Review, fine: Fineness) -> Vec<Body> {
    let plans = plan::plan(&r.shape);
    let all = solids::all(&r.shape, &plans);
    let mut out: Vec<Body> = r
        .cutting
        .pieces
        .iter()
        .map(|p| {
            let t = &r.shape.tubes[p.tube];
            let rays = End::BOTH.map(|e| EndRays::new(&r.shape, t, e, &plans[p.tube][e as usize], &all));
            piece(p, t, &rays, fine)
        })
        .collect();
    let d = &r.shape.design;
    out.extend(r.shape.plates.iter().map(|p| {
        let steel = &d.materials[d.plates[p.id.0].material.0].name;
        Body { group: format!("plate, {steel}"), ..plates::plate(p, fine) }
    }));
    out
}

/// On either side of a place where a cut goes from one tube to another, at which it may jump, the mesh has a station
/// this far off, m. Single precision holds a place in a frame to a quarter of a micrometre, so the two stay apart.
const ASIDE: f64 = 5e-6;
/// Even stations this near to such a place are left out, m: they would only make slivers.
const CLEAR: f64 = 1e-4;

/// Places round the tube at which both ends have a point: even ones, and both sides of where either end's cut goes from
/// one tube to another.
fn rounds(p: &Piece, t: &Tube, fine: Fineness) -> Vec<f64> {
    let total = t.outline.perimeter();
    let apart = |a: f64, b: f64| {
        let d = (a - b).abs();
        d.min(total - d)
    };
    let mut all: Vec<f64> = Vec::new();
    for e in &p.ends {
        let f = &e.profile.fibres;
        for (a, b) in f.iter().zip(f.iter().cycle().skip(1)) {
            if a.host != b.host {
                for x in [(a.round - ASIDE).rem_euclid(total), (b.round + ASIDE).rem_euclid(total)] {
                    if all.iter().all(|y| apart(x, *y) >= ASIDE) {
                        all.push(x);
                    }
                }
            }
        }
    }
    let changes = all.len();
    for x in even(&t.outline, fine) {
        if all[..changes].iter().all(|y| apart(x, *y) >= CLEAR) {
            all.push(x);
        }
    }
    all.sort_by(f64::total_cmp);
    all
}

/// The mesh of a piece: rings of outside and inside points along the tube, and a face through the wall at each end.
fn piece(p: &Piece, t: &Tube, rays: &[EndRays; 2], fine: Fineness) -> Body {
    let rounds = rounds(p, t, fine);
    let walls: Vec<(DVec2, DVec2)> = rounds.iter().map(|&d| rays[0].wall(t.outline.station(d))).collect();
    // Frames between the ends: at the seams of legs and arcs, and along arcs.
    let mut rings: Vec<Frame> = Vec::new();
    for (k, seg) in t.chain.segments.iter().enumerate() {
        if let Segment::Arc { axis, radius, sweep, .. } = *seg {
            let step = 2.0 * (1.0 - fine.sagitta / (radius + t.outline.reach())).clamp(0.0, 1.0).acos();
            let n = (sweep / step).ceil().max(1.0) as usize;
            for i in 0..=n {
                let a = sweep * i as f64 / n as f64;
                rings.push(t.frames[k].turned(axis, a).at(seg.point(radius * a)));
            }
        }
    }
    // Two arcs may share a seam.
    rings.dedup_by(|b, a| a.origin.distance(b.origin) < 1e-9);
    let mut body = Body { name: p.name.clone(), group: format!("{}, {}", p.section, p.material), ..Body::default() };
    let n = rounds.len() as u32;
    // Fibres of an end, at a part of the way through the wall.
    let end_ring = |body: &mut Body, end: usize, part: f64| {
        body.points.extend(walls.iter().map(|(po, pi)| {
            let q = if part == 1.0 { *pi } else { po.lerp(*pi, part) };
            rays[end].place(q, rays[end].follow(q).map_or(0.0, |h| h.s))
        }));
    };
    let end_rings = |body: &mut Body, end: usize| {
        end_ring(body, end, 0.0);
        end_ring(body, end, 1.0);
    };
    end_rings(&mut body, 0);
    for f in &rings {
        body.points.extend(walls.iter().map(|w| f.place(w.0)));
        body.points.extend(walls.iter().map(|w| f.place(w.1)));
    }
    end_rings(&mut body, 1);
    let count = rings.len() as u32 + 2;
    let at = |ring: u32, inside: u32, k: u32| ring * 2 * n + inside * n + k % n;
    for ring in 0..count - 1 {
        for k in 0..n {
            let quad = |i: u32| [at(ring, i, k), at(ring, i, k + 1), at(ring + 1, i, k + 1), at(ring + 1, i, k)];
            let [a, b, c, d] = quad(0);
            // Stations run right-handed about the way from start to end: outward is a, b, c.
            body.triangles.extend([[a, b, c], [a, c, d]]);
            let [a, b, c, d] = quad(1);
            body.triangles.extend([[a, c, b], [a, d, c]]);
        }
    }
    for end in 0..2 {
        let ring = if end == 0 { 0 } else { count - 1 };
        // First points of the rings through the wall, outside to inside.
        let mut layers = vec![at(ring, 0, 0)];
        for step in 1..fine.wall {
            layers.push(body.points.len() as u32);
            let part = step as f64 / fine.wall as f64;
            end_ring(&mut body, end, part);
        }
        layers.push(at(ring, 1, 0));
        for (outer, inner) in layers.iter().zip(&layers[1..]) {
            for k in 0..n {
                let l = (k + 1) % n;
                let (a, b, c, d) = (outer + k, outer + l, inner + l, inner + k);
                // The start faces the other way.
                body.triangles.extend(if end == 0 { [[a, c, b], [a, d, c]] } else { [[a, b, c], [a, c, d]] });
            }
        }
    }
    if matches!(t.bore, Outline::RoundRect { r, .. } if r <= 0.0) {
        weld(&mut body);
    }
    body
}

/// Makes equal points one, and drops triangles that lose a corner by it.
fn weld(body: &mut Body) {
    let mut index = std::collections::HashMap::<[u64; 3], u32>::new();
    let mut points = Vec::new();
    let map: Vec<u32> = body
        .points
        .iter()
        .map(|p| {
            *index.entry(p.to_array().map(f64::to_bits)).or_insert_with(|| {
                points.push(*p);
                points.len() as u32 - 1
            })
        })
        .collect();
    body.points = points;
    body.triangles = body
        .triangles
        .iter()
        .map(|t| t.map(|i| map[i as usize]))
        .filter(|t| t[0] != t[1] && t[1] != t[2] && t[2] != t[0])
        .collect();
}
