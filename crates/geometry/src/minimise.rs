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

#[cfg(test)]
mod tests {
    #[test]
    fn finds_inner_and_end_minima() {
        let (x, v) = super::golden(0.0, 3.0, 1e-9, |x| (x - 1.2) * (x - 1.2) + 4.0);
        assert!((x - 1.2).abs() < 1e-7 && (v - 4.0).abs() < 1e-14);
        assert_eq!(super::golden(1.0, 2.0, 1e-9, |x| x).1, 1.0);
    }
}
