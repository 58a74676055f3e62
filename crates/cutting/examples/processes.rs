//! Prints the ways to cut every end of a design: `processes FILE`.

use std::sync::Arc;
use std::time::Instant;

use cutting::{Detail, ends};

fn main() -> Result<(), String> {
    let path = std::env::args().nth(1).ok_or("which design?")?;
    let text = std::fs::read_to_string(&path).map_err(|e| e.to_string())?;
    let reading = design::read(&text).map_err(|p| design::render(&p, &path, &text))?;
    let shape = shape::resolve(Arc::new(reading.design)).map_err(|p| design::render(&p, &path, &text))?;
    let cutting = cutting::cut(&shape, Detail::SHEET);
    let start = Instant::now();
    let list = ends::processes(&shape, &cutting, Detail::SHEET);
    let spent = start.elapsed().as_secs_f64();
    for e in &list {
        print!("{:<22} {:<5}", e.piece, e.end.word());
        for (k, c) in e.candidates.iter().enumerate() {
            let mark = if e.chosen == Some(k) { "*" } else { " " };
            print!(
                "{mark}{} {:.3} (set {:.3}, from {:.3}, outside {:.3}) ",
                c.process.word(),
                c.gap * 1e3,
                c.as_set * 1e3,
                c.bound * 1e3,
                c.outside * 1e3
            );
        }
        println!();
    }
    let b = ends::batches::batches(&list, &shape.design.limits);
    println!(
        "{} ends in {:.2} s; {} batches, changes {:?}, weight {} of at least {}",
        list.len(),
        spent,
        b.batches.len(),
        b.changes,
        b.cost,
        b.bound
    );
    Ok(())
}
