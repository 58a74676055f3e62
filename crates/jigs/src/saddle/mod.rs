//! Printed saddles that hold a tube on another or on a flat until it is tacked.

pub mod digits;
mod ear;
pub mod mesh;
mod place;
mod seat;
pub mod solid;
pub mod wish;

use design::Jig;
use geometry::DVec3;
use serde::Serialize;
use shape::{End, Finding, Level, Shape};

pub use mesh::Mesh;
use solid::{Half, carve};

/// What the saddle sits on.
#[derive(Clone, Debug, PartialEq)]
pub enum Host {
    /// A tube, by name.
    Tube(String),
    /// A flat: a plate's face or a bench.
    Flat {
        /// A point of it, m.
        point: DVec3,
        /// Unit normal, towards the tube.
        normal: DVec3,
    },
}

/// Where along the held tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Where {
    /// Beside the joint at its end, in the acute corner.
    Joint(End),
    /// Under this place, m from its start.
    Station(f64),
}

/// A saddle that is wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct SaddleAsk {
    /// The tube that it holds, by name.
    pub held: String,
    /// What it sits on.
    pub host: Host,
    /// Where.
    pub at: Where,
}

/// A saddle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Saddle {
    /// The number cut into it: the held tube's place in the fitting order, from 1.
    pub number: usize,
    /// The tube that it holds.
    pub held: String,
    /// What it sits on: a tube's name, or `flat`.
    pub host: String,
    /// The held tube's end at the joint, where it is at one. The lower, slanted face of the saddle looks to it.
    pub end: Option<End>,
    /// Where along the held tube its seat is, m from the tube's start.
    pub seat: [f64; 2],
    /// Its own axes in the frame: origin, then a (along what it sits on), w (away from it), b (across).
    pub origin: DVec3,
    /// See `origin`.
    pub axes: [DVec3; 3],
    /// A point of the held tube's axis and its direction away from the joint, in the saddle's own axes.
    pub axis: [DVec3; 2],
    /// The way that the tube is dropped in, reversed: from the axis to the seat, in its own axes.
    pub support: DVec3,
    /// How far the seat carries the axis: from the axis to the tangent lines or the face, m.
    pub radius: f64,
    /// Sides of the box round it, lying on its flank as it is printed: a, w, b, m.
    pub size: DVec3,
    /// Volume, m³.
    pub volume: f64,
    /// What was left off, in words.
    pub notes: Vec<String>,
    /// The surface, in its own axes, m. Printed with b upward.
    #[serde(skip)]
    pub mesh: Mesh,
}

/// Makes one saddle.
///
/// # Errors
///
/// Why there is none, in one sentence without a full stop.
pub fn make(shape: &Shape, ask: &SaddleAsk, print: &Jig) -> Result<Saddle, String> {
    sound(print)?;
    let index = shape.find(&ask.held).ok_or_else(|| format!("there is no tube {}", ask.held))?;
    let tube = &shape.tubes[index];
    let block = place::place(shape, index, ask, print)?;
    let mut notes = block.notes.clone();
    let mut cutters = vec![block.channel.clone()];
    cutters.extend(block.host.clone());
    let slots = block.slots(print);
    if slots.len() < print.ties {
        notes.push(format!("{} of {} tie slots left out: no room", print.ties - slots.len(), print.ties));
    }
    let text = digits::engrave(&block, &slots, index + 1, print);
    if text.is_empty() {
        notes.push("no room for its number: write it on".to_owned());
    }
    cutters.extend(slots.into_iter().map(|s| s.halves));
    cutters.extend(text);
    let mesh = carve(&block.halves(), &cutters)?;
    let (lo, hi) = mesh.bounds();
    let size = hi - lo;
    let over =
        if (size.x <= print.bed[0] && size.y <= print.bed[1]) || (size.x <= print.bed[1] && size.y <= print.bed[0]) {
            size.z > print.bed[2]
        } else {
            true
        };
    if over {
        let mm = (size * 1e3).ceil();
        return Err(format!("it is {} x {} mm lying down and {} high, more than the printer's bed", mm.x, mm.y, mm.z));
    }
    Ok(Saddle {
        number: index + 1,
        held: tube.name.clone(),
        host: match &ask.host {
            Host::Tube(n) => n.clone(),
            Host::Flat { .. } => "flat".to_owned(),
        },
        end: match ask.at {
            Where::Joint(e) => Some(e),
            Where::Station(_) => None,
        },
        seat: block.seat,
        origin: block.origin,
        axes: block.axes,
        axis: block.axis,
        support: block.support,
        radius: block.radius,
        size,
        volume: mesh.volume(),
        notes,
        mesh,
    })
}

fn sound(p: &Jig) -> Result<(), String> {
    let positive = [p.wall, p.length, p.clear, p.grip, p.tie[0], p.tie[1], p.engrave];
    if positive.iter().any(|v| !(v.is_finite() && *v > 0.0)) || !(p.clearance.is_finite() && p.clearance >= 0.0) {
        return Err("its dimensions must be more than nothing".to_owned());
    }
    if !(p.wrap > 1.0 && p.wrap < std::f64::consts::PI) {
        return Err("it must wrap the tube by more than 57 and less than 180 degrees".to_owned());
    }
    if p.clearance > p.wall || p.clear <= 2.0 * p.clearance {
        return Err("its clearance is more than its wall or its distance from the weld allow".to_owned());
    }
    Ok(())
}

/// All that the design asks for, and why some are not to be had.
pub fn all(shape: &Shape) -> (Vec<Saddle>, Vec<Finding>) {
    let print = &shape.design.jig;
    let asked = wish::asked(shape);
    // What nobody asked for is no more than a note.
    let level = if asked.is_some() { Level::Look } else { Level::Note };
    let (asks, mut findings) = asked.unwrap_or_else(|| (wish::everywhere(shape), Vec::new()));
    let mut out = Vec::new();
    for ask in &asks {
        match make(shape, ask, print) {
            Ok(s) => out.push(s),
            Err(why) => {
                let place = match ask.at {
                    Where::Joint(e) => format!("at its {}", e.word()),
                    Where::Station(_) => "along it".to_owned(),
                };
                let what = format!("no saddle for {} {place}: {why}", ask.held);
                findings.push(Finding::new(level, "jigs", what).tubes([ask.held.clone()]));
            }
        }
    }
    (out, findings)
}

/// The half-spaces of a prism along b from a convex polygon in (a, w), anticlockwise.
pub(crate) fn prism(polygon: &[geometry::DVec2], low: f64, high: f64) -> Vec<Half> {
    let mut out = vec![Half { n: DVec3::Z, d: high }, Half { n: DVec3::NEG_Z, d: -low }];
    for (p, q) in geometry::polygon::edges(polygon) {
        let n = -(q - p).perp().normalize_or_zero();
        out.push(Half { n: n.extend(0.0), d: n.dot(p) });
    }
    out
}
