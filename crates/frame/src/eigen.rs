//! A few eigenvalues of large symmetric pairs, by Lanczos's method in the inner product of one of them.

use faer::{Mat, Side};

/// The largest eigenvalues θ of an operator that is symmetric in an inner product, with their vectors of unit length in
/// it, largest first.
#[derive(Clone, Debug, Default)]
pub(crate) struct Pairs {
    pub values: Vec<f64>,
    pub vectors: Vec<Vec<f64>>,
}

/// The relation in which both matrices stand to a vector.
pub(crate) trait Operator {
    /// Number of unknowns.
    fn size(&self) -> usize;
    /// The operator on a vector.
    fn apply(&self, v: &[f64]) -> Vec<f64>;
    /// The matrix of the inner product on a vector.
    fn metric(&self, v: &[f64]) -> Vec<f64>;
}

/// An eigenvalue is found when the residual's bound is under this part of it: it is then right to about the square of
/// this, or to what rounding leaves.
const FOUND: f64 = 1e-8;

/// Most vectors kept in one run.
const LONGEST: usize = 400;

/// Parts of the largest eigenvalue under which an eigenvalue counts as zero.
const ZERO: f64 = 1e-13;

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// The `want` largest positive eigenvalues, fewer if there are no more.
///
/// Runs are repeated from new starts, square to all that was found, until the largest that a run finds is not among the
/// wanted: a single run sees of equal eigenvalues only one. [`crate::modes`] counts by pivots whether any is missing.
pub(crate) fn largest(op: &impl Operator, want: usize) -> Pairs {
    let mut found = Pairs::default();
    // As many runs as there can be equal eigenvalues, and one to see that there are no more.
    for run in 0..=want {
        let more = lanczos(op, if run == 0 { want } else { 1 }, &found, run as u64);
        let worst = if found.values.len() >= want { found.values[want - 1] } else { 0.0 };
        let new = more.values.iter().filter(|&&v| v > worst).count();
        if new == 0 {
            break;
        }
        for (v, x) in more.values.into_iter().zip(more.vectors) {
            let place = found.values.partition_point(|&w| w >= v);
            found.values.insert(place, v);
            found.vectors.insert(place, x);
        }
    }
    found.values.truncate(want);
    found.vectors.truncate(want);
    found
}

/// A start that is the same each time and has a part of every vector: a simple generator (Knuth, MMIX) serves.
fn start(n: usize, run: u64) -> Vec<f64> {
    let mut state = 0x9E37_79B9_7F4A_7C15u64.wrapping_mul(run + 1);
    (0..n)
        .map(|_| {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1u64 << 53) as f64 - 0.5
        })
        .collect()
}

/// One run.
fn lanczos(op: &impl Operator, want: usize, locked: &Pairs, run: u64) -> Pairs {
    let n = op.size();
    let locked_metric: Vec<Vec<f64>> = locked.vectors.iter().map(|v| op.metric(v)).collect();
    let mut basis: Vec<Vec<f64>> = Vec::new();
    let mut basis_metric: Vec<Vec<f64>> = Vec::new();
    let (mut alpha, mut beta): (Vec<f64>, Vec<f64>) = (Vec::new(), Vec::new());
    // The operator first: what it has no part of (massless freedoms) stays out.
    let mut w = op.apply(&start(n, run));
    let longest = LONGEST.min(n);
    loop {
        // Square to everything so far, twice.
        for _ in 0..2 {
            for (v, m) in locked.vectors.iter().zip(&locked_metric).chain(basis.iter().zip(&basis_metric)) {
                let k = dot(m, &w);
                w.iter_mut().zip(v).for_each(|(x, y)| *x -= k * y);
            }
        }
        let m = op.metric(&w);
        let length = dot(&w, &m).max(0.0).sqrt();
        let largest_alpha = alpha.iter().fold(0.0f64, |a, b: &f64| a.max(b.abs()));
        let over = length.is_nan() || length <= ZERO * largest_alpha || length == 0.0;
        if !over && !basis.is_empty() {
            beta.push(length);
        }
        let k = alpha.len();
        let check = k > 0 && (over || k == longest || k % 8 == 0);
        if check {
            let last = if over { 0.0 } else { length };
            let (pairs, all) = ritz(&alpha, &beta, last, want);
            if all || over || k == longest {
                let vectors = pairs
                    .iter()
                    .map(|(_, c)| {
                        let mut x = vec![0.0; n];
                        for (c, v) in c.iter().zip(&basis) {
                            x.iter_mut().zip(v).for_each(|(a, b)| *a += c * b);
                        }
                        x
                    })
                    .collect();
                return Pairs { values: pairs.into_iter().map(|p| p.0).collect(), vectors };
            }
        }
        if over {
            return Pairs::default();
        }
        let v: Vec<f64> = w.iter().map(|x| x / length).collect();
        let vm: Vec<f64> = m.iter().map(|x| x / length).collect();
        w = op.apply(&v);
        alpha.push(dot(&w, &vm));
        basis.push(v);
        basis_metric.push(vm);
    }
}

/// The largest positive eigenvalues of the small matrix that have been found, with the vectors' parts; and whether as many
/// as wanted are.
fn ritz(alpha: &[f64], beta: &[f64], last: f64, want: usize) -> (Vec<(f64, Vec<f64>)>, bool) {
    let k = alpha.len();
    let t = Mat::from_fn(k, k, |i, j| {
        if i == j {
            alpha[i]
        } else if i.abs_diff(j) == 1 {
            beta[i.min(j)]
        } else {
            0.0
        }
    });
    let Ok(e) = t.self_adjoint_eigen(Side::Lower) else { return (Vec::new(), true) };
    let values = e.S().column_vector();
    let most = values[k - 1].abs().max(values[0].abs());
    let mut out = Vec::new();
    for j in (0..k).rev().take(want) {
        if values[j] <= ZERO * most {
            // No more positive ones, if the smallest of them are settled.
            return (out, last * e.U()[(k - 1, j)].abs() <= FOUND * most);
        }
        if last * e.U()[(k - 1, j)].abs() > (FOUND * values[j]).max(ZERO * most) {
            return (out, false);
        }
        out.push((values[j], (0..k).map(|i| e.U()[(i, j)]).collect()));
    }
    let all = out.len() == want;
    (out, all)
}
