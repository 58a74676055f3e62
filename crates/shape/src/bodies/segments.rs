//! Mass of a body's segments, with their own inertia.

use geometry::{DMat3, DVec3};

/// A segment as a solid of even density.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Segment {
    /// kg.
    pub mass: f64,
    /// Centre, m.
    pub centre: DVec3,
    /// From end to end, m; none for a ball.
    pub along: DVec3,
    /// Radius, m.
    pub radius: f64,
}

impl Segment {
    /// Inertia about its own centre: a cylinder's, or a ball's if it has no length.
    fn own(&self) -> DMat3 {
        let (m, r2, l2) = (self.mass, self.radius * self.radius, self.along.length_squared());
        let Some(t) = self.along.try_normalize() else {
            return DMat3::from_diagonal(DVec3::splat(0.4 * m * r2));
        };
        let (axial, across) = (m * r2 / 2.0, m * (3.0 * r2 + l2) / 12.0);
        let axis = DMat3::from_cols(t * t.x, t * t.y, t * t.z);
        DMat3::from_diagonal(DVec3::splat(across)) + axis * (axial - across)
    }
}

/// Mass, centre and inertia about that centre.
pub fn sum(segments: &[Segment]) -> (f64, DVec3, DMat3) {
    let mass: f64 = segments.iter().map(|s| s.mass).sum();
    let centre = segments.iter().map(|s| s.centre * s.mass).sum::<DVec3>() / mass;
    let inertia = segments.iter().fold(DMat3::ZERO, |m, s| {
        let d = s.centre - centre;
        let outer = DMat3::from_cols(d * d.x, d * d.y, d * d.z);
        m + s.own() + (DMat3::from_diagonal(DVec3::splat(d.length_squared())) - outer) * s.mass
    });
    (mass, centre, inertia)
}
