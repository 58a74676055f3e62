//! A frame that lies or stands on the ground: what stays where it is while it buckles, and what it has slid.

use frame::Hold;
use frame::six::Six;
use geometry::DVec3;

/// Distances and shares that differ by less than this part are alike: then it is the place that decides, so that a mirrored
/// frame is held alike.
const ALIKE: f64 = 1e-6;

/// Places nearer to one line than this part of its length hold nothing against a turn about it.
const LINE: f64 = 1e-3;

/// A place that is pressed on the ground.
pub(crate) struct Foot {
    /// Where, m.
    at: DVec3,
    /// The node that takes most of the push.
    node: usize,
}

/// Which of two places comes first, whichever side of the car is which.
fn order(p: DVec3) -> [f64; 3] {
    // Rounded, as places of twins differ by rounding.
    [p.x, p.z, p.y.abs()].map(|c| (c / ALIKE).round())
}

/// The first of those that are as large as the largest.
fn largest<T>(list: impl Iterator<Item = (f64, Vec<[f64; 3]>, T)>) -> Option<T> {
    let mut list: Vec<_> = list.collect();
    let most = list.iter().map(|x| x.0).fold(0.0, f64::max);
    list.retain(|x| x.0 > 0.0 && x.0 >= most * (1.0 - ALIKE));
    list.into_iter().max_by(|a, b| a.1.partial_cmp(&b.1).unwrap_or(std::cmp::Ordering::Equal)).map(|x| x.2)
}

/// A place where the ground pushes up with these forces on nodes.
pub(crate) fn foot(nodes: &[DVec3], at: DVec3, nodal: &[(usize, Six)], up: DVec3) -> Option<Foot> {
    let share = |(n, f): &(usize, Six)| (frame::six::first(f).dot(up), vec![order(nodes[*n])], *n);
    largest(nodal.iter().map(share)).map(|node| Foot { at, node })
}

/// What stays: across the ground, the node of each foot; along it the two that are farthest apart stop drifting and turning,
/// and nothing more. Feet on one line, or a single one, don't turn about it.
pub(crate) fn stays(nodes: &[DVec3], feet: &[Foot], up: DVec3) -> Vec<Hold> {
    let hold = |node, along, turn| Hold { node, along, turn, by: 0.0 };
    let mut out: Vec<Hold> = feet.iter().map(|f| hold(f.node, up, false)).collect();
    let flat = |f: &Foot| nodes[f.node].reject_from(up);
    let pairs = feet.iter().enumerate().flat_map(|(i, a)| feet[i + 1..].iter().map(move |b| (a, b)));
    let far = largest(pairs.map(|(a, b)| {
        let mut key = vec![order(a.at), order(b.at)];
        key.sort_by(|a, b| b.partial_cmp(a).unwrap_or(std::cmp::Ordering::Equal));
        (flat(a).distance(flat(b)), key, (a, b))
    }));
    let (x, y) = up.any_orthonormal_pair();
    let Some((a, b)) = far else {
        // One place: it does not turn at all.
        if let Some(f) = feet.first() {
            out.extend([hold(f.node, x, false), hold(f.node, y, false)]);
            out.extend([x, y, up].map(|d| hold(f.node, d, true)));
        }
        return out;
    };
    let span = flat(b) - flat(a);
    let line = span.normalize();
    out.extend([hold(a.node, x, false), hold(a.node, y, false), hold(b.node, up.cross(line), false)]);
    if feet.iter().all(|f| (flat(f) - flat(a)).reject_from(line).length() < LINE * span.length()) {
        out.push(hold(a.node, line, true));
    }
    out
}

/// The motion along the ground that takes back what places on it have slid, by least squares: that of `about`, and the turn about
/// `up`, rad.
pub(crate) fn back(slid: &[(DVec3, DVec3)], about: DVec3, up: DVec3) -> (DVec3, f64) {
    if slid.is_empty() {
        return (DVec3::ZERO, 0.0);
    }
    let count = slid.len() as f64;
    let centre = slid.iter().map(|s| s.0).sum::<DVec3>() / count;
    let mean = slid.iter().map(|s| s.1).sum::<DVec3>() / count;
    let (mut turned, mut inertia) = (0.0, 0.0);
    for (at, by) in slid {
        let lever = up.cross(*at - centre);
        turned += lever.dot(*by - mean);
        inertia += lever.length_squared();
    }
    let yaw = if inertia > 0.0 { -turned / inertia } else { 0.0 };
    ((up * yaw).cross((about - centre).reject_from(up)) - mean, yaw)
}
