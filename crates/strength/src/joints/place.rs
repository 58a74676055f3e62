//! A node from the shape and the forces in it.

use design::TubeState;
use geometry::{DVec3, Outline, Segment, distance};
use shape::{Joint, Role, Shape, Tube};

use super::classify::footprint;
use super::pull::{Ends, Pull};
use super::range::NotChecked;
use super::{Brace, Chord, Form, Hollow, Node, Steel};

fn counts(t: &Tube) -> bool {
    t.state != TubeState::Temporary
}

/// The tube that passes, if it is one alone, with its station.
fn passes(shape: &Shape, j: &Joint) -> Result<(usize, f64), NotChecked> {
    let mut through: Vec<_> =
        j.members.iter().filter(|m| m.role == Role::Through && counts(&shape.tubes[m.tube])).collect();
    // A neighbour that ends on the same chord within its own width of here only seems to pass.
    let all: Vec<usize> = through.iter().map(|m| m.tube).collect();
    through.retain(|m| {
        let t = &shape.tubes[m.tube];
        let near = |end: f64| (end - m.station).abs() <= t.outline.reach() * NEIGHBOUR;
        let role = if near(0.0) {
            Role::Start
        } else if near(t.chain.length()) {
            Role::End
        } else {
            return true;
        };
        let on =
            |o: &Joint| o.members.iter().any(|x| x.role == Role::Through && x.tube != m.tube && all.contains(&x.tube));
        !shape.joints.iter().any(|o| o.member(m.tube, role).is_some() && on(o))
    });
    let names = || through.iter().map(|m| shape.tubes[m.tube].name.as_str()).collect::<Vec<_>>().join(" and ");
    match through[..] {
        [m] => Ok((m.tube, m.station)),
        [] => Err(NotChecked::new("no tube passes", format!("no tube passes at {}", j.name), "EN 1993-1-8, 7.1.1")),
        _ => Err(NotChecked::new(
            "several tubes pass",
            format!("{} all pass at {}", names(), j.name),
            "EN 1993-1-8, 7.1.1",
        )),
    }
}

/// A tube within this many of its half widths of its end has not passed: it lies inclined over the neighbour's end.
const NEIGHBOUR: f64 = 2.0;

/// The ended tubes of a joint but for its chord: tube, which length of it stands on the joint.
pub(crate) fn ended<'a>(shape: &'a Shape, j: &'a Joint) -> impl Iterator<Item = (usize, Ends)> + 'a {
    j.members.iter().filter(|m| counts(&shape.tubes[m.tube])).filter_map(|m| match m.role {
        Role::Start => Some((m.tube, Ends::End)),
        Role::End => Some((m.tube, Ends::Start)),
        Role::Through => None,
    })
}

/// Joints of the shape in groups that must be checked together: each group is either one joint, or neighbours on one
/// straight leg of a chord whose braces' footprints are nearer than the chord is deep. Joints at which no tube ends are
/// left out.
pub fn groups(shape: &Shape) -> Vec<Vec<usize>> {
    /// Chord and leg, the stretch of the chord that the braces cover, joint.
    type Covered = (usize, usize, f64, f64, usize);
    let mut out: Vec<Vec<usize>> = Vec::new();
    let mut on: Vec<Covered> = Vec::new();
    for (k, j) in shape.joints.iter().enumerate() {
        if ended(shape, j).next().is_none() {
            continue;
        }
        let Ok((chord, station)) = passes(shape, j) else {
            out.push(vec![k]);
            continue;
        };
        let c = &shape.tubes[chord];
        let (leg, _) = c.chain.locate(station);
        let (mut from, mut to) = (station, station);
        for (tube, towards) in ended(shape, j) {
            if let Ok(b) = stand(shape, chord, station, tube, towards) {
                let (x, half) = footprint(&b.brace, b.depth);
                // A brace that nearly lies on the chord has no footprint to speak of.
                if b.brace.angle.sin() > SHALLOW {
                    from = from.min(x - half);
                    to = to.max(x + half);
                }
            }
        }
        on.push((chord, leg, from, to, k));
    }
    on.sort_by(|a, b| (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.total_cmp(&b.2)).then(a.4.cmp(&b.4)));
    let mut last: Option<(usize, usize, f64)> = None;
    for (chord, leg, from, to, k) in on {
        let near = 2.0 * shape.tubes[chord].outline.reach();
        match (last, out.last_mut()) {
            (Some((c, l, end)), Some(group)) if c == chord && l == leg && from - end <= near => {
                group.push(k);
                last = Some((c, l, end.max(to)));
            }
            _ => {
                out.push(vec![k]);
                last = Some((chord, leg, to));
            }
        }
    }
    out
}

/// Sine of an angle under which a brace lies along its chord more than on it (6°); not checked in any case.
const SHALLOW: f64 = 0.1;

/// A brace without forces.
struct Stood {
    brace: Brace,
    /// The chord's extent in the plane, m.
    depth: f64,
    /// Where its axis enters the chord, its direction from there, the normal of the plane.
    foot: DVec3,
    along: DVec3,
    normal: DVec3,
}

