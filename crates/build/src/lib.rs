//! The shop's record of one design, in one SQLite file beside it: every text that the design has had, what is done to
//! which piece, what was measured, what was taken from the rack.
//!
//! Nothing in it is overwritten: a tick that is taken back is a second event. What a call has returned from is on the disk
//! (write-ahead log, synchronous=FULL), so a process that is killed loses nothing that it has acknowledged.

mod error;
mod history;
mod schema;
mod shop;

use std::path::Path;

use rusqlite::Connection;

pub use error::RecordError;
pub use history::{Draft, State};
pub use shop::{Added, Doing, Event, Measurement, Operation, Standing, Taken, Tick, Used};

/// A record that is open.
#[derive(Debug)]
pub struct Record {
    db: Connection,
}

impl Record {
    /// Opens the record in a file, or begins one.
    ///
    /// # Errors
    /// If the file is no record, is from a newer version, is damaged, or can't be read or written. It is then left as it is.
    pub fn open(path: &Path) -> Result<Record, RecordError> {
        Ok(Record { db: schema::open(path)? })
    }

    /// A setting of the record's own, such as the token for phones.
    ///
    /// # Errors
    /// If the file can't be read.
    pub fn setting(&self, key: &str) -> Result<Option<String>, RecordError> {
        let mut found = self.db.prepare_cached("SELECT value FROM setting WHERE key = ?1")?;
        let mut rows = found.query([key])?;
        Ok(rows.next()?.map(|r| r.get(0)).transpose()?)
    }

    /// Keeps a setting.
    ///
    /// # Errors
    /// If the file can't be written.
    pub fn set_setting(&mut self, key: &str, value: &str) -> Result<(), RecordError> {
        let put = "INSERT INTO setting (key, value) VALUES (?1, ?2) ON CONFLICT (key) DO UPDATE SET value = ?2";
        self.db.execute(put, [key, value])?;
        Ok(())
    }
}
