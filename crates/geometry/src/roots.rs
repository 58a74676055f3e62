//! Real roots of quartics without a cubic term, in an interval, in rising order.
//!
//! Between two neighbouring extrema a polynomial is monotone, so it has at most one root there; the extrema are the
//! roots of its derivative, found the same way. That is slower than a closed form and misses nothing: closed-form
//! quartic solvers were tried and lost roots of rays parallel to a torus's axis, where the odd terms vanish.

/// `c[0] + c[1] x + c[2] x² + x⁴`.
#[derive(Clone, Copy, Debug)]
pub struct Quartic {
    /// Coefficients.
    pub c: [f64; 3],
}

/// A few numbers, rising.
#[derive(Clone, Copy, Debug, Default)]
pub struct Roots {
    items: [f64; 4],
    len: usize,
}

impl Roots {
    fn push(&mut self, x: f64) {
        if self.len < self.items.len() {
            self.items[self.len] = x;
            self.len += 1;
        }
    }

    /// The numbers.
    pub fn as_slice(&self) -> &[f64] {
        &self.items[..self.len]
    }
}

/// Extrema only part the interval into pieces in which there is one root at most. At this distance from an extremum,
/// relative to the size of its place, the quartic differs from its extreme value by less than rounding.
const EXTREMUM: f64 = 1e-9;

impl Quartic {
    /// Value.
    pub fn value(&self, x: f64) -> f64 {
        self.c[0] + x * (self.c[1] + x * (self.c[2] + x * x))
    }

    fn slope(&self, x: f64) -> f64 {
        self.c[1] + x * (2.0 * self.c[2] + 4.0 * x * x)
    }

    fn curvature(&self, x: f64) -> f64 {
        2.0 * self.c[2] + 12.0 * x * x
    }

    /// Roots within `[lo, hi]` at which the sign changes, rising. The sign at `lo` and the roots together tell it
    /// everywhere, but for touches nearer to zero than rounding.
    pub fn roots(&self, lo: f64, hi: f64) -> Roots {
        let mut turns = Roots::default();
        // The slope's own extrema, where the curvature is zero.
        let bend = (-self.c[2] / 6.0).max(0.0).sqrt();
        let (slope, curvature) = (|x| self.slope(x), |x| self.curvature(x));
        monotone(lo, hi, &[-bend, bend], slope, curvature, EXTREMUM, &mut turns);
        let mut roots = Roots::default();
        monotone(lo, hi, turns.as_slice(), |x| self.value(x), slope, f64::EPSILON, &mut roots);
        roots
    }
}

/// Sign changes of `f` within `[lo, hi]`, where it is monotone between neighbouring `turns`.
fn monotone(
    lo: f64,
    hi: f64,
    turns: &[f64],
    f: impl Fn(f64) -> f64,
    slope: impl Fn(f64) -> f64,
    precision: f64,
    out: &mut Roots,
) {
    let (mut a, mut fa) = (lo, f(lo));
    for b in turns.iter().copied().filter(|&t| t > lo && t < hi).chain(std::iter::once(hi)) {
        let fb = f(b);
        if (fa < 0.0) != (fb < 0.0) {
            out.push(bracketed(&f, &slope, (a, fa), (b, fb), precision));
        }
        (a, fa) = (b, fb);
    }
}

/// The root of a monotone function between two places where it has different signs: Newton, held within the bracket.
fn bracketed(
    f: impl Fn(f64) -> f64,
    slope: impl Fn(f64) -> f64,
    (mut a, fa): (f64, f64),
    (mut b, fb): (f64, f64),
    precision: f64,
) -> f64 {
    // Where the chord crosses.
    let mut x = (a - fa * (b - a) / (fb - fa)).clamp(a, b);
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
        if (next - x).abs() <= precision * x.abs() || (b - a).abs() <= precision * a.abs().max(b.abs()) {
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
        let mut seen = 0;
        for _ in 0..20000 {
            let mut r = [next(), next(), next(), 0.0];
            // No cubic term: the roots add up to nothing.
            r[3] = -(r[0] + r[1] + r[2]);
            r.sort_by(f64::total_cmp);
            if r.windows(2).any(|w| w[1] - w[0] < 1e-3) {
                continue;
            }
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
            let quartic = Quartic { c: [e4, -e3, e2] };
            let got = quartic.roots(-7.0, 7.0);
            let got = got.as_slice();
            assert_eq!(got.len(), 4, "{r:?} gave {got:?}");
            for (g, w) in got.iter().zip(r) {
                assert!((g - w).abs() < 1e-7, "{r:?} gave {got:?}");
            }
            // A part of the interval holds the roots that lie in it.
            let some = quartic.roots(0.5 * (r[0] + r[1]), 0.5 * (r[2] + r[3]));
            assert_eq!(some.as_slice().len(), 2, "{r:?} gave {some:?}");
            assert!((some.as_slice()[0] - r[1]).abs() < 1e-7 && (some.as_slice()[1] - r[2]).abs() < 1e-7);
            seen += 1;
        }
        assert!(seen > 15000);
    }

    #[test]
    fn even_quartics_and_small_roots() {
        let close = |c: [f64; 3], want: &[f64]| {
            let got = Quartic { c }.roots(-3.0, 3.0);
            assert_eq!(got.as_slice().len(), want.len(), "{got:?}");
            for (g, w) in got.as_slice().iter().zip(want) {
                assert!((g - w).abs() <= 4.0 * f64::EPSILON * w.abs(), "{g} is not {w}");
            }
        };
        close([4.0, 0.0, -5.0], &[-2.0, -1.0, 1.0, 2.0]);
        // x (x³ + x - 1e-8 …): the small root is 1e-8 to its own last digits.
        close([-1e-8, 1.0, 0.0], &[-1.000_000_003_333_333_3, 1e-8]);
        assert!(Quartic { c: [1.0, 0.0, 1.0] }.roots(-9.0, 9.0).as_slice().is_empty());
        // Touches zero at ±1 without changing sign.
        assert!(Quartic { c: [1.0, 0.0, -2.0] }.roots(-3.0, 3.0).as_slice().len().is_multiple_of(2));
    }
}
