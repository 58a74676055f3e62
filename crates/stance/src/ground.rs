//! The ground under a stance, in the frame's axes.

use geometry::{DVec2, DVec3};
use serde::Serialize;

/// A ground plane with its own axes: forward is the frame's x laid on it, left is square to that.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Ground {
    /// Unit normal, upward.
    pub normal: DVec3,
    /// The plane's distance from the origin along its normal, m.
    pub height: f64,
    /// Unit, forward.
    pub forward: DVec3,
    /// Unit, to the left.
    pub left: DVec3,
}

/// Places nearer than this to one line hold no plane, m: far less than any track, far more than drawing noise.
const LINE: f64 = 0.01;
/// Rounds of a plane whose heights depend on its own slope; each gains several digits.
const ROUNDS: usize = 40;
/// A slope that changes by less than this stands.
const STANDS: f64 = 1e-14;

impl Ground {
    /// The plane z = a + b x + c y.
    pub fn new(a: f64, b: f64, c: f64) -> Ground {
        let w = (1.0 + b * b + c * c).sqrt();
        let normal = DVec3::new(-b, -c, 1.0) / w;
        let forward = DVec3::new(1.0, 0.0, b).normalize();
        Ground { normal, height: a / w, forward, left: normal.cross(forward) }
    }

    /// Height of a place over the ground, m.
    pub fn over(&self, p: DVec3) -> f64 {
        self.normal.dot(p) - self.height
    }

    /// A place in the ground's axes: forward, left, height, m.
    pub fn place(&self, p: DVec3) -> DVec3 {
        DVec3::new(self.forward.dot(p), self.left.dot(p), self.over(p))
    }

    /// A direction of the ground's axes in the frame's.
    pub fn direction(&self, d: DVec3) -> DVec3 {
        self.forward * d.x + self.left * d.y + self.normal * d.z
    }

    /// The plane's a, b, c.
    pub(crate) fn coefficients(&self) -> [f64; 3] {
        let z = self.normal.z;
        [self.height / z, -self.normal.x / z, -self.normal.y / z]
    }
}

/// The least-squares plane through places; `None` where they lie on one line.
pub(crate) fn plane(places: &[DVec3]) -> Option<Ground> {
    let n = places.len() as f64;
    if places.len() < 3 {
        return None;
    }
    let mean: DVec3 = places.iter().sum::<DVec3>() / n;
    let (mut xx, mut xy, mut yy, mut xz, mut yz) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for d in places.iter().map(|p| *p - mean) {
        xx += d.x * d.x;
        xy += d.x * d.y;
        yy += d.y * d.y;
        xz += d.x * d.z;
        yz += d.y * d.z;
    }
    // The smaller of the two moments of the places in plan.
    let across = 0.5 * (xx + yy - ((xx - yy).powi(2) + 4.0 * xy * xy).sqrt());
    if across.is_nan() || across < LINE * LINE {
        return None;
    }
    let det = xx * yy - xy * xy;
    let (b, c) = ((xz * yy - yz * xy) / det, (yz * xx - xz * xy) / det);
    let a = mean.z - b * mean.x - c * mean.y;
    [a, b, c].iter().all(|v| v.is_finite()).then(|| Ground::new(a, b, c))
}

/// The plane through places whose heights depend on the plane: `height` gives them for a ground.
pub(crate) fn fitted(plan: &[DVec2], height: impl Fn(usize, &Ground) -> Option<f64>) -> Option<Ground> {
    let mut ground = Ground::new(0.0, 0.0, 0.0);
    for _ in 0..ROUNDS {
        let places: Option<Vec<DVec3>> =
            plan.iter().enumerate().map(|(i, p)| Some(p.extend(height(i, &ground)?))).collect();
        let next = plane(&places?)?;
        let change = (next.normal - ground.normal).length() + (next.height - ground.height).abs();
        ground = next;
        if change < STANDS {
            break;
        }
    }
    Some(ground)
}
