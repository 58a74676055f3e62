//! Any design that reads gives answers or problems; never a panic, never a number that is none.
#![no_main]

use std::sync::Arc;

libfuzzer_sys::fuzz_target!(|text: &str| {
    let Ok(reading) = design::read(text) else { return };
    // Thousands of tubes only make the fuzzer slow.
    if reading.design.tubes.len() > 60 {
        return;
    }
    match review::review(Arc::new(reading.design), cutting::Detail::LIVE) {
        Err(problems) => drop(design::render(&problems, "fuzz.toml", text)),
        Ok(r) => {
            for p in &r.cutting.pieces {
                let l = &p.lengths;
                for v in [l.over_long, l.over_short, l.blank, l.between_centres, l.on_scribe, p.mass] {
                    assert!(v.is_finite(), "{}: {l:?}", p.name);
                }
            }
            drop(review::summary(&r));
        }
    }
});
