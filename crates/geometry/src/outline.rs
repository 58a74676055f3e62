//! Closed convex outlines in the plane, measured round their perimeter.

use glam::DVec2;
use std::f64::consts::{FRAC_PI_2, TAU};

/// An outline centred on the origin. `x` is the "up" direction of a section, `y` lies clockwise of it.
///
/// The perimeter is measured from the middle of the top (largest x), towards +y.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outline {
    /// A circle.
    Circle {
        /// Radius.
        r: f64,
    },
    /// A rectangle with rounded corners.
    RoundRect {
        /// Half of the extent along x.
        half_x: f64,
        /// Half of the extent along y.
        half_y: f64,
        /// Corner radius, at most the lesser half extent.
        r: f64,
    },
}

/// A place on the perimeter that can be found again on another outline of the same kind: a side or corner, and how far
/// along it (0 to 1). It pairs the outside of a wall with its inside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Station {
    /// 0 for a circle. For a rectangle: 0 the second half of the top, then corner, side, corner, bottom, corner, side,
    /// corner, and 8 the first half of the top.
    pub piece: usize,
    /// 0 to 1 along it.
    pub part: f64,
}

/// Number of pieces of a rounded rectangle's perimeter.
pub const RECT_PIECES: usize = 9;

impl Outline {
    /// Length round.
    pub fn perimeter(&self) -> f64 {
        match *self {
            Outline::Circle { r } => TAU * r,
            Outline::RoundRect { half_x, half_y, r } => 4.0 * (half_x + half_y - 2.0 * r) + TAU * r,
        }
    }

    /// Area within.
    pub fn area(&self) -> f64 {
        match *self {
            Outline::Circle { r } => std::f64::consts::PI * r * r,
            Outline::RoundRect { half_x, half_y, r } => 4.0 * half_x * half_y - (4.0 - std::f64::consts::PI) * r * r,
        }
    }

    /// Second moments of area (∫x², ∫y²) about the centre.
    pub fn second_moments(&self) -> (f64, f64) {
        use std::f64::consts::PI;
        match *self {
            Outline::Circle { r } => (PI * r.powi(4) / 4.0, PI * r.powi(4) / 4.0),
            Outline::RoundRect { half_x, half_y, r } => {
                // The whole rectangle less, at each corner, a square of side r without its quarter circle: area,
                // distance of its centroid from the outer edges' corner, own second moment (EN 10219-2, Annex B).
                let area = (1.0 - PI / 4.0) * r * r;
                let inset = (10.0 - 3.0 * PI) / (12.0 - 3.0 * PI) * r;
                let own = (1.0 / 3.0 - PI / 16.0 - 1.0 / (3.0 * (12.0 - 3.0 * PI))) * r.powi(4);
                let about = |a: f64, b: f64| 4.0 * (b * a.powi(3) / 3.0 - own - area * (a - inset).powi(2));
                (about(half_x, half_y), about(half_y, half_x))
            }
        }
    }

    /// Radius of the smallest circle about the origin that holds it.
    pub fn reach(&self) -> f64 {
        match *self {
            Outline::Circle { r } => r,
            Outline::RoundRect { half_x, half_y, r } => DVec2::new(half_x - r, half_y - r).length() + r,
        }
    }

    /// Farthest extent in a direction: the largest dot product with it, of whatever length it is.
    pub fn support(&self, d: DVec2) -> f64 {
        match *self {
            Outline::Circle { r } => r * d.length(),
            Outline::RoundRect { half_x, half_y, r } => {
                (half_x - r) * d.x.abs() + (half_y - r) * d.y.abs() + r * d.length()
            }
        }
    }

    /// How deep a point lies within; negative outside.
    pub fn depth(&self, p: DVec2) -> f64 {
        match *self {
            Outline::Circle { r } => r - p.length(),
            Outline::RoundRect { half_x, half_y, r } => {
                let over = DVec2::new(p.x.abs() - (half_x - r), p.y.abs() - (half_y - r));
                r - over.max(DVec2::ZERO).length() - over.max_element().min(0.0)
            }
        }
    }

