//! Real roots of polynomials in an interval, in rising order.
//!
//! Between two neighbouring extrema a polynomial is monotone, so it has at most one root there; the extrema are the
//! roots of its derivative, found the same way. That is slower than a closed form and misses nothing: closed-form
//! quartic solvers were tried and lost roots of rays parallel to a torus's axis, where the odd terms vanish.

/// Highest degree that is solved.
pub const DEGREE: usize = 4;

/// A few roots, rising.
#[derive(Clone, Copy, Debug, Default)]
pub struct Roots {
    items: [f64; DEGREE],
    len: usize,
}

impl Roots {
    fn push(&mut self, x: f64) {
        if self.len < DEGREE {
            self.items[self.len] = x;
            self.len += 1;
        }
    }

    /// The roots.
    pub fn as_slice(&self) -> &[f64] {
        &self.items[..self.len]
    }
}

/// Real roots of `c[0] + c[1] x + … + c[n] xⁿ` within `[lo, hi]`, rising; n is at most [`DEGREE`]. Roots of even order,
/// where the curve only touches zero, may be left out.
pub fn within(c: &[f64], lo: f64, hi: f64) -> Roots {
    debug_assert!(c.len() <= DEGREE + 1);
    let value = |x: f64| c.iter().rev().fold(0.0, |s, &k| s * x + k);
    let mut roots = Roots::default();
    if c.len() <= 1 || hi <= lo {
        return roots;
    }
    if c.len() == 2 {
        let x = -c[0] / c[1];
        if x >= lo && x <= hi {
            roots.push(x);
        }
        return roots;
    }
    let mut derivative = [0.0; DEGREE];
    for (i, &k) in c.iter().enumerate().skip(1) {
        derivative[i - 1] = k * i as f64;
    }
    let derivative = &derivative[..c.len() - 1];
    let slope = |x: f64| derivative.iter().rev().fold(0.0, |s, &k| s * x + k);
    let turns = within(derivative, lo, hi);
    let (mut a, mut fa) = (lo, value(lo));
    if fa == 0.0 {
        roots.push(lo);
    }
    for &b in turns.as_slice().iter().chain(std::iter::once(&hi)) {
        let fb = value(b);
        if fa * fb < 0.0 {
            roots.push(bracketed(value, slope, a, b, fa));
        } else if fb == 0.0 && fa != 0.0 {
            roots.push(b);
        }
        (a, fa) = (b, fb);
    }
    roots
}

/// The root of a monotone function between `a` and `b`, where it has opposite signs: Newton, held within the bracket.
fn bracketed(f: impl Fn(f64) -> f64, slope: impl Fn(f64) -> f64, mut a: f64, mut b: f64, fa: f64) -> f64 {
    let mut x = 0.5 * (a + b);
    // 200 halvings exhaust any bracket of doubles; Newton needs a handful.
    for _ in 0..200 {
        let fx = f(x);
        if fx == 0.0 {
            return x;
        }
        if (fx < 0.0) == (fa < 0.0) {
            a = x;
        } else {
            b = x;
        }
        let newton = x - fx / slope(x);
        let next = if newton > a && newton < b { newton } else { 0.5 * (a + b) };
        if next == x || (b - a).abs() <= f64::EPSILON * a.abs().max(b.abs()) {
            return next;
        }
        if (next - x).abs() <= f64::EPSILON * x.abs() {
            return next;
        }
        x = next;
    }
    x
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn planted_roots_are_found() {
        let mut seed = 1u64;
        let mut next = || {
            seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            (seed >> 11) as f64 / (1u64 << 53) as f64 * 4.0 - 2.0
        };
        for _ in 0..20000 {
            let mut r = [next(), next(), next(), next()];
            r.sort_by(f64::total_cmp);
            if r.windows(2).any(|w| w[1] - w[0] < 1e-3) {
                continue;
            }
            let e1 = r.iter().sum::<f64>();
            let e4 = r.iter().product::<f64>();
            let (mut e2, mut e3) = (0.0, 0.0);
            for i in 0..4 {
                for j in i + 1..4 {
                    e2 += r[i] * r[j];
                    for k in r.iter().skip(j + 1) {
                        e3 += r[i] * r[j] * k;
                    }
                }
            }
            let got = within(&[e4, -e3, e2, -e1, 1.0], -2.1, 2.1);
            let got = got.as_slice();
            assert_eq!(got.len(), 4, "{r:?} gave {got:?}");
            for (g, w) in got.iter().zip(r) {
                assert!((g - w).abs() < 1e-7, "{r:?} gave {got:?}");
            }
        }
    }

    #[test]
    fn even_quartics_and_small_roots() {
        assert_eq!(within(&[4.0, 0.0, -5.0, 0.0, 1.0], -3.0, 3.0).as_slice(), [-2.0, -1.0, 1.0, 2.0]);
        let r = within(&[1.0, -1e8, 1.0], 0.0, 1.0);
        assert!((r.as_slice()[0] - 1e-8).abs() < 1e-22);
        assert!(within(&[1.0, 0.0, 1.0], -9.0, 9.0).as_slice().is_empty());
    }
}
