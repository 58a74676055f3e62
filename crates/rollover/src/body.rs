//! Hard things as plain data, and the round pieces that stand for them.

use geometry::{Chain, DVec3, Frame, Round, round};

use crate::RolloverError;

/// Something that holds when the ground pushes on it.
#[derive(Clone, Debug)]
pub struct HardBody {
    /// The user's name for it.
    pub name: String,
    /// Its shape, m, in the frame's axes.
    pub shape: HardShape,
}

/// Shapes, each exact on its round surfaces.
#[derive(Clone, Debug)]
pub enum HardShape {
    /// A round bar or tube, straight or bent, with flat ends square to it.
    Bar {
        /// Its centreline.
        chain: Chain,
        /// Outside radius.
        radius: f64,
    },
    /// A straight box tube.
    BoxBar {
        /// The start, with `t` along it.
        start: Frame,
        /// Length.
        length: f64,
        /// Half of the extents along `u` and `v`.
        half: [f64; 2],
        /// Outside corner radius.
        corner: f64,
    },
    /// A block.
    Block {
        /// Its centre and directions.
        centre: Frame,
        /// Half extents along `t`, `u`, `v`.
        half: DVec3,
    },
    /// A wheel.
    Wheel {
        /// Its centre.
        centre: DVec3,
        /// Along the axle.
        axle: DVec3,
        /// Radius.
        radius: f64,
        /// Width.
        width: f64,
        /// Radius of the rounding between tread and side; none for a plain cylinder.
        shoulder: f64,
    },
    /// A ball.
    Ball {
        /// Its centre.
        centre: DVec3,
        /// Radius.
        radius: f64,
    },
    /// Corners of a mesh, or points of any hard thing.
    Points(Vec<DVec3>),
}

impl HardBody {
    /// Its pieces.
    pub(crate) fn pieces(&self, out: &mut Vec<Round>) -> Result<(), RolloverError> {
        let wrong = |what: &str| RolloverError::Body { body: self.name.clone(), what: what.into() };
        let sizes = |list: &[f64]| {
            if list.iter().all(|x| x.is_finite() && *x >= 0.0) {
                Ok(())
            } else {
                Err(wrong("a size is negative or no number"))
            }
        };
        let from = out.len();
        match &self.shape {
            HardShape::Bar { chain, radius } => {
                sizes(&[*radius])?;
                if chain.segments.iter().any(|s| matches!(s, geometry::Segment::Arc { radius: b, .. } if b < radius)) {
                    return Err(wrong("a bend's radius is less than the tube's"));
                }
                out.extend(round::bar(chain, *radius));
            }
            HardShape::BoxBar { start, length, half, corner } => {
                sizes(&[*length, half[0], half[1], *corner])?;
                let (x, y) = (half[0] - corner, half[1] - corner);
                if x < 0.0 || y < 0.0 {
                    return Err(wrong("its corner radius is more than half its width"));
                }
                for along in [0.0, *length] {
                    for (sx, sy) in [(x, y), (x, -y), (-x, y), (-x, -y)] {
                        let centre = start.origin + start.t * along + start.u * sx + start.v * sy;
                        out.push(if *corner > 0.0 {
                            Round::Ring { centre, axis: start.t, big: *corner, r: 0.0 }
                        } else {
                            Round::Ball { centre, r: 0.0 }
                        });
                    }
                }
            }
            HardShape::Block { centre, half } => {
                sizes(&half.to_array())?;
                for i in 0..8 {
                    let s = |bit: i32, h: f64| if i & bit == 0 { h } else { -h };
                    let c = centre.origin + centre.t * s(1, half.x) + centre.u * s(2, half.y) + centre.v * s(4, half.z);
                    out.push(Round::Ball { centre: c, r: 0.0 });
                }
            }
            HardShape::Wheel { centre, axle, radius, width, shoulder } => {
                sizes(&[*radius, *width, *shoulder])?;
                let axis = axle.try_normalize().ok_or_else(|| wrong("its axle has no direction"))?;
                if *shoulder > *radius || 2.0 * shoulder > *width {
                    return Err(wrong("its shoulder radius is more than its radius or half its width"));
                }
                let off = axis * (width / 2.0 - shoulder);
                for c in [*centre + off, *centre - off] {
                    out.push(Round::Ring { centre: c, axis, big: radius - shoulder, r: *shoulder });
                }
            }
            HardShape::Ball { centre, radius } => {
                sizes(&[*radius])?;
                out.push(Round::Ball { centre: *centre, r: *radius });
            }
            HardShape::Points(points) => out.extend(points.iter().map(|&centre| Round::Ball { centre, r: 0.0 })),
        }
        if out[from..].iter().all(|p| usable(p.bounds().0)) {
            Ok(())
        } else {
            Err(wrong("a coordinate is no usable number"))
        }
    }
}

/// A number that can be a place, m: beyond a million kilometres nothing is a vehicle.
pub(crate) fn usable(p: DVec3) -> bool {
    p.is_finite() && p.abs().max_element() < 1e9
}
