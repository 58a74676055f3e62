//! Where tubes meet: found from the design's points, and from where an end lies.

use design::{CutSpec, Design, Placement, PointId, TubeState};
use geometry::{DVec3, distance};

use crate::Shape;
use crate::finding::{Finding, Level, Value, more};
use crate::places::Places;
use crate::tube::{End, Tube, index_of};

/// What a tube does at a joint.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// It starts there.
    Start,
    /// It ends there.
    End,
    /// It passes.
    Through,
}

/// A tube at a joint.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Member {
    /// Index of the tube in the shape.
    pub tube: usize,
    /// What it does there.
    pub role: Role,
    /// Where along its centreline, m from its start.
    pub station: f64,
    /// How far its centreline passes from the joint's place, m: its eccentricity.
    pub offset: f64,
    /// Found because an end lies within it, and not because the design says so.
    pub found: bool,
}

/// Tubes that meet.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Joint {
    /// Name: that of the point, with `~` for the twin.
    pub name: String,
    /// Where, m.
    pub at: DVec3,
    /// Who, in fitting order.
    pub members: Vec<Member>,
}

impl Joint {
    /// The joint's entry for a tube in a role.
    pub fn member(&self, tube: usize, role: Role) -> Option<&Member> {
        self.members.iter().find(|m| m.tube == tube && m.role == role)
    }
}

/// Points nearer than this are one joint: a tenth of a millimetre, under what can be marked out.
const ONE_JOINT: f64 = 1e-4;

struct Site {
    name: String,
    at: DVec3,
    members: Vec<Member>,
}

fn join(site: &mut Site, tubes: &[Tube], tube: usize, found: bool) {
    let t = &tubes[tube];
    let length = t.chain.length();
    let (station, offset) = t.chain.nearest(site.at);
    // A tube whose own end is here ends here; anywhere else it passes.
    let role = if t.chain.point(0.0).distance(site.at) < ONE_JOINT {
        Role::Start
    } else if t.chain.point(length).distance(site.at) < ONE_JOINT {
        Role::End
    } else {
        Role::Through
    };
    if !site.members.iter().any(|m| m.tube == tube && m.role == role) {
        site.members.push(Member { tube, role, station, offset, found });
    }
}

/// Finds the joints.
pub(crate) fn find(design: &Design, places: &Places, tubes: &[Tube]) -> Vec<Joint> {
    // One site for each point or twin that a path uses.
    let mut sites: Vec<Site> = Vec::new();
    let mut by_key = std::collections::BTreeMap::<(PointId, bool), usize>::new();
    for (i, t) in tubes.iter().enumerate() {
        for r in &design.tubes[t.id.0].path {
            let is_twin = (r.twin != t.twin) && !places.is_centre(r.id);
            let at = places.of(r.id, is_twin);
            let site = *by_key.entry((r.id, is_twin)).or_insert_with(|| {
                let same = sites.iter().position(|s: &Site| s.at.distance(at) < ONE_JOINT);
                same.unwrap_or_else(|| {
                    let name = design::twin_name(&design.points[r.id.0].name, is_twin);
                    sites.push(Site { name, at, members: Vec::new() });
                    sites.len() - 1
                })
            });
            join(&mut sites[site], tubes, i, false);
            if let Placement::On { tube: host, along: _, by: _ } = &design.points[r.id.0].placement {
                let host = index_of(tubes, host.id, host.twin != is_twin && design.tubes[host.id.0].mirror);
                if host != i {
                    join(&mut sites[site], tubes, host, false);
                }
            }
        }
    }
    // An end that lies within another tube meets it, whether or not the design says so; so does one that names it.
    for s in &mut sites {
        let ends_here: Vec<Member> = s.members.iter().filter(|m| m.role != Role::Through).copied().collect();
        for m in ends_here {
            let end = if m.role == Role::Start { End::Start } else { End::End };
            for &to in &tubes[m.tube].ends[end as usize].to {
                if to != m.tube {
                    join(s, tubes, to, false);
                }
            }
        }
        if s.members.iter().any(|m| m.role != Role::Through) {
            for (k, other) in tubes.iter().enumerate() {
                if other.state == TubeState::Provisional || s.members.iter().any(|m| m.tube == k) {
                    continue;
                }
                if near(other, s.at) && inside(other, s.at) {
                    join(s, tubes, k, true);
                }
            }
        }
    }
    let mut joints: Vec<Joint> = sites
        .into_iter()
        .filter(|s| !s.members.is_empty())
        .map(|mut s| {
            s.members.sort_by_key(|m| (m.tube, m.role));
            Joint { name: s.name, at: s.at, members: s.members }
        })
        .collect();
    // A corner of one bent tube alone is no joint.
    joints.retain(|j| j.members.len() > 1 || j.members.iter().any(|m| m.role != Role::Through));
    joints
}

