//! The least value of a function of one variable.

/// Golden-section search for the least value of `f` on `[a, b]`, where `f` falls and then rises (either part may be
/// missing). Stops when the interval is narrower than `width`. Returns (place, value).
pub fn golden(mut a: f64, mut b: f64, width: f64, f: impl Fn(f64) -> f64) -> (f64, f64) {
    const G: f64 = 0.618_033_988_749_894_8;
    let (mut c, mut d) = (b - G * (b - a), a + G * (b - a));
    let (mut fc, mut fd) = (f(c), f(d));
    let mut best = [(a, f(a)), (b, f(b))].into_iter().fold((a, f64::INFINITY), |m, x| if x.1 < m.1 { x } else { m });
    while b - a > width {
        if fc < fd {
            (b, d, fd) = (d, c, fc);
            c = b - G * (b - a);
            fc = f(c);
        } else {
            (a, c, fc) = (c, d, fd);
            d = a + G * (b - a);
            fd = f(d);
        }
        for x in [(c, fc), (d, fd)] {
            if x.1 < best.1 {
                best = x;
            }
        }
    }
    best
}

/// A place and a function's value there.
pub type Seen = (f64, f64);

/// The least value of `f` between `a` and `b`, from three places already looked at of which the middle one is the
/// lowest: parabolas through the lowest three, golden sections where they do not serve (R. P. Brent, *Algorithms for
/// Minimization without Derivatives*, 1973, ch. 5). The place is known to `width`. Returns (place, value).
pub fn brent([a, x, b]: [Seen; 3], width: f64, f: impl Fn(f64) -> f64) -> Seen {
    const GOLDEN: f64 = 0.381_966_011_250_105_1;
    /// More than golden sections alone would need from a metre to a nanometre.
    const ROUNDS: usize = 64;
    let (mut low, mut high) = (a.0, b.0);
    let (mut x, mut w, mut v) = if a.1 < b.1 { (x, a, b) } else { (x, b, a) };
    let least = 0.5 * width;
    let (mut step, mut before) = (high - low, high - low);
    for _ in 0..ROUNDS {
        let middle = 0.5 * (low + high);
        if (x.0 - middle).abs() <= width - 0.5 * (high - low) {
            break;
        }
        let r = (x.0 - w.0) * (x.1 - v.1);
        let q = (x.0 - v.0) * (x.1 - w.1);
        let (p, q) = ((x.0 - v.0) * q - (x.0 - w.0) * r, 2.0 * (q - r));
        let parabola = -p / q;
        let last = std::mem::replace(&mut before, step);
        let u = x.0 + parabola;
        if parabola.is_finite() && parabola.abs() < 0.5 * last.abs() && u > low && u < high {
            step = parabola;
            if u - low < width || high - u < width {
                step = least.copysign(middle - x.0);
            }
        } else {
            before = if x.0 >= middle { low - x.0 } else { high - x.0 };
            step = GOLDEN * before;
        }
        let at = x.0 + if step.abs() >= least { step } else { least.copysign(step) };
        let u = (at, f(at));
        if u.1 <= x.1 {
            if u.0 >= x.0 {
                low = x.0
            } else {
                high = x.0
            }
            (v, w, x) = (w, x, u);
        } else {
            if u.0 < x.0 {
                low = u.0
            } else {
                high = u.0
            }
            if u.1 <= w.1 || w.0 == x.0 {
                (v, w) = (w, u);
            } else if u.1 <= v.1 || v.0 == x.0 || v.0 == w.0 {
                v = u;
            }
        }
    }
    x
}

#[cfg(test)]
mod tests {
    #[test]
    fn parabolas_take_few_looks_and_corners_are_found() {
        let calls = std::cell::Cell::new(0);
        let count = |x: f64| calls.set(calls.get() + (x.is_finite() as usize));
        for &at in &[0.3, 0.499, 0.5, 0.74] {
            calls.set(0);
            let f = |x: f64| {
                count(x);
                -(x - at).cos() + 0.1 * (x - at).powi(3)
            };
            let (x, v) = super::brent([0.0, 0.5, 1.0].map(|x| (x, f(x))), 1e-6, f);
            assert!((x - at).abs() < 1e-6 && v < -1.0 + 1e-12, "{x} is not {at}");
            assert!(calls.get() <= 15, "{} looks", calls.get());
            // A corner.
            let f = |x: f64| (3.0 * (x - at)).max(at - x);
            let (x, _) = super::brent([0.0, 0.5, 1.0].map(|x| (x, f(x))), 1e-6, f);
            assert!((x - at).abs() < 1e-6, "{x} is not {at}");
        }
        // Level, and lowest at an end that was looked at: no worse than what was given.
        assert_eq!(super::brent([(0.0, 1.0), (0.5, 1.0), (1.0, 1.0)], 1e-6, |_| 1.0).1, 1.0);
    }

    #[test]
    fn finds_inner_and_end_minima() {
        let (x, v) = super::golden(0.0, 3.0, 1e-9, |x| (x - 1.2) * (x - 1.2) + 4.0);
        assert!((x - 1.2).abs() < 1e-7 && (v - 4.0).abs() < 1e-14);
        assert_eq!(super::golden(1.0, 2.0, 1e-9, |x| x).1, 1.0);
    }
}
