//! What a measurement should read for given places, and how that changes with them.

use glam::{DMat3, DVec2, DVec3};

use crate::network::Axis;

/// What is measured, with points, set-ups by number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Sight {
    Distance(usize, usize),
    LevelDistance(usize, usize),
    /// Point, set-up.
    Height(usize, usize),
    Rise(usize, usize),
    Offset(usize, usize, Axis),
    /// Point, place, unit normal.
    FromPlane(usize, DVec3, DVec3),
    /// Point, from, to.
    FromString(usize, usize, usize),
    Slope(usize, usize),
    /// Where lines meet, one, other.
    Bevel(usize, usize, usize),
    /// A coordinate held near its place.
    Coordinate(usize, usize),
    /// A part of the tilt held near its value.
    TiltPart(usize),
}

impl Sight {
    /// The points that it is about.
    pub(crate) fn points(&self) -> Vec<usize> {
        use Sight::*;
        match *self {
            Distance(a, b) | LevelDistance(a, b) | Rise(a, b) | Offset(a, b, _) | Slope(a, b) => vec![a, b],
            FromString(a, b, c) | Bevel(a, b, c) => vec![a, b, c],
            Height(a, _) | FromPlane(a, ..) | Coordinate(a, _) => vec![a],
            TiltPart(_) => vec![],
        }
    }

    /// Whether gravity has a part in it.
    pub(crate) fn by_gravity(&self) -> bool {
        use Sight::*;
        matches!(self, LevelDistance(..) | Height(..) | Rise(..) | Offset(..) | FromString(..) | Slope(..))
    }
}

/// Where on each of its points, in the order of [`Sight::points`], a measurement was taken: added to their places, m.
pub(crate) type Marks = [DVec3; 3];

/// A measurement that was taken at the points themselves.
pub(crate) const AT_POINTS: Marks = [DVec3::ZERO; 3];

/// A state of everything that may be unknown.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct State {
    pub points: Vec<DVec3>,
    pub levels: Vec<f64>,
    pub tilt: [f64; 2],
}

/// The turn of the level axes in design axes, and its change with both parts of the tilt.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Level {
    turn: DMat3,
    change: [DMat3; 2],
}

/// Under this angle the coefficients' series are used: their next terms are under 1e-12 there.
const SMALL: f64 = 1e-2;

impl Level {
    pub(crate) fn new(tilt: [f64; 2]) -> Level {
        let cross = |v: DVec3| DMat3::from_cols(v.cross(DVec3::X), v.cross(DVec3::Y), v.cross(DVec3::Z));
        let w = DVec3::new(tilt[0], tilt[1], 0.0);
        let t = w.length();
        let t2 = t * t;
        let (s, c, ds, dc) = if t < SMALL {
            (
                1.0 - t2 / 6.0 + t2 * t2 / 120.0,
                0.5 - t2 / 24.0 + t2 * t2 / 720.0,
                -1.0 / 3.0 + t2 / 30.0 - t2 * t2 / 840.0,
                -1.0 / 12.0 + t2 / 180.0 - t2 * t2 / 6720.0,
            )
        } else {
            let (sin, cos) = t.sin_cos();
            (sin / t, (1.0 - cos) / t2, (t * cos - sin) / (t2 * t), (t * sin - 2.0 * (1.0 - cos)) / (t2 * t2))
        };
        let k = cross(w);
        let turn = DMat3::IDENTITY + k * s + k * k * c;
        let change = [0, 1].map(|i| {
            let e = cross(DVec3::AXES[i]);
            e * s + k * (ds * tilt[i]) + k * k * (dc * tilt[i]) + (e * k + k * e) * c
        });
        Level { turn, change }
    }

    /// "Up" in design axes.
    pub(crate) fn up(&self) -> DVec3 {
        self.turn.z_axis
    }

    fn seen(&self, v: DVec3) -> DVec3 {
        self.turn.transpose() * v
    }
}

/// What a measurement should read, and its derivatives.
#[derive(Clone, Debug, Default)]
pub(crate) struct Reading {
    pub value: f64,
    /// By the places of points.
    pub points: Vec<(usize, DVec3)>,
    /// By the height of a set-up.
    pub level: Option<(usize, f64)>,
    /// By the tilt.
    pub tilt: [f64; 2],
}

