//! Places of points and centrelines of tubes, each in the order in which they depend on one another.

use design::units::{Quantity, show};
use design::{Along, Design, Placement, PointId, PointRef, Problem, Tube};
use geometry::{Chain, ChainError, DVec3};

use crate::places::{Moved, Places, twin};

/// What was located.
pub(crate) struct Located {
    pub places: Places,
    /// For each tube of the design its centreline, and that of which its twin's is the mirror image.
    chains: [Vec<Chain>; 2],
}

impl Located {
    /// A tube's centreline, or that of which its twin's is the mirror image.
    pub(crate) fn chain(&self, tube: usize, twin: bool) -> &Chain {
        &self.chains[usize::from(twin && self.places.apart)][tube]
    }
}

#[derive(Clone, Copy)]
enum Node {
    Point(usize),
    Tube(usize),
}

/// One half of a frame, the other mirrored onto it: what is placed on one may depend on the other.
#[derive(Default)]
struct Side {
    points: Vec<Option<DVec3>>,
    chains: Vec<Option<Chain>>,
}

/// Both halves; one alone stands for both as long as they are mirror images.
struct Sides(Vec<Side>);

impl Sides {
    fn side(&self, of: usize, twin: bool) -> &Side {
        &self.0[(of + usize::from(twin)) % self.0.len()]
    }
}

pub(crate) fn locate(design: &Design, moved: &Moved) -> Result<Located, Vec<Problem>> {
    let (np, nt) = (design.points.len(), design.tubes.len());
    let count = if moved.is_empty() { 1 } else { 2 };
    let index = |side: usize, n: Node| {
        side * (np + nt)
            + match n {
                Node::Point(i) => i,
                Node::Tube(i) => np + i,
            }
    };
    // Everything waits for what it is placed by; what waits for nothing is placed first.
    let mut waiting = vec![0usize; (np + nt) * count];
    let mut followers: Vec<Vec<(usize, Node)>> = vec![Vec::new(); (np + nt) * count];
    let mut wait = |side: usize, who: Node, twin: bool, on: Node| {
        waiting[index(side, who)] += 1;
        followers[index((side + usize::from(twin)) % count, on)].push((side, who));
    };
    for side in 0..count {
        for (i, p) in design.points.iter().enumerate() {
            match &p.placement {
                _ if moved.get(PointId(i), side == 1).is_some() => {}
                Placement::At(_) => {}
                Placement::On { tube, .. } => wait(side, Node::Point(i), tube.twin, Node::Tube(tube.id.0)),
                Placement::From { point, .. } => wait(side, Node::Point(i), point.twin, Node::Point(point.id.0)),
            }
        }
        for (i, t) in design.tubes.iter().enumerate() {
            for p in &t.path {
                wait(side, Node::Tube(i), p.twin, Node::Point(p.id.0));
            }
        }
    }
    let half = || Side { points: vec![None; np], chains: vec![None; nt] };
    let mut sides = Sides((0..count).map(|_| half()).collect());
    let mut problems = Vec::new();
    let nodes = || (0..np).map(Node::Point).chain((0..nt).map(Node::Tube));
    let mut ready: Vec<(usize, Node)> = (0..count)
        .flat_map(|side| nodes().map(move |n| (side, n)))
        .filter(|&(side, n)| waiting[index(side, n)] == 0)
        .collect();
    while let Some((side, node)) = ready.pop() {
        let placed = match node {
            Node::Point(i) => {
                let at = match moved.get(PointId(i), side == 1) {
                    Some(p) => Ok(Some(twin(p, side == 1))),
                    None => place_point(design, i, side, &sides),
                };
                at.map(|p| {
                    sides.0[side].points[i] = p;
                    p.is_some()
                })
            }
            Node::Tube(i) => place_tube(design, &design.tubes[i], side, &sides).map(|c| {
                sides.0[side].chains[i] = c;
                sides.0[side].chains[i].is_some()
            }),
        };
        match placed {
            // What depends on a thing in trouble is left alone: its own trouble would only repeat the first.
            Ok(false) => {}
            Err(e) => problems.push(*e),
            Ok(true) => {
                for &(s, f) in &followers[index(side, node)] {
                    waiting[index(s, f)] -= 1;
                    if waiting[index(s, f)] == 0 {
                        ready.push((s, f));
                    }
                }
            }
        }
    }
    if problems.is_empty()
        && let Some(i) = (0..np).find(|&i| sides.0.iter().any(|s| s.points[i].is_none()))
    {
        let p = &design.points[i];
        problems.push(
            Problem::error(format!("point `{}` can't be placed", p.name), p.span.clone(), "depends on itself")
                .help("place one of the points and tubes that it depends on by coordinates"),
        );
    }
    if !problems.is_empty() {
        problems.sort_by_key(|p| p.span.as_ref().map(|s| s.start));
        return Err(problems);
    }
    let mut halves = sides.0.into_iter();
    let mut next = || halves.next().unwrap_or_default();
    let (own, other) = (next(), next());
    let points: Vec<DVec3> = own.points.into_iter().flatten().collect();
    let chains = [own.chains, other.chains].map(|c| c.into_iter().flatten().collect());
    let places = if moved.is_empty() {
        Places::mirrored(points)
    } else {
        Places::apart(points, other.points.into_iter().flatten().map(|p| twin(p, true)).collect())
    };
    Ok(Located { places, chains })
}

