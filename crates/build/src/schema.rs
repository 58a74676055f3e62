//! The file's form, and its opening.

use std::path::Path;
use std::time::Duration;

use rusqlite::{Connection, ErrorCode};

use crate::RecordError;

/// Marks the file as a record: `tube` in ASCII.
const MARK: i64 = 0x7475_6265;

/// Steps from one form to the next; the number of those done is the file's version.
const STEPS: &[&str] = &[
    "
    CREATE TABLE state (
        id INTEGER PRIMARY KEY AUTOINCREMENT,
        parent INTEGER REFERENCES state (id),
        at INTEGER NOT NULL,
        who TEXT NOT NULL,
        what TEXT NOT NULL,
        text TEXT NOT NULL,
        -- Which child was gone back from last: there redo goes.
        next INTEGER REFERENCES state (id)
    );
    CREATE INDEX state_parent ON state (parent);
    CREATE TABLE current (one INTEGER PRIMARY KEY CHECK (one = 1), state INTEGER NOT NULL REFERENCES state (id));
    CREATE TABLE draft (
        id INTEGER PRIMARY KEY AUTOINCREMENT, at INTEGER NOT NULL, what TEXT NOT NULL, text TEXT NOT NULL
    );
    CREATE TABLE event (
        number INTEGER PRIMARY KEY AUTOINCREMENT,
        id TEXT NOT NULL UNIQUE,
        at INTEGER NOT NULL,
        who TEXT NOT NULL,
        kind TEXT NOT NULL,
        piece TEXT NOT NULL,
        -- The operation, what was measured, or the stick.
        what TEXT NOT NULL,
        -- 1 and 0 for done and not; m; nothing if withdrawn.
        value REAL,
        -- What is left of a stick, m.
        left_over REAL
    );
    CREATE INDEX event_piece ON event (kind, piece, what);
    CREATE TABLE setting (key TEXT PRIMARY KEY, value TEXT NOT NULL);
",
    "
    -- How long a stick was before the first cut, m, and where it stood.
    ALTER TABLE event ADD COLUMN whole REAL;
    ALTER TABLE event ADD COLUMN place TEXT;
",
];

/// How long to wait for another program's lock.
const WAIT: Duration = Duration::from_secs(3);

/// Opens a file, or begins one.
pub fn open(path: &Path) -> Result<Connection, RecordError> {
    let of = |e: rusqlite::Error| match e.sqlite_error_code() {
        Some(ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt) => RecordError::NoRecord(path.to_owned()),
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => RecordError::Locked,
        _ => RecordError::Open(path.to_owned(), e),
    };
    let mut db = Connection::open(path).map_err(of)?;
    db.busy_timeout(WAIT).map_err(of)?;
    let number = |db: &Connection, name: &str| db.query_row(&format!("PRAGMA {name}"), [], |r| r.get::<_, i64>(0));
    let tables: i64 = db.query_row("SELECT count(*) FROM sqlite_master", [], |r| r.get(0)).map_err(of)?;
    let (mark, version) = (number(&db, "application_id").map_err(of)?, number(&db, "user_version").map_err(of)?);
    // A file of another program's, even an empty one of its kind, is not ours to write to.
    if mark != MARK && (tables > 0 || mark != 0) {
        return Err(RecordError::NoRecord(path.to_owned()));
    }
    if version > STEPS.len() as i64 {
        return Err(RecordError::Newer(path.to_owned(), version));
    }
    db.pragma_update(None, "journal_mode", "WAL").map_err(of)?;
    db.pragma_update(None, "synchronous", "FULL").map_err(of)?;
    db.pragma_update(None, "foreign_keys", true).map_err(of)?;
    if version < STEPS.len() as i64 {
        let tx = db.transaction().map_err(of)?;
        for step in &STEPS[version.max(0) as usize..] {
            tx.execute_batch(step).map_err(of)?;
        }
        tx.pragma_update(None, "application_id", MARK).map_err(of)?;
        tx.pragma_update(None, "user_version", STEPS.len() as i64).map_err(of)?;
        tx.commit().map_err(of)?;
    }
    Ok(db)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A record as the first version wrote it is read, and nothing of it is lost.
    #[test]
    fn an_older_record_is_brought_up_to_date() {
        let path = std::env::temp_dir().join(format!("tubewright-older-{}.db", std::process::id()));
        let clear = || {
            for end in ["", "-wal", "-shm"] {
                let _ = std::fs::remove_file(format!("{}{end}", path.display()));
            }
        };
        clear();
        let old = Connection::open(&path).unwrap();
        old.execute_batch(STEPS[0]).unwrap();
        old.pragma_update(None, "application_id", MARK).unwrap();
        old.pragma_update(None, "user_version", 1).unwrap();
        let put = "INSERT INTO event (id, at, who, kind, piece, what, value, left_over) VALUES ('a', 1, 'Ida', 'used', 'sill', 'B2', 1.5, 0.4)";
        old.execute(put, []).unwrap();
        drop(old);
        let record = crate::Record::open(&path).unwrap();
        let used = record.used().unwrap();
        assert_eq!((used[0].stick.as_str(), used[0].left, used[0].whole), ("B2", Some(0.4), None));
        drop(record);
        clear();
    }
}
