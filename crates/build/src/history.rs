//! Every text that the design has had: a tree of states, one of them the current.

use rusqlite::{Connection, OptionalExtension, Row, params};

use crate::{Record, RecordError};

/// A text that the design had.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct State {
    /// Its number.
    pub id: i64,
    /// The state that it was made from.
    pub parent: Option<i64>,
    /// When, ms since 1970.
    pub at: i64,
    /// Who; may be empty.
    pub who: String,
    /// What was done: `moved dash_mid`.
    pub what: String,
    /// The whole file. Empty in a list.
    pub text: String,
}

/// A text that could not be read, kept because it is somebody's work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draft {
    /// When, ms since 1970.
    pub at: i64,
    /// What it is.
    pub what: String,
    /// The text.
    pub text: String,
}

fn read(r: &Row<'_>) -> rusqlite::Result<State> {
    Ok(State { id: r.get(0)?, parent: r.get(1)?, at: r.get(2)?, who: r.get(3)?, what: r.get(4)?, text: r.get(5)? })
}

const COLUMNS: &str = "id, parent, at, who, what, text";

fn state(db: &Connection, id: i64) -> Result<Option<State>, RecordError> {
    let mut q = db.prepare_cached(&format!("SELECT {COLUMNS} FROM state WHERE id = ?1"))?;
    Ok(q.query_row([id], read).optional()?)
}

fn set_current(db: &Connection, id: i64) -> Result<(), RecordError> {
    let put = "INSERT INTO current (one, state) VALUES (1, ?1) ON CONFLICT (one) DO UPDATE SET state = ?1";
    db.execute(put, [id])?;
    Ok(())
}

fn current(db: &Connection) -> Result<Option<i64>, RecordError> {
    Ok(db.prepare_cached("SELECT state FROM current")?.query_row([], |r| r.get(0)).optional()?)
}

impl Record {
    /// The current state; `None` in a new record.
    ///
    /// # Errors
    /// If the file can't be read; so for all below.
    pub fn now(&self) -> Result<Option<State>, RecordError> {
        current(&self.db)?.map_or(Ok(None), |id| state(&self.db, id))
    }

    /// Adds a text as a child of the current state, and makes it the current one. A text that is the current one's adds
    /// nothing.
    pub fn add(&mut self, text: &str, what: &str, who: &str, at: i64) -> Result<State, RecordError> {
        let tx = self.db.transaction()?;
        let parent = current(&tx)?;
        if let Some(now) = parent.map_or(Ok(None), |id| state(&tx, id))?
            && now.text == text
        {
            return Ok(now);
        }
        let put = "INSERT INTO state (parent, at, who, what, text) VALUES (?1, ?2, ?3, ?4, ?5)";
        tx.execute(put, params![parent, at, who, what, text])?;
        let id = tx.last_insert_rowid();
        // What was gone back from stays in the tree; redo now has nowhere to go.
        if let Some(p) = parent {
            tx.execute("UPDATE state SET next = ?1 WHERE id = ?2", [id, p])?;
        }
        set_current(&tx, id)?;
        tx.commit()?;
        Ok(State { id, parent, at, who: who.to_owned(), what: what.to_owned(), text: text.to_owned() })
    }

    /// Goes to the state that the current one was made from; `None` if there is none.
    pub fn undo(&mut self) -> Result<Option<State>, RecordError> {
        let tx = self.db.transaction()?;
        let Some(now) = current(&tx)?.map_or(Ok(None), |id| state(&tx, id))? else { return Ok(None) };
        let Some(parent) = now.parent else { return Ok(None) };
        tx.execute("UPDATE state SET next = ?1 WHERE id = ?2", [now.id, parent])?;
        set_current(&tx, parent)?;
        let to = state(&tx, parent)?;
        tx.commit()?;
        Ok(to)
    }

    /// Goes to the child of the current state that was left or made last; `None` if there is none.
    pub fn redo(&mut self) -> Result<Option<State>, RecordError> {
        let tx = self.db.transaction()?;
        let Some(id) = current(&tx)? else { return Ok(None) };
        let next: Option<i64> = tx.query_row("SELECT next FROM state WHERE id = ?1", [id], |r| r.get(0))?;
        let Some(next) = next else { return Ok(None) };
        set_current(&tx, next)?;
        let to = state(&tx, next)?;
        tx.commit()?;
        Ok(to)
    }

    /// Goes to any state. The ways to it from its first state are then those that redo takes.
    pub fn goto(&mut self, id: i64) -> Result<Option<State>, RecordError> {
        let tx = self.db.transaction()?;
        let Some(to) = state(&tx, id)? else { return Err(RecordError::NoState(id)) };
        let (mut child, mut parent) = (to.id, to.parent);
        while let Some(p) = parent {
            tx.execute("UPDATE state SET next = ?1 WHERE id = ?2", [child, p])?;
            child = p;
            parent = tx.query_row("SELECT parent FROM state WHERE id = ?1", [p], |r| r.get(0))?;
        }
        set_current(&tx, id)?;
        tx.commit()?;
        Ok(Some(to))
    }

    /// How many steps undo and redo can take.
    pub fn steps(&self) -> Result<[u32; 2], RecordError> {
        let count = |way: &str| -> Result<u32, RecordError> {
            let q = format!(
                "WITH RECURSIVE walk (id) AS (SELECT s.{way} FROM state s, current c WHERE s.id = c.state UNION ALL SELECT s.{way} \
                 FROM state s JOIN walk w ON s.id = w.id WHERE w.id IS NOT NULL) SELECT count(id) FROM walk"
            );
            Ok(self.db.prepare_cached(&q)?.query_row([], |r| r.get(0))?)
        };
        Ok([count("parent")?, count("next")?])
    }

    /// So many states before one, or the last ones; newest first, without their texts.
    pub fn history(&self, limit: usize, before: Option<i64>) -> Result<Vec<State>, RecordError> {
        let mut q = self.db.prepare_cached(
            "SELECT id, parent, at, who, what, '' FROM state WHERE id < ?1 ORDER BY id DESC LIMIT ?2",
        )?;
        let rows = q.query_map(params![before.unwrap_or(i64::MAX), limit as i64], read)?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Keeps a text that can't be read.
    pub fn set_draft(&mut self, text: &str, what: &str, at: i64) -> Result<(), RecordError> {
        self.db.execute("INSERT INTO draft (at, what, text) VALUES (?1, ?2, ?3)", params![at, what, text])?;
        Ok(())
    }

    /// All texts kept that could not be read, newest first.
    pub fn drafts(&self) -> Result<Vec<Draft>, RecordError> {
        let mut q = self.db.prepare_cached("SELECT at, what, text FROM draft ORDER BY id DESC")?;
        let rows = q.query_map([], |r| Ok(Draft { at: r.get(0)?, what: r.get(1)?, text: r.get(2)? }))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}
