//! Tubes that touch without a joint, and tubes that run through what should have room.

use design::TubeState;
use geometry::Convex;
use geometry::convex::swept;

use crate::Shape;
use crate::bodies::BodyKind;
use crate::finding::{Finding, Level, Value, less};

/// A convex part with the box that holds it.
struct Part {
    convex: Convex,
    lo: geometry::DVec3,
    hi: geometry::DVec3,
}

impl Part {
    fn new(convex: Convex) -> Part {
        let (lo, hi) = convex.bounds();
        Part { convex, lo, hi }
    }

    /// Whether the boxes come within a distance.
    fn near(&self, other: &Part, d: f64) -> bool {
        (self.lo - d).cmple(other.hi).all() && (other.lo - d).cmple(self.hi).all()
    }
}

fn parts(shape: &Shape) -> Vec<Vec<Part>> {
    shape.tubes.iter().map(|t| swept(&t.chain, &t.frames, &t.outline).into_iter().map(Part::new).collect()).collect()
}

fn least(a: &[Part], b: &[Part], within: f64) -> Option<f64> {
    let mut best: Option<f64> = None;
    for p in a {
        for q in b {
            if p.near(q, within) {
                let d = p.convex.distance(&q.convex);
                if less(d, within) && best.is_none_or(|m| d < m) {
                    best = Some(d);
                }
            }
        }
    }
    best
}

/// Distance between two tubes' surfaces if it is less than `within`, m; negative where they run into each other.
pub fn tube_distance(shape: &Shape, a: usize, b: usize, within: f64) -> Option<f64> {
    let part = |i: usize| {
        let t = &shape.tubes[i];
        swept(&t.chain, &t.frames, &t.outline).into_iter().map(Part::new).collect::<Vec<_>>()
    };
    least(&part(a), &part(b), within)
}

pub(crate) fn findings(shape: &Shape) -> Vec<Finding> {
    let mut out = Vec::new();
    let parts = parts(shape);
    let tubes = &shape.tubes;
    let touch = shape.design.limits.touch;
    let mut joined = std::collections::HashSet::new();
    for j in &shape.joints {
        for a in &j.members {
            for b in &j.members {
                joined.insert((a.tube, b.tube));
            }
        }
    }
    // Sorted by where they begin along x, only tubes whose boxes overlap there need a closer look.
    let spans: Vec<(f64, f64)> = parts
        .iter()
        .map(|p| p.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |s, q| (s.0.min(q.lo.x), s.1.max(q.hi.x))))
        .collect();
    let mut order: Vec<usize> = (0..tubes.len()).collect();
    order.sort_by(|&a, &b| spans[a].0.total_cmp(&spans[b].0));
    for (k, &a) in order.iter().enumerate() {
        for &b in order[k + 1..].iter().take_while(|&&b| spans[b].0 < spans[a].1 + touch) {
            if joined.contains(&(a, b)) {
                continue;
            }
            let Some(d) = least(&parts[a], &parts[b], touch) else { continue };
            let (a, b) = (a.min(b), a.max(b));
            let undecided = tubes[a].state == TubeState::Provisional || tubes[b].state == TubeState::Provisional;
            let shared = share_a_neighbour(shape, a, b);
            let through = less(d, 0.0);
            let (level, what, help) = if through && !undecided && !shared {
                (
                    Level::Mend,
                    format!("{} runs into {} without a joint", tubes[b].name, tubes[a].name),
                    format!(
                        "move one of them, or split {} where they meet and end it on {}",
                        tubes[b].name, tubes[a].name
                    ),
                )
            } else if through {
                (
                    Level::Note,
                    format!("{} and {} overlap beside their joint", tubes[a].name, tubes[b].name),
                    "the later one is cut to the earlier; move their points apart if they should not touch".into(),
                )
            } else {
                (
                    Level::Look,
                    format!("{} and {} come close without a joint", tubes[a].name, tubes[b].name),
                    "give them more room, or a joint".into(),
                )
            };
            let mut f =
                Finding::new(level, "shape", what).tubes([tubes[a].name.clone(), tubes[b].name.clone()]).help(help);
            // How deep they run into each other is known of some sections only.
            if !through {
                f = f.measured(Value::Length(d.max(0.0))).limit(Value::Length(touch), "limits.touch");
            }
            out.push(f);
        }
    }
    for body in &shape.bodies {
        let room: Vec<(&str, Part)> = body.parts.iter().map(|(n, c)| (*n, Part::new(c.clone()))).collect();
        for (i, t) in tubes.iter().enumerate() {
            for (what, part) in &room {
                let hit = parts[i].iter().any(|p| p.near(part, 0.0) && less(p.convex.distance(&part.convex), 0.0));
                if hit {
                    let of = match body.kind {
                        BodyKind::Occupant => format!("the {what} of {}", body.name),
                        BodyKind::Wheel | BodyKind::Mass => body.name.clone(),
                    };
                    out.push(
                        Finding::new(Level::Mend, "shape", format!("{} runs through {of}", t.name))
                            .tubes([t.name.clone()])
                            .at(body.centre)
                            .help("move the tube or what it runs through"),
                    );
                    break;
                }
            }
        }
    }
    out
}

/// Whether two tubes meet a third at joints near each other (two braces that land side by side on a rail): their ends
/// may overlap, and the later is cut to the earlier.
fn share_a_neighbour(shape: &Shape, a: usize, b: usize) -> bool {
    let reach = 2.0 * (shape.tubes[a].outline.reach() + shape.tubes[b].outline.reach());
    let ends = |t: usize| {
        shape.joints.iter().filter(move |j| j.members.iter().any(|m| m.tube == t && m.role != crate::Role::Through))
    };
    ends(a).any(|ja| {
        shape.joints.iter().filter(|j| j.members.iter().any(|m| m.tube == b)).any(|jb| {
            // Oblique tubes reach farther along the third than they are thick.
            ja.at.distance(jb.at) < 2.0 * reach
                && ja.members.iter().any(|x| jb.members.iter().any(|y| x.tube == y.tube && x.tube != a && x.tube != b))
        })
    }) || ends(b).any(|jb| {
        shape.joints.iter().filter(|j| j.members.iter().any(|m| m.tube == a)).any(|ja| {
            ja.at.distance(jb.at) < 2.0 * reach
                && ja.members.iter().any(|x| jb.members.iter().any(|y| x.tube == y.tube && x.tube != a && x.tube != b))
        })
    })
}
