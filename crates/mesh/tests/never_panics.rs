//! Any bytes give a mesh or a sentence; never a panic, never an index that points nowhere.

mod common;

use proptest::prelude::*;

fn look(bytes: &[u8]) {
    match mesh::read(bytes) {
        Ok(m) => {
            let n = m.vertices.len();
            assert!(!m.triangles.is_empty());
            for t in &m.triangles {
                assert!(t.iter().all(|&i| (i as usize) < n && m.vertices[i as usize].is_finite()));
            }
            assert_eq!(m.parts.iter().map(|p| p.range.len()).sum::<usize>(), m.triangles.len());
            let e = m.edges();
            assert!(e.open + 2 * (e.turned + e.crowded) <= 3 * m.triangles.len());
        }
        Err(e) => assert!(!e.0.is_empty() && e.0.len() < 400, "{e}"),
    }
}

/// A file cut short anywhere is refused or gives what came before; a GLB or binary STL is always refused.
#[test]
fn files_cut_short() {
    for (what, bytes) in common::all() {
        for n in 0..bytes.len() {
            look(&bytes[..n]);
            if ["GLB", "binary STL", "glTF"].contains(&what) {
                assert!(mesh::read(&bytes[..n]).is_err(), "{what} cut to {n}");
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn random_bytes(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        look(&bytes);
    }

    #[test]
    fn files_with_bytes_changed(which in 0usize..5, at in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6)) {
        let mut bytes = common::all()[which].1.clone();
        for (i, b) in at {
            let n = bytes.len();
            bytes[i.index(n)] = b;
        }
        look(&bytes);
    }

    #[test]
    fn words_in_any_order(words in prop::collection::vec(prop::sample::select(vec![
        "v", "f", "g", "o", "solid", "facet", "vertex", "endfacet", "endsolid", "\n", "\n", "1", "-1", "2", "3", "1e308", "nan", "inf", "x", "1/2/3",
    ]), 0..60)) {
        look(words.join(" ").as_bytes());
    }
}
