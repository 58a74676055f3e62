//! The room that wheels sweep through travel and steer, against every tube.

use std::f64::consts::{FRAC_PI_2, PI};

use design::TubeState;
use geometry::convex::{Core, swept_along};
use geometry::distance::segment_segment;
use geometry::{Convex, DVec3, Frame, Segment};
use serde::Serialize;
use shape::Shape;
use shape::bodies::BodyKind;

/// Least distances are known to this, m: a tenth of a millimetre.
pub const KNOWN: f64 = 1e-4;
/// Most golden sections of a leg: enough for a hundredth of a millimetre on any leg up to two kilometres.
const ALONG: usize = 40;

/// A wheel's room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Room {
    /// The wheel.
    pub wheel: String,
    /// The tube that it comes nearest to; `None` without tubes.
    pub tube: Option<String>,
    /// Least distance, m; zero or less where they touch.
    pub distance: f64,
    /// Travel of the hub there, up positive, m.
    pub travel: f64,
    /// Steer there, to the left positive, rad.
    pub steer: f64,
    /// Where on the tube, m: on its centreline if it is round.
    pub at: DVec3,
    /// Every tube that it touches somewhere.
    pub touches: Vec<String>,
}

/// A wheel swept from droop to bump, and how far it steers.
struct Sweep {
    hub: DVec3,
    radius: f64,
    half: f64,
    bump: f64,
    droop: f64,
    steer: f64,
}

impl Sweep {
    /// Distance of a place from the sweep at a steer; minus the radius's or the thickness's share within.
    fn distance(&self, (sin, cos): (f64, f64), p: DVec3) -> f64 {
        let d = p - self.hub;
        let across = (d.y * cos - d.x * sin).abs() - self.half;
        let along = d.x * cos + d.y * sin;
        let up = d.z - d.z.clamp(-self.droop, self.bump);
        let out = (along * along + up * up).sqrt() - self.radius;
        if across <= 0.0 || out <= 0.0 { across.max(out) } else { (across * across + out * out).sqrt() }
    }

    /// Least distance from a segment, and where along it. One that is certainly not under the limit may be told short.
    fn segment(&self, steer: (f64, f64), a: DVec3, b: DVec3, limit: f64) -> (f64, f64) {
        // The sweep is convex, so the distance falls and then rises; golden sections, one look each.
        const G: f64 = 0.618_033_988_749_894_8;
        let f = |t: f64| self.distance(steer, a.lerp(b, t));
        let (mut lo, mut hi) = (0.0, 1.0);
        let (mut c, mut d) = (1.0 - G, G);
        let (mut fc, mut fd) = (f(c), f(d));
        let length = a.distance(b);
        let glance = f(0.5) - 0.5 * length;
        if glance >= limit {
            return (glance, 0.5);
        }
        for _ in 0..ALONG {
            if (hi - lo) * length < 0.1 * KNOWN {
                break;
            }
            if fc < fd {
                (hi, d, fd) = (d, c, fc);
                c = hi - G * (hi - lo);
                fc = f(c);
            } else {
                (lo, c, fc) = (c, d, fd);
                d = lo + G * (hi - lo);
                fd = f(d);
            }
        }
        [(fc, c), (fd, d), (f(0.0), 0.0), (f(1.0), 1.0)]
            .into_iter()
            .fold((f64::INFINITY, 0.0), |m, x| if x.0 < m.0 { x } else { m })
    }

    /// Direction in which the distance of a place from the sweep grows fastest; none within it.
    fn outward(&self, (sin, cos): (f64, f64), p: DVec3) -> DVec3 {
        let d = p - self.hub;
        let (axle, ahead) = (DVec3::new(-sin, cos, 0.0), DVec3::new(cos, sin, 0.0));
        let (side, along) = (d.dot(axle), d.dot(ahead));
        let up = d.z - d.z.clamp(-self.droop, self.bump);
        let far = along.hypot(up);
        let across = axle * (side.abs() - self.half).max(0.0).copysign(side);
        let out = (ahead * along + DVec3::Z * up) * ((far - self.radius).max(0.0) / far.max(self.radius));
        (across + out).normalize_or_zero()
    }

