//! Sections and side views of hard shapes: convex polygons, each widened by a radius.

use geometry::{DVec2, DVec3, Hull, PARALLEL, Segment};
use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::Axes;
use super::slide::Shape;
use crate::HardShape;

/// What the edge meets of a body.
#[derive(Clone, Copy, Debug)]
pub(super) enum Cut {
    /// Its section with the vertical plane at this lateral position.
    At(f64),
    /// Its side view.
    Across,
}

/// Corners of a circle's polygon at most; a wheel of 0.3 m strays by 6 µm.
const MOST_CORNERS: f64 = 512.0;

/// Pieces of a bend, or of a rounding's quarter, at most.
const MOST_PIECES: f64 = 128.0;

/// How many chords of a turn keep within the gap of its radius.
fn chords(turn: f64, radius: f64, gap: f64, least: f64, most: f64) -> usize {
    let step = 2.0 * (1.0 - gap / radius.max(gap)).acos();
    (turn / step).ceil().clamp(least, most) as usize
}

/// A convex body between rings of as many corners each.
struct Rings(Vec<Vec<DVec3>>);

impl Rings {
    fn cut(&self, cut: Cut) -> Vec<DVec2> {
        let mut out = Vec::new();
        let Rings(rings) = self;
        match cut {
            Cut::Across => out.extend(rings.iter().flatten().map(|p| DVec2::new(p.x, p.z))),
            Cut::At(y) => {
                for (k, ring) in rings.iter().enumerate() {
                    for (i, p) in ring.iter().enumerate() {
                        cross(*p, ring[(i + 1) % ring.len()], y, &mut out);
                        if let Some(next) = rings.get(k + 1) {
                            cross(*p, next[i], y, &mut out);
                        }
                    }
                }
            }
        }
        out
    }
}

/// Where the line between two corners meets the plane at `y`.
fn cross(p: DVec3, q: DVec3, y: f64, out: &mut Vec<DVec2>) {
    let (a, b) = (p.y - y, q.y - y);
    if a == 0.0 {
        out.push(DVec2::new(p.x, p.z));
    } else if (a < 0.0) != (b < 0.0) {
        let m = p.lerp(q, a / (a - b));
        out.push(DVec2::new(m.x, m.z));
    }
}

fn ring(centre: DVec3, e: DVec3, f: DVec3, r: f64, n: usize) -> Vec<DVec3> {
    let step = DVec2::from_angle(TAU / n as f64);
    // Turned step by step: rounding adds up to a few hundred units in the last place at most.
    std::iter::successors(Some(DVec2::X * r), |d| Some(d.rotate(step)))
        .take(n)
        .map(|d| centre + e * d.x + f * d.y)
        .collect()
}

fn lies_across(axis: DVec3) -> bool {
    axis.cross(DVec3::Y).length() < PARALLEL
}

