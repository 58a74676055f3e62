//! Integrals of functions that are smooth but for steps, where each side of a step can be told.

use std::cell::Cell;

/// A function's value, and which of its smooth parts it belongs to.
#[derive(Clone, Copy, Debug)]
pub struct Sample<F> {
    /// Value.
    pub value: f64,
    /// Part.
    pub face: F,
}

/// Halvings of an interval at most, where the parts do not tell why the function is not smooth.
const DEPTH: u32 = 9;

/// Samples at most for one integral: where parts change from place to place (a fibre that runs along an edge, in the last digit on
/// one side or the other) halving would never end. A step that can be placed costs some hundred.
const SAMPLES: u32 = 4000;

/// A step is placed within this part of the interval in which it is found, if its height asks for it: near enough to
/// the last digit of the place.
const STEP: f64 = 1e-12;

/// ∫ f from `a` to `b` to about a tolerance: Simpson's rule on halves of halves, until two halves agree with their
/// whole. Where two neighbouring samples belong to different parts, the step between them is found first, and each side
/// of it taken by itself. Also tells the parts at its two ends.
pub fn integral<F, G>(f: &G, a: f64, b: f64, tolerance: f64) -> (f64, [F; 2])
where
    F: Copy + PartialEq,
    G: Fn(f64) -> Sample<F>,
{
    let (sum, ends, _) = integral_of(f, a, b, tolerance, SAMPLES);
    (sum, ends)
}

/// The same with so many samples at most, or a few more; also how many it took.
pub fn integral_of<F, G>(f: &G, a: f64, b: f64, tolerance: f64, samples: u32) -> (f64, [F; 2], u32)
where
    F: Copy + PartialEq,
    G: Fn(f64) -> Sample<F>,
{
    let left = Cell::new(samples);
    let f = |x: f64| {
        left.set(left.get().saturating_sub(1));
        f(x)
    };
    let ends = [f(a), f(0.5 * (a + b)), f(b)];
    let sum = simpson(&f, (a, b), ends, tolerance, (DEPTH, &left));
    (sum, [ends[0].face, ends[2].face], samples - left.get())
}

/// Strips at first, and at most, for a mean over a period.
const STRIPS: (usize, usize) = (12, 384);

/// Mean of a smooth function over its period, by evenly spaced samples of which the number is doubled until the mean
/// changes by less than a tolerance. `None` if the samples belong to several parts, or the mean does not settle.
pub fn periodic<F: Copy + PartialEq>(f: &impl Fn(f64) -> Sample<[F; 2]>, period: f64, tolerance: f64) -> Option<f64> {
    let part = f(0.0).face[0];
    let mean = |n: usize, shift: f64| {
        let mut sum = 0.0;
        for k in 0..n {
            let s = f(period * (k as f64 + shift) / n as f64);
            if s.face != [part; 2] {
                return None;
            }
            sum += s.value;
        }
        Some(sum / n as f64)
    };
    let mut n = STRIPS.0;
    let mut last = mean(n, 0.0)?;
    while n < STRIPS.1 {
        let next = 0.5 * (last + mean(n, 0.5)?);
        if (next - last).abs() <= tolerance {
            return Some(next);
        }
        (last, n) = (next, 2 * n);
    }
    None
}

fn simpson<F: Copy + PartialEq, G: Fn(f64) -> Sample<F> + ?Sized>(
    f: &G,
    (a, b): (f64, f64),
    [fa, fm, fb]: [Sample<F>; 3],
    tolerance: f64,
    (depth, left): (u32, &Cell<u32>),
) -> f64 {
    let m = 0.5 * (a + b);
    let (l, r) = (0.5 * (a + m), 0.5 * (m + b));
    let (fl, fr) = (f(l), f(r));
    let whole = (b - a) / 6.0 * (fa.value + 4.0 * fm.value + fb.value);
    let halves = (b - a) / 12.0 * (fa.value + 4.0 * fl.value + 2.0 * fm.value + 4.0 * fr.value + fb.value);
    // Halving divides the error of a smooth function by sixteen, of one with a corner by four.
    if depth == 0 || left.get() == 0 || (halves - whole).abs() <= 3.0 * tolerance {
        return halves;
    }
    let samples = [(a, fa), (l, fl), (m, fm), (r, fr), (b, fb)];
    if let Some(w) = samples.windows(2).find(|w| w[0].1.face != w[1].1.face) {
        let (lo, hi, between) = step(f, w[0], w[1], tolerance / 4.0);
        return graded(f, (a, lo), tolerance / 2.0, (depth - 1, left))
            + between
            + graded(f, (hi, b), tolerance / 2.0, (depth - 1, left));
    }
    simpson(f, (a, m), [fa, fl, fm], tolerance / 2.0, (depth - 1, left))
        + simpson(f, (m, b), [fm, fr, fb], tolerance / 2.0, (depth - 1, left))
}

