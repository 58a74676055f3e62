//! Small full matrices.

/// A pivot smaller than this part of the largest entry of its matrix means that the changed frame is loose, or so nearly that
/// rounding hides the difference.
const LOOSE: f64 = 1e-9;

/// Inverse of a matrix of `n` rows, row after row, by Gauss and Jordan with row pivots; rows and columns are scaled first by
/// their largest entry. `None` if it has none to calculate with.
pub(crate) fn inverse(mut a: Vec<f64>, n: usize) -> Option<Vec<f64>> {
    if n == 0 {
        return Some(a);
    }
    let size = |r: &[f64]| r.iter().fold(0.0f64, |m, x| m.max(x.abs()));
    let scale: Vec<f64> = a.chunks_exact(n).map(|r| size(r).sqrt().recip()).collect();
    if scale.iter().any(|s| !s.is_finite()) {
        return None;
    }
    let scaled = |a: &mut [f64]| {
        for (r, s) in a.chunks_exact_mut(n).zip(&scale) {
            r.iter_mut().zip(&scale).for_each(|(x, t)| *x *= s * t);
        }
    };
    scaled(&mut a);
    let most = size(&a);
    let mut out = vec![0.0; n * n];
    (0..n).for_each(|i| out[i * n + i] = 1.0);
    for c in 0..n {
        let p = (c..n).max_by(|&i, &j| a[i * n + c].abs().total_cmp(&a[j * n + c].abs()))?;
        if a[p * n + c].abs().partial_cmp(&(LOOSE * most)) != Some(std::cmp::Ordering::Greater) {
            return None;
        }
        for m in [&mut a, &mut out] {
            if p != c {
                let (top, bottom) = m.split_at_mut(p * n);
                top[c * n..(c + 1) * n].swap_with_slice(&mut bottom[..n]);
            }
        }
        let k = a[c * n + c].recip();
        for m in [&mut a, &mut out] {
            m[c * n..(c + 1) * n].iter_mut().for_each(|x| *x *= k);
        }
        let pivot = (a[c * n..(c + 1) * n].to_vec(), out[c * n..(c + 1) * n].to_vec());
        for i in (0..n).filter(|&i| i != c) {
            let k = a[i * n + c];
            if k != 0.0 {
                for (m, row) in [(&mut a, &pivot.0), (&mut out, &pivot.1)] {
                    m[i * n..(i + 1) * n].iter_mut().zip(row).for_each(|(x, y)| *x -= k * y);
                }
            }
        }
    }
    scaled(&mut out);
    Some(out)
}