/// A quick look: within the box round the tube's corners, grown by its reach.
fn near(t: &Tube, p: DVec3) -> bool {
    let grow = DVec3::splat(t.outline.reach());
    let (lo, hi) =
        t.chain.corners.iter().fold((DVec3::INFINITY, DVec3::NEG_INFINITY), |b, &c| (b.0.min(c), b.1.max(c)));
    p.cmpge(lo - grow).all() && p.cmple(hi + grow).all()
}

/// Whether a point lies within a tube's outside surface, between its ends.
fn inside(t: &Tube, p: DVec3) -> bool {
    let (s, d) = t.chain.nearest(p);
    if d > t.outline.reach() {
        return false;
    }
    let (i, _) = t.chain.locate(s);
    let axis = t.chain.point(s);
    match t.outline {
        geometry::Outline::Circle { r } => d < r,
        geometry::Outline::RoundRect { half_x, half_y, .. } => {
            let q = t.frames[i].across(p - axis);
            q.x.abs() < half_x && q.y.abs() < half_y
        }
    }
}

/// Findings about joints: loose ends, loose pieces, joints that the design does not name, eccentric joints.
pub(crate) fn findings(shape: &Shape) -> Vec<Finding> {
    let mut out = Vec::new();
    let tubes = &shape.tubes;
    let name = |i: usize| tubes[i].name.clone();
    for j in &shape.joints {
        let pass = j.members.iter().any(|m| m.role == Role::Through);
        for m in &j.members {
            if m.role != Role::Through && j.members.len() == 1 {
                let end = if m.role == Role::Start { End::Start } else { End::End };
                let t = &tubes[m.tube];
                if matches!(t.ends[end as usize].cut, CutSpec::Plane(_) | CutSpec::Square) {
                    continue;
                }
                let nearest = nearest_tube(shape, m.tube, j.at);
                // A tube that is held elsewhere may well run past its last joint.
                let held =
                    shape.joints.iter().filter(|o| o.members.len() > 1 && o.members.iter().any(|x| x.tube == m.tube));
                let level = if held.count() >= 2 { Level::Note } else { Level::Look };
                let mut f = Finding::new(level, "shape", format!("{} of {} meets nothing", end.word(), t.name))
                    .tubes([t.name.clone()])
                    .at(j.at)
                    .help("put its point on a tube, or say `cut = \"square\"` if it is meant to stand free");
                if let Some((k, d)) = nearest {
                    f.what = format!("{} of {} meets nothing; {} is nearest", end.word(), t.name, name(k));
                    f = f.measured(Value::Length(d));
                }
                out.push(f.span(&shape.design.tubes[t.id.0].path_span));
            }
            if m.found && pass {
                let ends: Vec<String> =
                    j.members.iter().filter(|o| o.role != Role::Through).map(|o| name(o.tube)).collect();
                out.push(
                    Finding::new(
                        Level::Note,
                        "shape",
                        format!(
                            "{} ends within {} at {}, so they are joined",
                            ends.join(" and "),
                            name(m.tube),
                            j.name
                        ),
                    )
                    .tubes(ends.iter().cloned().chain([name(m.tube)]))
                    .at(j.at)
                    .help(format!("place `{}` on the tube to make the joint part of the design", j.name)),
                );
            }
        }
        eccentric(shape, j, &mut out);
    }
    loose_pieces(shape, &mut out);
    out
}

/// An axis that passes the tube it ends on by more than this share of that tube's depth bends it noticeably:
/// EN 1993-1-8, 5.1.5 (5) lets joint design leave the moment out up to 0.25 of the chord's depth (from memory).
const ECCENTRIC: f64 = 0.25;

fn eccentric(shape: &Shape, j: &Joint, out: &mut Vec<Finding>) {
    for m in j.members.iter().filter(|m| m.role != Role::Through) {
        let end = if m.role == Role::Start { End::Start } else { End::End };
        let t = &shape.tubes[m.tube];
        let axis = t.outward(end);
        for host in j.members.iter().filter(|h| h.role == Role::Through && h.tube != m.tube) {
            let h = &shape.tubes[host.tube];
            let along = h.chain.tangent(host.station);
            let at = h.chain.point(host.station);
            let way = match distance::line_line(axis.origin, axis.t, at, along) {
                Some((s, u)) => axis.origin + axis.t * s - (at + along * u),
                None => j.at - at,
            };
            let miss = way.length();
            // The depth is that of the section in the direction of the eccentricity: a box is not as deep as its
            // diagonal.
            let (segment, _) = h.chain.locate(host.station);
            let depth = match way.try_normalize() {
                Some(n) => 2.0 * h.outline.support(h.frames[segment].across(n)),
                None => continue,
            };
            if more(miss, ECCENTRIC * depth) {
                out.push(
                    Finding::new(
                        Level::Note,
                        "shape",
                        format!("the axis of {} passes beside that of {}", t.name, h.name),
                    )
                    .tubes([t.name.clone(), h.name.clone()])
                    .at(j.at)
                    .measured(Value::Length(miss))
                    .limit(Value::Length(ECCENTRIC * depth), "EN 1993-1-8, 5.1.5 (5), from memory"),
                );
            }
        }
    }
}

