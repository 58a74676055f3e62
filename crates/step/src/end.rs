//! The faces of a piece's end, and the edges that its sides are bounded by there.

use std::collections::HashMap;

use cutting::profile::EndRays;
use geometry::{DVec2, DVec3, Outline};
use shape::{End, Tube};

use crate::brep::{Body, Curve, Face, Surface, Use, reversed};
use crate::cells::{self, Run};
use crate::faces::{Label, Met};
use crate::lines::{Line, Trouble};
use crate::meet::{Pair, ellipse};
use crate::ring::Ring;
use crate::spline::{self, Knot, Path, Spline, Stand};
use crate::wall::{Arc, JOIN, Wall};

/// Splines lie within this of the exact edge, m: a nanometre, a ten-thousandth of what a shop can see, and no more than
/// the last digits of a fibre that runs along what it meets.
pub const EDGE: f64 = 1e-9;
/// A spline that bows less than this is a line, m.
const STRAIGHT: f64 = 1e-11;
/// Times that a section is gone round anew because a change was not seen.
const AGAIN: usize = 12;

/// An end as the sides of the piece see it.
pub struct EndFaces {
    /// For each ring and each of its parts: the path along it at this end, from where the part starts to where it ends.
    pub sides: [Vec<Vec<Use>>; 2],
    /// For each ring and each of its parts: the place at its start from which the line between the parts runs on.
    pub corners: [Vec<usize>; 2],
    /// Farthest that an edge lies from the exact one, where it was looked at, m.
    pub off: f64,
    /// Least and greatest reach of the end over its edges' nodes, m beyond the end point.
    pub reach: (f64, f64),
}

struct Builder<'a, 'b> {
    body: &'b mut Body,
    wall: &'a Wall<'a>,
    lines: &'a [Line],
    end: End,
    /// For each node: its places by rising reach.
    places: Vec<Vec<(f64, usize)>>,
    /// Straight edges between neighbouring places of a node.
    risers: HashMap<(usize, usize), Use>,
    off: f64,
}

/// Adds an end's faces and edges to a body.
pub fn end(body: &mut Body, rays: &EndRays, tube: &Tube, end: End) -> Result<EndFaces, String> {
    let rings = [Ring::new(tube.outline), Ring::new(tube.bore)];
    let mut extra: Vec<(usize, f64)> = Vec::new();
    for _ in 0..AGAIN {
        let mut wall = Wall::new(rays, rings.clone(), &extra)?;
        let lines = match wall.lines() {
            Ok(l) => l,
            Err(Trouble::Other(why)) => return Err(why),
            Err(Trouble::Unseen(ring, d)) => {
                // A narrow cell, or the end of one: look at it closely.
                extra.extend((3..10).flat_map(|k| [1.0, -1.0].map(|s| (ring, d + s * 0.1f64.powi(k)))));
                extra.extend((1..20).flat_map(|k| [1.0, -1.0].map(|s| (ring, d + s * 2e-5 * k as f64))));
                continue;
            }
        };
        let cells = cells::cells(&wall, &lines)?;
        let places = Vec::new();
        let mut b = Builder { body, wall: &wall, lines: &lines, end, places, risers: HashMap::new(), off: 0.0 };
        return b.build(&cells);
    }
    Err("the faces of the cut change more often than could be followed".to_owned())
}

