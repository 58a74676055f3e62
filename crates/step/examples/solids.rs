//! Writes the frame and each piece of designs as exchange files, for `reference/step.py`: `solids FOLDER DESIGN...`
//! makes `FOLDER/DESIGN/frame.step` and one file a piece beside it. Prints a line for each solid: design, piece, its
//! volume by the program (m³, `-` for a plate), how far its edges may be off (m), or why there is none.

use std::path::Path;
use std::sync::Arc;
use std::time::Instant;

use cutting::Detail;

fn main() -> Result<(), String> {
    let mut args = std::env::args().skip(1);
    let folder = args.next().ok_or("which folder?")?;
    for path in args {
        one(Path::new(&folder), &path)?;
    }
    Ok(())
}

fn one(folder: &Path, path: &str) -> Result<(), String> {
    let text = std::fs::read_to_string(path).map_err(|e| e.to_string())?;
    let reading = design::read(&text).map_err(|p| design::render(&p, path, &text))?;
    let shape = shape::resolve(Arc::new(reading.design)).map_err(|p| design::render(&p, path, &text))?;
    let cutting = cutting::cut(&shape, Detail::SHEET);
    let stem = Path::new(path).file_stem().ok_or("no name")?.to_string_lossy().into_owned();
    let folder = folder.join(&stem);
    std::fs::create_dir_all(&folder).map_err(|e| e.to_string())?;
    let clock = Instant::now();
    let solids = step::all(&shape, &cutting);
    let spent = clock.elapsed().as_secs_f64();
    let write = |name: &str, text: String| std::fs::write(folder.join(name), text).map_err(|e| e.to_string());
    write("frame.step", step::frame(&shape, &solids))?;
    for s in &solids {
        let volume = cutting.pieces.iter().find(|p| p.name == s.name).map(|p| format!("{:e}", p.volume));
        let volume = volume.unwrap_or_else(|| "-".to_owned());
        match &s.body {
            Err(why) => println!("{stem}\t{}\t{volume}\t\t{why}", s.name),
            Ok(_) => println!("{stem}\t{}\t{volume}\t{:e}\t", s.name, s.off),
        }
    }
    for (s, text) in solids.iter().zip(step::each(&solids)) {
        if let Some(text) = text {
            write(&format!("{}.step", s.name), text)?;
        }
    }
    eprintln!("{stem}: {} solids in {spent:.3} s, {:.3} s with files", solids.len(), clock.elapsed().as_secs_f64());
    Ok(())
}
