//! The room that wheels sweep through travel and steer, against every tube.

use design::TubeState;
use geometry::convex::{Core, swept};
use geometry::{Convex, DVec2, DVec3, Frame};
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

    /// Least distance from a part at a steer, and a place near it.
    /// One that is certainly not under the limit may be told short.
    fn part(&self, steer: f64, part: &Convex, limit: f64) -> (f64, DVec3) {
        let turned = steer.sin_cos();
        match &part.core {
            Core::Segment(a, b) => {
                let (d, t) = self.segment(turned, *a, *b, limit + part.margin);
                (d - part.margin, a.lerp(*b, t))
            }
            core => {
                if let Core::Block(f, h) = core {
                    let (a, b) = (f.origin - f.t * h.x, f.origin + f.t * h.x);
                    let holds = h.y.hypot(h.z) + part.margin + KNOWN;
                    let (d, t) = self.segment(turned, a, b, limit + holds);
                    let least = d - holds;
                    if least >= limit {
                        return (least, a.lerp(b, t));
                    }
                }
                // An upright stadium is a disc at the top, one at the bottom and a block between.
                let (sin, cos) = turned;
                let t = DVec3::new(-sin, cos, 0.0);
                let frame = Frame { origin: self.hub, t, u: DVec3::Z, v: t.cross(DVec3::Z) };
                let solid = |core: Core| Convex { core, margin: 0.0 };
                let mut least = f64::INFINITY;
                for z in [self.bump, -self.droop] {
                    let f = frame.at(self.hub + DVec3::Z * z);
                    least = least.min(solid(Core::Cylinder(f, self.half, self.radius)).distance(part));
                }
                let travel = 0.5 * (self.bump + self.droop);
                if travel > 0.0 {
                    let f = frame.at(self.hub + DVec3::Z * (0.5 * (self.bump - self.droop)));
                    let half = DVec3::new(self.half, travel, self.radius);
                    least = least.min(solid(Core::Block(f, half)).distance(part));
                }
                let at = match core {
                    Core::Block(f, h) => {
                        let q = f.local(self.hub);
                        let c = q.clamp(-*h, *h);
                        f.origin + f.t * c.x + f.u * c.y + f.v * c.z
                    }
                    _ => self.hub,
                };
                (least, at)
            }
        }
    }

    /// Half the extent of the sweep in plan, m: how fast its places move as it steers.
    fn arm(&self) -> f64 {
        self.radius.hypot(self.half)
    }

    /// Least distance that a ball is from the sweep at any steer, at least.
    fn ball(&self, mid: DVec3, r: f64) -> f64 {
        let d = mid - self.hub;
        let up = d.z - d.z.clamp(-self.droop, self.bump);
        let plan = DVec2::new(d.x, d.y).length() - self.arm();
        plan.max(0.0).hypot((up.abs() - self.radius).max(0.0)) - r
    }
}

/// Least distance of a part over the whole steer if it is less than `within`: distance, steer, place.
fn least(sweep: &Sweep, part: &Convex, within: f64) -> Option<(f64, f64, DVec3)> {
    let mut best: Option<(f64, f64, DVec3)> = None;
    let mut limit = within;
    let look = |steer: f64, limit: &mut f64, best: &mut Option<(f64, f64, DVec3)>| {
        let (d, at) = sweep.part(steer, part, *limit);
        if d < *limit {
            *limit = d;
            *best = Some((d, steer, at));
        }
        d
    };
    let (a, b) = (-sweep.steer, sweep.steer);
    let fa = look(a, &mut limit, &mut best);
    if sweep.steer == 0.0 {
        return best;
    }
    let fb = look(b, &mut limit, &mut best);
    let mut stretches = vec![(a, fa, b, fb)];
    while let Some((a, fa, b, fb)) = stretches.pop() {
        // A place of the sweep moves by no more than its arm times the turn.
        if 0.5 * (fa + fb - sweep.arm() * (b - a)) >= limit - KNOWN {
            continue;
        }
        let mid = 0.5 * (a + b);
        let fm = look(mid, &mut limit, &mut best);
        stretches.push((a, fa, mid, fm));
        stretches.push((mid, fm, b, fb));
    }
    best
}

/// The room of every wheel.
pub(crate) fn rooms(shape: &Shape) -> Vec<Room> {
    let design = &shape.design;
    // A ball that holds each tube: its centreline lies within the hull of its corners.
    let balls: Vec<(usize, DVec3, f64)> = shape
        .tubes
        .iter()
        .enumerate()
        .filter(|(_, t)| t.state != TubeState::Temporary)
        .map(|(i, t)| {
            let c = &t.chain.corners;
            let lo = c.iter().fold(c[0], |m, p| m.min(*p));
            let hi = c.iter().fold(c[0], |m, p| m.max(*p));
            (i, 0.5 * (lo + hi), 0.5 * lo.distance(hi) + t.outline.reach())
        })
        .collect();
    let mut parts: Vec<Option<Vec<Convex>>> = vec![None; shape.tubes.len()];
    let mut out = Vec::new();
    let mut id = 0;
    for b in shape.bodies.iter().filter(|b| b.kind == BodyKind::Wheel) {
        if !out.is_empty() && !b.name.ends_with('~') {
            id += 1;
        }
        let w = &design.wheels[id];
        let sweep = Sweep {
            hub: b.centre,
            radius: w.radius,
            half: w.width / 2.0,
            bump: w.bump,
            droop: w.droop,
            steer: w.steer,
        };
        // Nearest first, so that most need no look at all.
        let mut order: Vec<(f64, usize)> = balls.iter().map(|(i, mid, r)| (sweep.ball(*mid, *r), *i)).collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut best: Option<(f64, f64, DVec3, usize)> = None;
        let mut touches: Vec<usize> = Vec::new();
        for (bound, tube) in order {
            // Every tube that is touched is wanted, not only the one most deeply in.
            let limit = best.map_or(f64::INFINITY, |b| b.0).max(0.0);
            if bound > limit {
                break;
            }
            let t = &shape.tubes[tube];
            let pieces = parts[tube].get_or_insert_with(|| swept(&t.chain, &t.frames, &t.outline));
            for part in pieces.iter() {
                let limit = best.map_or(f64::INFINITY, |b| b.0);
                if let Some((d, steer, at)) = least(&sweep, part, limit.max(0.0)) {
                    if d <= 0.0 {
                        touches.push(tube);
                    }
                    if d < limit {
                        best = Some((d, steer, at, tube));
                    }
                }
            }
        }
        touches.sort_unstable();
        touches.dedup();
        let mut room = Room {
            wheel: b.name.clone(),
            tube: None,
            distance: 0.0,
            travel: 0.0,
            steer: 0.0,
            at: b.centre,
            touches: touches.iter().map(|&t| shape.tubes[t].name.clone()).collect(),
        };
        if let Some((d, steer, at, tube)) = best {
            room.tube = Some(shape.tubes[tube].name.clone());
            room.distance = d;
            room.steer = steer;
            room.at = at;
            room.travel = (at.z - b.centre.z).clamp(-w.droop, w.bump);
        }
        out.push(room);
    }
    out
}
