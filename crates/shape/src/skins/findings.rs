//! What there is to say about skins and their files.

use mesh::Dropped;

use super::Near;
use crate::Shape;
use crate::finding::{Finding, Level, Value};

/// Findings about the skins and about their files.
pub fn findings(shape: &Shape, distances: &[Near]) -> Vec<Finding> {
    let mut out = files(shape);
    let span = |skin: &str| shape.skins.list.iter().find(|s| s.name == skin).map(|s| &shape.design.skins[s.id].span);
    for n in distances.iter().filter(|n| n.too_near()) {
        let what = match (n.distance < 0.0, n.crosses) {
            (true, true) => format!("{} comes through {}, its middle too", n.tube, n.skin),
            (true, false) => format!("{} comes through {}", n.tube, n.skin),
            (false, _) => format!("{} comes nearer to {} than its gap", n.tube, n.skin),
        };
        let mut f = Finding::new(Level::Mend, "shape", what)
            .tubes([n.tube.clone()])
            .at(n.at)
            .measured(Value::Length(n.distance))
            .limit(Value::Length(n.gap), format!("skin.{}.gap", n.skin.trim_end_matches('~')))
            .help(advice(shape, n));
        if let Some(span) = span(&n.skin) {
            f = f.span(span);
        }
        out.push(f);
    }
    out
}

/// What would clear it, in the design's units.
fn advice(shape: &Shape, n: &Near) -> String {
    let show = |m: f64| design::units::show(m, design::units::Quantity::Length, shape.design.units);
    let Some(d) = n.shift else {
        return "move the tube or the skin: no straight move of the tube alone clears it".into();
    };
    // To a tenth of a millimetre, upward, so that the rounded move clears too.
    let up = |m: f64| (m * 1e4).ceil() / 1e4;
    let length = up(d.length());
    let words = [("forward", "backward"), ("left", "right"), ("up", "down")];
    let parts: Vec<String> = (0..3)
        .filter(|&k| d[k].abs() > 0.05 * length)
        .map(|k| format!("{} {}", show(up(d[k].abs())), if d[k] > 0.0 { words[k].0 } else { words[k].1 }))
        .collect();
    format!("it would clear {} if moved by {}: {}", n.skin, show(length), parts.join(", "))
}

fn files(shape: &Shape) -> Vec<Finding> {
    let skins = &shape.design.skins;
    let mut out = Vec::new();
    if !shape.skins.given {
        out.extend(skins.iter().map(|s| {
            Finding::new(
                Level::NotChecked,
                "shape",
                format!("skin {} was not looked at: its file was not loaded", s.name),
            )
            .span(&s.span)
        }));
        return out;
    }
    for m in &shape.skins.missing {
        let s = &skins[m.id];
        out.push(
            Finding::new(Level::Mend, "shape", format!("skin {} can't be used: {}: {}", s.name, s.file, m.why))
                .help("mend the file or its name; nothing was held against this skin")
                .span(&s.span),
        );
    }
    for s in shape.skins.list.iter().filter(|s| !s.twin) {
        let span = &skins[s.id].span;
        let d = s.dropped;
        if d != Dropped::default() {
            let what = format!(
                "{} triangles in the file of skin {} were left out: {} with coordinates that are no numbers, {} without area",
                d.not_numbers + d.without_area,
                s.name,
                d.not_numbers,
                d.without_area
            );
            let level = if d.not_numbers > 0 { Level::Look } else { Level::Note };
            out.push(
                Finding::new(level, "shape", what).measured(Value::Count(d.not_numbers + d.without_area)).span(span),
            );
        }
        let e = s.edges;
        let told = [
            (e.open, "open"),
            (e.crowded, "shared by three triangles or more"),
            (e.turned, "between triangles that face opposite ways"),
        ];
        let told: Vec<String> = told.iter().filter(|t| t.0 > 0).map(|t| format!("{} {}", t.0, t.1)).collect();
        if !told.is_empty() {
            let what = format!(
                "the mesh of skin {} has edges that are not between two triangles of one side: {}",
                s.name,
                told.join(", ")
            );
            let f = Finding::new(Level::Note, "shape", what).help("a sheet has a rim; distances need no closed mesh");
            out.push(f.span(span));
        }
    }
    out
}
