//! What hangs low, and the angles of ramps that it clears.

use geometry::{DVec2, DVec3};
use serde::Serialize;
use shape::Shape;

use crate::ground::Ground;
use crate::side::{Seen, Tyre, View};
use crate::solids::{Kind, Thing};

/// The lowest place of a tube, plate or mass.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Low {
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// Height over the ground, m.
    pub height: f64,
    /// Where, in the frame's axes, m.
    pub at: DVec3,
    /// Distance along the tube from its start, m.
    pub station: Option<f64>,
}

/// An angle and what governs it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Governed {
    /// rad.
    pub angle: f64,
    /// The tube, plate or mass that is touched first.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// Where, in the frame's axes, m.
    pub at: DVec3,
    /// Distance along the tube from its start, m.
    pub station: Option<f64>,
}

/// Lowest places of everything that counts, lowest first.
pub(crate) fn lowest(shape: &Shape, things: &[Thing], counts: &[bool], ground: &Ground) -> Vec<Low> {
    let down = -ground.normal;
    let mut out: Vec<Low> = things
        .iter()
        .zip(counts)
        .filter(|(_, c)| **c)
        .map(|(t, _)| {
            let (part, at) =
                t.parts.iter().map(|p| (p, p.support(down))).fold((&t.parts[0], DVec3::splat(f64::NAN)), |best, x| {
                    if best.1.is_nan() || x.1.dot(down) > best.1.dot(down) { x } else { best }
                });
            // On a bend the place is a chord's; the height is the bend's own.
            let height = t.tube.map_or(ground.over(at), |i| -shape.tubes[i].extent(down) - ground.height);
            Low { name: t.name.clone(), kind: t.kind, height, at, station: part.station(at) }
        })
        .collect();
    out.sort_by(|a, b| a.height.total_cmp(&b.height));
    out
}

/// Heights that agree to this are the same, m: a thousandth of a nanometre, over the rounding of a few metres in f64.
const SAME: f64 = 1e-12;
/// Angles at which parts near the tyre are looked at, rad: a part between two of them that stands out of a tyre of 300 mm by
/// less than 0.1 mm may be missed.
const FINE: f64 = 2.5 * std::f64::consts::PI / 180.0;
/// The same for parts of which no place is nearer to the hub than this many radii: their places are under the line over
/// 49 degrees or more.
const COARSE: f64 = 15.0 * std::f64::consts::PI / 180.0;
const FAR: f64 = 1.1;

/// The least angle at which a line tangent to a tyre from below touches something ahead of it (`sign` 1) or behind it
/// (-1); `None` if nothing is touched up to a right angle.
pub(crate) fn ramp(view: &View, tyre: &Tyre, sign: f64) -> Option<Governed> {
    let mut best = std::f64::consts::FRAC_PI_2;
    let mut found: Option<(&Seen, DVec3)> = None;
    let r = tyre.loaded;
    let from = |p: DVec2| DVec2::new(sign * (p.x - tyre.hub.x), p.y - tyre.hub.y);
    for s in &view.seen {
        let m = from(s.mid);
        let rho = m.length();
        let most = m.x + s.radius;
        if most <= 0.0 || rho + s.radius <= r {
            continue;
        }
        let ball = (r - s.radius) / rho;
        if ball.abs() <= 1.0 && m.to_angle() + ball.asin() >= best {
            continue;
        }
        // The first place under the line at an angle, if there is one, has its own lesser angle.
        let under = |angle: f64| -> Option<(f64, DVec3)> {
            let (sin, cos) = angle.sin_cos();
            let (place, p) = view.support(s, DVec2::new(sign * sin, -cos));
            let q = from(p);
            let below = q.x * sin - q.y * cos - r;
            (below > SAME && q.x > 0.0).then(|| (tangent(q, r).unwrap_or(angle).min(angle), place))
        };
        let step = if rho - s.radius < FAR * r { FINE } else { COARSE };
        let mut angle = step.min(best);
        let mut hit = under(angle);
        while hit.is_none() && angle < best {
            angle = (angle + step).min(best);
            hit = under(angle);
        }
        // Down to the least: the lowest place under each line gives the next.
        while let Some((a, place)) = hit {
            if a >= best {
                break;
            }
            best = a;
            found = Some((s, place));
            hit = under(a);
        }
    }
    found.map(|(s, at)| governed(view, s, best, at))
}

