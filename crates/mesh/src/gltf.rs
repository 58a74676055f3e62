//! glTF 2.0: `.glb`, or JSON with its buffers inside.

use base64::Engine;
use glam::{DMat4, DQuat, DVec3, Vec3};
use serde::Deserialize;

use crate::{Build, Error, MOST_TRIANGLES, error};

/// Nodes within nodes; deeper ones are taken for a circle.
const DEEPEST: usize = 64;

#[derive(Deserialize)]
#[serde(rename_all = "camelCase")]
struct Document {
    #[serde(default)]
    extensions_required: Vec<String>,
    scene: Option<usize>,
    #[serde(default)]
    scenes: Vec<Scene>,
    #[serde(default)]
    nodes: Vec<Node>,
    #[serde(default)]
    meshes: Vec<MeshOf>,
    #[serde(default)]
    accessors: Vec<Accessor>,
    #[serde(default)]
    buffer_views: Vec<View>,
    #[serde(default)]
    buffers: Vec<Buffer>,
}

#[derive(Deserialize)]
struct Scene {
    #[serde(default)]
    nodes: Vec<usize>,
}

#[derive(Deserialize)]
struct Node {
    name: Option<String>,
    mesh: Option<usize>,
    #[serde(default)]
    children: Vec<usize>,
    matrix: Option<[f64; 16]>,
    translation: Option<[f64; 3]>,
    rotation: Option<[f64; 4]>,
    scale: Option<[f64; 3]>,
}

#[derive(Deserialize)]
struct MeshOf {
    name: Option<String>,
    primitives: Vec<Primitive>,
}

#[derive(Deserialize)]
struct Primitive {
    attributes: std::collections::BTreeMap<String, usize>,
    indices: Option<usize>,
    mode: Option<u32>,
}

#[derive(Deserialize)]
#[serde(rename_all = "camelCase")]
struct Accessor {
    buffer_view: Option<usize>,
    #[serde(default)]
    byte_offset: usize,
    component_type: u32,
    count: usize,
    #[serde(rename = "type")]
    kind: String,
    sparse: Option<serde::de::IgnoredAny>,
}

#[derive(Deserialize)]
#[serde(rename_all = "camelCase")]
struct View {
    buffer: usize,
    #[serde(default)]
    byte_offset: usize,
    byte_length: usize,
    byte_stride: Option<usize>,
}

#[derive(Deserialize)]
#[serde(rename_all = "camelCase")]
struct Buffer {
    uri: Option<String>,
    byte_length: usize,
}

fn word(bytes: &[u8], at: usize) -> Option<usize> {
    bytes.get(at..at + 4).map(|b| u32::from_le_bytes([b[0], b[1], b[2], b[3]]) as usize)
}

/// The binary container: a head of 12 bytes, a JSON chunk, and perhaps a chunk of data.
pub fn binary(bytes: &[u8]) -> Result<Build, Error> {
    let short = || Error("the GLB is cut short".into());
    let version = word(bytes, 4).ok_or_else(short)?;
    if version != 2 {
        return error(format!("the GLB is of version {version}; 2 is read"));
    }
    let length = word(bytes, 8).ok_or_else(short)?;
    let bytes = bytes.get(..length).ok_or_else(short)?;
    let mut chunks = Vec::new();
    let mut at = 12;
    while at < bytes.len() && chunks.len() < 2 {
        let n = word(bytes, at).ok_or_else(short)?;
        let kind = bytes.get(at + 4..at + 8).ok_or_else(short)?;
        let data = at.checked_add(8 + n).and_then(|end| bytes.get(at + 8..end)).ok_or_else(short)?;
        chunks.push((kind, data));
        // Chunks are padded to four bytes.
        at += 8 + n.next_multiple_of(4);
    }
    let Some((b"JSON", json)) = chunks.first().map(|c| (c.0, c.1)) else {
        return error("the GLB does not begin with JSON");
    };
    let data = chunks.get(1).filter(|c| c.0 == b"BIN\0").map(|c| c.1);
    read(json, data)
}

/// JSON with its buffers inside.
pub fn text(bytes: &[u8]) -> Result<Build, Error> {
    read(bytes, None)
}