type Boxed<T> = Result<Option<T>, Box<Problem>>;

fn place_point(design: &Design, i: usize, side: usize, sides: &Sides) -> Boxed<DVec3> {
    let point = &design.points[i];
    let at = |r: &PointRef| sides.side(side, r.twin).points[r.id.0].map(|p| twin(p, r.twin));
    Ok(match &point.placement {
        Placement::At(p) => Some(*p),
        Placement::From { point, by } => at(point).map(|p| p + *by),
        Placement::On { tube, along, by } => {
            let Some(chain) = &sides.side(side, tube.twin).chains[tube.id.0] else { return Ok(None) };
            let name = design.tube_name(tube);
            // On a twin, y is counted on the twin's side.
            let s = match *along {
                Along::Plane { axis: 1, value, pick } if tube.twin => {
                    station(design, i, chain, &name, Along::Plane { axis: 1, value: -value, pick })?
                }
                other => station(design, i, chain, &name, other)?,
            };
            Some(twin(chain.point(s), tube.twin) + *by)
        }
    })
}

/// Distance along a tube's centreline of a place on it.
fn station(design: &Design, point: usize, chain: &Chain, tube: &str, along: Along) -> Result<f64, Box<Problem>> {
    let p = &design.points[point];
    let length = chain.length();
    let text = |v: f64| show(v, Quantity::Length, design.units);
    let off_end = |s: f64| {
        Box::new(
            Problem::error(
                format!("point `{}` lies beyond the end of tube `{tube}`", p.name),
                p.span.clone(),
                format!("{} along a centreline of {}", text(s), text(length)),
            )
            .help("use a length within the tube, or make the tube longer"),
        )
    };
    match along {
        Along::Length(v) => {
            let s = if v < 0.0 { length + v } else { v };
            if s < -geometry::SAME_PLACE || s > length + geometry::SAME_PLACE { Err(off_end(v)) } else { Ok(s) }
        }
        Along::Part(f) => Ok(f * length),
        Along::Plane { axis, value, pick } => {
            let all = chain.crossings(axis, value);
            let plane = format!("{} = {}", ["x", "y", "z"][axis.min(2)], text(value));
            match (all.len(), pick) {
                (0, _) => {
                    let ends = [chain.point(0.0)[axis], chain.point(length)[axis]];
                    Err(Box::new(
                        Problem::error(
                            format!("tube `{tube}` does not cross {plane}, where point `{}` should be", p.name),
                            p.span.clone(),
                            format!("it runs from {} to {}", text(ends[0]), text(ends[1])),
                        )
                        .help("use a plane that the centreline crosses, or `part` or `at`"),
                    ))
                }
                (1, None) => Ok(all[0]),
                (n, None) => Err(Box::new(
                    Problem::error(
                        format!("tube `{tube}` crosses {plane} {n} times"),
                        p.span.clone(),
                        format!("which crossing point `{}` is on must be said", p.name),
                    )
                    .help(format!("add `pick = 1` for the first from the tube's start, up to `pick = {n}`")),
                )),
                (n, Some(k)) if k >= 1 && k <= n => Ok(all[k - 1]),
                (n, Some(k)) => Err(Box::new(Problem::error(
                    format!("tube `{tube}` crosses {plane} {n} times, so there is no crossing {k}"),
                    p.span.clone(),
                    format!("`pick` goes from 1 to {n} here"),
                ))),
            }
        }
    }
}

fn place_tube(design: &Design, tube: &Tube, side: usize, sides: &Sides) -> Boxed<Chain> {
    let mut corners = Vec::with_capacity(tube.path.len());
    for p in &tube.path {
        match sides.side(side, p.twin).points[p.id.0] {
            Some(at) => corners.push(twin(at, p.twin)),
            None => return Ok(None),
        }
    }
    let text = |v: f64| show(v, Quantity::Length, design.units);
    let name = |i: usize| design.point_name(&tube.path[i]);
    let problem = |message: String, label: String, at: usize, help: String| {
        Err(Box::new(Problem::error(message, tube.path[at].span.clone(), label).help(help)))
    };
    match Chain::new(&corners, &tube.bend_radii) {
        Ok(chain) => Ok(Some(chain)),
        Err(ChainError::SamePlace(i)) => problem(
            format!("tube `{}` has no length between `{}` and `{}`", tube.name, name(i), name(i + 1)),
            "same place as the point before it".into(),
            i + 1,
            "leave one of the two points out of the path, or move it".into(),
        ),
        Err(ChainError::TurnsBack(i)) => problem(
            format!("tube `{}` turns straight back at `{}`", tube.name, name(i)),
            "no bend can turn by 180 degrees at a corner".into(),
            i,
            "use two corners for a return bend, or two tubes".into(),
        ),
        Err(ChainError::TooShort { leg, have, need }) => problem(
            format!(
                "the bends of tube `{}` do not fit between `{}` and `{}`: they take {} of a straight of {}",
                tube.name,
                name(leg),
                name(leg + 1),
                text(need),
                text(have)
            ),
            format!("{} short", text(need - have)),
            leg + 1,
            "move the points apart, bend less, or use a smaller bend radius".into(),
        ),
    }
}