pub(crate) fn steel(shape: &Shape, t: &Tube) -> Steel {
    let section = &shape.design.sections[t.section.0];
    let m = &shape.design.materials[section.material.0];
    Steel {
        yield_strength: m.yield_strength,
        tensile_strength: m.tensile_strength,
        youngs: m.youngs,
        elongation: m.elongation,
    }
}

/// A tube's section with azimuth 0 along its own u.
pub(crate) fn hollow(shape: &Shape, t: &Tube) -> Hollow {
    let p = shape.design.sections[t.section.0].shape.properties();
    let form = match t.outline {
        Outline::Circle { r } => Form::Round { od: 2.0 * r },
        Outline::RoundRect { half_x, half_y, .. } => Form::Box { across: 2.0 * half_y, depth: 2.0 * half_x },
    };
    Hollow {
        form,
        wall: t.wall,
        area: p.area,
        elastic: [p.elastic_y, p.elastic_z],
        plastic: [p.plastic_y, p.plastic_z],
        twist: p.torsion_modulus,
        steel: steel(shape, t),
    }
}

/// Puts a brace on a chord.
fn stand(shape: &Shape, chord: usize, station: f64, tube: usize, towards: Ends) -> Result<Stood, NotChecked> {
    let (c, t) = (&shape.tubes[chord], &shape.tubes[tube]);
    let (leg, _) = c.chain.locate(station);
    let f = c.frames[leg];
    let Segment::Leg { .. } = c.chain.segments[leg] else {
        return Err(NotChecked::new(
            "a bend or an end under the brace",
            format!("{} bends where {} stands on it", c.name, t.name),
            "EN 1993-1-8, 7.1.1",
        ));
    };
    // The brace's own end, and its direction away from it.
    let end = if towards == Ends::End { shape::End::Start } else { shape::End::End };
    let own = t.outward(end);
    let along = -own.t;
    let cos = along.dot(f.t);
    let normal = f.t.cross(along).try_normalize().unwrap_or(f.v);
    let up = normal.cross(f.t);
    let (aside, chord_at, brace_at) = match distance::line_line(f.origin, f.t, own.origin, along) {
        Some((s, r)) => {
            let (p, q) = (f.origin + f.t * s, own.origin + along * r);
            (p.distance(q), s, q)
        }
        None => ((own.origin - f.origin).cross(f.t).length(), (own.origin - f.origin).dot(f.t), own.origin),
    };
    let section = hollow(shape, t);
    // A box lies with its depth or its width in the plane, whichever is nearer.
    let tilt = own.u.dot(normal).abs().min(1.0);
    let flat = tilt > std::f64::consts::FRAC_1_SQRT_2;
    let skew = match section.form {
        Form::Round { .. } => 0.0,
        Form::Box { .. } if flat => tilt.acos(),
        Form::Box { .. } => tilt.asin(),
    };
    let azimuth = up.dot(f.v).atan2(up.dot(f.u));
    let depth = hollow(shape, c).seen(azimuth).depth();
    let angle = f.t.cross(along).length().atan2(cos);
    let foot = brace_at + along * (depth / 2.0 / angle.sin().max(SHALLOW));
    let brace = Brace {
        name: t.name.clone(),
        section: section.seen(if flat { std::f64::consts::FRAC_PI_2 } else { 0.0 }),
        angle,
        azimuth,
        station: c.chain.starts[leg] + chord_at,
        aside,
        skew,
        tension: 0.0,
        in_plane: 0.0,
        out_of_plane: 0.0,
        torque: 0.0,
        shear: 0.0,
    };
    Ok(Stood { brace, depth, foot, along, normal })
}

/// A node from joints that belong together (see [`groups`]), without forces, and what it takes to put them on.
pub struct Standing {
    node: Node,
    /// The chord, and its directions.
    chord: (usize, geometry::Frame),
    /// For each brace: the tube, which length of it.
    ends: Vec<(usize, Ends)>,
    feet: Vec<Foot>,
}

/// Where a brace stands: where its axis enters the chord, its direction from there, the normal of the plane.
struct Foot {
    at: DVec3,
    along: DVec3,
    normal: DVec3,
}

/// A node from joints that belong together (see [`groups`]), or why it can't be checked.
///
/// `pulls` are what all tubes do to these joints: for the chord both of its lengths, for each brace the one that stands on
/// it.
pub fn node(shape: &Shape, joints: &[usize], pulls: &[Pull]) -> Result<Node, NotChecked> {
    let mut s = Standing::new(shape, joints)?;
    s.load(pulls)?;
    Ok(s.node)
}

