//! DXF in its text form: lines, polylines, arcs, circles, ellipses, splines and blocks in model space.
//!
//! A file is a run of pairs: a code that says what the next line means, and that line. What is not known is passed over
//! and counted. See the published DXF reference for the codes.

mod blocks;
mod entity;
mod plane;
mod polyline;
mod tags;

use rustc_hash::{FxHashMap, FxHashSet};

use crate::{Drawing, Error, Unit, error};
use blocks::{Block, Expand};
use entity::Raw;
use tags::Tag;

/// Longest file that is read: a million lines and arcs take about as much.
pub const LARGEST: usize = 256 << 20;

/// What stands before the entities.
#[derive(Default)]
struct File<'a> {
    unit: Option<Unit>,
    /// Layers that are frozen or switched off.
    hidden: FxHashSet<String>,
    blocks: FxHashMap<String, Block<'a>>,
    entities: Vec<Raw<'a>>,
}

/// Whether it looks like a DXF: a section begins within the first lines, or it is the binary form.
pub fn is_dxf(bytes: &[u8]) -> bool {
    let head = String::from_utf8_lossy(&bytes[..bytes.len().min(4096)]);
    let mut lines = head.lines().map(str::trim);
    is_binary(bytes) || lines.any(|l| l == "SECTION")
}

/// The binary form ends its first line with these.
fn is_binary(bytes: &[u8]) -> bool {
    bytes.get(..32.min(bytes.len())).is_some_and(|b| b.windows(4).any(|w| w == b"\r\n\x1a\0"))
}

/// Reads a DXF.
///
/// # Errors
/// The line that is wrong, and why.
pub fn read(bytes: &[u8]) -> Result<Drawing, Error> {
    if is_binary(bytes) {
        return error(0, "a DXF in its binary form: save it as a text (ASCII) DXF");
    }
    if bytes.len() > LARGEST {
        return error(0, format!("the file has more than {} MB", LARGEST >> 20));
    }
    let text = String::from_utf8_lossy(bytes);
    let tags = tags::read(&text)?;
    let file = sections(&tags)?;
    let mut out = Drawing { unit: file.unit, ..Drawing::default() };
    Expand::new(&file.blocks, &file.hidden, &mut out).all(&file.entities)?;
    Ok(out)
}

fn sections<'a>(tags: &'a [Tag<'a>]) -> Result<File<'a>, Error> {
    let mut file = File::default();
    let mut k = 0;
    while k < tags.len() {
        if !tags[k].is(0, "SECTION") {
            k += 1;
            continue;
        }
        let name = tags.get(k + 1).filter(|t| t.code == 2).map_or("", |t| t.value);
        let end = tags[k..].iter().position(|t| t.is(0, "ENDSEC")).map_or(tags.len(), |n| k + n);
        let inside = &tags[(k + 2).min(end)..end];
        match name {
            "HEADER" => file.unit = unit(inside)?,
            "TABLES" => file.hidden = hidden(inside)?,
            "BLOCKS" => file.blocks = blocks::read(inside)?,
            "ENTITIES" => file.entities.extend(entity::split(inside)),
            _ => {}
        }
        k = end + 1;
    }
    if file.entities.is_empty() && file.blocks.is_empty() && tags.iter().all(|t| !t.is(2, "ENTITIES")) {
        return error(0, "no section ENTITIES in it: it is no DXF drawing");
    }
    Ok(file)
}

/// The header's `$INSUNITS`.
fn unit(header: &[Tag]) -> Result<Option<Unit>, Error> {
    let Some(k) = header.iter().position(|t| t.is(9, "$INSUNITS")) else { return Ok(None) };
    let Some(t) = header.get(k + 1) else { return Ok(None) };
    Ok(match t.integer()? {
        1 => Some(Unit::In),
        2 => Some(Unit::Ft),
        4 => Some(Unit::Mm),
        5 => Some(Unit::Cm),
        6 => Some(Unit::M),
        _ => None,
    })
}

/// Layers that are not to be seen: frozen (a flag), or switched off (a colour below 0).
fn hidden(tables: &[Tag]) -> Result<FxHashSet<String>, Error> {
    let mut out = FxHashSet::default();
    for raw in entity::split(tables).filter(|r| r.kind == "LAYER") {
        let mut off = false;
        for t in raw.tags {
            match t.code {
                70 => off |= t.integer()? & 1 == 1,
                62 => off |= t.integer()? < 0,
                _ => {}
            }
        }
        if off && let Some(name) = raw.text(2) {
            out.insert(name);
        }
    }
    Ok(out)
}
