//! Mesh files as triangles with named parts.
//!
//! [`read`] takes the bytes of an STL, OBJ or glTF file. Coordinates stay as the file has them, in its units and axes.

mod edges;
mod gltf;
mod obj;
mod stl;

use std::ops::Range;

use glam::DVec3;

pub use edges::{Edge, Edges, Sides};

/// Most triangles of a mesh: a scanned car has one or two million.
pub const MOST_TRIANGLES: usize = 5_000_000;
/// Most bytes of a file: a text STL of a million and a half triangles.
pub const MOST_BYTES: usize = 512 << 20;
/// Coordinates beyond this are taken for no number at all: in millimetres it is a thousand kilometres.
pub const FARTHEST: f64 = 1e9;
/// A triangle whose height is less than this part of its longest side has no area: a few times the rounding of doubles.
const FLAT: f64 = 1e-12;

/// A zero among this many bytes tells that a file is no text: more than a binary STL's head and first triangle.
const LOOK: usize = 512;

/// Triangles with named parts, in the file's units and axes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mesh {
    /// Corners. Equal ones may stand here more than once.
    pub vertices: Vec<DVec3>,
    /// Indices of corners, three to a triangle.
    pub triangles: Vec<[u32; 3]>,
    /// Named parts, in the order of the file; each is a range of `triangles`. Every triangle belongs to one.
    pub parts: Vec<Part>,
    /// What was left out.
    pub dropped: Dropped,
}

/// A named part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// Its name; empty if the file gives none.
    pub name: String,
    /// Its triangles.
    pub range: Range<usize>,
}

/// Triangles that were left out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Dropped {
    /// With a coordinate that is no number or absurdly far.
    pub not_numbers: usize,
    /// Without area.
    pub without_area: usize,
}

/// Why a file can't be read: one sentence without a full stop.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Error(pub String);

impl std::fmt::Display for Error {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Error {}

fn error<T>(text: impl Into<String>) -> Result<T, Error> {
    Err(Error(text.into()))
}

/// Reads a mesh. What the bytes hold decides which format they are.
///
/// # Errors
///
/// If they are none of the three formats, are cut short, point outside of themselves, hold more than
/// [`MOST_TRIANGLES`] or no triangle at all, or need what is not read (other files, compression).
pub fn read(bytes: &[u8]) -> Result<Mesh, Error> {
    if bytes.is_empty() {
        return error("the file is empty");
    }
    if bytes.len() > MOST_BYTES {
        return error(format!("it has {} bytes; {MOST_BYTES} is the most that is read", bytes.len()));
    }
    let build = if bytes.starts_with(b"glTF") {
        gltf::binary(bytes)?
    } else if stl::is_binary(bytes) {
        stl::binary(bytes)?
    } else {
        let text = bytes.trim_ascii_start();
        if text.starts_with(b"{") {
            gltf::text(text)?
        } else if bytes[..bytes.len().min(LOOK)].contains(&0) {
            // Some binary STLs begin with `solid`; no text holds a zero.
            stl::binary(bytes)?
        } else if text.len() >= 5 && text[..5].eq_ignore_ascii_case(b"solid") {
            stl::text(text)?
        } else if obj::is_obj(text) {
            obj::read(text)?
        } else {
            stl::binary(bytes)?
        }
    };
    let mesh = build.finish();
    if mesh.triangles.is_empty() {
        let d = mesh.dropped;
        return match d.not_numbers + d.without_area {
            0 => error("it holds no triangle"),
            n => error(format!(
                "none of its {n} triangles can be used: {} with coordinates that are no numbers, {} without area",
                d.not_numbers, d.without_area
            )),
        };
    }
    Ok(mesh)
}

impl Mesh {
    /// Names of the parts, in order, each once.
    pub fn names(&self) -> Vec<&str> {
        let mut out: Vec<&str> = Vec::new();
        for p in self.parts.iter().filter(|p| !p.name.is_empty()) {
            if !out.contains(&p.name.as_str()) {
                out.push(&p.name);
            }
        }
        out
    }

    /// Only the parts with these names. What was dropped still counts for the whole file.
    ///
    /// # Errors
    ///
    /// The first name that no part has.
    pub fn only<'a>(&self, names: &'a [String]) -> Result<Mesh, &'a str> {
        if let Some(missing) = names.iter().find(|n| !self.parts.iter().any(|p| p.name == **n)) {
            return Err(missing);
        }
        let mut out = Mesh { dropped: self.dropped, ..Mesh::default() };
        let mut at = vec![u32::MAX; self.vertices.len()];
        for p in self.parts.iter().filter(|p| names.contains(&p.name)) {
            let from = out.triangles.len();
            for t in &self.triangles[p.range.clone()] {
                out.triangles.push(t.map(|v| {
                    let slot = &mut at[v as usize];
                    if *slot == u32::MAX {
                        *slot = out.vertices.len() as u32;
                        out.vertices.push(self.vertices[v as usize]);
                    }
                    *slot
                }));
            }
            out.parts.push(Part { name: p.name.clone(), range: from..out.triangles.len() });
        }
        Ok(out)
    }

    /// What the edges tell.
    pub fn edges(&self) -> Edges {
        self.sides().count()
    }

    /// The sides of all triangles, edge by edge.
    pub fn sides(&self) -> Sides {
        Sides::of(self)
    }
}

/// A mesh as it grows.
#[derive(Default)]
struct Build {
    mesh: Mesh,
}

impl Build {
    /// Starts a part. One without triangles leaves no trace.
    fn part(&mut self, name: &str) {
        let n = self.mesh.triangles.len();
        match self.mesh.parts.last_mut() {
            Some(p) if p.range.is_empty() => name.clone_into(&mut p.name),
            _ => self.mesh.parts.push(Part { name: name.to_owned(), range: n..n }),
        }
    }

    fn vertex(&mut self, p: DVec3) -> u32 {
        // Fewer than the bytes of the file, and so than u32 holds.
        self.mesh.vertices.push(p);
        self.mesh.vertices.len() as u32 - 1
    }

    /// Adds a triangle of vertices that are there, or counts why not.
    fn triangle(&mut self, t: [u32; 3]) -> Result<(), Error> {
        // What is left out counts too: a small file may name the same bad triangle again and again.
        let d = self.mesh.dropped;
        if self.mesh.triangles.len() + d.not_numbers + d.without_area >= MOST_TRIANGLES {
            return error(format!("it has more than {MOST_TRIANGLES} triangles; save it with fewer"));
        }
        let [a, b, c] = t.map(|i| self.mesh.vertices[i as usize]);
        if ![a, b, c].iter().all(|p| p.is_finite() && p.abs().max_element() <= FARTHEST) {
            self.mesh.dropped.not_numbers += 1;
            return Ok(());
        }
        let side = a.distance_squared(b).max(b.distance_squared(c)).max(c.distance_squared(a));
        // Twice the area is the longest side times the height over it.
        if (b - a).cross(c - a).length() <= FLAT * side {
            self.mesh.dropped.without_area += 1;
            return Ok(());
        }
        if self.mesh.parts.is_empty() {
            self.part("");
        }
        self.mesh.triangles.push(t);
        let n = self.mesh.triangles.len();
        if let Some(p) = self.mesh.parts.last_mut() {
            p.range.end = n;
        }
        Ok(())
    }

    fn finish(mut self) -> Mesh {
        self.mesh.parts.retain(|p| !p.range.is_empty());
        self.mesh
    }
}
