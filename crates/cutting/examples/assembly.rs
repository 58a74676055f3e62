//! Prints whether each piece of a design goes in: `assembly FILE`.

use std::sync::Arc;
use std::time::Instant;

use cutting::{Detail, assembly};

fn main() -> Result<(), String> {
    let path = std::env::args().nth(1).ok_or("which design?")?;
    let text = std::fs::read_to_string(&path).map_err(|e| e.to_string())?;
    let reading = design::read(&text).map_err(|p| design::render(&p, &path, &text))?;
    let shape = shape::resolve(Arc::new(reading.design)).map_err(|p| design::render(&p, &path, &text))?;
    let cutting = cutting::cut(&shape, Detail::SHEET);
    let start = Instant::now();
    let list = assembly::insertions(&shape, &cutting);
    let spent = start.elapsed().as_secs_f64();
    for i in &list {
        match &i.way {
            Some(w) => print!("{:>3} {:<22} {} (margin {:.0}°)", i.turn, i.piece, w.words, w.margin.to_degrees()),
            None => print!("{:>3} {:<22} NO: {:?}; {:?}", i.turn, i.piece, i.blocked_by, i.remedies),
        }
        println!("{}", if i.overlaps.is_empty() { String::new() } else { format!(" overlaps {:?}", i.overlaps) });
    }
    println!(
        "{} pieces in {spent:.2} s, {} of them in two moves, {} do not go in as cut, {} of these with play",
        list.len(),
        list.iter().filter(|i| i.way.as_ref().is_some_and(|w| w.last.is_some())).count(),
        list.iter().filter(|i| i.way.is_none()).count(),
        list.iter().filter(|i| matches!(i.remedies.first(), Some(assembly::Remedy::Play { .. }))).count()
    );
    Ok(())
}
