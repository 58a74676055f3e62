//! Pieces as bodies that can be moved: a middle of rounded convex parts, and tips.

use geometry::convex::{Convex, swept_along};
use geometry::{DVec3, Segment, Solid};
use shape::{End, Shape, Tube};

use crate::piece::Piece;
use crate::plan::{EndKind, EndPlan};
use crate::setup::forward;

/// Places round a tube at which tips are taken; on 50 mm tube 4 mm apart.
const ROUND: usize = 36;

/// Tips are taken this far short of the cut, m: contact is meant, and must not count.
const SHORT: f64 = 1e-4;

/// Tips along each fibre, evenly: an eighth to a quarter of a radius apart. A tube as thick that lies across two of them
/// sinks in between by a hundredth of a radius at most.
const ALONG: usize = 10;

/// A fibre that reaches less than this beyond the one before it is no ear, m.
const FLAT: f64 = 1e-7;

/// How far tips go back beyond the short point, in reaches: past where the middle has its full section.
const BACK: f64 = 1.25;

/// What one end touches: a place and the normal of what stands there.
#[derive(Clone, Copy, Debug)]
pub struct Touch {
    /// Unit, out of the host.
    pub normal: DVec3,
    /// Index of the tube that is touched.
    pub host: Option<usize>,
}

/// A solid, and the box that holds it.
pub struct Part {
    /// The solid.
    pub solid: Solid,
    /// Corners of its box.
    pub bounds: (DVec3, DVec3),
    /// A capsule that holds it: its ends and its radius, m.
    pub capsule: (DVec3, DVec3, f64),
}

/// Points on the outside near an end, and the box that holds them. Those at the cut come first, spread round it: what is
/// blocked is mostly blocked there.
pub struct Tips {
    /// The points.
    pub points: Vec<DVec3>,
    /// Corners of the box.
    pub bounds: (DVec3, DVec3),
    /// A ball that holds them: centre and radius, m.
    pub ball: (DVec3, f64),
}

/// A piece as a body.
pub struct Body {
    /// Index of the tube.
    pub tube: usize,
    /// The middle.
    pub middle: Vec<Convex>,
    /// Points on the outside near each end.
    pub tips: [Tips; 2],
    /// Exact solids, drawn in, for rays of others' tips.
    pub parts: Vec<Part>,
    /// Corners of the box that holds it, to leave out what is far.
    pub bounds: (DVec3, DVec3),
    /// Contact normals at each end.
    pub touches: [Vec<Touch>; 2],
    /// What it is cut to at each end.
    pub hosts: [Vec<usize>; 2],
    /// Those of them that it is coped to: its solid does not know the cope.
    pub coped: Vec<usize>,
}

/// How a tube's middle is drawn in at an end beyond its short point, in reaches.
const DRAWN_IN: f64 = 1.0;

/// Makes the body of a piece.
pub fn body(shape: &Shape, piece: &Piece, plans: &[[EndPlan; 2]], all: &[Vec<Solid>]) -> Body {
    let tube = &shape.tubes[piece.tube];
    let short = piece.ends.each_ref().map(|e| e.profile.short);
    let middle = middle(tube, short.map(|s| s - DRAWN_IN * tube.outline.reach()));
    let tips = End::BOTH.map(|e| tips(tube, piece, e));
    let mut bounds = (DVec3::INFINITY, DVec3::NEG_INFINITY);
    for c in geometry::convex::swept(&tube.chain, &tube.frames, &tube.outline) {
        let (lo, hi) = c.bounds();
        bounds = (bounds.0.min(lo), bounds.1.max(hi));
    }
    for t in &tips {
        bounds = (bounds.0.min(t.bounds.0), bounds.1.max(t.bounds.1));
    }
    let parts = parts(tube, &all[piece.tube], bounds);
    let touches = End::BOTH.map(|e| touches(shape, tube, piece, e, &plans[piece.tube][e as usize], all));
    let hosts = End::BOTH.map(|e| match &plans[piece.tube][e as usize].kind {
        EndKind::Cope(h) => h.clone(),
        EndKind::Plane(_, Some(o)) => vec![*o],
        _ => Vec::new(),
    });
    let coped = plans[piece.tube]
        .iter()
        .filter_map(|p| if let EndKind::Cope(h) = &p.kind { Some(h) } else { None })
        .flatten()
        .copied()
        .collect();
    Body { tube: piece.tube, middle, tips, parts, bounds, touches, hosts, coped }
}

/// How far a solid may run past the body, m: an end that is coped has its solid cut off at its host's mid-plane, and a
/// slanted one's far edge lies farther. More than any tube's diameter; it only decides what is looked at.
const PAST: f64 = 0.25;

