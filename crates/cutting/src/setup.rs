//! How an end is cut by hand tools: saw settings and hole-saw settings.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use design::Saw;
use geometry::{DVec3, Frame, Outline, Segment};
use shape::{End, Shape, Tube};

use crate::plan::{EndKind, EndPlan, crossing};
use crate::profile::{EndRays, Hit, Profile};

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
        /// The saw at hand that comes nearest, if the design lists saws.
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
        /// The other tube is bent there: the notch is the nearest straight one, and needs dressing to fit.
        on_bend: bool,
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
fn saw(shape: &Shape, tube: &Tube, end: End, normal: DVec3, against: Option<String>, gap: f64) -> SetUp {
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
            .filter(|&&h| profile.fibres.iter().any(|f| f.host == Some(h)))
            .map(|&h| host_setup(shape, tube, end, plan, rays, profile, h))
            .collect(),
    }
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
    let mut met: Vec<(DVec3, DVec3)> = Vec::new();
    for f in profile.fibres.iter().filter(|f| f.host == Some(h)) {
        let [po, pi] = f.wall;
        for (p, s, solid) in [(po, f.outer, f.met[0]), (pi, f.inner, f.met[1])] {
            let hit = Hit { s, solid };
            if rays.host(hit) == Some(h) {
                met.push((rays.normal(p, hit), rays.place(p, s)));
            }
        }
    }
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
    let mut travel: Option<(f64, f64)> = None;
    for fibre in profile.fibres.iter().filter(|f| f.host == Some(h)) {
        let [po, pi] = fibre.wall;
        for p in [rays.place(po, fibre.outer), rays.place(pi, fibre.inner)] {
            let x = p.dot(axis);
            travel = Some(travel.map_or((x, x), |t| (t.0.min(x), t.1.max(x))));
        }
    }
    let diameter = 2.0 * (r + plan.gap);
    let saws = &shape.design.notcher.saws;
    let saw = saws.iter().copied().min_by(|a, b| (a.od - diameter).abs().total_cmp(&(b.od - diameter).abs()));
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
        depth: travel.map_or(0.0, |t| t.1 - t.0),
        on_bend,
    }
}
