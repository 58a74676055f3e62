//! Pushes a load of a design past yielding and prints the path, and the model cut finer for another program, as JSON for
//! `reference/collapse.py`: `push FILE LOAD TRAVEL_MM [ANGLE_DEG [PARTS [END]]]`,
//! with other cuts than the program's own.

use std::ops::ControlFlow;
use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

use design::SectionShape;
use frame::collapse::{Settings, collapse};
use geometry::Segment;
use serde_json::{Value, json};
use strength::{Cuts, Push};

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let [_, file, load, way, more @ ..] = arguments.as_slice() else { panic!("push FILE LOAD TRAVEL_MM") };
    let number = |i: usize| more.get(i).map(|x| x.parse::<f64>().expect("a number"));
    let base = Cuts::default();
    let ours = Cuts {
        angle: number(0).map_or(base.angle, f64::to_radians),
        parts: number(1).map_or(base.parts, |x| x as usize),
        end: number(2).unwrap_or(base.end),
    };
    let travel = way.parse::<f64>().expect("a number of millimetres") / 1e3;
    let text = std::fs::read_to_string(Path::new(file)).expect("a file");
    let design = design::read(&text).expect("a valid design").design;
    let shape = shape::resolve(Arc::new(design)).expect("a shape");
    let push = Push::of(&shape, load, ours).expect("a load that can be worked out");
    let start = Instant::now();
    // To this travel with the steps of the whole way.
    let settings = Settings { travel, ..push.settings };
    let ours = collapse(push.cut.model.clone(), &push.fibres, &push.holds, &push.loads, &settings, |_, _| {
        ControlFlow::Continue(())
    })
    .expect("a path");
    let seconds = start.elapsed().as_secs_f64();
    let fine = Push::of(&shape, load, Cuts { parts: 1, angle: 7.5_f64.to_radians(), end: 0.0 }).expect("as before");
    let m = &fine.cut.model;
    let sections: Vec<Value> = (0..m.sections.len())
        .map(|i| {
            let s = &m.sections[i];
            // A box lies with its height along u or along v: its corners tell.
            let outline = shape.tubes.iter().find(|t| t.section.0 == i).map(|t| {
                let size = [geometry::DVec2::X, geometry::DVec2::Y].map(|d| 2.0 * t.outline.support(d));
                match shape.design.sections[i].shape {
                    SectionShape::Round { od, wall } => json!({ "round": [od, wall] }),
                    SectionShape::Box { wall, corner, .. } => json!({ "box": [size[0], size[1], wall, corner] }),
                }
            });
            json!({ "E": s.youngs, "G": s.shear, "As": s.shear_areas, "J": s.torsion, "yield": fine.fibres[i].yields,
                "hardening": fine.fibres[i].hardening, "outline": outline })
        })
        .collect();
    let bars: Vec<Value> = m
        .beams
        .iter()
        .map(|b| {
            json!({ "nodes": b.nodes, "section": b.section, "start": b.start().to_array(), "end": b.end().to_array(),
                "u": b.pieces[0].frame.u.to_array(), "bend": matches!(b.pieces[0].segment, Segment::Arc { .. }) })
        })
        .collect();
    let holds: Vec<Value> =
        fine.holds.iter().map(|h| json!({ "node": h.node, "along": h.along.to_array(), "turn": h.turn })).collect();
    assert!(fine.loads.spread.is_empty() && fine.loads.field == geometry::DVec3::ZERO, "loads on places alone");
    let out = json!({
        "nodes": m.nodes.iter().map(|p| p.to_array()).collect::<Vec<_>>(), "sections": sections, "bars": bars,
        "holds": holds, "nodal": fine.loads.nodal, "told": fine.settings.node,
        "along": fine.settings.along.to_array(), "travel": travel, "seconds": seconds, "our_bars": push.cut.model.beams.len(),
        "curve": ours.steps.iter().map(|s| [s.travel, s.factor, s.work]).collect::<Vec<_>>(),
    });
    println!("{out}");
}
