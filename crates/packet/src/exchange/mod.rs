//! Files that other programs read.
//!
//! A twin's name ends in `~`; in file names that is written `-twin`.

pub mod csv;
pub mod flat;
pub mod glb;
pub mod json;
pub mod mesh;
pub mod stl;

use review::Review;
use shape::End;

use crate::File;
use crate::sheet::{Identity, templates};

/// A name as part of a file name. Design names hold letters, digits, `_`, `-` and a last `~`, so no two collide unless
/// one of them ends in `-twin` itself.
pub fn file_name(name: &str) -> String {
    name.replace('~', "-twin")
}

/// All exchange files.
pub fn files(r: &Review, id: &Identity) -> Result<Vec<File>, String> {
    let mut out = Vec::new();
    let mut add = |path: String, bytes: Vec<u8>| out.push(File { path, bytes });
    add("pieces.csv".into(), csv::pieces(r).into_bytes());
    add("bends-lra.csv".into(), csv::bends_lra(r).into_bytes());
    add("bends-xyz.csv".into(), csv::bends_xyz(r).into_bytes());
    add("packet.json".into(), json::packet(r, id)?.into_bytes());
    for p in &r.cutting.pieces {
        for end in End::BOTH {
            if templates::needed(p.end(end)) {
                let drawing = flat::template(p, end);
                let name = format!("templates/{}-{}", file_name(&p.name), end.word());
                add(format!("{name}.svg"), flat::svg(&drawing).into_bytes());
                add(format!("{name}.dxf"), flat::dxf(&drawing).into_bytes());
            }
        }
    }
    for p in &r.shape.plates {
        let drawing = flat::plate(p);
        let name = format!("plates/{}", file_name(&p.name));
        add(format!("{name}.svg"), flat::svg(&drawing).into_bytes());
        add(format!("{name}.dxf"), flat::dxf(&drawing).into_bytes());
    }
    let bodies = mesh::frame(r);
    add("frame.stl".into(), stl::write(&bodies));
    add("frame.glb".into(), glb::write(&bodies)?);
    Ok(out)
}
