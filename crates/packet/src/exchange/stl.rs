//! The frame as one binary STL, in millimetres as slicers expect.

use super::mesh::Body;

/// Writes the bodies.
pub fn write(bodies: &[Body]) -> Vec<u8> {
    let count: usize = bodies.iter().map(|b| b.triangles.len()).sum();
    let mut out = Vec::with_capacity(84 + 50 * count);
    let mut head = [b' '; 80];
    let words = b"tubewright frame, millimetres, x forward, y left, z up";
    head[..words.len()].copy_from_slice(words);
    out.extend(head);
    out.extend((count as u32).to_le_bytes());
    for b in bodies {
        for t in &b.triangles {
            let [p, q, r] = t.map(|i| b.points[i as usize] * 1e3);
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
