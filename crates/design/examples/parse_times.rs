//! Times reading a design file beside the bare parse of its text as TOML, and prints both as JSON, for
//! `reference/parse.py`: `parse_times FILE`. Seconds, the middle of many runs, the two taken in turn.

use std::hint::black_box;
use std::time::Instant;

/// Enough for a middle that a busy machine moves little; some tenths of a second in all.
const RUNS: usize = 101;

fn main() -> Result<(), String> {
    let path = std::env::args().nth(1).ok_or("parse_times FILE")?;
    let text = std::fs::read_to_string(&path).map_err(|e| format!("{path}: {e}"))?;
    let (mut read, mut bare) = (Vec::new(), Vec::new());
    for _ in 0..RUNS {
        let start = Instant::now();
        let design = design::read(black_box(&text)).map_err(|p| design::render(&p, &path, &text))?;
        read.push(start.elapsed().as_secs_f64());
        drop(black_box(design));
        let start = Instant::now();
        let table: toml::Table = toml::from_str(black_box(&text)).map_err(|e| e.to_string())?;
        bare.push(start.elapsed().as_secs_f64());
        drop(black_box(table));
    }
    let middle = |v: &mut Vec<f64>| {
        v.sort_by(f64::total_cmp);
        v[v.len() / 2]
    };
    println!("{}", serde_json::json!({ "read": middle(&mut read), "toml": middle(&mut bare) }));
    Ok(())
}
