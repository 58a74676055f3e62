//! `centrelines.dxf`: the frame as lines and arcs in space, in the design's axes and units.
//!
//! Every straight leg is a LINE and every bend an ARC in its own plane, so that nothing is approximated. Tubes stand in
//! the order of fitting, each from its start to its end, whatever their state. The layer is the section; the tube's name,
//! and its state unless it is permanent, stand beside each entity as extended data of [`ADDED_BY`].

use design::units::Unit;
use design::{TubeState, Units};
use geometry::{DVec3, SAME_PLACE, Segment};
use shape::{Shape, Tube};

use super::tags::Tags;
use super::{Setting, file};
use crate::exchange::stems;

/// Whose the extended data is.
pub const ADDED_BY: &str = "TUBEWRIGHT";

/// Colours of sections by the form's index, over and over: black or white, blue, green, magenta, cyan, red, orange.
const COLOURS: [&str; 7] = ["7", "5", "3", "6", "4", "1", "30"];

/// Within this share of the z axis a plane's x axis is found from y: 1/64, by the reference's arbitrary axis algorithm.
const NEAR_Z: f64 = 1.0 / 64.0;

/// Writes the centrelines.
pub fn write(s: &Shape) -> String {
    // Names of layers do not mind capitals.
    let sections = stems(s.design.sections.iter().map(|x| x.name.as_str()));
    let used = (0..sections.len()).filter(|&k| s.tubes.iter().any(|t| t.section.0 == k));
    let layers = used.enumerate().map(|(nth, k)| (sections[k].as_str(), COLOURS[nth % COLOURS.len()]));
    let layers: Vec<(&str, &str)> = std::iter::once(("0", "7")).chain(layers).collect();
    let unit = match s.design.units {
        Units::Mm => Unit::Mm,
        Units::In => Unit::In,
    };
    let set = Setting { unit, layers: &layers, adds: &[ADDED_BY], bounds: bounds(s) };
    file(&set, |t| {
        for tube in &s.tubes {
            one(t, tube, &sections[tube.section.0], unit);
        }
    })
}

fn one(t: &mut Tags, tube: &Tube, layer: &str, unit: Unit) {
    let chain = &tube.chain;
    for (k, segment) in chain.segments.iter().enumerate() {
        match *segment {
            Segment::Leg { length, .. } if length < SAME_PLACE => continue,
            Segment::Leg { from, length, .. } => {
                // The end that the design gives, so that tubes that share a point meet in it to the last bit.
                let last = k + 1 == chain.segments.len();
                let to = if last { chain.corners[chain.corners.len() - 1] } else { segment.point(length) };
                t.entity("LINE", layer, "AcDbLine");
                t.place(10, from, unit);
                t.place(11, to, unit);
            }
            Segment::Arc { centre, axis, start, radius, sweep } => {
                let [x, y] = across(axis);
                let from = start.dot(y).atan2(start.dot(x)).rem_euclid(std::f64::consts::TAU);
                t.entity("ARC", layer, "AcDbCircle");
                t.place(10, DVec3::new(centre.dot(x), centre.dot(y), centre.dot(axis)), unit);
                t.length(40, radius, unit);
                t.tag(100, "AcDbArc");
                t.exact(50, from.to_degrees());
                t.exact(51, (from + sweep).rem_euclid(std::f64::consts::TAU).to_degrees());
                t.direction(210, axis);
            }
        }
        t.tags(&[(1001, ADDED_BY), (1000, &format!("tube={}", tube.name))]);
        match tube.state {
            TubeState::Permanent => {}
            TubeState::Temporary => t.tag(1000, "state=temporary"),
            TubeState::Provisional => t.tag(1000, "state=provisional"),
        }
    }
}

/// The x and y axes of a plane with this unit normal, by the reference's arbitrary axis algorithm.
fn across(normal: DVec3) -> [DVec3; 2] {
    let near_z = normal.x.abs() < NEAR_Z && normal.y.abs() < NEAR_Z;
    let x = if near_z { DVec3::Y.cross(normal) } else { DVec3::Z.cross(normal) }.normalize();
    [x, normal.cross(x).normalize()]
}

/// Least and greatest coordinates of the corners, m, between which all lines and arcs lie.
fn bounds(s: &Shape) -> (DVec3, DVec3) {
    let mut corners = s.tubes.iter().flat_map(|t| &t.chain.corners).copied();
    let first = corners.next().unwrap_or(DVec3::ZERO);
    corners.fold((first, first), |b, c| (b.0.min(c), b.1.max(c)))
}
