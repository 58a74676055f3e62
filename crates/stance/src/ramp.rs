//! The angles of ramps that the car clears.

use std::f64::consts::{FRAC_PI_2, PI};

use geometry::{DVec2, DVec3};
use serde::Serialize;

use crate::side::{Seen, Tyre, View};
use crate::solids::Kind;
use crate::tree::Area;

/// An angle and what governs it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Governed {
    /// rad.
    pub angle: f64,
    /// The tube, plate, mass or skin that is touched first.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// Where, in the frame's axes, m.
    pub at: DVec3,
    /// Distance along the tube from its start, m.
    pub station: Option<f64>,
}

/// Heights that agree to this are the same, m: a thousandth of a nanometre, over the rounding of a few metres in f64.
const SAME: f64 = 1e-12;
/// Angles at which parts near the tyre are looked at, rad: a part between two of them that stands out of a tyre of 300 mm by
/// less than 0.1 mm may be missed.
const FINE: f64 = 2.5 * PI / 180.0;
/// The same for parts of which no place is nearer to the hub than this many radii: their places are under the line over
/// 49 degrees or more.
const COARSE: f64 = 15.0 * PI / 180.0;
const FAR: f64 = 1.1;

/// Cosine and sine of the angle of the line from a place to the underside of a tyre about the origin; `None` within the
/// tyre, or behind it.
fn tangent(q: DVec2, r: f64) -> Option<DVec2> {
    let far = q.length_squared();
    (far > r * r && q.x > 0.0).then(|| DVec2::new((far - r * r).sqrt(), r).rotate(q) / far)
}

/// The place of a box that a line from under a tyre comes to first, and how near the box comes to the hub. A place ahead of
/// the hub has a lesser angle the farther ahead and the lower it is.
fn corner(a: &Area, tyre: &Tyre, sign: f64) -> (DVec2, f64) {
    let ahead = if sign > 0.0 { a.hi.x - tyre.hub.x } else { tyre.hub.x - a.lo.x };
    let near = (a.lo - tyre.hub).max(tyre.hub - a.hi).max(DVec2::ZERO).length();
    (DVec2::new(ahead, a.lo.y - tyre.hub.y), near)
}

struct Best<'v> {
    angle: f64,
    line: DVec2,
    at: Option<(&'v Seen, DVec3)>,
}

impl Best<'_> {
    fn set(&mut self, angle: f64) {
        self.angle = angle;
        self.line = DVec2::from_angle(angle);
    }
}

/// The least angle at which a line tangent to a tyre from below touches something ahead of it (`sign` 1) or behind it
/// (-1); `None` if nothing is touched up to a right angle.
pub(crate) fn ramp(view: &View, tyre: &Tyre, sign: f64) -> Option<Governed> {
    let r = tyre.loaded;
    let from = |p: DVec2| DVec2::new(sign * (p.x - tyre.hub.x), p.y - tyre.hub.y);
    let mut best = Best { angle: FRAC_PI_2, line: DVec2::Y, at: None };
    // Whether a box may hold a place of a lesser angle: all of it stands over the line at the least so far, past where
    // that touches the tyre, if its corner does.
    let passes = |best: &Best, a: &Area| {
        let (q, _) = corner(a, tyre, sign);
        q.x > 0.0 && (q.perp_dot(best.line) > r || q.dot(best.line) < 0.0)
    };
    view.walk(&mut best, passes, |best, k| {
        let s = &view.seen[k];
        if !passes(best, &s.area) {
            return;
        }
        // The first place under the line at an angle, if there is one, has its own lesser angle.
        let under = |line: DVec2| -> Option<(f64, DVec3)> {
            let (place, p) = view.support(s, DVec2::new(sign * line.y, -line.x));
            let q = from(p);
            (q.perp_dot(line) - r > SAME && q.x > 0.0)
                .then(|| (tangent(q, r).map_or(f64::INFINITY, DVec2::to_angle), place))
        };
        let (q, near) = corner(&s.area, tyre, sign);
        let lowest = tangent(q, r).map_or(0.0, DVec2::to_angle).max(0.0);
        let step = if near < FAR * r { FINE } else { COARSE };
        let mut look = best.angle;
        let mut line = best.line;
        loop {
            // Down to the least: the lowest place under each line gives the next.
            while let Some((a, place)) = under(line).filter(|(a, _)| *a < best.angle) {
                best.set(a);
                best.at = Some((s, place));
                (look, line) = (a, best.line);
            }
            look -= step;
            if look <= lowest {
                break;
            }
            line = DVec2::from_angle(look);
        }
    });
    best.at.map(|(s, at)| governed(view, s, best.angle, at))
}

fn governed(view: &View, s: &Seen, angle: f64, at: DVec3) -> Governed {
    let t = view.thing(s);
    Governed { angle, name: t.name.clone(), kind: t.kind, at, station: view.part(s).station(at) }
}

/// Height that a place is taken to gain for each unit that it lies off the middle between the tyres, where a first guess
/// is made at which part governs.
const OFF: f64 = 0.3;
/// Halvings of a direction or of a flat: to a thousandth of a micrometre of any part.
const HALVINGS: usize = 32;

