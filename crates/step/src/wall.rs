//! The wall's cross-section, parted by what its fibres meet.
//!
//! Each fibre of an end is a place of the cross-section between two rings, outside and bore. What it meets is a label
//! there. Where the label changes runs a line; lines and rings part the section into cells, one for each face of the cut.

use cutting::profile::EndRays;
use geometry::DVec2;

use crate::brep::Surface;
use crate::faces::{self, Label, Met};
use crate::ring::Ring;

/// Faces nearer to one another than this along a fibre meet there, m: no step is made of it.
pub const JOIN: f64 = 2e-8;
/// A cell that is narrower than this round a ring is left out, m: fibres that just touch what they meet are on one side or
/// the other by their last digits.
const TINY: f64 = 2e-6;
/// A change this near to where two parts of a ring join is put there, m.
const AT_PART: f64 = 1e-7;
/// What a ring's fibres meet is asked this far within the wall, m: a side that lies in its host's own side touches it all
/// along, and the last digits say now one thing, now another. So near that a ring that just touches a line meets it in
/// less than [`TINY`].
const INWARD: f64 = 1e-12;
/// Samples of half a circle; of a side or a corner.
const SAMPLES: (usize, usize) = (360, 90);
/// A ring along which the cut runs to within this sine of the tube's own surface may have a corner there.
const NEARLY: f64 = 0.05;
/// And has one if it comes this near.
const KINK: f64 = 1e-3;

/// A place of the section where something changes.
#[derive(Clone, Debug)]
pub struct Node {
    /// Where.
    pub p: DVec2,
    /// Where the faces about it end its fibre.
    pub levels: Vec<Met>,
    /// On a ring: which, and how far round.
    pub ring: Option<(usize, f64)>,
}

/// A part of a ring along which one face is met.
#[derive(Clone, Copy, Debug)]
pub struct Arc {
    /// Node at its start.
    pub from: usize,
    /// Node at its end.
    pub to: usize,
    /// Part of the ring that it lies in.
    pub part: usize,
    /// Distance round at which it starts.
    pub start: f64,
    /// Where it ends.
    pub end: f64,
    /// Face that its fibres meet.
    pub face: Label,
}

/// Where, going round a ring, one face takes over from another.
#[derive(Clone, Copy, Debug)]
pub struct Change {
    /// Node.
    pub node: usize,
    /// Ring.
    pub ring: usize,
    /// Face before it.
    pub before: Label,
    /// Face after it.
    pub after: Label,
}

/// The section with its rings parted.
pub struct Wall<'a> {
    /// The end.
    pub rays: &'a EndRays<'a>,
    /// Outside and bore.
    pub rings: [Ring; 2],
    /// Nodes.
    pub nodes: Vec<Node>,
    /// Each ring's arcs, in order.
    pub arcs: [Vec<Arc>; 2],
    /// Changes.
    pub changes: Vec<Change>,
}

