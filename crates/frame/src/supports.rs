//! What is held: turned to its own directions, and whether it is enough.

use std::collections::BTreeMap;

use faer::{Mat, Side};
use geometry::{DMat3, DVec3};

use crate::model::{Hold, Model};
use crate::six::{Mat6, Six, six};

/// A direction that lies within those already held by less than this sine is one of them: a hundredth of a degree, under
/// what anyone means by two directions.
const SAME_DIRECTION: f64 = 1.7e-4;

/// A rigid motion that moves the held places by less than this part of what it moves the piece is not stopped by them:
/// the square root of this is what a support's lever must be, a hundred-thousandth of the piece's size.
const FREE: f64 = 1e-10;

/// Why supports can't be used.
#[derive(Clone, Debug, PartialEq)]
pub enum HoldError {
    /// A direction has no length or is not finite, or an amount is not finite; the index of the hold.
    NoDirection(usize),
    /// The same freedom is moved by two amounts; the index of the second hold.
    TwoAmounts(usize),
    /// These pieces can move although held.
    Loose(Vec<Loose>),
}

/// A piece that can move as a whole.
#[derive(Clone, Debug, PartialEq)]
pub struct Loose {
    /// Its nodes.
    pub nodes: Vec<usize>,
    /// How it can move: one to six ways.
    pub ways: Vec<Way>,
}

/// A way in which a rigid piece can move.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Way {
    /// It slides along a direction (unit).
    Slide(DVec3),
    /// It turns about an axis through a place, and goes along it by so much for each radian, m.
    Turn {
        /// A place on the axis, m.
        through: DVec3,
        /// Direction of the axis (unit).
        axis: DVec3,
        /// Advance, m/rad; 0 for a plain turn.
        advance: f64,
    },
}

/// Supports made ready.
#[derive(Clone, Debug)]
pub(crate) struct Supports {
    /// Nodes with their own directions.
    pub turned: BTreeMap<usize, Mat6>,
    /// Held unknowns (6 × node + number of the node's own direction) and by how much each is moved.
    pub held: Vec<(usize, f64)>,
}

impl Supports {
    /// As [`Supports::held`], and an error if something is loose.
    pub(crate) fn new(model: &Model, holds: &[Hold]) -> Result<Supports, HoldError> {
        let (supports, loose) = Supports::held(model, holds)?;
        if loose.is_empty() { Ok(supports) } else { Err(HoldError::Loose(loose)) }
    }

    /// Supports made ready, and what they leave loose.
    pub(crate) fn held(model: &Model, holds: &[Hold]) -> Result<(Supports, Vec<Loose>), HoldError> {
        let mut own: BTreeMap<usize, [Vec<(DVec3, f64)>; 2]> = BTreeMap::new();
        for (i, h) in holds.iter().enumerate() {
            let length = h.along.length();
            if !(length.is_finite() && length > 0.0 && h.by.is_finite()) {
                return Err(HoldError::NoDirection(i));
            }
            let along = h.along / length;
            let list = &mut own.entry(h.node).or_default()[usize::from(h.turn)];
            let (mut rest, mut by) = (along, h.by);
            // Twice: the second time takes what rounding left.
            for _ in 0..2 {
                for &(d, amount) in list.iter() {
                    let part = rest.dot(d);
                    rest -= d * part;
                    by -= amount * part;
                }
            }
            let size = rest.length();
            if size > SAME_DIRECTION {
                list.push((rest / size, by / size));
            } else if by.abs() > SAME_DIRECTION * h.by.abs() {
                return Err(HoldError::TwoAmounts(i));
            }
        }
        let (mut turned, mut held) = (BTreeMap::new(), Vec::new());
        for (&node, lists) in &own {
            let bases = [0, 1].map(|k| basis(&lists[k]));
            for (k, list) in lists.iter().enumerate() {
                held.extend(list.iter().enumerate().map(|(j, &(_, by))| (6 * node + 3 * k + j, by)));
            }
            if bases.iter().any(|b| *b != DMat3::IDENTITY) {
                turned.insert(node, Mat6::blocks(bases[0], DMat3::ZERO, DMat3::ZERO, bases[1]));
            }
        }
        Ok((Supports { turned, held }, loose(model, &own)))
    }

    /// A block between two nodes, from the frame's axes to the nodes' own.
    pub(crate) fn turn_block(&self, row: usize, column: usize, m: &mut Mat6) {
        if let Some(q) = self.turned.get(&row) {
            *m = q.transpose().times(m);
        }
        if let Some(q) = self.turned.get(&column) {
            *m = m.times(q);
        }
    }

    /// From the frame's axes to each node's own.
    pub(crate) fn to_own(&self, v: &mut [f64]) {
        for (&node, q) in &self.turned {
            set(v, node, &q.apply_transposed(&get(v, node)));
        }
    }

    /// From each node's own axes to the frame's.
    pub(crate) fn to_frame(&self, v: &mut [f64]) {
        for (&node, q) in &self.turned {
            set(v, node, &q.apply(&get(v, node)));
        }
    }
}