    /// The outline moved outward by `d` (inward if negative); corners keep their centres while they can.
    pub fn grown(&self, d: f64) -> Outline {
        match *self {
            Outline::Circle { r } => Outline::Circle { r: r + d },
            Outline::RoundRect { half_x, half_y, r } => {
                Outline::RoundRect { half_x: half_x + d, half_y: half_y + d, r: (r + d).max(0.0) }
            }
        }
    }

    /// Number of pieces of the perimeter.
    pub fn pieces(&self) -> usize {
        match self {
            Outline::Circle { .. } => 1,
            Outline::RoundRect { .. } => RECT_PIECES,
        }
    }

    /// Length of one piece of the perimeter.
    pub fn piece_length(&self, piece: usize) -> f64 {
        match *self {
            Outline::Circle { r } => TAU * r,
            Outline::RoundRect { half_x, half_y, r } => match piece {
                0 | 8 => half_y - r,
                2 | 6 => 2.0 * (half_x - r),
                4 => 2.0 * (half_y - r),
                _ => FRAC_PI_2 * r,
            },
        }
    }

    /// The station at a distance round the perimeter (any real number; it wraps).
    pub fn station(&self, distance: f64) -> Station {
        let mut d = distance.rem_euclid(self.perimeter());
        let last = self.pieces() - 1;
        for piece in 0..=last {
            let length = self.piece_length(piece);
            if d < length || piece == last {
                return Station { piece, part: if length > 0.0 { (d / length).clamp(0.0, 1.0) } else { 0.0 } };
            }
            d -= length;
        }
        Station { piece: 0, part: 0.0 }
    }

    /// Distance round the perimeter of a station.
    pub fn distance(&self, s: Station) -> f64 {
        (0..s.piece).map(|p| self.piece_length(p)).sum::<f64>() + s.part * self.piece_length(s.piece)
    }

    /// The point at a station.
    pub fn point(&self, s: Station) -> DVec2 {
        match *self {
            Outline::Circle { r } => DVec2::from_angle(s.part * TAU) * r,
            Outline::RoundRect { half_x, half_y, r } => {
                let (fx, fy) = (half_x - r, half_y - r);
                let line = |a: DVec2, b: DVec2| a.lerp(b, s.part);
                let corner = |c: DVec2, from: f64| c + DVec2::from_angle(from + s.part * FRAC_PI_2) * r;
                match s.piece {
                    0 => line(DVec2::new(half_x, 0.0), DVec2::new(half_x, fy)),
                    1 => corner(DVec2::new(fx, fy), 0.0),
                    2 => line(DVec2::new(fx, half_y), DVec2::new(-fx, half_y)),
                    3 => corner(DVec2::new(-fx, fy), FRAC_PI_2),
                    4 => line(DVec2::new(-half_x, fy), DVec2::new(-half_x, -fy)),
                    5 => corner(DVec2::new(-fx, -fy), 2.0 * FRAC_PI_2),
                    6 => line(DVec2::new(-fx, -half_y), DVec2::new(fx, -half_y)),
                    7 => corner(DVec2::new(fx, -fy), 3.0 * FRAC_PI_2),
                    _ => line(DVec2::new(half_x, -fy), DVec2::new(half_x, 0.0)),
                }
            }
        }
    }

    /// Unit outward normal at a station.
    pub fn normal(&self, s: Station) -> DVec2 {
        match *self {
            Outline::Circle { .. } => DVec2::from_angle(s.part * TAU),
            Outline::RoundRect { .. } => match s.piece {
                0 | 8 => DVec2::X,
                2 => DVec2::Y,
                4 => DVec2::NEG_X,
                6 => DVec2::NEG_Y,
                p => DVec2::from_angle((p / 2) as f64 * FRAC_PI_2 + s.part * FRAC_PI_2),
            },
        }
    }

    /// Distance round the perimeter to the place that lies in a direction from the centre (only the angle counts).
    pub fn distance_towards(&self, d: DVec2) -> f64 {
        match *self {
            Outline::Circle { r } => d.to_angle().rem_euclid(TAU) * r,
            Outline::RoundRect { .. } => {
                let Some((_, out)) = self.crossing(DVec2::ZERO, d) else { return 0.0 };
                self.distance_of(d * out)
            }
        }
    }

