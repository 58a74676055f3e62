//! What the shop's record says of the steel.

use std::collections::BTreeSet;
use std::path::Path;

use build::{Operation, Record, RecordError};
use review::{CutStick, Made, Review};

/// The record beside a design.
pub fn record_of(design: &Path) -> std::path::PathBuf {
    design.with_extension("record.db")
}

/// What a record says is cut, and from which sticks. A piece counts as cut when it is ticked and its stick is named: until
/// then the plan keeps steel for it.
///
/// # Errors
/// If the record can't be read.
pub fn made(record: &Record, r: &Review) -> Result<Made, RecordError> {
    let standing = record.standing()?;
    let ticked: BTreeSet<&String> =
        standing.iter().filter(|((_, o), s)| *o == Operation::Cut && s.done).map(|((p, _), _)| p).collect();
    let mut out = Made::default();
    for u in record.used()?.into_iter().filter(|u| ticked.contains(&u.piece)) {
        let Some(piece) = r.cutting.pieces.iter().find(|p| p.name == u.piece) else { continue };
        out.cut.insert(u.piece);
        let left = u.left.unwrap_or(0.0);
        match out.sticks.iter_mut().find(|s| s.mark == u.stick && s.section == piece.section) {
            // Pieces come in the order of cutting: the last one says what is left.
            Some(s) => s.left = left,
            None => {
                let (mark, section) = (u.stick, piece.section.clone());
                out.sticks.push(CutStick { mark, section, whole: u.whole, place: u.place, left });
            }
        }
    }
    let stands = |o: Operation| matches!(o, Operation::Tacked | Operation::Welded);
    let mut standing: BTreeSet<String> =
        standing.iter().filter(|((_, o), s)| stands(*o) && s.done).map(|((p, _), _)| p.clone()).collect();
    standing.retain(|p| r.cutting.pieces.iter().any(|q| q.name == *p));
    out.standing = standing.into_iter().collect();
    let of_design = |p: &&&String| r.cutting.pieces.iter().any(|q| q.name == ***p);
    out.unsaid = ticked.iter().filter(of_design).filter(|p| !out.cut.contains(**p)).map(|p| (*p).clone()).collect();
    Ok(out)
}

/// As [`made`], from the record beside a design; nothing is cut if there is none.
///
/// # Errors
/// If there is one that can't be read, in words.
pub fn beside(design: &Path, r: &Review) -> Result<Made, String> {
    let path = record_of(design);
    if !path.exists() {
        return Ok(Made::default());
    }
    let record = Record::open(&path).map_err(|e| format!("error: {e}"))?;
    made(&record, r).map_err(|e| format!("error: {e}"))
}
