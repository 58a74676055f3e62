//! What is done in the shop: events that are only ever added.

use std::collections::BTreeMap;

use rusqlite::{OptionalExtension, Row, params};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{Record, RecordError};

/// What is done to a piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs)]
pub enum Operation {
    Cut,
    Bent,
    Notched,
    Tacked,
    Welded,
}

impl Operation {
    /// All of them, in the order of the work.
    pub const ALL: [Operation; 5] =
        [Operation::Cut, Operation::Bent, Operation::Notched, Operation::Tacked, Operation::Welded];

    /// In a word.
    pub fn word(self) -> &'static str {
        match self {
            Operation::Cut => "cut",
            Operation::Bent => "bent",
            Operation::Notched => "notched",
            Operation::Tacked => "tacked",
            Operation::Welded => "welded",
        }
    }
}

/// An operation done, or taken back.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Tick {
    /// The piece.
    pub piece: String,
    /// The operation.
    pub operation: Operation,
    /// Whether it is done.
    pub done: bool,
}

/// A measured length.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Measurement {
    /// The piece.
    pub piece: String,
    /// What was measured: `over long points`.
    pub what: String,
    /// m; `None`: it is withdrawn.
    pub value: Option<f64>,
}

/// A piece cut from a stick.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Used {
    /// The piece.
    pub piece: String,
    /// The mark on the stick or offcut.
    pub stick: String,
    /// How long the stick was before its first cut, m, if that is known.
    pub whole: Option<f64>,
    /// Where it stood, if that is known.
    pub place: Option<String>,
    /// What was taken, m.
    pub length: f64,
    /// What is left of it, m; `None`: the piece was not cut from it after all.
    pub left: Option<f64>,
}

/// A reading of the measured sheet, taken on the car. What it reads stands in the sheet alone.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Taken {
    /// The table of the sheet: `tape`.
    pub table: String,
    /// The name of its entry.
    pub name: String,
}

/// What was done.
#[derive(Clone, Debug, PartialEq)]
pub enum Doing {
    /// An operation.
    Tick(Tick),
    /// A length was measured.
    Measured(Measurement),
    /// A stick was cut.
    Used(Used),
    /// Something was measured on the car.
    Reading(Taken),
    /// A piece has another name: from, to.
    Renamed(String, String),
}

/// What was done, by whom and when.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// Counts up in the order in which events came in.
    pub number: i64,
    /// Made by who sent it: what comes twice counts once.
    pub id: String,
    /// When, ms since 1970, by the clock of who sent it.
    pub at: i64,
    /// Who; may be empty.
    pub who: String,
    /// What.
    pub doing: Doing,
}

/// An event that was added, or was there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Added {
    /// Its number.
    pub number: i64,
    /// Whether it was new.
    pub fresh: bool,
}

/// How an operation stands: the last that was said of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Standing {
    /// Whether it is done.
    pub done: bool,
    /// Who said so.
    pub who: String,
    /// When.
    pub at: i64,
}

fn read(r: &Row<'_>) -> rusqlite::Result<Option<Event>> {
    let (kind, piece, what): (String, String, String) = (r.get(4)?, r.get(5)?, r.get(6)?);
    let (value, left): (Option<f64>, Option<f64>) = (r.get(7)?, r.get(8)?);
    let doing = match kind.as_str() {
        "tick" => Operation::ALL
            .into_iter()
            .find(|o| o.word() == what)
            .map(|operation| Doing::Tick(Tick { piece, operation, done: value.unwrap_or(0.0) > 0.5 })),
        "measured" => Some(Doing::Measured(Measurement { piece, what, value })),
        "used" => {
            let (whole, place) = (r.get(9)?, r.get(10)?);
            Some(Doing::Used(Used { piece, stick: what, whole, place, length: value.unwrap_or(0.0), left }))
        }
        "reading" => Some(Doing::Reading(Taken { table: piece, name: what })),
        "renamed" => Some(Doing::Renamed(piece, what)),
        _ => None,
    };
    let (number, id, at, who) = (r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?);
    Ok(doing.map(|doing| Event { number, id, at, who, doing }))
}

/// A name with another stem: `sill~` of `sill` to `rail` is `rail~`.
fn renamed(name: &str, from: &str, to: &str) -> Option<String> {
    let rest = name.strip_prefix(from)?;
    (rest.is_empty() || rest == "~").then(|| format!("{to}{rest}"))
}

