//! OBJ: vertices, faces, groups and objects.

use glam::DVec3;

use crate::{Build, Error, error};

/// Words that a line of an OBJ may begin with, as far as they are met in practice.
const WORDS: [&str; 18] = [
    "v",
    "vn",
    "vt",
    "vp",
    "f",
    "g",
    "o",
    "s",
    "mtllib",
    "usemtl",
    "l",
    "p",
    "cstype",
    "deg",
    "mg",
    "lod",
    "shadow_obj",
    "usemap",
];

/// Whether the first line that is no comment begins with a word of the format.
pub fn is_obj(bytes: &[u8]) -> bool {
    let line = bytes.split(|&c| c == b'\n' || c == b'\r').map(<[u8]>::trim_ascii);
    line.filter(|l| !l.is_empty() && l[0] != b'#').take(1).any(|l| {
        let word = l.split(u8::is_ascii_whitespace).next().unwrap_or_default();
        WORDS.iter().any(|w| w.as_bytes() == word)
    })
}

/// Reads faces with what is said of them; normals, textures and materials are passed over.
pub fn read(bytes: &[u8]) -> Result<Build, Error> {
    let mut b = Build::default();
    let mut face: Vec<u32> = Vec::new();
    // A file may tell objects, groups in them, or both.
    let (mut object, mut group) = (String::new(), String::new());
    for (k, line) in bytes.split(|&c| c == b'\n').enumerate() {
        let bad = |what: String| error(format!("OBJ, line {}: {what}", k + 1));
        let line = line.trim_ascii();
        if line.is_empty() || line[0] == b'#' {
            continue;
        }
        let Ok(line) = std::str::from_utf8(line) else {
            return bad("not UTF-8 text".into());
        };
        let mut words = line.split_ascii_whitespace();
        match words.next().unwrap_or("") {
            "v" => {
                let mut p = [0.0; 3];
                for v in &mut p {
                    match words.next().and_then(|w| w.parse::<f64>().ok()) {
                        Some(x) => *v = x,
                        None => return bad("`v` needs three numbers".into()),
                    }
                }
                b.vertex(DVec3::from(p));
            }
            "f" => {
                face.clear();
                let n = b.mesh.vertices.len() as i64;
                for w in words {
                    let index = w.split('/').next().unwrap_or("");
                    let Ok(i) = index.parse::<i64>() else {
                        return bad("`f` needs numbers of vertices".into());
                    };
                    // Counted from 1, or back from the newest.
                    let at = if i < 0 { n.saturating_add(i) } else { i - 1 };
                    if i == 0 || at < 0 || at >= n {
                        return bad(format!("there is no vertex {i} before it"));
                    }
                    face.push(at as u32);
                }
                if face.len() < 3 {
                    return bad("a face with fewer than three corners".into());
                }
                for i in 1..face.len() - 1 {
                    b.triangle([face[0], face[i], face[i + 1]])?;
                }
            }
            word @ ("g" | "o") => {
                let name = line[1..].trim();
                if word == "o" {
                    name.clone_into(&mut object);
                    group.clear();
                } else {
                    name.clone_into(&mut group);
                }
                // `default` is what a group is called that has no name.
                let named = !group.is_empty() && group != "default";
                b.part(if named || object.is_empty() { &group } else { &object });
            }
            word if word.contains('\\') || line.ends_with('\\') => {
                return bad("lines that go on in the next are not read".into());
            }
            _ => {}
        }
    }
    Ok(b)
}