    /// Least distance from a part at a steer.
    /// One that is certainly not under the limit may be told short.
    fn part(&self, steer: f64, part: &Convex, limit: f64) -> Look {
        let turned = steer.sin_cos();
        match &part.core {
            Core::Segment(a, b) => {
                let (d, t) = self.segment(turned, *a, *b, limit + part.margin);
                let at = a.lerp(*b, t);
                Look { distance: d - part.margin, at, out: self.outward(turned, at) }
            }
            core => {
                if let Core::Block(f, h) = core {
                    let (a, b) = (f.origin - f.t * h.x, f.origin + f.t * h.x);
                    let holds = h.y.hypot(h.z) + part.margin + KNOWN;
                    let (d, t) = self.segment(turned, a, b, limit + holds);
                    if d - holds >= limit {
                        let at = a.lerp(b, t);
                        return Look { distance: d - holds, at, out: self.outward(turned, at) };
                    }
                }
                // An upright stadium is a disc at the top, one at the bottom and a block between.
                let (sin, cos) = turned;
                let t = DVec3::new(-sin, cos, 0.0);
                let frame = Frame { origin: self.hub, t, u: DVec3::Z, v: t.cross(DVec3::Z) };
                let mut best = (f64::INFINITY, self.hub, self.hub);
                let mut offer = |core: Core| {
                    let found = part.nearest(&Convex { core, margin: 0.0 });
                    if found.0 < best.0 {
                        best = found;
                    }
                };
                for z in [self.bump, -self.droop] {
                    offer(Core::Cylinder(frame.at(self.hub + DVec3::Z * z), self.half, self.radius));
                }
                let travel = 0.5 * (self.bump + self.droop);
                if travel > 0.0 {
                    let f = frame.at(self.hub + DVec3::Z * (0.5 * (self.bump - self.droop)));
                    offer(Core::Block(f, DVec3::new(self.half, travel, self.radius)));
                }
                let (distance, at, from) = best;
                Look { distance, at, out: (at - from).normalize_or_zero() }
            }
        }
    }

    /// How far the sweep reaches in a direction (unit) at steers from `a` to `b`.
    fn reach(&self, d: DVec3, a: f64, b: f64) -> f64 {
        let plan = d.truncate().length();
        // Of the upright stadium, the part that does not turn; and the tyre's, by the angle between its plane and `d`.
        let still = self.hub.dot(d) + d.z * if d.z > 0.0 { self.bump } else { -self.droop };
        let tyre = |angle: f64| {
            let (sin, cos) = angle.sin_cos();
            self.half * plan * sin.abs() + self.radius * d.z.hypot(plan * cos)
        };
        let way = d.y.atan2(d.x);
        let (lo, hi) = (way - b, way - a);
        // It is greatest where the direction passes through the tyre's rim, or else square across it.
        let sine = self.half / (self.arm() * plan).max(f64::MIN_POSITIVE);
        let greatest = if sine < 1.0 { sine.asin() } else { FRAC_PI_2 };
        let within = |angle: f64| angle + PI * ((lo - angle) / PI).ceil() <= hi;
        let most = if within(greatest) || within(-greatest) { tyre(greatest) } else { tyre(lo).max(tyre(hi)) };
        still + most
    }

    /// Half the extent of the sweep in plan, m: how fast its places move as it steers.
    fn arm(&self) -> f64 {
        self.radius.hypot(self.half)
    }

    /// Least distance that a run is from the sweep at any steer, at least: at each travel a ball holds the tyre.
    fn about(&self, run: &Run) -> f64 {
        let (low, high) = (self.hub - DVec3::Z * self.droop, self.hub + DVec3::Z * self.bump);
        segment_segment(low, high, run.from, run.to).0 - self.arm() - run.radius
    }
}

/// A distance at one steer.
#[derive(Clone, Copy)]
struct Look {
    distance: f64,
    /// A place of the part near the nearest.
    at: DVec3,
    /// Direction from the sweep to the part; none where they overlap.
    out: DVec3,
}

/// How far a part stands in a direction (unit) at least.
fn least_along(part: &Convex, d: DVec3) -> f64 {
    -part.farthest(-d).dot(-d)
}

/// Least distance of a part over the whole steer if it is less than `within`: distance, steer, place.
fn least(sweep: &Sweep, part: &Convex, within: f64) -> Option<(f64, f64, DVec3)> {
    let mut best: Option<(f64, f64, DVec3)> = None;
    let mut limit = within;
    // A plane that parts them at one steer parts them at others too: how far at least at all from `a` to `b`.
    let parted = |out: DVec3, a: f64, b: f64| {
        if out == DVec3::ZERO { f64::NEG_INFINITY } else { least_along(part, out) - sweep.reach(out, a, b) }
    };
    let (a, b) = (-sweep.steer, sweep.steer);
    let look = |steer: f64, limit: &mut f64, best: &mut Option<(f64, f64, DVec3)>| {
        let look = sweep.part(steer, part, *limit);
        if look.distance < *limit {
            *limit = look.distance;
            *best = Some((look.distance, steer, look.at));
        }
        look
    };
    let first = look(a, &mut limit, &mut best);
    if sweep.steer == 0.0 {
        return best;
    }
    let last = look(b, &mut limit, &mut best);
    let mut stretches = vec![(a, first, b, last)];
    while let Some((a, first, b, last)) = stretches.pop() {
        let enough = limit - KNOWN;
        // A place of the sweep moves by no more than its arm times the turn.
        if 0.5 * (first.distance + last.distance - sweep.arm() * (b - a)) >= enough
            || parted(first.out, a, b) >= enough
            || parted(last.out, a, b) >= enough
        {
            continue;
        }
        let mid = 0.5 * (a + b);
        let found = look(mid, &mut limit, &mut best);
        stretches.push((a, first, mid, found));
        stretches.push((mid, found, b, last));
    }
    best
}