fn read(json: &[u8], data: Option<&[u8]>) -> Result<Build, Error> {
    let doc: Document = serde_json::from_slice(json).map_err(|e| Error(format!("its glTF JSON can't be read: {e}")))?;
    if let Some(e) = doc.extensions_required.iter().find(|e| !IGNORED.contains(&e.as_str())) {
        let e: String = e.chars().take(60).collect();
        return error(format!("it needs the glTF extension {e}, which is not read; save it without"));
    }
    let buffers = doc.buffers.iter().enumerate().map(|(i, b)| buffer(i, b, data)).collect::<Result<Vec<_>, _>>()?;
    let mut reader = Reader { doc: &doc, buffers, build: Build::default(), nodes: 0 };
    let roots: Vec<usize> = match doc.scenes.get(doc.scene.unwrap_or(0)) {
        Some(s) => s.nodes.clone(),
        None if doc.scene.is_some() => return error("its scene is not in the file"),
        // Without scenes: whatever is nobody's child.
        None => {
            let mut child = vec![false; doc.nodes.len()];
            for &c in doc.nodes.iter().flat_map(|n| &n.children) {
                if let Some(x) = child.get_mut(c) {
                    *x = true;
                }
            }
            (0..doc.nodes.len()).filter(|&i| !child[i]).collect()
        }
    };
    for r in roots {
        reader.node(r, DMat4::IDENTITY, 0)?;
    }
    Ok(reader.build)
}

/// Extensions that change how a thing looks and not where it is.
const IGNORED: [&str; 4] =
    ["KHR_materials_unlit", "KHR_texture_transform", "KHR_materials_emissive_strength", "KHR_lights_punctual"];

fn buffer<'a>(i: usize, b: &Buffer, data: Option<&'a [u8]>) -> Result<std::borrow::Cow<'a, [u8]>, Error> {
    let held: std::borrow::Cow<[u8]> = match (&b.uri, data) {
        (None, Some(d)) if i == 0 => d.into(),
        (None, _) => return error(format!("its buffer {i} holds nothing")),
        (Some(uri), _) => {
            let inside = uri.strip_prefix("data:").and_then(|u| u.split_once(";base64,"));
            let Some((_, text)) = inside else {
                return error("its data lies in another file; save it as one file (.glb)");
            };
            match base64::engine::general_purpose::STANDARD.decode(text) {
                Ok(d) => d.into(),
                Err(e) => return error(format!("its buffer {i} is no base64: {e}")),
            }
        }
    };
    if held.len() < b.byte_length {
        return error(format!("its buffer {i} is cut short: {} bytes of {}", held.len(), b.byte_length));
    }
    Ok(held)
}

struct Reader<'a> {
    doc: &'a Document,
    buffers: Vec<std::borrow::Cow<'a, [u8]>>,
    build: Build,
    nodes: usize,
}

/// Nodes met on the way down; a node with two parents is met twice, which the format forbids.
const MOST_NODES: usize = 1_000_000;

