//! How an end is cut by hand tools: saw settings and hole-saw settings.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use design::Saw;
use geometry::{DVec2, DVec3, Frame, Outline, Prism, Segment, Solid};
use shape::{End, Shape, Tube};

use crate::plan::{EndKind, EndPlan, crossing};
use crate::profile::{CHANGE, EndRays, Fibre, Hit, Profile, neighbours};

/// A setting of a saw or of a hole saw.
///
/// `angle` is measured from square: 0 where the tube stands square to the cut. `turn` says how the tube is turned in
/// the vice: the angle round the tube, from the scribe line, of its short side (where the cut goes farthest back),
/// clockwise looking from start to end. With `angle` zero a plane cut has no turn, and a hole saw's turn is that of
/// the saw's own axis, which comes twice round the tube: the one under 180 degrees is given.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
#[serde(tag = "tool", rename_all = "kebab-case")]
pub enum SetUp {
    /// One straight saw cut.
    Saw {
        /// From square, rad.
        angle: f64,
        /// As the shop's scale shows it, rad.
        scale: f64,
        /// Turn to the short side, rad.
        turn: f64,
        /// The cut's slope across the top face and across the right-hand face of a box tube, rad; what is marked on
        /// its faces. `None` for round tube.
        faces: Option<[f64; 2]>,
        /// The tube that lies against the cut; `None` for a plane or a free end.
        against: Option<String>,
        /// Largest gap that the flat cut leaves where the other tube's corner rounds away, m; 0 for a full fit.
        gap: f64,
    },
    /// A hole saw along the axis of a round tube.
    HoleSaw {
        /// The tube that is seated in the notch.
        against: String,
        /// Diameter that the notch needs: the other tube's, with the root gap on both sides, m.
        diameter: f64,
        /// The saw to take of those that the design lists: the nearest in diameter of those that fit and reach through;
        /// failing these, of those that fit; failing these too, of all. Of two alike the deeper. `None` without a list.
        saw: Option<Saw>,
        /// From square, rad.
        angle: f64,
        /// As the shop's scale shows it, rad.
        scale: f64,
        /// Turn to the short side, rad.
        turn: f64,
        /// Distance between the two axes, m; 0 where they meet.
        offset: f64,
        /// Where round the tube, from the scribe line, the saw's axis lies when it is offset, rad.
        offset_turn: f64,
        /// Where the saw's axis passes the tube's, m beyond the end point.
        centre: f64,
        /// How far the saw travels from its first touch to its last, m.
        depth: f64,
        /// The other tube is bent there: the notch is a straight one, along the bend's tangent, that is just deep enough
        /// for the tube to seat.
        on_bend: bool,
        /// Largest gap that this straight notch leaves, square to the other tube's surface and over the root gap, m; 0
        /// where the other tube is straight.
        gap: f64,
    },
    /// No straight tool makes it: mark it with the template and grind.
    Template {
        /// The tube that is met.
        against: String,
        /// Why.
        why: &'static str,
    },
}

/// Angle round a tube of a direction, from the scribe line, 0 to 2π.
fn turn_of(f: &Frame, d: DVec3) -> f64 {
    let q = f.across(d);
    if q.length() < geometry::PARALLEL { 0.0 } else { q.y.atan2(q.x).rem_euclid(TAU) }
}

fn scale(shape: &Shape, angle: f64) -> f64 {
    if shape.design.notcher.square_reads_90 { FRAC_PI_2 - angle } else { angle }
}

/// The set-up for a plane with a normal (either way).
pub(crate) fn saw(shape: &Shape, tube: &Tube, end: End, normal: DVec3, against: Option<String>, gap: f64) -> SetUp {
    let forward = forward(tube, end);
    let out = tube.outward(end).t;
    let n = if normal.dot(out) < 0.0 { -normal } else { normal };
    let angle = n.cross(out).length().atan2(n.dot(out));
    // The short side is where the plane comes first: towards its normal.
    let turn = if angle < geometry::PARALLEL { 0.0 } else { turn_of(&forward, n) };
    let faces = matches!(tube.outline, Outline::RoundRect { .. }).then(|| {
        let q = forward.across(n) / n.dot(out);
        // On the top face the line runs along v, on the right-hand face along u.
        [q.y.atan(), q.x.atan()]
    });
    SetUp::Saw { angle, scale: scale(shape, angle), turn, faces, against, gap }
}