impl Builder<'_, '_> {
    fn build(&mut self, cells: &[cells::Cell]) -> Result<EndFaces, String> {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for n in &self.wall.nodes {
            let mut levels: Vec<f64> = n.levels.iter().map(|m| m.s).collect();
            levels.sort_by(f64::total_cmp);
            levels.dedup_by(|b, a| *b - *a < JOIN);
            let mut here = Vec::new();
            for s in levels {
                (low, high) = (low.min(s), high.max(s));
                here.push((s, self.body.place(self.wall.rays.place(n.p, s))));
            }
            self.places.push(here);
        }
        let mut arcs: [Vec<Vec<Use>>; 2] = [Vec::new(), Vec::new()];
        for (ring, uses) in arcs.iter_mut().enumerate() {
            for a in &self.wall.arcs[ring] {
                uses.push(self.arc(ring, a)?);
            }
        }
        // Of each line: its edge on the left and on the right.
        let mut edges: Vec<[Use; 2]> = Vec::new();
        for l in self.lines {
            let left = self.line(l, true)?;
            let right = if l.crease { left } else { self.line(l, false)? };
            edges.push([left, right]);
        }
        for c in cells {
            self.cell(c, &arcs, &edges)?;
        }
        for (l, e) in self.lines.iter().zip(&edges) {
            if !l.crease {
                self.riser_face(l, *e)?;
            }
        }
        let mut sides = [Vec::new(), Vec::new()];
        let mut corners = [Vec::new(), Vec::new()];
        for ring in 0..2 {
            for part in 0..self.wall.rings[ring].parts.len() {
                let own: Vec<usize> = (0..arcs[ring].len()).filter(|&k| self.wall.arcs[ring][k].part == part).collect();
                let mut path = Vec::new();
                let (Some(&first), Some(&last)) = (own.first(), own.last()) else {
                    return Err("a side has no edge".to_owned());
                };
                let arc = |k: usize| self.wall.arcs[ring][k];
                let (first, last) = (arc(first).from, arc(last).to);
                let lowest =
                    |node: usize| self.places[node].first().map(|x| x.1).ok_or("a corner of the cut has no place");
                let (start, stop) = (lowest(first)?, lowest(last)?);
                corners[ring].push(start);
                let mut at = start;
                for &k in &own {
                    let a = arc(k);
                    let to = self.place(a.from, a.face)?;
                    path.extend(self.climb(a.from, at, to)?);
                    path.extend(&arcs[ring][k]);
                    at = self.place(a.to, a.face)?;
                }
                path.extend(self.climb(last, at, stop)?);
                sides[ring].push(path);
            }
        }
        Ok(EndFaces { sides, corners, off: self.off, reach: (low, high) })
    }

    fn level(&self, node: usize, face: Label) -> Result<Met, String> {
        let n = &self.wall.nodes[node];
        // On a ring where nothing changes there is but one.
        n.levels
            .iter()
            .find(|m| m.face == face)
            .or(if n.levels.len() == 1 { n.levels.first() } else { None })
            .copied()
            .ok_or_else(|| "a corner of the cut has no place".to_owned())
    }

    /// The place of a node on a face.
    fn place(&self, node: usize, face: Label) -> Result<usize, String> {
        let s = self.level(node, face)?.s;
        let here = &self.places[node];
        here.iter()
            .min_by(|a, b| (a.0 - s).abs().total_cmp(&(b.0 - s).abs()))
            .map(|x| x.1)
            .ok_or_else(|| "a corner of the cut has no place".to_owned())
    }

    /// Along a node's fibre from one of its places to another.
    fn climb(&mut self, node: usize, from: usize, to: usize) -> Result<Vec<Use>, String> {
        let here = self.places[node].clone();
        let index = |p: usize| here.iter().position(|x| x.1 == p).ok_or("a corner of the cut is lost");
        let (a, b) = (index(from)?, index(to)?);
        let mut out = Vec::new();
        for k in a.min(b)..a.max(b) {
            let body = &mut *self.body;
            let (low, high) = (here[k].1, here[k + 1].1);
            out.push(*self.risers.entry((node, k)).or_insert_with(|| body.line(low, high)));
        }
        Ok(if a > b { reversed(&out) } else { out })
    }

    fn arc(&mut self, ring: usize, a: &Arc) -> Result<Vec<Use>, String> {
        let r = &self.wall.rings[ring];
        let frame = self.wall.rays.frame();
        let part = &r.parts[a.part];
        let (side, cut) = (part.swept(r, &frame), self.wall.surface(a.face)?);
        let (from, to) = (self.place(a.from, a.face)?, self.place(a.to, a.face)?);
        let (p, q) = (self.body.places[from], self.body.places[to]);
        // Places between, nearer to one another towards the ends: there the edge may run along the tube.
        let n = if a.end - a.start < 1e-4 {
            1
        } else if part.bow().is_some() && matches!(self.wall.rings[ring].outline, Outline::Circle { .. }) {
            4
        } else {
            2
        };
        let pair = Pair(&side, &cut);
        let at = |t: f64| {
            let d = a.start + (a.end - a.start) * t * t * (3.0 - 2.0 * t);
            self.wall
                .meet(r.at(d))
                .filter(|m| m.face == a.face)
                .and_then(|m| pair.onto(self.wall.rays.place(r.at(d), m.s)))
        };
        let mut places = vec![p];
        places.extend((1..n).filter_map(|k| at(k as f64 / n as f64)));
        places.push(q);
        let by = at(0.5).or_else(|| pair.onto(p.midpoint(q))).unwrap_or(p);
        let curve = match ellipse(&side, &cut, p, by, q) {
            Some(c) => c,
            None => self.curve(&Round { wall: self.wall, pair, ring, face: a.face }, &places),
        };
        let Curve::Spline(s) = curve else { return Ok(vec![self.body.edge(from, to, curve)]) };
        let (mut at, mut out) = (from, Vec::new());
        let pieces = s.pieces();
        let last = pieces.len() - 1;
        for (k, piece) in pieces.into_iter().enumerate() {
            let next = if k == last { to } else { self.body.place(piece.points[piece.points.len() - 1]) };
            out.push(self.body.edge(at, next, straight(piece)));
            at = next;
        }
        Ok(out)
    }

