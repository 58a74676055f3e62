//! Where a saddle stands, and the block that it is carved from.

use design::Jig;
use geometry::{DVec2, DVec3, Frame, Outline, Segment};
use shape::{End, Shape, Tube};

use super::seat::{Seat, seat};
use super::solid::Half;
use super::{Host, SaddleAsk, Where, prism};

use crate::world::Face;

/// A slot for a tie, along b.
pub struct Slot {
    /// Its corners in (a, w).
    pub corners: [DVec2; 4],
    /// Its half-spaces.
    pub halves: Vec<Half>,
    /// Where along the held axis it is.
    mid: f64,
}

/// A block in its own axes (a, w, b), and what is to be taken from it.
pub struct Block {
    /// Origin and axes in the frame.
    pub origin: DVec3,
    pub axes: [DVec3; 3],
    /// Convex, anticlockwise, in (a, w).
    pub polygon: Vec<DVec2>,
    /// Extent along b.
    pub low: f64,
    pub high: f64,
    /// Hollow for the held tube.
    pub channel: Vec<Half>,
    /// Hollow for what it sits on, if that is no flat.
    pub host: Option<Vec<Half>>,
    /// A point of the held axis, its direction, and the direction of support.
    pub axis: [DVec3; 2],
    pub support: DVec3,
    pub radius: f64,
    /// From the axis to the deepest corner of the channel.
    pub deep: f64,
    /// Where along the held axis from its point the seat runs.
    pub run: [f64; 2],
    /// The same from the tube's start.
    pub seat: [f64; 2],
    /// Under this w the host is, or may be.
    pub lift: f64,
    pub notes: Vec<String>,
}

/// Steepest lean across a box's face, and of a tube over what it passes (cosines and sines of 35, 20 and 40 degrees).
const LEAN: f64 = 0.819_152;
const FLATTEST: f64 = 0.342_020;
const STEEPEST: f64 = 0.642_788;
/// An angle this little over square (sine of 10 degrees) still leaves room on its obtuse side.
const OBTUSE: f64 = 0.173_648;

impl Block {
    /// The block itself.
    pub fn halves(&self) -> Vec<Half> {
        prism(&self.polygon, self.low, self.high)
    }

    /// Whether a convex figure lies within the block's side and above what it sits on, by a margin.
    pub fn holds(&self, corners: &[DVec2], margin: f64) -> bool {
        corners.iter().all(|&c| {
            c.y >= self.lift + margin
                && geometry::polygon::edges(&self.polygon)
                    .all(|(p, q)| (q - p).normalize_or_zero().perp_dot(c - p) >= margin)
        })
    }

    /// Slots for ties under the seat that there is room for.
    pub fn slots(&self, print: &Jig) -> Vec<Slot> {
        let [p, t] = self.axis.map(|x| x.truncate());
        let s = self.support.truncate();
        let from = self.deep + print.wall / 2.0;
        let mut out = Vec::new();
        // Each tie has its share of the seat, and goes as near the middle of it as there is room.
        let share = (self.run[1] - self.run[0]) / print.ties.max(1) as f64;
        for i in 0..print.ties {
            for shift in [0.0, 0.1, -0.1, 0.2, -0.2, 0.3, -0.3, 0.4, -0.4] {
                let mid = self.run[0] + share * (i as f64 + 0.5 + shift);
                let at = |along: f64, deep: f64| p + t * (mid + along) + s * deep;
                let (half, to) = (print.tie[0] / 2.0, from + print.tie[1]);
                let mut corners = [at(-half, from), at(half, from), at(half, to), at(-half, to)];
                if geometry::polygon::signed_area(&corners) < 0.0 {
                    corners.reverse();
                }
                let alone = out.iter().all(|o: &Slot| o.mid + print.tie[0] + print.wall / 2.0 < mid);
                if alone && self.holds(&corners, print.wall / 2.0) {
                    let halves = prism(&corners, self.low - print.wall, self.high + print.wall);
                    out.push(Slot { corners, halves: halves[2..].to_vec(), mid });
                    break;
                }
            }
        }
        out
    }
}

fn local(axes: &[DVec3; 3], d: DVec3) -> DVec3 {
    DVec3::new(d.dot(axes[0]), d.dot(axes[1]), d.dot(axes[2]))
}