/// The two sides of a step between two samples of different parts, and the integral between them.
fn step<F: Copy + PartialEq, G: Fn(f64) -> Sample<F> + ?Sized>(
    f: &G,
    (mut lo, mut flo): (f64, Sample<F>),
    (mut hi, mut fhi): (f64, Sample<F>),
    tolerance: f64,
) -> (f64, f64, f64) {
    let least = STEP * (hi - lo);
    // Between the two sides the integral errs by no more than the step times their distance.
    while (hi - lo) * (fhi.value - flo.value).abs() > tolerance && hi - lo > least {
        let m = 0.5 * (lo + hi);
        if m <= lo || m >= hi {
            // The two sides are neighbours among numbers.
            break;
        }
        let fm = f(m);
        if fm.face == flo.face { (lo, flo) = (m, fm) } else { (hi, fhi) = (m, fm) }
    }
    (lo, hi, 0.5 * (hi - lo) * (flo.value + fhi.value))
}

/// An interval with a step at one of its ends. There the function may go like a square root (fibres that leave a round
/// face run along it): with x = a + (b - a) t² (3 - 2t) it is smooth in t.
fn graded<F: Copy + PartialEq, G: Fn(f64) -> Sample<F> + ?Sized>(
    f: &G,
    (a, b): (f64, f64),
    tolerance: f64,
    depth: (u32, &Cell<u32>),
) -> f64 {
    let g = |t: f64| {
        let s = f(a + (b - a) * t * t * (3.0 - 2.0 * t));
        Sample { value: s.value * (b - a) * 6.0 * t * (1.0 - t), face: s.face }
    };
    // By reference, or there would be no end to the types.
    let g: &dyn Fn(f64) -> Sample<F> = &g;
    simpson(g, (0.0, 1.0), [g(0.0), g(0.5), g(1.0)], tolerance, depth)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_cost_little_and_are_placed() {
        // Half a circle's arc, then a step down to a slope, then another step: as fibres that leave a round tube.
        let calls = Cell::new(0);
        let f = |x: f64| {
            calls.set(calls.get() + 1);
            match x {
                x if x < 0.312345 => Sample { value: (0.312345f64.powi(2) - x * x).sqrt(), face: 0 },
                x if x < 0.7001 => Sample { value: -2.0 - x, face: 1 },
                _ => Sample { value: x.exp(), face: 2 },
            }
        };
        let want = std::f64::consts::PI * 0.312345f64.powi(2) / 4.0
            - 2.0 * (0.7001 - 0.312345)
            - (0.7001f64.powi(2) - 0.312345f64.powi(2)) / 2.0
            + 1f64.exp()
            - 0.7001f64.exp();
        let (got, faces) = integral(&f, 0.0, 1.0, 1e-9);
        assert!((got - want).abs() < 1e-8, "{got} is not {want}");
        assert_eq!(faces, [0, 2]);
        assert!(calls.get() < 1500, "{} calls", calls.get());
    }

    #[test]
    fn a_step_between_neighbouring_numbers_ends() {
        let a = 1.0f64;
        let b = a + 4.0 * f64::EPSILON;
        let f = |x: f64| Sample { value: if x > a + f64::EPSILON { 1e9 } else { 0.0 }, face: x > a + f64::EPSILON };
        assert!(integral(&f, a, b, 1e-30).0.is_finite());
    }

    #[test]
    fn parts_that_flicker_end_too() {
        let calls = Cell::new(0u64);
        let f = |x: f64| {
            calls.set(calls.get() + 1);
            Sample { value: x + 1e-3 * (x * 1e9).sin(), face: (x * 1e9) as i64 % 2 }
        };
        let got = integral(&f, 0.0, 1.0, 1e-12).0;
        assert!((got - 0.5).abs() < 1e-3 && calls.get() < 20_000, "{got} {}", calls.get());
    }

    #[test]
    fn means_over_a_period() {
        // 1/(2π) ∫ dφ / (2 + cos φ) = 1/√3.
        let f = |x: f64| Sample { value: 1.0 / (2.0 + x.cos()), face: [0; 2] };
        let mean = periodic(&f, std::f64::consts::TAU, 1e-9).expect("settles");
        assert!((mean - 1.0 / 3f64.sqrt()).abs() < 1e-14);
        // A step is not smooth.
        let f = |x: f64| Sample { value: 0.0, face: [(x > 5.0) as u8; 2] };
        assert_eq!(periodic(&f, std::f64::consts::TAU, 1e-9), None);
    }

    #[test]
    fn smooth_functions_take_five_points() {
        let calls = Cell::new(0);
        let f = |x: f64| {
            calls.set(calls.get() + 1);
            Sample { value: x * x * x, face: () }
        };
        assert!((integral(&f, 0.0, 2.0, 1e-12).0 - 4.0).abs() < 1e-14);
        assert_eq!(calls.get(), 5);
    }
}
