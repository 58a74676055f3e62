//! Small dense equations that may lack some of their rank.

/// A pivot under this part of the largest one is none.
const RANK: f64 = 1e-13;

/// A solution of `m x = rhs` by elimination with full pivoting; what nothing determines is 0.
pub(crate) fn solve(mut m: Vec<Vec<f64>>, mut rhs: Vec<f64>) -> Vec<f64> {
    let n = rhs.len();
    // Rows and columns of pushes and motions differ in size by orders: even them out first.
    let scale: Vec<f64> = (0..n)
        .map(|i| {
            let most = m[i].iter().fold(0.0, |a: f64, x| a.max(x.abs()));
            if most > 0.0 { most.sqrt().recip() } else { 1.0 }
        })
        .collect();
    for i in 0..n {
        for j in 0..n {
            m[i][j] *= scale[i] * scale[j];
        }
        rhs[i] *= scale[i];
    }
    let mut columns: Vec<usize> = (0..n).collect();
    let mut rank = n;
    let mut first = 0.0;
    for k in 0..n {
        let (mut r, mut c, mut most) = (k, k, 0.0);
        for (i, row) in m.iter().enumerate().skip(k) {
            for (j, x) in row.iter().enumerate().skip(k) {
                if x.abs() > most {
                    (r, c, most) = (i, j, x.abs());
                }
            }
        }
        if k == 0 {
            first = most;
        }
        if most <= RANK * first {
            rank = k;
            break;
        }
        m.swap(k, r);
        rhs.swap(k, r);
        columns.swap(k, c);
        m.iter_mut().for_each(|row| row.swap(k, c));
        for i in k + 1..n {
            let f = m[i][k] / m[k][k];
            let (above, below) = m.split_at_mut(i);
            below[0][k..].iter_mut().zip(&above[k][k..]).for_each(|(x, y)| *x -= f * y);
            rhs[i] -= f * rhs[k];
        }
    }
    let mut x = vec![0.0; n];
    for k in (0..rank).rev() {
        let sum: f64 = (k + 1..rank).map(|j| m[k][j] * x[columns[j]]).sum();
        x[columns[k]] = (rhs[k] - sum) / m[k][k];
    }
    (0..n).map(|i| x[i] * scale[i]).collect()
}
