//! What each end is cut to: the order rule, and the design's exceptions to it.

use design::{CutSpec, TubeState};
use geometry::{Convex, DVec3, HalfSpace, distance};
use shape::{End, Joint, Role, Shape, Tube};

/// How an end is cut.
#[derive(Clone, Debug, PartialEq)]
pub enum EndKind {
    /// Square, beyond the end point by a length (m).
    Square(f64),
    /// On a plane, given as the solid beyond it; with the other tube of a mitre.
    Plane(HalfSpace, Option<usize>),
    /// To the outer surfaces of tubes; the first is the one that the end point lies nearest.
    Cope(Vec<usize>),
}

/// What one end is cut to.
#[derive(Clone, Debug, PartialEq)]
pub struct EndPlan {
    /// How.
    pub kind: EndKind,
    /// Hosts that the joint does not name but the end runs into.
    pub extra: Vec<usize>,
    /// Root gap, m.
    pub gap: f64,
    /// Left longer than its longest point, m.
    pub long: f64,
    /// Index of the joint in the shape.
    pub joint: Option<usize>,
}

/// Plans for both ends of every tube.
pub fn plan(shape: &Shape) -> Vec<[EndPlan; 2]> {
    let mut joint_of = vec![[None; 2]; shape.tubes.len()];
    for (j, joint) in shape.joints.iter().enumerate() {
        for m in &joint.members {
            match m.role {
                Role::Start => joint_of[m.tube][0] = Some(j),
                Role::End => joint_of[m.tube][1] = Some(j),
                Role::Through => {}
            }
        }
    }
    let bodies: Vec<Vec<(Convex, DVec3, DVec3)>> = shape
        .tubes
        .iter()
        .map(|t| {
            geometry::convex::swept(&t.chain, &t.frames, &t.outline)
                .into_iter()
                .map(|c| {
                    let (lo, hi) = c.bounds();
                    (c, lo, hi)
                })
                .collect()
        })
        .collect();
    (0..shape.tubes.len())
        .map(|i| {
            [End::Start, End::End].map(|end| {
                let joint = joint_of[i][end as usize];
                let wish = &shape.tubes[i].ends[end as usize];
                let kind = kind(shape, i, end, joint.map(|j| &shape.joints[j]));
                let mut plan = EndPlan { kind, extra: Vec::new(), gap: wish.gap, long: wish.long, joint };
                if let EndKind::Cope(hosts) = &mut plan.kind
                    && wish.to.is_empty()
                {
                    let extra = extra_hosts(shape, &bodies, i, end, hosts);
                    hosts.extend(&extra);
                    plan.extra = extra;
                }
                plan
            })
        })
        .collect()
}

/// Whether tube `other` may decide how tube `i` is cut: what is provisional never does, and what is temporary only for
/// other temporary tubes, since it is cut out again.
fn counts(shape: &Shape, i: usize, other: usize) -> bool {
    match shape.tubes[other].state {
        TubeState::Permanent => true,
        TubeState::Temporary => shape.tubes[i].state == TubeState::Temporary,
        TubeState::Provisional => false,
    }
}

/// Whether tube `other` stands before tube `i` is fitted. Temporary tubes hold what is already there.
fn stands_before(shape: &Shape, i: usize, other: usize) -> bool {
    let temporary = |k: usize| shape.tubes[k].state == TubeState::Temporary;
    (temporary(other), other) < (temporary(i), i)
}

fn kind(shape: &Shape, i: usize, end: End, joint: Option<&Joint>) -> EndKind {
    let tube = &shape.tubes[i];
    let wish = &tube.ends[end as usize];
    let others: Vec<(usize, Role)> = joint
        .map(|j| {
            j.members.iter().filter(|m| m.tube != i && counts(shape, i, m.tube)).map(|m| (m.tube, m.role)).collect()
        })
        .unwrap_or_default();
    let at = tube.outward(end).origin;
    let through: Vec<usize> = others.iter().filter(|o| o.1 == Role::Through).map(|o| o.0).collect();
    let ending: Vec<usize> = others.iter().filter(|o| o.1 != Role::Through).map(|o| o.0).collect();
    let before: Vec<usize> = ending.iter().copied().filter(|&k| stands_before(shape, i, k)).collect();
    let cope = |hosts: Vec<usize>| {
        let mut hosts = hosts;
        hosts.sort_by(|&a, &b| {
            let d = |k: usize| shape.tubes[k].chain.nearest(at).1;
            let passes = |k: usize| !through.contains(&k);
            passes(a).cmp(&passes(b)).then(d(a).total_cmp(&d(b))).then(a.cmp(&b))
        });
        // A bent tube may be met in more than one role.
        hosts.dedup();
        EndKind::Cope(hosts)
    };
    match &wish.cut {
        CutSpec::Square => return EndKind::Square(0.0),
        CutSpec::Plane(_) => {
            if let Some((origin, normal)) = tube.plane(end, shape) {
                let out = tube.outward(end).t;
                // The solid lies beyond the plane, on the side that the tube points to.
                let outward = if normal.dot(out) > 0.0 { -normal } else { normal };
                return EndKind::Plane(HalfSpace { origin, outward }, None);
            }
        }
        CutSpec::Mitre => {
            let partner = wish.to.first().copied().or_else(|| ending.first().copied());
            if let Some(m) = partner.and_then(|k| mitre(shape, i, end, k)) {
                return m;
            }
        }
        CutSpec::Cope => {
            let hosts = if !wish.to.is_empty() {
                wish.to.clone()
            } else {
                let mut h = through.clone();
                h.extend(if before.is_empty() { &ending } else { &before });
                h
            };
            if !hosts.is_empty() {
                return cope(hosts);
            }
        }
        CutSpec::ByOrder => {}
    }
    if !wish.to.is_empty() {
        return cope(wish.to.clone());
    }
    if !through.is_empty() {
        return cope(through.iter().chain(&before).copied().collect());
    }
    // Nothing runs through. The first two in the fitting order are mitred, later ones are cut to all before.
    if ending.is_empty() {
        return EndKind::Square(0.0);
    }
    let after: Vec<usize> = ending.iter().copied().filter(|k| !before.contains(k)).collect();
    let partner = match before.len() {
        0 => after[0],
        1 => before[0],
        _ => return cope(before),
    };
    let partner_cut = joint
        .and_then(|j| end_at(j, partner))
        .map_or(CutSpec::ByOrder, |e| shape.tubes[partner].ends[e as usize].cut.clone());
    match partner_cut {
        CutSpec::ByOrder | CutSpec::Mitre => mitre(shape, i, end, partner).unwrap_or(EndKind::Square(0.0)),
        CutSpec::Cope => EndKind::Square(past(tube, end, &shape.tubes[partner])),
        // The partner is cut without regard to this one, so this one is cut to it.
        CutSpec::Square | CutSpec::Plane(_) => cope(vec![partner]),
    }
}

