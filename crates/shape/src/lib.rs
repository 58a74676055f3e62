//! The resolved frame: located points, tube centrelines, joints, mass properties.
