//! Files that other programs read.
//!
//! Flat drawings are named after their piece or plate: see [`stems`].

pub mod csv;
pub mod dxf;
pub mod flat;
pub mod glb;
pub mod json;
pub mod mesh;
pub mod stl;
pub mod svg;

use std::collections::HashSet;

use review::Review;
use shape::End;

use crate::File;
use crate::sheet::{Identity, templates};

/// What the files of things are called, one for each name, in the same order.
///
/// A name itself; a twin's `~` is written `.twin`. Some file systems hold `Rail` and `rail` for the same: of names that
/// differ only in capitals, all after the first get `.2`, `.3` and so on. Names of a design hold letters, digits, `_` and
/// `-` but no dots, so no two files have the same name.
pub fn stems<'a>(names: impl IntoIterator<Item = &'a str>) -> Vec<String> {
    let mut taken = HashSet::new();
    names
        .into_iter()
        .map(|name| {
            let plain = name.replace('~', ".twin");
            let mut stem = plain.clone();
            let mut nth = 1;
            while !taken.insert(stem.to_ascii_lowercase()) {
                nth += 1;
                stem = format!("{plain}.{nth}");
            }
            stem
        })
        .collect()
}

/// Pieces and plates of which no solid could be made, and why: there only if there are any.
pub const WITHOUT_SOLID: &str = "step/left-out.txt";

/// All exchange files. The same review and identity give the same bytes.
///
/// # Errors
///
/// If a file's form can't hold the frame, such as a binary glTF of more than 4 GiB.
pub fn files(r: &Review, id: &Identity) -> Result<Vec<File>, String> {
    let mut out = Vec::new();
    let mut add = |path: String, bytes: Vec<u8>| out.push(File { path, bytes });
    add("pieces.csv".into(), csv::pieces(r).into_bytes());
    add("bends-lra.csv".into(), csv::bends_lra(r).into_bytes());
    add("bends-xyz.csv".into(), csv::bends_xyz(r).into_bytes());
    add("packet.json".into(), json::packet(r, id)?.into_bytes());
    add("centrelines.dxf".into(), dxf::centrelines::write(&r.shape).into_bytes());
    let mut draw = |name: String, drawing: flat::Drawing| {
        add(format!("{name}.svg"), svg::write(&drawing).into_bytes());
        add(format!("{name}.dxf"), dxf::write(&drawing).into_bytes());
    };
    let pieces = &r.cutting.pieces;
    for (p, stem) in pieces.iter().zip(stems(pieces.iter().map(|p| p.name.as_str()))) {
        for end in End::BOTH.into_iter().filter(|e| templates::needed(p.end(*e))) {
            draw(format!("templates/{stem}-{}", end.word()), flat::template(p, end));
        }
    }
    let plates = &r.shape.plates;
    for (drawing, stem) in flat::plates(r).into_iter().zip(stems(plates.iter().map(|p| p.name.as_str()))) {
        draw(format!("plates/{stem}"), drawing);
    }
    // A case that can't be written is not worked out either, and the findings say why.
    for d in review::decks(&r.shape).0 {
        add(format!("decks/{}", d.file), d.text.into_bytes());
    }
    for f in stl::saddles(&review::jigs::of(r)) {
        add(format!("saddles/{}", f.path), f.bytes);
    }
    let bodies = mesh::frame(r, mesh::Fineness::FILE);
    add("frame.stl".into(), stl::write(&bodies));
    let solids = step::all(&r.shape, &r.cutting);
    let without: String =
        solids.iter().filter_map(|s| s.body.as_ref().err().map(|why| format!("{}: {why}\n", s.name))).collect();
    if !without.is_empty() {
        add(WITHOUT_SOLID.into(), without.into_bytes());
    }
    add("frame.step".into(), step::frame(&r.shape, &solids).into_bytes());
    let stems = stems(pieces.iter().map(|p| p.name.as_str()));
    for (text, stem) in step::each(&solids).into_iter().zip(stems) {
        // A piece of which no solid can be made is left out; `frame.step` says so too.
        if let Some(text) = text {
            add(format!("step/{stem}.step"), text.into_bytes());
        }
    }
    add("frame.glb".into(), glb::write(&bodies)?);
    Ok(out)
}