/// What of a host lies under the saddle.
struct Under {
    seat: Option<Vec<Half>>,
    /// Sideways from its middle to the outside of the saddle's skirts, square to g.
    reach: f64,
    /// How far the skirts hang down.
    skirt: f64,
}

/// Places the block for what is asked.
pub fn place(shape: &Shape, index: usize, ask: &SaddleAsk, print: &Jig) -> Result<Block, String> {
    let tube = &shape.tubes[index];
    let host = match &ask.host {
        Host::Tube(name) if *name == tube.name => return Err("it can't sit on itself".to_owned()),
        Host::Tube(name) => {
            Some(shape.find(name).map(|i| &shape.tubes[i]).ok_or_else(|| format!("there is no tube {name}"))?)
        }
        Host::Flat { .. } => None,
    };
    match (host, ask.at) {
        (Some(h), Where::Joint(end)) => corner(tube, end, h, print),
        (_, Where::Station(s)) => over(tube, s, host, &ask.host, print),
        (None, Where::Joint(end)) => {
            let back = print.clear + print.length / 2.0;
            let s = if end == End::Start { back } else { tube.chain.length() - back };
            over(tube, s, None, &ask.host, print)
        }
    }
}

/// The straight leg at a station: how far it runs on to each side.
fn leg(t: &Tube, s: f64) -> Result<[f64; 2], String> {
    let (i, d) = t.chain.locate(s);
    match t.chain.segments[i] {
        Segment::Leg { length, .. } => Ok([d, length - d]),
        Segment::Arc { .. } => Err(format!("{} is bent there", t.name)),
    }
}

/// The host's seat seen from the saddle; `f` its section's frame there, `n` towards the saddle.
fn under(host: &Tube, f: &Frame, n: DVec3, origin: DVec3, axes: &[DVec3; 3], print: &Jig) -> Under {
    let at = local(axes, f.origin - origin);
    let dirs = [local(axes, f.u), local(axes, f.v)];
    let (t, n) = (local(axes, f.t), local(axes, n));
    let own: Seat = seat(&host.outline, at, t, dirs, n, print);
    match host.outline {
        Outline::Circle { r } => {
            let wrap = print.wrap / 2.0;
            Under {
                seat: Some(own.halves),
                reach: r * wrap.sin() + print.clearance + print.wall,
                skirt: r * (1.0 - wrap.cos()),
            }
        }
        Outline::RoundRect { half_x, half_y, r } => {
            let face = Face::ALL.into_iter().max_by(|a, b| {
                let d = |x: &Face| local(axes, x.of(f, 0.0, 0.0).0).dot(n);
                d(a).total_cmp(&d(b))
            });
            let (_, depth, width) = face.unwrap_or(Face::Scribe).of(f, half_x, half_y);
            Under {
                seat: Some(own.halves),
                reach: width + print.clearance + print.wall,
                skirt: (r + print.grip).min(depth),
            }
        }
    }
}

/// In the acute corner between a tube's end and the tube that it lands on.
fn corner(tube: &Tube, end: End, host: &Tube, print: &Jig) -> Result<Block, String> {
    let out = tube.outward(end);
    let (p, t) = (out.origin, -out.t);
    let (sh, away) = host.chain.nearest(p);
    if away > host.outline.reach() + tube.outline.reach() {
        return Err(format!("its {} is not at {}", end.word(), host.name));
    }
    let room = leg(host, sh)?;
    let hf = host.frame_at(sh);
    let forward = if hf.t.dot(t).abs() < geometry::SAME_PLACE { room[1] >= room[0] } else { hf.t.dot(t) > 0.0 };
    let try_side = |forward: bool| {
        let h = if forward { hf.t } else { -hf.t };
        beside(tube, end, host, &hf, h, room[forward as usize], p, t, print)
    };
    match try_side(forward) {
        Err(_) if hf.t.dot(t).abs() < OBTUSE => try_side(!forward),
        r => r,
    }
}