/// A leg or an arc of a tube, and a capsule that holds it.
struct Run {
    tube: usize,
    segment: usize,
    from: DVec3,
    to: DVec3,
    radius: f64,
}

/// Every leg and arc of the tubes that stay.
fn runs(shape: &Shape) -> Vec<Run> {
    let staying = shape.tubes.iter().enumerate().filter(|(_, t)| t.state != TubeState::Temporary);
    let mut out = Vec::new();
    for (tube, t) in staying {
        for (segment, seg) in t.chain.segments.iter().enumerate() {
            // An arc strays from the line between its ends by its height; one of more than half a turn lies within its
            // circle, anyhow.
            let strays = match *seg {
                Segment::Arc { radius, sweep, .. } if sweep < PI => radius * (1.0 - (0.5 * sweep).cos()),
                Segment::Arc { radius, .. } => 2.0 * radius,
                Segment::Leg { .. } => 0.0,
            };
            let (from, to) = (seg.point(0.0), seg.point(seg.length()));
            out.push(Run { tube, segment, from, to, radius: t.outline.reach() + strays });
        }
    }
    out
}

/// The room of every wheel.
pub(crate) fn rooms(shape: &Shape) -> Vec<Room> {
    let runs = runs(shape);
    let wheels = shape.bodies.iter().filter(|b| b.kind == BodyKind::Wheel);
    let mut out: Vec<Room> = Vec::new();
    let mut id = 0;
    for b in wheels {
        if !out.is_empty() && !b.name.ends_with('~') {
            id += 1;
        }
        let w = &shape.design.wheels[id];
        let sweep = Sweep {
            hub: b.centre,
            radius: w.radius,
            half: w.width / 2.0,
            bump: w.bump,
            droop: w.droop,
            steer: w.steer,
        };
        out.push(room(shape, &runs, &sweep, &b.name));
    }
    out
}

fn room(shape: &Shape, runs: &[Run], sweep: &Sweep, wheel: &str) -> Room {
    // With the wheel straight ahead no run is farther than the middle between its ends, and what it strays from there.
    let ahead = 0f64.sin_cos();
    let most =
        runs.iter().map(|r| sweep.distance(ahead, r.from.midpoint(r.to)) + r.radius).fold(f64::INFINITY, f64::min);
    let most = most.max(0.0) + KNOWN;
    // Nearest first, so that most need no look at all.
    let mut order: Vec<(f64, &Run)> =
        runs.iter().map(|r| (sweep.about(r), r)).filter(|(bound, _)| *bound < most).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut best: Option<(f64, f64, DVec3, usize)> = None;
    let mut touches: Vec<usize> = Vec::new();
    for (bound, run) in order {
        // Every tube that is touched is wanted, not only the one most deeply in.
        let limit = best.map_or(f64::INFINITY, |b| b.0).max(0.0);
        if bound > limit {
            break;
        }
        let t = &shape.tubes[run.tube];
        for part in swept_along(&t.chain.segments[run.segment], &t.frames[run.segment], &t.outline) {
            let limit = best.map_or(f64::INFINITY, |b| b.0);
            if let Some((d, steer, at)) = least(sweep, &part, limit.max(0.0)) {
                if d <= 0.0 {
                    touches.push(run.tube);
                }
                if d < limit {
                    best = Some((d, steer, at, run.tube));
                }
            }
        }
    }
    touches.sort_unstable();
    touches.dedup();
    let mut room = Room {
        wheel: wheel.to_owned(),
        tube: None,
        distance: 0.0,
        travel: 0.0,
        steer: 0.0,
        at: sweep.hub,
        touches: touches.iter().map(|&t| shape.tubes[t].name.clone()).collect(),
    };
    if let Some((d, steer, at, tube)) = best {
        room.tube = Some(shape.tubes[tube].name.clone());
        room.distance = d;
        room.steer = steer;
        room.at = at;
        room.travel = (at.z - sweep.hub.z).clamp(-sweep.droop, sweep.bump);
    }
    room
}