/// Angle of the line from a place to the underside of a tyre about the origin; `None` within the tyre.
fn tangent(q: DVec2, r: f64) -> Option<f64> {
    let rho = q.length();
    (rho > r && q.x > 0.0).then(|| q.to_angle() + (r / rho).asin())
}

fn governed(view: &View, s: &Seen, angle: f64, at: DVec3) -> Governed {
    let t = &view.things[s.thing];
    Governed { angle, name: t.name.clone(), kind: t.kind, at, station: t.parts[s.part].station(at) }
}

/// Halvings of a direction or of a flat: to a thousandth of a micrometre of any part.
const HALVINGS: usize = 32;

/// The sharpest ramp between two tyres that nothing touches.
pub(crate) fn breakover(view: &View, front: &Tyre, rear: &Tyre) -> Option<Governed> {
    let mut best: Option<(f64, &Seen, DVec3)> = None;
    // A place, the sum of its two angles and the sum's downhill direction.
    let sum = |p: DVec2| -> Result<(f64, DVec2), f64> {
        let q = DVec2::new(front.hub.x - p.x, p.y - front.hub.y);
        let f = tangent(q, front.loaded).ok_or(-1.0)?;
        let w = DVec2::new(p.x - rear.hub.x, p.y - rear.hub.y);
        let b = tangent(w, rear.loaded).ok_or(1.0)?;
        let slope = |v: DVec2, r: f64| 1.0 / (v.length_squared() - r * r).sqrt().max(SAME);
        let (sf, sb) = (slope(q, front.loaded), slope(w, rear.loaded));
        Ok((f + b, -DVec2::new(f.sin() * sf - b.sin() * sb, f.cos() * sf + b.cos() * sb)))
    };
    // Whether the sum falls towards a direction; out of a tyre's circle first.
    let falls = |p: DVec2, along: DVec2| match sum(p) {
        Ok((_, down)) => down.dot(along) > 0.0,
        Err(way) => way * along.x > 0.0,
    };
    for s in &view.seen {
        let (qf, qr) = (
            DVec2::new(front.hub.x - s.mid.x, s.mid.y - front.hub.y),
            DVec2::new(s.mid.x - rear.hub.x, s.mid.y - rear.hub.y),
        );
        if qf.x + s.radius <= 0.0 || qr.x + s.radius <= 0.0 {
            continue;
        }
        if let Some((limit, ..)) = best {
            let least = |q: DVec2, r: f64| {
                let ball = (r - s.radius) / q.length();
                if ball.abs() <= 1.0 { q.to_angle() + ball.asin() } else { 0.0 }
            };
            if least(qf, front.loaded).max(0.0) + least(qr, rear.loaded).max(0.0) >= limit {
                continue;
            }
        }
        let (mut low, mut high) = (-std::f64::consts::FRAC_PI_2, std::f64::consts::FRAC_PI_2);
        for _ in 0..HALVINGS {
            let mid = 0.5 * (low + high);
            let (sin, cos) = mid.sin_cos();
            let (_, p) = view.support(s, DVec2::new(sin, -cos));
            if falls(p, DVec2::new(cos, sin)) { low = mid } else { high = mid }
        }
        // Between the last two directions lies one place, or a flat.
        let ends = [low, high].map(|a| view.support(s, DVec2::new(a.sin(), -a.cos())));
        let (mut a, mut b) = (0.0, 1.0);
        let flat = ends[1].1 - ends[0].1;
        let at = |f: f64| ends[0].1.lerp(ends[1].1, f);
        if flat.length() > SAME {
            for _ in 0..HALVINGS {
                let mid = 0.5 * (a + b);
                if falls(at(mid), flat) { a = mid } else { b = mid }
            }
        }
        let f = 0.5 * (a + b);
        if let Ok((angle, _)) = sum(at(f))
            && best.is_none_or(|(limit, ..)| angle < limit)
        {
            best = Some((angle, s, ends[0].0.lerp(ends[1].0, f)));
        }
    }
    best.map(|(angle, s, at)| governed(view, s, angle, at))
}
