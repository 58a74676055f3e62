//! Whatever the text is, it is read or refused, and what is refused can be shown.

mod common;

use common::FULL;
use design::*;
use proptest::collection::vec;
use proptest::prelude::*;

/// Reads a text and shows what is wrong with it; a valid one can be written and read again.
fn survive(text: &str) {
    match read(text) {
        Ok(reading) => {
            let _ = render(&reading.notes, "file", text);
            let written = write(&reading.design);
            if let Err(problems) = read(&written) {
                panic!("{text}\nis written as\n{written}\n{}", render(&problems, "written", &written));
            }
        }
        Err(problems) => {
            assert!(problems.iter().any(|p| p.severity == Severity::Error));
            let shown = render(&problems, "file", text);
            assert!(shown.contains("error: "));
        }
    }
}

/// Bits of TOML and of designs, to be strewn into a valid file.
const CRUMBS: &[&str] = &[
    "[",
    "]",
    "{",
    "}",
    "=",
    ",",
    "\"",
    "'",
    "\"\"\"",
    "#",
    "\n",
    "\r\n",
    "\0",
    ".",
    "~",
    "-",
    "_",
    "é",
    "1e999",
    "nan",
    "-inf",
    "0x1f",
    "1/0",
    "\"1 3/4\"",
    "\"5 ft 10 in\"",
    "true",
    "1979-05-27",
    "[point]",
    "[tube.rail]",
    "[tube]",
    "[[tube]]",
    "rail",
    "\"rail~\"",
    "\"foot\"",
    "mirror = true",
    "on = \"hoop\"",
    "{ on = \"stay\", part = 0.5 }",
    "[0, 0, 0]",
    "path = [\"foot\", \"foot~\"]",
    "a.b.c = 1",
    "bend_radius = 3",
    "\"1.5 kN\"",
    "\"60 lbf ft\"",
    "along = \"xz\"",
    "by = [0, 0, 1]",
    "[load.x]",
    "[strength]",
    "= {",
    "\u{feff}",
];

#[derive(Clone, Debug)]
enum Mutation {
    Insert(usize, usize),
    Delete(usize, usize),
    Copy(usize, usize, usize),
    Swap(usize, usize),
}

fn mutation() -> impl Strategy<Value = Mutation> {
    let place = || 0usize..100_000;
    prop_oneof![
        (place(), 0..CRUMBS.len()).prop_map(|(at, crumb)| Mutation::Insert(at, crumb)),
        (place(), 1usize..40).prop_map(|(at, n)| Mutation::Delete(at, n)),
        (place(), 1usize..200, place()).prop_map(|(from, n, to)| Mutation::Copy(from, n, to)),
        (place(), place()).prop_map(|(a, b)| Mutation::Swap(a, b)),
    ]
}

fn mutate(text: &str, mutations: &[Mutation]) -> String {
    let mut chars: Vec<char> = text.chars().collect();
    for mutation in mutations {
        let len = chars.len().max(1);
        match *mutation {
            Mutation::Insert(at, crumb) => {
                let at = (at % len).min(chars.len());
                chars.splice(at..at, CRUMBS[crumb].chars());
            }
            Mutation::Delete(at, n) => {
                let at = (at % len).min(chars.len());
                chars.drain(at..(at + n).min(chars.len()));
            }
            Mutation::Copy(from, n, to) => {
                let from = (from % len).min(chars.len());
                let part: Vec<char> = chars[from..(from + n).min(chars.len())].to_vec();
                let to = (to % len).min(chars.len());
                chars.splice(to..to, part);
            }
            Mutation::Swap(a, b) => {
                if !chars.is_empty() {
                    chars.swap(a % len, b % len);
                }
            }
        }
    }
    chars.into_iter().collect()
}

