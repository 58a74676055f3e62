//! `stock --take-in`: the program takes a list of steel into a design file.

mod common;

use std::fs;

use common::{folder, text};
use serde_json::Value;

/// Exit status, what was printed, complaints.
fn run(args: &[&str]) -> (i32, String, String) {
    let out = common::run(args);
    (out.status.code().unwrap(), text(&out.stdout), text(&out.stderr))
}

#[test]
fn a_list_is_taken_in_once() {
    let dir = folder("take_in_once");
    let (design, list) = (dir.join("car.toml"), dir.join("steel.csv"));
    let (design, list) = (design.display().to_string(), list.display().to_string());
    assert_eq!(run(&["new", &design]).0, 0);
    let before = fs::read_to_string(&design).unwrap();
    // As a spreadsheet of a country with decimal commas saves it.
    let rows = "\u{feff}Section;Length;Count;Price;Place;Remark\r\nhoop;6000;7;;new bay;\r\nhoop;5500;;61,20;;asked\r\n;;;;;\r\n";
    fs::write(&list, rows).unwrap();
    let (code, out, err) = run(&["stock", &design, "--take-in", &list]);
    assert_eq!(code, 0, "{out}{err}");
    assert!(out.contains("line 2: hoop 6000 mm, new bay: added, 7 on hand\n"), "{out}");
    assert!(out.contains("line 3: hoop 5500 mm: added, to be bought\n"), "{out}");
    assert!(out.contains("2 added, 0 changed, 0 already there; written to"), "{out}");
    assert!(err.contains("`Remark` is not read"), "{err}");
    let after = fs::read_to_string(&design).unwrap();
    assert!(after.contains("length = 5500\nprice = 61.2\n"), "{after}");
    assert!(before.lines().all(|l| after.contains(l)));
    let (code, out, _) = run(&["stock", &design, "--take-in", &list, "--json"]);
    assert_eq!(code, 0);
    let told: Value = serde_json::from_str(&out).unwrap();
    assert_eq!(told["written"], false);
    assert_eq!([&told["rows"][0]["fate"], &told["rows"][1]["fate"]], ["there", "there"]);
    assert_eq!(told["rows"][1]["length"], 5.5);
    assert_eq!(fs::read_to_string(&design).unwrap(), after);
    fs::write(&list, "section,length,count,place\nhoop,6000,9,new bay\n").unwrap();
    let (_, out, _) = run(&["stock", &design, "--take-in", &list]);
    assert!(out.contains("line 2: hoop 6000 mm, new bay: changed: count 7 -> 9\n"), "{out}");
    // What is taken in is planned with.
    assert_eq!(run(&["stock", &design]).0, 0);
    let left: Vec<_> = fs::read_dir(&dir).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(left.len(), 2, "{left:?}");
}

#[test]
fn nothing_is_written_if_any_row_is_wrong() {
    let dir = folder("take_in_wrong");
    let (design, list) = (dir.join("car.toml").display().to_string(), dir.join("steel.csv").display().to_string());
    assert_eq!(run(&["new", &design]).0, 0);
    let before = fs::read(&design).unwrap();
    for (rows, words) in [
        (&b"section,length,count\nhoop,6000,2\nhop,6000,1\n"[..], ":3:1"),
        (b"section,length\nhoop,6000,7\n", ":2:11"),
        (b"section,length\nhoop,\"6000\n", "not closed"),
        (b"", "empty"),
        (b"section,length\nhoop,\xFF\n", "UTF-8"),
        (b"\xFF\xFEs\0e\0", "UTF-16"),
    ] {
        fs::write(&list, rows).unwrap();
        let (code, out, err) = run(&["stock", &design, "--take-in", &list]);
        assert_eq!((code, out.as_str()), (2, ""), "{err}");
        assert!(err.contains(words) && err.contains("steel.csv"), "{err}");
        assert_eq!(fs::read(&design).unwrap(), before);
    }
    let (code, _, err) = run(&["stock", &design, "--take-in", "nowhere.csv"]);
    assert_eq!(code, 2);
    assert!(err.contains("can't read nowhere.csv"), "{err}");
}
