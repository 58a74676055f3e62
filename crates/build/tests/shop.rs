//! What is done in the shop: twice sent, taken back, renamed; and after the process was killed.

use std::io::{BufRead, BufReader};
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::Duration;

use build::{Doing, Measurement, Operation, Record, Tick, Used};

fn file(name: &str) -> PathBuf {
    let path = std::env::temp_dir().join(format!("tubewright-shop-{name}-{}.db", std::process::id()));
    for end in ["", "-wal", "-shm"] {
        let _ = std::fs::remove_file(format!("{}{end}", path.display()));
    }
    path
}

fn tick(piece: &str, operation: Operation, done: bool) -> Doing {
    Doing::Tick(Tick { piece: piece.into(), operation, done })
}

fn length(piece: &str, value: Option<f64>) -> Doing {
    Doing::Measured(Measurement { piece: piece.into(), what: "over long points".into(), value })
}

#[test]
fn what_comes_twice_counts_once_and_the_last_word_stands() {
    let mut r = Record::open(&file("twice")).unwrap();
    let first = r.done("a", &tick("sill", Operation::Cut, true), "Ida", 5).unwrap();
    let again = r.done("a", &tick("sill", Operation::Cut, true), "Ida", 5).unwrap();
    assert!(first.fresh && !again.fresh && first.number == again.number);
    // The phone whose clock is behind speaks last.
    r.done("b", &tick("sill", Operation::Cut, false), "Tom", 2).unwrap();
    let stands = &r.standing().unwrap()[&("sill".to_owned(), Operation::Cut)];
    assert!(!stands.done && stands.who == "Tom");
    r.done("c", &length("sill", Some(0.862)), "", 6).unwrap();
    r.done("d", &length("sill~", Some(0.8625)), "", 7).unwrap();
    r.done("e", &length("sill", None), "", 8).unwrap();
    let measured = r.measured().unwrap();
    assert_eq!(measured.into_iter().map(|(k, v)| (k.0, v)).collect::<Vec<_>>(), [("sill~".to_owned(), 0.8625)]);
    assert_eq!(r.since(first.number).unwrap().len(), 4);
}

#[test]
fn a_piece_keeps_what_was_done_to_it_under_a_new_name() {
    let mut r = Record::open(&file("renamed")).unwrap();
    r.done("a", &tick("sill", Operation::Cut, true), "", 1).unwrap();
    r.done("b", &tick("sill~", Operation::Bent, true), "", 2).unwrap();
    r.done("c", &tick("sill_2", Operation::Cut, true), "", 3).unwrap();
    r.done("d", &length("sill~", Some(1.5)), "", 4).unwrap();
    r.done("e", &Doing::Renamed("sill".into(), "rocker".into()), "", 5).unwrap();
    let names: Vec<String> = r.standing().unwrap().into_keys().map(|k| k.0).collect();
    assert_eq!(names, ["rocker", "rocker~", "sill_2"]);
    assert_eq!(r.measured().unwrap().into_keys().next().unwrap().0, "rocker~");
}

fn used(piece: &str, stick: &str, left: Option<f64>) -> Doing {
    let (piece, stick, place) = (piece.into(), stick.into(), Some("left bay".into()));
    Doing::Used(Used { piece, stick, whole: Some(6.0), place, length: 1.2, left })
}

#[test]
fn the_stick_of_a_piece_is_the_last_that_was_said_and_follows_its_name() {
    let mut r = Record::open(&file("used")).unwrap();
    r.done("a", &used("sill", "B1", Some(4.8)), "Ida", 1).unwrap();
    r.done("b", &used("sill~", "B1", Some(3.6)), "Ida", 2).unwrap();
    r.done("c", &used("brace", "B2", Some(1.0)), "Ida", 3).unwrap();
    // Said again: it was another one. And one was not cut after all.
    r.done("d", &used("sill", "B3", Some(0.0)), "Tom", 4).unwrap();
    r.done("e", &used("brace", "B2", None), "Tom", 5).unwrap();
    r.done("f", &Doing::Renamed("sill".into(), "rocker".into()), "", 6).unwrap();
    let all: Vec<_> = r.used().unwrap().into_iter().map(|u| (u.piece, u.stick, u.left, u.whole)).collect();
    let is = |p: &str, s: &str, left| (p.to_owned(), s.to_owned(), Some(left), Some(6.0));
    assert_eq!(all, [is("rocker~", "B1", 3.6), is("rocker", "B3", 0.0)]);
}

/// Not a test: what the killed process does.
#[test]
fn writes_until_it_is_killed() {
    let Some(path) = std::env::var_os("TUBEWRIGHT_KILLED") else { return };
    let from: u64 = std::env::var("TUBEWRIGHT_FROM").unwrap().parse().unwrap();
    let mut r = Record::open(path.as_ref()).unwrap();
    for k in from.. {
        r.done(&format!("event {k}"), &tick("sill", Operation::Cut, k % 2 == 0), "", k as i64).unwrap();
        r.add(&format!("text {k}"), &format!("change {k}"), "", k as i64).unwrap();
        println!("kept {k}");
    }
}

#[test]
fn a_process_killed_at_any_moment_loses_nothing_that_it_had_acknowledged() {
    let path = file("killed");
    let (mut next, mut acknowledged) = (0u64, Vec::new());
    for round in 0..6u64 {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["writes_until_it_is_killed", "--exact", "--nocapture"])
            .env("TUBEWRIGHT_KILLED", &path)
            .env("TUBEWRIGHT_FROM", next.to_string())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let before = acknowledged.len();
        let mut lines = lines.map_while(Result::ok).filter_map(|l| l.split("kept ").nth(1)?.parse::<u64>().ok());
        // So many and a little, so that the end falls anywhere in a step.
        acknowledged.extend(lines.by_ref().take(5 + 7 * round as usize));
        std::thread::sleep(Duration::from_micros(337 * round));
        child.kill().unwrap();
        // What it had told before it died is acknowledged, too.
        acknowledged.extend(lines);
        child.wait().unwrap();
        assert!(acknowledged.len() > before, "the process kept nothing");
        let r = Record::open(&path).unwrap();
        let events = r.since(0).unwrap();
        let ids: Vec<String> = events.iter().map(|e| e.id.clone()).collect();
        let changes: Vec<String> = r.history(10_000, None).unwrap().into_iter().map(|s| s.what).collect();
        for k in &acknowledged {
            assert!(ids.contains(&format!("event {k}")), "event {k} is lost");
            assert!(changes.contains(&format!("change {k}")), "text {k} is lost");
        }
        drop(r);
        let db = rusqlite::Connection::open(&path).unwrap();
        let sound: String = db.query_row("PRAGMA integrity_check", [], |r| r.get(0)).unwrap();
        assert_eq!(sound, "ok");
        next = ids.len() as u64;
    }
}

#[test]
fn another_process_may_read_meanwhile() {
    let path = file("both");
    let (mut one, two) = (Record::open(&path).unwrap(), Record::open(&path).unwrap());
    one.done("a", &tick("sill", Operation::Cut, true), "", 1).unwrap();
    assert_eq!(two.since(0).unwrap().len(), 1);
    one.done("b", &tick("sill", Operation::Bent, true), "", 1).unwrap();
    assert_eq!(two.since(1).unwrap().len(), 1);
}