impl Standing {
    /// Finds chord and braces.
    pub fn new(shape: &Shape, joints: &[usize]) -> Result<Standing, NotChecked> {
        let mut chord = None;
        let mut found = Vec::new();
        for j in joints.iter().filter_map(|&j| shape.joints.get(j)) {
            let (tube, station) = passes(shape, j)?;
            if *chord.get_or_insert(tube) != tube {
                return Err(NotChecked::new(
                    "another chord",
                    format!("{} is on another chord", j.name),
                    "EN 1993-1-8, 7.1.1",
                ));
            }
            found.extend(ended(shape, j).map(|(t, towards)| (t, towards, station)));
        }
        let Some(chord) = chord.filter(|_| !found.is_empty()) else {
            return Err(NotChecked::new("no tube passes", "no tube ends here on another", "EN 1993-1-8, 7.1.1"));
        };
        let c = &shape.tubes[chord];
        let (mut braces, mut feet) = (Vec::new(), Vec::new());
        for &(tube, towards, station) in &found {
            let s = stand(shape, chord, station, tube, towards)?;
            straight(shape, chord, tube, towards, &s)?;
            feet.push(Foot { at: s.foot, along: s.along, normal: s.normal });
            braces.push(s.brace);
        }
        let first = found.iter().map(|e| e.2).fold(f64::INFINITY, f64::min);
        let (leg, _) = c.chain.locate(first);
        let node = Node {
            chord: Chord {
                name: c.name.clone(),
                section: hollow(shape, c),
                before: [0.0; 3],
                after: [0.0; 3],
                bending: [[0.0; 2]; 2],
            },
            braces,
        };
        let ends = found.into_iter().map(|e| (e.0, e.1)).collect();
        Ok(Standing { node, chord: (chord, c.frames[leg]), ends, feet })
    }

    /// The node, with the forces that were put on last.
    pub fn node(&self) -> &Node {
        &self.node
    }

    /// For each brace, in the node's order: the tube and which length of it.
    pub fn ends(&self) -> &[(usize, Ends)] {
        &self.ends
    }

    /// Puts on what all tubes do to the node's joints.
    pub fn load(&mut self, pulls: &[Pull]) -> Result<&Node, NotChecked> {
        let unknown = |name: &str| {
            NotChecked::new("force not known", format!("the force in {name} is not known"), "EN 1993-1-8, 7.2.1")
        };
        for ((b, foot), &(tube, towards)) in self.node.braces.iter_mut().zip(&self.feet).zip(&self.ends) {
            let pull = pulls.iter().filter(|p| p.tube == tube && p.towards == towards);
            // A neighbour's joint may lie within the brace near its end and be held by it there: what counts is what comes
            // down the brace from beyond both.
            let outer = pull.max_by(|a, b| a.at.dot(foot.along).total_cmp(&b.at.dot(foot.along)));
            let p = outer.ok_or_else(|| unknown(&b.name))?;
            let moment = p.moment - (foot.at - p.at).cross(p.force);
            let across = foot.along.cross(foot.normal);
            b.tension = p.force.dot(foot.along);
            b.in_plane = moment.dot(foot.normal);
            b.out_of_plane = moment.dot(across);
            b.torque = moment.dot(foot.along);
            b.shear = (p.force - foot.along * b.tension).length();
        }
        let (chord, f) = self.chord;
        let sides = [Ends::Start, Ends::End].map(|towards| {
            let sign = if towards == Ends::Start { -1.0 } else { 1.0 };
            let of = pulls.iter().filter(|p| p.tube == chord && p.towards == towards);
            of.max_by(|a, b| (a.at.dot(f.t) * sign).total_cmp(&(b.at.dot(f.t) * sign)))
        });
        let [Some(before), Some(after)] = sides else { return Err(unknown(&self.node.chord.name)) };
        let parts = |v: DVec3| [v.dot(f.t), v.dot(f.u), v.dot(f.v)];
        // A moment about v bends in the plane of u, and the other way round.
        let bending = |m: DVec3| [m.dot(f.v), m.dot(f.u)];
        let c = &mut self.node.chord;
        (c.before, c.after) = (parts(before.force), parts(after.force));
        c.bending = [bending(before.moment), bending(after.moment)];
        Ok(&self.node)
    }
}

/// Whether the chord is straight under a brace's footprint, and the brace for as long as it is deep from there.
fn straight(shape: &Shape, chord: usize, tube: usize, towards: Ends, s: &Stood) -> Result<(), NotChecked> {
    let (c, t) = (&shape.tubes[chord], &shape.tubes[tube]);
    let (b, clause) = (&s.brace, "EN 1993-1-8, 7.1.1");
    if b.angle.sin() <= SHALLOW {
        // Out of range by its angle, which says more.
        return Ok(());
    }
    let (x, half) = footprint(b, s.depth);
    let (leg, _) = c.chain.locate(b.station);
    let (from, to) = (c.chain.starts[leg], c.chain.starts[leg + 1]);
    if x - half < from || x + half > to {
        let what = if c.is_straight() { "ends" } else { "bends or ends" };
        return Err(NotChecked::new(
            "a bend or an end under the brace",
            format!("{} {what} under {}", c.name, t.name),
            clause,
        ));
    }
    let end = if towards == Ends::End { shape::End::Start } else { shape::End::End };
    let free = t.end_leg(end) - (s.foot - t.outward(end).origin).dot(s.along);
    if !t.is_straight() && free < b.section.depth() {
        return Err(NotChecked::new(
            "a brace that bends at once",
            format!("{} bends within its own depth of {}", t.name, c.name),
            clause,
        ));
    }
    Ok(())
}