/// The frame at an end with `t` from start to end.
pub fn forward(tube: &Tube, end: End) -> Frame {
    match end {
        End::Start => tube.frames[0],
        End::End => tube.frames[tube.frames.len() - 1],
    }
}

/// Two directions whose sine is under this count as one: 0.01 degrees, a fiftieth of the half-degree on the sheets.
const SAME_DIRECTION: f64 = 1.7e-4;

/// The set-ups of an end, one per tube or plane that it really meets.
pub fn setups(shape: &Shape, tube: &Tube, end: End, plan: &EndPlan, rays: &EndRays, profile: &Profile) -> Vec<SetUp> {
    let out = tube.outward(end).t;
    match &plan.kind {
        EndKind::Square(_) => vec![saw(shape, tube, end, out, None, 0.0)],
        EndKind::Plane(h, other) => {
            vec![saw(shape, tube, end, h.outward, other.map(|o| shape.tubes[o].name.clone()), 0.0)]
        }
        EndKind::Cope(hosts) => hosts
            .iter()
            .filter(|&&h| profile.fibres.iter().any(|f| met(f, rays).any(|m| m.2 == Some(h))))
            .map(|&h| host_setup(shape, tube, end, plan, rays, profile, h))
            .collect(),
    }
}

/// What a fibre's outside and inside meet: where it starts in the cross-section, what it hits, and whose that is.
fn met<'a>(f: &'a Fibre, rays: &'a EndRays) -> impl Iterator<Item = (DVec2, Hit, Option<usize>)> + 'a {
    [(f.wall[0], f.outer, f.met[0]), (f.wall[1], f.inner, f.met[1])].into_iter().map(|(p, s, solid)| {
        let hit = Hit { s, solid };
        (p, hit, rays.host(hit))
    })
}

fn host_setup(
    shape: &Shape,
    tube: &Tube,
    end: End,
    plan: &EndPlan,
    rays: &EndRays,
    profile: &Profile,
    h: usize,
) -> SetUp {
    let host = &shape.tubes[h];
    match host.outline {
        Outline::Circle { r } => hole_saw(shape, tube, end, plan, rays, profile, h, r),
        Outline::RoundRect { .. } => match flat_face(host, rays, profile, h) {
            Some((n, gap)) if gap <= shape.design.limits.fit => saw(shape, tube, end, n, Some(host.name.clone()), gap),
            _ => SetUp::Template { against: host.name.clone(), why: "more than one face of the box tube is met" },
        },
    }
}

/// The flat face of a box tube that an end lands on, and the largest gap that a flat cut along it leaves where other
/// fibres meet the box behind that face: at its rounded corners. The normal points out of the box. A box is convex, so
/// nothing of it stands out of the face.
fn flat_face(host: &Tube, rays: &EndRays, profile: &Profile, h: usize) -> Option<(DVec3, f64)> {
    let met: Vec<(DVec3, DVec3)> = profile
        .fibres
        .iter()
        .flat_map(|f| met(f, rays))
        .filter(|m| m.2 == Some(h))
        .map(|(p, hit, _)| (rays.normal(p, hit), rays.place(p, hit.s)))
        .collect();
    // The face is the direction that the most fibres share.
    let votes = |n: DVec3| met.iter().filter(|m| m.0.cross(n).length() < SAME_DIRECTION).count();
    let (n, at) = *met.iter().step_by(8).max_by_key(|m| votes(m.0))?;
    // A fibre on the very beginning of a rounded corner has votes too: its normal is off by as much as counts as one.
    let f = host.frames[0];
    let n = [f.u, -f.u, f.v, -f.v].into_iter().find(|s| s.distance(n) < SAME_DIRECTION).unwrap_or(n);
    let gap = met.iter().map(|m| (at - m.1).dot(n)).fold(0.0, f64::max);
    Some((n, gap))
}

