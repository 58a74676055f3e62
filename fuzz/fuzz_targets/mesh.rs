//! Any bytes give a mesh whose corners are there and finite, or a sentence; never a panic.
#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    match mesh::read(bytes) {
        Ok(m) => {
            for t in &m.triangles {
                assert!(t.iter().all(|&i| m.vertices[i as usize].is_finite()));
            }
            std::hint::black_box(m.edges());
        }
        Err(e) => assert!(!e.0.is_empty()),
    }
});