/// A vector from one point, or from the origin, to another.
#[derive(Clone, Copy)]
struct Way {
    from: Option<usize>,
    to: usize,
    v: DVec3,
}

impl Reading {
    /// A function of some vectors in level axes, each from one point to another (or of one point): its derivatives by
    /// those vectors handed on.
    fn of_level(value: f64, parts: &[(Way, DVec3)], level: &Level) -> Reading {
        let mut r = Reading { value, ..Reading::default() };
        for &(Way { from, to, v }, by) in parts {
            let own = level.turn * by;
            r.points.push((to, own));
            r.points.extend(from.map(|f| (f, -own)));
            for k in 0..2 {
                r.tilt[k] += (level.change[k].transpose() * v).dot(by);
            }
        }
        r
    }
}

/// What `sight`, taken at marks, reads in state `s`.
pub(crate) fn read(sight: &Sight, marks: &Marks, s: &State, level: &Level) -> Reading {
    // Points come with their number among the sight's own.
    let at = |(p, k): (usize, usize)| s.points[p] + marks[k];
    let way = |a: (usize, usize), b: (usize, usize)| Way { from: Some(a.0), to: b.0, v: at(b) - at(a) };
    match *sight {
        Sight::Distance(a, b) => {
            let d = way((a, 0), (b, 1)).v;
            let u = d.normalize_or_zero();
            Reading { value: d.length(), points: vec![(b, u), (a, -u)], ..Reading::default() }
        }
        Sight::LevelDistance(a, b) => {
            let way = way((a, 0), (b, 1));
            let q = level.seen(way.v);
            let u = q.truncate().normalize_or_zero();
            Reading::of_level(q.truncate().length(), &[(way, u.extend(0.0))], level)
        }
        Sight::Height(p, k) => {
            let way = Way { from: None, to: p, v: at((p, 0)) };
            let mut r = Reading::of_level(level.seen(way.v).z - s.levels[k], &[(way, DVec3::Z)], level);
            r.level = Some((k, -1.0));
            r
        }
        Sight::Rise(a, b) => {
            let way = way((a, 0), (b, 1));
            Reading::of_level(level.seen(way.v).z, &[(way, DVec3::Z)], level)
        }
        Sight::Offset(a, b, axis) => {
            let e = match axis {
                Axis::X => DVec3::X,
                Axis::Y => DVec3::Y,
            };
            let way = way((a, 0), (b, 1));
            Reading::of_level(level.seen(way.v).dot(e), &[(way, e)], level)
        }
        Sight::FromPlane(p, through, normal) => {
            let value = (at((p, 0)) - through).dot(normal);
            Reading { value, points: vec![(p, normal)], ..Reading::default() }
        }
        Sight::FromString(p, a, b) => {
            let (along, to) = (way((a, 1), (b, 2)), way((a, 1), (p, 0)));
            let h = level.seen(along.v).truncate();
            let q = level.seen(to.v).truncate();
            let long = h.length();
            if long == 0.0 {
                return Reading::default();
            }
            let value = h.perp_dot(q) / long;
            let by_q = DVec2::new(-h.y, h.x) / long;
            let by_h = DVec2::new(q.y, -q.x) / long - h * (value / (long * long));
            Reading::of_level(value, &[(to, by_q.extend(0.0)), (along, by_h.extend(0.0))], level)
        }
        Sight::Slope(a, b) => {
            let way = way((a, 0), (b, 1));
            let q = level.seen(way.v);
            let (flat, l2) = (q.truncate().length(), q.length_squared());
            if flat == 0.0 {
                return Reading { value: q.z.atan2(0.0), ..Reading::default() };
            }
            let by = DVec3::new(-q.z * q.x / (flat * l2), -q.z * q.y / (flat * l2), flat / l2);
            Reading::of_level(q.z.atan2(flat), &[(way, by)], level)
        }
        Sight::Bevel(o, a, b) => {
            let (u, v) = (way((o, 0), (a, 1)).v, way((o, 0), (b, 2)).v);
            let (sin, cos) = (u.cross(v).length(), u.dot(v));
            let value = sin.atan2(cos);
            let size = u.length() * v.length();
            if sin == 0.0 || size == 0.0 {
                return Reading { value, ..Reading::default() };
            }
            let (cos, sin) = (cos / size, sin / size);
            let (ud, vd) = (u.normalize(), v.normalize());
            let by_u = (ud * cos - vd) / (u.length() * sin);
            let by_v = (vd * cos - ud) / (v.length() * sin);
            Reading { value, points: vec![(a, by_u), (b, by_v), (o, -by_u - by_v)], ..Reading::default() }
        }
        Sight::Coordinate(p, k) => {
            Reading { value: s.points[p][k], points: vec![(p, DVec3::AXES[k])], ..Reading::default() }
        }
        Sight::TiltPart(k) => {
            let mut r = Reading { value: s.tilt[k], ..Reading::default() };
            r.tilt[k] = 1.0;
            r
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn derivatives_are_those_of_the_values() {
        let points = vec![
            DVec3::new(0.1, 0.2, 0.3),
            DVec3::new(1.3, -0.4, 0.9),
            DVec3::new(-0.5, 0.8, 1.7),
            DVec3::new(0.6, 1.1, -0.4),
        ];
        let sights = [
            Sight::Distance(0, 1),
            Sight::LevelDistance(1, 2),
            Sight::Height(2, 0),
            Sight::Rise(1, 3),
            Sight::Offset(0, 2, Axis::X),
            Sight::Offset(3, 2, Axis::Y),
            Sight::FromPlane(1, DVec3::new(0.2, 0.1, 0.0), DVec3::new(0.6, 0.0, 0.8)),
            Sight::FromString(2, 0, 1),
            Sight::Slope(3, 1),
            Sight::Bevel(0, 1, 3),
            Sight::Coordinate(3, 1),
            Sight::TiltPart(1),
        ];
        // A step that leaves 1e-10 of both truncation and rounding.
        let h = 1e-6;
        for tilt in [[0.0, 0.0], [0.004, -0.007], [0.02, 0.03]] {
            let s = State { points: points.clone(), levels: vec![0.7], tilt };
            let off = [DVec3::new(0.02, -0.03, 0.01), DVec3::new(-0.01, 0.02, 0.04), DVec3::new(0.03, 0.01, -0.02)];
            for (sight, marks) in sights.iter().flat_map(|x| [(x, AT_POINTS), (x, off)]) {
                let r = read(sight, &marks, &s, &Level::new(tilt));
                let at = |s: &State| read(sight, &marks, s, &Level::new(s.tilt)).value;
                let slope = |f: &dyn Fn(&mut State, f64)| {
                    let (mut up, mut down) = (s.clone(), s.clone());
                    f(&mut up, h);
                    f(&mut down, -h);
                    (at(&up) - at(&down)) / (2.0 * h)
                };
                for p in 0..4 {
                    let own: DVec3 = r.points.iter().filter(|x| x.0 == p).map(|x| x.1).sum();
                    for k in 0..3 {
                        let want = slope(&|s, d| s.points[p][k] += d);
                        assert!((own[k] - want).abs() < 1e-8, "{sight:?} by {p}.{k}: {} {want}", own[k]);
                    }
                }
                for k in 0..2 {
                    let want = slope(&|s, d| s.tilt[k] += d);
                    assert!((r.tilt[k] - want).abs() < 1e-8, "{sight:?} by tilt {k}: {} {want}", r.tilt[k]);
                }
                let want = slope(&|s, d| s.levels[0] += d);
                assert!((r.level.map_or(0.0, |l| l.1) - want).abs() < 1e-8);
            }
        }
    }

    #[test]
    fn up_leans_as_the_page_says() {
        let up = Level::new([0.01, 0.0]).up();
        assert!(up.y < 0.0 && up.x == 0.0);
        let up = Level::new([0.0, 0.01]).up();
        assert!(up.x > 0.0 && up.y == 0.0);
        assert!((up.length() - 1.0).abs() < 1e-15);
    }
}
