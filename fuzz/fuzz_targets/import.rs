//! Any bytes give a drawing or a sentence; any drawing a design file that can be read, or a sentence; never a panic.
#![no_main]

use draft::{Options, draft, table};

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let Some((kind, rest)) = bytes.split_first() else { return };
    let drawing = match kind % 3 {
        0 => drawing::dxf::read(rest).ok(),
        1 => drawing::obj::read(rest).ok(),
        _ => std::str::from_utf8(rest).ok().and_then(|t| table::read(&[t]).ok()),
    };
    let Some(drawing) = drawing else { return };
    let mut options = Options::new("fuzz", "fuzz");
    options.as_drawn = kind & 8 != 0;
    options.one_by_one = kind & 16 != 0;
    if kind & 32 != 0 {
        options.radii = drawing.drawn.iter().take(1).map(|d| (d.layer.clone(), 0.1)).collect();
    }
    match draft(&drawing, &options) {
        Ok(out) => {
            if let Err(problems) = design::read(&out.text) {
                panic!("{}\n{}", design::render(&problems, "fuzz.toml", &out.text), out.text);
            }
        }
        Err(words) => assert!(!words.is_empty()),
    }
});
