//! Prints the weld list of a design: `welds FILE`.

use std::sync::Arc;
use std::time::Instant;

use cutting::Detail;
use cutting::welds::{Settings, tacks, welds};

fn main() -> Result<(), String> {
    let path = std::env::args().nth(1).ok_or("which design?")?;
    let text = std::fs::read_to_string(&path).map_err(|e| e.to_string())?;
    let reading = design::read(&text).map_err(|p| design::render(&p, &path, &text))?;
    let shape = shape::resolve(Arc::new(reading.design)).map_err(|p| design::render(&p, &path, &text))?;
    let cutting = cutting::cut(&shape, Detail::SHEET);
    let start = Instant::now();
    let list = welds(&shape, &cutting, &Settings::default());
    let spent = start.elapsed().as_secs_f64();
    for k in tacks::order(&shape, &cutting, &list) {
        let w = &list[k];
        println!(
            "{:<20} {:<5} to {:<30} {:>6.1} mm (simple {}), {:.0}..{:.0}°, groove/fillet/heel/sharp {:.0}/{:.0}/{:.0}/{:.0} mm, reached {:.0} then {:.0} %{}{}",
            w.piece,
            w.end.word(),
            w.to.join(", "),
            w.length * 1e3,
            w.simple.map_or("-".into(), |s| format!("{:.1}", s * 1e3)),
            w.dihedral[0].to_degrees(),
            w.dihedral[1].to_degrees(),
            w.zones[0] * 1e3,
            w.zones[1] * 1e3,
            w.zones[2] * 1e3,
            w.zones[3] * 1e3,
            100.0 * w.reached_at_fitting,
            100.0 * w.reached_at_last,
            if w.hidden_by.is_empty() { String::new() } else { format!(", hidden by {}", w.hidden_by.join(", ")) },
            if w.flush.is_empty() {
                String::new()
            } else {
                format!(", flush for {}", w.flush.iter().map(|f| f.by.as_str()).collect::<Vec<_>>().join(", "))
            },
        );
    }
    let sum = |f: &dyn Fn(&cutting::welds::Weld) -> f64| list.iter().map(f).sum::<f64>();
    println!(
        "{} welds in {spent:.2} s: {:.2} m, filler {:.2} kg, arc {:.0} min, gas {:.0} l; {} beads in the way of a later tube",
        list.len(),
        sum(&|w| w.length),
        sum(&|w| w.filler),
        sum(&|w| w.time) / 60.0,
        sum(&|w| w.gas) * 1e3,
        list.iter().filter(|w| !w.flush.is_empty()).count()
    );
    Ok(())
}