impl Reader<'_> {
    fn node(&mut self, i: usize, outer: DMat4, depth: usize) -> Result<(), Error> {
        self.nodes += 1;
        if depth > DEEPEST || self.nodes > MOST_NODES {
            return error("its nodes hang in one another too deep or in a circle");
        }
        let doc = self.doc;
        let Some(n) = doc.nodes.get(i) else {
            return error(format!("it names node {i}, which is not there"));
        };
        let own = match n.matrix {
            Some(m) => DMat4::from_cols_array(&m),
            None => DMat4::from_scale_rotation_translation(
                n.scale.map_or(DVec3::ONE, DVec3::from),
                n.rotation.map_or(DQuat::IDENTITY, |q| {
                    let q = DQuat::from_array(q);
                    // The format asks for a unit; files keep to it within single precision.
                    if q.length_squared() > 0.0 { q.normalize() } else { DQuat::IDENTITY }
                }),
                n.translation.map_or(DVec3::ZERO, DVec3::from),
            ),
        };
        let place = outer * own;
        if let Some(m) = n.mesh {
            let Some(mesh) = doc.meshes.get(m) else {
                return error(format!("it names mesh {m}, which is not there"));
            };
            self.build.part(n.name.as_deref().or(mesh.name.as_deref()).unwrap_or(""));
            for p in &mesh.primitives {
                self.primitive(p, place)?;
            }
        }
        for &c in &n.children {
            self.node(c, place, depth + 1)?;
        }
        Ok(())
    }

    fn primitive(&mut self, p: &Primitive, place: DMat4) -> Result<(), Error> {
        let mode = p.mode.unwrap_or(4);
        if mode < 4 {
            // Points and lines.
            return Ok(());
        }
        let Some(&at) = p.attributes.get("POSITION") else { return Ok(()) };
        let (a, bytes, stride) = self.accessor(at, "VEC3", &[(5126, 12)])?;
        let count = a.count;
        let from = self.build.mesh.vertices.len();
        // The data is there, so a file of half a GB bounds what is asked for here; instances of one mesh add up.
        if from + count > 3 * MOST_TRIANGLES {
            return error(format!("it has more than {} corners", 3 * MOST_TRIANGLES));
        }
        let vertices: Vec<DVec3> = (0..count)
            .map(|k| {
                let b = &bytes[k * stride..];
                let f = |i: usize| f32::from_le_bytes([b[4 * i], b[4 * i + 1], b[4 * i + 2], b[4 * i + 3]]);
                place.transform_point3(Vec3::new(f(0), f(1), f(2)).as_dvec3())
            })
            .collect();
        let indices: Vec<u32> = match p.indices {
            None => (0..count as u32).collect(),
            Some(i) => {
                let (a, bytes, stride) = self.accessor(i, "SCALAR", &[(5121, 1), (5123, 2), (5125, 4)])?;
                let read = |k: usize| {
                    let b = &bytes[k * stride..];
                    match a.component_type {
                        5121 => u32::from(b[0]),
                        5123 => u32::from(u16::from_le_bytes([b[0], b[1]])),
                        _ => u32::from_le_bytes([b[0], b[1], b[2], b[3]]),
                    }
                };
                (0..a.count).map(read).collect()
            }
        };
        if let Some(i) = indices.iter().find(|i| **i as usize >= count) {
            return error(format!("it names corner {i} of {count}"));
        }
        self.build.mesh.vertices.extend(vertices);
        // A mirrored node turns the order of corners round.
        let flip = place.determinant() < 0.0;
        let mut add = |t: [u32; 3]| {
            let [a, b, c] = t.map(|i| from as u32 + i);
            self.build.triangle(if flip { [a, c, b] } else { [a, b, c] })
        };
        match mode {
            4 => indices.chunks_exact(3).try_for_each(|t| add([t[0], t[1], t[2]])),
            5 => indices
                .windows(3)
                .enumerate()
                .try_for_each(|(k, t)| if k % 2 == 0 { add([t[0], t[1], t[2]]) } else { add([t[1], t[0], t[2]]) }),
            6 => indices.windows(2).skip(1).try_for_each(|t| add([indices[0], t[0], t[1]])),
            _ => error(format!("it draws with mode {mode}, which is none of the format's")),
        }
    }

    /// An accessor, its bytes from its first value on, and the step between values. All its values are there.
    fn accessor(&self, i: usize, kind: &str, types: &[(u32, usize)]) -> Result<(&Accessor, &[u8], usize), Error> {
        let Some(a) = self.doc.accessors.get(i) else {
            return error(format!("it names accessor {i}, which is not there"));
        };
        let size = types.iter().find(|t| t.0 == a.component_type).map(|t| t.1);
        let Some(size) = size.filter(|_| a.kind == kind && a.sparse.is_none()) else {
            return error(format!("its accessor {i} holds its numbers in a way that is not read"));
        };
        let Some(v) = a.buffer_view.and_then(|v| self.doc.buffer_views.get(v)) else {
            return error(format!("its accessor {i} has no data"));
        };
        let stride = v.byte_stride.unwrap_or(size);
        let inside = || {
            let held = self.buffers.get(v.buffer)?;
            let view = held.get(v.byte_offset..v.byte_offset.checked_add(v.byte_length)?)?;
            let bytes = view.get(a.byte_offset..)?;
            let need = match a.count {
                0 => 0,
                n => (n - 1).checked_mul(stride)?.checked_add(size)?,
            };
            (stride >= size && need <= bytes.len()).then_some(bytes)
        };
        match inside() {
            Some(bytes) => Ok((a, bytes, stride)),
            None => error(format!("its accessor {i} claims {} values that are not in the file", a.count)),
        }
    }
}
