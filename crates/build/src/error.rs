//! What can go wrong with a record.

use std::fmt;
use std::path::PathBuf;

/// Why a record can't be used.
#[derive(Debug)]
pub enum RecordError {
    /// It was written by a newer version of the program: the file and its version.
    Newer(PathBuf, i64),
    /// The file is not a record.
    NoRecord(PathBuf),
    /// Another program has it locked.
    Locked,
    /// There is no state of this number.
    NoState(i64),
    /// The file can't be opened.
    Open(PathBuf, rusqlite::Error),
    /// Reading or writing failed.
    Failed(rusqlite::Error),
}

impl From<rusqlite::Error> for RecordError {
    fn from(e: rusqlite::Error) -> RecordError {
        match e.sqlite_error_code() {
            Some(rusqlite::ErrorCode::DatabaseBusy | rusqlite::ErrorCode::DatabaseLocked) => RecordError::Locked,
            _ => RecordError::Failed(e),
        }
    }
}

impl fmt::Display for RecordError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            RecordError::Newer(path, version) => write!(
                f,
                "{} was written by a newer version of this program (its form has number {version}); use that one",
                path.display()
            ),
            RecordError::NoRecord(path) => write!(
                f,
                "{} is not a record of this program, or it is damaged; it is left as it is: move it away, and a new one is begun",
                path.display()
            ),
            RecordError::Locked => {
                write!(f, "another program holds the shop's record; close it, or wait until it is done")
            }
            RecordError::NoState(n) => write!(f, "the history has no state {n}"),
            RecordError::Open(path, e) => write!(
                f,
                "can't open the shop's record {}: {e}; see whether its folder can be written to",
                path.display()
            ),
            RecordError::Failed(e) => write!(f, "the shop's record can't be read or written: {e}"),
        }
    }
}

impl std::error::Error for RecordError {}