/// The six numbers of a node.
pub(crate) fn get(v: &[f64], node: usize) -> Six {
    std::array::from_fn(|i| v[6 * node + i])
}

/// Sets the six numbers of a node.
pub(crate) fn set(v: &mut [f64], node: usize, s: &Six) {
    v[6 * node..6 * node + 6].copy_from_slice(s);
}

/// Three directions square to each other, the held ones first; the frame's own where those serve.
fn basis(held: &[(DVec3, f64)]) -> DMat3 {
    let mut d: Vec<DVec3> = held.iter().map(|h| h.0).collect();
    if d.is_empty() {
        return DMat3::IDENTITY;
    }
    for a in DVec3::AXES {
        let rest = d.iter().fold(a, |r, x| r - *x * r.dot(*x));
        // Of three axes that fill what the held directions leave, each taken has at least this left.
        if d.len() < 3 && rest.length() > 0.5 {
            d.push(rest.normalize());
        }
    }
    while d.len() < 3 {
        let next = if d.len() == 2 { d[0].cross(d[1]) } else { d[0].any_orthonormal_vector() };
        d.push(next);
    }
    DMat3::from_cols(d[0], d[1], d[2])
}

/// The pieces that beams join, each as a list of nodes; nodes without beams are pieces of their own.
pub fn pieces(model: &Model) -> Vec<Vec<usize>> {
    let n = model.nodes.len();
    let mut head: Vec<usize> = (0..n).collect();
    fn root(head: &mut [usize], mut i: usize) -> usize {
        while head[i] != i {
            head[i] = head[head[i]];
            i = head[i];
        }
        i
    }
    for b in &model.beams {
        let [x, y] = b.nodes.map(|k| root(&mut head, k));
        head[x.max(y)] = x.min(y);
    }
    let mut out: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for i in 0..n {
        out.entry(root(&mut head, i)).or_default().push(i);
    }
    out.into_values().collect()
}

fn loose(model: &Model, own: &BTreeMap<usize, [Vec<(DVec3, f64)>; 2]>) -> Vec<Loose> {
    pieces(model)
        .into_iter()
        .filter_map(|nodes| {
            let ways = ways(model, &nodes, own);
            if ways.is_empty() { None } else { Some(Loose { nodes, ways }) }
        })
        .collect()
}

/// The ways in which a piece can move.
fn ways(model: &Model, nodes: &[usize], own: &BTreeMap<usize, [Vec<(DVec3, f64)>; 2]>) -> Vec<Way> {
    let centre = nodes.iter().map(|&n| model.nodes[n]).sum::<DVec3>() / nodes.len() as f64;
    let size = nodes.iter().map(|&n| model.nodes[n].distance(centre)).fold(0.0, f64::max);
    let size = if size > 0.0 { size } else { 1.0 };
    let mut rows: Vec<Six> = Vec::new();
    for n in nodes {
        let Some([along, about]) = own.get(n) else { continue };
        let r = (model.nodes[*n] - centre) / size;
        rows.extend(along.iter().map(|(d, _)| six(*d, r.cross(*d))));
        rows.extend(about.iter().map(|(d, _)| six(DVec3::ZERO, *d)));
    }
    let square = Mat::from_fn(6, 6, |i, j| rows.iter().map(|r| r[i] * r[j]).sum::<f64>());
    let Ok(eigen) = square.self_adjoint_eigen(Side::Lower) else { return Vec::new() };
    let values = eigen.S().column_vector();
    let most = values[5].max(1.0);
    let mut free: Vec<Six> =
        (0..6).filter(|&k| values[k] < FREE * most).map(|k| std::array::from_fn(|i| eigen.U()[(i, k)])).collect();
    tidy(&mut free);
    free.iter().map(|w| way(w, centre, size)).collect()
}

/// Combines motions so that each has as few parts as can be: turns first, then slides, each free of the others' leading part.
fn tidy(free: &mut [Six]) {
    /// Parts under this are rounding.
    const NOTHING: f64 = 1e-5;
    let mut done = 0;
    for column in [3, 4, 5, 0, 1, 2] {
        let Some(best) = (done..free.len()).max_by(|&a, &b| free[a][column].abs().total_cmp(&free[b][column].abs()))
        else {
            break;
        };
        if free[best][column].abs() < NOTHING {
            continue;
        }
        free.swap(done, best);
        let lead = free[done][column];
        free[done] = free[done].map(|x| x / lead);
        for i in 0..free.len() {
            if i != done {
                let k = free[i][column];
                free[i] = std::array::from_fn(|c| free[i][c] - k * free[done][c]);
            }
        }
        done += 1;
    }
    for f in free {
        *f = f.map(|x| if x.abs() < NOTHING { 0.0 } else { x });
    }
}

fn way(w: &Six, centre: DVec3, size: f64) -> Way {
    let slide = crate::six::first(w);
    let turn = crate::six::last(w) / size;
    if turn == DVec3::ZERO {
        return Way::Slide(slide.normalize_or_zero());
    }
    let through = centre + turn.cross(slide) / turn.length_squared();
    Way::Turn { through, axis: turn.normalize(), advance: slide.dot(turn) / turn.length_squared() }
}
