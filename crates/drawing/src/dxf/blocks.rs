//! Blocks, and their insertion wherever an entity says so.

use glam::{DMat3, DVec3};
use rustc_hash::{FxHashMap, FxHashSet};

use super::entity::{self, Raw};
use super::polyline;
use super::tags::Tag;
use crate::{Drawing, Drawn, Error, Form, MOST_SPANS, Placed, error};

/// A block within a block within … so deep at most.
const DEEPEST: usize = 16;

/// Entities that are drawn wherever the block is inserted.
pub(super) struct Block<'a> {
    base: DVec3,
    entities: Vec<Raw<'a>>,
}

/// Reads the section of blocks.
pub(super) fn read<'a>(tags: &'a [Tag<'a>]) -> Result<FxHashMap<String, Block<'a>>, Error> {
    let mut out = FxHashMap::default();
    let mut open: Option<(String, Block<'a>)> = None;
    for raw in entity::split(tags) {
        match raw.kind {
            "BLOCK" => {
                // Names of blocks do not mind capitals.
                let name = raw.text(2).unwrap_or_default().to_uppercase();
                open = Some((name, Block { base: raw.point_or_zero(10)?, entities: Vec::new() }));
            }
            "ENDBLK" => out.extend(open.take()),
            _ => {
                if let Some((_, b)) = &mut open {
                    b.entities.push(raw);
                }
            }
        }
    }
    Ok(out)
}

/// Draws entities, blocks and all.
pub(super) struct Expand<'f, 'a> {
    blocks: &'f FxHashMap<String, Block<'a>>,
    hidden: &'f FxHashSet<String>,
    out: &'f mut Drawing,
    /// Entities and insertions looked at, and the spans they gave.
    work: usize,
}

impl<'f, 'a> Expand<'f, 'a> {
    pub fn new(
        blocks: &'f FxHashMap<String, Block<'a>>,
        hidden: &'f FxHashSet<String>,
        out: &'f mut Drawing,
    ) -> Expand<'f, 'a> {
        Expand { blocks, hidden, out, work: 0 }
    }

    /// Everything in model space.
    pub fn all(mut self, entities: &[Raw<'a>]) -> Result<(), Error> {
        self.run(entities, &Placed::HERE, None, 0)
    }

    fn worked(&mut self, n: usize, line: usize) -> Result<(), Error> {
        self.work = self.work.saturating_add(n.max(1));
        if self.work > MOST_SPANS {
            return error(
                line,
                format!("with its blocks the drawing has more than {MOST_SPANS} lines: that is no frame"),
            );
        }
        Ok(())
    }

    fn run(&mut self, entities: &[Raw<'a>], placed: &Placed, layer: Option<&str>, depth: usize) -> Result<(), Error> {
        let mut k = 0;
        while k < entities.len() {
            let raw = entities[k];
            k += 1;
            self.worked(1, raw.line)?;
            if matches!(raw.kind, "SEQEND" | "VIEWPORT") {
                continue;
            }
            // In a block, layer 0 is the layer of its insertion.
            let own = raw.text(8).unwrap_or_else(|| "0".into());
            let own = if own == "0" { layer.map_or(own, str::to_owned) } else { own };
            let vertices = entities[k..].iter().take_while(|r| r.kind == "VERTEX").count();
            let follows = &entities[k..k + vertices];
            k += vertices;
            if let Some(why) = raw.aside()? {
                self.out.leave_out(why, raw.line);
                continue;
            }
            if self.hidden.contains(&own) {
                self.out.leave_out(format!("things on layer {own}, which is switched off or frozen"), raw.line);
                continue;
            }
            let form = match raw.kind {
                "INSERT" => {
                    self.insert(&raw, placed, &own, depth)?;
                    continue;
                }
                "LWPOLYLINE" => Ok(polyline::light(&raw)?),
                "POLYLINE" => polyline::old(&raw, follows)?,
                _ => entity::form(&raw)?,
            };
            match form {
                Err(what) => self.out.leave_out(what, raw.line),
                Ok(form) => self.draw(&raw, placed.form(&form), own)?,
            }
        }
        Ok(())
    }

    fn draw(&mut self, raw: &Raw, form: Form, layer: String) -> Result<(), Error> {
        let n = match &form {
            Form::Spans(s) => s.len(),
            Form::Curve(p) => p.len(),
        };
        self.worked(n, raw.line)?;
        if n == 0 {
            self.out.leave_out("polylines of fewer than two points", raw.line);
            return Ok(());
        }
        let mut tags = raw.kept();
        self.out.ours |= !tags.is_empty();
        let name = tags.iter().position(|t| t.0 == "tube").map(|k| tags.remove(k).1);
        self.out.drawn.push(Drawn { layer, name, tags, form, line: raw.line });
        Ok(())
    }

    fn insert(&mut self, raw: &Raw<'a>, placed: &Placed, layer: &str, depth: usize) -> Result<(), Error> {
        let name = raw.text(2).unwrap_or_default();
        let blocks = self.blocks;
        let Some(block) = blocks.get(&name.to_uppercase()) else {
            self.out.leave_out(format!("insertions of the block {name}, which is not in the file"), raw.line);
            return Ok(());
        };
        if depth >= DEEPEST {
            return error(
                raw.line,
                format!("blocks within blocks more than {DEEPEST} deep, at block {name}: is one inside itself?"),
            );
        }
        let scale = |code| raw.number(code).map(|v| v.unwrap_or(1.0));
        let scale = DVec3::new(scale(41)?, scale(42)?, scale(43)?);
        let turn = raw.number(50)?.unwrap_or(0.0).to_radians();
        let plane = raw.plane()?;
        let (columns, rows) = (raw.integer(70)?.max(1), raw.integer(71)?.max(1));
        let (across, up) = (raw.number(44)?.unwrap_or(0.0), raw.number(45)?.unwrap_or(0.0));
        if columns.saturating_mul(rows) > MOST_SPANS as i64 {
            return error(raw.line, format!("block {name} is inserted {columns} × {rows} times: that is no frame"));
        }
        let turned = plane * DMat3::from_rotation_z(turn);
        let map = turned * DMat3::from_diagonal(scale);
        let at = plane * raw.point(10)?;
        for row in 0..rows {
            for column in 0..columns {
                let by = at + turned * DVec3::new(across * column as f64, up * row as f64, 0.0) - map * block.base;
                self.worked(1, raw.line)?;
                self.run(&block.entities, &placed.after(&Placed { map, by }), Some(layer), depth + 1)?;
            }
        }
        Ok(())
    }
}
