//! The frame as one binary STL, in millimetres as slicers expect.

use glam::DVec3;

use super::mesh::Body;
use crate::File;

/// Writes the bodies.
pub fn write(bodies: &[Body]) -> Vec<u8> {
    let parts: Vec<Part<'_>> = bodies.iter().map(|b| (&b.points[..], &b.triangles[..])).collect();
    binary(b"tubewright frame, millimetres, x forward, y left, z up", &parts)
}

/// Every saddle as a file of its own, in its own axes: it prints lying as it is.
pub fn saddles(a: &jigs::Answer) -> Vec<File> {
    let names: Vec<String> = a
        .saddles
        .iter()
        .map(|s| match s.end {
            Some(end) => format!("{:03}-{}-{}-on-{}", s.number, s.held, end.word(), s.host),
            None => format!("{:03}-{}-on-{}", s.number, s.held, s.host),
        })
        .collect();
    let stems = super::stems(names.iter().map(String::as_str));
    let file = |(s, stem): (&jigs::Saddle, String)| {
        let bytes = binary(b"tubewright saddle, millimetres", &[(&s.mesh.points[..], &s.mesh.triangles[..])]);
        File { path: format!("{stem}.stl"), bytes }
    };
    a.saddles.iter().zip(stems).map(file).collect()
}

/// Points in m, and triangles of them.
type Part<'a> = (&'a [DVec3], &'a [[u32; 3]]);

fn binary(words: &[u8], parts: &[Part<'_>]) -> Vec<u8> {
    let count: usize = parts.iter().map(|b| b.1.len()).sum();
    let mut out = Vec::with_capacity(84 + 50 * count);
    let mut head = [b' '; 80];
    head[..words.len()].copy_from_slice(words);
    out.extend(head);
    out.extend((count as u32).to_le_bytes());
    for (points, triangles) in parts {
        for t in *triangles {
            let [p, q, r] = t.map(|i| points[i as usize] * 1e3);
            let n = (q - p).cross(r - p).normalize_or_zero();
            for v in [n, p, q, r] {
                for c in v.to_array() {
                    out.extend((c as f32).to_le_bytes());
                }
            }
            out.extend([0, 0]);
        }
    }
    out
}