impl Record {
    /// Adds what was done. An id that is known already adds nothing, and is told as the first time.
    ///
    /// # Errors
    /// If the file can't be written; so for all below.
    pub fn done(&mut self, id: &str, doing: &Doing, who: &str, at: i64) -> Result<Added, RecordError> {
        let tx = self.db.transaction()?;
        let known = tx.query_row("SELECT number FROM event WHERE id = ?1", [id], |r| r.get(0)).optional()?;
        if let Some(number) = known {
            return Ok(Added { number, fresh: false });
        }
        let (kind, piece, what, value, left) = match doing {
            Doing::Tick(t) => ("tick", &t.piece, t.operation.word(), Some(if t.done { 1.0 } else { 0.0 }), None),
            Doing::Measured(m) => ("measured", &m.piece, m.what.as_str(), m.value, None),
            Doing::Used(u) => ("used", &u.piece, u.stick.as_str(), Some(u.length), u.left),
            Doing::Reading(r) => ("reading", &r.table, r.name.as_str(), None, None),
            Doing::Renamed(from, to) => ("renamed", from, to.as_str(), None, None),
        };
        let (whole, place) = match doing {
            Doing::Used(u) => (u.whole, u.place.as_deref()),
            _ => (None, None),
        };
        let put = "INSERT INTO event (id, at, who, kind, piece, what, value, left_over, whole, place)
                   VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)";
        tx.execute(put, params![id, at, who, kind, piece, what, value, left, whole, place])?;
        let number = tx.last_insert_rowid();
        tx.commit()?;
        Ok(Added { number, fresh: true })
    }

    /// Whether something of this id was done.
    pub fn knows(&self, id: &str) -> Result<bool, RecordError> {
        Ok(self.db.prepare_cached("SELECT 1 FROM event WHERE id = ?1")?.exists([id])?)
    }

    /// Who took each reading last, and when.
    pub fn taken(&self) -> Result<BTreeMap<Taken, (String, i64)>, RecordError> {
        let all = self.since(0)?.into_iter();
        Ok(all.filter_map(|e| if let Doing::Reading(r) = e.doing { Some((r, (e.who, e.at))) } else { None }).collect())
    }

    /// What was done after a number, in order.
    pub fn since(&self, number: i64) -> Result<Vec<Event>, RecordError> {
        let mut q = self.db.prepare_cached(
            "SELECT number, id, at, who, kind, piece, what, value, left_over, whole, place FROM event WHERE number > ?1 ORDER BY number",
        )?;
        let rows = q.query_map([number], read)?;
        Ok(rows.filter_map(Result::transpose).collect::<Result<_, _>>()?)
    }

    /// How every operation of every piece stands, under the names that pieces have now.
    pub fn standing(&self) -> Result<BTreeMap<(String, Operation), Standing>, RecordError> {
        let mut out: BTreeMap<(String, Operation), Standing> = BTreeMap::new();
        for e in self.since(0)? {
            match e.doing {
                Doing::Tick(t) => {
                    out.insert((t.piece, t.operation), Standing { done: t.done, who: e.who, at: e.at });
                }
                Doing::Renamed(from, to) => {
                    out = out.into_iter().map(|((p, o), s)| ((renamed(&p, &from, &to).unwrap_or(p), o), s)).collect();
                }
                Doing::Measured(_) | Doing::Used(_) | Doing::Reading(_) => {}
            }
        }
        Ok(out)
    }

    /// The last value of everything measured, m, under the names that pieces have now; what was withdrawn is left out.
    pub fn measured(&self) -> Result<BTreeMap<(String, String), f64>, RecordError> {
        let mut out: BTreeMap<(String, String), f64> = BTreeMap::new();
        for e in self.since(0)? {
            match e.doing {
                Doing::Measured(m) => match m.value {
                    Some(v) => {
                        out.insert((m.piece, m.what), v);
                    }
                    None => {
                        out.remove(&(m.piece, m.what));
                    }
                },
                Doing::Renamed(from, to) => {
                    out = out.into_iter().map(|((p, w), v)| ((renamed(&p, &from, &to).unwrap_or(p), w), v)).collect();
                }
                Doing::Tick(_) | Doing::Used(_) | Doing::Reading(_) => {}
            }
        }
        Ok(out)
    }

    /// The stick that each piece was cut from, under the names that pieces have now, in the order of cutting; what was
    /// withdrawn is left out.
    pub fn used(&self) -> Result<Vec<Used>, RecordError> {
        let mut out: Vec<Used> = Vec::new();
        for e in self.since(0)? {
            match e.doing {
                Doing::Used(u) => {
                    out.retain(|o| o.piece != u.piece);
                    if u.left.is_some() {
                        out.push(u);
                    }
                }
                Doing::Renamed(from, to) => {
                    for u in &mut out {
                        if let Some(name) = renamed(&u.piece, &from, &to) {
                            u.piece = name;
                        }
                    }
                }
                Doing::Tick(_) | Doing::Measured(_) | Doing::Reading(_) => {}
            }
        }
        Ok(out)
    }
}
