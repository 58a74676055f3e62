//! The design's text: changed by the page, by an editor, by going back; on the disk and in the record.

use std::path::Path;
use std::sync::Arc;

use build::{Doing, Record, RecordError, State};
use cutting::Detail;
use design::{Design, Document, Edit, Problem};
use review::{Made, Review};
use strength::Depth;

use super::problems::{plain, texts};
use super::{Keeper, clock};
use crate::files;
use crate::view;
use crate::wire::{ProblemText, Saved};

/// The answers to a document.
pub fn review(path: &Path, doc: &Document, made: &Made, depth: Depth) -> Result<Review, Vec<Problem>> {
    let design = Arc::new(doc.design().clone());
    let (given, _) = crate::curves::given(path, &design);
    // What nobody waits for is worked out as for the packet, so that page, phone, terminal and paper say the same.
    let detail = if depth >= Depth::Full { Detail::SHEET } else { Detail::LIVE };
    review::with_given(design, &given, made, detail, depth)
}

/// What changes would make of a document.
pub fn tried(path: &Path, doc: &Document, made: &Made, edits: &[Edit]) -> Result<(Document, Review), Vec<ProblemText>> {
    let mut doc = doc.clone();
    doc.apply_all(edits).map_err(|r| texts(&r.problems, &r.text))?;
    let r = review(path, &doc, made, Depth::Live).map_err(|p| texts(&p, doc.text()))?;
    Ok((doc, r))
}

/// Tubes that have another name in the new design: at the same place of as long a list, where the old name is gone and the
/// new one was not there.
fn renamed(old: &Design, new: &Design) -> Vec<(String, String)> {
    let has = |d: &Design, name: &str| d.tubes.iter().any(|t| t.name == name);
    if old.tubes.len() != new.tubes.len() {
        return Vec::new();
    }
    old.tubes
        .iter()
        .zip(&new.tubes)
        .filter(|(a, b)| a.name != b.name && !has(new, &a.name) && !has(old, &b.name))
        .map(|(a, b)| (a.name.clone(), b.name.clone()))
        .collect()
}

/// The state of the record that the file's text is; a text that the record does not know is a new one.
pub fn begun(record: &mut Record, text: &str) -> Result<i64, RecordError> {
    let what = if record.now()?.is_some() { "changed outside, while this was closed" } else { "opened" };
    Ok(record.add(text, what, "", clock())?.id)
}

impl Keeper {
    /// Makes changes: all or none.
    pub(super) fn make(&mut self, edits: &[Edit], what: &str, who: &str) -> Result<(), Vec<ProblemText>> {
        let before = (self.state, self.doc.clone());
        self.changed();
        self.may_write()?;
        match tried(&self.path, &self.doc, &self.made, edits) {
            Ok((doc, review)) => {
                if doc.text() == self.doc.text() {
                    return Ok(());
                }
                let state = self.kept(|r| r.add(doc.text(), what, who, clock()))?;
                self.put(doc, review, state.id);
                self.write();
                Ok(())
            }
            Err(problems) => {
                // The file may have changed under the page: then the change may still go with what the page saw.
                if self.state != before.0
                    && let Ok((mine, _)) = tried(&self.path, &before.1, &self.made, edits)
                {
                    let theirs = self.state;
                    self.kept(|r| r.goto(before.0).map(|_| ()))?;
                    let mine = self.kept(|r| r.add(mine.text(), what, who, clock()))?;
                    self.kept(|r| r.goto(theirs).map(|_| ()))?;
                    self.saved = Saved::Conflict { mine: what.to_owned(), mine_state: mine.id, theirs_state: theirs };
                    self.show();
                }
                Err(problems)
            }
        }
    }