fn end_at(joint: &Joint, tube: usize) -> Option<End> {
    if joint.member(tube, Role::Start).is_some() {
        Some(End::Start)
    } else {
        joint.member(tube, Role::End).map(|_| End::End)
    }
}

/// The end of `other` nearest a place.
fn nearest_end(other: &Tube, at: DVec3) -> End {
    let d = |e: End| other.outward(e).origin.distance(at);
    if d(End::Start) <= d(End::End) { End::Start } else { End::End }
}

/// The plane that halves the angle between two tubes. `None` if they lie on one another.
fn mitre(shape: &Shape, i: usize, end: End, other: usize) -> Option<EndKind> {
    let a = shape.tubes[i].outward(end);
    let b = shape.tubes[other].outward(nearest_end(&shape.tubes[other], a.origin));
    // Both point into the joint. Their difference is square to the halving plane and points out of this tube.
    let n = (a.t - b.t).try_normalize()?;
    if n.dot(a.t) < geometry::PARALLEL {
        return None;
    }
    Some(EndKind::Plane(HalfSpace { origin: a.origin, outward: -n }, Some(other)))
}

/// A tube that runs past a corner shows this much beyond the one that stands on it, so that its outermost fibre has
/// something to stand on.
const LEDGE: f64 = 1e-3;

/// How far a tube must run past a corner so that another one, coped to it there, is carried all round.
fn past(tube: &Tube, end: End, other: &Tube) -> f64 {
    let a = tube.outward(end);
    let b = other.outward(nearest_end(other, a.origin));
    let cos = a.t.dot(b.t).abs();
    let sin = a.t.cross(b.t).length();
    if sin < 0.1 {
        // Nearly in line, nothing can carry it all round.
        return 0.0;
    }
    (other.outline.reach() + tube.outline.reach() * cos) / sin + LEDGE
}

/// Lengths of tube behind an end, in outline reaches, that are looked at for tubes that the joint does not name.
const ZONE: f64 = 3.0;

fn extra_hosts(
    shape: &Shape,
    bodies: &[Vec<(Convex, DVec3, DVec3)>],
    i: usize,
    end: End,
    hosts: &[usize],
) -> Vec<usize> {
    let tube = &shape.tubes[i];
    let f = tube.outward(end);
    let r = tube.outline.reach();
    let zone = (ZONE * r).min(tube.end_leg(end) / 2.0);
    let probe = Convex::capsule(f.origin - f.t * zone, f.origin, r);
    let (lo, hi) = probe.bounds();
    (0..shape.tubes.len())
        .filter(|&k| k != i && !hosts.contains(&k) && counts(shape, i, k) && stands_before(shape, i, k))
        .filter(|&k| {
            bodies[k].iter().any(|(c, clo, chi)| {
                lo.cmple(*chi).all() && clo.cmple(hi).all() && c.distance(&probe) < -geometry::SAME_PLACE
            })
        })
        .collect()
}

/// The plane through a host's axis that stands square to the plane of both axes, as the solid beyond it: where fibres
/// that miss the host are cut. It holds the two lines along which fibres just touch a straight round host, so the cut
/// runs on without a step.
pub fn mid_plane(tube: &Tube, end: End, host: &Tube) -> HalfSpace {
    let f = tube.outward(end);
    let (station, _) = host.chain.nearest(f.origin);
    let (at, along) = (host.chain.point(station), host.chain.tangent(station));
    let across = f.t - along * f.t.dot(along);
    match across.try_normalize() {
        Some(n) if across.length() > geometry::PARALLEL => HalfSpace { origin: at, outward: -n },
        _ => HalfSpace { origin: f.origin, outward: -f.t },
    }
}

/// Where a tube's axis passes a host's axis nearest: how far beyond the tube's end point (m, outward), and the host's
/// point and direction there.
pub fn crossing(tube: &Tube, end: End, host: &Tube) -> (f64, DVec3, DVec3) {
    let f = tube.outward(end);
    let (station, _) = host.chain.nearest(f.origin);
    let (at, along) = (host.chain.point(station), host.chain.tangent(station));
    match distance::line_line(f.origin, f.t, at, along) {
        Some((s, u)) => (s, at + along * u, along),
        None => (0.0, at, along),
    }
}
