//! The frame as binary glTF 2.0: one named node per piece or plate, metres, y up as the format has it. Its materials are
//! named after section and steel.

use geometry::DVec3;
use serde_json::{Value, json};

use super::mesh::Body;

/// The frame's x forward, y left, z up to the format's y up, z forward, x left.
fn turned(p: DVec3) -> [f32; 3] {
    [p.y as f32, p.z as f32, p.x as f32]
}

/// The nth colour: calm, and unlike those before it however many there are, since hues that step by the golden angle
/// keep apart. Linear, as the format has it.
fn colour(nth: usize) -> [f64; 3] {
    // Degrees: steel blue first.
    const FIRST: f64 = 210.0;
    const GOLDEN: f64 = 137.507_764_050_037_85;
    const GREY: f64 = 0.30;
    const STRENGTH: f64 = 0.13;
    let hue = (FIRST + GOLDEN * nth as f64).to_radians();
    [0.0, 1.0, 2.0].map(|k: f64| {
        let v = GREY + STRENGTH * (hue - k * std::f64::consts::TAU / 3.0).cos();
        (v * 1e3).round() / 1e3
    })
}

/// Writes the bodies.
pub fn write(bodies: &[Body]) -> Result<Vec<u8>, String> {
    let mut bin: Vec<u8> = Vec::new();
    let mut groups: Vec<&str> = Vec::new();
    let (mut views, mut accessors, mut meshes, mut nodes) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for b in bodies {
        let material = groups.iter().position(|g| *g == b.group).unwrap_or_else(|| {
            groups.push(&b.group);
            groups.len() - 1
        });
        let start = bin.len();
        let (mut lo, mut hi) = ([f32::INFINITY; 3], [f32::NEG_INFINITY; 3]);
        for p in &b.points {
            let v = turned(*p);
            for k in 0..3 {
                lo[k] = lo[k].min(v[k]);
                hi[k] = hi[k].max(v[k]);
                bin.extend(v[k].to_le_bytes());
            }
        }
        views.push(json!({ "buffer": 0, "byteOffset": start, "byteLength": bin.len() - start, "target": 34962 }));
        accessors.push(json!({
            "bufferView": views.len() - 1, "componentType": 5126, "count": b.points.len(), "type": "VEC3",
            "min": lo, "max": hi,
        }));
        let start = bin.len();
        for i in b.triangles.iter().flatten() {
            bin.extend(i.to_le_bytes());
        }
        views.push(json!({ "buffer": 0, "byteOffset": start, "byteLength": bin.len() - start, "target": 34963 }));
        accessors.push(json!({
            "bufferView": views.len() - 1, "componentType": 5125, "count": b.triangles.len() * 3, "type": "SCALAR",
        }));
        meshes.push(json!({
            "name": b.name,
            "primitives": [{
                "attributes": { "POSITION": accessors.len() - 2 }, "indices": accessors.len() - 1,
                "material": material,
            }],
        }));
        nodes.push(json!({ "name": b.name, "mesh": meshes.len() - 1 }));
    }
    let materials: Vec<Value> = groups
        .iter()
        .enumerate()
        .map(|(k, name)| {
            let [r, g, b] = colour(k);
            json!({
                "name": name,
                "pbrMetallicRoughness": { "baseColorFactor": [r, g, b, 1.0], "metallicFactor": 0.2, "roughnessFactor": 0.6 },
            })
        })
        .collect();
    let mut doc = json!({ "asset": { "version": "2.0", "generator": "tubewright" }, "scene": 0 });
    // The format allows no empty lists: a frame without pieces is an empty scene.
    if bodies.is_empty() {
        doc["scenes"] = json!([{ "name": "frame" }]);
    } else {
        let scene: Vec<usize> = (0..nodes.len()).collect();
        doc["scenes"] = json!([{ "name": "frame", "nodes": scene }]);
        let lists = [
            ("nodes", nodes),
            ("meshes", meshes),
            ("materials", materials),
            ("accessors", accessors),
            ("bufferViews", views),
        ];
        for (key, list) in lists {
            doc[key] = Value::Array(list);
        }
        doc["buffers"] = json!([{ "byteLength": bin.len() }]);
    }
    let mut text = serde_json::to_vec(&doc).map_err(|e| format!("the glTF can't be written: {e}"))?;
    text.resize(text.len().next_multiple_of(4), b' ');
    bin.resize(bin.len().next_multiple_of(4), 0);
    let mut chunks = vec![(b"JSON", &text)];
    if !bin.is_empty() {
        chunks.push((b"BIN\0", &bin));
    }
    let total = 12 + chunks.iter().map(|c| 8 + c.1.len()).sum::<usize>();
    let total = u32::try_from(total).map_err(|_| {
        "frame.glb would be larger than the 4 GiB that the format holds: split the design into several".to_owned()
    })?;
    let mut out = Vec::with_capacity(total as usize);
    out.extend(b"glTF");
    out.extend(2u32.to_le_bytes());
    out.extend(total.to_le_bytes());
    for (kind, chunk) in chunks {
        out.extend((chunk.len() as u32).to_le_bytes());
        out.extend(kind);
        out.extend(chunk);
    }
    Ok(out)
}