    /// Goes to another state of the history.
    pub(super) fn step(
        &mut self,
        way: impl FnOnce(&mut Record) -> Result<Option<State>, RecordError>,
    ) -> Result<(), Vec<ProblemText>> {
        self.changed();
        if let Saved::Unreadable { .. } = self.saved {
            // What can't be read is somebody's work, too.
            let broken = self.on_disk.clone();
            self.kept(|r| r.set_draft(&broken, "a text that could not be read", clock()))?;
        }
        let was = self.state;
        let Some(state) = self.kept(way)? else { return Ok(()) };
        let read = Document::open(&state.text)
            .and_then(|doc| review(&self.path, &doc, &self.made, Depth::Live).map(|r| (doc, r)));
        match read {
            Ok((doc, review)) => {
                self.put(doc, review, state.id);
                self.write();
                Ok(())
            }
            Err(p) => {
                self.kept(|r| r.goto(was))?;
                Err(texts(&p, &state.text))
            }
        }
    }

    fn kept<T>(&mut self, f: impl FnOnce(&mut Record) -> Result<T, RecordError>) -> Result<T, Vec<ProblemText>> {
        f(&mut self.record)
            .map_err(|e| vec![plain(e.to_string(), "look whether the disk is full, or the folder can't be written to")])
    }

    fn may_write(&self) -> Result<(), Vec<ProblemText>> {
        match &self.saved {
            Saved::Unreadable { problems } => {
                let first = problems.first();
                let at = first.and_then(|p| p.line).map_or(String::new(), |l| format!(", line {l}"));
                let why = first.map_or(String::new(), |p| format!(": {}", p.what));
                Err(vec![plain(
                    format!("nothing is changed while {}{at} can't be read{why}", self.file),
                    "mend it in the editor, or go back to a state of the history, which writes that over it",
                )])
            }
            _ => Ok(()),
        }
    }

    /// Shows a new state. What was done to pieces goes with them to their new names.
    pub(super) fn put(&mut self, doc: Document, review: Review, state: i64) {
        for (from, to) in renamed(self.doc.design(), doc.design()) {
            let id = format!("renamed {} {state} {from} {to} {}", self.state, clock());
            // That a name is not carried over is no reason to stop the work on the design.
            let _ = self.record.done(&id, &Doing::Renamed(from, to), "", clock());
        }
        self.keep_built();
        self.bodies = Arc::new(view::meshes(&review));
        self.review = Arc::new(review);
        self.doc = doc;
        self.state = state;
        self.found = super::deep::Found::default();
        self.lay();
        self.deepen();
    }

    /// Writes the state shown to the file.
    fn write(&mut self) {
        let before = self.saved.clone();
        self.saved = match files::write(&self.path, self.doc.text().as_bytes()) {
            Ok(()) => {
                self.on_disk = self.doc.text().to_owned();
                Saved::Written
            }
            Err(why) => Saved::NotWritten { why },
        };
        if self.saved != before {
            self.show();
        }
    }

    /// Looks whether the file says something else than what was last read or written.
    pub(super) fn changed(&mut self) {
        let text = match files::text(&self.path) {
            Ok(text) => text,
            Err(why) => {
                let help = "put the file back, or go to a state of the history, which writes it anew";
                return self.outside(Saved::Unreadable { problems: vec![plain(why, help)] });
            }
        };
        if text == self.on_disk {
            return;
        }
        self.on_disk = text.clone();
        if text == self.doc.text() {
            return self.outside(Saved::Written);
        }
        let read =
            Document::open(&text).and_then(|doc| review(&self.path, &doc, &self.made, Depth::Live).map(|r| (doc, r)));
        match read {
            Ok((doc, review)) => match self.record.add(&text, "changed outside", "", clock()) {
                Ok(state) => {
                    self.saved = Saved::Written;
                    self.put(doc, review, state.id);
                }
                Err(e) => self.outside(Saved::NotWritten { why: e.to_string() }),
            },
            Err(p) => self.outside(Saved::Unreadable { problems: texts(&p, &text) }),
        }
    }

    fn outside(&mut self, saved: Saved) {
        if self.saved != saved {
            self.saved = saved;
            self.show();
        }
    }
}
