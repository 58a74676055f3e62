//! Numbers as the shop reads them, with the error that the rounding makes.

/// A number and the rounded one that stands on the sheet; same unit.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Rounded {
    /// As computed.
    pub exact: f64,
    /// As shown: the nearest multiple of the step.
    pub shown: f64,
}

impl Rounded {
    /// Rounds to the nearest multiple of a step (more than zero).
    pub fn to(exact: f64, step: f64) -> Rounded {
        Rounded { exact, shown: (exact / step).round() * step }
    }

    /// Shown less exact: positive where the sheet's number is too large. At most half a step either way.
    pub fn error(&self) -> f64 {
        self.shown - self.exact
    }
}
