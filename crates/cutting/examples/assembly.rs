//! Prints whether each piece of a design goes in: `assembly FILE`; with `--json` its bodies and ways too, for
//! `reference/insertion.py`.

use std::sync::Arc;
use std::time::Instant;

use cutting::{Cutting, Detail, assembly};
use geometry::Segment;
use serde_json::{Value, json};
use shape::Shape;

fn body(shape: &Shape, cutting: &Cutting, i: &assembly::Insertion) -> Option<Value> {
    let p = cutting.pieces.iter().find(|p| p.name == i.piece)?;
    let t = &shape.tubes[p.tube];
    let segments: Vec<Value> = t
        .chain
        .segments
        .iter()
        .zip(&t.frames)
        .map(|(s, f)| match *s {
            Segment::Leg { from, along, length } => {
                json!({ "from": from, "along": along, "length": length, "u": f.u, "v": f.v })
            }
            Segment::Arc { centre, axis, start, radius, sweep } => {
                json!({ "centre": centre, "axis": axis, "start": start, "radius": radius, "sweep": sweep })
            }
        })
        .collect();
    let reach = |e: &cutting::EndCut| e.profile.fibres.iter().map(|f| [f.round, f.outer, f.inner]).collect::<Vec<_>>();
    Some(json!({
        "name": p.name, "size": p.size, "segments": segments, "ends": p.ends.each_ref().map(reach),
        "way": i.way, "overlaps": i.overlaps, "remedies": i.remedies,
    }))
}

fn main() -> Result<(), String> {
    let path = std::env::args().nth(1).ok_or("which design?")?;
    let text = std::fs::read_to_string(&path).map_err(|e| e.to_string())?;
    let reading = design::read(&text).map_err(|p| design::render(&p, &path, &text))?;
    let shape = shape::resolve(Arc::new(reading.design)).map_err(|p| design::render(&p, &path, &text))?;
    let cutting = cutting::cut(&shape, Detail::SHEET);
    let start = Instant::now();
    let list = assembly::insertions(&shape, &cutting);
    let spent = start.elapsed().as_secs_f64();
    if std::env::args().nth(2).as_deref() == Some("--json") {
        let all: Vec<Value> = list.iter().filter_map(|i| body(&shape, &cutting, i)).collect();
        println!("{}", serde_json::to_string(&all).map_err(|e| e.to_string())?);
        return Ok(());
    }
    for i in &list {
        match &i.way {
            Some(w) => print!("{:>3} {:<22} {w:?}", i.turn, i.piece),
            None => print!("{:>3} {:<22} NO: {:?}; {:?}", i.turn, i.piece, i.blocked_by, i.remedies),
        }
        println!("{}", if i.overlaps.is_empty() { String::new() } else { format!(" overlaps {:?}", i.overlaps) });
    }
    let last = |f: fn(&assembly::Last) -> bool| {
        list.iter().filter(|i| i.way.as_ref().and_then(|w| w.last.as_ref()).is_some_and(f)).count()
    };
    println!(
        "{} pieces in {spent:.2} s, {} of them in two moves, {} by a swing, {} do not go in as cut, {} of these with play",
        list.len(),
        last(|l| matches!(l, assembly::Last::Slide { .. })),
        last(|l| matches!(l, assembly::Last::Swing { .. })),
        list.iter().filter(|i| i.way.is_none()).count(),
        list.iter().filter(|i| matches!(i.remedies.first(), Some(assembly::Remedy::Play { .. }))).count()
    );
    Ok(())
}