    /// Distance round the perimeter of a point that lies on it.
    fn distance_of(&self, p: DVec2) -> f64 {
        let Outline::RoundRect { half_x, half_y, r } = *self else { return self.distance_towards(p) };
        let (fx, fy) = (half_x - r, half_y - r);
        let turn = |c: DVec2, from: f64| {
            let a = if r > 0.0 { (p - c).to_angle() - from } else { 0.0 };
            (a.rem_euclid(TAU) / FRAC_PI_2).clamp(0.0, 1.0)
        };
        let along = |half: f64, v: f64| if half > 0.0 { v / half } else { 0.0 };
        let (piece, part) = if p.x.abs() > fx && p.y.abs() > fy {
            let c = DVec2::new(fx.copysign(p.x), fy.copysign(p.y));
            match (p.x > 0.0, p.y > 0.0) {
                (true, true) => (1, turn(c, 0.0)),
                (false, true) => (3, turn(c, FRAC_PI_2)),
                (false, false) => (5, turn(c, 2.0 * FRAC_PI_2)),
                (true, false) => (7, turn(c, 3.0 * FRAC_PI_2)),
            }
        } else if p.x.abs() - half_x > p.y.abs() - half_y {
            match (p.x > 0.0, p.y >= 0.0) {
                (true, true) => (0, along(fy, p.y)),
                (true, false) => (8, 1.0 + along(fy, p.y)),
                (false, _) => (4, 0.5 - 0.5 * along(fy, p.y)),
            }
        } else if p.y > 0.0 {
            (2, 0.5 - 0.5 * along(fx, p.x))
        } else {
            (6, 0.5 + 0.5 * along(fx, p.x))
        };
        self.distance(Station { piece, part })
    }

    /// Where the line `p + s q` lies within the outline: the interval of `s`, or `None`. `q` need not be a unit.
    pub fn crossing(&self, p: DVec2, q: DVec2) -> Option<(f64, f64)> {
        match *self {
            Outline::Circle { r } => circle_crossing(p, q, r),
            Outline::RoundRect { half_x, half_y, r } => rect_crossing(p, q, half_x, half_y, r),
        }
    }
}

/// Interval of `s` in which `p + s q` lies within a circle about the origin. A line that only touches is a miss.
fn circle_crossing(p: DVec2, q: DVec2, r: f64) -> Option<(f64, f64)> {
    let qq = q.length_squared();
    if qq == 0.0 {
        return (p.length_squared() < r * r).then_some((f64::NEG_INFINITY, f64::INFINITY));
    }
    // The half chord from the distance of the line to the centre: no cancellation for lines that start far away.
    let mid = -p.dot(q) / qq;
    let d = p.perp_dot(q);
    let half = r * r * qq - d * d;
    if half <= 0.0 {
        return None;
    }
    let half = half.sqrt() / qq;
    Some((mid - half, mid + half))
}

fn rect_crossing(p: DVec2, q: DVec2, hx: f64, hy: f64, r: f64) -> Option<(f64, f64)> {
    let slab = |p: f64, q: f64, h: f64| -> Option<(f64, f64)> {
        if q == 0.0 {
            return (p.abs() < h).then_some((f64::NEG_INFINITY, f64::INFINITY));
        }
        let (a, b) = ((-h - p) / q, (h - p) / q);
        Some((a.min(b), a.max(b)))
    };
    let (x0, x1) = slab(p.x, q.x, hx)?;
    let (y0, y1) = slab(p.y, q.y, hy)?;
    let (s0, s1) = (x0.max(y0), x1.min(y1));
    if s0 >= s1 {
        return None;
    }
    if r <= 0.0 || s0 == f64::NEG_INFINITY && s1 == f64::INFINITY && q == DVec2::ZERO {
        return (r <= 0.0 || in_rounded(p, hx, hy, r)).then_some((s0, s1));
    }
    let (fx, fy) = (hx - r, hy - r);
    // Where the line comes in at a cut corner of the bounding rectangle, the corner's circle decides; if it misses
    // that circle, it leaves through the rectangle's side without touching the outline.
    let at_corner = |s: f64| -> Option<DVec2> {
        let at = p + q * s;
        (at.x.abs() > fx && at.y.abs() > fy).then(|| DVec2::new(fx.copysign(at.x), fy.copysign(at.y)))
    };
    let enter = match at_corner(s0) {
        Some(c) => circle_crossing(p - c, q, r).map(|i| i.0).filter(|&s| s < s1)?,
        None => s0,
    };
    let exit = match at_corner(s1) {
        Some(c) => circle_crossing(p - c, q, r).map(|i| i.1).filter(|&s| s > s0)?,
        None => s1,
    };
    (enter < exit).then_some((enter, exit))
}

