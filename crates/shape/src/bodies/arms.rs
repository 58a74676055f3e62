//! An arm of two links that reaches for a place.

use geometry::DVec3;

/// Where an arm's joints are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arm {
    /// Shoulder.
    pub shoulder: DVec3,
    /// Elbow.
    pub elbow: DVec3,
    /// Middle of the grip.
    pub grip: DVec3,
    /// How far the grip stays from where it was to be, m.
    pub missing: f64,
}

/// Reaches from a shoulder with links of two lengths; the elbow turns towards `pole` as far as the links let it.
pub fn reach(shoulder: DVec3, wanted: DVec3, upper: f64, fore: f64, pole: DVec3) -> Arm {
    let away = wanted - shoulder;
    let to = away.try_normalize().unwrap_or(DVec3::X);
    let distance = away.length().clamp((upper - fore).abs(), upper + fore);
    let grip = shoulder + to * distance;
    // The elbow lies on a circle round the line from shoulder to grip.
    let along = if distance > 0.0 {
        ((upper * upper - fore * fore + distance * distance) / (2.0 * distance)).clamp(-upper, upper)
    } else {
        0.0
    };
    let out = (pole - to * pole.dot(to)).try_normalize().unwrap_or_else(|| to.any_orthonormal_vector());
    let elbow = shoulder + to * along + out * (upper * upper - along * along).max(0.0).sqrt();
    Arm { shoulder, elbow, grip, missing: grip.distance(wanted) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn links_keep_their_lengths_and_short_arms_say_so() {
        let s = DVec3::new(0.1, 0.2, 0.5);
        for wanted in [DVec3::new(0.5, 0.2, 0.4), DVec3::new(0.2, -0.1, 0.1), DVec3::new(0.1, 0.2, 0.55), s] {
            let a = reach(s, wanted, 0.33, 0.35, DVec3::NEG_Z);
            assert!((a.elbow.distance(s) - 0.33).abs() < 1e-12);
            assert!((a.elbow.distance(a.grip) - 0.35).abs() < 1e-12);
            assert!((a.missing - a.grip.distance(wanted)).abs() < 1e-15);
        }
        assert!(reach(s, DVec3::new(0.5, 0.2, 0.4), 0.33, 0.35, DVec3::NEG_Z).missing < 1e-12);
        let far = reach(s, s + DVec3::X, 0.33, 0.35, DVec3::NEG_Z);
        assert!((far.missing - 0.32).abs() < 1e-12);
        assert!(far.elbow.distance(s + DVec3::X * 0.33) < 1e-6);
    }
}
