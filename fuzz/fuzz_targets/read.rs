//! Any text is either a design or a list of problems that can be printed; never a panic.
#![no_main]

libfuzzer_sys::fuzz_target!(|text: &str| {
    match design::read(text) {
        Ok(reading) => drop(design::render(&reading.notes, "fuzz.toml", text)),
        Err(problems) => {
            assert!(!problems.is_empty());
            drop(design::render(&problems, "fuzz.toml", text));
        }
    }
});
