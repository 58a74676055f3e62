//! The plane that flat entities are drawn in.

use glam::{DMat3, DVec3};

/// Nearer to the z axis than this, y serves to find the plane's x: the reference's own number.
const NEAR_Z: f64 = 1.0 / 64.0;

/// From coordinates in an entity's plane to the file's, by the normal of that plane alone: the "arbitrary axis
/// algorithm" of the published DXF reference. A normal that is none counts as z.
pub(super) fn plane(normal: DVec3) -> DMat3 {
    let n = normal.try_normalize().unwrap_or(DVec3::Z);
    let near = n.x.abs() < NEAR_Z && n.y.abs() < NEAR_Z;
    let x = if near { DVec3::Y.cross(n) } else { DVec3::Z.cross(n) }.normalize_or(DVec3::X);
    DMat3::from_cols(x, n.cross(x), n)
}