/// What the edge meets of a shape; nothing where the plane passes it by.
pub(super) fn outlines(shape: &HardShape, axes: &Axes, cut: Cut, gap: f64, body: usize, out: &mut Vec<Shape>) {
    let mut add = |points: Vec<DVec2>, radius: f64| out.extend(Shape::new(points, radius, body));
    // Whether the plane meets what lies within `half` of `middle` across the car.
    let meets = |middle: f64, half: f64| match cut {
        Cut::At(y) => (y - middle).abs() <= half,
        Cut::Across => true,
    };
    match shape {
        HardShape::Ball { centre, radius } => {
            let c = axes.local(*centre);
            let r = match cut {
                Cut::At(y) if meets(c.y, *radius) => (radius * radius - (y - c.y).powi(2)).max(0.0).sqrt(),
                Cut::At(_) => return,
                Cut::Across => *radius,
            };
            add(vec![DVec2::new(c.x, c.z)], r);
        }
        HardShape::Wheel { centre, axle, radius, width, shoulder } => {
            let (c, a) = (axes.local(*centre), axes.way(axle.normalize_or_zero()));
            let (big, half) = (radius - shoulder, width / 2.0 - shoulder);
            let inset = |off: f64| (shoulder * shoulder - (off - half).max(0.0).powi(2)).max(0.0).sqrt();
            if lies_across(a) {
                match cut {
                    Cut::At(y) if meets(c.y, width / 2.0) => {
                        add(vec![DVec2::new(c.x, c.z)], big + inset((y - c.y).abs()));
                    }
                    Cut::At(_) => (),
                    Cut::Across => add(vec![DVec2::new(c.x, c.z)], *radius),
                }
                return;
            }
            let n = chords(TAU, *radius, gap, 8.0, MOST_CORNERS);
            let (e, f) = a.any_orthonormal_pair();
            if let Cut::Across = cut {
                let rings = Rings([half, -half].map(|o| ring(c + a * o, e, f, big, n)).to_vec());
                return add(rings.cut(cut), *shoulder);
            }
            let m = chords(FRAC_PI_2, *shoulder, gap, 1.0, MOST_PIECES);
            let station = |k: usize| {
                let (s, c) = (FRAC_PI_2 * k as f64 / m as f64).sin_cos();
                (half + shoulder * s, big + shoulder * c)
            };
            let mut profile: Vec<(f64, f64)> = (0..=m).rev().map(|k| (-station(k).0, station(k).1)).collect();
            profile.extend((0..=m).map(station));
            let rings = Rings(profile.into_iter().map(|(o, r)| ring(c + a * o, e, f, r, n)).collect());
            add(rings.cut(cut), 0.0);
        }
        HardShape::Bar { chain, radius } => {
            for s in &chain.segments {
                match *s {
                    Segment::Leg { from, along, length } if length > 0.0 => {
                        let (a, t) = (axes.local(from), axes.way(along));
                        if lies_across(t) {
                            if meets(a.y + 0.5 * length * t.y, 0.5 * length) {
                                add(vec![DVec2::new(a.x, a.z)], *radius);
                            }
                            continue;
                        }
                        if !meets(a.y + 0.5 * length * t.y, 0.5 * length * t.y.abs() + radius) {
                            continue;
                        }
                        // A slanted section is an ellipse, as long as the leg at most.
                        let long = match cut {
                            Cut::At(_) => (radius / t.y.abs().max(1e-9)).min(radius + length),
                            Cut::Across => *radius,
                        };
                        let n = chords(TAU, long, gap, 8.0, MOST_CORNERS);
                        let (e, f) = t.any_orthonormal_pair();
                        let rings = Rings([0.0, length].map(|o| ring(a + t * o, e, f, *radius, n)).to_vec());
                        add(rings.cut(cut), 0.0);
                    }
                    Segment::Leg { .. } => (),
                    Segment::Arc { centre, axis, start, radius: bend, sweep } => {
                        let (c, axis, start) = (axes.local(centre), axes.way(axis), axes.way(start));
                        let n = chords(TAU, *radius, gap, 8.0, MOST_CORNERS / 4.0);
                        let m = chords(sweep, bend + radius, gap, 1.0, MOST_PIECES);
                        let disc = |k: usize| {
                            let (s, q) = (sweep * k as f64 / m as f64).sin_cos();
                            let from = start * q + axis.cross(start) * s;
                            ring(c + from * bend, axis, from, *radius, n)
                        };
                        // No place of a piece is farther from its middle than this.
                        let half = 0.5 * sweep / m as f64 * bend + radius;
                        let middle = |k: usize| {
                            let (s, q) = (sweep * (k as f64 + 0.5) / m as f64).sin_cos();
                            c.y + bend * (start.y * q + axis.cross(start).y * s)
                        };
                        (0..m)
                            .filter(|&k| meets(middle(k), half))
                            .for_each(|k| add(Rings(vec![disc(k), disc(k + 1)]).cut(cut), 0.0));
                    }
                }
            }
        }
        HardShape::BoxBar { start, length, half, corner } => {
            let (o, t, u, v) = (axes.local(start.origin), axes.way(start.t), axes.way(start.u), axes.way(start.v));
            let (x, y) = (half[0] - corner, half[1] - corner);
            let corners = [(x, y), (-x, y), (-x, -y), (x, -y)];
            if lies_across(t) {
                if meets(o.y + 0.5 * length * t.y, 0.5 * length) {
                    let flat = |p: DVec3| DVec2::new(p.x, p.z);
                    add(corners.map(|(x, y)| flat(o + u * x + v * y)).to_vec(), *corner);
                }
                return;
            }
            let m = chords(FRAC_PI_2, *corner, gap, 1.0, MOST_PIECES);
            let mut section = Vec::new();
            for (k, (x, y)) in corners.into_iter().enumerate() {
                for i in 0..=m {
                    let d = DVec2::from_angle(FRAC_PI_2 * (k as f64 + i as f64 / m as f64)) * *corner;
                    section.push(u * (x + d.x) + v * (y + d.y));
                }
            }
            let end = |s: f64| section.iter().map(|p| o + t * s + *p).collect::<Vec<_>>();
            add(Rings(vec![end(0.0), end(*length)]).cut(cut), 0.0);
        }
        HardShape::Block { centre, half } => {
            let c = axes.local(centre.origin);
            let [t, u, v] = [(centre.t, half.x), (centre.u, half.y), (centre.v, half.z)].map(|(d, h)| axes.way(d) * h);
            let end = |s: f64| vec![c + t * s + u + v, c + t * s - u + v, c + t * s - u - v, c + t * s + u - v];
            add(Rings(vec![end(-1.0), end(1.0)]).cut(cut), 0.0);
        }
        HardShape::Points(points) => {
            let points: Vec<DVec3> = points.iter().map(|p| axes.local(*p)).collect();
            let mut met = Vec::new();
            match cut {
                Cut::Across => met.extend(points.iter().map(|p| DVec2::new(p.x, p.z))),
                Cut::At(y) => {
                    // A sheet without thickness counts as twice the gap thick.
                    let thick = || {
                        let ways = [DVec3::X, DVec3::Y, DVec3::Z].map(|d| d * gap);
                        let all = points.iter().flat_map(|p| ways.into_iter().flat_map(|d| [*p + d, *p - d]));
                        Hull::new(all.collect())
                    };
                    let Ok(hull) = Hull::new(points.clone()).or_else(|_| thick()) else { return };
                    for (_, t) in hull.alive() {
                        let [a, b, c] = t.points.map(|i| hull.points[i as usize]);
                        [(a, b), (b, c), (c, a)].into_iter().for_each(|(p, q)| cross(p, q, y, &mut met));
                    }
                }
            }
            add(met, 0.0);
        }
    }
}

/// Angle from upward (y) towards forward (x) of a direction: the slope of a surface with that normal.
pub(super) fn slope(normal: DVec2) -> f64 {
    let a = normal.x.atan2(normal.y);
    if a < -FRAC_PI_2 { a + 2.0 * PI } else { a }
}
