//! STL, binary and text.

use glam::{DVec3, Vec3};

use crate::{Build, Error, MOST_TRIANGLES, error};

const HEAD: usize = 84;
const EACH: usize = 50;

fn declared(bytes: &[u8]) -> Option<usize> {
    bytes.get(80..HEAD).map(|b| u32::from_le_bytes([b[0], b[1], b[2], b[3]]) as usize)
}

/// Whether the length is just what the count in a binary file's head asks for: some of them begin with `solid` too.
pub fn is_binary(bytes: &[u8]) -> bool {
    declared(bytes).is_some_and(|n| n.checked_mul(EACH).and_then(|b| b.checked_add(HEAD)) == Some(bytes.len()))
}

/// The binary form: 80 bytes of anything, a count, then a normal, three corners and two bytes each.
pub fn binary(bytes: &[u8]) -> Result<Build, Error> {
    let Some(n) = declared(bytes) else {
        return error("it is no STL, OBJ or glTF file");
    };
    if n > MOST_TRIANGLES {
        return error(format!(
            "it is no STL, OBJ or glTF file, or a binary STL that claims {n} triangles; {MOST_TRIANGLES} is the most that is read"
        ));
    }
    let have = (bytes.len() - HEAD) / EACH;
    if have < n {
        return error(format!(
            "it is no STL, OBJ or glTF file, or a binary STL cut short: it claims {n} triangles and holds {have}"
        ));
    }
    let mut b = Build::default();
    b.mesh.vertices.reserve_exact(3 * n);
    b.mesh.triangles.reserve_exact(n);
    for t in bytes[HEAD..].chunks_exact(EACH).take(n) {
        let corner = |k: usize| {
            let f = |i: usize| {
                let at = 12 + 12 * k + 4 * i;
                f32::from_le_bytes([t[at], t[at + 1], t[at + 2], t[at + 3]])
            };
            Vec3::new(f(0), f(1), f(2)).as_dvec3()
        };
        let t = [corner(0), corner(1), corner(2)].map(|p| b.vertex(p));
        b.triangle(t)?;
    }
    Ok(b)
}

/// The text form: `solid NAME`, facets of three `vertex X Y Z`, `endsolid`; any number of solids.
pub fn text(bytes: &[u8]) -> Result<Build, Error> {
    let mut b = Build::default();
    let mut loop_: Vec<DVec3> = Vec::with_capacity(4);
    let mut open = false;
    for (k, line) in bytes.split(|&c| c == b'\n' || c == b'\r').enumerate() {
        // Counted from line feeds where the file has them; a lone carriage return is one, too.
        let bad = |what: &str| error(format!("text STL, about line {}: {what}", k + 1));
        let line = line.trim_ascii();
        if line.is_empty() {
            continue;
        }
        let Ok(line) = std::str::from_utf8(line) else {
            if open {
                return bad("not text");
            }
            continue;
        };
        let mut words = line.split_ascii_whitespace();
        let word = words.next().unwrap_or("").to_ascii_lowercase();
        match word.as_str() {
            "solid" => b.part(line[5..].trim()),
            "vertex" => {
                let mut p = [0.0; 3];
                for v in &mut p {
                    match words.next().and_then(|w| w.parse::<f64>().ok()) {
                        Some(x) => *v = x,
                        None => return bad("`vertex` needs three numbers"),
                    }
                }
                if loop_.len() > 3 {
                    return bad("a facet with more than three corners");
                }
                loop_.push(DVec3::from(p));
            }
            "facet" => {
                open = true;
                loop_.clear();
            }
            "endfacet" => {
                open = false;
                let [x, y, z] = loop_[..] else { return bad("a facet without three corners") };
                let t = [x, y, z].map(|p| b.vertex(p));
                b.triangle(t)?;
                loop_.clear();
            }
            "outer" | "endloop" | "endsolid" => {}
            _ => return bad(&format!("`{}` is no word of an STL", word.chars().take(20).collect::<String>())),
        }
    }
    if open {
        return error("the text STL ends within a facet: it is cut short");
    }
    Ok(b)
}