    /// The spline, or the line, along a path through places on it.
    fn curve(&mut self, path: &impl Path, places: &[DVec3]) -> Curve {
        let n = places.len();
        let knots: Vec<Knot> = (0..n)
            .map(|k| {
                let (a, b) = (places[k.saturating_sub(1)], places[(k + 1).min(n - 1)]);
                let stand = if k == 0 {
                    Stand::First
                } else if k + 1 == n {
                    Stand::Last
                } else {
                    Stand::Inner
                };
                path.knot(places[k], (b - a).normalize_or_zero(), stand, a.distance(b) / 8.0)
            })
            .collect();
        let (s, off) = spline::fit(path, &knots, EDGE);
        self.off = self.off.max(off);
        straight(s)
    }

    fn line(&mut self, l: &Line, left: bool) -> Result<Use, String> {
        let met = |s: &crate::lines::Seen| if left { s.left } else { s.right };
        let face = met(&l.seen[0]).face;
        let (from, to) = (self.place(l.from, face)?, self.place(l.to, face)?);
        let rays = self.wall.rays;
        let mut places = vec![self.body.places[from]];
        let n = l.seen.len();
        // A handful of the places on the way, none of them crowded at an end.
        let length = |k: usize| l.seen[..=k].windows(2).map(|w| w[0].p.distance(w[1].p)).sum::<f64>();
        let whole = length(n - 1);
        let mut next = 0.25;
        for k in 1..n - 1 {
            if length(k) >= next * whole && next < 0.9 {
                let s = &l.seen[k];
                places.push(rays.place(s.p, met(s).s));
                next += 0.25;
            }
        }
        places.push(self.body.places[to]);
        let path = Between { wall: self.wall, line: l, left, whole };
        let curve = self.curve(&path, &places);
        Ok(self.body.edge(from, to, curve))
    }

    /// The face of a cell.
    fn cell(&mut self, c: &cells::Cell, arcs: &[Vec<Vec<Use>>; 2], edges: &[[Use; 2]]) -> Result<(), String> {
        let mut bounds: Vec<Vec<Use>> = c
            .bounds
            .iter()
            .map(|b| {
                b.iter()
                    .flat_map(|r| match *r {
                        Run::Arc(0, k) => arcs[0][k].clone(),
                        Run::Arc(ring, k) => reversed(&arcs[ring][k]),
                        Run::Line(k, true) => vec![edges[k][0]],
                        Run::Line(k, false) => vec![edges[k][1].back()],
                    })
                    .collect()
            })
            .collect();
        if self.end == End::Start {
            bounds.iter_mut().for_each(|b| *b = reversed(b));
        }
        let places = self.body.along(bounds.iter().flatten().copied());
        // The piece lies on the other side of what it is cut to.
        let (surface, same) = match self.wall.surface(c.face)? {
            Surface::Plane { origin, normal } => (Surface::Plane { origin, normal: -normal }, true),
            other => (other.seam_away(&places), false),
        };
        self.body.faces.push(Face { surface, same, bounds });
        Ok(())
    }

    /// The step between the two sides of a line.
    fn riser_face(&mut self, l: &Line, [left, right]: [Use; 2]) -> Result<(), String> {
        let (a, b) = (self.place(l.from, l.left())?, self.place(l.from, l.right())?);
        let (c, d) = (self.place(l.to, l.left())?, self.place(l.to, l.right())?);
        let mut bound = vec![right];
        bound.extend(self.climb(l.to, d, c)?);
        bound.push(left.back());
        bound.extend(self.climb(l.from, a, b)?);
        if self.end == End::Start {
            bound = reversed(&bound);
        }
        // It looks to the side on which the piece is shorter.
        let middle = l.seen[l.seen.len() / 2];
        let shorter_left = middle.left.s < middle.right.s;
        let rays = self.wall.rays;
        let out = (rays.place(DVec2::ZERO, 1.0) - rays.place(DVec2::ZERO, 0.0)).normalize_or_zero();
        let k = (l.seen.len() / 2).max(1);
        let along = l.seen[k].p - l.seen[k - 1].p;
        let side = along.perp() * if shorter_left { 1.0 } else { -1.0 };
        let wanted = rays.place(side, 0.0) - rays.place(DVec2::ZERO, 0.0);
        let curve = self.body.edges[left.edge].curve.clone();
        let surface = match curve {
            Curve::Line { from, along } => {
                let n = along.cross(out).normalize_or_zero();
                Surface::Plane { origin: from, normal: if n.dot(wanted) < 0.0 { -n } else { n } }
            }
            curve => Surface::Extruded { curve, along: out },
        };
        let same = surface.normal(DVec3::ZERO).dot(wanted) > 0.0;
        self.body.faces.push(Face { surface, same, bounds: vec![bound] });
        Ok(())
    }
}

