//! The history against a plain tree in memory, and over restarts.

use std::path::PathBuf;

use build::{Record, RecordError};
use proptest::prelude::*;

fn file(name: &str) -> PathBuf {
    let path = std::env::temp_dir().join(format!("tubewright-record-{name}-{}.db", std::process::id()));
    for end in ["", "-wal", "-shm"] {
        let _ = std::fs::remove_file(format!("{}{end}", path.display()));
    }
    path
}

/// A tree as one would draw it.
#[derive(Default)]
struct Tree {
    /// Parent, text, and the child that redo takes.
    states: Vec<(Option<usize>, String, Option<usize>)>,
    now: Option<usize>,
}

impl Tree {
    fn add(&mut self, text: &str) {
        if self.now.is_some_and(|n| self.states[n].1 == text) {
            return;
        }
        self.states.push((self.now, text.to_owned(), None));
        let new = self.states.len() - 1;
        if let Some(n) = self.now {
            self.states[n].2 = Some(new);
        }
        self.now = Some(new);
    }

    fn undo(&mut self) {
        if let Some((n, p)) = self.now.and_then(|n| Some((n, self.states[n].0?))) {
            self.states[p].2 = Some(n);
            self.now = Some(p);
        }
    }

    fn redo(&mut self) {
        if let Some(next) = self.now.and_then(|n| self.states[n].2) {
            self.now = Some(next);
        }
    }

    fn goto(&mut self, to: usize) {
        let mut n = to;
        while let Some(p) = self.states[n].0 {
            self.states[p].2 = Some(n);
            n = p;
        }
        self.now = Some(to);
    }

    fn steps(&self) -> [u32; 2] {
        let walk = |way: &dyn Fn(usize) -> Option<usize>| {
            std::iter::successors(self.now.and_then(way), |n| way(*n)).count() as u32
        };
        [walk(&|n| self.states[n].0), walk(&|n| self.states[n].2)]
    }
}

#[derive(Clone, Debug)]
enum Step {
    Add(u8),
    Undo,
    Redo,
    Goto(u8),
    Reopen,
}

fn step() -> impl Strategy<Value = Step> {
    prop_oneof![
        3 => (0u8..4).prop_map(Step::Add),
        3 => Just(Step::Undo),
        2 => Just(Step::Redo),
        1 => any::<u8>().prop_map(Step::Goto),
        1 => Just(Step::Reopen),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_walk_through_the_history_is_that_of_a_plain_tree(steps in proptest::collection::vec(step(), 1..40)) {
        let path = file("walk");
        let (mut record, mut tree) = (Record::open(&path).unwrap(), Tree::default());
        let mut ids: Vec<i64> = Vec::new();
        for s in &steps {
            match s {
                Step::Add(k) => {
                    let text = format!("text {k}");
                    let state = record.add(&text, "a change", "Ida", 1).unwrap();
                    tree.add(&text);
                    if tree.states.len() > ids.len() {
                        ids.push(state.id);
                    }
                }
                Step::Undo => { record.undo().unwrap(); tree.undo(); }
                Step::Redo => { record.redo().unwrap(); tree.redo(); }
                Step::Goto(k) if !ids.is_empty() => {
                    let to = usize::from(*k) % ids.len();
                    record.goto(ids[to]).unwrap();
                    tree.goto(to);
                }
                Step::Goto(_) => prop_assert!(matches!(record.goto(1), Err(RecordError::NoState(1)))),
                Step::Reopen => {
                    drop(record);
                    record = Record::open(&path).unwrap();
                }
            }
            let now = record.now().unwrap();
            prop_assert_eq!(now.as_ref().map(|s| s.text.clone()), tree.now.map(|n| tree.states[n].1.clone()));
            prop_assert_eq!(now.map(|s| s.id), tree.now.map(|n| ids[n]));
            prop_assert_eq!(record.steps().unwrap(), tree.steps());
        }
        prop_assert_eq!(record.history(1000, None).unwrap().len(), ids.len());
    }
}

#[test]
fn files_that_are_no_record_are_told_and_left_as_they_are() {
    for (name, bytes) in [
        ("text", b"not a database at all, but some text of a person".to_vec()),
        ("cut", {
            // A record cut in half.
            let whole = file("whole");
            let mut r = Record::open(&whole).unwrap();
            for k in 0..50 {
                r.add(&format!("{k} {}", "x".repeat(2000)), "a change", "", k).unwrap();
            }
            drop(r);
            let bytes = std::fs::read(&whole).unwrap();
            bytes[..bytes.len() / 2 + 100].to_vec()
        }),
    ] {
        let path = file(name);
        std::fs::write(&path, &bytes).unwrap();
        let told = Record::open(&path).and_then(|r| r.history(1000, None).map(|h| h.len()));
        let why = told.unwrap_err().to_string();
        assert!(!why.is_empty(), "{name}");
        assert_eq!(std::fs::read(&path).unwrap(), bytes, "{name}");
    }
}

#[test]
fn a_newer_record_and_another_programs_database_are_not_touched() {
    let path = file("newer");
    drop(Record::open(&path).unwrap());
    let db = rusqlite::Connection::open(&path).unwrap();
    db.pragma_update(None, "user_version", 99).unwrap();
    drop(db);
    assert!(matches!(Record::open(&path), Err(RecordError::Newer(_, 99))));
    let path = file("other");
    let db = rusqlite::Connection::open(&path).unwrap();
    db.execute_batch("CREATE TABLE theirs (x)").unwrap();
    drop(db);
    assert!(matches!(Record::open(&path), Err(RecordError::NoRecord(_))));
}

#[test]
fn texts_that_cannot_be_read_are_all_kept() {
    let mut r = Record::open(&file("draft")).unwrap();
    r.set_draft("half", "first", 1).unwrap();
    r.set_draft("other half", "second", 2).unwrap();
    let texts: Vec<String> = r.drafts().unwrap().into_iter().map(|d| d.text).collect();
    assert_eq!(texts, ["other half", "half"]);
}
