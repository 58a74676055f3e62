//! Reading the mesh files of a design.

use std::collections::BTreeMap;
use std::io::Read;
use std::path::Path;

use design::Design;
use mesh::Mesh;
use sha2::{Digest, Sha256};

/// Files with the SHA-256 of their bytes; none where one can't be read.
pub type Hashes = Vec<(String, Option<String>)>;

/// What a file holds, or why nothing, and the hash of its bytes.
type Held = (Result<Mesh, String>, Option<String>);

/// The meshes of a design's skins, in order, or why there is none; and the files, each read once, with their hashes.
pub fn load(design_file: &Path, design: &Design) -> (Vec<Result<Mesh, String>>, Hashes) {
    let folder = folder(design_file);
    let mut read: BTreeMap<&str, Held> = BTreeMap::new();
    let meshes =
        design.skins.iter().map(|s| read.entry(&s.file).or_insert_with(|| one(folder, &s.file)).0.clone()).collect();
    (meshes, read.into_iter().map(|(file, held)| (file.to_owned(), held.1)).collect())
}

/// The folder that a design's files are in.
pub(crate) fn folder(design_file: &Path) -> &Path {
    match design_file.parent() {
        Some(p) if p != Path::new("") => p,
        _ => Path::new("."),
    }
}

fn one(folder: &Path, name: &str) -> Held {
    match bytes(folder, name) {
        Ok(b) => (mesh::read(&b).map_err(|e| e.0), Some(sha256(&b))),
        Err(why) => (Err(why), None),
    }
}

/// A hash in words.
pub fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}

fn bytes(folder: &Path, name: &str) -> Result<Vec<u8>, String> {
    beside(folder, name, mesh::MOST_BYTES as u64)
}

/// The bytes of a file in the design's folder, at most so many.
pub(crate) fn beside(folder: &Path, name: &str, most: u64) -> Result<Vec<u8>, String> {
    let cannot = |e: std::io::Error| match e.kind() {
        std::io::ErrorKind::NotFound => format!("there is no such file beside the design, in {}", folder.display()),
        _ => format!("it can't be read: {e}"),
    };
    let path = folder.join(name).canonicalize().map_err(cannot)?;
    // A link may lead elsewhere, even where the name does not.
    if !path.starts_with(folder.canonicalize().map_err(cannot)?) {
        return Err("it is a link out of the design's folder".into());
    }
    // Asked before it is opened: a pipe would wait for ever.
    if !path.metadata().map_err(cannot)?.is_file() {
        return Err("it is no file".into());
    }
    let file = std::fs::File::open(&path).map_err(cannot)?;
    let size = file.metadata().map_err(cannot)?.len();
    if size > most {
        return Err(format!("it has {size} bytes; {most} is the most that is read"));
    }
    let mut out = Vec::with_capacity(size as usize);
    file.take(most + 1).read_to_end(&mut out).map_err(cannot)?;
    Ok(out)
}