impl<'a> Wall<'a> {
    /// Goes round both rings. `extra` are further places to look at: ring and distance round.
    pub fn new(rays: &'a EndRays<'a>, rings: [Ring; 2], extra: &[(usize, f64)]) -> Result<Wall<'a>, String> {
        let mut wall = Wall { rays, rings, nodes: Vec::new(), arcs: [Vec::new(), Vec::new()], changes: Vec::new() };
        for ring in 0..2 {
            let more: Vec<f64> = extra.iter().filter(|e| e.0 == ring).map(|e| e.1).collect();
            wall.go_round(ring, &more)?;
        }
        Ok(wall)
    }

    /// What a ring's fibres meet, seen from within the wall.
    fn inward(&self, ring: usize, d: f64) -> Option<Met> {
        let o = self.rings[ring].outline;
        let n = o.normal(o.station(d)) * if ring == 0 { -INWARD } else { INWARD };
        self.meet(self.rings[ring].at(d) + n)
    }

    /// What a fibre meets.
    pub fn meet(&self, p: DVec2) -> Option<Met> {
        faces::meet(self.rays, p)
    }

    /// A face's surface.
    pub fn surface(&self, face: Label) -> Result<Surface, String> {
        faces::surface(self.rays, face).ok_or_else(|| "a fibre meets what is not there".to_owned())
    }

    /// Where exactly the fibre through a place ends on a face, from near there.
    pub fn on(&self, face: Label, p: DVec2, s: f64) -> Met {
        let Some(surface) = faces::surface(self.rays, face) else { return Met { face, s } };
        let ray = self.rays.ray(p);
        let mut x = s;
        for _ in 0..4 {
            let rise = surface.normal(ray.at(x)).dot(ray.along);
            if rise.abs() < 0.01 {
                break;
            }
            x -= surface.distance(ray.at(x)) / rise;
        }
        // A step away is another meeting, or none.
        let x = if (x - s).abs() < 1e-6 { x } else { s };
        Met { face, s: faces::settled(&surface, &ray, x) }
    }

    /// Sine of the angle between the tube's own surface and the cut at a place of a ring.
    fn sine(&self, ring: usize, d: f64) -> f64 {
        let r = &self.rings[ring];
        let n = r.outline.normal(r.outline.station(d));
        let p = r.at(d);
        let Some(hit) = self.rays.follow(p) else { return 1.0 };
        let own = self.rays.place(n, 0.0) - self.rays.place(DVec2::ZERO, 0.0);
        self.rays.normal(p, hit).cross(own).length()
    }

    fn go_round(&mut self, ring: usize, extra: &[f64]) -> Result<(), String> {
        let r = self.rings[ring].clone();
        let open = || "a fibre meets nothing".to_owned();
        let (start, total) = (r.start(), r.outline.perimeter());
        let mut places: Vec<f64> = extra.iter().map(|d| start + (d - start).rem_euclid(total)).collect();
        for p in &r.parts {
            let n = if r.parts.len() == 2 { SAMPLES.0 } else { SAMPLES.1 };
            places.extend((0..n).map(|k| p.from + (p.to - p.from) * k as f64 / n as f64));
        }
        places.sort_by(f64::total_cmp);
        places.dedup();
        places.push(start + total);
        let mut seen = Vec::with_capacity(places.len());
        for &d in &places[..places.len() - 1] {
            seen.push(self.inward(ring, d).ok_or_else(open)?);
        }
        seen.push(seen[0]);
        // Where the label changes: distance round, and what is met on either side.
        let mut found: Vec<(f64, Met, Met)> = Vec::new();
        for k in 0..places.len() - 1 {
            let (mut a, end) = ((places[k], seen[k]), (places[k + 1], seen[k + 1]));
            for _ in 0..64 {
                if a.1.face == end.1.face {
                    break;
                }
                let (mut lo, mut hi) = (a, end);
                loop {
                    let d = 0.5 * (lo.0 + hi.0);
                    if d <= lo.0 || d >= hi.0 {
                        break;
                    }
                    let m = self.inward(ring, d).ok_or_else(open)?;
                    if m.face == lo.1.face { lo = (d, m) } else { hi = (d, m) }
                }
                found.push(self.sharpened(ring, (hi.0, lo.1, hi.1)));
                a = hi;
            }
        }
        let mut kinks = self.kinks(ring, &places, &seen);
        // Narrow cells go; where one of them parts what is the same on both sides the ring just touches something.
        let mut k = 0;
        while found.len() > 1 && k < found.len() {
            let next = (k + 1) % found.len();
            let gap = (found[next].0 - found[k].0).rem_euclid(total);
            if gap >= TINY {
                k += 1;
                continue;
            }
            let at = found[k].0 + gap / 2.0;
            if found[k].1.face == found[next].2.face {
                kinks.push(at);
                found.remove(k.max(next));
                found.remove(k.min(next));
            } else {
                found[k] = (at, found[k].1, found[next].2);
                found.remove(next);
            }
            k = 0;
        }
        self.part(ring, found, kinks, seen[0].face)
    }

    /// A change that was seen from within the wall, on the ring itself, where that can tell it.
    fn sharpened(&self, ring: usize, (d, a, b): (f64, Met, Met)) -> (f64, Met, Met) {
        let look = |x: f64| self.meet(self.rings[ring].at(x));
        for aside in [1e-8, 1e-6, 1e-5] {
            let (Some(la), Some(lb)) = (look(d - aside), look(d + aside)) else { continue };
            if (la.face, lb.face) != (a.face, b.face) {
                continue;
            }
            let (mut lo, mut hi) = ((d - aside, la), (d + aside, lb));
            loop {
                let m = 0.5 * (lo.0 + hi.0);
                if m <= lo.0 || m >= hi.0 {
                    break;
                }
                match look(m) {
                    Some(met) if met.face == a.face => lo = (m, met),
                    Some(met) => hi = (m, met),
                    None => break,
                }
            }
            if hi.1.face == b.face {
                return (hi.0, lo.1, hi.1);
            }
        }
        (d, a, b)
    }

    /// Places where the cut runs along the tube's own surface for a moment: it has a corner there.
    fn kinks(&self, ring: usize, places: &[f64], seen: &[Met]) -> Vec<f64> {
        let n = places.len() - 1;
        let sines: Vec<f64> = places[..n].iter().map(|&d| self.sine(ring, d)).collect();
        let mut out = Vec::new();
        for k in 0..n {
            let (i, j) = ((k + n - 1) % n, (k + 1) % n);
            let least = sines[k] <= sines[i] && sines[k] <= sines[j] && (sines[k] < sines[i] || sines[k] < sines[j]);
            if sines[k] < NEARLY && least && seen[i].face == seen[j].face {
                let before = if k == 0 { 2.0 * places[0] - places[1] } else { places[k - 1] };
                let f = |d: f64| self.sine(ring, d);
                let (at, s) = geometry::minimise::golden(before, places[k + 1], 1e-10, f);
                if s < KINK {
                    out.push(at);
                }
            }
        }
        out
    }

    /// Parts a ring at its parts' ends, its changes and its corners.
    fn part(&mut self, ring: usize, found: Vec<(f64, Met, Met)>, kinks: Vec<f64>, first: Label) -> Result<(), String> {
        let r = self.rings[ring].clone();
        let (start, total) = (r.start(), r.outline.perimeter());
        let mut stops: Vec<(f64, Option<(Met, Met)>)> = r.parts.iter().map(|p| (p.from, None)).collect();
        let apart = |a: f64, b: f64| {
            let d = (a - b).rem_euclid(total);
            d.min(total - d)
        };
        for (d, a, b) in found {
            let d = start + (d - start).rem_euclid(total);
            match stops.iter_mut().find(|s| apart(s.0, d) < AT_PART) {
                Some(s) if s.1.is_none() => s.1 = Some((a, b)),
                Some(_) => return Err("two faces end at one place".to_owned()),
                None => stops.push((d, Some((a, b)))),
            }
        }
        for d in kinks {
            let d = start + (d - start).rem_euclid(total);
            if stops.iter().all(|s| apart(s.0, d) > TINY) {
                stops.push((d, None));
            }
        }
        stops.sort_by(|a, b| a.0.total_cmp(&b.0));
        // What is met where the first stop is come to.
        let mut face = stops.iter().rev().find_map(|s| s.1).map_or(first, |c| c.1.face);
        let base = self.nodes.len();
        let n = stops.len();
        for (k, &(d, change)) in stops.iter().enumerate() {
            let p = r.at(d);
            let levels = match change {
                Some((a, b)) => {
                    if a.face != face {
                        return Err("the faces round a ring do not follow one another".to_owned());
                    }
                    face = b.face;
                    self.changes.push(Change { node: base + k, ring, before: a.face, after: b.face });
                    vec![self.on(a.face, p, a.s), self.on(b.face, p, b.s)]
                }
                None => {
                    // At a corner the label may be another in the last digits: a little aside it is right.
                    let near = [0.0, 1e-9, -1e-9, 1e-7, -1e-7, TINY, -TINY]
                        .iter()
                        .filter_map(|e| self.inward(ring, d + e))
                        .find(|m| m.face == face)
                        .ok_or("a face is not met where it should be")?;
                    vec![self.on(face, p, near.s)]
                }
            };
            self.nodes.push(Node { p, levels, ring: Some((ring, d)) });
            let end = if k + 1 == n { start + total } else { stops[k + 1].0 };
            let part = r.parts.iter().rposition(|x| x.from <= d).unwrap_or(0);
            let to = base + (k + 1) % n;
            self.arcs[ring].push(Arc { from: base + k, to, part, start: d, end, face });
        }
        Ok(())
    }
}
