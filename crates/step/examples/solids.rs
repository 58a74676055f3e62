//! Writes the frame and each piece of a design as exchange files: `solids FILE FOLDER`. Prints what is not exact.

use std::sync::Arc;
use std::time::Instant;

use cutting::Detail;

fn main() -> Result<(), String> {
    let mut args = std::env::args().skip(1);
    let (path, folder) = (args.next().ok_or("which design?")?, args.next().ok_or("which folder?")?);
    let text = std::fs::read_to_string(&path).map_err(|e| e.to_string())?;
    let reading = design::read(&text).map_err(|p| design::render(&p, &path, &text))?;
    let shape = shape::resolve(Arc::new(reading.design)).map_err(|p| design::render(&p, &path, &text))?;
    let cutting = cutting::cut(&shape, Detail::SHEET);
    let clock = Instant::now();
    let solids = step::all(&shape, &cutting);
    let spent = clock.elapsed().as_secs_f64();
    let write = |name: &str, text: String| std::fs::write(format!("{folder}/{name}"), text).map_err(|e| e.to_string());
    write("frame.step", step::frame(&shape, &solids))?;
    for s in &solids {
        match &s.body {
            Err(why) => println!("{}: {why}", s.name),
            Ok(_) if s.off > step::EDGE => println!("{}: off by {:.1e} m", s.name, s.off),
            Ok(_) => {}
        }
        if let Some(text) = step::alone(s) {
            write(&format!("{}.step", s.name), text)?;
        }
    }
    let whole = clock.elapsed().as_secs_f64();
    println!("{} solids in {spent:.3} s, {whole:.3} s with their files", solids.len());
    Ok(())
}
