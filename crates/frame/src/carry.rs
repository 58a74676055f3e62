//! How a rigid mass hands its force to the nodes that carry it.

use geometry::{DMat3, DVec3};

use crate::model::{Carrier, Lump};
use crate::six::{Mat6, Six, cross};

/// Forces and moments on the nodes that carry something, for a force and moment at a place of it: the same that a rigid
/// [`Lump`] there would hand on. `nodes` as in [`Lump::nodes`], `places` those of all nodes.
pub fn handed_on(at: DVec3, nodes: &[Carrier], places: &[DVec3], force: &Six) -> Vec<(usize, Six)> {
    let lump = Lump { at, mass: 0.0, inertia: DMat3::ZERO, nodes: nodes.to_vec() };
    shares(&lump, places).into_iter().map(|(n, m)| (n, m.apply(force))).collect()
}

/// Shares of the second moment of the carrying places under which they are taken to lie on one line or in one place: a
/// thousandth of their spread squared, far over rounding and far under any bracket.
const FLAT: f64 = 1e-6;

/// For each carrying node: from a force and moment at the lump's centre to those on the node. The transpose takes the
/// nodes' motions to the lump's.
pub(crate) fn shares(lump: &Lump, places: &[DVec3]) -> Vec<(usize, Mat6)> {
    let total: f64 = lump.nodes.iter().map(|c| c.weight).sum();
    if lump.nodes.is_empty() || total <= 0.0 {
        return Vec::new();
    }
    let place = |c: &Carrier| places[c.node] + c.arm;
    let centre: DVec3 = lump.nodes.iter().map(|c| place(c) * c.weight).sum::<DVec3>() / total;
    let mut t = DMat3::ZERO;
    for c in &lump.nodes {
        let s = cross(place(c) - centre);
        t += s.transpose() * s * c.weight;
    }
    let inverse = pseudo_inverse(t, total * geometry::SAME_PLACE * geometry::SAME_PLACE);
    // What of a moment forces can make.
    let by_force = t * inverse;
    let rest = DMat3::IDENTITY - by_force;
    let to_centre = cross(lump.at - centre);
    let mut out: Vec<(usize, Mat6)> = Vec::with_capacity(lump.nodes.len());
    for c in &lump.nodes {
        // (T⁻¹ M) × r = −r × (T⁻¹ M).
        let from_moment = cross(place(c) - centre) * inverse * -c.weight;
        let share = c.weight / total;
        let force = DMat3::IDENTITY * share + from_moment * to_centre;
        // The force at the place turns the node by its arm.
        let arm = cross(c.arm);
        let (turn, twist) = (rest * to_centre * share + arm * force, rest * share + arm * from_moment);
        let own = Mat6::blocks(force, from_moment, turn, twist);
        // A node may carry at several places.
        match out.iter_mut().find(|o| o.0 == c.node) {
            Some(o) => o.1 = o.1.plus(&own),
            None => out.push((c.node, own)),
        }
    }
    out
}

/// Inverse on the directions in which a symmetric matrix has any size: more than `nothing`, and not too little beside the
/// largest.
fn pseudo_inverse(t: DMat3, nothing: f64) -> DMat3 {
    let m = faer::Mat::from_fn(3, 3, |i, j| t.col(j)[i]);
    // A matrix that is not finite has no axes; nothing of its moment is then carried by forces.
    let Ok(axes) = m.self_adjoint_eigen(faer::Side::Lower) else { return DMat3::ZERO };
    let values = axes.S().column_vector();
    let most = values[2];
    let mut out = DMat3::ZERO;
    for i in 0..3 {
        if values[i] > (FLAT * most).max(nothing) {
            let a = DVec3::from_array(std::array::from_fn(|k| axes.U()[(k, i)]));
            out += DMat3::from_cols(a * a.x, a * a.y, a * a.z) * values[i].recip();
        }
    }
    out
}