/// The exact solids, one a segment.
fn parts(tube: &Tube, solids: &[Solid], (lo, hi): (DVec3, DVec3)) -> Vec<Part> {
    let last = solids.len().saturating_sub(1);
    let held = |k: usize| {
        swept_along(&tube.chain.segments[k], &tube.frames[k], &tube.outline)
            .iter()
            .map(Convex::bounds)
            .fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |b, c| (b.0.min(c.0), b.1.max(c.1)))
    };
    let grown = |k: usize| {
        let (a, b) = held(k);
        let past = if k == 0 || k == last { PAST } else { super::sweep::TOUCH };
        ((a - past).max(lo - PAST), (b + past).min(hi + PAST))
    };
    let capsule = |k: usize| {
        let past = if k == 0 || k == last { PAST } else { 0.0 };
        match tube.chain.segments[k] {
            Segment::Leg { from, along, length } => {
                (from - along * past, from + along * (length + past), tube.outline.reach())
            }
            Segment::Arc { .. } => {
                let (a, b) = held(k);
                (0.5 * (a + b), 0.5 * (a + b), 0.5 * (b - a).length() + past)
            }
        }
    };
    let part =
        |(k, s): (usize, &Solid)| Part { solid: s.grown(-super::sweep::TOUCH), bounds: grown(k), capsule: capsule(k) };
    solids.iter().enumerate().map(part).collect()
}

/// Legs and bends, the first and last leg ending `reach` beyond the end points (outward, mostly negative).
fn middle(tube: &Tube, reach: [f64; 2]) -> Vec<Convex> {
    let last = tube.chain.segments.len() - 1;
    let mut out = Vec::new();
    for (k, seg) in tube.chain.segments.iter().enumerate() {
        let mut seg = *seg;
        if let Segment::Leg { from, along, length } = &mut seg {
            let (a, b) = (if k == 0 { -reach[0] } else { 0.0 }, if k == last { reach[1] } else { 0.0 });
            *from += *along * a;
            *length += b - a;
            if *length <= 0.0 {
                continue;
            }
            let frame = tube.frames[k].at(*from);
            out.extend(swept_along(&seg, &frame, &tube.outline));
            continue;
        }
        out.extend(swept_along(&seg, &tube.frames[k], &tube.outline));
    }
    out
}

fn tips(tube: &Tube, piece: &Piece, end: End) -> Tips {
    let profile = &piece.end(end).profile;
    let f = forward(tube, end);
    let out = tube.outward(end);
    let total = tube.outline.perimeter();
    let back = BACK * tube.outline.reach();
    let depth = (profile.short - back).max(-tube.end_leg(end));
    let step = (profile.fibres.len() / ROUND).max(1);
    let all = &profile.fibres;
    // What stands out between them: ears, and where one host takes over from another.
    let sharp = |k: usize| {
        let (before, after) = (&all[(k + all.len() - 1) % all.len()], &all[(k + 1) % all.len()]);
        let here = &all[k];
        let peak = here.outer > before.outer + FLAT && here.outer >= after.outer;
        peak || here.host != before.host || here.host != after.host
    };
    let chosen = (0..all.len()).filter(|&k| k % step == 0 || sharp(k)).map(|k| &all[k]);
    let mut fibres: Vec<_> = chosen.enumerate().collect();
    fibres.sort_by(|a, b| spread(a.0).total_cmp(&spread(b.0)));
    let mut points = Vec::with_capacity(ALONG * fibres.len());
    for k in 0..ALONG {
        let part = k as f64 / (ALONG - 1) as f64;
        for (_, fibre) in &fibres {
            let p = tube.outline.point(tube.outline.station(fibre.round.rem_euclid(total)));
            let tip = fibre.outer - SHORT;
            let s = tip + (depth.min(tip) - tip) * part;
            points.push(out.origin + f.u * p.x + f.v * p.y + out.t * s);
        }
    }
    let start = (DVec3::INFINITY, DVec3::NEG_INFINITY);
    let bounds = points.iter().fold(start, |b, p| (b.0.min(*p), b.1.max(*p)));
    let centre = 0.5 * (bounds.0 + bounds.1);
    let ball = (centre, points.iter().map(|p| p.distance(centre)).fold(0.0, f64::max));
    Tips { points, bounds, ball }
}

/// An order in which any beginning of a list is spread over all of it.
fn spread(k: usize) -> f64 {
    (k as f64 * 0.618_033_988_749_895).fract()
}

fn touches(shape: &Shape, tube: &Tube, piece: &Piece, end: End, plan: &EndPlan, all: &[Vec<Solid>]) -> Vec<Touch> {
    let rays = crate::profile::EndRays::new(shape, tube, end, plan, all);
    if matches!(plan.kind, EndKind::Square(_) | EndKind::Plane(_, None)) {
        return Vec::new();
    }
    let fibres = &piece.end(end).profile.fibres;
    let step = (fibres.len() / (2 * ROUND)).max(1);
    fibres
        .iter()
        .step_by(step)
        .filter_map(|f| {
            let p = f.wall[0];
            let hit = rays.follow(p).filter(|&h| rays.seats(h))?;
            Some(Touch { normal: rays.normal(p, hit), host: rays.host(hit) })
        })
        .collect()
}
