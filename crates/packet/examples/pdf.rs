//! Writes the PDF of a design, for looking at: `cargo run --release -p packet --example pdf -- DESIGN OUT`.

use std::sync::Arc;

fn main() -> Result<(), String> {
    let args: Vec<String> = std::env::args().collect();
    let [_, design, out] = args.as_slice() else { return Err("give a design file and a file to write".into()) };
    let text = std::fs::read_to_string(design).map_err(|e| e.to_string())?;
    let reading = design::read(&text).map_err(|p| design::render(&p, design, &text))?;
    let review = review::review(Arc::new(reading.design), cutting::Detail::SHEET)
        .map_err(|p| design::render(&p, design, &text))?;
    let id = packet::sheet::Identity {
        file: design.clone(),
        hash: "0".repeat(64),
        skins: Vec::new(),
        date: "2026-01-01".into(),
        version: env!("CARGO_PKG_VERSION").into(),
    };
    let bytes = packet::sheet::pdf(&review, &id)?;
    std::fs::write(out, bytes).map_err(|e| e.to_string())
}
