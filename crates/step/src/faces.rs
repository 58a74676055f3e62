//! The smooth faces of what an end is cut to.

use cutting::profile::{EndRays, Hit};
use geometry::{DVec2, DVec3, HalfSpace, Outline, Prism, Ray, Solid, TorusArc};

use crate::brep::Surface;

/// Number of a face: of which solid of the end's list it is, and which of that solid's faces.
pub type Label = usize;

/// Faces of one solid at most. The first sixteen are its sides, the others planes that cut it off.
const EACH: usize = 32;
/// From here on planes that cut a solid off.
const CLIPS: usize = 16;

/// What is met on the rim of a plane that cuts a solid off, this near to its side, is the side, m: where a leg and a bend
/// share that plane the last digits would now and then find it between them.
const RIM: f64 = 1e-10;

/// Where a fibre ends.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Met {
    /// On which face.
    pub face: Label,
    /// Beyond the end point, outward, m.
    pub s: f64,
}

/// What the fibre through a place of the cross-section meets.
pub fn meet(rays: &EndRays, p: DVec2) -> Option<Met> {
    let hit = rays.follow(p)?;
    Some(Met { face: hit.solid * EACH + side(rays, p, hit), s: hit.s })
}

fn lowest(clips: &[HalfSpace], at: DVec3) -> Option<(f64, usize)> {
    let off = clips.iter().enumerate().map(|(k, h)| (h.height(at).abs(), k));
    off.min_by(|a, b| a.0.total_cmp(&b.0))
}

fn side(rays: &EndRays, p: DVec2, hit: Hit) -> usize {
    let at = rays.place(p, hit.s);
    match rays.solid(hit.solid) {
        Some(Solid::Prism(prism)) => {
            let q = prism.frame.across(at - prism.frame.origin);
            match lowest(&prism.clips, at) {
                Some((off, k)) if off + RIM < prism.outline.depth(q).abs() => CLIPS + k,
                _ => part(&prism.outline, q),
            }
        }
        Some(Solid::Torus(t)) => {
            let off = torus(t).distance(at).abs();
            match lowest(&cuts(t), at) {
                Some((o, k)) if o + RIM < off => CLIPS + k,
                // A ray may leave one lobe of a torus and meet the other.
                _ => rays.face(p, hit) % 2,
            }
        }
        _ => 0,
    }
}

/// Which side or corner of an outline a place on it lies on: 0 and 1 along x, 2 and 3 along y, 4 to 7 the corners.
fn part(o: &Outline, q: DVec2) -> usize {
    let &Outline::RoundRect { half_x, half_y, r } = o else { return 0 };
    let over = DVec2::new(q.x.abs() - (half_x - r), q.y.abs() - (half_y - r));
    let (x, y) = (usize::from(q.x < 0.0), usize::from(q.y < 0.0));
    if over.x > 0.0 && over.y > 0.0 && r > 0.0 {
        4 + x + 2 * y
    } else if over.x > over.y {
        x
    } else {
        2 + y
    }
}

fn torus(t: &TorusArc) -> Surface {
    Surface::Torus { centre: t.centre, axis: t.axis, x: t.start, ring: t.ring, tube: t.tube }
}

/// All planes that cut a torus off: the ends of its sweep first.
fn cuts(t: &TorusArc) -> Vec<HalfSpace> {
    let first = t.axis.cross(t.start);
    let (s, c) = t.sweep.sin_cos();
    let last = t.axis.cross(t.start * c + first * s);
    let wedge = [-first, last].map(|outward| HalfSpace { origin: t.centre, outward });
    wedge.into_iter().chain(t.clips.iter().copied()).collect()
}

fn plane(h: &HalfSpace) -> Surface {
    Surface::Plane { origin: h.origin, normal: h.outward }
}

fn of_prism(p: &Prism, side: usize) -> Option<Surface> {
    let f = &p.frame;
    if side >= CLIPS {
        return p.clips.get(side - CLIPS).map(plane);
    }
    Some(match p.outline {
        Outline::Circle { r } => Surface::Cylinder { origin: f.origin, axis: f.t, x: f.u, r },
        Outline::RoundRect { half_x, half_y, r } => {
            let (x, y) = (1.0 - 2.0 * (side % 2) as f64, 1.0 - 2.0 * (side / 2 % 2) as f64);
            match side {
                0 | 1 => Surface::Plane { origin: f.origin + f.u * (half_x * x), normal: f.u * x },
                2 | 3 => Surface::Plane { origin: f.origin + f.v * (half_y * x), normal: f.v * x },
                _ => {
                    let origin = f.place(DVec2::new((half_x - r) * x, (half_y - r) * y));
                    Surface::Cylinder { origin, axis: f.t, x: f.u, r }
                }
            }
        }
    })
}

/// The surface of a face; its normal points out of what the end is cut to.
pub fn surface(rays: &EndRays, face: Label) -> Option<Surface> {
    let side = face % EACH;
    match rays.solid(face / EACH)? {
        Solid::Half(h) => Some(plane(h)),
        Solid::Prism(p) => of_prism(p, side),
        Solid::Torus(t) if side >= CLIPS => cuts(t).get(side - CLIPS).map(plane),
        Solid::Torus(t) => Some(torus(t)),
    }
}

/// A fibre whose end meets a surface at a smaller sine than this runs along it. Where it ends is then told by where it is
/// nearest to the surface: that errs by the last digit, where the crossing errs by its root.
const GRAZE: f64 = 1e-3;
/// Half the distance over which the slope of that is taken, m.
const SLOPE: f64 = 1e-7;

/// Where along its ray a fibre that grazes a surface touches it, from near there; another's end stays as it is.
pub fn settled(surface: &Surface, ray: &Ray, s: f64) -> f64 {
    let rise = |s: f64| surface.normal(ray.at(s)).dot(ray.along);
    if rise(s).abs() > GRAZE || matches!(surface, Surface::Plane { .. }) {
        return s;
    }
    let mut x = s;
    for _ in 0..8 {
        let slope = (rise(x + SLOPE) - rise(x - SLOPE)) / (2.0 * SLOPE);
        let step = rise(x) / slope;
        if !step.is_finite() {
            return s;
        }
        x -= step;
        if step.abs() < 1e-15 {
            break;
        }
    }
    // Where it passes beside the surface it does not end there.
    if surface.distance(ray.at(x)).abs() < BESIDE { x } else { s }
}

/// How far from a surface a fibre may pass that is told to touch it, m: what the last digits of places add up to.
const BESIDE: f64 = 1e-12;
