//! Closed panels of the frame, and the diagonals that tell whether they are square.

mod graph;

use design::TubeState;
use geometry::DVec3;
use serde::Serialize;
use shape::Shape;

use graph::Graph;

/// A distance from corner to corner.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Diagonal {
    /// Joints at its ends.
    pub joints: [String; 2],
    /// Between the centres of the joints, m.
    pub centres: f64,
    /// Between marks on the outside of the tubes, straight over the centres in the panel's normal direction, m.
    pub marks: f64,
    /// How far each mark lies from its centre, m.
    pub over: [f64; 2],
    /// Tolerance of this length, ±, m.
    pub tolerance: f64,
}

/// A closed panel.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Panel {
    /// Joints at its corners, in order round it.
    pub corners: Vec<String>,
    /// Tubes along its sides.
    pub tubes: Vec<String>,
    /// Unit normal of its mean plane: the side on which the marks are.
    pub normal: DVec3,
    /// How far corners stray from that plane, at most, m.
    pub out_of_plane: f64,
    /// Two for four corners, five for five, nine for six.
    pub diagonals: Vec<Diagonal>,
    /// First diagonal less second by design, between marks, m: of four corners. Nought where the panel is its own mirror image.
    pub difference: Option<f64>,
    /// By how much the difference may be off: the sum of both tolerances, m.
    pub difference_tolerance: Option<f64>,
}

/// A side that turns by less than this at a joint runs straight on: no corner that could rack. 5 degrees.
const STRAIGHT_ON: f64 = 0.087_266;
/// Corners may stray from a panel's plane by this part of its longest diagonal.
const FLAT: f64 = 0.1;
/// Most corners.
const MOST: usize = 6;

/// Panels with four to six corners; smallest round first.
pub fn panels(shape: &Shape, tolerance: &impl Fn(f64) -> f64) -> Vec<Panel> {
    let graph = Graph::new(shape);
    let mut out: Vec<(f64, Panel)> = Vec::new();
    for cycle in graph.isometric() {
        if let Some(p) = panel(shape, &graph, &cycle, tolerance) {
            out.push((graph.round(&cycle), p));
        }
    }
    out.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.corners.cmp(&b.1.corners)));
    out.into_iter().map(|p| p.1).collect()
}

fn panel(shape: &Shape, graph: &Graph, cycle: &[usize], tolerance: &impl Fn(f64) -> f64) -> Option<Panel> {
    let at = |i: usize| shape.joints[i].at;
    let n = cycle.len();
    // Along one tube it is the tube's own axis that turns or does not: its joints may sit above and below that.
    let on = |t: usize, i: usize| shape.tubes[t].chain.point(shape.tubes[t].chain.nearest(at(i)).0);
    let turns = |k: usize| {
        let (a, b, c) = (cycle[(k + n - 1) % n], cycle[k], cycle[(k + 1) % n]);
        let (t, u) = (graph.tube(a, b), graph.tube(b, c));
        let (p, q, r) = if t == u { (on(t, a), on(t, b), on(t, c)) } else { (at(a), at(b), at(c)) };
        (q - p).angle_between(r - q) > STRAIGHT_ON
    };
    let corners: Vec<usize> = (0..n).filter(|&k| turns(k)).map(|k| cycle[k]).collect();
    let m = corners.len();
    if !(4..=MOST).contains(&m) {
        return None;
    }
    let middle = corners.iter().map(|&c| at(c)).sum::<DVec3>() / m as f64;
    // Newell's normal of the corners, turned outward: away from the middle of the frame, or up.
    let mut normal = (0..m)
        .map(|k| (at(corners[k]) - middle).cross(at(corners[(k + 1) % m]) - middle))
        .sum::<DVec3>()
        .try_normalize()?;
    let centre = shape.joints.iter().map(|j| j.at).sum::<DVec3>() / shape.joints.len() as f64;
    let out = (middle - centre).dot(normal);
    if out < -geometry::SAME_PLACE || (out.abs() <= geometry::SAME_PLACE && normal.z < 0.0) {
        normal = -normal;
    }
    let out_of_plane = corners.iter().map(|&c| (at(c) - middle).dot(normal).abs()).fold(0.0, f64::max);
    let over = |c: usize| {
        let members = shape.joints[c].members.iter();
        let permanent = members.filter(|m| shape.tubes[m.tube].state == TubeState::Permanent);
        permanent
            .map(|m| {
                let t = &shape.tubes[m.tube];
                let f = t.frame_at(m.station);
                // Along a tube that points at the reader its outside lies nowhere.
                let reach = t.outline.support(f.across(normal));
                (f.origin - at(c)).dot(normal) + reach
            })
            .fold(0.0, f64::max)
    };
    let mut diagonals = Vec::new();
    for gap in 2..=m / 2 {
        for a in 0..m {
            let b = (a + gap) % m;
            if 2 * gap == m && a >= b {
                continue;
            }
            let (i, j) = (corners[a], corners[b]);
            let over = [over(i), over(j)];
            let way = at(j) - at(i);
            diagonals.push(Diagonal {
                joints: [i, j].map(|c| shape.joints[c].name.clone()),
                centres: way.length(),
                marks: (way + normal * (over[1] - over[0])).length(),
                over,
                tolerance: tolerance(way.length()),
            });
        }
    }
    let longest = diagonals.iter().map(|d| d.centres).fold(0.0, f64::max);
    if out_of_plane > FLAT * longest {
        return None;
    }
    let mut tubes: Vec<String> =
        (0..n).map(|k| shape.tubes[graph.tube(cycle[k], cycle[(k + 1) % n])].name.clone()).collect();
    tubes.dedup();
    if tubes.len() > 1 && tubes.first() == tubes.last() {
        tubes.pop();
    }
    let four = m == 4;
    Some(Panel {
        corners: corners.iter().map(|&c| shape.joints[c].name.clone()).collect(),
        tubes,
        normal,
        out_of_plane,
        difference: four.then(|| diagonals[0].marks - diagonals[1].marks),
        difference_tolerance: four.then(|| diagonals[0].tolerance + diagonals[1].tolerance),
        diagonals,
    })
}