/// The sharpest ramp between two tyres that nothing touches, of two sides up to a right angle each; `None` if nothing is
/// in its way.
pub(crate) fn breakover<'v>(view: &'v View, front: &Tyre, rear: &Tyre) -> Option<Governed> {
    let ahead = |p: DVec2| DVec2::new(front.hub.x - p.x, p.y - front.hub.y);
    let behind = |p: DVec2| DVec2::new(p.x - rear.hub.x, p.y - rear.hub.y);
    // Cosines and sines of a place's two angles, and their sum's downhill direction.
    let sum = |p: DVec2| -> Result<([DVec2; 2], DVec2), f64> {
        let (q, w) = (ahead(p), behind(p));
        // A line that stands upright, or leans over, is no ramp's.
        let f = tangent(q, front.loaded).filter(|t| t.x > 0.0).ok_or(-1.0)?;
        let b = tangent(w, rear.loaded).filter(|t| t.x > 0.0).ok_or(1.0)?;
        let slope = |v: DVec2, r: f64| 1.0 / (v.length_squared() - r * r).sqrt().max(SAME);
        let (sf, sb) = (slope(q, front.loaded), slope(w, rear.loaded));
        Ok(([f, b], -DVec2::new(f.y * sf - b.y * sb, f.x * sf + b.x * sb)))
    };
    // Whether the sum falls towards a direction; out of a tyre's circle first.
    let falls = |p: DVec2, along: DVec2| match sum(p) {
        Ok((_, down)) => down.dot(along) > 0.0,
        Err(way) => way * along.x > 0.0,
    };
    // Whether a box may hold a place of a lesser sum: that of the least of each angle is less.
    let passes = |best: &Option<(f64, DVec2, &Seen, DVec3)>, a: &Area| {
        let ((qf, _), (qr, _)) = (corner(a, front, -1.0), corner(a, rear, 1.0));
        if qf.x <= 0.0 || qr.x <= 0.0 {
            return false;
        }
        let Some((_, limit, ..)) = best else { return true };
        if limit.y <= 0.0 {
            // A place under the ground: there may be a lower one.
            return true;
        }
        let least = |q: DVec2, r: f64| tangent(q, r).filter(|t| t.y > 0.0).unwrap_or(DVec2::X);
        // Of angles under half a turn the greater one has the lesser cosine; a place under the ground has one under zero.
        let less = |sum: DVec2| sum.x > if sum.y >= 0.0 { limit.x } else { 0.0 };
        if !less(least(qf, front.loaded).rotate(least(qr, rear.loaded))) {
            return false;
        }
        // Along the underside of the box the sum falls and then rises. Where it rises or falls all along it is least at
        // an end.
        match [(a.lo, DVec2::NEG_X), (DVec2::new(a.hi.x, a.lo.y), DVec2::X)]
            .into_iter()
            .find(|(p, outward)| falls(*p, *outward))
        {
            Some((p, _)) => sum(p).is_ok_and(|([f, b], _)| less(f.rotate(b))),
            None => true,
        }
    };
    let look = |best: &mut Option<(f64, DVec2, &'v Seen, DVec3)>, s: &'v Seen| {
        // Directions downward, from the one of which everything else is ahead to the one of which all is behind.
        let (mut low, mut high) = (DVec2::NEG_X, DVec2::X);
        let mut ends = [view.support(s, low), view.support(s, high)];
        for i in 0..HALVINGS {
            let mid = if i == 0 { DVec2::NEG_Y } else { (low + high).normalize() };
            let at = view.support(s, mid);
            if falls(at.1, mid.perp()) {
                (low, ends[0]) = (mid, at);
            } else {
                (high, ends[1]) = (mid, at);
            }
            if ends[0].1.distance_squared(ends[1].1) < SAME * SAME {
                break;
            }
        }
        // Between the last two directions lies one place, or a flat.
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
        if let Ok(([front, rear], _)) = sum(at(f)) {
            let angle = front.to_angle() + rear.to_angle();
            if best.is_none_or(|(limit, ..)| angle < limit) {
                *best = Some((angle, front.rotate(rear), s, ends[0].0.lerp(ends[1].0, f)));
            }
        }
    };
    // The lowest place between the tyres first: it leaves little to look at.
    let between = |a: &Area| a.hi.x > rear.hub.x && a.lo.x < front.hub.x;
    let mut lowest: (f64, Option<&Seen>) = (f64::INFINITY, None);
    view.walk(
        &mut lowest,
        |low, a| a.lo.y < low.0 && between(a),
        |low, k| {
            let s = &view.seen[k];
            let mid = 0.5 * (front.hub.x + rear.hub.x);
            let off = (s.area.lo.x - mid).max(mid - s.area.hi.x).max(0.0);
            // Away from the middle a place may be higher by so much.
            let low_there = s.area.lo.y + off * OFF;
            if low_there < low.0 && between(&s.area) {
                *low = (low_there, Some(s));
            }
        },
    );
    let mut best = None;
    if let Some(s) = lowest.1 {
        look(&mut best, s);
    }
    view.walk(&mut best, passes, |best, k| {
        let s = &view.seen[k];
        if passes(best, &s.area) {
            look(best, s);
        }
    });
    best.map(|(angle, _, s, at)| governed(view, s, angle, at))
}
