//! Places of points and centrelines of tubes, each in the order in which they depend on one another.

use design::units::{Quantity, show};
use design::{Along, Design, Placement, PointRef, Problem, Tube};
use geometry::{Chain, ChainError, DVec3};

/// What was located: one entry per point and per tube of the design, twins not included.
pub(crate) struct Located {
    pub points: Vec<DVec3>,
    pub chains: Vec<Chain>,
}

/// A place or its mirror image.
pub(crate) fn twin(p: DVec3, twin: bool) -> DVec3 {
    if twin { DVec3::new(p.x, -p.y, p.z) } else { p }
}

#[derive(Clone, Copy)]
enum Node {
    Point(usize),
    Tube(usize),
}

pub(crate) fn locate(design: &Design) -> Result<Located, Vec<Problem>> {
    let (np, nt) = (design.points.len(), design.tubes.len());
    let index = |n: Node| match n {
        Node::Point(i) => i,
        Node::Tube(i) => np + i,
    };
    // Everything waits for what it is placed by; what waits for nothing is placed first.
    let mut waiting = vec![0usize; np + nt];
    let mut followers: Vec<Vec<Node>> = vec![Vec::new(); np + nt];
    let mut wait = |who: Node, on: Node| {
        waiting[index(who)] += 1;
        followers[index(on)].push(who);
    };
    for (i, p) in design.points.iter().enumerate() {
        match &p.placement {
            Placement::At(_) => {}
            Placement::On { tube, .. } => wait(Node::Point(i), Node::Tube(tube.id.0)),
            Placement::From { point, .. } => wait(Node::Point(i), Node::Point(point.id.0)),
        }
    }
    for (i, t) in design.tubes.iter().enumerate() {
        for p in &t.path {
            wait(Node::Tube(i), Node::Point(p.id.0));
        }
    }
    let mut points: Vec<Option<DVec3>> = vec![None; np];
    let mut chains: Vec<Option<Chain>> = vec![None; nt];
    let mut problems = Vec::new();
    let mut ready: Vec<Node> =
        (0..np).map(Node::Point).chain((0..nt).map(Node::Tube)).filter(|&n| waiting[index(n)] == 0).collect();
    while let Some(node) = ready.pop() {
        let placed = match node {
            Node::Point(i) => match place_point(design, i, &points, &chains) {
                Ok(p) => {
                    points[i] = p;
                    p.is_some()
                }
                Err(e) => {
                    problems.push(*e);
                    false
                }
            },
            Node::Tube(i) => match place_tube(design, &design.tubes[i], &points) {
                Ok(c) => {
                    chains[i] = c;
                    chains[i].is_some()
                }
                Err(e) => {
                    problems.push(*e);
                    false
                }
            },
        };
        // What depends on a thing in trouble is left alone: its own trouble would only repeat the first.
        if placed {
            for &f in &followers[index(node)] {
                waiting[index(f)] -= 1;
                if waiting[index(f)] == 0 {
                    ready.push(f);
                }
            }
        }
    }
    if problems.is_empty()
        && let Some(i) = points.iter().position(Option::is_none)
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
    Ok(Located { points: points.into_iter().flatten().collect(), chains: chains.into_iter().flatten().collect() })
}

type Boxed<T> = Result<Option<T>, Box<Problem>>;

fn place_point(design: &Design, i: usize, points: &[Option<DVec3>], chains: &[Option<Chain>]) -> Boxed<DVec3> {
    let point = &design.points[i];
    let at = |r: &PointRef| points[r.id.0].map(|p| twin(p, r.twin));
    Ok(match &point.placement {
        Placement::At(p) => Some(*p),
        Placement::From { point, by } => at(point).map(|p| p + *by),
        Placement::On { tube, along, by } => {
            let Some(chain) = &chains[tube.id.0] else { return Ok(None) };
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

fn place_tube(design: &Design, tube: &Tube, points: &[Option<DVec3>]) -> Boxed<Chain> {
    let mut corners = Vec::with_capacity(tube.path.len());
    for p in &tube.path {
        match points[p.id.0] {
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