fn straight(s: Spline) -> Curve {
    if s.bow() < STRAIGHT {
        let (a, b) = (s.points[0], s.points[s.points.len() - 1]);
        return Curve::Line { from: a, along: (b - a).normalize_or_zero() };
    }
    Curve::Spline(s)
}

/// An arc's edge as a path.
struct Round<'a> {
    wall: &'a Wall<'a>,
    pair: Pair<'a>,
    ring: usize,
    face: Label,
}

/// How far a fibre's end may lie from where surfaces were found to meet, if that is its own end, m.
const OWN: f64 = 1e-6;

impl Path for Round<'_> {
    fn near(&self, guess: DVec3, along: DVec3) -> Option<DVec3> {
        let rays = self.wall.rays;
        let f = rays.frame();
        let r = &self.wall.rings[self.ring];
        let fibre = |p: DVec3| {
            let at = r.at(r.outline.distance_towards(f.across(p - f.origin)));
            self.wall.meet(at).filter(|m| m.face == self.face).map(|m| rays.place(at, m.s))
        };
        let near = self.pair.near(guess, along);
        // Surfaces may meet along two lines that pass near one another: the edge is where fibres end.
        match near.zip(near.and_then(fibre)) {
            Some((p, q)) if p.distance(q) < OWN => Some(p),
            _ => fibre(guess).or(near),
        }
    }

    fn knot(&self, at: DVec3, along: DVec3, stand: Stand, reach: f64) -> Knot {
        self.pair.knot(at, along, stand, reach)
    }
}

/// One side of a line between faces, as a path.
struct Between<'a> {
    wall: &'a Wall<'a>,
    line: &'a Line,
    left: bool,
    whole: f64,
}

impl Between<'_> {
    fn flat(&self, d: DVec3) -> DVec2 {
        self.wall.rays.frame().across(d)
    }
}

impl Path for Between<'_> {
    fn near(&self, guess: DVec3, along: DVec3) -> Option<DVec3> {
        let p = self.flat(guess - self.wall.rays.frame().origin);
        let dir = self.flat(along).try_normalize()?;
        let seen = self.wall.cross(p, dir, (self.line.left(), self.line.right()), self.whole / 4.0)?;
        let m = if self.left { seen.left } else { seen.right };
        Some(self.wall.rays.place(seen.p, m.s))
    }

    fn knot(&self, at: DVec3, along: DVec3, stand: Stand, reach: f64) -> Knot {
        let mut d = 1e-4f64.min(reach);
        let mut t = along;
        let mut k = DVec3::ZERO;
        let mut told = 0;
        // Once to find the direction, once along it.
        for _ in 0..6 {
            let look = |n: f64| self.near(at + t * (n * d), t);
            let got = match stand {
                Stand::Inner => look(1.0).zip(look(-1.0)).map(|(a, b)| (a - b, a + b - at * 2.0)),
                // Four places: the first and second derivative at an end, by differences of the second order.
                Stand::First | Stand::Last => {
                    let s = if stand == Stand::First { 1.0 } else { -1.0 };
                    look(s)
                        .zip(look(2.0 * s))
                        .zip(look(3.0 * s))
                        .map(|((a, b), c)| ((a * 4.0 - at * 3.0 - b) * s, at * 2.0 - a * 5.0 + b * 4.0 - c))
                }
            };
            let Some((first, second)) = got else {
                // Too near to other faces.
                d /= 8.0;
                continue;
            };
            t = first.normalize_or_zero();
            k = second / (d * d);
            told += 1;
            if told == 2 {
                break;
            }
        }
        Knot { at, t, k: k - t * k.dot(t) }
    }
}
