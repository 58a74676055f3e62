//! A cross-section as fibres that yield.

use geometry::{DMat3, DVec3};

/// A section as fibres, all of one material: elastic to the yield stress, then with a constant slope, moving the elastic
/// range along (kinematic hardening).
#[derive(Clone, Debug, PartialEq)]
pub struct Fibres {
    /// Place along u, place along v, area; m, m, m².
    pub fibres: Vec<[f64; 3]>,
    /// Young's modulus, Pa.
    pub youngs: f64,
    /// Yield stress, Pa.
    pub yields: f64,
    /// Slope after yielding as a part of the modulus. Not zero: then nothing would be told apart at the peak.
    pub hardening: f64,
}

impl Fibres {
    /// A round tube: `around` fibres on each of `layers` rings of one thickness. Area and second moment are exact with one
    /// ring already: each ring's fibres sit where its second moment is.
    pub fn round(od: f64, wall: f64, around: usize, layers: usize) -> Vec<[f64; 3]> {
        let inner = od / 2.0 - wall;
        let mut out = Vec::with_capacity(around * layers);
        for k in 0..layers {
            let a = inner + wall * k as f64 / layers as f64;
            let b = inner + wall * (k + 1) as f64 / layers as f64;
            let area = std::f64::consts::PI * (b * b - a * a) / around as f64;
            let r = ((a * a + b * b) / 2.0).sqrt();
            out.extend((0..around).map(|i| {
                let (s, c) = (std::f64::consts::TAU * (i as f64 + 0.5) / around as f64).sin_cos();
                [r * c, r * s, area]
            }));
        }
        out
    }

    /// Elastic stiffness: of the axial strain and the curvatures about u and v.
    pub(crate) fn elastic(&self) -> DMat3 {
        let mut k = DMat3::ZERO;
        for f in &self.fibres {
            let a = shape(f);
            k += outer(a) * (f[2] * self.youngs);
        }
        k
    }

    /// The stress at a strain, from a fibre's lasting strain; the slope there, and the lasting strain then.
    fn stress(&self, strain: f64, lasting: f64) -> (f64, f64, f64) {
        // The middle of the elastic range moves with the lasting strain.
        let h = self.youngs * self.hardening / (1.0 - self.hardening);
        let trial = self.youngs * (strain - lasting);
        let over = (trial - h * lasting).abs() - self.yields;
        if over <= 0.0 {
            return (trial, self.youngs, lasting);
        }
        let more = over / (self.youngs + h) * (trial - h * lasting).signum();
        (trial - self.youngs * more, self.youngs * self.hardening, lasting + more)
    }

    /// Force and moments at a strain and curvatures, their slopes, and the lasting strains, written to `then`.
    pub(crate) fn answer(&self, strains: DVec3, lasting: &[f64], then: &mut [f64]) -> (DVec3, DMat3) {
        let (mut force, mut slope) = (DVec3::ZERO, DMat3::ZERO);
        for ((f, &l), t) in self.fibres.iter().zip(lasting).zip(then) {
            let a = shape(f);
            let (stress, k, now) = self.stress(a.dot(strains), l);
            *t = now;
            force += a * (stress * f[2]);
            slope += outer(a) * (k * f[2]);
        }
        (force, slope)
    }

    /// At what part of the way from one set of strains to another a fibre first comes to its yield; 1 if none does.
    pub(crate) fn comes_to_yield(&self, from: DVec3, to: DVec3) -> f64 {
        let part = |f: &[f64; 3]| {
            let [a, b] = [from, to].map(|e| self.youngs * shape(f).dot(e));
            // It leaves by the side that it goes to.
            let limit = self.yields.copysign(b);
            if b.abs() > self.yields && a != b { ((limit - a) / (b - a)).clamp(0.0, 1.0) } else { 1.0 }
        };
        self.fibres.iter().map(part).fold(1.0, f64::min)
    }

    /// Whether no fibre leaves the elastic range that it has at first, at these strains.
    pub(crate) fn stays(&self, strains: DVec3) -> bool {
        self.fibres.iter().all(|f| (self.youngs * shape(f).dot(strains)).abs() <= self.yields)
    }
}

/// A fibre's strain for a unit of axial strain and of curvature about u and v.
fn shape(f: &[f64; 3]) -> DVec3 {
    DVec3::new(1.0, f[1], -f[0])
}

fn outer(a: DVec3) -> DMat3 {
    DMat3::from_cols(a * a.x, a * a.y, a * a.z)
}
