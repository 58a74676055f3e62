//! A bar in space: its own axes follow it however far it moves.

use geometry::{DMat3, DVec3};
use glam::DQuat;

use crate::six::{Mat6, Six, cross, six};

/// Where a bar's end sits on its node: the link, in the node's axes as they were at first.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Turning {
    /// Own axes at first, columns along the bar, u, v.
    pub axes: DMat3,
    pub links: [DVec3; 2],
    pub length: f64,
}

/// A node, moved and turned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose {
    /// Where it is, m.
    pub at: DVec3,
    /// How it has turned.
    pub turn: DQuat,
}

/// A bar as it lies between two poses.
pub(crate) struct Lies {
    /// Own axes now.
    axes: DMat3,
    length: f64,
    arms: [DVec3; 2],
    /// Stretch; turns of the start about u and v against the bar, of the end, and twist.
    pub deformations: Six,
}

impl Turning {
    pub(crate) fn lies(&self, poses: [&Pose; 2]) -> Lies {
        let arms = [0, 1].map(|k| poses[k].turn * self.links[k]);
        let d = poses[1].at + arms[1] - poses[0].at - arms[0];
        let length = d.length();
        let t = d / length;
        let mean = poses[0].turn * self.axes.y_axis + poses[1].turn * self.axes.y_axis;
        let v = t.cross(mean).normalize();
        let axes = DMat3::from_cols(t, v.cross(t), v);
        let own = DQuat::from_mat3(&axes);
        let first = DQuat::from_mat3(&self.axes);
        let [a, b] = [0, 1].map(|k| turn_of(own.inverse() * poses[k].turn * first));
        Lies { axes, length, arms, deformations: [length - self.length, a.y, a.z, b.y, b.z, b.x - a.x] }
    }
}

impl Lies {
    /// Forces and moments on the bar's two ends, from its own forces: in equilibrium as it lies.
    fn ends(&self, q: &Six) -> [Six; 2] {
        let l = self.length;
        let own = DVec3::new(q[0], -(q[2] + q[4]) / l, (q[1] + q[3]) / l);
        let force = self.axes * own;
        let [a, b] = [DVec3::new(-q[5], q[1], q[2]), DVec3::new(q[5], q[3], q[4])].map(|m| self.axes * m);
        [six(-force, a), six(force, b)]
    }

    /// What the nodes push the bar with.
    pub(crate) fn nodal(&self, q: &Six) -> [Six; 2] {
        let ends = self.ends(q);
        [0, 1].map(|k| Mat6::carry(self.arms[k]).apply_transposed(&ends[k]))
    }

    /// Slope of the nodes' pushes for small motions and turns of the nodes: start with start, start with end, end with end.
    /// Its symmetric part, which is what Newton's method here takes.
    pub(crate) fn slope(&self, q: &Six, stiffness: &Mat6) -> [Mat6; 3] {
        let l = self.length;
        let e = self.axes;
        let (t, u, v) = (e.x_axis, e.y_axis, e.z_axis);
        // Rows: how each deformation, and the turn of the own axes, follow from the motions of both ends.
        // A turn of the axes: about t the mean of both ends', about u and v from the chord.
        let mut rows = [[0.0; 12]; 6];
        let mut set = |r: usize, at: usize, d: DVec3| {
            for i in 0..3 {
                rows[r][at + i] += d[i];
            }
        };
        set(0, 0, -t);
        set(0, 6, t);
        for (k, at) in [(0, 3), (1, 9)] {
            // Against the chord: it turns about u by -v·Δ/l, about v by u·Δ/l.
            set(1 + 2 * k, at, u);
            set(1 + 2 * k, 0, -v / l);
            set(1 + 2 * k, 6, v / l);
            set(2 + 2 * k, at, v);
            set(2 + 2 * k, 0, u / l);
            set(2 + 2 * k, 6, -u / l);
        }
        set(5, 3, -t);
        set(5, 9, t);
        let mut k = [[0.0; 12]; 12];
        for (stiff, row) in stiffness.0.iter().zip(&rows) {
            let mut own = [0.0; 12];
            for (s, r) in stiff.iter().zip(&rows) {
                own.iter_mut().zip(r).for_each(|(o, x)| *o += s * x);
            }
            for (ki, r) in k.iter_mut().zip(row) {
                ki.iter_mut().zip(&own).for_each(|(x, o)| *x += r * o);
            }
        }
        // The axes turn: forces and moments, fixed in them, turn along.
        let ends = self.ends(q);
        let mut turn = [[0.0; 12]; 3];
        let mut put = |at: usize, m: DMat3| {
            for (i, row) in turn.iter_mut().enumerate() {
                for j in 0..3 {
                    row[at + j] += m.col(j)[i];
                }
            }
        };
        let about_t = outer(t, t) * 0.5;
        let from_chord = (outer(v, u) - outer(u, v)) * l.recip();
        put(3, about_t);
        put(9, about_t);
        put(0, -from_chord);
        put(6, from_chord);
        for (row, f) in [
            (0, DVec3::from_slice(&ends[0][..3])),
            (3, DVec3::from_slice(&ends[0][3..])),
            (6, DVec3::from_slice(&ends[1][..3])),
            (9, DVec3::from_slice(&ends[1][3..])),
        ] {
            // ω × f = -f × ω.
            let m = cross(f) * -1.0;
            for i in 0..3 {
                for j in 0..12 {
                    k[row + i][j] += (0..3).map(|a| m.col(a)[i] * turn[a][j]).sum::<f64>();
                }
            }
        }
        // Longer: less shear for the same moments.
        let shear = (u * (q[2] + q[4]) - v * (q[1] + q[3])) * (l * l).recip();
        for i in 0..3 {
            for j in 0..3 {
                let d = shear[i] * t[j];
                k[6 + i][6 + j] += d;
                k[6 + i][j] -= d;
                k[i][6 + j] -= d;
                k[i][j] += d;
            }
        }
        let block = |a: usize, b: usize| {
            Mat6(std::array::from_fn(|i| {
                std::array::from_fn(|j| 0.5 * (k[6 * a + i][6 * b + j] + k[6 * b + j][6 * a + i]))
            }))
        };
        let [ga, gb] = [0, 1].map(|i| Mat6::carry(self.arms[i]));
        let mut out = [block(0, 0).between(&ga, &ga), block(0, 1).between(&ga, &gb), block(1, 1).between(&gb, &gb)];
        // The links turn with their nodes: their arms for the ends' forces change.
        for (i, m) in [(0, 0), (1, 2)] {
            let force = DVec3::from_slice(&ends[i][..3]);
            // δ(r × f) with δr = ω × r: f × (r × ω) = (f·ω) r - (f·r) ω, with its symmetric part.
            let s = cross(force) * cross(self.arms[i]);
            let s = (s + s.transpose()) * 0.5;
            out[m].add(&Mat6::blocks(DMat3::ZERO, DMat3::ZERO, DMat3::ZERO, s));
        }
        out
    }
}

/// The turn of a rotation as a vector, the short way round; exact for small ones, too, where the arc cosine of `w` is not.
fn turn_of(q: DQuat) -> DVec3 {
    let q = if q.w < 0.0 { -q } else { q };
    let part = q.xyz();
    let sine = part.length();
    if sine == 0.0 { DVec3::ZERO } else { part * (2.0 * sine.atan2(q.w) / sine) }
}

fn outer(a: DVec3, b: DVec3) -> DMat3 {
    DMat3::from_cols(a * b.x, a * b.y, a * b.z)
}
