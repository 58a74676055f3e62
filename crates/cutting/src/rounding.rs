//! Numbers as the shop reads them, with the error that the rounding makes.

/// Parts of a step within which a number counts as half-way: a hundred-thousandth of half a millimetre is 5 nm, far
/// over the noise of computed lengths and far under what can be cut.
const TIE: f64 = 1e-5;

/// A number and the rounded one that stands on the sheet; same unit.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Rounded {
    /// As computed.
    pub exact: f64,
    /// As shown: the nearest multiple of the step.
    pub shown: f64,
}

impl Rounded {
    /// Rounds to the nearest multiple of a step (more than zero). Half-way goes down, so that a piece comes out short
    /// rather than long, and so that the last digits of a computation do not make two sheets differ.
    pub fn to(exact: f64, step: f64) -> Rounded {
        Rounded { exact, shown: (exact / step - 0.5 - TIE).ceil() * step }
    }

    /// Shown less exact: positive where the sheet's number is too large. At most half a step either way (and a hair).
    pub fn error(&self) -> f64 {
        self.shown - self.exact
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn half_way_goes_down_whatever_the_noise() {
        for noise in [-1e-12, 0.0, 1e-12] {
            assert_eq!(Rounded::to(0.55825 + noise, 0.0005).shown, 0.558);
        }
        assert_eq!(Rounded::to(0.5583, 0.0005).shown, 0.5585);
        for i in -1000..1000 {
            let r = Rounded::to(i as f64 * 1.7e-5, 0.0005);
            assert!(r.error().abs() <= 0.00025 * 1.0001);
        }
    }
}