/// Swaps whole values of a valid file, so that it stays TOML.
fn swap_values(text: &str, swaps: &[(usize, usize)]) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let with_value: Vec<usize> = (0..lines.len()).filter(|i| lines[*i].contains(" = ")).collect();
    for (a, b) in swaps {
        let (a, b) = (with_value[a % with_value.len()], with_value[b % with_value.len()]);
        let split = |line: &str| line.split_once(" = ").map(|(k, v)| (k.to_owned(), v.to_owned()));
        if let (Some((key_a, value_a)), Some((key_b, value_b))) = (split(&lines[a]), split(&lines[b]))
            && a != b
        {
            lines[a] = format!("{key_a} = {value_b}");
            lines[b] = format!("{key_b} = {value_a}");
        }
    }
    lines.join("\n")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes(bytes in vec(any::<u8>(), 0..400)) {
        survive(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn random_crumbs(crumbs in vec(0..CRUMBS.len(), 0..60)) {
        let text: String = crumbs.into_iter().map(|i| format!("{} ", CRUMBS[i])).collect();
        survive(&text);
    }

    #[test]
    fn mutated_files(mutations in vec(mutation(), 1..6)) {
        survive(&mutate(FULL, &mutations));
    }

    #[test]
    fn mutated_starters(mutations in vec(mutation(), 1..4)) {
        survive(&mutate(&starter(Units::Mm), &mutations));
    }

    #[test]
    fn swapped_values(swaps in vec((0usize..1000, 0usize..1000), 1..5)) {
        survive(&swap_values(FULL, &swaps));
    }
}

#[test]
fn deep_nesting_is_refused() {
    for (open, close) in [("[", "]"), ("{a=", "}")] {
        let text = format!("a = {}1{}\n", open.repeat(100_000), close.repeat(100_000));
        survive(&text);
    }
    survive(&format!("{}x = 1\n", "a.".repeat(100_000)));
    survive(&format!("[{}x]\n", "a.".repeat(100_000)));
    survive(&format!("[[{}x]]\n", "a.".repeat(50_000)));
}

#[test]
fn long_chains_of_points_do_not_overflow_the_stack() {
    let mut text = "[design]\nname = \"x\"\n[point]\n".to_owned();
    const MANY: usize = 50_000;
    for i in 0..MANY {
        text += &format!("p{i} = {{ from = \"p{}\", by = [1, 0, 0] }}\n", i + 1);
    }
    let ring = format!("{text}p{MANY} = {{ from = \"p0\", by = [1, 0, 0] }}\n");
    let open = format!("{text}p{MANY} = [0, 0, 0]\n");
    assert!(read(&open).is_ok());
    let problems = read(&ring).unwrap_err();
    assert_eq!(problems.len(), 1);
    assert!(problems[0].message.contains("depends on itself"));
    assert!(problems[0].label.len() < 1000);
}

#[test]
fn too_many_tubes_are_refused() {
    let mut text = "[design]\nname = \"x\"\n".to_owned();
    for i in 0..20_001 {
        text += &format!("[tube.t{i}]\n");
    }
    let problems = read(&text).unwrap_err();
    assert!(problems.iter().any(|p| p.message.contains("20001") && p.label.contains("20000")), "{problems:?}");
    assert!(problems.len() < 10);
}

#[test]
fn too_large_a_file_is_refused() {
    let text = "#".repeat(LARGEST_FILE + 1);
    let problems = read(&text).unwrap_err();
    assert!(problems[0].message.contains("than the 8"), "{}", problems[0].message);
}

#[test]
fn only_so_many_problems_are_told() {
    let mut text = "[design]\nname = \"x\"\n[point]\n".to_owned();
    for i in 0..20_000 {
        text += &format!("p{i} = {{ from = \"q{i}\", by = [0, 0] }}\n");
    }
    let problems = read(&text).unwrap_err();
    assert_eq!(problems.len(), 101);
    assert!(problems[100].message.contains("39900 more"), "{}", problems[100].message);
    assert!(render(&problems, "file", &text).len() < 100_000);
}