#[allow(clippy::too_many_arguments)]
fn beside(
    tube: &Tube,
    end: End,
    host: &Tube,
    hf: &Frame,
    h: DVec3,
    room: f64,
    p: DVec3,
    t: DVec3,
    print: &Jig,
) -> Result<Block, String> {
    let cos = h.dot(t);
    let sin = (1.0 - cos * cos).max(0.0).sqrt();
    if sin < FLATTEST {
        return Err(format!("it lies too flat along {}", host.name));
    }
    let w = ((t - h * cos) / sin).normalize();
    let axes = [h, w, h.cross(w)];
    let b = axes[2];
    let q = hf.origin;
    // The point of the held axis at the host's face, and the face's normal.
    let (origin, n, g) = match host.outline {
        Outline::Circle { r } => {
            let o = p + t * ((r - (p - q).dot(w)) / sin);
            if (o - q).dot(b).abs() > r / 2.0 {
                return Err(format!("its axis passes too far beside that of {}", host.name));
            }
            (o, w, b)
        }
        Outline::RoundRect { half_x, half_y, .. } => {
            let (n, depth, width) = Face::towards(hf, t).of(hf, half_x, half_y);
            if n.dot(w) < LEAN {
                return Err(format!("it leans too far across the face of {}", host.name));
            }
            let o = p + t * ((q + n * depth - p).dot(n) / t.dot(n));
            let g = h.cross(n);
            if (o - q).dot(g).abs() > width {
                return Err(format!("its axis lands beside the flat of {}", host.name));
            }
            (o, n, g)
        }
    };
    let tan_lean = (n.dot(b) / n.dot(w)).abs();
    let u = under(host, hf, n, origin, &axes, print);
    let out = tube.outward(end);
    let s = (h - t * cos) / sin;
    let own = seat(
        &tube.outline,
        DVec3::ZERO,
        local(&axes, t),
        [local(&axes, out.u), local(&axes, out.v)],
        local(&axes, s),
        print,
    );
    let across = tube.outline.support(out.across(b));
    let half = across + print.clearance + print.wall;
    let middle = (q - origin).dot(g) / b.dot(g);
    let skirts = u.reach / b.dot(g).abs() + u.skirt * tan_lean;
    let (low, high) = ((-half).min(middle - skirts), half.max(middle + skirts));
    let drop = low.abs().max(high) * tan_lean;
    let lost = (across + print.clearance) * tan_lean;
    let foot = (own.radius + lost * cos.abs()) / sin + print.clear;
    let from = (own.radius * cos + lost) / sin + print.clear;
    let to = from + print.length;
    let (t2, s2) = (DVec2::new(cos, sin), DVec2::new(sin, -cos));
    // The face that looks to the weld is one plane, from the seat's edge by way of the foot to the skirts' lower edge.
    let edge = t2 * from + s2 * own.below;
    let bottom = -u.skirt - drop;
    if edge.y - drop < print.wall {
        return Err("there is no room for it in the corner".to_owned());
    }
    let foot_low = foot + (foot - edge.x) / (edge.y - drop) * (drop - bottom);
    let heel = (foot + print.length).max(foot_low + print.length / 2.0);
    let lambda = (origin - p).dot(t);
    if lambda + to > tube.end_leg(end) {
        return Err("it is bent, or ends, too near the joint".to_owned());
    }
    if heel + (origin - q).dot(h) > room {
        return Err(format!("{} bends or ends too near the joint", host.name));
    }
    let polygon = vec![
        DVec2::new(foot_low, bottom),
        DVec2::new(heel, bottom),
        DVec2::new(heel, drop + print.wall),
        // Square to the tube down to below the seat, so that the seat is whole to its end.
        t2 * to + s2 * (own.deep + print.wall),
        t2 * to + s2 * own.below,
        edge,
    ];
    let k = polygon.len();
    if (0..k).any(|i| (polygon[(i + 1) % k] - polygon[i]).perp_dot(polygon[(i + 2) % k] - polygon[(i + 1) % k]) <= 0.0)
    {
        return Err("there is no room for it in the corner".to_owned());
    }
    let station = |x: f64| if end == End::Start { lambda + x } else { tube.chain.length() - lambda - x };
    Ok(Block {
        origin,
        axes,
        polygon,
        low,
        high,
        channel: own.halves,
        host: u.seat,
        axis: [DVec3::ZERO, local(&axes, t)],
        support: local(&axes, s),
        radius: own.radius,
        deep: own.deep,
        run: [from, to],
        seat: [station(from), station(to)],
        lift: drop,
        notes: Vec::new(),
    })
}