fn nearest_tube(shape: &Shape, but: usize, p: DVec3) -> Option<(usize, f64)> {
    shape
        .tubes
        .iter()
        .enumerate()
        .filter(|(k, _)| *k != but)
        .map(|(k, t)| (k, to_surface(t, p)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
}

/// From a place to a tube's surface, its ends square: a box's own face, not the circle round it. Negative inside.
fn to_surface(t: &Tube, p: DVec3) -> f64 {
    let f = t.frame_at(t.chain.nearest(p).0);
    let d = p - f.origin;
    let out = -t.outline.depth(geometry::DVec2::new(d.dot(f.u), d.dot(f.v)));
    // Past an end the way along counts, too.
    let past = d.dot(f.t).abs();
    if past > geometry::SAME_PLACE { out.max(0.0).hypot(past) } else { out }
}

/// Tubes that hang together with fewer than half of all others.
fn loose_pieces(shape: &Shape, out: &mut Vec<Finding>) {
    let n = shape.tubes.len();
    let mut parent: Vec<usize> = (0..n).collect();
    fn root(p: &mut [usize], mut i: usize) -> usize {
        while p[i] != i {
            p[i] = p[p[i]];
            i = p[i];
        }
        i
    }
    for j in &shape.joints {
        for w in j.members.windows(2) {
            let (a, b) = (root(&mut parent, w[0].tube), root(&mut parent, w[1].tube));
            parent[a] = b;
        }
    }
    let mut groups = std::collections::BTreeMap::<usize, Vec<usize>>::new();
    for i in 0..n {
        groups.entry(root(&mut parent, i)).or_default().push(i);
    }
    let main = groups.values().map(Vec::len).max().unwrap_or(0);
    let mut seen_main = false;
    for g in groups.values() {
        if g.len() == main && !seen_main {
            seen_main = true;
            continue;
        }
        let names: Vec<String> = g.iter().map(|&i| shape.tubes[i].name.clone()).collect();
        let text = if names.len() > 4 {
            format!("{} and {} more", names[..3].join(", "), names.len() - 3)
        } else {
            names.join(", ")
        };
        out.push(
            Finding::new(Level::Mend, "shape", format!("{text}: not joined to the rest of the frame"))
                .tubes(names)
                .at(shape.tubes[g[0]].chain.point(0.0))
                .help("end one of its tubes on the frame, or put a tube between them"),
        );
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use geometry::DVec3;

    use super::*;

    #[test]
    fn a_box_is_as_far_as_its_face() {
        let text = "[design]\nname = \"x\"\n[section.b]\nshape = \"box\"\nwidth = 40\nheight = 60\nwall = 3\ncorner = 4\nmaterial = \"S355\"\n\
                    [section.t]\nshape = \"round\"\nod = 40\nwall = 3\nmaterial = \"S355\"\n\
                    [point]\na = [-500, 0, 0]\nb = [500, 0, 0]\n[tube.k]\nsection = \"b\"\npath = [\"a\", \"b\"]\n";
        let of = |text: &str| {
            let design = design::read(text).expect("a design").design;
            crate::resolve(Arc::new(design)).expect("a frame")
        };
        let boxed = of(text);
        let far = |s: &Shape, p: [f64; 3]| to_surface(&s.tubes[0], DVec3::from_array(p) * 1e-3);
        // 40 wide, 60 high; 100 to the side, 100 over it, past its corner's round, past its end, inside.
        assert!((far(&boxed, [0.0, 100.0, 0.0]) - 0.080).abs() < 1e-12);
        assert!((far(&boxed, [0.0, 0.0, 100.0]) - 0.070).abs() < 1e-12);
        assert!((far(&boxed, [0.0, 46.0, 66.0]) - (30.0f64.hypot(40.0) - 4.0) * 1e-3).abs() < 1e-12);
        assert!((far(&boxed, [560.0, 100.0, 0.0]) - 0.1).abs() < 1e-12);
        assert!((far(&boxed, [0.0, 0.0, 10.0]) + 0.020).abs() < 1e-12);
        let round = of(&text.replace("section = \"b\"", "section = \"t\""));
        assert!((far(&round, [0.0, 60.0, 80.0]) - 0.080).abs() < 1e-12);
    }
}
