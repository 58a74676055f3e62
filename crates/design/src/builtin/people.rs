//! How tall and heavy people are.
//!
//! Percentiles worked out from the public data files of the US Army's survey of 2012 (ANSUR II: 4082 men, 1986 women;
//! Gordon et al., NATICK/TR-15/007): unweighted, linear between order statistics. Soldiers are leaner than most.

use crate::model::Sex;

/// The 5th, 50th and 95th percentile.
struct Spread([f64; 3]);

/// Stature, m.
const STATURE: [Spread; 2] = [Spread([1.648, 1.755, 1.870]), Spread([1.525, 1.626, 1.740])];
/// Mass, kg.
const MASS: [Spread; 2] = [Spread([64.0, 85.0, 111.0]), Spread([51.0, 67.0, 87.0])];

/// The normal deviate of the 95th percentile.
const Z95: f64 = 1.644_853_626_951_472_2;

impl Spread {
    /// The value at a percentile: two halves of normal distributions through the three values. At the 99th male
    /// stature it gives 1918 mm, where the data have 1927.
    fn at(&self, percentile: f64) -> f64 {
        let [low, middle, high] = self.0;
        let z = deviate(percentile / 100.0) / Z95;
        middle + z * if z < 0.0 { middle - low } else { high - middle }
    }
}

/// The normal deviate below which a part of a population lies, to 4.5e-4 (Abramowitz and Stegun, *Handbook of
/// Mathematical Functions*, 26.2.23).
fn deviate(part: f64) -> f64 {
    let tail = part.min(1.0 - part).max(f64::MIN_POSITIVE);
    let t = (-2.0 * tail.ln()).sqrt();
    let z = t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1.0 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
    // By symmetry nothing at the median, where the formula is at its worst.
    if (part - 0.5).abs() < 1e-12 { 0.0 } else { z.copysign(part - 0.5) }
}

/// Stature (m) and mass (kg) at a percentile of the survey.
pub fn person_at(sex: Sex, percentile: f64) -> (f64, f64) {
    let k = sex as usize;
    (STATURE[k].at(percentile), MASS[k].at(percentile))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_surveys_percentiles_come_back() {
        // The approximation of the deviate moves a stature by a few hundredths of a millimetre.
        for (sex, percentile, stature, mass) in [
            (Sex::Male, 5.0, 1.648, 64.0),
            (Sex::Male, 50.0, 1.755, 85.0),
            (Sex::Male, 95.0, 1.870, 111.0),
            (Sex::Female, 5.0, 1.525, 51.0),
            (Sex::Female, 50.0, 1.626, 67.0),
            (Sex::Female, 95.0, 1.740, 87.0),
        ] {
            let (s, m) = person_at(sex, percentile);
            assert!((s - stature).abs() < 1e-4, "{s} is not {stature}");
            assert!((m - mass).abs() < 0.01, "{m} is not {mass}");
        }
        // The survey's 99th male is 1927 mm: the fit is 9 mm short there.
        assert!((person_at(Sex::Male, 99.0).0 - 1.927).abs() < 0.010);
    }

    #[test]
    fn deviates_are_those_of_the_table() {
        // Abramowitz and Stegun, table 26.5 (from memory): Q = 0.025, 0.01, 0.1.
        for (part, z) in [(0.975, 1.959_964), (0.99, 2.326_348), (0.1, -1.281_552)] {
            assert!((deviate(part) - z).abs() < 4.5e-4, "{part}");
        }
    }
}
