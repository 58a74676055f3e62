//! From text to [`Design`], or to everything that is wrong with it.
//!
//! Names are collected first, so that a thing may be used above the place that defines it and a broken one does not make
//! every use of it an error too. Then each table is read on its own, then what only shows across tables is checked.

mod curves;
mod cycles;
mod design;
mod ends;
mod fields;
mod jig;
mod materials;
mod names;
mod paths;
mod plates;
mod points;
mod riders;
mod room;
mod sections;
mod shop;
mod standing;
mod strength;
mod syntax;
mod tubes;
mod unused;

use std::sync::Arc;

use crate::model::Design;
use crate::problem::{Problem, Severity};
pub(crate) use fields::{Fields, Reader, count};
pub(crate) use names::Item;
pub(crate) use syntax::parse;

pub(crate) use curves::DEFAULT_WITHIN;
pub(crate) use design::default_paper;
pub(crate) use materials::{DEFAULT_DENSITY, DEFAULT_POISSON, DEFAULT_SOURCE, DEFAULT_YOUNGS, default_shear};
pub(crate) use riders::{DEFAULT_BACK, DEFAULT_HELMET, DEFAULT_KNEE, DEFAULT_THIGH};
pub(crate) use room::MESH_UNITS;
pub(crate) use sections::default_corner;
pub(crate) use shop::default_limits;
pub(crate) use standing::{DEFAULT_ROLLOVER, DEFAULT_ROOM, as_drawn};
pub(crate) use strength::{DEFAULT_BUCKLING, DEFAULT_STRENGTH, DEFAULT_USE};

/// A file that can be used, with what the reader of it should know.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// The design.
    pub design: Design,
    /// Remarks, each of [`Severity::Note`].
    pub notes: Vec<Problem>,
}

/// Largest file that is looked at, bytes: some 60,000 tubes.
pub const LARGEST_FILE: usize = 8 << 20;

/// Reads a design file. Never panics, whatever the text.
///
/// # Errors
/// All that is wrong with it, in the order of the file: syntax alone if the text is not TOML, else every fault of every
/// table (up to a few hundred).
pub fn read(text: &str) -> Result<Reading, Vec<Problem>> {
    let root = syntax::parse(text)?;
    let mut reader = Reader::new(&root);
    reader.check_tops();
    let design = assemble(&mut reader, text);
    match design {
        Some(design) if reader.is_clean() => {
            reader.note_unused(&design);
            Ok(Reading { design, notes: reader.into_problems() })
        }
        _ => {
            let mut problems = reader.into_problems();
            if problems.iter().all(|p| p.severity < Severity::Error) {
                // No path leads here; were there one, the file must still not pass for read.
                problems.push(Problem::error("the file could not be read", 0..0, "for an unknown reason"));
            }
            problems.retain(|p| p.severity == Severity::Error);
            Err(problems)
        }
    }
}

/// Reads every table before it gives up on any.
fn assemble(r: &mut Reader<'_>, text: &str) -> Option<Design> {
    let header = r.header();
    let materials = r.materials();
    let sections = r.sections();
    let dies = r.dies();
    let points = r.points();
    let tubes = r.tubes(&sections, &dies);
    let plates = r.plates();
    let masses = r.masses();
    let wheels = r.wheels();
    let occupants = r.occupants();
    let notcher = r.notcher();
    let rack = r.rack();
    let suppliers = r.suppliers();
    let stages = r.stages();
    let jig = r.jig();
    let rule_sets = r.rule_sets();
    let limits = r.limits();
    let stances = r.stances();
    let openings = r.openings();
    let skins = r.skins();
    let curves = r.curves();
    let measures = r.measures();
    let obstacles = r.obstacles();
    let rollover = r.rollover();
    let room = r.room();
    let mounts = r.mounts();
    let loads = r.loads();
    let strength = r.strength();
    r.check_cycles(&points, &tubes);
    r.check_paths(&points, &tubes);
    r.check_riders(&points, &masses, &wheels, &occupants);
    r.check_holds(&points, &mounts, &loads, &strength);
    let header = header?;
    let mut materials = all(materials)?;
    materials.append(&mut r.used_builtin);
    Some(Design {
        source: Arc::from(text),
        name: header.name,
        units: r.units,
        paper: header.paper,
        by: header.by,
        note: header.note,
        datum: header.datum,
        materials,
        sections: all(sections)?,
        points: all(points)?,
        tubes: all(tubes)?,
        plates: all(plates)?,
        masses: all(masses)?,
        wheels: all(wheels)?,
        occupants: all(occupants)?,
        notcher: notcher?,
        dies: all(dies)?,
        rack: rack?,
        suppliers: all(suppliers)?,
        stages: all(stages)?,
        jig: jig?,
        rule_sets: rule_sets?,
        limits,
        stances: all(stances)?,
        openings: all(openings)?,
        skins: all(skins)?,
        curves: all(curves)?,
        measures: all(measures)?,
        obstacles: all(obstacles)?,
        rollover,
        room,
        mounts: all(mounts)?,
        loads: all(loads)?,
        strength,
    })
}

/// All of them, or none if one is missing.
fn all<T>(items: Vec<Option<T>>) -> Option<Vec<T>> {
    items.into_iter().collect()
}