#[allow(clippy::too_many_arguments)]
fn hole_saw(
    shape: &Shape,
    tube: &Tube,
    end: End,
    plan: &EndPlan,
    rays: &EndRays,
    profile: &Profile,
    h: usize,
    r: f64,
) -> SetUp {
    let host = &shape.tubes[h];
    let f = forward(tube, end);
    let out = tube.outward(end);
    let (centre, at, axis) = crossing(tube, end, host);
    let (station, _) = host.chain.nearest(at);
    let on_bend = matches!(host.chain.segments[host.chain.locate(station).0], Segment::Arc { .. });
    // The acute side: the way along the host that leans back over the tube.
    let cos = axis.dot(out.t);
    let acute = if cos > 0.0 { -axis } else { axis };
    let angle = FRAC_PI_2 - axis.cross(out.t).length().atan2(cos.abs());
    let mut turn = turn_of(&f, acute);
    if angle < SAME_DIRECTION && turn >= PI - SAME_DIRECTION {
        turn = (turn - PI).max(0.0);
    }
    let gap = at - (out.origin + out.t * centre);
    let offset = if gap.length() < geometry::SAME_PLACE { 0.0 } else { gap.length() };
    let depth = travel(tube, rays, profile, h, axis);
    let (deeper, gap_left) =
        if on_bend { straight_in_bend(&Line { at, axis, r: r + plan.gap }, tube, rays, h) } else { (0.0, 0.0) };
    let centre = centre - deeper;
    let diameter = 2.0 * (r + plan.gap);
    let limits = &shape.design.limits;
    let saw = choose(&shape.design.notcher.saws, 2.0 * r, diameter, depth, limits.fit);
    SetUp::HoleSaw {
        against: host.name.clone(),
        diameter,
        saw,
        angle,
        scale: scale(shape, angle),
        turn,
        offset,
        offset_turn: if offset > 0.0 { turn_of(&f, gap) } else { 0.0 },
        centre,
        depth,
        on_bend,
        gap: gap_left,
    }
}

/// The saw to take: one that fits before one that doesn't, of these one that reaches through before one that is too
/// shallow, of these the nearest in diameter, of two alike the deeper.
fn choose(saws: &[Saw], tube: f64, diameter: f64, depth: f64, fit: f64) -> Option<Saw> {
    let rank = |s: &Saw| {
        let fit = fits(s.od, tube, fit);
        (!fit, fit && s.depth < depth)
    };
    let off = |s: &Saw| (s.od - diameter).abs();
    let alike = |a: &Saw, b: &Saw| (off(a) - off(b)).abs() < geometry::SAME_PLACE;
    saws.iter().copied().min_by(|a, b| {
        let nearer = if alike(a, b) { b.depth.total_cmp(&a.depth) } else { off(a).total_cmp(&off(b)) };
        rank(a).cmp(&rank(b)).then(nearer)
    })
}

/// A notch may be smaller than the tube that seats in it by this much: hole saws cut that much over their size.
/// Common practice, no source.
const OVERCUT: f64 = 3e-4;

/// Whether a hole saw makes a notch in which a tube seats with a gap of at most `fit`.
pub(crate) fn fits(saw: f64, tube: f64, fit: f64) -> bool {
    saw > tube - OVERCUT && saw < tube + 2.0 * fit + geometry::SAME_PLACE
}