/// Under a tube that passes over another, or over a flat.
fn over(tube: &Tube, station: f64, host: Option<&Tube>, flat: &Host, print: &Jig) -> Result<Block, String> {
    if !(0.0..=tube.chain.length()).contains(&station) {
        return Err("it is not as long as that".to_owned());
    }
    let f = tube.frame_at(station);
    let (p, t) = (f.origin, f.t);
    let room = leg(tube, station)?;
    let hf = host.map(|h| h.frame_at(h.chain.nearest(p).0));
    let (n, face) = match (host, &hf, flat) {
        (Some(h), Some(hf), _) => {
            leg(h, h.chain.nearest(p).0)?;
            let way = p - hf.origin;
            match h.outline {
                Outline::Circle { r } => {
                    let n = (way - hf.t * way.dot(hf.t)).try_normalize().ok_or("the two axes cross there")?;
                    (n, hf.origin + n * r)
                }
                Outline::RoundRect { half_x, half_y, .. } => {
                    let (n, depth, _) = Face::towards(hf, way).of(hf, half_x, half_y);
                    (n, hf.origin + n * depth)
                }
            }
        }
        (_, _, Host::Flat { point, normal }) => (normal.try_normalize().ok_or("the flat has no normal")?, *point),
        _ => return Err("there is nothing for it to sit on".to_owned()),
    };
    let sin = t.dot(n);
    if sin.abs() > STEEPEST {
        return Err("it stands too steep over what is under it".to_owned());
    }
    let cos = (1.0 - sin * sin).sqrt();
    let a = ((t - n * sin) / cos).normalize();
    let axes = [a, n, a.cross(n)];
    let b = axes[2];
    let height = (p - face).dot(n);
    let origin = p - n * height;
    let s = (t * sin - n) / cos;
    let axis = DVec3::Y * height;
    let own =
        seat(&tube.outline, axis, local(&axes, t), [local(&axes, f.u), local(&axes, f.v)], local(&axes, s), print);
    let half = tube.outline.support(f.across(b)) + print.clearance + print.wall;
    let (mut a_lo, mut a_hi, mut low, mut high) = (-print.length / 2.0, print.length / 2.0, -half, half);
    let mut under_it = Under { seat: None, reach: 0.0, skirt: 0.0 };
    if let (Some(h), Some(hf)) = (host, &hf) {
        under_it = under(h, hf, n, origin, &axes, print);
        let g = hf.t.cross(n).normalize();
        let off = (hf.origin - origin).dot(g);
        let (ga, gb) = (a.dot(g), b.dot(g));
        if gb.abs() >= ga.abs() {
            let (mid, reach) = (off / gb, under_it.reach / gb.abs());
            (low, high) = (low.min(mid - reach), high.max(mid + reach));
        } else {
            let (mid, reach) = (off / ga, under_it.reach / ga.abs());
            (a_lo, a_hi) = (a_lo.min(mid - reach), a_hi.max(mid + reach));
        }
    }
    // The least thickness under the seat.
    let thin = height * cos - own.deep - a_lo.abs().max(a_hi) * sin.abs();
    if thin < print.wall / 2.0 {
        return Err("there is no room between it and what is under it".to_owned());
    }
    let top = |x: f64| {
        let along = (x - sin * own.below) / cos;
        DVec2::new(x, height + sin * along - cos * own.below)
    };
    let run = [a_lo / cos, a_hi / cos];
    if station + run[0] < station - room[0] || run[1] > room[1] {
        return Err("it is bent, or ends, too near".to_owned());
    }
    let polygon = vec![DVec2::new(a_lo, -under_it.skirt), DVec2::new(a_hi, -under_it.skirt), top(a_hi), top(a_lo)];
    Ok(Block {
        origin,
        axes,
        polygon,
        low,
        high,
        channel: own.halves,
        host: under_it.seat,
        axis: [axis, local(&axes, t)],
        support: local(&axes, s),
        radius: own.radius,
        deep: own.deep,
        run,
        seat: run.map(|x| station + x),
        lift: 0.0,
        notes: Vec::new(),
    })
}
