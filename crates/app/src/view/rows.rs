//! Points, tubes and sections by name.

use design::units::{Quantity, show};
use design::{Along, Datum, Design, Placement, SectionShape, TubeRef, TubeState, twin_name};
use geometry::{Chain, DVec3, Segment};
use review::{Review, Text};
use shape::Tube;

use crate::wire::{AlongBy, PointRow, SectionRow, TubeRow};

fn tube_name(d: &Design, t: &TubeRef) -> String {
    twin_name(&d.tubes[t.id.0].name, t.twin)
}

/// Names of the points of a tube's path.
fn path(d: &Design, t: &Tube) -> Vec<String> {
    d.tubes[t.id.0].path.iter().map(|p| twin_name(&d.points[p.id.0].name, p.twin != t.twin)).collect()
}

/// Every point, and the mirror image of each that is not in the middle.
pub fn points(r: &Review) -> Vec<PointRow> {
    let d = &r.shape.design;
    let paths: Vec<(&str, Vec<String>)> = r.shape.tubes.iter().map(|t| (t.name.as_str(), path(d, t))).collect();
    let through = |name: &str| -> Vec<String> {
        paths.iter().filter(|p| p.1.iter().any(|n| n == name)).map(|p| p.0.to_owned()).collect()
    };
    let mut out = Vec::new();
    for (p, at) in d.points.iter().zip(r.shape.places.own()) {
        let placed = match &p.placement {
            Placement::At(_) => "at coordinates".to_owned(),
            Placement::On { tube, along, .. } => {
                let name = tube_name(d, tube);
                let text = |m: f64| show(m, Quantity::Length, d.units);
                match along {
                    Along::Length(m) if *m < 0.0 => format!("on {name}, {} from its end", text(-m)),
                    Along::Length(m) => format!("on {name}, {} from its start", text(*m)),
                    Along::Part(f) => format!("on {name}, {:.1} % of the way along it", 100.0 * f),
                    Along::Plane { axis, value, .. } => {
                        format!("on {name}, where {} is {}", ["x", "y", "z"][*axis], text(*value))
                    }
                }
            }
            Placement::From { point, .. } => {
                format!("at an offset from {}", twin_name(&d.points[point.id.0].name, point.twin))
            }
        };
        // A twin is on the twin of what its original is on; a tube in the middle is its own.
        let on = |twin: bool| match &p.placement {
            Placement::On { tube, .. } => {
                Some(twin_name(&d.tubes[tube.id.0].name, tube.twin != (twin && d.tubes[tube.id.0].mirror)))
            }
            _ => None,
        };
        let along = match &p.placement {
            Placement::On { along, .. } => Some(match along {
                Along::Length(m) if *m < 0.0 => AlongBy::End,
                Along::Length(_) => AlongBy::Start,
                Along::Part(_) => AlongBy::Part,
                Along::Plane { axis: 0, .. } => AlongBy::X,
                Along::Plane { axis: 1, .. } => AlongBy::Y,
                Along::Plane { .. } => AlongBy::Z,
            }),
            _ => None,
        };
        let row = |twin: bool, at: DVec3| {
            let name = twin_name(&p.name, twin);
            PointRow {
                tubes: through(&name),
                name,
                at: at.to_array(),
                placed: placed.clone(),
                free: matches!(p.placement, Placement::At(_)),
                on: on(twin),
                along,
                twin,
            }
        };
        out.push(row(false, *at));
        if at.y != 0.0 {
            out.push(row(true, DVec3::new(at.x, -at.y, at.z)));
        }
    }
    out
}

/// Steps along a bend for the line of a tube, rad.
const STEP: f64 = 0.1;

/// The line of a tube.
pub fn line(t: &Tube) -> Vec<[f64; 3]> {
    chain(&t.chain)
}

/// Places along a chain.
pub fn chain(c: &Chain) -> Vec<[f64; 3]> {
    let mut out = Vec::new();
    for seg in &c.segments {
        let n = if let Segment::Arc { sweep, .. } = seg { (sweep / STEP).ceil().max(1.0) as usize } else { 1 };
        let from = usize::from(!out.is_empty());
        out.extend((from..=n).map(|i| seg.point(seg.length() * i as f64 / n as f64).to_array()));
    }
    out
}

/// Every tube, in fitting order.
pub fn tubes(r: &Review, t: &Text) -> Vec<TubeRow> {
    let d = &r.shape.design;
    let mut pieces = r.cutting.pieces.iter().peekable();
    r.shape
        .tubes
        .iter()
        .enumerate()
        .map(|(i, tube)| {
            let spec = &d.tubes[tube.id.0];
            let piece = pieces.next_if(|p| p.tube == i);
            let density = d.materials[d.sections[tube.section.0].material.0].density;
            let mass = (tube.outline.area() - tube.bore.area()) * tube.chain.length() * density;
            TubeRow {
                name: tube.name.clone(),
                number: i as u32 + 1,
                section: d.sections[tube.section.0].name.clone(),
                path: path(d, tube),
                bend_radius: spec.bend_radii.clone(),
                roll: matches!(d.sections[tube.section.0].shape, SectionShape::Box { .. }).then_some(spec.roll),
                state: match tube.state {
                    TubeState::Permanent => "permanent",
                    TubeState::Provisional => "provisional",
                    TubeState::Temporary => "temporary",
                }
                .to_owned(),
                mirrored: spec.mirror,
                twin: tube.twin,
                length: t.length_unit(piece.map_or(tube.chain.length(), |p| p.lengths.over_long)),
                mass: t.mass(piece.map_or(mass, |p| p.mass)),
                line: line(tube),
            }
        })
        .collect()
}

/// Every section.
pub fn sections(r: &Review, t: &Text) -> Vec<SectionRow> {
    let d = &r.shape.design;
    d.sections
        .iter()
        .map(|s| {
            let m = |x: f64| t.fine_number(x);
            let size = match s.shape {
                SectionShape::Round { od, wall } => format!("round {} × {}", m(od), m(wall)),
                SectionShape::Box { width, height, wall, .. } => {
                    format!("box {} × {} × {}", m(width), m(height), m(wall))
                }
            };
            SectionRow {
                name: s.name.clone(),
                words: format!("{size} {}, {}", t.unit(), d.materials[s.material.0].name),
            }
        })
        .collect()
}

/// What heights are measured from.
pub fn datum(d: &Design) -> String {
    match &d.datum {
        Datum::Z(z) => format!("z = {}", show(*z, Quantity::Length, d.units)),
        Datum::Under(t) => format!("under {}", tube_name(d, t)),
        Datum::Over(t) => format!("over {}", tube_name(d, t)),
    }
}