/// How far a hole saw travels along its axis from its first touch of the wall that it shapes to its last.
///
/// Between fibres the extremes are taken from a parabola through three of them; where the contact ends against another
/// tube's, that place is found by halving.
fn travel(tube: &Tube, rays: &EndRays, profile: &Profile, h: usize, axis: DVec3) -> f64 {
    let total = tube.outline.perimeter();
    let n = profile.fibres.len();
    let mut reach: Option<(f64, f64)> = None;
    for edge in 0..2 {
        let along = |p: DVec2, s: f64| rays.place(p, s).dot(axis);
        let seen =
            |k: usize| met(&profile.fibres[k], rays).nth(edge).filter(|m| m.2 == Some(h)).map(|m| along(m.0, m.1.s));
        let here: Vec<Option<f64>> = (0..n).map(seen).collect();
        let mut take = |x: f64| reach = Some(reach.map_or((x, x), |t| (t.0.min(x), t.1.max(x))));
        for k in 0..n {
            let Some(x) = here[k] else { continue };
            take(x);
            let (before, after) = neighbours(&profile.fibres, k, total);
            let at = profile.fibres[k].round;
            match (here[(k + n - 1) % n], here[(k + 1) % n]) {
                (Some(a), Some(b)) => take(summit((before - at, a), x, (after - at, b))),
                (a, _) => {
                    let (mut lo, mut hi) = (at, if a.is_none() { before } else { after });
                    let mut last = x;
                    while (hi - lo).abs() > CHANGE {
                        let mid = 0.5 * (lo + hi);
                        let (po, pi) = rays.wall(tube.outline.station(mid));
                        let p = if edge == 0 { po } else { pi };
                        match rays.follow(p).filter(|&hit| rays.host(hit) == Some(h)) {
                            Some(hit) => (lo, last) = (mid, along(p, hit.s)),
                            None => hi = mid,
                        }
                    }
                    take(last);
                }
            }
        }
    }
    reach.map_or(0.0, |t| t.1 - t.0)
}

/// The extreme of a parabola through (a, ya), (0, y) and (b, yb), if it lies between them and y is beyond both; else y.
fn summit((a, ya): (f64, f64), y: f64, (b, yb): (f64, f64)) -> f64 {
    let (da, db) = (ya - y, yb - y);
    // y + s x + c x².
    let c = (db / b - da / a) / (b - a);
    let s = da / a - c * a;
    if da * db > 0.0 && c != 0.0 { y - s * s / (4.0 * c) } else { y }
}

/// A straight notch: its axis and its radius.
struct Line {
    at: DVec3,
    axis: DVec3,
    r: f64,
}

/// Fibres by which a straight notch is compared with a bend: rare enough to take many. Extremes between them are off by
/// the square of half a degree: a few parts in 100,000 of the radius.
const ON_BEND: usize = 360;

/// How much deeper than a notch about the tangent a straight notch must go so that a tube seats on a bend, m; and the
/// largest gap that is left then, measured square to the bend's surface.
fn straight_in_bend(notch: &Line, tube: &Tube, rays: &EndRays, h: usize) -> (f64, f64) {
    let frame = Frame::new(notch.at, notch.axis, geometry::frame::any_across(notch.axis));
    let Some(frame) = frame else { return (0.0, 0.0) };
    let straight = Prism { frame, outline: Outline::Circle { r: notch.r }, clips: Vec::new() };
    let straight = Solid::Prism(straight);
    let total = tube.outline.perimeter();
    // Of each fibre: how far the bend lies beyond the notch, and how steeply it meets the bend.
    let mut beyond: Vec<(f64, f64)> = Vec::new();
    for k in 0..ON_BEND {
        let (po, pi) = rays.wall(tube.outline.station(total * k as f64 / ON_BEND as f64));
        for p in [po, pi] {
            let Some(hit) = rays.follow(p).filter(|&hit| rays.host(hit) == Some(h)) else { continue };
            let ray = rays.ray(p);
            // Where the notch is missed there is nothing of it to seat on.
            if let Some(s) = straight.entry(&ray, f64::NEG_INFINITY) {
                beyond.push((hit.s - s, rays.normal(p, hit).dot(ray.along).abs()));
            }
        }
    }
    let least = beyond.iter().map(|b| b.0).fold(f64::INFINITY, f64::min);
    if !least.is_finite() {
        return (0.0, 0.0);
    }
    (-least, beyond.iter().map(|b| (b.0 - least) * b.1).fold(0.0, f64::max))
}