fn in_rounded(p: DVec2, hx: f64, hy: f64, r: f64) -> bool {
    let d = DVec2::new((p.x.abs() - (hx - r)).max(0.0), (p.y.abs() - (hy - r)).max(0.0));
    d.length_squared() < r * r
}

#[cfg(test)]
mod tests {
    use super::*;

    const RECT: Outline = Outline::RoundRect { half_x: 0.04, half_y: 0.025, r: 0.006 };

    #[test]
    fn perimeter_walk_is_continuous_closed_and_on_the_outline() {
        for o in [RECT, Outline::Circle { r: 0.02 }, Outline::RoundRect { half_x: 0.02, half_y: 0.03, r: 0.0 }] {
            let n = 5000;
            let step = o.perimeter() / n as f64;
            let mut last = o.point(o.station(-step));
            for i in 0..=n {
                let d = i as f64 * step;
                let s = o.station(d);
                let p = o.point(s);
                assert!((p - last).length() <= step * 1.000001, "{o:?} {d}");
                last = p;
                let back = o.distance_towards(p);
                let gap = (back - d).abs();
                assert!(gap.min(o.perimeter() - gap) < 1e-12, "{o:?}: {d} came back as {back}");
                // Behind a sharp corner the nearest side may be the other one.
                let behind = o.depth(p - o.normal(s) * 1e-3) - 1e-3;
                assert!(o.depth(p).abs() < 1e-15 && behind < 1e-12);
                assert!(behind > -1e-12 || matches!(o, Outline::RoundRect { r: 0.0, .. }));
                assert!((o.support(o.normal(s)) - p.dot(o.normal(s))).abs() < 1e-15, "{o:?}");
            }
        }
    }

    #[test]
    fn rays_meet_the_perimeter_they_were_aimed_at() {
        for o in [RECT, Outline::Circle { r: 0.02 }] {
            for i in 0..400 {
                let target = o.point(o.station(i as f64 * o.perimeter() / 400.0));
                for k in 0..16 {
                    let n = o.normal(o.station(i as f64 * o.perimeter() / 400.0));
                    let dir = -DVec2::from_angle(n.to_angle() + (k as f64 - 7.5) * 0.19);
                    let from = target - dir * 3.0;
                    let hit = o.crossing(from, dir).expect("a ray from outside that points inward hits");
                    assert!((from + dir * hit.0 - target).length() < 1e-12, "{o:?} {i} {k}");
                    assert!(hit.1 > hit.0);
                }
            }
        }
    }

    #[test]
    fn lines_that_pass_a_rounded_corner_miss() {
        let c = DVec2::new(0.034, 0.019);
        let dir = DVec2::new(1.0, -1.0).normalize();
        let out = DVec2::new(1.0, 1.0).normalize();
        assert_eq!(RECT.crossing(c + out * 0.006001 - dir, dir), None);
        assert!(RECT.crossing(c + out * 0.005999 - dir, dir).is_some());
    }

    #[test]
    fn second_moments_agree_with_the_polygon() {
        let n = 40000;
        let pts: Vec<_> = (0..n).map(|i| RECT.point(RECT.station(i as f64 * RECT.perimeter() / n as f64))).collect();
        let (xx, yy, _) = crate::polygon::second_moments(&pts);
        let (sx, sy) = RECT.second_moments();
        assert!((xx / sx - 1.0).abs() < 1e-7 && (yy / sy - 1.0).abs() < 1e-7);
    }

    #[test]
    fn area_agrees_with_the_shoelace_sum() {
        let n = 40000;
        let pts: Vec<_> = (0..n).map(|i| RECT.point(RECT.station(i as f64 * RECT.perimeter() / n as f64))).collect();
        let sum: f64 = (0..n).map(|i| pts[i].perp_dot(pts[(i + 1) % n])).sum();
        assert!((sum / 2.0 - RECT.area()).abs() < 1e-10);
    }
}
