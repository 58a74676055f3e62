//! The points of the design: one for each place, on a tube where something lands on it.

use geometry::{DVec3, SAME_PLACE, Segment};

use crate::boxes::Bounds;
use crate::ends::Places;
use crate::layers::Layer;
use crate::meet::Segments;
use crate::mirror::Kept;
use crate::{Told, count};

/// Two ends nearer than this are one place, m: far above the noise of arithmetic, far under what anybody draws.
const ONE: f64 = 1e-6;

/// A point on a tube's centreline, moved by an offset.
#[derive(Clone, Copy, Debug)]
pub(crate) struct On {
    /// Index of the tube.
    pub tube: usize,
    /// Whether its twin is meant.
    pub twin: bool,
    /// Distance from its start, m.
    pub station: f64,
    /// From its centreline, m; zero for what lies on it.
    pub by: DVec3,
}

/// A point.
#[derive(Clone, Debug)]
pub(crate) struct Node {
    /// Where, m; with symmetry never on the right.
    pub at: DVec3,
    pub on: Option<On>,
    /// The corner of a bent tube: the tube, and which corner.
    pub corner: Option<(usize, usize)>,
}

/// A point of a path, or its twin.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Use {
    pub node: usize,
    pub twin: bool,
}

/// Tubes and points.
#[derive(Clone, Debug)]
pub(crate) struct Frame {
    pub tubes: Vec<Kept>,
    pub paths: Vec<Vec<Use>>,
    pub nodes: Vec<Node>,
}

fn over(p: DVec3) -> DVec3 {
    DVec3::new(p.x, -p.y, p.z)
}

/// Finds the points. `mirrored`: points on the right are twins of those on the left.
pub(crate) fn places(tubes: Vec<Kept>, layers: &[Layer], mirrored: bool, within: f64, told: &mut Told) -> Frame {
    let mut places = Places::new(ONE);
    let mut nodes: Vec<Node> = Vec::new();
    let mut paths = Vec::new();
    let side = |p: DVec3| if mirrored && p.y < -SAME_PLACE { (over(p), true) } else { (p, false) };
    for t in &tubes {
        let corners = &t.tube.chain.corners;
        let last = corners.len() - 1;
        let mut path = Vec::new();
        for (i, p) in corners.iter().enumerate() {
            let (at, twin) = side(*p);
            if i == 0 || i == last {
                let node = places.add(at);
                if node == nodes.len() {
                    nodes.push(Node { at, on: None, corner: None });
                }
                path.push(Use { node, twin });
            } else {
                // Numbered once all ends are.
                path.push(Use { node: usize::MAX, twin });
            }
        }
        paths.push(path);
    }
    for (k, t) in tubes.iter().enumerate() {
        let corners = &t.tube.chain.corners;
        let first = nodes.len();
        for (i, u) in paths[k].iter_mut().enumerate().filter(|(_, u)| u.node == usize::MAX) {
            let at = side(corners[i]).0;
            // The other half of what is its own image has this corner already.
            let own = if t.itself { (first..nodes.len()).find(|n| nodes[*n].at.distance(at) < ONE) } else { None };
            u.node = own.unwrap_or_else(|| {
                nodes.push(Node { at, on: None, corner: Some((k, i)) });
                nodes.len() - 1
            });
        }
    }
    let mut frame = Frame { tubes, paths, nodes };
    hosts(&mut frame, layers, mirrored, within, told);
    frame
}

/// Finds which tube each point lies on, or in.
fn hosts(frame: &mut Frame, layers: &[Layer], mirrored: bool, within: f64, told: &mut Told) {
    let widest = layers.iter().map(Layer::bulk).fold(0.0, f64::max);
    let segments = Segments::new(frame.tubes.iter().map(|t| &t.tube.chain));
    let (mut on, mut beside) = (0, 0);
    for n in 0..frame.nodes.len() {
        let node = &frame.nodes[n];
        if node.corner.is_some() {
            continue;
        }
        let ways = [(node.at, false), (over(node.at), true)];
        let ways = &ways[..if mirrored && node.at.y > SAME_PLACE { 2 } else { 1 }];
        let mut best: Option<(f64, On)> = None;
        for &(at, twin) in ways {
            for k in segments.near(&Bounds::of(&[at]), widest + within) {
                let t = &frame.tubes[k];
                if (twin && !t.mirror) || frame.paths[k].iter().any(|u| u.node == n) {
                    continue;
                }
                let chain = &t.tube.chain;
                let (s, d) = chain.nearest(at);
                let leg = matches!(chain.segments[chain.locate(s).0], Segment::Leg { .. });
                let between = s > ONE && s < chain.length() - ONE;
                let inside = || leg && layers[t.tube.layer].holds(chain.tangent(s), at - chain.point(s), within);
                if !between || !(d <= ONE || inside()) {
                    continue;
                }
                let by = if d <= ONE { DVec3::ZERO } else { at - chain.point(s) };
                let by = if twin { over(by) } else { by };
                if best.is_none_or(|b| d < b.0 - ONE) {
                    best = Some((d, On { tube: k, twin, station: s, by }));
                }
            }
        }
        if let Some((_, o)) = best {
            if o.by == DVec3::ZERO {
                on += 1
            } else {
                beside += 1
            }
            frame.nodes[n].on = Some(o);
        }
    }
    if on > 0 {
        told.done(format!(
            "{} on another tube, and move{} with it",
            count(on, "point lies", "points lie"),
            if on == 1 { "s" } else { "" }
        ));
    }
    if beside > 0 {
        told.done(format!(
            "{} in another tube or on its surface, beside its centreline, and move with it too",
            count(beside, "point lies", "points lie")
        ));
    }
}
