//! The two distributions that are needed: normal and χ².

/// Logarithm of the gamma function, x > 0 (Lanczos's series with nine terms, g = 7; right to about 1e-14).
fn ln_gamma(x: f64) -> f64 {
    const C: [f64; 9] = [
        0.999_999_999_999_809_9,
        676.520_368_121_885_1,
        -1_259.139_216_722_402_8,
        771.323_428_777_653_1,
        -176.615_029_162_140_6,
        12.507_343_278_686_905,
        -0.138_571_095_265_720_12,
        9.984_369_578_019_572e-6,
        1.505_632_735_149_311_6e-7,
    ];
    let x = x - 1.0;
    let t = x + 7.5;
    let sum = C.iter().enumerate().skip(1).fold(C[0], |s, (i, c)| s + c / (x + i as f64));
    0.5 * std::f64::consts::TAU.ln() + (x + 0.5) * t.ln() - t + sum.ln()
}

/// Chance that a χ² of `freedom` degrees is at most `x`: the regularised incomplete gamma function, by its series
/// below its middle and by Lentz's continued fraction above.
pub fn chi2_up_to(x: f64, freedom: f64) -> f64 {
    if !(x > 0.0 && freedom > 0.0) {
        return 0.0;
    }
    let (a, x) = (freedom / 2.0, x / 2.0);
    let lead = (a * x.ln() - x - ln_gamma(a)).exp();
    if x < a + 1.0 {
        let (mut term, mut sum, mut k) = (1.0 / a, 1.0 / a, a);
        // Terms fall at least like a geometric series from k = x on; the count bounds even that.
        for _ in 0..100_000 {
            k += 1.0;
            term *= x / k;
            sum += term;
            if term < sum * f64::EPSILON {
                break;
            }
        }
        (lead * sum).min(1.0)
    } else {
        let tiny = f64::MIN_POSITIVE / f64::EPSILON;
        let mut b = x + 1.0 - a;
        let (mut c, mut d) = (1.0 / tiny, 1.0 / b);
        let mut h = d;
        for i in 1..100_000 {
            let an = -f64::from(i) * (f64::from(i) - a);
            b += 2.0;
            d = an * d + b;
            d = if d.abs() < tiny { tiny } else { d };
            c = b + an / c;
            c = if c.abs() < tiny { tiny } else { c };
            d = 1.0 / d;
            h *= d * c;
            if (d * c - 1.0).abs() < f64::EPSILON {
                break;
            }
        }
        (1.0 - lead * h).max(0.0)
    }
}

/// The value that a χ² of `freedom` degrees does not pass with chance `p`, 0 < p < 1.
pub fn chi2_quantile(p: f64, freedom: f64) -> f64 {
    let (mut low, mut high) = (0.0, freedom.max(1.0));
    while chi2_up_to(high, freedom) < p && high < 1e9 {
        high *= 2.0;
    }
    // Halving, to the last bit.
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if chi2_up_to(middle, freedom) < p { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// Chance that a standard normal value is at most `x`.
pub fn normal_up_to(x: f64) -> f64 {
    let half = 0.5 * chi2_up_to(x * x, 1.0);
    if x < 0.0 { 0.5 - half } else { 0.5 + half }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values printed in every table of χ² [memory].
    #[test]
    fn tables() {
        for (p, f, x) in [
            (0.95, 1.0, 3.841),
            (0.95, 3.0, 7.815),
            (0.975, 10.0, 20.483),
            (0.025, 10.0, 3.247),
            (0.99, 30.0, 50.892),
            (0.95, 100.0, 124.342),
        ] {
            assert!((chi2_quantile(p, f) - x).abs() < 5.1e-4, "{p} {f}: {}", chi2_quantile(p, f));
        }
        assert!((normal_up_to(1.959_964) - 0.975).abs() < 1e-7);
        assert!((normal_up_to(-3.290_527) - 0.0005).abs() < 1e-9);
    }

    /// With two degrees the chance is 1 − e^(−x/2).
    #[test]
    fn two_degrees_in_closed_form() {
        for x in [1e-6, 0.1, 1.0, 3.0, 4.1, 10.0, 60.0] {
            assert!((chi2_up_to(x, 2.0) - (1.0 - f64::exp(-x / 2.0))).abs() < 1e-14, "{x}");
        }
    }
}
